"""Outlines give the lift that was asked for, whichever way the cam runs and the follower stands."""

import math

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.spatial import ConvexHull

from animator import outlines
from animator.outlines import LAWS, Lift, PoseLift, Stance, Stretch, Tip
from animator.parts.cam import Cam

PI = math.pi
DEG = PI / 180


def text(value):
    """Numbers as a scene would write them: every value is text."""
    if isinstance(value, dict):
        return {str(key): text(item) for key, item in value.items()}
    return [text(item) for item in value] if isinstance(value, list) else str(value)


def make_cam(**said):
    return Cam.model_validate(
        text(
            {
                "kind": "cam",
                "on": "shaft",
                "base radius": 18,
                **{key.replace("_", " "): value for key, value in said.items()},
            }
        )
    )


HERON = [
    {"rise": 14, "over": 120, "law": "cycloidal"},
    {"dwell": 90},
    {"fall": 14, "over": 50, "law": "modified sine"},
    {"dwell": "rest"},
]
STANCES = [
    Stance(d, e, s)
    for d, e in ((PI / 2, 0.0), (PI / 2, 6.0), (2.0, -6.0), (0.0, 3.0))
    for s in (1, -1)
]


def highest(polygon, tip, stance, turned):
    """Height of a tip lowered along its slide until it meets a finely drawn outline; nothing of the program is used."""
    angle = stance.sense * turned + PI / 2 - stance.direction
    fine = CubicSpline(
        np.arange(len(polygon) + 1), np.vstack([polygon, polygon[:1]]), bc_type="periodic"
    )(np.arange(0, len(polygon), 0.1))
    z = (fine[:, 0] + 1j * fine[:, 1]) * np.exp(1j * angle)
    x, y = z.real - stance.offset, z.imag
    if tip.half_width is not None:
        return y[np.abs(x) <= tip.half_width].max()
    if not tip.radius:
        i = np.nonzero((x <= 0) != (np.roll(x, -1) <= 0))[0]
        j = (i + 1) % len(x)
        return (y[i] - x[i] * (y[j] - y[i]) / (x[j] - x[i])).max()
    under = np.abs(x) < tip.radius
    return (y[under] + np.sqrt(tip.radius**2 - x[under] ** 2)).max()


@pytest.mark.parametrize("stance", STANCES)
@pytest.mark.parametrize(
    "tip", [Tip(5), Tip(0), Tip(half_width=40)], ids=["roller", "knife", "flat"]
)
def test_outline_gives_the_wanted_lift(stance, tip):
    cam = make_cam(
        programme=HERON
        if tip.half_width is None
        else [*HERON[:2], {"fall": 14, "over": 120}, {"dwell": "rest"}],
        phase=40,
    )
    polygon = np.array(outlines.outline_of(cam, tip, stance).polygon())
    lift = outlines.lift_of(cam)
    low = outlines.seat_height(18.0, tip, stance.offset)
    for turned in np.linspace(0, 6.2, 11):
        assert highest(polygon, tip, stance, turned) == pytest.approx(
            low + lift.turned(turned)[0], abs=0.02 if tip == Tip() else 2e-4
        )
        assert outlines.start_reach(cam, tip, turned, stance) == pytest.approx(
            low + lift.turned(turned)[0], abs=1e-9
        )


def test_programme_begins_under_the_follower_when_the_handle_stands_at_nought():
    for stance in STANCES:
        reach = [
            outlines.start_reach(make_cam(programme=HERON), Tip(5), a * DEG, stance)
            for a in (-10, 0, 30, 60, 120, 200, 260)
        ]
        rest, start, rising, half, top, still, down = np.array(reach) - reach[0]
        assert (rest, start, down) == pytest.approx((0, 0, 0), abs=1e-9)
        assert 0 < rising < half == pytest.approx(7, abs=1e-9)
        assert top == still == pytest.approx(14, abs=1e-9)


def test_phase_makes_the_programme_begin_later():
    late = make_cam(programme=HERON, phase=90)
    for turned in (0, 1, 2, 3):
        assert outlines.start_reach(late, Tip(5), turned + PI / 2, Stance()) == pytest.approx(
            outlines.start_reach(make_cam(programme=HERON), Tip(5), turned, Stance())
        )


