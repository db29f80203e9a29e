"""Parts as a scene draws them, and what is said of them: the language's side of the tests of kinds."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping

import pytest

from animator.geometry import Point, Pose
from animator.parts._contract import Part
from animator.problems import SceneError
from animator.scene import read
from animator.scene.model import Scene
from animator.world.assembling import assemble

SHAFT = """
shaft: {kind: shaft, at: [100, 60]}
handle: {kind: handle, on: shaft, speed: 30 rpm}
"""


def scene(parts: str) -> Scene:
    """Read a shaft with a handle, and the parts written here."""
    whole = textwrap.dedent(SHAFT) + textwrap.dedent(parts)
    return read("piece.yaml", text="title: Trial\nparts:\n" + textwrap.indent(whole, "  "))


def drawn(parts: str) -> Mapping[str, Part]:
    """Give the parts as drawn."""
    return scene(parts).parts


def refusal(parts: str) -> tuple[str, str]:
    """Give what is wrong and what to write, of a piece with one slip."""
    with pytest.raises(SceneError) as caught:
        scene(parts)
    (problem,) = caught.value.problems
    return problem.what, problem.write or problem.more


def at_start(parts: str, name: str, point: str | None = None) -> Pose | Point:
    """Put the piece together, and tell where a part (or a point of it) stands at the start."""
    whole = assemble(scene(parts))
    pose = whole.starts[name]
    return pose if point is None else pose.place(whole.parts[name].points()[point])
