"""Stuffs as they are seen: a band as thin as its pull makes it, a string as it hangs, torn card, stitched leather, turned brass."""

import math

import numpy as np
import pytest

from animator.pictures import palette
from animator.pictures.drawing import Drawing
from animator.pictures.ink import Sheet, box, fill
from animator.pictures.loops import Loop, bowed, hanging
from animator.pictures.shapes import stitching, torn_edge
from animator.pictures.stuff import Stuffs
from tests.pictures._runs import demo


def length(points):
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


# ---------------------------------------------------------------- strings and bands
@pytest.mark.parametrize(
    ("a", "b", "long"),
    [
        ((10, -10), (70, -10), 60.01),
        ((90, -10), (150, -30), 75),
        ((170, -15), (230, -15), 240),
        ((0, 0), (-30, 12), 50),
    ],
)
def test_a_slack_string_hangs_in_a_catenary_of_its_own_length(a, b, long):
    points = hanging(a, b, long, 2001)
    assert points[0] == pytest.approx(a)
    assert points[-1] == pytest.approx(b)
    assert length(points) == pytest.approx(long, rel=1e-5)
    # the horizontal pull is the same everywhere: slope grows evenly with the length hung (the catenary's own equation, any text on statics)
    slope = np.diff(points[:, 1]) / np.diff(points[:, 0])
    run = np.cumsum(np.hypot(*np.diff(points, axis=0).T))
    per = np.diff(slope) / np.diff(run)
    assert per[10:-10] == pytest.approx(np.median(per), rel=0.02)


def test_a_taut_string_is_straight_and_one_hung_at_one_place_hangs_down():
    straight = hanging((0, 0), (30, 40), 50)
    assert np.ptp(straight[:, 0] * 4 - straight[:, 1] * 3) < 1e-9
    down = hanging((5, 0), (5.1, 0), 40)
    assert down[:, 1].min() == pytest.approx(-20, abs=0.1)
    assert length(down) == pytest.approx(40, abs=0.3)


def test_a_loose_span_bows_by_what_is_too_long():
    points = bowed((0, 0), (100, 0), 1.5)
    assert length(points) == pytest.approx(101.5, abs=0.05)
    assert bowed((0, 0), (100, 0), 1.5, -1)[12, 1] == -points[12, 1]


def test_the_pieces_of_a_loop_are_its_whole_length():
    loop = Loop((0, 0), 12, (110, 0), 30)
    assert sum(map(length, loop.pieces(400))) == pytest.approx(loop.length, rel=1e-4)


class Widths:
    """A canvas that notes how broad each stroke of one colour is."""

    def __init__(self, hue):
        self.hue, self.found = [c / 255 for c in palette.channels(hue)], []

    def drawPath(self, path, paint):
        c = paint.getColor4f()
        if np.allclose([c.fR, c.fG, c.fB], self.hue, atol=0.01):
            self.found.append(paint.getStrokeWidth())

    def __getattr__(self, name):
        return lambda *a, **k: None


def test_a_rubber_band_is_as_thin_as_its_recorded_pull_makes_it():
    motion = demo("carousel", "band", 4.0)
    drawing = Drawing(motion, Stuffs(), 3.0)
    belt = next(mark for mark in drawing.marks if mark.sort == "belt")
    t = float(motion.times[-1])
    canvas = Widths(palette.SOFT_STUFFS["rubber"][1])
    belt.draw(canvas, drawing.moment(t))
    stiff = motion.scene.parts["loop"].axial_stiffness
    # volume stays: the area of the section shrinks as the length grows (incompressible rubber; Treloar)
    due = [
        9.0 / math.sqrt(1 + motion.channels[f"loop.{word}"].values[-1] / stiff)
        for word in ("slack tension", "tension")
    ]
    assert canvas.found[2:] == pytest.approx(due, rel=1e-3) or canvas.found[
        2:
    ] == pytest.approx(due[::-1], rel=1e-3)
    assert abs(canvas.found[2] - canvas.found[3]) > 0.1
    assert not belt.is_still


def test_the_tight_span_is_the_one_the_driver_draws_in():
    motion = demo("carousel", "band", 4.0)
    drawing = Drawing(motion, Stuffs(), 3.0)
    belt = next(mark for mark in drawing.marks if mark.sort == "belt")
    canvas = Widths(palette.SOFT_STUFFS["rubber"][1])
    belt.draw(canvas, drawing.moment(float(motion.times[-1])))
    there, back = canvas.found[2:]
    slip = motion.slips["loop"]
    # run anticlockwise about the driver the belt goes out to the other wheel on the first span and comes back on the second
    assert (back < there) == (slip.due[-1] > slip.due[0])


# ---------------------------------------------------------------- faces
def drawn(details, hue="#808080"):
    sheet = Sheet(80, 80, 1.0)
    path = box(10, 10, 60, 60)
    sheet.canvas.drawPath(path, fill(hue))
    for detail in details(path):
        if callable(detail):
            detail(sheet.canvas)
        else:
            sheet.canvas.drawPath(*detail)
    return sheet.array


def test_torn_card_is_white_at_its_edge_only_and_nowhere_outside():
    got = drawn(lambda path: [torn_edge(path)])
    assert got[40, 11, :3].min() > 180
    assert got[40, 40, :3].tolist() == [128, 128, 128]
    assert got[5, 5, 3] == 0
    assert np.array_equal(got, drawn(lambda path: [torn_edge(path)]))


def test_leather_is_stitched_in_from_its_edge():
    got = drawn(lambda path: [stitching(path, 5)])[..., :3].astype(int)
    changed = np.abs(got - 128).max(-1)[12:68, 12:68] > 40
    rows, columns = np.nonzero(changed)
    assert len(rows) > 40
    assert set(np.minimum(np.minimum(rows, columns), np.minimum(55 - rows, 55 - columns))) <= {
        2,
        3,
        4,
    }
