"""Expectations and shots: what can be said, what it means, and what is said of slips."""

import math

import pytest

from animator.problems import SceneError
from animator.scene import read_all
from animator.scene.claims import FINDINGS, LATER, MEASURES, STATES, Measure
from animator.units import SAMPLES

TEXT = """title: The heron
parts:
  shaft: {{kind: shaft, at: [100, 60]}}
  handle: {{kind: handle, on: shaft, speed: 30 rpm}}
  arm: {{kind: crank, on: shaft, radius: 20}}
  bar: {{kind: rod, from: arm.pin, to: ram.pin, length: 70}}
  ram: {{kind: slider, slides: right, guide: {{at: [200, 60]}}}}
expect:
  - {}
"""


def claim(text):
    return read_all("piece.yaml", text=TEXT.format(text))[None].claims[0]


def problem(text):
    with pytest.raises(SceneError) as caught:
        claim(text)
    (found,) = caught.value.problems
    place = found.place
    return found.what, place.source[place.column - 1 :][: place.length], found.write


def test_measure_is_held_against_a_quantity():
    made = claim("ram.travel >= 4 cm")
    assert (made.kind, made.op, made.values) == ("measure", ">=", (40,))
    assert made.left == Measure("ram", "", "travel", "length", "ram.travel")


def test_point_of_a_part_can_be_measured():
    assert claim("ram.tip.travel = 40 mm within 0.3 mm").left == Measure(
        "ram", "tip", "travel", "length", "ram.tip.travel"
    )


def test_drive_means_the_first_drive():
    made = claim("drive.force between 0.45 N and 1.1 N")
    assert (made.left.part, made.op, made.values) == ("drive", "between", (0.45e6, 1.1e6))


def test_two_measures_of_one_unit_can_be_compared():
    made = claim("ram.travel = bar.tip.travel within 0.2 mm")
    assert made.values == (Measure("bar", "tip", "travel", "length", "bar.tip.travel"),)
    assert made.tolerance == 0.2


def test_finding_is_denied_or_claimed():
    assert claim("no jam").is_denied
    made = claim("jam of ram at least once")
    assert (made.kind, made.finding, made.part, made.is_denied, made.once) == (
        "finding",
        "jam",
        "ram",
        False,
        True,
    )


def test_state_may_hold_at_least_once():
    made = claim("shaft is stopped at least once")
    assert (made.kind, made.part, made.state, made.once) == ("state", "shaft", "stopped", True)


def test_span_is_moments_of_the_main_shaft_or_the_clock():
    made = claim("ram.speed <= 20 rpm from 90 to 2 turns")
    assert (made.start.angle, made.end.angle) == (
        pytest.approx(math.pi / 2),
        pytest.approx(4 * math.pi),
    )
    made = claim("ram.height >= 10 at 1.5 s")
    assert (made.start.time, made.end) == (1.5, None)
    made = claim("ram.height between 10 and 20 mm at least once from 0 s to 2 s")
    assert (made.values, made.once, made.end.time) == ((10, 20), True, 2)


@pytest.mark.parametrize("word", [word for word in MEASURES if word not in LATER])
def test_every_measure_takes_its_own_unit_and_no_other(word):
    sort = MEASURES[word]
    assert claim(f"ram.{word} >= {SAMPLES[sort]}").left.sort == sort
    other = "mass"
    assert "this wants" in problem(f"ram.{word} >= {SAMPLES[other]}")[0]


@pytest.mark.parametrize("finding", FINDINGS)
def test_every_finding_can_be_denied(finding):
    assert claim(f"no {finding} of ram").finding == finding


@pytest.mark.parametrize("state", STATES)
def test_every_state_can_be_claimed(state):
    assert claim(f"ram is {state}").state == state


@pytest.mark.parametrize("word", LATER)
def test_what_comes_later_is_refused_by_name(word):
    text = (
        f"ram.{word} >= 1"
        if word in MEASURES
        else f"no {word}"
        if word in ("buckle", "clash", "skip")
        else f"ram is {word}"
    )
    what, bit, _ = problem(text)
    assert what.startswith("not yet: ")
    assert bit == word


