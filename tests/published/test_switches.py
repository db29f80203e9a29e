"""Switches, their drums and the motors they run, against published values.

CAM-25, on-time of a timing cam: lobe angle / (6 rpm) seconds, and off lags on by the switch's differential over the slope ds/dangle (any text on timers; class B: a step).
MO-01, a gear motor's straight line: a maker's sheet of May 2018 (100:1 at 6 V: 130 rpm unloaded, 7.4 kg mm stalled, 0.02 A and 0.36 A), 1.708 kg mm at 100 rpm.
References are recomputed here without the program.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.pieces import run

STEP = 1.01e-3  # s; one recorded sample
KG_MM = 9.80665e6  # g mm^2/s^2


def on_time(motion, name):
    """How long a switch was closed. [s]"""
    closed = motion.channels[f"{name}.closed"].values > 0.5
    edges = np.flatnonzero(np.diff(closed.astype(int)))
    assert len(edges) == 2, "closed once and opened once"
    return motion.times[edges[1]] - motion.times[edges[0]]


def timer(strips, speed, switch="", **ways):
    return run(
        f"""
        shaft: {{kind: shaft, at: [60, 60], bearing: {{ball: yes}}}}
        handle: {{kind: handle, on: shaft, speed: {speed}, starts over: 4}}
        drum: {{kind: timing drum, on: shaft, diameter: 60, tracks: {{lamp: [{strips}]}}}}
        mine: {{kind: switch, rides on: drum.lamp{switch}}}
        """,
        **ways,
    )


@pytest.mark.parametrize(
    ("strips", "speed", "lobe", "rpm", "published"),
    [("20 to 50", "1 rpm", 30, 1, 5.000), ("20 to 65", "4 rpm", 45, 4, 1.875)],
)
def test_cam_25_on_time_is_the_lobe_over_six_times_the_speed(
    strips, speed, lobe, rpm, published
):
    assert published == lobe / (6 * rpm)
    motion = timer(strips, speed, ", differential: 0", seconds=(lobe + 30) / (6 * rpm))
    assert on_time(motion, "mine") == pytest.approx(published, abs=STEP)


def test_cam_25_the_differential_makes_it_open_later():
    motion = timer("20 to 65", "4 rpm", ", differential: 2", seconds=80 / 24)
    assert on_time(motion, "mine") == pytest.approx((45 + 2) / 24, abs=STEP)


def test_cam_25_off_lags_by_the_differential_over_the_slope():
    # a fall of 6 mm over 60 degrees, straight: 0.1 mm a degree; the switches close half way up
    differentials = {"a": 0.2, "b": 0.5, "c": 1.0}
    switches = "".join(
        f"        {name}: {{kind: switch, rides on: cam, differential: {mm} mm, closes at: 3, angle: {angle}}}\n"
        for (name, mm), angle in zip(differentials.items(), (90, 135, 45), strict=True)
    )
    motion = run(
        f"""
        shaft: {{kind: shaft, at: [60, 60], bearing: {{ball: yes}}}}
        handle: {{kind: handle, on: shaft, speed: 20 rpm, starts over: 4}}
        cam:
          kind: cam
          on: shaft
          base radius: 24
          programme: [{{dwell: 90}}, {{rise: 6, over: 60, law: straight}}, {{dwell: 30}}, {{fall: 6, over: 60, law: straight}}, {{dwell: rest}}]
{switches}        """,
        seconds=2.7,
    )
    lobe = 60 + 30  # from the middle of the rise to the middle of the fall
    for name, mm in differentials.items():
        lag = mm / 0.1
        assert on_time(motion, name) == pytest.approx((lobe + lag) / (6 * 20), abs=STEP)


MOTOR = """
button: {{kind: coin slot, coin at: [0.1 s], pulse time: {pulse}}}
shaft: {{kind: shaft, at: [60, 60], material: steel 3, bearing: {{ball: yes}}, drag torque: {drag} N mm}}
flywheel: {{kind: wheel, on: shaft, radius: 30, mass: 60 g}}
motor: {{kind: motor, on: shaft, speed: 130 rpm, stall torque: 0.74 kg cm, runs while: button}}
"""
DRAG = 1.708 * KG_MM / 1e6  # N mm
STALL = 7.4 * KG_MM
UNLOADED = 130 * math.tau / 60


def test_mo_01_a_switched_motor_under_load_runs_at_the_sheets_speed():
    motion = run(MOTOR.format(pulse="1 s", drag=f"{DRAG:.4f}"), seconds=1.1)
    (drive,) = motion.drives
    assert drive.speed[-200:].mean() * 60 / math.tau == pytest.approx(
        100, rel=0.05
    )  # the sheet's own class
    assert drive.speed[-200:].mean() * 60 / math.tau == pytest.approx(
        100, rel=2e-3
    )  # the straight line's


def test_a_switched_motor_runs_up_and_out_as_its_equation_says():
    pulse, drag = 0.6, 4e6
    motion = run(MOTOR.format(pulse="600 ms", drag="4"))
    (drive,) = motion.drives
    inertia = (
        60 * 30**2 / 2 + STALL / UNLOADED * 0.03
    )  # the wheel's, and the rotor's through its gears
    own = 0.02 / 0.36 * STALL

    def pull(t, state):
        return [state[1], (STALL * (1 - state[1] / UNLOADED) - drag) / inertia]

    up = solve_ivp(pull, (0, pulse), [0.0, 0.0], rtol=1e-9, atol=1e-9)
    turned, speed = up.y[0, -1], up.y[1, -1]
    out = speed**2 * inertia / (2 * (own + drag))
    reached = float(np.interp(0.1 + pulse, motion.times, drive.angle))
    assert reached == pytest.approx(
        turned, rel=0.01
    )  # steel bar and ball bearing are left out above
    assert drive.angle[-1] - reached == pytest.approx(out, rel=0.02)
    assert motion.trust.residual_percent <= 0.5
