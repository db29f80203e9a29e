import math

import numpy as np
import pytest

from animator.pictures.drawing import Drawing
from animator.pictures.loops import ChainLine, Loop, belt_marks, chain_links, sprocket_outline
from animator.pictures.stuff import Stuffs
from tests.pictures._runs import demo


def test_belt_lies_on_both_wheels_and_runs_straight_between():
    loop = Loop((0, 0), 12, (110, 0), 30)
    # two tangents and two arcs, by hand: lean = asin(18 / 110)
    lean = math.asin(18 / 110)
    by_hand = 2 * 110 * math.cos(lean) + 12 * (math.pi - 2 * lean) + 30 * (math.pi + 2 * lean)
    assert loop.length == pytest.approx(by_hand, abs=1e-9)
    places = loop.line(4000)
    steps = np.hypot(*np.diff(np.vstack([places, places[:1]]), axis=0).T)
    assert steps.max() == pytest.approx(loop.length / 4000, rel=1e-3)
    assert np.hypot(*places.T).min() == pytest.approx(12, abs=1e-9)
    assert np.hypot(*(places - (110, 0)).T).min() == pytest.approx(30, abs=1e-9)


@pytest.mark.parametrize("is_crossed", [False, True])
def test_direction_along_a_belt_is_that_of_its_travel(is_crossed):
    loop = Loop((5, -3), 12, (90, 40), 25, is_crossed)
    runs = np.linspace(0, loop.length, 300, endpoint=False)
    here, ways = loop.places(runs)
    ahead, _ = loop.places(runs + 1e-4)
    seen = np.arctan2(*(ahead - here).T[::-1])
    assert np.abs(np.remainder(seen - ways + math.pi, 2 * math.pi) - math.pi).max() < 1e-3


def test_chain_links_have_their_pitch_and_sit_in_the_seats_of_both_sprockets():
    line = ChainLine((60, 80), 12, (169.3, 80), 30, 6)
    assert line.link_count == 58
    for turned in (0.0, 0.1, 1.0, 5.0, -2.0):
        links = chain_links(line, turned)
        lengths = np.hypot(*(links[:, 1] - links[:, 0]).T)
        # on the sprockets to rounding; in the spans the slack of a chain of whole links is spread out
        assert np.abs(lengths - 6).max() < 0.03
        rollers = links[:, 0]
        for middle, radius, teeth, seat in (
            ((60, 80), line.loop.ra, 12, turned),
            ((169.3, 80), line.loop.rb, 30, line.phase_b + turned * 12 / 30),
        ):
            on = np.abs(np.hypot(*(rollers - middle).T) - radius) < 1e-6
            assert on.sum() >= teeth // 3
            angles = (np.arctan2(*(rollers[on] - middle).T[::-1]) - seat) * teeth / math.tau
            assert np.abs(angles - np.round(angles)).max() < 1e-9


def test_a_link_stays_the_same_link_as_the_chain_runs():
    line = ChainLine((60, 80), 12, (169.3, 80), 30, 6)
    for turned in np.arange(0, math.tau, 0.37):
        step = chain_links(line, turned + 1e-4) - chain_links(line, turned)
        assert np.abs(step).max() < 0.01
    tooth = math.tau / 12
    assert chain_links(line, 1.0 + tooth)[:, 0] == pytest.approx(
        np.roll(chain_links(line, 1.0)[:, 0], -1, axis=0), abs=1e-9
    )


def test_seats_of_a_sprocket_hold_its_rollers():
    outline = sprocket_outline(12, 6, 1.8)
    seat = 6 / (2 * math.sin(math.pi / 12))
    assert np.hypot(*outline.T).min() == pytest.approx(seat - 1.8)
    assert np.hypot(*outline[3]) == pytest.approx(seat - 1.8)
    assert math.atan2(*outline[3][::-1]) == pytest.approx(0.0)


def test_stitch_is_drawn_where_the_recorded_belt_has_run_to():
    motion = demo("carousel", "band", 3.0)
    drawing = Drawing(motion, Stuffs(True))
    loop, slip = drawing.belts["loop"], motion.slips["loop"]
    wheel = motion.frame(slip.driven)
    stitches = np.array([belt_marks(loop, float(run), 3)[0] for run in slip.got[::50]])
    times = np.arange(0, len(slip.got), 50)
    middle = wheel[0, :2]
    followed = 0
    for n in range(3):
        out = stitches[:, n] - middle
        on = np.abs(np.hypot(*out.T) - slip.radii[1]) < 1e-6
        angle = np.unwrap(np.arctan2(*out.T[::-1]))
        for i in np.flatnonzero(on[:-1] & on[1:]):
            # on the driven wheel a stitch goes round exactly as the recorded wheel does
            turned = wheel[times[i + 1], 2] - wheel[times[i], 2]
            assert angle[i + 1] - angle[i] == pytest.approx(turned, abs=1e-9)
            followed += 1
    assert followed > 50


def test_chain_is_drawn_where_both_recorded_sprockets_are():
    motion = demo("carousel", "chain", 3.0)
    line = Drawing(motion, Stuffs(True)).chains["loop"]
    driver, driven = motion.frame("drive wheel"), motion.frame("load wheel")
    for i in range(0, len(motion.times), 400):
        turned = driver[i, 2] - driver[0, 2]
        rollers = chain_links(line, turned)[:, 0]
        on = np.abs(np.hypot(*(rollers - line.b).T) - line.loop.rb) < 1e-6
        seat = line.phase_b + driven[i, 2] - driven[0, 2]
        off = (np.arctan2(*(rollers[on] - np.array(line.b)).T[::-1]) - seat) * 30 / math.tau
        # the run's ripple of straight links moves the wheel by a few hundredths of a tooth about the mean
        assert np.abs(off - np.round(off)).max() < 0.08
