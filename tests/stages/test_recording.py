"""What the recorder keeps: one clock, poses in the parts' own frames, contacts with the forces that were there."""

import math

import numpy as np
import pytest

from tests.pieces import GRAVITY, NEWTON, run, run_demo


@pytest.fixture(scope="module")
def lifted():
    return run(
        """
        camshaft: {kind: shaft, at: [100, 80], material: steel 6}
        handle: {kind: handle, on: camshaft, radius: 40, speed: 60 rpm, angle: right}
        disc: {kind: cam, on: camshaft, eccentric: {radius: 25, throw: 8}, material: birch ply 6}
        lifter: {kind: follower, follows: disc, tip: {roller diameter: 10}, length: 100, material: steel 5, mass: 60 g, guide: {at: 90 above camshaft, length: 24, clearance: 0.1, friction: 0.2}}
        bird: {kind: figure, on: lifter.top, mass: 20 g, artwork: {shapes: [{disc: 20}]}, points: {beak: [12, 5]}}
        """,
        turns=1.1,
    )


def test_clock_ticks_a_thousand_times_a_second(lifted):
    assert np.diff(lifted.times) == pytest.approx(1e-3, abs=1e-12)
    for rows in (
        lifted.poses,
        lifted.drive.angle,
        lifted.ledger.residual,
        *(c.values for c in lifted.channels.values()),
    ):
        assert len(rows) == len(lifted.times)
    assert lifted.times[lifted.begins] == pytest.approx(
        0.5, abs=0.002
    )  # a quarter turn at half the speed


def test_parts_on_one_body_keep_their_places_on_it(lifted):
    axis = lifted.frame("camshaft")
    assert axis[:, :2] == pytest.approx(np.tile([100, 80], (len(axis), 1)), abs=2e-3)
    knob = lifted.point("handle", "knob") - axis[:, :2]
    assert np.hypot(*knob.T) == pytest.approx(40, abs=1e-9)
    assert np.unwrap(np.arctan2(knob[:, 1], knob[:, 0])) == pytest.approx(
        lifted.drive.angle, abs=1e-9
    )


def test_a_figure_on_a_lifter_keeps_its_attitude(lifted):
    beak = lifted.point("bird", "beak") - lifted.point("bird", "foot")
    assert beak[0] == pytest.approx((12, 5), abs=1e-6)
    assert np.hypot(*(beak - [12, 5]).T).max() < 0.2  # the stem leans by its play
    assert (
        np.hypot(*(lifted.point("bird", "foot") - lifted.point("lifter", "top")).T).max() < 1e-9
    )


def test_pose_between_samples_lies_between_them(lifted):
    before, after = lifted.frame("bird")[700], lifted.frame("bird")[701]
    middle = lifted.pose_at("bird", 0.7005)
    assert (middle.x, middle.y, middle.angle) == pytest.approx(
        tuple((before + after) / 2), abs=1e-9
    )
    assert lifted.pose_at("bird", -1.0) == pytest.approx(tuple(lifted.frame("bird")[0]))
    assert lifted.pose_at("bird", 99.0) == pytest.approx(tuple(lifted.frame("bird")[-1]))


def test_contact_forces_carry_the_weight(lifted):
    # over a whole turn the cam's push, the guide's pushes and the weight cancel, but for what the lifter gains
    cam, guide = lifted.contacts["lifter"], lifted.contacts["lifter.guide"]
    assert (cam.first, cam.second, cam.kind, cam.is_meant) == ("disc", "lifter", "cam", True)
    assert (guide.kind, guide.is_meant) == ("guide", False)
    begins = lifted.begins
    turn = int(np.searchsorted(lifted.drive.angle, lifted.drive.angle[begins] + math.tau))
    span = slice(begins, turn)
    upward = cam.normal[span] * cam.direction[span, 1]
    falling = np.gradient(lifted.frame("lifter")[:, 1], lifted.times)[span]
    # the guide's friction points against the way: its sum over up and down is small
    rub = -np.sign(falling) * guide.friction[span]
    assert (upward + rub).mean() == pytest.approx(80 * GRAVITY, rel=0.03)
    assert cam.gap[span].max() < 0.05
    assert np.hypot(*cam.direction.T) == pytest.approx(1)


def test_guide_tells_the_force_at_each_of_its_lips(lifted):
    guide = lifted.contacts["lifter.guide"]
    assert guide.lips.sum(1) == pytest.approx(guide.normal, rel=1e-9, abs=1e-3)
    assert np.all(guide.friction <= guide.normal * 0.2 * 1.01 + 1.0)
    # lips stand at both ends of the bearing of 24, a stem of 5 and half a play of 0.05 away
    x, y = (guide.lip_places - [100, 170]).T
    assert sorted(x) == pytest.approx([-2.55, -2.55, 2.55, 2.55])
    assert sorted(y) == pytest.approx([-12, -12, 12, 12])


def test_landings_are_dated_to_the_step():
    motion = run_demo("heron", "fast", turns=1)
    contact = motion.contacts["lifter"]
    time, speed = contact.hit[0]
    around = np.searchsorted(motion.times, time)
    assert contact.gap[around - 3] > 0.01
    assert contact.gap[around + 1] < 0.05
    assert time % 1e-3 > 1e-9
    assert speed > 50


def test_torque_is_the_mean_since_the_sample_before():
    # a wheel of known inertia brought up to speed: torque sums to the angular momentum, ms by ms
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], material: steel 4, mass: 1 g, inertia: 1 g mm2, bearing: {friction: 0}}
        handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm, strength: 100 N, mass: 1 g, inertia: 1 g mm2}
        wheel: {kind: wheel, on: shaft, radius: 50, mass: 500 g, inertia: 625000 g mm2}
        """,
        turns=0.2,
    )
    given = np.cumsum(motion.drive.torque) * 1e-3
    assert given[1:] == pytest.approx(625002 * motion.drive.speed[1:], rel=1e-6, abs=1.0)
    assert motion.drive.ceiling == pytest.approx(100 * NEWTON * 40)
