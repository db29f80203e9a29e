"""Measures: every word means what it says, on recorded motion and on courses made up for the purpose."""

from __future__ import annotations

import functools
import math
from dataclasses import replace

import numpy as np
import pytest

from animator.findings.measures import WORDS, columns, read, shown, table
from animator.motion.motion import Contact, Motion
from tests.pieces import NEWTON, run, run_demo

CAM = """
shaft: {kind: shaft, at: [100, 60], material: steel 5, bearing: {ball: yes}}
handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm}
cam: {kind: cam, on: shaft, base radius: 20, programme: [{rise: 10, over: 150, law: cycloidal}, {dwell: 30}, {fall: 10, over: 150, law: cycloidal}, {dwell: rest}]}
lifter: {kind: follower, follows: cam, tip: {roller diameter: 10}, length: 60, mass: 40 g, guide: {at: 60 above shaft, ideal: yes}}
"""


@functools.cache
def demo(name: str, variant: str | None = None, turns: float = 1.0) -> Motion:
    return run_demo(name, variant, turns=turns)


@functools.cache
def cam() -> Motion:
    return run(CAM, turns=1.0)


def value(motion: Motion, part: str, word: str, point: str = "") -> float:
    reading = read(motion, part, word, point)
    assert reading is not None
    return reading.value / WORDS[word].scale


def bumped(motion: Motion, part: str, **courses: np.ndarray) -> Motion:
    """The same motion with some courses of a contact replaced."""
    contact: Contact = replace(motion.contacts[part], **courses)
    return replace(motion, contacts={**motion.contacts, part: contact})


# ---------------------------------------------------------------- places and angles
def test_a_crank_of_18_moves_its_ram_36() -> None:
    assert value(demo("baker"), "ram", "travel") == pytest.approx(36.0, abs=0.05)


def test_a_lift_is_highest_less_lowest() -> None:
    motion = cam()
    assert value(motion, "lifter", "lift") == pytest.approx(10.0, abs=0.01)
    height = motion.point("lifter", "top")[motion.begins :, 1]
    assert table(motion)["lifter.height"].min == pytest.approx(height.min(), abs=1e-3)
    assert table(motion)["lifter.height"].max == pytest.approx(height.max(), abs=1e-3)


def test_a_level_ram_has_no_lift_in_the_table() -> None:
    assert "ram.lift" not in table(demo("baker"))
    assert "ram.travel" in table(demo("baker"))


def test_pressure_angle_is_that_of_the_slope() -> None:
    # handbooks: tan(angle) = slope of the lift over the distance of the roller's centre from the shaft
    share = np.linspace(0, 1, 20001)
    over = math.radians(150)
    lift = 10 * (share - np.sin(2 * np.pi * share) / (2 * np.pi))
    slope = 10 / over * (1 - np.cos(2 * np.pi * share))
    expected = math.degrees(float(np.arctan(slope / (20 + 5 + lift)).max()))
    assert value(cam(), "lifter", "pressure angle") == pytest.approx(expected, abs=0.1)


def test_swing_of_a_lever_is_from_end_to_end() -> None:
    angle = np.degrees(demo("baker").frame("baker")[demo("baker").begins :, 2])
    assert value(demo("baker"), "baker", "swing") == pytest.approx(
        float(np.ptp(angle)), abs=1e-6
    )
    assert "baker.turns" not in table(demo("baker"))


def test_turns_count_from_the_end_of_the_start() -> None:
    assert value(cam(), "shaft", "turns") == pytest.approx(1.0, abs=0.002)
    assert value(cam(), "drive", "turns") == pytest.approx(1.0, abs=0.002)


@pytest.mark.slow
def test_spin_is_told_for_each_turn_of_the_handle() -> None:
    one, two = demo("skater", turns=1.0), demo("skater", turns=2.0)
    assert value(two, "ice", "spin") == pytest.approx(2.45, abs=0.05)
    assert value(two, "ice", "spin") == pytest.approx(value(one, "ice", "spin"), rel=0.02)
    # what stands on the disc spins with it
    assert value(two, "skater", "spin") == value(two, "ice", "spin")


# ---------------------------------------------------------------- forces
def test_force_at_the_knob_is_the_torque_over_its_radius() -> None:
    motion = cam()
    assert value(motion, "handle", "force") == pytest.approx(
        value(motion, "handle", "torque") / 40, rel=1e-9
    )
    assert value(motion, "drive", "force") == value(motion, "handle", "force")


