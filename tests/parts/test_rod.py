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


def test_rod_through_a_swivel_guide_comes_later():
    assert refusal(
        "crank: {kind: crank, on: shaft, radius: 20}\nbar: {kind: rod, from: crank.pin, through: eye, length: 70}"
    )[0].startswith("not yet: a rod that slides through")
