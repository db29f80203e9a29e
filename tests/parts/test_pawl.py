import math

import pytest

from animator.world.assembling import assemble
from tests.drawn import at_start, drawn, refusal, scene

WHEEL = "wheel: {kind: ratchet wheel, on: shaft, teeth: 24, radius: 20, turns: anticlockwise}\n"
PAWL = "pawl: {kind: pawl, at: 28 right and 20 above shaft, length: 28, holds: wheel, spring: {torque: 1 N mm}}"


def test_nose_comes_to_lie_on_the_teeth():
    parts = assemble(scene(WHEEL + PAWL))
    pawl, wheel = parts.parts["pawl"], parts.parts["wheel"]
    teeth, pose = wheel.rim(), parts.starts["wheel"]
    nose = pawl.nose(teeth)
    here = parts.starts["pawl"].place((pawl.length - nose, 0.0))
    _, face, back = teeth.near(*pose.local(here), nose)
    assert min(face.gap, back.gap) == pytest.approx(0, abs=1e-6)


def test_a_pushing_nose_lies_ahead_of_its_pivot_and_a_hooked_one_behind():
    def ahead(parts):
        x, y = at_start(WHEEL + parts, "pawl", "tip")
        pivot = math.atan2(20, 28)
        return (math.atan2(y - 60, x - 100) - pivot) % math.tau < math.pi

    assert ahead(PAWL)
    assert not ahead(PAWL.replace("length: 28,", "length: 28, hooked: yes,"))


def test_arms_are_points_of_its_own_line():
    pawl = drawn(WHEEL + PAWL.replace("length: 28,", "length: 28, arms: {tail: 12 at 180},"))
    assert pawl["pawl"].points()["tail"] == pytest.approx((-12, 0))


def test_it_holds_or_drives():
    assert refusal(WHEEL + PAWL.replace("holds: wheel", "holds: wheel, drives: wheel"))[0] == (
        "'pawl' says two of 'holds', 'drives'"
    )


def test_a_finger_lets_go_after_it_has_lifted():
    what, _ = refusal(
        WHEEL + PAWL.replace("length: 28,", "length: 28, released: {from: 90, to: 30},")
    )
    assert what.endswith("let down before it is lifted")


def test_moments_of_a_release():
    pawl = drawn(
        WHEEL + PAWL.replace("length: 28,", "length: 28, released: {from: 1 s, to: 2 turns},")
    )
    release = pawl["pawl"].released
    assert not release.holds(0.0, 0.9)
    assert release.holds(0.0, 1.0)
    assert not release.holds(2 * math.tau, 5.0)
