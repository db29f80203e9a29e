"""Levers, slots, slides and straight lines against published and derived values, from scene text to recorded motion.

Class A: closed-form geometry. Class B: position 0.1 % of the stroke, velocity 0.5 %, acceleration 2 % of the peak. Class C: a threshold is bracketed.
"""

import math

import numpy as np
import pytest

from animator.findings.measures import read as measure
from animator.scene import read as read_drawn
from animator.world.linkage import Linkage
from tests.pieces import GRAVITY, against_angle, run

FIXED = "bearing: {friction: 0}"


# ---------------------------------------------------------------- LV-01: three classes of lever (any school text)
# load and effort, each so far from the fulcrum [mm]; class 1 has the fulcrum between, 2 the load, 3 the effort
LEVERS = {"first": (-40, 100), "second": (40, 100), "third": (100, 40)}


def balance(load, effort, pull):
    """Load of 50 g, an effort that lifts: by a beam with equal arms, at whose other end a weight pulls. Gives how far the load rises. [mm]

    The rod hangs between two points that move alike, so that its 2 g weigh on the effort's side.
    """
    up = (
        effort * load > 0
    )  # on the same side as the load the effort lifts, opposite it presses down
    weight = pull + 2 if up else pull - 2
    beam = f"""
        beam: {{kind: lever, at: [{effort - 60}, 160], arms: {{hook: 60 right, weight: 60 left}}, mass: 1 g, centre of mass: [0, 0], inertia: 500 g mm2, {FIXED}}}
        rod: {{kind: rod, from: beam.hook, to: lever.effort, length: 100, mass: 2 g}}
        pull: {{kind: weight, mass: {weight} g, on: beam.weight}}
    """
    press = f"press: {{kind: weight, mass: {pull} g, on: lever.effort}}"
    motion = run(
        f"""
        lever: {{kind: lever, at: [0, 60], arms: {{load: {abs(load)} {"right" if load > 0 else "left"}, effort: {effort} right}}, mass: 1 g, centre of mass: [0, 0], inertia: 500 g mm2, {FIXED}}}
        weight: {{kind: weight, mass: 50 g, on: lever.load}}
        {beam if up else press}
        """,
        seconds=0.1,
    )
    places = motion.point("lever", "load")[:, 1]
    return places[-1] - places[0]


@pytest.mark.parametrize(("load", "effort"), LEVERS.values(), ids=LEVERS)
def test_lever_balances_where_its_arms_say(load, effort):
    advantage = effort / abs(load)
    needed = 50 / advantage
    assert balance(load, effort, needed * 1.005) > 0
    assert balance(load, effort, needed * 0.995) < 0


# ---------------------------------------------------------------- LV-02: bell crank, arms 40 and 60 at a right angle (derived)
@pytest.fixture(scope="module")
def bell_crank():
    # a crank of 40 sin 15 and a rod for equal times there and back swing the arm of 40 by 15 degrees each way about square
    crank, apart = 40 * math.sin(math.radians(15)), 100.0
    rod = math.sqrt(apart**2 + crank**2 - 40**2)
    lean = math.degrees(
        math.atan2(40, rod)
    )  # the arm stands square to the rod in the middle of its swing
    del lean
    return run(
        f"""
        shaft: {{kind: shaft, at: [20, 60], {FIXED}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm}}
        crank: {{kind: crank, on: shaft, radius: {crank}}}
        bell: {{kind: lever, at: {apart} right of shaft, arms: {{into: 40 up, out: 60 right}}, {FIXED}}}
        rod: {{kind: rod, from: crank.pin, to: bell.into, length: {rod}, knee: up}}
        """,
        turns=1.2,
    )


def test_bell_crank_trades_way_as_its_arms(bell_crank):
    swing = measure(bell_crank, "bell", "swing").value
    into, out = (
        measure(bell_crank, "bell", "travel", point).value for point in ("into", "out")
    )
    bow = measure(bell_crank, "bell", "bow", "out").value
    half = math.radians(15)
    table = 2 * 40 * math.sin(half), 2 * 60 * math.sin(half), 60 * (1 - math.cos(half))
    assert table == pytest.approx((20.7055, 31.0583, 2.0445), abs=6e-5)
    assert math.degrees(swing) == pytest.approx(30, abs=0.005)
    assert (into, out, bow) == pytest.approx(table, abs=0.01)
    assert out / into == pytest.approx(1.5, abs=5e-4)


# ---------------------------------------------------------------- SC-09: how long a slider's rod must be (any text)
@pytest.mark.parametrize("offset", [0, 15])
def test_slider_crank_goes_round_from_crank_and_offset_on(offset):
    def goes(rod):
        parts = f"""
title: Trial
parts:
  shaft: {{kind: shaft, at: [20, 60]}}
  handle: {{kind: handle, on: shaft, speed: 60 rpm}}
  crank: {{kind: crank, on: shaft, radius: 25, angle: up}}
  rod: {{kind: rod, from: crank.pin, to: ram.pin, length: {rod}}}
  ram: {{kind: slider, slides: right, length: 150, starts at: 40, guide: {{at: 100 right and {offset} above shaft, ideal: yes}}}}
"""
        linkage = Linkage(read_drawn("trial.yaml", text=parts).parts)
        return linkage.start() is None and linkage.go_round(step=math.radians(1)) is None

    assert goes(25 + offset + 0.01)
    assert not goes(25 + offset - 0.01)


