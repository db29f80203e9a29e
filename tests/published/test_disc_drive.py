"""A disc rubbed round by a cam, against two reckonings that know no torque formula.

The first integrates the disc's turning with Coulomb friction as a vector at the touching place (scipy), the second is a rigid-body run in three
dimensions (MuJoCo): a ball as large as the cam's circle touches the disc's flat underside in the very point where a thin cam would. The program
itself is not used by either. Tolerance 1 % of the turns got.
"""

import itertools
import math

import mujoco
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.pieces import GRAVITY, run

pytestmark = pytest.mark.slow
OFFSET, FRICTION, MASS, INERTIA, RPM = 6.0, 0.4, 40.0, 18000.0, 30.0
SPEED = RPM * math.pi / 30
# outline in the scene's words, and its circles: how far out the middle lies, radius [mm]; lowest at the start
OUTLINES = {
    "eccentric: {radius: 18, throw: 4}": [(4.0, 18.0)],
    "egg: {radius: 16, nose radius: 7, reach: 13}": [(0.0, 16.0), (13.0, 7.0)],
}


@pytest.fixture(scope="module", params=OUTLINES)
def piece(request):
    motion = run(
        f"""
        camshaft: {{kind: shaft, at: [90, 50], material: steel 6, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: camshaft, radius: 50, speed: {RPM} rpm, strength: 50 N}}
        egg: {{kind: cam, on: camshaft, {request.param}, material: beech 4}}
        ice:
          kind: friction disc
          follows: egg
          offset: {OFFSET}
          diameter: 60
          mass: {MASS} g
          inertia: {INERTIA} g mm2
          material: birch ply 6
          friction: {FRICTION}
          guide: {{at: 60 above camshaft, ideal: yes}}
        """,
        turns=1.8,
    )
    return OUTLINES[request.param], motion


def last_turn(motion):
    """Turns of the disc in the last whole turn of the cam, and its speeds."""
    angle = motion.drive.angle
    start = int(np.searchsorted(angle, angle[-1] - math.tau))
    spin = motion.channels["ice.spin"].values
    return (spin[-1] - spin[start]) / math.tau, np.gradient(spin, motion.times)[start + 2 : -2]


def rubbed_round(circles, turns=3):
    """Turn the disc by friction alone: force -mu N u/|u|, rounded off below a slow speed; blows are integrated over their push."""

    def stand(angle):
        """Place of the touch beside the spindle's plane, its height, and the height's speed and acceleration."""
        out, radius = max(circles, key=lambda circle: circle[1] - circle[0] * math.cos(angle))
        c, s = math.cos(angle), math.sin(angle)
        return out * s, radius - out * c, out * s * SPEED, out * c * SPEED**2

    def torque(spin, x, height):
        """Torque about the spindle for each unit of push."""
        slide = np.array([spin * OFFSET + SPEED * height, -spin * x])
        force = -FRICTION * slide / math.sqrt(slide @ slide + 0.05**2)
        return OFFSET * force[0] - x * force[1]

    def turning(t, state):
        x, height, _, acceleration = stand(SPEED * t)
        return [
            torque(state[0], x, height) * MASS * (GRAVITY + acceleration) / INERTIA,
            state[0],
        ]

    cuts = [0.0, math.tau]
    if len(circles) == 2:
        (out, radius), (far, nose) = circles
        cuts[1:1] = [
            math.acos((nose - radius) / (far - out)),
            math.tau - math.acos((nose - radius) / (far - out)),
        ]
    state, ends, speeds = [0.0, 0.0], [], []
    for turn in range(turns):
        speeds = []
        for start, end in itertools.pairwise(cuts):
            span = (
                (start + math.tau * turn) / SPEED + 1e-12,
                (end + math.tau * turn) / SPEED - 1e-12,
            )
            found = solve_ivp(
                turning, span, state, method="LSODA", rtol=1e-8, atol=1e-8, max_step=0.01
            )
            state = list(found.y[:, -1])
            speeds.extend(found.y[0])
            (*_, before, _), (x, height, after, _) = stand(end - 1e-9), stand(end + 1e-9)
            blow = MASS * (after - before)
            if blow > 1e-6:
                kicked = solve_ivp(
                    lambda _, spin, x=x, height=height: [torque(spin[0], x, height) / INERTIA],
                    (0, blow),
                    state[:1],
                    method="LSODA",
                    rtol=1e-8,
                )
                state[0] = kicked.y[0, -1]
        ends.append(state[1] / math.tau)
    return abs(ends[-1] - ends[-2]), np.abs(speeds)


def rubbed_round_in_space(circles, dt=1e-4):
    """Turn the disc in a three-dimensional run."""
    balls = "".join(
        f'<geom type="sphere" size="{radius / 1e3}" pos="0 0 {-out / 1e3}" mass="0.001" friction="{FRICTION} 0 0"/>'
        for out, radius in circles
    )
    low = max(radius - out for out, radius in circles) / 1e3
    inertia = INERTIA * 1e-9
    model = mujoco.MjModel.from_xml_string(
        f"""
        <mujoco>
          <option timestep="{dt}" gravity="0 0 -9.80665" cone="elliptic" impratio="10" tolerance="1e-12"/>
          <default><geom solref="{2.5 * dt} 1" solimp="0.99 0.999 0.0001" condim="3"/></default>
          <worldbody>
            <body><joint type="hinge" axis="0 -1 0" armature="1000"/>{balls}</body>
            <body pos="0 {OFFSET / 1e3} {low}">
              <joint type="slide" axis="0 0 1"/><joint type="hinge" axis="0 0 1"/>
              <inertial pos="0 0 0" mass="{MASS / 1e3}" diaginertia="{inertia} {inertia} {inertia}"/>
              <geom type="cylinder" size="0.03 0.003" pos="0 0 0.003" friction="{FRICTION} 0 0"/>
            </body>
          </worldbody>
        </mujoco>"""
    )
    data = mujoco.MjData(model)
    data.qvel[0] = SPEED  # a very heavy camshaft keeps its speed
    ends = []
    for turn in (1, 2, 3):
        while data.time < turn * math.tau / SPEED - dt / 2:
            mujoco.mj_step(model, data)
        ends.append(data.qpos[2] / math.tau)
    return abs(ends[-1] - ends[-2])


def test_disc_turns_as_friction_at_the_touch_turns_it(piece):
    circles, motion = piece
    turns, speeds = last_turn(motion)
    exact, exact_speeds = rubbed_round(circles)
    assert turns == pytest.approx(exact, rel=0.01)
    assert turns == pytest.approx(exact, rel=0.001)  # what it really holds
    assert speeds.min() == pytest.approx(exact_speeds.min(), rel=0.01)
    assert speeds.max() == pytest.approx(exact_speeds.max(), rel=0.01)
    # the simple law, rim speed over lever arm, is an eighth too much
    heights = [
        max(r - a * math.cos(angle) for a, r in circles)
        for angle in np.linspace(0, math.tau, 1000)
    ]
    assert np.mean(heights) / OFFSET > 1.1 * turns


def test_disc_turns_as_in_three_dimensions(piece):
    circles, motion = piece
    turns, _ = last_turn(motion)
    assert turns == pytest.approx(rubbed_round_in_space(circles), rel=0.01)


def test_disc_goes_up_and_down_with_the_outline(piece):
    circles, motion = piece
    top = motion.point("ice", "rim")[:, 1]
    angle = motion.drive.angle
    exact = np.max([radius - out * np.cos(angle) for out, radius in circles], axis=0)
    assert np.abs((top - top[0]) - (exact - exact[0]))[motion.begins :].max() < 0.02