def test_a_knock_of_a_millisecond_is_felt_as_a_fifth() -> None:
    motion = cam()
    force = np.zeros(len(motion.times))
    force[motion.begins + 300] = 50 * NEWTON
    assert value(
        bumped(motion, "lifter", normal=force), "lifter", "contact force"
    ) == pytest.approx(10.0)


def test_the_force_of_a_landing_is_left_to_its_speed() -> None:
    motion = cam()
    force = np.full(len(motion.times), 1 * NEWTON)
    at = motion.begins + 300
    force[at : at + 4] = 80 * NEWTON
    hits = np.array([[motion.times[at], 90.0]])
    landed = bumped(motion, "lifter", normal=force, hit=hits)
    assert value(landed, "lifter", "contact force") == pytest.approx(1.0)
    assert value(landed, "lifter", "hit speed") == pytest.approx(90.0)
    assert value(landed, "lifter", "hits") == pytest.approx(1.0, abs=0.01)


def test_landings_of_the_start_are_not_counted() -> None:
    motion = cam()
    early = bumped(motion, "lifter", hit=np.array([[0.5 * motion.times[motion.begins], 90.0]]))
    assert value(early, "lifter", "hit speed") == 0.0


def test_a_standing_piece_is_not_asked_for_the_force_of_its_wedge() -> None:
    motion = demo("mole")
    assert motion.end == "stalled"
    assert motion.contacts["lifter"].normal.max() > 20 * NEWTON
    assert value(motion, "lifter", "contact force") < 2


def test_start_torque_is_that_of_the_start() -> None:
    motion = demo("carousel", turns=2.0)
    felt = np.convolve(motion.drive.torque, np.ones(5) / 5, "same")[: motion.begins]  # type: ignore[union-attr]
    assert value(motion, "handle", "start torque") == pytest.approx(felt.max() / 1e6, rel=0.01)
    assert value(motion, "handle", "start torque") > value(motion, "handle", "torque")


# ---------------------------------------------------------------- shares
def test_slip_is_what_is_lost_of_what_is_due() -> None:
    motion = demo("carousel", turns=2.0)
    slip = motion.slips["loop"]
    due, got = np.ptp(slip.due[motion.begins :]), np.ptp(slip.got[motion.begins :])
    assert value(motion, "loop", "slip") == pytest.approx(100 * (1 - got / due))
    assert value(motion, "loop", "slip") == pytest.approx(8.2, abs=0.5)  # the start still rings


def test_a_chain_loses_nothing() -> None:
    motion = demo("carousel", "chain", 2.0)
    assert value(motion, "loop", "slip") == pytest.approx(0.0, abs=1e-3)
    assert value(motion, "carousel", "turns") == pytest.approx(0.8, abs=1e-3)


def test_standstill_is_measured_against_what_is_due() -> None:
    assert value(demo("carousel", "overloaded", 2.0), "spindle", "standstill") == pytest.approx(
        100.0
    )
    assert value(demo("carousel", turns=2.0), "spindle", "standstill") == 0.0


@pytest.mark.slow
# ---------------------------------------------------------------- the table
@pytest.mark.parametrize(
    ("name", "variant"),
    [("baker", None), ("skater", None), ("mole", None), ("carousel", "chain")],
)
def test_every_measure_is_a_number_between_its_ends(name: str, variant: str | None) -> None:
    measures = table(demo(name, variant))
    assert len(measures) > 10
    for told, measure in measures.items():
        numbers = (measure.value, measure.min, measure.max, measure.mean, measure.end)
        assert all(map(math.isfinite, numbers)), told
        tiny = 1e-5 * max(1.0, abs(measure.max), abs(measure.min))
        assert measure.min - tiny <= measure.mean <= measure.max + tiny, told
        assert measure.min - tiny <= measure.end <= measure.max + tiny, told


def test_a_word_that_does_not_apply_gives_nothing() -> None:
    assert read(cam(), "lifter", "slip") is None
    assert read(cam(), "shaft", "gap") is None
    assert read(demo("carousel"), "loop", "lift") is None


def test_numbers_are_in_a_makers_units() -> None:
    entry = WORDS["turns"]
    reading = read(cam(), "shaft", "turns")
    assert reading is not None
    assert shown(reading, entry).unit == "turns"
    assert shown(reading, entry).value == pytest.approx(1.0, abs=0.002)


def test_columns_run_from_the_very_start() -> None:
    motion = cam()
    found = columns(motion)
    assert "lifter.height [mm]" in found
    assert all(len(course) == len(motion.times) for course in found.values())
