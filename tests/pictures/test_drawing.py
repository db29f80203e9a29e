import math

import numpy as np
import pytest

from animator.outlines import outline_in
from animator.pictures.drawing import Drawing
from animator.pictures.moment import Moment
from animator.pictures.pages.signs import witness
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs
from tests.pictures._runs import demo


def sorts(marks, part):
    return [mark.sort for mark in marks if mark.part == part]


@pytest.mark.slow
def test_nearer_marks_are_drawn_later():
    drawing = Drawing(demo("heron"), Stuffs(True))
    order = [(mark.part, mark.sort) for mark in drawing.marks]
    assert (
        order.index(("lift cam", "cam"))
        < order.index(("lift cam", "hub"))
        < order.index(("lifter", "stem"))
        < order.index(("lifter", "roller"))
    )
    assert order[-1] == ("handle", "knob")  # the handle is outside the cabinet
    coils = [i for i, (_, sort) in enumerate(order) if sort == "coil"]
    assert (
        coils[0] < order.index(("lifter", "stem")) < coils[1]
    )  # a spring's far halves lie behind the stem in it


def test_what_never_moves_is_known_and_what_moves_is_not_taken_for_still():
    drawing = Drawing(demo("heron"), Stuffs(True))
    still = {(mark.part, mark.sort) for mark in drawing.marks if mark.is_still}
    moving = {(mark.part, mark.sort) for mark in drawing.marks if not mark.is_still}
    assert ("lifter", "bush") in still
    assert ("camshaft", "bearing") in still
    assert {
        ("lift cam", "cam"),
        ("lifter", "stem"),
        ("heron", "figure"),
        ("handle", "knob"),
    } <= moving


def test_drawn_roller_touches_the_drawn_cam_as_the_run_says():
    motion = demo("heron")
    drawing = Drawing(motion, Stuffs(True))
    outline = np.array(outline_in(motion.scene, "lift cam").polygon())
    for t in np.linspace(motion.times[motion.begins], motion.times[-1], 30):
        moment = Moment(drawing, float(t))
        cam, tip = moment.pose("lift cam"), moment.point("lifter", "tip")
        edge = np.array([cam.place(tuple(p)) for p in outline])
        gap = np.hypot(*(edge - tip).T).min() - 5.0
        assert gap == pytest.approx(moment.of(motion.contacts["lifter"].gap), abs=0.02)


@pytest.mark.slow
def test_marks_follow_their_recorded_part():
    motion = demo("baker")
    drawing = Drawing(motion, Stuffs(True), 2.0)
    knob = next(mark for mark in drawing.marks if mark.sort == "knob")
    for t in (0.4, 1.1, 2.3):
        moment = Moment(drawing, t)
        middle = knob.reach(moment).mean(0)
        i = int(np.searchsorted(motion.times, t - 1e-9))
        x, y = motion.point("handle", "knob")[i]
        assert middle == pytest.approx((2.0 * x, -2.0 * y), abs=0.02)


def test_spring_keeps_its_turns_at_every_length():
    from animator.pictures.stuff import Coil

    coil = Coil(6.0, 8, 2.0)
    for length in (40.0, 17.0):
        far, near = coil.lines(length)
        assert far.countVerbs() == 2 * 8
        assert near.countVerbs() == 2 * 8 + 4  # and the two ground ends
        assert near.getBounds().width() == pytest.approx(length)


def test_cabinet_is_sized_from_the_frame_and_from_where_parts_go():
    stand = Stand(demo("heron"), Stuffs(True), 640, 640, (500, 600), "Heron")
    setting = stand.drawing.setting
    assert setting.kind == "stage"
    assert stand.base.w == pytest.approx(200 * stand.k)
    # the stage hides the guide's upper end, and no foot ever sinks into it
    feet = min(
        stand.drawing.sweep([mark])[0][1]
        for mark in stand.drawing.marks
        if mark.part == "heron"
    )
    assert 135 <= setting.level < feet
    assert stand.high > 30


def test_lying_piece_is_seen_from_above_and_its_riders_from_the_side():
    stand = Stand(demo("carousel", "band", 3.0), Stuffs(True), 640, 640, (600, 600), "Carousel")
    assert stand.is_flat
    assert stand.ride is not None
    assert not any(
        mark.part in ("carousel", "hare", "swan", "otter", "goose")
        for mark in stand.drawing.marks
    )
    # each rider stands over its place below: the mast over the spindle
    assert stand.ride_at[0] == pytest.approx(stand.drawing.first.spot("spindle")[0])


class Canvas:
    """Notes what is drawn: the frame each path is drawn in."""

    def __init__(self):
        self.turns, self.stack, self.deg = [], [], 0.0

    def save(self):
        self.stack.append(self.deg)

    def restore(self):
        self.deg = self.stack.pop()

    def rotate(self, deg):
        self.deg += deg

    def drawPath(self, path, paint):
        self.turns.append((round(self.deg, 6), round(path.getBounds().width(), 2)))

    def __getattr__(self, name):
        return lambda *arguments: None


def test_red_bar_stands_where_the_recorded_wheel_stands_and_the_dashed_one_where_it_was_due():
    motion = demo("carousel", "band", 3.0)
    drawing, slip, begins = Drawing(motion, Stuffs(True)), motion.slips["loop"], motion.begins
    t = float(motion.times[-1])
    canvas = Canvas()
    witness(canvas, drawing, slip, Moment(drawing, t))
    turned = math.degrees(
        motion.frame("load wheel")[-1, 2] - motion.frame("load wheel")[begins, 2]
    )
    lost = math.degrees(
        (slip.due[-1] - slip.due[begins] - slip.got[-1] + slip.got[begins]) / slip.radii[1]
    )
    bars = [deg for deg, _ in canvas.turns if deg]
    assert lost > 20
    assert bars[-1] == pytest.approx(-90 - turned, abs=0.1)
    assert any(deg == pytest.approx(-90 - turned - lost, abs=0.1) for deg in bars)
