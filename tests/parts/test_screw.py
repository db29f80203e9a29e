"""Screws: what a scene says of them, which way they move their nut, and that a steep one runs back."""

import math

import pytest

from animator.problems import SceneError
from animator.world.assembling import assemble
from tests.drawn import refusal
from tests.pieces import read, run

PIECE = """
screw shaft: {kind: shaft, view: side, at: [30, 60], material: steel 6, bearing: {friction: 0.1}}
handle: {kind: handle, on: screw shaft, speed: 120 rpm, starts over: 30}
screw: {kind: screw, on: screw shaft, drives: table, diameter: 9, pitch: 3, starts: 2, friction: 0.15}
table: {kind: slider, slides: right, guide: {at: [100, 60], length: 24, ideal: yes}, length: 90, material: steel 8}
"""


def moved(text):
    motion = run(text, turns=0.5)
    x = motion.frame("table")[:, 0]
    return (
        (x[-1] - x[motion.begins])
        / (motion.drive.angle[-1] - motion.drive.angle[motion.begins])
        * math.tau
    )


@pytest.mark.parametrize(("hand", "way"), [("right", -1), ("left", 1)])
def test_a_nut_goes_by_the_lead_each_turn(hand, way):
    # turned anticlockwise as its viewer on the right sees it, a right-hand screw draws its nut away from that viewer
    assert moved(PIECE.replace("pitch: 3", f"pitch: 3, hand: {hand}")) == pytest.approx(
        way * 6, rel=1e-3
    )


def test_the_screw_stands_amid_its_slide():
    whole = assemble(read(PIECE))
    assert whole.parts["screw"].along == pytest.approx(100)


def test_a_guide_that_could_tilt_is_refused():
    with pytest.raises(SceneError, match="so its guide can't tilt it"):
        assemble(read(PIECE.replace(", ideal: yes", "")))


def test_a_pitch_is_not_larger_than_twice_the_diameter():
    what, write = refusal("""
    s: {kind: screw, on: shaft, drives: t, diameter: 5, pitch: 12}
    t: {kind: slider, slides: right, guide: {at: [100, 60], ideal: yes}}
    """)
    assert "a pitch of 12 can't be cut on a diameter of 5" in what
    assert write == "'pitch: 1', and more 'starts' for a steep thread"


@pytest.mark.parametrize(("starts", "sinks"), [(1, False), (6, True)])
def test_a_flat_thread_holds_what_stands_on_it_and_a_steep_one_runs_back(starts, sinks):
    motion = run(
        f"""
    screw shaft: {{kind: shaft, view: top, at: [85, 30], material: steel 3, bearing: {{friction: 0.05}}}}
    screw: {{kind: screw, on: screw shaft, drives: lift, diameter: 9, pitch: 3, starts: {starts}, friction: 0.15}}
    lift: {{kind: slider, slides: up, guide: {{at: [85, 90], length: 24, ideal: yes}}, length: 100, material: steel 8}}
    load: {{kind: weight, on: lift.tip, mass: 200 g}}
    """,
        seconds=0.1,
    )
    y = motion.frame("lift")[:, 1]
    assert (y[20] - y[-1] > 0.3) == sinks
    assert motion.channels["lift.locked"].values[-1] == (0.0 if sinks else 1.0)
    if not sinks:
        assert y[20] - y[-1] < 1e-4
