"""Any scene within its fields' ranges is put together and runs a second, or is refused with a place inside its text."""

from __future__ import annotations

import math
import re
from collections import Counter

import pytest
import yaml
from hypothesis import HealthCheck, given, settings

from animator.problems import SceneError
from animator.scene import read
from animator.world.assembling import assemble
from tests.fuzz.strategies import DRAWN, scenes

CALM = settings(deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


class Tally:
    """What came up: how many scenes, how many could be built, which kinds stood in those."""

    def __init__(self) -> None:
        self.tried = self.built = 0
        self.kinds: Counter[str] = Counter()
        self.refusals: Counter[str] = Counter()

    def count(self, text: str) -> None:
        self.built += 1
        self.kinds.update({part["kind"] for part in yaml.safe_load(text)["parts"].values()})

    def refuse(self, error: SceneError, text: str) -> None:
        """Insist that every problem points into the text."""
        lines = text.splitlines()
        assert error.problems
        for problem in error.problems:
            assert problem.what
            assert lines[problem.place.line - 1] == problem.place.source, text
            assert 1 <= problem.place.column <= len(problem.place.source) + 1, text
            self.refusals[re.sub(r"'[^']*'|[-\d.]+", "#", problem.what)] += 1

    def check(self, least: int = len(DRAWN)) -> None:
        """At least half of the scenes can be built, and so many of the kinds that are drawn here come up in them."""
        share = self.built / self.tried
        print(
            f"\nbuilt {self.built} of {self.tried} scenes ({share:.0%}); kinds: {dict(sorted(self.kinds.items()))}"
        )
        print(f"refused: {dict(self.refusals.most_common(12))}")
        assert share >= 0.5
        assert len(DRAWN & set(self.kinds)) >= least


def put_together(text: str, tally: Tally):
    """Assemble a scene, or check that its refusal points into the text; None then."""
    tally.tried += 1
    try:
        return assemble(read("fuzz.yaml", text=text))
    except SceneError as error:
        tally.refuse(error, text)
        return None


@pytest.mark.fuzz
@pytest.mark.slow
def test_any_scene_goes_together_or_is_refused_with_a_place() -> None:
    tally = Tally()

    @settings(CALM, max_examples=400)
    @given(scenes())
    def try_one(text: str) -> None:
        scene = put_together(text, tally)
        if scene is None:
            return
        tally.count(text)
        for name, pose in scene.starts.items():
            assert all(map(math.isfinite, pose)), (name, text)
        for name, part in scene.parts.items():
            assert "fitted" not in [
                getattr(part, field, None) for field in type(part).model_fields
            ], (name, text)
            for pin in part.pinned():
                if pin.slides:
                    continue
                here = scene.starts[name].place(part.points()[pin.point])
                there = scene.starts[pin.to.part].place(
                    scene.parts[pin.to.part].points()[pin.to.point]
                )
                assert math.dist(here, there) < 0.03, (name, text)

    try_one()
    tally.check()


@pytest.mark.fuzz
@pytest.mark.slow
def test_any_scene_that_goes_together_runs_a_second() -> None:
    from animator.motion.running import run

    tally = Tally()

    @settings(CALM, max_examples=60)
    @given(scenes())
    def try_one(text: str) -> None:
        import numpy as np

        scene = put_together(text, tally)
        if scene is None:
            return
        try:
            motion = run(scene, seconds=1.0)
        except (
            SceneError
        ) as error:  # what shows only when it is built: neighbours of very unequal mass
            tally.refuse(error, text)
            return
        tally.count(text)
        assert np.isfinite(motion.poses).all(), text
        assert motion.sentence
        for name, channel in motion.channels.items():
            assert np.isfinite(channel.values).all(), (name, text)

    try_one()
    tally.check(least=25)
