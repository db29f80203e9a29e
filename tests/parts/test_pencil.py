import math
import re

import numpy as np
import pytest

import animator
from tests.drawn import at_start, refusal

SCENE = """
title: A pencil
frame: {width: 200, height: 160}
parts:
  shaft: {kind: shaft, at: [100, 60]}
  disc: {kind: wheel, on: shaft, radius: 50}
  crank: {kind: crank, on: shaft, radius: 30}
  slide: {kind: slider, slides: right, length: 60, guide: {at: [160, 120], ideal: yes}}
  pencil: {kind: pencil, on: crank.pin%s}
  handle: {kind: handle, on: shaft, speed: 60 rpm}
run: 1 turns
"""


def drawing(tmp_path, more=""):
    from animator.pictures.drawing import Drawing
    from animator.pictures.stuff import Stuffs

    path = tmp_path / "pencil.yaml"
    path.write_text(SCENE.replace("%s", more), "utf-8")
    motion = animator.run(animator.read(path))
    return motion, Drawing(motion, Stuffs())


def line_of(found):
    (mark,) = [mark for mark in found.marks if mark.sort == "pencil line"]
    return mark


def test_it_moves_with_its_point():
    parts = "crank: {kind: crank, on: shaft, radius: 20, angle: up}\npencil: {kind: pencil, on: crank.pin}"
    assert at_start(parts, "pencil", "lead") == pytest.approx((100, 80))


def test_its_line_lies_on_the_board_where_the_point_went(tmp_path):
    motion, found = drawing(tmp_path)
    mark = line_of(found)
    assert mark.is_still
    assert mark.depth[0] < -1e5  # behind everything
    low, high = mark.reach(found.moment(0.5)).min(0), mark.reach(found.moment(0.5)).max(0)
    # a circle of 30 round the shaft, in design units, y down
    assert np.array([low, high]) / found.k == pytest.approx(
        np.array([[70, -90], [130, -30]]), abs=0.05
    )
    assert motion.trust.is_ok


def test_on_the_disc_it_turns_with_it(tmp_path):
    _, found = drawing(tmp_path, ", draws on: disc")
    mark = line_of(found)
    assert not mark.is_still
    # a point fast to the disc leaves no way on it
    corners = mark.reach(found.moment(0.7))
    assert np.ptp(corners, axis=0).max() / found.k < 0.05


def test_a_trail_is_as_long_as_it_says(tmp_path):
    motion, found = drawing(tmp_path, ", trail: 90")
    mark = line_of(found)
    pieces = []

    class Canvas:
        def __getattr__(self, name):
            return lambda *a: pieces.append(a[0]) if name == "drawPath" else None

    mark.draw(Canvas(), found.moment(float(motion.times[-1])))
    spots = np.array(
        [(p.x(), p.y()) for path in pieces for p in path.getPoints(path.countPoints())]
    )
    angles = np.unwrap(np.arctan2(-(spots[:, 1] / found.k + 60), spots[:, 0] / found.k - 100))
    assert math.degrees(np.ptp(angles)) == pytest.approx(90, abs=1.5)


@pytest.mark.parametrize("look", ["client", "bench"])
def test_its_line_is_in_a_still_as_svg(tmp_path, look):
    from tests.command.running import call

    path, out = tmp_path / "pencil.yaml", tmp_path / "still.svg"
    path.write_text(SCENE.replace("%s", ', paint: "#12ab34"'), "utf-8")
    assert call("still", path, "--at", "90", "--look", look, "-o", out) == 0
    # the path, once broad and pale and once fine, on the board and beyond it
    assert len(re.findall("(?i)#12ab34", out.read_text("utf-8"))) >= 2


def test_tracer_is_a_pencil():
    assert refusal("p: {kind: tracer}") == ("no kind of part is called 'tracer'", "'pencil'")
