"""Slider-cranks through the whole program, scene text to recorded motion, against exact values.

Tolerances: position 0.1 % of the stroke, velocity 0.5 % of its peak, acceleration 2 % of its peak, as a time-stepped run of rigid
bodies can promise; the runs come out far inside.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from tests.pieces import against_angle, run

SPEED = 2 * math.pi  # rad/s, 60 rpm


def slider_crank(radius, rod, aside=0, turns=1.3):
    """Let a crank turn anticlockwise from the right; the slider lies to the right and ``aside`` above the crankshaft."""
    return run(
        f"""
        crankshaft: {{kind: shaft, at: [60, 100], material: steel 5, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: crankshaft, speed: 60 rpm, strength: 5 N m}}
        crank: {{kind: crank, on: crankshaft, radius: {radius}, mass: 20 g}}
        rod: {{kind: rod, from: crank.pin, to: ram.pin, length: {rod}, mass: 10 g}}
        ram: {{kind: slider, slides: right, length: {2 * radius + 60}, mass: 20 g, guide: {{at: {rod + radius + 20} right and {aside} above crankshaft, ideal: yes}}}}
        """,
        turns=turns,
    )


@pytest.fixture(scope="module")
def place():
    """Distance from crankshaft to slider pin over the crank's angle, crank 40, rod 120."""
    motion = slider_crank(40, 120)
    return against_angle(motion, motion.point("ram", "pin")[:, 0] - 60)


# SC-01, any text: r = 40, l = 120; travel from the outer dead centre
@pytest.mark.parametrize(
    ("angle", "travel"),
    [
        (30, 7.03739),
        (45, 15.09669),
        (60, 25.10875),
        (90, 46.86292),
        (120, 65.10875),
        (150, 76.31942),
    ],
)
def test_slider_stands_where_the_textbook_says(place, angle, travel):
    exact = 40 * math.cos(math.radians(angle)) + math.sqrt(
        120**2 - (40 * math.sin(math.radians(angle))) ** 2
    )
    assert 160 - exact == pytest.approx(travel, abs=6e-6)  # the table itself, recomputed
    # 0.1 % of the stroke of 80 is asked for; the joints hold within some micrometres
    assert 160 - place(math.radians(angle + 360)) == pytest.approx(travel, abs=0.005)


# SC-02, any text: |v|/w and a/w^2 of the same
@pytest.mark.parametrize(
    ("angle", "velocity"),
    [(30, 25.8554), (45, 35.1442), (60, 40.6712), (90, 40.0), (120, 28.6108)],
)
def test_slider_is_as_fast_as_the_textbook_says(place, angle, velocity):
    assert -place(math.radians(angle + 360), 1) == pytest.approx(velocity, abs=0.005 * 42.19)


@pytest.mark.parametrize(
    ("angle", "acceleration"),
    [(0, -53.3333), (45, -28.6878), (90, 14.1421), (180, 26.6667)],
)
def test_slider_speeds_up_as_the_textbook_says(place, angle, acceleration):
    assert place(math.radians(angle + 360), 2) == pytest.approx(acceleration, abs=0.02 * 53.33)


# SC-03, derived: peak speed and where, r/l = 1/3 and 1/4
@pytest.mark.parametrize(
    ("rod", "where", "peak"), [(120, 73.175, 1.05464), (160, 76.721, 1.03088)]
)
def test_slider_is_fastest_where_it_should_be(rod, where, peak):
    def speed(angle):
        s, c = math.sin(angle), math.cos(angle)
        return 40 * s + 1600 * s * c / math.sqrt(rod**2 - 1600 * s * s)

    exact = minimize_scalar(
        lambda a: -speed(a), bounds=(1, 1.57), method="bounded", options={"xatol": 1e-10}
    )
    assert math.degrees(exact.x) == pytest.approx(where, abs=6e-4)
    assert -exact.fun / 40 == pytest.approx(peak, abs=6e-6)
    motion = slider_crank(40, rod)
    recorded = against_angle(motion, motion.point("ram", "pin")[:, 0])
    steady = brentq(lambda a: recorded(a, 2), math.tau + 1, math.tau + 1.57)
    assert -recorded(steady, 1) / 40 == pytest.approx(peak, rel=0.005)
    # the peak is flat: half a degree there is 0.004 % of the speed
    assert math.degrees(steady) - 360 == pytest.approx(where, abs=0.5)


# SC-07 (Norton; Shigley) and SC-08 (derived): offset slider-cranks
@pytest.mark.parametrize(
    ("radius", "rod", "aside", "stroke", "ratio"),
    [
        (40, 120, 30, 83.0004, 1.13292),
        (50, 150, 30, 102.3433, 1.10318),
        (25, 100, 20, 51.1055, 1.07205),
    ],
)
def test_offset_slider_has_the_published_stroke_and_time_ratio(
    radius, rod, aside, stroke, ratio
):
    motion = slider_crank(radius, rod, aside, turns=1.1)
    recorded = against_angle(motion, motion.point("ram", "pin")[:, 0])
    angles = np.linspace(motion.drive.angle[motion.begins], motion.drive.angle[-1], 4001)
    slopes = recorded(angles, 1)
    dead = [
        brentq(lambda a: recorded(a, 1), angles[i], angles[i + 1])
        for i in np.flatnonzero(slopes[:-1] * slopes[1:] < 0)
    ]
    assert len(dead) == 2
    places = recorded(dead)
    assert abs(places[1] - places[0]) == pytest.approx(stroke, abs=1e-3 * stroke)
    parts = sorted((dead[1] - dead[0], math.tau - dead[1] + dead[0]))
    assert parts[1] / parts[0] == pytest.approx(
        ratio, rel=2e-3
    )  # dead centres found within 0.05 degrees
