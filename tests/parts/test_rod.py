import math

import pytest

from tests.drawn import at_start, drawn, refusal

PIECE = """
crank: {{kind: crank, on: shaft, radius: 20, angle: up}}
ram: {{kind: slider, slides: right, length: 120, guide: {{at: 130 right of shaft, length: 10}}}}
bar: {{kind: rod, from: crank.pin, to: ram.pin, length: {}{}}}
"""


def test_both_ends_meet_their_points():
    parts = PIECE.format(70, "")
    assert at_start(parts, "bar", "near") == pytest.approx(at_start(parts, "crank", "pin"))
    assert at_start(parts, "bar", "tip") == pytest.approx(at_start(parts, "ram", "pin"))
    # Pythagoras: the pin stands 20 above the slide
    assert at_start(parts, "ram", "pin") == pytest.approx(
        (100 + math.sqrt(70**2 - 20**2), 60), abs=1e-6
    )


def test_holes_lie_along_the_rod():
    bar = drawn(PIECE.format(70, ", holes: {eye: 30}"))["bar"]
    assert bar.points() == {"near": (0, 0), "tip": (70, 0), "middle": (35, 0), "eye": (30, 0)}


def test_fitted_rod_is_as_long_as_the_drawing_asks():
    # the slider's drawn attitude is its middle in the middle of the guide: its pin 130 - 60 from the shaft
    from animator.world.assembling import assemble
    from tests.drawn import scene

    bar = assemble(scene(PIECE.format("fitted", ""))).parts["bar"]
    assert bar.length == pytest.approx(math.hypot(70, 20), abs=1e-6)


def test_rod_goes_to_a_point_or_through_a_guide():
    crank = "crank: {kind: crank, on: shaft, radius: 20}\n"
    assert refusal(crank + "bar: {kind: rod, from: crank.pin, length: 70}") == (
        "'bar' says none of 'to', 'through'",
        "exactly one of them",
    )
    assert refusal(crank + "bar: {kind: rod, from: crank.pin, through: crank, length: 70}")[
        0
    ] == ("'crank' is a crank; here belongs a swivel guide")


def test_rods_pinned_to_each_others_ends_meet_whichever_says_it():
    parts = """
a: {kind: lever, at: [20, 100], arms: {end: 30 right}}
b: {kind: lever, at: [100, 100], arms: {end: 30 left}}
one: {kind: rod, from: a.end, to: two.tip, length: 40}
two: {kind: rod, from: b.end, to: one.tip, length: 40}
"""
    assert at_start(parts, "one", "tip") == pytest.approx(
        at_start(parts, "two", "tip"), abs=1e-6
    )
