"""Ratchets through the whole program: what a pawl does against statics worked out here, and against a fall worked out by itself.

RT-01: H. A. Rothbart, *Mechanical Design and Systems Handbook*; J. H. Bickford, *Mechanisms for Intermittent Motion*; from memory, recomputed here. RT-02: any text.
Thresholds with Coulomb friction are bracketed within 2 %; forces within 1 %; counts are exact.
"""

import math
from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import animator
from tests.pieces import GRAVITY, NEWTON_MM, read, run

RADIUS, DEPTH, TEETH = 30.0, 6.0, 16
NOSE = 0.4  # mm; how round the program files a nose on teeth so deep
LENGTH = 40.0
MIDDLE = RADIUS - DEPTH / 2


def frame(undercut, below):
    """Nose, place where it touches the face and the face's outward normal, with the tip of the tooth on the x axis."""
    c, s = math.cos(undercut), math.sin(undercut)
    touch = np.array([RADIUS - below * c, below * s])
    normal = np.array([-s, -c])
    return touch + NOSE * normal, touch, normal


def seating_angle(undercut, pivot):
    """Angle by which the face's normal passes on the wheel's side of the pivot, as the nose lies half way down the face. [rad]"""
    below = brentq(lambda b: np.hypot(*frame(undercut, b)[0]) - MIDDLE, 0.0, DEPTH)
    nose, touch, normal = frame(undercut, below)
    # where the nose really is: on two circles, ahead of its pivot
    apart, reach = np.hypot(*pivot), LENGTH - NOSE
    inner = math.acos((apart**2 + MIDDLE**2 - reach**2) / (2 * apart * MIDDLE))
    turn = math.atan2(pivot[1], pivot[0]) + inner - math.atan2(nose[1], nose[0])
    c, s = math.cos(turn), math.sin(turn)
    turned = np.array([[c, -s], [s, c]])
    touch, normal = turned @ touch, turned @ normal
    line = np.array(pivot) - touch
    return math.atan2(normal[0] * line[1] - normal[1] * line[0], normal @ line)


PIVOT = (36.0, 22.0)


@cache
def nose_after(undercut_deg, friction):
    """Radius at which the nose ends when the teeth are pressed against it half way down a face; nothing else turns the pawl. [mm]"""
    text = f"""
        shaft: {{kind: shaft, at: [100, 100], view: top, starts at: START, material: steel 5, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: shaft, speed: 4 rpm, turns: clockwise, strength: 100 N mm, starts over: 1}}
        wheel: {{kind: ratchet wheel, on: shaft, teeth: {TEETH}, radius: {RADIUS:g}, depth: {DEPTH:g}, undercut: {undercut_deg:.4f}, turns: anticlockwise, material: steel 5}}
        pawl: {{kind: pawl, at: [{100 + PIVOT[0]:g}, {100 + PIVOT[1]:g}], view: top, length: {LENGTH:g}, holds: wheel, friction: {friction}, spring: {{torque: 0.000001 N mm}}, starts at: LIFT, bearing: {{friction: 0}}, material: brass 3}}
    """

    def nose(scene):
        return np.hypot(
            *(np.array(scene.starts["pawl"].place((LENGTH - NOSE, 0.0))) - (100, 100))
        )

    # a start at which the nose lies deep, then lifted to half the teeth's depth
    start = min(
        (0, 5, 10, 15, 20),
        key=lambda each: nose(read(text.replace("START", str(each)).replace("LIFT", "0"))),
    )
    text = text.replace("START", str(start))
    lift = brentq(
        lambda each: nose(read(text.replace("LIFT", f"{each:.6f}"))) - MIDDLE, -8.0, 0.0, xtol=1e-3
    )  # fmt: skip
    motion = animator.run(read(text.replace("LIFT", f"{lift:.6f}")), seconds=1.2)
    tip = motion.point("pawl", (LENGTH - NOSE, 0.0)) - (100, 100)
    return float(np.hypot(*tip[-1]))


@pytest.mark.parametrize(
    ("friction", "angle"), [pytest.param(0.15, 8.53, marks=pytest.mark.slow), (0.3, 16.70)]
)
def test_a_pawl_seats_itself_if_the_faces_lean_more_than_friction_holds(friction, angle):
    assert math.degrees(math.atan(friction)) == pytest.approx(angle, abs=0.005)

    def undercut(share):
        due = math.atan(friction) * share
        return math.degrees(
            brentq(lambda u: seating_angle(u, PIVOT) - due, math.radians(-20), math.radians(44))
        )

    seated, held = nose_after(undercut(1.02), friction), nose_after(undercut(0.98), friction)
    assert seated < RADIUS - DEPTH + 1.0  # drawn in to the bottom
    assert held == pytest.approx(MIDDLE, abs=0.1)  # stays where it was


HUNG = """
    shaft: {kind: shaft, at: [100, 100], starts at: START, material: steel 5, bearing: {friction: 0}}
    arm: {kind: crank, on: shaft, radius: 50, angle: -START, mass: 5 g, centre of mass: [0, 0]}
    load: {kind: weight, mass: 200 g, on: arm.pin}
    wheel: {kind: ratchet wheel, on: shaft, teeth: 24, radius: 30, undercut: 10, turns: anticlockwise, material: steel 4}
    pawl: {kind: pawl, at: 40 right and 26 above shaft, length: 38, holds: wheel, friction: 0, spring: {torque: 10 N mm}, bearing: {friction: 0}, mass: 3 g, centre of mass: [0, 0]}
"""


