"""Cam laws, angles of pressure, radii of curvature against published and recomputed values.

VDI: VDI 2143 part 1 (Oct 1980). Norton: R. L. Norton, Cam Design and Manufacturing Handbook, peak factors. Rothbart: H. A. Rothbart, Cam
Design Handbook, basic curves. The printed values follow from exact closed forms, so the tolerance is that of the digits printed.
Every value is also recomputed here, by quadrature of the acceleration or by finite differences of the outline, without the program.
"""

import math

import numpy as np
import pytest
from scipy.integrate import cumulative_simpson
from scipy.optimize import minimize_scalar

from animator import outlines
from animator.outlines import LAWS, Lift, Stance, Stretch, Tip

PI = math.pi

# law: peak velocity, peak acceleration, lift at a quarter of the way: VDI, Norton, Rothbart; cubic derived. The last two from memory of Norton and VDI.
PEAKS = {
    "straight": (1, 0, 0.25),
    "parabolic": (2, 4, 0.125),
    "harmonic": (1.5708, 4.9348, 0.146447),
    "cycloidal": (2, 6.2832, 0.090845),
    "3-4-5": (1.875, 5.7735, 0.103516),
    "modified sine": (1.75960, 5.52796, 0.117178),
    "cubic": (1.5, 6, 0.15625),
    "4-5-6-7": (2.1875, 7.5132, 0.070557),
    "modified trapezoid": (2, 4.8881, 0.104480),
}

# acceleration of each law as its source defines it, in any scale; the rise is recomputed from it
SHAPES = {
    "parabolic": lambda x: np.where(x < 0.5, 1.0, -1.0),
    "harmonic": lambda x: np.cos(PI * x),
    "cycloidal": lambda x: np.sin(2 * PI * x),
    "3-4-5": lambda x: x * (1 - x) * (1 - 2 * x),
    "cubic": lambda x: 1 - 2 * x,
    "4-5-6-7": lambda x: x**2 * (1 - x) ** 2 * (1 - 2 * x),
    "modified sine": lambda x: np.where(
        x < 1 / 8,
        np.sin(4 * PI * x),
        np.where(x < 7 / 8, np.cos(4 * PI / 3 * (x - 1 / 8)), np.sin(4 * PI * (x - 1))),
    ),
    "modified trapezoid": lambda x: np.select(
        [x < 1 / 8, x < 3 / 8, x < 5 / 8, x < 7 / 8],
        [np.sin(4 * PI * x), np.ones_like(x), np.cos(4 * PI * (x - 3 / 8)), -np.ones_like(x)],
        np.sin(4 * PI * (x - 1)),
    ),
}


@pytest.mark.parametrize("law", PEAKS)
def test_peak_factors_of_the_laws_are_the_published_ones(law):
    # CAM-01, 02, 03, 04, 05, 07, 09
    velocity, acceleration, quarter = PEAKS[law]
    values = np.array([LAWS[law](x) for x in np.linspace(0, 1, 80001)])
    assert values[:, 1].max() == pytest.approx(velocity, abs=6e-5)
    assert np.abs(values[:, 2]).max() == pytest.approx(acceleration, abs=6e-5)
    assert LAWS[law](0.25)[0] == pytest.approx(quarter, abs=6e-7)


@pytest.mark.parametrize("law", SHAPES)
def test_laws_are_the_integrals_of_their_accelerations(law):
    # 80001 points with every joint of the laws among them; Simpson between the joints is good to 1e-8
    x = np.linspace(0, 1, 80001)
    acceleration = SHAPES[law](x)
    velocity = cumulative_simpson(acceleration, x=x, initial=0)
    rise = cumulative_simpson(velocity, x=x, initial=0)
    values = np.array([LAWS[law](t) for t in x])
    assert np.abs(values[:, 0] - rise / rise[-1]).max() < 2e-5
    assert np.abs(values[:, 1] - velocity / rise[-1]).max() < 1e-4


@pytest.mark.parametrize(
    ("law", "velocity_times_acceleration"),
    # peak of v a (torque factor), recomputed in the source's list: harmonic, 3-4-5, cycloidal, modified sine, parabolic
    [
        ("harmonic", 3.876),
        ("3-4-5", 6.694),
        ("cycloidal", 8.162),
        ("modified sine", 5.458),
        ("parabolic", 8.0),
    ],
)
def test_torque_factors_are_the_published_ones(law, velocity_times_acceleration):
    values = np.array([LAWS[law](x) for x in np.linspace(0, 1, 20001)])
    assert (values[:, 1] * values[:, 2]).max() == pytest.approx(
        velocity_times_acceleration, abs=1e-3
    )


