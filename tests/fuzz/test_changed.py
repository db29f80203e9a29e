"""Every kind's own scene, with some of its numbers changed: it is put together and runs, or is refused with a place inside its text."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from animator.motion.running import run
from animator.parts._contract import PARTS
from animator.problems import SceneError
from animator.scene import read
from animator.world.assembling import assemble
from tests.fuzz.changed import changed

KINDS = Path(__file__).resolve().parent.parent.parent / "scenes" / "kinds"
CALM = settings(deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))

pytestmark = [pytest.mark.fuzz, pytest.mark.slow]


@pytest.mark.parametrize("kind", PARTS)
def test_scene_of_a_kind_bears_being_changed(kind: str) -> None:
    path = KINDS / f"{kind.replace(' ', '-')}.yaml"
    built = 0

    @settings(CALM, max_examples=8)
    @given(changed(path))
    def try_one(text: str) -> None:
        nonlocal built
        lines = text.splitlines()
        try:
            scene = assemble(read(path, text=text))
            motion = run(scene, seconds=0.1)
        except SceneError as error:
            assert error.problems
            for problem in error.problems:
                assert problem.what
                assert lines[problem.place.line - 1] == problem.place.source, text
                assert 1 <= problem.place.column <= len(problem.place.source) + 1, text
            return
        built += 1
        assert all(math.isfinite(value) for pose in scene.starts.values() for value in pose), (
            text
        )
        assert motion.sentence
        if motion.trust.is_ok:
            assert np.isfinite(motion.poses).all(), text
            for name, channel in motion.channels.items():
                assert np.isfinite(channel.values).all(), (name, text)

    try_one()
    assert built >= 2
