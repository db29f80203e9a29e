"""What goes step by step, at work in small pieces: holding, skipping, letting go, locking, and the words that measure it."""

import math

import numpy as np
import pytest

import animator
from animator.findings._contract import Evidence
from animator.findings.measures import read as measured
from animator.findings.skip import Skip
from tests.pieces import read, run

HELD = """
    shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {friction: 0.2}}
    arm: {kind: crank, on: shaft, radius: 40, angle: 10, material: brass 3}
    load: {kind: weight, mass: 60 g, on: arm.pin}
    wheel: {kind: ratchet wheel, on: shaft, teeth: 24, radius: 26, undercut: UNDERCUT, turns: anticlockwise, material: brass 4}
    pawl: {kind: pawl, at: 36 right and 24 above shaft, length: 36, holds: wheel, spring: {torque: SPRING}MORE, material: brass 3}
"""


def held(undercut="10", spring="2 N mm", more=""):
    return HELD.replace("UNDERCUT", undercut).replace("SPRING", spring).replace("MORE", more)


def skipped(motion):
    return list(Skip().find(Evidence(motion)))


def test_pawl_holds_and_lets_slip_less_than_a_tooth():
    motion = run(held(), seconds=0.4)
    assert 0 < measured(motion, "wheel", "back-slip").value < math.radians(15)
    assert measured(motion, "pawl", "steps").value == 0
    assert motion.channels["pawl.locked"].values[-100:].min() == 1
    assert motion.channels["wheel.locked"].values[-1] == 1
    assert np.degrees(np.ptp(motion.frame("shaft")[-100:, 2])) < 1e-3  # it doesn't creep
    assert not skipped(motion)


def test_faces_that_lean_back_throw_the_pawl_out_and_that_is_found():
    motion = animator.run(read(held("-25", "0.2 N mm", ", friction: 0.05")), seconds=0.5)
    (found,) = skipped(motion)
    assert found.part == "pawl"
    assert found.amount >= 1
    assert found.sentence.startswith("pawl jumps")
    assert [each.path for each in Skip().mends(Evidence(motion), found)] == [
        "wheel.undercut",
        "pawl.spring.torque",
    ]


def test_a_finger_lifts_the_pawl_and_what_it_gives_is_work():
    motion = run(held(more=", released: {from: 0.2 s}"), seconds=0.7)
    angle = np.degrees(motion.frame("shaft")[:, 2])
    assert angle[150] - angle[0] > -15
    assert angle[-1] - angle[0] < -45
    assert motion.channels["pawl.locked"].values[-1] == 0
    assert motion.ledger.work_in["finger on pawl"][-1] > 0
    assert not skipped(motion)  # it was lifted, it didn't jump


@pytest.mark.slow
def test_a_wound_wheel_clicks_once_a_tooth():
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {friction: 0.2}}
        handle: {kind: handle, on: shaft, speed: 30 rpm}
        wheel: {kind: ratchet wheel, on: shaft, teeth: 12, radius: 26, turns: anticlockwise, material: brass 4}
        pawl: {kind: pawl, at: 36 right and 24 above shaft, length: 36, holds: wheel, spring: {torque: 6 N mm}, material: brass 3}
        """,
        turns=1,
    )
    assert measured(motion, "pawl", "steps").value == pytest.approx(12, abs=0.5)
    assert measured(motion, "pawl", "hits").value == pytest.approx(12, abs=1.5)
    assert measured(motion, "wheel", "steps").value == pytest.approx(12, abs=0.01)


LOCKED = """
    crankshaft: {kind: shaft, at: [60, 100], material: steel 5}
    handle: {kind: handle, on: crankshaft, speed: 60 rpm}
    crank: {kind: crank, on: crankshaft, radius: fitted, angle: left, material: brass 3}
    wheel shaft: {kind: shaft, at: 70 right of crankshaft, material: steel 5}
    cross: {kind: geneva wheel, on: wheel shaft, slots: 5, driver: crank.pin, pin diameter: 4, material: brass 3PLAY}
    arm: {kind: crank, on: wheel shaft, radius: 30, angle: 298, material: brass 3}
    load: {kind: weight, mass: 30 g, on: arm.pin}
"""


def test_a_locked_geneva_wheel_doesnt_give_way_to_a_load():
    motion = run(LOCKED.replace("PLAY", ""), turns=0.3)
    locked = motion.channels["cross.locked"].values > 0.5
    first = motion.begins
    while_locked = np.flatnonzero(locked[first:])
    assert len(while_locked) > 20
    angle = np.degrees(motion.frame("cross")[first:, 2])[while_locked]
    start = math.degrees(motion.frame("cross")[0, 2])
    assert np.abs((angle - start + 36) % 72 - 36).max() < 0.02


def test_play_in_the_slots_is_play_at_the_wheel():
    motion = run(LOCKED.replace("PLAY", ", play: 0.2"), turns=0.3)
    drawn, hung = math.degrees(motion.scene.starts["cross"].angle), math.degrees(
        motion.frame("cross")[motion.begins, 2]
    )  # fmt: skip
    assert 0.02 < abs(drawn - hung) < 0.5


@pytest.mark.parametrize(
    "turns", ["anticlockwise", pytest.param("clockwise", marks=pytest.mark.slow)]
)
def test_part_of_a_rim_turns_its_gear_by_a_station_and_leaves_it_locked(turns):
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [70, 100], material: steel 5}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm, turns: {turns}}}
        sector: {{kind: intermittent gear, on: shaft, teeth: 24, left: 5, module: 2, meshes with: wheel, material: birch ply 6}}
        wheel shaft: {{kind: shaft, at: right of shaft, drag torque: 2 N mm, material: steel 5}}
        wheel: {{kind: gear, on: wheel shaft, teeth: 24, module: 2, material: birch ply 6}}
        """,
        turns=1,
    )
    assert measured(motion, "wheel", "steps").value == pytest.approx(1, abs=0.01)
    angle = np.degrees(motion.frame("wheel")[motion.begins :, 2])
    sense = -1 if turns == "anticlockwise" else 1
    assert angle[-1] - angle[0] == pytest.approx(sense * 90, abs=0.3)
