"""What turns in another view than the picture's: where it stands there, and that it is seen edge-on."""

import math

import numpy as np
import pytest

from animator.parts._views import VIEWS, leaning, plane_of
from animator.pictures.drawing import Drawing
from animator.pictures.moment import Moment
from animator.pictures.stuff import Stuffs
from tests.pieces import run

PIECE = """
axle: {kind: shaft, view: side, at: [30, 60], material: steel 6, bearing: {friction: 0}}
handle: {kind: handle, on: axle, radius: 35, speed: 60 rpm}
disc: {kind: wheel, on: axle, along: 70, radius: 30, material: beech 10, pins: {a: 20 up}}
upright: {kind: shaft, view: top, at: [120, 20], material: steel 6}
table: {kind: wheel, on: upright, along: 90, radius: 25, material: beech 8}
front: {kind: shaft, at: [150, 110], material: steel 6}
wheel: {kind: wheel, on: front, radius: 20, material: beech 10}
"""


@pytest.fixture(scope="module")
def drawing():
    return Drawing(run(PIECE, turns=0.6), Stuffs(True))


def test_stands_in_the_picture_where_the_room_says(drawing):
    now = Moment(drawing, float(drawing.motion.times[0]))
    assert now.point("disc") == pytest.approx((70, 60))
    assert now.point("table") == pytest.approx((120, 90))
    assert now.point("wheel") == pytest.approx((150, 110))
    assert set(drawing.across) == {"axle", "handle", "disc", "upright", "table"}


def test_what_is_farther_back_is_drawn_first(drawing):
    order = [mark.part for mark in drawing.marks if mark.part in ("disc", "table", "wheel")]
    assert order.index("disc") < order.index("table") < order.index("wheel")


def test_a_pin_passes_up_and_down_as_its_wheel_turns(drawing):
    motion = drawing.motion
    for t in np.linspace(motion.times[0], motion.times[-1], 7):
        now = Moment(drawing, float(t))
        x, y = now.point("disc", "a")
        assert x == pytest.approx(70)
        assert y == pytest.approx(60 + 20 * math.cos(now.pose("disc").angle))


def test_a_wheel_is_seen_from_its_edge(drawing):
    (mark,) = [m for m in drawing.marks if m.part == "disc" and m.sort == "wheel"]
    corners = mark.reach(drawing.first) / drawing.k
    assert np.ptp(corners, axis=0) == pytest.approx((10, 60))


def test_its_handle_stands_outside_the_wall(drawing):
    knob = next(mark for mark in drawing.marks if mark.sort == "knob")
    assert knob.reach(drawing.first)[:, 0].min() / drawing.k > drawing.scene.frame.width


@pytest.mark.parametrize("view", VIEWS)
def test_views_are_rooms_of_one_hand(view):
    plane = VIEWS[view]
    axes = np.array([plane.x, plane.y, plane.near])
    assert axes @ axes.T == pytest.approx(np.eye(3))
    assert np.linalg.det(axes) == pytest.approx(-1)  # back, not forward, is the third
    place = plane.room((3.0, 4.0), 5.0)
    assert plane.seen(place) == pytest.approx((3.0, 4.0, 5.0))


def test_a_leaning_plane_keeps_the_point_it_leans_about():
    plane = leaning(VIEWS["side"], (30.0, 60.0), 120.0, math.radians(30), (0.0, 1.0, 0.0))
    assert plane.room((30.0, 60.0)) == pytest.approx((120.0, 60.0, 30.0))
    assert plane.near == pytest.approx((math.cos(math.pi / 6), 0.5, 0.0))
    parts = drawing_parts()
    assert plane_of("joint", parts).near == pytest.approx((math.cos(math.pi / 6), -0.5, 0.0))


def drawing_parts():
    """Read a joint that goes on to the left, away from its handle, and leans up."""
    from tests.pieces import read

    return read(
        """
        axle: {kind: shaft, view: side, at: [30, 60]}
        handle: {kind: handle, on: axle, speed: 60 rpm}
        joint: {kind: universal joint, on: axle, along: 120, bend: 30, leans: up}
        """
    ).parts
