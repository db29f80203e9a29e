"""Worms: what a scene says of them, how they are cut and set, which way they turn their wheel, and how a bent sheet pushes."""

import math

import numpy as np
import pytest

import animator
from animator.findings.examining import examine
from animator.parts._thread import Follower, SheetThread, TurnedThread
from animator.problems import SceneError
from animator.world.assembling import assemble
from tests.drawn import refusal
from tests.pieces import read, run

PIECE = """
worm shaft: {kind: shaft, view: side, at: [30, 30], material: steel 4, bearing: {friction: 0.1}}
handle: {kind: handle, on: worm shaft, speed: 120 rpm, starts over: 30}
worm: {kind: worm, on: worm shaft, diameter: 20, friction: 0.2, material: brass}
wheel shaft: {kind: shaft, at: [100, 74], material: steel 4, bearing: {friction: 0.1}, drag torque: 3 N mm}
wheel: {kind: pin wheel, on: wheel shaft, pins: 24, radius: 34, pin diameter: 3, material: birch ply 6, meshes with: worm}
"""
BENT = PIECE.replace(
    "friction: 0.2, material: brass", "friction: 0.2, bent from: brass 0.6, flats: 40"
)
BACKWARDS = PIECE.replace(
    "handle: {kind: handle, on: worm shaft", "handle: {kind: handle, on: wheel shaft"
)


def went(motion, part):
    turned = motion.frame(part)[:, 2]
    return turned[-1] - turned[motion.begins]


def test_pitch_is_fitted_to_the_pins_and_said():
    whole = assemble(read(PIECE))
    assert whole.parts["worm"].pitch == pytest.approx(math.tau * 34 / 24)
    assert "worm is cut with a pitch of 8.90 mm, as wheel asks" in whole.assumptions


def test_pins_start_between_the_threads():
    whole = assemble(read(PIECE))
    thread = whole.parts["worm"].thread(whole.parts["wheel"])
    # below its wheel the worm is passed to the right as the wheel turns anticlockwise, and its viewer stands to the right
    wheel = Follower(24, 34, 3, True, whole.parts["wheel"].phase)
    near = thread.touching(0.0, wheel, math.pi / 2)
    gaps = {each.key[1]: each.gap for each in near[:2]}
    assert gaps[1] == pytest.approx(gaps[-1], abs=2e-3)
    assert gaps[1] == pytest.approx(0.05 * math.cos(thread.lead_angle), abs=2e-3)


def test_the_wheel_stands_where_the_shaft_of_the_worm_passes_its_pins():
    whole = assemble(read(PIECE))
    assert whole.parts["worm"].along == 100
    assert whole.parts["wheel"].along == pytest.approx(-38)


@pytest.mark.parametrize(("hand", "sense"), [("right", -1), ("left", 1)])
def test_a_right_hand_worm_below_its_wheel_turns_it_clockwise(hand, sense):
    # turned anticlockwise as seen from the right, a right-hand thread that can't move drives what lies in it away from the viewer, to the left;
    # the wheel's lowest pin goes left, so seen from the front the wheel turns clockwise
    motion = run(PIECE.replace("diameter: 20", f"diameter: 20, hand: {hand}"), turns=1.0)
    assert went(motion, "wheel") == pytest.approx(sense * math.tau / 24, rel=0.01)
    (found,) = motion.scene.parts["worm"].predict(motion)
    assert found.value == pytest.approx(math.tau / 24)


@pytest.mark.parametrize(
    "sheet",
    [
        SheetThread(10, 9, math.radians(40), 0.3, 1),
        SheetThread(8, 6, math.radians(10), 0.25, 1),
    ],
)
def test_a_bent_sheet_is_smooth_comes_to_its_spread_and_overlaps(sheet):
    assert sheet.sweep * math.cos(
        math.atan(sheet.spread / (math.tau * sheet.radius))
    ) == pytest.approx(math.tau)
    y = np.linspace(0, sheet.sweep * sheet.radius, 4001)
    x, slope = np.array([sheet.bend(each) for each in y]).T
    assert (x[0], x[-1]) == pytest.approx((0, sheet.spread))
    assert np.gradient(x, y)[5:-5] == pytest.approx(slope[5:-5], abs=2e-3)
    flat = sheet.flat * sheet.radius
    assert np.all(slope[y < flat] == 0)
    assert slope.max() == pytest.approx(sheet.steepest)