@pytest.mark.parametrize("stance", STANCES)
@pytest.mark.parametrize(
    "tip",
    [Tip(5), Tip(0), Tip(half_width=40), Tip(half_width=4)],
    ids=["roller", "knife", "flat", "narrow flat"],
)
@pytest.mark.parametrize(
    "cam",
    [
        make_cam(eccentric={"radius": 20, "throw": 6}, phase=23),
        make_cam(egg={"radius": 16, "nose radius": 7, "reach": 13}, phase=23),
        make_cam(egg={"radius": 9, "nose radius": 9, "reach": 30}),
    ],
    ids=["eccentric", "egg", "bean"],
)
def test_circles_and_their_tangents_are_followed_exactly(cam, tip, stance):
    polygon = np.array(outlines.outline_of(cam, tip, stance).polygon())
    circles = outlines.circles_of(cam, stance)
    for turned in np.linspace(0, 6.2, 11):
        height, slope, bend = outlines.hull_reach(circles, tip, stance, turned)
        assert height == pytest.approx(highest(polygon, tip, stance, turned), abs=0.02)
        low, high = (
            outlines.hull_reach(circles, tip, stance, turned + h) for h in (-1e-5, 1e-5)
        )
        assert slope == pytest.approx((high[0] - low[0]) / 2e-5, abs=1e-3)
        if abs(high[2] - low[2]) < 0.1:  # not on a joint of arc and tangent
            assert bend == pytest.approx((high[1] - low[1]) / 2e-5, abs=2e-2)


def test_egg_outline_is_the_hull_of_its_two_circles():
    cam = make_cam(egg={"radius": 16, "nose radius": 7, "reach": 13})
    polygon = np.array(outlines.outline_of(cam, Tip(), Stance()).polygon())
    around = np.exp(1j * np.linspace(0, 2 * PI, 20000))
    cloud = np.concatenate([16 * around, -13j + 7 * around])
    assert ConvexHull(np.stack([cloud.real, cloud.imag], 1)).area == pytest.approx(
        np.hypot(*np.diff(np.vstack([polygon, polygon[:1]]), axis=0).T).sum(), rel=1e-5
    )
    assert polygon[:, 1].min() == pytest.approx(
        -20, abs=1e-3
    )  # it starts with the nose away from the follower


def test_lift_of_an_egg_is_the_nose_beyond_the_round():
    cam = make_cam(egg={"radius": 16, "nose radius": 7, "reach": 13})
    flat = Tip(half_width=30)
    reach = [outlines.start_reach(cam, flat, a, Stance()) for a in np.linspace(0, 2 * PI, 721)]
    assert (min(reach), max(reach)) == pytest.approx((16, 20), abs=1e-9)
    # the flat changes from round to nose where both are as high: 16 = 7 + 13 cos -> 46.2 degrees from the nose
    assert np.mean(np.array(reach) > 16 + 1e-9) * 180 == pytest.approx(
        math.degrees(math.acos(9 / 13)), abs=0.5
    )


def test_poses_run_through_their_heights_like_the_periodic_spline():
    heights = {0.0: 0.0, 70 * DEG: 9.0, 150 * DEG: 2.0, 200 * DEG: 12.0, 300 * DEG: 1.0}
    lift = PoseLift(heights)
    angles = [*heights, 2 * PI]
    spline = CubicSpline(angles, [*heights.values(), 0.0], bc_type="periodic")
    for angle in np.linspace(0, 6.28, 50):
        assert lift.at(angle) == pytest.approx(
            [float(spline(angle, n)) for n in range(3)], abs=1e-9
        )
    assert lift.at(PI * 2 + 0.3) == pytest.approx(lift.at(0.3))


def test_pose_at_a_whole_turn_is_the_pose_at_nought():
    assert PoseLift({0.0: 3.0, PI: 8.0, 2 * PI: 3.0}).at(0.0)[0] == pytest.approx(3.0)


@pytest.mark.parametrize("sense", [1, -1])
def test_drop_rises_evenly_stays_and_falls_off_its_edge(sense):
    cam = make_cam(drop={"lift": 12, "rise over": 300, "fall over": 5})
    stance = Stance(sense=sense)
    outline = outlines.outline_of(cam, Tip(4), stance)
    heights = [outline.reach(Tip(4), stance, a * DEG) for a in (0.5, 150, 300, 340, 354, 358)]
    assert heights[1] == pytest.approx(
        18 + 4 + 6, abs=0.15
    )  # on a slope the roller sits a little higher than a knife
    assert heights[2:5] == pytest.approx([34, 34, 34], abs=0.15)
    assert outline.reach(Tip(), stance, 358 * DEG) < 26
    assert outline.reach(Tip(), stance, 0.5 * DEG) == pytest.approx(18, abs=0.15)
    # a roller is too thick to reach the foot of the step at once
    assert heights[0] > 22.5
    curve = outline.curve
    turned = [curve.evaluate(i / 3) for i in range(3 * curve.count)]
    sharpest = max(
        abs(tx * ay - ty * ax) / math.hypot(tx, ty) ** 3 for _, _, tx, ty, ax, ay in turned
    )
    assert 1 / sharpest > 0.05  # corners are rounded, not sharp


