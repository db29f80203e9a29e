import math

import pytest

from tests.drawn import drawn, refusal

CAM = "c: {{kind: cam, on: shaft, {}}}"
PROGRAMME = "programme: [{{rise: 14, over: 120, law: 3-4-5}}, {{dwell: 90}}, {{fall: {}, over: 50}}, {{dwell: {}}}]"


def test_rest_is_what_remains_of_the_turn():
    moves = drawn(CAM.format(PROGRAMME.format(14, "rest")))["c"].moves()
    assert [(move.rise, round(math.degrees(move.over), 9), move.law) for move in moves] == [
        (14, 120, "3-4-5"),
        (0, 90, "cycloidal"),
        (-14, 50, "cycloidal"),
        (0, 100, "cycloidal"),
    ]


def test_programme_covers_a_whole_turn_and_ends_where_it_began():
    assert refusal(CAM.format(PROGRAMME.format(14, 90))) == (
        "'c': the programme covers 350 of 360 degrees",
        "'- {dwell: 10}' more, or '- {dwell: rest}'",
    )
    assert refusal(CAM.format(PROGRAMME.format(12, "rest"))) == (
        "'c': the programme ends 2 mm above where it starts",
        "'fall: 2' more, so that it closes",
    )
    assert drawn(CAM.format(PROGRAMME.format(14, 100)))


@pytest.mark.parametrize(
    "law",
    [
        "straight",
        "parabolic",
        "harmonic",
        "cubic",
        "cycloidal",
        "3-4-5",
        "4-5-6-7",
        "modified sine",
        "modified trapezoid",
    ],
)
def test_nine_laws_are_known(law):
    cam = drawn(
        CAM.format(
            f"programme: [{{rise: 9, over: 90, law: {law}}}, {{fall: 9, over: 90}}, {{dwell: rest}}]"
        )
    )["c"]
    assert cam.moves()[0].law == law


@pytest.mark.parametrize(
    "outline",
    [
        "eccentric: {radius: 20, throw: 5}",
        "egg: {radius: 16, nose radius: 7, reach: 13}",
        "drop: {lift: 8}",
        "poses: {0: 0, 90: 10, 200: 4}",
    ],
)
def test_exactly_one_outline(outline):
    assert drawn(CAM.format(outline))
    assert refusal(CAM.format(f"{outline}, programme: [{{dwell: 360}}]"))[0].startswith(
        "'c' says two of"
    )
    assert refusal(CAM.format("phase: 10"))[0].startswith("'c' says none of")


@pytest.mark.parametrize(
    ("outline", "what"),
    [
        ("eccentric: {radius: 20, throw: 20}", "the shaft lies outside the eccentric"),
        ("egg: {radius: 16, nose radius: 7, reach: 8}", "the nose lies inside the round"),
        (
            "drop: {lift: 8, rise over: 340, fall over: 30}",
            "rise and fall together are more than a turn",
        ),
        ("poses: {0: 0, 90: 10}", "a smooth curve needs three poses or more"),
        ("poses: {0: 0, 90: 10, 360: 4}", "two poses stand at one angle"),
        ("poses: {0: 0, 90: 10, 200: -15}", "a pose lies below the shaft's middle"),
        (
            "programme: [{fall: 20, over: 180}, {rise: 20, over: 180}]",
            "the programme falls 20 mm below a base radius of 15",
        ),
    ],
)
def test_outline_that_can_not_be_cut_is_refused(outline, what):
    assert refusal(CAM.format(outline))[0].endswith(what)


@pytest.mark.parametrize(
    "outline", ["traced: hill.svg", "loudness: {of: boom.wav, lift: 14, to: 5 s}"]
)
def test_outlines_from_files_come_later(outline):
    assert refusal(CAM.format(outline))[0].startswith("not yet: a cam")