def rise_and_rest(law, height, over_deg):
    over = math.radians(over_deg)
    rest = (2 * PI - 2 * over) / 2
    return Lift(
        [
            Stretch(0, over, 0, height, law),
            Stretch(over, rest, height, 0, law),
            Stretch(over + rest, over, height, -height, law),
            Stretch(2 * over + rest, rest, 0, 0, law),
        ]
    )


def pressure(lift, prime, stance, angle):
    low = outlines.seat_height(prime, Tip(), stance.offset)
    rise = lift.at(angle)
    return math.degrees(outlines.pressure_angle(rise, low + rise[0], stance))


@pytest.mark.parametrize(
    ("law", "height", "over", "prime", "offset", "largest", "where"),
    [
        (
            "cycloidal",
            20,
            90,
            40,
            0,
            27.374,
            41.31,
        ),  # CAM-13: Shigley/Uicker; Norton, Design of Machinery
        ("cycloidal", 20, 90, 40, 10, 17.782, 42.71),  # CAM-13 with an offset
        ("harmonic", 20, 60, 40, 0, 31.482, None),  # CAM-14, derived
        ("cycloidal", 20, 60, 40, 0, 37.836, None),
        ("3-4-5", 10, 90, 25, 0, 21.942, None),
    ],
)
def test_largest_pressure_angle_is_the_published_one(
    law, height, over, prime, offset, largest, where
):
    lift, stance = rise_and_rest(law, height, over), Stance(offset=offset)
    found = minimize_scalar(
        lambda a: -pressure(lift, prime, stance, a),
        bounds=(0, math.radians(over)),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert -found.fun == pytest.approx(largest, abs=1e-3)
    if where is not None:
        assert math.degrees(found.x) == pytest.approx(where, abs=0.01)


def test_an_offset_leans_the_push_during_the_dwell_before_the_rise():
    # CAM-13: -14.478 degrees for an offset of 10 on a prime circle of 40
    assert pressure(
        rise_and_rest("cycloidal", 20, 90), 40, Stance(offset=10), -0.1
    ) == pytest.approx(-14.478, abs=1e-3)


def test_smallest_prime_circle_for_thirty_degrees_is_the_published_one():
    # CAM-15: cycloidal, lift 20 over 90 degrees -> 35.019 mm
    lift = rise_and_rest("cycloidal", 20, 90)

    def largest(prime):
        return max(pressure(lift, prime, Stance(), math.radians(a / 50)) for a in range(4500))

    low, high = 20.0, 60.0
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if largest(middle) > 30 else (low, middle)
    assert high == pytest.approx(35.019, abs=0.01)


def test_pressure_angle_is_the_lean_of_the_outline_itself():
    # without the formula: normal of the laid-out curve where the roller touches it, for both senses and both sides of offset
    lift = rise_and_rest("cycloidal", 20, 90)
    for offset, sense in ((0, 1), (7, 1), (7, -1), (-7, 1)):
        stance = Stance(offset=offset, sense=sense)
        curve = outlines.roller_profile(lift, 30, 10, stance)
        for angle in (0.3, 0.7, 1.2, 2.0, 4.0):
            height = outlines.seat_height(30, Tip(10), offset) + lift.at(angle)[0]
            turn = -sense * angle
            x, y = (
                math.cos(turn) * offset - math.sin(turn) * height,
                math.sin(turn) * offset + math.cos(turn) * height,
            )
            _, gap, nx, ny, *_ = curve.closest(x, y, curve.near_all(x, y)[0][0])
            assert gap == pytest.approx(10, abs=2e-5)
            # the push, turned back into the plane; it leans to the left when the roller rises under an anticlockwise cam
            push = math.atan2(
                -(nx * math.cos(-turn) - ny * math.sin(-turn)),
                nx * math.sin(-turn) + ny * math.cos(-turn),
            )
            assert sense * push == pytest.approx(
                outlines.pressure_angle(lift.at(angle), height, stance), abs=2e-5
            )


@pytest.mark.parametrize(
    ("law", "least", "where"), [("cycloidal", 31.611, 0.7356), ("harmonic", 36.0, 1.0)]
)
def test_least_radius_of_the_pitch_curve_is_the_published_one(law, least, where):
    # CAM-17, Norton; Shigley: lift 20 over 90 degrees, prime circle 40
    lift = rise_and_rest(law, 20, 90)
    values = []
    for i in range(9001):
        x = i / 9000
        rise = LAWS[law](x)
        over = PI / 2
        state = (20 * rise[0], 20 * rise[1] / over, 20 * rise[2] / over**2)
        radius = outlines.pitch_radius(state, 40 + state[0], Stance())
        if radius > 0:
            values.append((radius, x))
    assert min(values)[0] == pytest.approx(least, rel=1e-4)
    assert min(values)[1] == pytest.approx(where, abs=2e-3)
    assert outlines.undercut(lift, 40 - 31, Tip(31), Stance()) is None
    assert law != "cycloidal" or outlines.undercut(lift, 40 - 32, Tip(32), Stance()) is not None


@pytest.mark.parametrize(("offset", "sense"), [(0, 1), (9, 1), (9, -1), (-9, 1)])
def test_radius_of_the_pitch_curve_is_that_of_the_path_drawn_out(offset, sense):
    # circle through three near points of the roller centre's path in the cam's frame
    lift, stance = rise_and_rest("3-4-5", 18, 100), Stance(offset=offset, sense=sense)
    low = math.sqrt(35**2 - offset**2)

    def path(angle):
        return (offset + 1j * (low + lift.at(angle)[0])) * np.exp(-1j * sense * angle)

    for angle in (0.2, 0.6, 1.0, 1.5, 3.0, 4.0):
        a, b, c = path(angle - 1e-3), path(angle), path(angle + 1e-3)
        area = ((b - a).conjugate() * (c - a)).imag / 2
        radius = -sense * abs(b - a) * abs(c - b) * abs(a - c) / (4 * area)
        rise = lift.at(angle)
        assert outlines.pitch_radius(rise, low + rise[0], stance) == pytest.approx(
            radius, rel=2e-4
        )


def test_flat_face_radius_and_reach_are_the_published_ones():
    # CAM-18, Norton; Shigley: cycloidal 20 over 90 degrees, base 40 -> least radius 7.147 mm, half face 25.465 mm
    lift = rise_and_rest("cycloidal", 20, 90)
    states = [lift.at(PI / 2 * i / 20000) for i in range(20001)]
    assert min(outlines.flat_radius(state, 40) for state in states) == pytest.approx(
        7.147, abs=1e-3
    )
    assert max(abs(state[1]) for state in states) == pytest.approx(25.465, abs=1e-3)
    curve = outlines.flat_profile(lift, 40)
    bend = min(1 / curve.closest(*curve.points[i], float(i))[6] for i in range(curve.count))
    assert bend == pytest.approx(7.147, abs=0.01)


def test_an_undercut_flat_face_cam_is_told():
    # CAM-18: harmonic 20 over 60 degrees, base 40 -> -30 mm at the top of the rise
    angle, radius = outlines.undercut(
        rise_and_rest("harmonic", 20, 60), 40, Tip(half_width=50), Stance()
    )
    assert radius == pytest.approx(-30, abs=1e-6)
    assert math.degrees(angle) == pytest.approx(60, abs=1e-6)
    base = outlines.smallest_base(
        rise_and_rest("harmonic", 20, 60), Tip(half_width=50), Stance()
    )
    assert base == pytest.approx(70, abs=0.01)


class Eccentric:
    phase = 0.0
    base_radius = 15.0
    programme = poses = drop = egg = None

    def __init__(self, radius, throw):
        self.eccentric = type("Disc", (), {"radius": radius, "throw": throw})


@pytest.mark.parametrize(
    ("turned", "height"),
    [(0, 40), (30, 38.24065), (60, 33.72281), (90, 28.28427), (120, 23.72281), (180, 20)],
)
def test_eccentric_lifts_a_roller_as_a_slider_crank(turned, height):
    # CAM-19: throw 10, disc and roller together 30; counted from the top, where ours begins at the bottom
    angle = math.radians(turned + 180)
    assert outlines.start_reach(Eccentric(25, 10), Tip(5), angle, Stance()) == pytest.approx(
        height, abs=6e-6
    )


def test_eccentric_lifts_a_flat_face_in_exact_harmonic_motion():
    # CAM-19: e (1 - cos)
    low = outlines.start_reach(Eccentric(25, 10), Tip(half_width=30), 0, Stance())
    for turned in np.linspace(0, 7, 30):
        height = outlines.start_reach(Eccentric(25, 10), Tip(half_width=30), turned, Stance())
        assert height - low == pytest.approx(10 * (1 - math.cos(turned)), abs=1e-12)
