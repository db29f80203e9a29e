"""Linkages of every topology go together, run and keep their books: side rods through dead points, a pantograph, legs in pairs, a six-bar."""

import math

import numpy as np
import pytest

from animator.findings.measures import read as measure
from tests.pieces import run

FREE = "bearing: {friction: 0}"


def test_two_side_rods_a_quarter_apart_carry_over_the_dead_points():
    motion = run(
        """
        shaft: {kind: shaft, at: [40, 60], material: steel 5}
        handle: {kind: handle, on: shaft, speed: 60 rpm}
        crank: {kind: crank, on: shaft, radius: 15, angle: up}
        quarter: {kind: crank, on: shaft, radius: 15, angle: right}
        axle: {kind: shaft, at: 60 right of shaft, material: steel 5}
        far crank: {kind: crank, on: axle, radius: 15, angle: up}
        far quarter: {kind: crank, on: axle, radius: 15, angle: right}
        near rod: {kind: rod, from: crank.pin, to: far crank.pin, length: 60}
        far rod: {kind: rod, from: quarter.pin, to: far quarter.pin, length: 60}
        """,
        turns=2,
    )
    first, second = motion.frame("shaft")[:, 2], motion.frame("axle")[:, 2]
    assert np.abs(second - first).max() < math.radians(0.01)
    assert motion.trust.residual_percent < 0.05
    assert not any("change point" in note for note in motion.scene.assumptions)


@pytest.mark.slow
def test_play_in_its_pins_takes_from_the_stroke():
    """Each of the two pins crosses its play of 0.2 at each end of the way, pushed against a guide that rubs: 30 less 0.4 at most."""
    motion = run(
        """
        shaft: {kind: shaft, at: [60, 60], material: steel 5}
        handle: {kind: handle, on: shaft, speed: 60 rpm}
        crank: {kind: crank, on: shaft, radius: 15, angle: up}
        rod: {kind: rod, from: crank.pin, to: ram.pin, length: 50, play: 0.2}
        ram: {kind: slider, slides: right, length: 95, guide: {at: 110 right of shaft, length: 30}}
        """,
        turns=1,
    )
    stroke = np.ptp(motion.point("ram", "pin")[motion.begins :, 0])
    assert 29.595 <= stroke <= 29.8
    assert motion.trust.residual_percent < 0.5


def test_pantograph_draws_the_same_figure_larger():
    # pivot, driven point and pencil in one line, 40 : 100
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [70, 60], material: steel 5, {FREE}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm}}
        crank: {{kind: crank, on: shaft, radius: 10}}
        long arm: {{kind: lever, at: [20, 60], arms: {{short: 40 up, end: 100 up}}, {FREE}}}
        short bar: {{kind: rod, from: long arm.short, to: crank.pin, length: 40, knee: up}}
        long bar: {{kind: plate, holes: {{near: [0, 0], middle: [40, 0], end: [100, 0]}}, pinned: {{near: long arm.end}}, knee: down}}
        cross bar: {{kind: rod, from: crank.pin, to: long bar.middle, length: 60, knee: right}}
        pencil: {{kind: pencil, on: long bar.end}}
        """,
        turns=1,
    )
    small, large = motion.point("crank", "pin"), motion.point("pencil", "lead")
    pivot = np.array([20, 60])
    assert (large - pivot) == pytest.approx(2.5 * (small - pivot), abs=0.01)


def test_legs_in_a_mirror_step_alike():
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [100, 80], material: steel 5, {FREE}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm}}
        fore leg:
          kind: group
          parts:
            crank: {{kind: crank, on: shaft, radius: 11, angle: up}}
            rocker: {{kind: lever, at: 46 right and 12 above shaft, arms: {{end: 28 down}}, {FREE}}}
            shin: {{kind: plate, holes: {{knee: [0, 0], hip: [44, 8], hoof: [46, -50]}}, pinned: {{knee: crank.pin, hip: rocker.end}}, knee: down}}
        hind leg: {{like: fore leg, mirrored about: shaft}}
        """,
        turns=1.2,
    )
    fore, hind = (motion.point(f"{leg}.shin", "hoof") for leg in ("fore leg", "hind leg"))
    # the crank turns one way, so one leg walks as the other does backwards: the same path, mirrored
    back = np.array([200, 0]) + hind * (-1, 1)
    far = np.hypot(*(fore[::20, None] - back[None]).transpose(2, 0, 1)).min(1)
    assert far[motion.begins // 20 :].max() < 0.3
    lifts = [
        measure(motion, f"{leg}.shin", "lift", "hoof").value for leg in ("fore leg", "hind leg")
    ]
    assert lifts[0] == pytest.approx(lifts[1], abs=0.05)


def test_a_six_bar_with_a_plate_in_its_middle_runs():
    motion = run(
        """
        shaft: {kind: shaft, at: [40, 60], material: steel 5}
        handle: {kind: handle, on: shaft, speed: 60 rpm}
        crank: {kind: crank, on: shaft, radius: 14, angle: up}
        rocker: {kind: lever, at: 70 right of shaft, arms: {end: 40 up}}
        middle: {kind: plate, holes: {a: [0, 0], b: [70, 0], c: [36, 30]}, pinned: {a: crank.pin, b: rocker.end}, knee: up}
        link: {kind: rod, from: middle.c, to: flag.end, length: fitted}
        flag: {kind: lever, at: 130 right and 10 above shaft, arms: {end: 60 up, top: 70 at 40}}
        """,
        turns=2,
    )
    assert measure(motion, "flag", "swing").value > math.radians(10)
    pins = [
        np.abs(motion.point("middle", hole) - motion.point(*point)).max()
        for hole, point in (("a", ("crank", "pin")), ("b", ("rocker", "end")))
    ]
    pins.append(np.abs(motion.point("link", "tip") - motion.point("flag", "end")).max())
    assert max(pins) < 0.01
    assert abs(motion.trust.residual_percent) < 0.5


def test_work_through_a_rowlock_is_booked_to_the_last():
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [60, 60], material: steel 5, {FREE}}}
        handle: {{kind: handle, on: shaft, speed: 90 rpm}}
        crank: {{kind: crank, on: shaft, radius: 16}}
        arm: {{kind: lever, at: [120, 20], arms: {{top: 40 up}}, stops: {{clockwise: 5, anticlockwise: 5}}}}
        rowlock: {{kind: swivel guide, at: arm.top, clearance: 0.2, friction: 0.3}}
        oar: {{kind: rod, from: crank.pin, through: rowlock, length: 130, material: beech 5}}
        """,
        turns=0.6,
    )
    assert motion.ledger.heat["hole of rowlock"][-1] > 0
    assert motion.trust.residual_percent < 0.5