# ---------------------------------------------------------------- SC-11, SC-12: crank and slotted lever
def shaper(apart, crank, how="ideal: yes", turns=2.2, speed="60 rpm"):
    return run(
        f"""
        shaft: {{kind: shaft, at: [0, {apart}], material: steel 5, {FIXED}}}
        handle: {{kind: handle, on: shaft, speed: {speed}, strength: 50 N m}}
        crank: {{kind: crank, on: shaft, radius: {crank}, mass: 20 g, angle: up}}
        lever: {{kind: slotted lever, at: {apart} below shaft, slot: {{from: {apart - crank - 5}, to: {apart + crank + 5}}}, driver: crank.pin, {how}, mass: 40 g, {FIXED}}}
        """,
        turns=turns,
    )


@pytest.mark.parametrize(
    "how", ["ideal: yes", pytest.param("play: 0.1, friction: 0.15", marks=pytest.mark.slow)]
)
def test_textbook_shaper_cuts_twice_as_long_as_it_returns(how):
    """Sarkar, ch. 1 illus. 2 (p. 16): centres 300 mm, crank 150 mm; half swing 30 degrees, cutting : return = 2 : 1. Worked end to end."""
    motion = shaper(300, 150, how, turns=3)
    assert math.asin(150 / 300) == pytest.approx(math.radians(30))
    assert math.degrees(measure(motion, "lever", "swing").value) == pytest.approx(60, abs=0.05)
    assert measure(motion, "lever", "time ratio").value == pytest.approx(2, rel=0.005)


SC_12 = {30: (9.89609, 0.32278), 60: (19.10661, 0.28571), 90: (26.56505, 0.2), 120: (30.0, 0.0), 150: (23.79398, -0.47663), 180: (0.0, -1.0)}  # fmt: skip


@pytest.mark.parametrize(
    "how", ["ideal: yes", pytest.param("play: 0.02, friction: 0", marks=pytest.mark.slow)]
)
def test_slotted_lever_goes_as_derived(how):
    motion = shaper(200, 100, how)
    # the table's crank angle is counted from the line of centres, outwards; the lever's from that line too
    recorded = against_angle(motion, motion.frame("lever")[:, 2])
    for crank, (angle, ratio) in SC_12.items():
        t = math.radians(crank)
        exact = math.atan2(100 * math.sin(t), 200 + 100 * math.cos(t))
        slope = (1e4 + 2e4 * math.cos(t)) / (5e4 + 4e4 * math.cos(t))
        assert (math.degrees(exact), slope) == pytest.approx((angle, ratio), abs=6e-6)
        at = t + math.tau
        assert math.degrees(recorded(at)) == pytest.approx(
            angle, abs=0.06
        )  # 0.1 % of the swing
        if "ideal" in how:
            assert recorded(at, 1) == pytest.approx(ratio, abs=0.005)


def test_slotted_lever_on_the_board_is_exact():
    parts = """
title: Trial
parts:
  shaft: {kind: shaft, at: [0, 200]}
  handle: {kind: handle, on: shaft, speed: 60 rpm}
  crank: {kind: crank, on: shaft, radius: 100, angle: up}
  lever: {kind: slotted lever, at: 200 below shaft, slot: {from: 90, to: 310}, driver: crank.pin}
"""
    linkage = Linkage(read_drawn("trial.yaml", text=parts).parts)
    assert linkage.start() is None
    found = {}
    linkage.go_round(
        lambda at: found.update({round(math.degrees(at)): linkage.pose("lever").angle})
    )
    for crank, (angle, _) in SC_12.items():
        assert math.degrees(found[crank]) == pytest.approx(angle, abs=1e-4)


