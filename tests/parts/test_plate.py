import math

import pytest

from tests.drawn import at_start, drawn, refusal

PIECE = """
crank: {{kind: crank, on: shaft, radius: 15, angle: up}}
rocker: {{kind: lever, at: 60 right of shaft, arms: {{end: 40 up}}}}
coupler: {{kind: plate, holes: {{a: [0, 0], b: [55, 0], c: [30, 35]}}, pinned: {{a: crank.pin, b: rocker.end}}{}}}
"""


def test_its_holes_sit_on_their_points():
    parts = PIECE.format("")
    for hole, part, point in (("a", "crank", "pin"), ("b", "rocker", "end")):
        assert at_start(parts, "coupler", hole) == pytest.approx(
            at_start(parts, part, point), abs=1e-6
        )
    a, b, c = (at_start(parts, "coupler", hole) for hole in "abc")
    assert math.dist(a, c) == pytest.approx(math.hypot(30, 35))
    # the third hole lies to the left of the way from the first to the second, as drawn
    assert (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) == pytest.approx(
        55 * 35
    )


def test_knee_chooses_how_it_closes():
    assert at_start(PIECE.format(", knee: up"), "rocker", "end")[1] > 60
    assert at_start(PIECE.format(", knee: down"), "rocker", "end")[1] < 60


def test_a_third_pin_that_binds_is_told():
    parts = (
        PIECE.format("").replace("b: rocker.end}", "b: rocker.end, c: nail}")
        + "nail: {kind: pin, at: [120, 130]}"
    )
    what, write = refusal_in_assembling(parts)
    assert what.startswith("the hole 'c' of 'coupler' stands ")
    assert what.endswith("from 'nail.centre' at the start, and nothing there can give way")
    mended = parts.replace("c: [30, 35]", write.split(": ", 1)[1].rstrip("'").join(["c: ", ""]))
    what, _ = refusal_in_assembling(mended)  # it fits now, but the crank can't turn
    assert what.startswith("the hole 'c' of 'coupler' stands ")
    assert "when the handle has turned 5 degrees" in what


def test_a_third_pin_that_goes_along_is_welcome():
    # three equal cranks side by side, as under a locomotive
    parts = """
crank: {kind: crank, on: shaft, radius: 15, angle: up}
second: {kind: lever, at: 40 right of shaft, arms: {end: 15 up}}
third: {kind: lever, at: 80 right of shaft, arms: {end: 15 up}}
side rod: {kind: plate, holes: {a: [0, 0], b: [40, 0], c: [80, 0]}, pinned: {a: crank.pin, b: second.end, c: third.end}}
"""
    assert at_start(parts, "third", "end") == pytest.approx((180, 75), abs=1e-3)


def refusal_in_assembling(parts):
    from animator.problems import SceneError
    from animator.world.assembling import assemble
    from tests.drawn import scene

    with pytest.raises(SceneError) as caught:
        assemble(scene(parts))
    (problem,) = caught.value.problems
    return problem.what, problem.write


def test_a_plate_on_three_swinging_arms_goes_together():
    parts = """
first: {kind: lever, at: [20, 100], arms: {end: 30 down}}
second: {kind: lever, at: [60, 100], arms: {end: 30 down}}
third: {kind: lever, at: [40, 120], arms: {end: 30 down}}
plate: {kind: plate, holes: {a: [0, 0], b: [40, 0], c: [20, 20]}, pinned: {a: first.end, b: second.end, c: third.end}}
"""
    for hole, part in (("a", "first"), ("b", "second"), ("c", "third")):
        assert at_start(parts, "plate", hole) == pytest.approx(
            at_start(parts, part, "end"), abs=1e-6
        )


def test_rods_may_end_at_its_other_holes():
    parts = PIECE.format("") + (
        "arm: {kind: lever, at: 150 right of shaft, arms: {end: 50 up}}\n"
        "link: {kind: rod, from: coupler.c, to: arm.end, length: 118}\n"
    )
    assert at_start(parts, "link", "near") == pytest.approx(
        at_start(parts, "coupler", "c"), abs=1e-6
    )
    assert at_start(parts, "link", "tip") == pytest.approx(
        at_start(parts, "arm", "end"), abs=1e-6
    )


def test_it_weighs_its_rounded_outline():
    plate = drawn(PIECE.format(""))["coupler"]
    outline = plate.outline(4.0)
    area = sum(
        (ax * by - bx * ay) / 2
        for (ax, ay), (bx, by) in zip(outline, (*outline[1:], outline[0]), strict=True)
    )
    rim, sides = 5.6, 55 + math.hypot(30, 35) + math.hypot(25, 35)
    exact = (
        55 * 35 / 2 + sides * rim + math.pi * rim**2
    )  # Steiner's formula for a rim round a triangle
    assert area == pytest.approx(exact, rel=2e-3)


def test_a_dimension_moves_its_second_hole():
    plate = drawn(PIECE.format(""))["coupler"]
    assert plate.dimensions() == {"holes.b": 55}
    assert plate.with_dimension("holes.b", 60).points()["b"] == pytest.approx((60, 0))


@pytest.mark.parametrize(
    ("fields", "what"),
    [
        ("holes: {a: [0, 0]}, pinned: {a: crank.pin}", "a plate has two holes or more"),
        ("holes: {a: [0, 0], b: [0, 0]}, pinned: {a: crank.pin}", "the holes 'a' and 'b' lie in one place"),
        ("holes: {a: [0, 0], b: [9, 0]}, pinned: {c: crank.pin}", "no hole is called 'c'"),
        ("holes: {a: [0, 0], b: [9, 0]}, pinned: {}", "nothing holds this plate"),
    ],
)  # fmt: skip
def test_what_makes_no_plate_is_told(fields, what):
    parts = f"crank: {{kind: crank, on: shaft, radius: 15}}\np: {{kind: plate, {fields}}}"
    assert refusal(parts)[0] == f"'p': {what}"


def test_ternary_link_is_a_plate():
    assert refusal("p: {kind: ternary link}") == (
        "no kind of part is called 'ternary link'",
        "'plate'",
    )