def test_straight_steps_are_cut_as_the_roller_cuts_them():
    rise, fall = ({way: 12, "over": 90, "law": "straight"} for way in ("rise", "fall"))
    cam = make_cam(programme=[rise, {"dwell": 90}, fall, {"dwell": "rest"}])
    for tip in (Tip(5), Tip(half_width=20)):
        outline = outlines.outline_of(cam, tip, Stance())
        polygon = np.array(outline.polygon())
        around = np.unwrap(np.arctan2(polygon[:, 1], polygon[:, 0]))
        assert np.all(np.diff(around) > 0)  # no loops are left
        wanted = outlines.lift_of(cam)
        low = 18 + tip.radius
        short = [
            low + wanted.turned(a * DEG)[0] - outline.reach(tip, Stance(), a * DEG)
            for a in range(360)
        ]
        assert max(short) < (0.6 if tip.radius else 1.2)
        assert min(short) > -0.1
        assert np.median(np.abs(short)) < 0.01


def test_closest_finds_the_foot_of_the_perpendicular():
    cam = make_cam(eccentric={"radius": 20, "throw": 6})
    curve = outlines.outline_of(cam, Tip(), Stance()).curve
    for x, y in ((30, 5), (-8, 25), (2, -40), (13, 11)):
        s, distance = curve.near_all(x, y)[0]
        s, distance, nx, ny, px, py, bend = curve.closest(x, y, s)
        assert distance == pytest.approx(math.hypot(x, y + 6) - 20, abs=1e-7)
        assert math.hypot(px, py + 6) == pytest.approx(20, abs=1e-7)
        assert (nx, ny) == pytest.approx(((px) / 20, (py + 6) / 20), abs=1e-6)
        assert bend == pytest.approx(0.05, rel=1e-3)


def test_far_side_of_the_cam_is_no_contact():
    cam = make_cam(eccentric={"radius": 20, "throw": 0})
    assert len(outlines.outline_of(cam, Tip(), Stance()).curve.near_all(0, 30)) == 1


def test_support_is_the_farthest_place_in_a_direction():
    curve = outlines.roller_profile(
        Lift([Stretch(0, PI, 0, 8, "cycloidal"), Stretch(PI, PI, 8, -8, "cycloidal")]), 20, 0
    )
    for angle in np.linspace(0, 6, 13):
        c, s = math.cos(angle), math.sin(angle)
        at, x, y = curve.support(c, s, curve.support_global(c, s))
        fine = max(
            curve.evaluate(at + k / 50)[0] * c + curve.evaluate(at + k / 50)[1] * s
            for k in range(-200, 201)
        )
        assert x * c + y * s == pytest.approx(fine, abs=1e-9)


def test_curve_is_the_periodic_cubic_spline():
    rng = np.random.default_rng(3)
    points = (
        np.stack([np.cos(np.arange(40) * PI / 20), np.sin(np.arange(40) * PI / 20)], 1)
        * (20 + rng.random(40))[:, None]
    )
    spline = CubicSpline(np.arange(41), np.vstack([points, points[:1]]), bc_type="periodic")
    curve = outlines.Curve(points)
    for s in np.linspace(0, 39.9, 57):
        assert curve.evaluate(s) == pytest.approx(
            np.concatenate([spline(s), spline(s, 1), spline(s, 2)]), abs=1e-9
        )


def test_second_follower_feels_the_outline_laid_out_for_the_first():
    cam = make_cam(programme=HERON)
    first, second = Stance(PI / 2), Stance(PI)
    outline = outlines.outline_of(cam, Tip(5), first)
    for turned in (0.3, 1.5, 3.0, 4.5):
        assert outline.reach(Tip(5), first, turned) == pytest.approx(
            outlines.start_reach(cam, Tip(5), turned, first), abs=2e-3
        )
        # a quarter turn farther on in the running direction
        assert outline.reach(Tip(5), second, turned + PI / 2) == pytest.approx(
            outline.reach(Tip(5), first, turned), abs=2e-3
        )


def test_a_follower_beside_its_cam_is_told():
    with pytest.raises(ValueError, match="beside"):
        outlines.start_reach(
            make_cam(eccentric={"radius": 10, "throw": 0}),
            Tip(),
            0,
            Stance(offset=12),
        )
    with pytest.raises(ValueError, match="misses"):
        outlines.start_reach(make_cam(programme=HERON), Tip(2), 0, Stance(offset=30))


@pytest.mark.parametrize("law", LAWS)
def test_every_law_begins_and_ends_where_it_should(law):
    assert LAWS[law](0.0)[0] == pytest.approx(0, abs=1e-12)
    assert LAWS[law](1.0)[0] == pytest.approx(1, abs=1e-12)
    x = np.linspace(0.001, 0.999, 1999)
    values = np.array([LAWS[law](t) for t in x])
    assert np.all(np.diff(values[:, 0]) > 0)
    assert np.abs(np.gradient(values[:, 0], x) - values[:, 1])[1:-1].max() < 2e-3