# ---------------------------------------------------------------- SC-14: Scotch yoke (any text)
def test_yoke_goes_as_the_cosine():
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [60, 60], material: steel 5, {FIXED}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm, strength: 5 N m}}
        crank: {{kind: crank, on: shaft, radius: 25, mass: 20 g}}
        yoke: {{kind: yoke, slides: right, guide: {{at: 80 right of shaft, ideal: yes}}, slot: 60, length: 120, driver: crank.pin, ideal: yes, mass: 25 g}}
        """,
        turns=1.3,
    )
    place = against_angle(motion, motion.point("yoke", "slot")[:, 0] - 60)
    for crank in range(120, 450, 30):
        t = math.radians(crank)
        assert place(t) == pytest.approx(25 * math.cos(t), abs=0.005)
        assert place(t, 1) == pytest.approx(-25 * math.sin(t), abs=0.05)
        assert place(t, 2) == pytest.approx(-25 * math.cos(t), abs=0.25)
    assert measure(motion, "yoke", "travel").value == pytest.approx(50, abs=0.005)


# ---------------------------------------------------------------- SC-15: toggle (any text)
def toggle(degrees, share):
    """A knee of two links of 60 mm under 100 g, held by a spring with a share of the push that the closed form asks. Gives how far it sinks. [mm]"""
    a = math.radians(degrees)
    push = (
        (0.1 + 0.005) * GRAVITY / 1000 / (2 * math.tan(a))
    )  # N; half the second link's 10 g hang on the knee
    far = 120 * math.cos(a)
    motion = run(
        f"""
        first: {{kind: lever, at: [0, 60], arms: {{knee: 60 at {degrees}}}, mass: 10 g, centre of mass: [0, 0], {FIXED}}}
        load: {{kind: weight, mass: 100 g, on: first.knee}}
        second: {{kind: rod, from: first.knee, to: block.pin, length: 60, mass: 10 g}}
        block: {{kind: slider, slides: right, length: 40, mass: 20 g, guide: {{at: [{far + 20}, 60], length: 5, ideal: yes}}}}
        wall: {{kind: pin, at: [{far + 80}, 60]}}
        spring: {{kind: compression spring, from: block.tip, to: wall.centre, rate: 0.05 N/mm, preload: {push * share:.9f} N}}
        """,
        seconds=0.02,
    )
    heights = motion.point("first", "knee")[:, 1]
    return heights[0] - heights[-1]


@pytest.mark.parametrize(
    ("degrees", "table"),
    [(30, 0.8660), (20, 1.3737), (10, 2.8356), (5, 5.7150), (2, 14.318), (1, 28.645)],
)
def test_toggle_pushes_as_its_slant_says(degrees, table):
    assert 1 / (2 * math.tan(math.radians(degrees))) == pytest.approx(table, rel=5e-5)
    assert toggle(degrees, 0.995) > 0
    assert toggle(degrees, 1.005) < 0


# ---------------------------------------------------------------- an exact straight line: Peaucellier and Lipkin
def test_peaucellier_draws_a_straight_line():
    """Long links L, short ones s, crank as long as its pivot is far from the links' own: x = (L^2 - s^2) / (2 r) (any text, inversion)."""
    long, short, r = 80.0, 35.0, 28.0
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [22, 70], {FIXED}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm}}
        crank: {{kind: crank, on: shaft, radius: 14, angle: up}}
        guiding: {{kind: lever, at: [100, 100], arms: {{inner: {r} right, drive: 30 down}}, {FIXED}}}
        link: {{kind: rod, from: crank.pin, to: guiding.drive, length: 78, knee: down}}
        upper: {{kind: lever, at: {r} left of guiding, arms: {{end: {long} at 25}}, {FIXED}}}
        lower: {{kind: lever, at: {r} left of guiding, arms: {{end: {long} at 335}}, {FIXED}}}
        upper inner: {{kind: rod, from: upper.end, to: guiding.inner, length: {short}, mass: 6 g}}
        lower inner: {{kind: rod, from: lower.end, to: guiding.inner, length: {short}, mass: 6 g}}
        upper outer: {{kind: rod, from: upper.end, to: lower outer.tip, length: {short}, mass: 6 g, knee: right}}
        lower outer: {{kind: rod, from: lower.end, to: upper outer.tip, length: {short}, mass: 6 g, knee: right}}
        pencil: {{kind: pencil, on: upper outer.tip}}
        """,
        turns=1.1,
    )
    path = motion.point("pencil", "lead")[motion.begins :]
    assert np.ptp(path[:, 1]) > 40
    assert path[:, 0] == pytest.approx(100 - r + (long**2 - short**2) / (2 * r), abs=0.01)
    assert measure(motion, "pencil", "bow").value < 0.01


# ---------------------------------------------------------------- inverted slider-crank (derived)
@pytest.mark.parametrize(
    ("how", "within"),
    # half the clearance at 50 mm, where the guide is nearest to the pin, is 2 mrad
    [("ideal: yes", 5e-5), ("clearance: 0.2, friction: 0.2", 2.1e-3)],
)
def test_rod_through_a_swivel_guide_points_at_it(how, within):
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [60, 60], material: steel 5, {FIXED}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm, strength: 5 N m}}
        crank: {{kind: crank, on: shaft, radius: 20, mass: 20 g}}
        guide: {{kind: swivel guide, at: 70 right of shaft, {how}}}
        rod: {{kind: rod, from: crank.pin, through: guide, length: 140, mass: 15 g}}
        """,
        turns=1.2,
    )
    t = motion.drive.angle[motion.begins :]
    exact = np.arctan2(-20 * np.sin(t), 70 - 20 * np.cos(t))
    assert np.abs(motion.frame("rod")[motion.begins :, 2] - exact).max() < within
    # moving the guide changes the travel: the tip's rise is that of the closed form
    rise = 20 * np.sin(t) + 140 * np.sin(exact)
    assert measure(motion, "rod", "lift", "tip").value == pytest.approx(
        np.ptp(rise), abs=140 * within
    )
    assert abs(motion.trust.residual_percent) < 0.5
