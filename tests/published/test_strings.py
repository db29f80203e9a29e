"""Strings over pins, winches and push-pull wires against the capstan, against statics and dynamics reckoned anew, on recorded motion.

What slides over a pin at once is held to 1 % (Coulomb friction, class C); steps in time to 0.5 % (class B). None of the references imports the program.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import eigh_tridiagonal
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

import animator
from animator.geometry import Pose
from tests.pieces import GRAVITY, NEWTON, read, run

ROPE = 10.4  # mm; the middle of a string of 0.8 on a drum of 20
LIES = 2.4  # mm; and on a pin of 4


def winch(
    way, friction, drum, turns="anticlockwise", wound=0, mass=60, of=0.25, post=(120, 200)
):
    """A bob on a string over a pin to a drum, hauled up, or let down where the drum turns the other way."""
    return run(
        f"""
        shaft: {{kind: shaft, at: [{drum[0]}, {drum[1]}], material: steel 5, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: shaft, radius: 40, speed: 40 rpm, turns: {turns}, starts over: 20, strength: 50 N}}
        drum: {{kind: drum, on: shaft, diameter: 20, winds: {way}, wound angle: {wound}}}
        post: {{kind: pin, at: [{post[0]}, {post[1]}], diameter: 4, friction: {friction}}}
        line: {{kind: string, from: drum, by way of: [post], to: bob}}
        bob: {{kind: weight, mass: {mass} g, hangs: 120}}
        """,
        turns=of,
    )


def pull_at_drum(motion):
    """What the string pulls at the drum, from the torque at the handle. [g mm/s^2]"""
    return float(np.abs(motion.drive.torque[motion.begins + 60 :]).mean()) / ROPE


# ---------------------------------------------------------------- BELT-01, BELT-02: the capstan
# over a pin by 90 and by 180 degrees, friction 0.3: what lifts W is W e^(mu phi), what holds it when it is let down W / e^(mu phi)
@pytest.mark.parametrize(
    ("winds", "drum", "ratio"),
    [
        ("anticlockwise", (60, 200 + LIES - ROPE), 1.602),
        ("clockwise", (120 - LIES - ROPE, 60), 2.566),
    ],
)
def test_string_over_one_pin_lifts_and_lets_down_by_the_capstan(winds, drum, ratio):
    weight = 60 * GRAVITY
    lifting = winch(winds, 0.3, drum, turns=winds)
    assert pull_at_drum(lifting) / weight == pytest.approx(ratio, rel=1e-3)
    other = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}[winds]
    lowering = winch(winds, 0.3, drum, turns=other, wound=720)
    assert pull_at_drum(lowering) / weight == pytest.approx(1 / ratio, rel=1e-3)
    assert lowering.drive.torque[lowering.begins :].max() < 0  # the hand holds it back


# Euler 1769, Eytelwein 1832: one whole turn; tables print 1.874, 6.586 and 43.38
@pytest.mark.parametrize(("friction", "ratio"), [(0.1, 1.874), (0.3, 6.586), (0.6, 43.38)])
def test_one_turn_round_a_post_holds_by_the_capstan(friction, ratio):
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [{120 - ROPE}, 860], material: steel 5, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: shaft, radius: 40, speed: 20 rpm, turns: anticlockwise, starts over: 20, strength: 50 N}}
        drum: {{kind: drum, on: shaft, diameter: 20, winds: anticlockwise}}
        post: {{kind: pin, at: [120, 60], diameter: 4, friction: {friction}}}
        line: {{kind: string, from: drum, by way of: [post, post], to: bob}}
        bob: {{kind: weight, mass: 10 g, hangs: 50}}
        """,
        turns=0.1,
    )
    bend = motion.channels["line.bend 1"].values[motion.begins :].mean()
    assert bend == pytest.approx(math.tau, abs=4e-3)
    assert pull_at_drum(motion) / (10 * GRAVITY) == pytest.approx(ratio, rel=3e-3)


# ---------------------------------------------------------------- WN-01: the winch
def test_winch_lifts_by_its_ropes_middle_and_saves_force_by_the_cranks_arm():
    motion = winch("clockwise", 0, (120 - LIES - ROPE, 60), turns="clockwise")
    bob, turned = motion.frame("bob")[motion.begins :, 1], motion.drive.angle[motion.begins :]
    assert np.ptp(bob) / np.ptp(turned) == pytest.approx(ROPE, rel=1e-3)
    force = motion.drive.torque[motion.begins + 50 :].mean() / 40
    assert 60 * GRAVITY / force == pytest.approx(40 / ROPE, rel=1e-3)  # not 40 / 10