@pytest.mark.parametrize(
    ("text", "what", "bit", "write"),
    [
        (
            "ram.travel => 30",
            "this claim can't be read",
            "ram.travel => 30",
            "'ram.travel >= 30'",
        ),
        (
            "ram.travel ≥ 30",
            "this claim can't be read",
            "ram.travel ≥ 30",
            "'ram.travel >= 30'",
        ),
        ("ram.travl >= 30", "nothing called 'travl' is measured", "travl", "'travel'"),
        (
            "ram travel >= 30",
            "a dot stands between a part and what is measured",
            "ram travel",
            "'ram.travel'",
        ),
        ("rum.travel >= 30", "no part is called 'rum'", "rum", "'ram.travel'"),
        (
            "ram.end.travel >= 30",
            "'ram' has no point 'end'",
            "ram.end",
            "one of: ram.pin, ram.tip",
        ),
        ("ram.travel >= 30 g", "'30 g' is a mass; this wants a length", "30 g", "'30 mm'"),
        ("ram.travel >= 30 mmm", "no unit is called 'mmm'", "mmm", "'30 mm'"),
        (
            "ram.travel >= drive.torque",
            "'ram.travel' is a length, 'drive.torque' a torque",
            "drive.torque",
            "",
        ),
        (
            "ram.travel = 30",
            "nothing measured is exactly equal",
            "=",
            "'ram.travel = 30 within 0.1'",
        ),
        (
            "ram.travel >= 30 within 1",
            "'within' belongs to '='",
            "within 1",
            "'ram.travel = 30 within 1'",
        ),
        (
            "ram.travel between 40 and 30",
            "the smaller of the two comes first",
            "40 and 30",
            "'between 30 and 40'",
        ),
        ("ram.travel >= 30 from 90 to 40", "'40' is not after '90'", "40", "a later moment"),
        (
            "ram.travel >= 30 at noon",
            "'noon' is no moment",
            "noon",
            "degrees of the main shaft, '2 s' or '3 turns'",
        ),
        ("no jamm", "no finding is called 'jamm'", "jamm", "'jam'"),
        ("jam of rum", "no part is called 'rum'", "rum", "'ram'"),
        ("ram.tip is stopped", "'ram.tip' is a point; here belongs a part", "ram.tip", "'ram'"),
        ("ram is stoped", "no state is called 'stoped'", "stoped", "'stopped'"),
        (
            "ram.tip >= 30",
            "'ram.tip' says nothing that is measured",
            "ram.tip",
            "for example 'ram.tip.travel'",
        ),
    ],
)
def test_slip_in_a_claim_is_pointed_at(text, what, bit, write):
    assert problem(text) == (what, bit, write)


def test_long_claim_takes_no_time():
    assert problem("a " * 60_000)[0] == "this claim can't be read"


# ---------------------------------------------------------------- shots
def shots(text):
    return read_all("piece.yaml", text=TEXT.format("no jam") + f"shots:\n  one: {text}\n")[
        None
    ].shots["one"]


def test_shot_keeps_moments_speed_and_what_it_frames():
    made = shots(
        "{from: 205, to: 265, look: bench, speed: 1/4, on: [ram, bar], stills: [210, 1 s], caption: Slow}"
    )
    assert (made.look, made.speed, made.on, made.caption) == (
        "bench",
        0.25,
        ("ram", "bar"),
        "Slow",
    )
    assert made.start.angle == pytest.approx(math.radians(205))
    assert made.stills[1].time == 1


def test_one_moment_is_held():
    assert shots("{at: 90}").hold == 2
    made = shots("{at: 90, hold: 3 s}")
    assert (made.hold, made.end) == (3, None)


@pytest.mark.parametrize(
    "text",
    [
        "{from: 90, to: 40}",
        "{from: 0}",
        "{at: 90, to: 100}",
        "{from: 0, to: 90, hold: 2 s}",
        "{from: 0, to: 90, speed: 1000}",
        "{from: 0, to: 90, on: [rum]}",
        "{from: 0, to: 90, look: debug}",
        "{}",
    ],
)
def test_shot_that_shows_nothing_is_refused(text):
    with pytest.raises(SceneError) as caught:
        shots(text)
    assert len(caught.value.problems) == 1