def across(arm, way):
    return float(arm[0] * way[1] - arm[1] * way[0])


def test_force_on_a_pawl_is_what_the_levers_say():
    motion = run(HUNG.replace("-START", "0").replace("START", "2"), seconds=1)
    end = slice(-50, None)
    wheel, pawl = motion.frame("shaft")[-1], motion.frame("pawl")[-1]
    load = motion.point("load", "hook")[-1]
    torque = 0.2e3 * GRAVITY * (load[0] - 100)  # g mm^2/s^2
    rows, right = [], []
    for key in ("pawl", "pawl.face"):
        contact = motion.contacts[key]
        rows.append(
            [
                across(contact.point[-1] - wheel[:2], contact.direction[-1]),
                across(contact.point[-1] - pawl[:2], contact.direction[-1]),
            ]
        )
    # on the wheel the pushes turn against the load, on the pawl against its spring
    right = [-torque, -10 * NEWTON_MM]
    due = np.linalg.solve(np.array(rows).T, right)
    got = [motion.contacts[key].normal[end].mean() for key in ("pawl", "pawl.face")]
    # more than the load over its arm: leaning faces wedge the nose against the back behind it
    assert 1.0 < due[1] / (torque / 29) < 1.4
    assert got == pytest.approx(list(due), rel=0.01)


def caught(start, second=False):
    """How far a loaded wheel runs back from a start before it is caught. [deg]"""
    text = HUNG.replace("-START", f"{-start:g}").replace("START", f"{start:g}")
    if second:
        turn = math.radians(180 + 7.5)  # half a tooth beside the first, on the other side
        x, y = (
            40 * math.cos(turn) - 26 * math.sin(turn),
            40 * math.sin(turn) + 26 * math.cos(turn),
        )
        text += f"    other: {{kind: pawl, at: [{100 + x:.4f}, {100 + y:.4f}], length: 38, holds: wheel, friction: 0, spring: {{torque: 10 N mm}}, bearing: {{friction: 0}}}}\n"
    motion = run(text, seconds=0.5)
    angle = np.degrees(motion.frame("shaft")[:, 2])
    return float(angle[0] - angle[-1])


# RT-02: pitch 360/z; lost motion under one pitch; n staggered pawls pitch/n
@pytest.mark.slow
def test_lost_motion_is_under_a_pitch_and_half_of_it_with_two_pawls():
    starts = (0.0, 4.0, 6.5, 9.0, 12.0)
    single = [caught(start) for start in starts]
    double = [caught(start, True) for start in starts]
    assert min(single) >= -0.01
    assert 12.0 <= max(single) + 0.01 < 15.0 + 0.02  # 360/24
    assert max(double) < 7.5 + 0.02
    # every start within one tooth ends at the same tooth: what is lost grows with the start
    rests = np.array([start - lost for start, lost in zip(starts, single, strict=True)])
    assert np.allclose((rests - rests[0] + 7.5) % 15 - 7.5, 0, atol=0.02)


WINCH = """
    shaft: {kind: shaft, at: [100, 200], starts at: 7, material: steel 5, bearing: {friction: 0}}
    drum: {kind: drum, on: shaft, diameter: 30, winds: anticlockwise, wound angle: 3 turns, mass: 60 g, inertia: 9000 g mm2}
    wheel: {kind: ratchet wheel, on: shaft, teeth: 12, radius: 30, turns: anticlockwise, mass: 40 g, inertia: 18000 g mm2}
    pawl: {kind: pawl, at: 40 right and 26 above shaft, length: 38, holds: wheel, friction: 0, spring: {torque: 0.2 N mm}, bearing: {friction: 0}}
    rope: {kind: string, from: drum, to: load, material: string 2}
    load: {kind: weight, mass: 100 g, hangs: 60}
"""


def test_a_ratcheted_winch_falls_and_is_caught_as_a_run_of_its_own_says():
    """The fall until the pawl catches, against wheel, drum and load on an elastic rope integrated by scipy."""
    motion = run(WINCH, seconds=0.3)
    angle = motion.frame("shaft")[:, 2]
    ((caught_at, _),) = motion.contacts["pawl.face"].hit[:1]
    last = int(caught_at / 1e-3)  # the sample before
    steel = 80 * math.pi * 2.5**2 * 7.85e-3
    inertia = 27000 + steel * 2.5**2 / 2
    radius = 15 + 1.0  # to the rope's middle
    stiff = motion.scene.parts["rope"].axial_stiffness / 60  # g/s^2 of the length that hangs

    def fall(t, state):
        turned, spin, sunk, speed = state
        pull = max(
            0.0, stiff * (sunk - radius * turned) + 0.02 * stiff**0.5 * (speed - radius * spin)
        )
        return [spin, pull * radius / inertia, speed, GRAVITY - pull / 100]

    end = motion.times[last]
    found = solve_ivp(fall, (0, end), [0, 0, 0, 0], rtol=1e-8, atol=1e-9, max_step=1e-4)
    # the pawl, sliding down the tooth's back under its little spring, helps by about a hundredth
    assert angle[0] - angle[last] == pytest.approx(found.y[0, -1], rel=0.02)
    sunk = motion.point("load", "hook")[:, 1]
    assert sunk[0] - sunk[last] == pytest.approx(found.y[2, -1], rel=0.02)
    assert math.degrees(angle[0] - angle[-1]) < 30.0  # caught within a tooth
    assert np.degrees(np.ptp(angle[-50:])) < 0.05