# ---------------------------------------------------------------- DY-05: Atwood's machine
@pytest.mark.parametrize(
    ("wheel", "wanted"),
    [
        ("{kind: pin, at: [100, 200], diameter: 40, friction: 0}", 0.89182),
        ("{kind: pulley, on: axle, diameter: 40, mass: 50 g, inertia: 10000 g mm2}", 0.80082),
    ],
)
def test_atwoods_machine(wheel, wanted):
    motion = run(
        f"""
        axle: {{kind: shaft, at: [100, 200], mass: 0.001 g, inertia: 0.001 g mm2, bearing: {{friction: 0}}}}
        wheel: {wheel}
        heavy: {{kind: weight, mass: 120 g, hangs: 60}}
        light: {{kind: weight, mass: 100 g, hangs: 100}}
        line: {{kind: string, from: heavy, by way of: [wheel], to: light}}
        """,
        seconds=0.3,
    )
    fall = motion.frame("heavy")[60:, 1]
    acceleration = -2 * np.polyfit(motion.times[60:], fall, 2)[0] / 1000
    assert acceleration == pytest.approx(wanted, rel=0.005)


def test_heavy_enough_a_weight_draws_the_other_over_a_rough_pin():
    # it slides from m1 / m2 = e^(mu pi) on: a = g (m1 - m2 e^(mu pi)) / (m1 + m2 e^(mu pi)), closed form
    def drop(mass):
        motion = run(
            f"""
            nail: {{kind: pin, at: [100, 200], diameter: 6, friction: 0.2}}
            heavy: {{kind: weight, mass: {mass} g, hangs: 60}}
            light: {{kind: weight, mass: 50 g, hangs: 120}}
            line: {{kind: string, from: heavy, by way of: [nail], to: light}}
            """,
            seconds=0.25,
        )
        fall = motion.frame("heavy")[50:, 1]
        return -2 * np.polyfit(motion.times[50:], fall, 2)[0], np.ptp(fall)

    ratio = math.exp(0.2 * math.pi)
    assert drop(50 * ratio * 0.99)[1] < 0.01
    heavy = 50 * ratio * 1.3
    wanted = GRAVITY * (heavy - 50 * ratio) / (heavy + 50 * ratio)
    assert drop(heavy)[0] == pytest.approx(wanted, rel=0.005)


def test_swinging_weight_draws_the_other_over_a_pin_as_lagrange_says():
    """Two weights over a smooth thick pin, one of them swinging: integrated anew with scipy.

    With w = l - r phi (l the free length, phi its angle from plumb, r the radius of the string's middle):
    (m1 + m2) w'' = m2 l phi'^2 - m1 g + m2 g cos(phi), l phi'' = -2 w' phi' - r phi'^2 - g sin(phi). Derived for this test.
    """
    scene = read(
        """
        nail: {kind: pin, at: [150, 260], diameter: 19.2, friction: 0}
        heavy: {kind: weight, mass: 55 g, hangs: 120}
        light: {kind: weight, mass: 50 g, hangs: 120}
        line: {kind: string, from: heavy, by way of: [nail], to: light}
        """
    )
    radius, swung, free = 10.0, math.radians(50), 120.0
    # let go from the side with as much string as it has: what comes off the pin makes it longer
    length = free + radius * swung
    x = 150 + radius * math.cos(swung) + length * math.sin(swung)
    y = 260 + radius * math.sin(swung) - length * math.cos(swung)
    motion = animator.run(
        replace(scene, starts={**scene.starts, "light": Pose(x, y, 0.0)}), seconds=0.8
    )
    assert motion.trust.is_ok, motion.trust.sentence

    def slopes(t, state):
        w, angle, dw, spin = state
        reach = w + radius * angle
        return [
            dw,
            spin,
            (50 * reach * spin**2 - 55 * GRAVITY + 50 * GRAVITY * math.cos(angle)) / 105,
            (-2 * dw * spin - radius * spin**2 - GRAVITY * math.sin(angle)) / reach,
        ]

    found = solve_ivp(
        slopes, (0, 0.8), [free, swung, 0, 0], t_eval=motion.times, rtol=1e-9, atol=1e-9
    )
    w, angle = found.y[:2]
    reach = w + radius * angle
    right = 150 + radius * np.cos(angle) + reach * np.sin(angle)
    up = 260 + radius * np.sin(angle) - reach * np.cos(angle)
    path = motion.frame("light")
    stroke = np.ptp(right)
    assert stroke > 150
    off = np.hypot(path[:, 0] - right, path[:, 1] - up)
    assert off.max() < 0.005 * stroke
    assert np.abs(motion.frame("heavy")[:, 1] - (260 - free + w - free)).max() < 0.005 * stroke