def test_threads_touch_where_the_nearest_place_of_their_curve_is():
    sheet, wheel = (
        SheetThread(10, 9, math.radians(30), 0.3, 1),
        Follower(24, 34.4, 3, True, 0.03),
    )
    y = np.linspace(0, sheet.sweep * 10, 40001)
    x = np.array([sheet.bend(each)[0] for each in y]) - 4.5
    for turned in np.linspace(0.1, 6.2, 9):
        for touching in sheet.touching(turned, wheel, 0.0)[:2]:
            pin = wheel.radius * math.sin(0.03 + touching.key[0] * math.tau / 24)
            apart = min(
                np.hypot(x - pin, y + turned * 10 - copy * 20 * math.pi).min()
                for copy in (0, 1, 2)
            )
            if touching.gap < 2:
                assert touching.gap == pytest.approx(apart - 1.8, abs=2e-3)


def test_lead_angle_is_that_of_the_standard():
    # DIN 3975: tan l = z m / d; z 4, m 1.5, d 18: 18.435 degrees
    assert math.degrees(TurnedThread(9, 1.5 * math.pi, 4, 1, 1, 5).lead_angle) == pytest.approx(
        18.435, abs=5e-4
    )


@pytest.mark.slow
def test_a_bent_sheet_pushes_unevenly_but_keeps_count():
    motion = run(BENT, turns=2.0)
    assert went(motion, "wheel") == pytest.approx(
        -2 * math.tau / 24, rel=0.2
    )  # caught on a slope
    speed = np.abs(np.gradient(motion.frame("wheel")[:, 2], motion.times)[motion.begins :])
    assert (speed < 0.05 * speed.max()).mean() > 0.15  # it dwells where the sheet is flat
    mean = math.tau / 24 * 2  # rad/s at 120 rpm
    assert speed.max() > 1.25 * mean
    assert motion.trust.residual_percent < 0.1


def test_a_cut_worm_pushes_evenly():
    motion = run(PIECE, turns=1.0)
    speed = np.abs(np.gradient(motion.frame("wheel")[:, 2], motion.times)[motion.begins :])
    mean = math.tau / 24 * 2
    assert np.median(speed) == pytest.approx(mean, rel=0.02)


def test_flats_belong_to_a_bent_sheet():
    what, write = refusal("w: {kind: worm, on: shaft, diameter: 16, flats: 30}")
    assert what == "'w': 'flats' are those of a bent sheet; this worm is cut"
    assert write == "'bent from: brass 0.5' as well"


def test_a_worm_asked_to_run_backwards_is_refused():
    with pytest.raises(SceneError) as caught:
        assemble(read(BACKWARDS))
    (problem,) = caught.value.problems
    assert "lead angle of 8.1 degrees is under its friction angle of 12.0" in problem.what
    assert problem.write == "'handle.on: worm shaft', or 'worm.starts: 3' for a steeper thread"


@pytest.mark.slow
def test_one_that_locks_only_with_more_friction_stands_and_says_why():
    scene = read(
        BACKWARDS.replace("friction: 0.2", "friction: 0.05 to 0.25").replace(
            "speed: 120 rpm", "speed: 5 rpm"
        )
    )
    motion = animator.run(scene, 1.0)
    (stall,) = [each for each in examine(motion, mend=()).findings if each.code == "stall"]
    assert (
        stall.why
        == "It would have to turn worm backwards, and that locks: lead angle 8.1 degrees under friction angle 14.9 degrees."
    )