# ---------------------------------------------------------------- RUB-03: it never pushes
def test_string_never_pushes():
    motion = run(
        """
        nail: {kind: pin, at: [100, 200]}
        bob: {kind: weight, mass: 50 g, hangs: 40}
        line: {kind: string, from: nail, to: bob, slack: 25}
        """,
        seconds=0.2,
    )
    fallen = math.sqrt(2 * 25 / GRAVITY)  # when it has fallen what was slack
    is_falling = motion.times < fallen - 0.001
    pull = motion.channels["line.tension"].values
    assert np.all(pull >= 0)
    assert np.all(pull[is_falling] == 0)
    assert pull[np.searchsorted(motion.times, fallen) + 2] > NEWTON
    free = 160 - GRAVITY * motion.times**2 / 2
    assert np.abs(motion.frame("bob")[is_falling, 1] - free[is_falling]).max() < 0.1


# ---------------------------------------------------------------- Euler's strut
def euler_load(young, diameter, length, count=400):
    """Buckling load of a bar hinged at both ends, as the least eigenvalue of -E I v'' = P v by differences."""
    bend = young * math.pi * diameter**4 / 64
    step = length / count
    inner = count - 1
    least = eigh_tridiagonal(
        np.full(inner, 2.0), np.full(inner - 1, -1.0), select="i", select_range=(0, 0)
    )[0][0]
    return bend * least / step**2


# steel, E 206 GPa (usual tables): pi^2 E I / L^2 is 9.980 N for 1 mm and 100 mm
def test_wire_buckles_at_eulers_load():
    load = euler_load(206_000, 1.0, 100.0)
    assert load == pytest.approx(9.980, rel=1e-3)

    def pressed(force):
        """A weight that rests on an upright wire, in a guide without friction."""
        return run(
            f"""
            foot: {{kind: pin, at: [100, 60]}}
            strut: {{kind: wire, from: foot, to: ram.pin, material: steel 0.8}}
            ram: {{kind: slider, slides: up, length: 40, mass: 1 g, guide: {{at: [100, 150], ideal: yes}}}}
            load: {{kind: weight, on: ram.tip, mass: {force * NEWTON / GRAVITY - 1} g}}
            """,
            seconds=0.5,
        )

    light = pressed(0.1)
    length = light.scene.parts["strut"].length
    assert light.channels["strut.push"].values[-1] == pytest.approx(0.1 * NEWTON, rel=1e-3)
    load = euler_load(206_000, 0.8, length)
    held, bent = pressed(0.98 * load), pressed(1.02 * load)
    assert held.channels["strut.bow"].values[-1] == 0
    assert bent.channels["strut.bow"].values[-1] > 10
    assert held.channels["strut.push"].values[-1] == pytest.approx(
        0.98 * load * NEWTON, rel=1e-3
    )
    (said,) = bent.scene.parts["strut"].predict(bent)
    assert said.measure == "strut.push"
    assert bent.channels["strut.push"].values.max() == pytest.approx(said.value, rel=0.01)
    # bowed out it pushes as the elastica does: P / P_cr = (2 K / pi)^2 where it is shortened by 2 - 2 E / K of its length (complete elliptic integrals)
    shortened = 1 - (bent.point("ram", "pin")[:, 1] - 60) / length
    deep = np.flatnonzero((shortened > 0.01) & (shortened < 0.2))
    assert len(deep) > 50
    for i in deep[::20]:
        m = brentq(lambda m, i=i: 2 - 2 * ellipe(m) / ellipk(m) - shortened[i], 1e-9, 0.9)
        wanted = load * NEWTON * (2 * ellipk(m) / math.pi) ** 2
        assert bent.channels["strut.push"].values[i] == pytest.approx(wanted, rel=0.01)
