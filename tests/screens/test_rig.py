"""A piece that is turned by hand: the same forces as a recorded run."""

from __future__ import annotations

import math

import numpy as np
import pytest

import animator
from animator.motion.recording import residual_percent
from animator.pictures.pages.client import ClientPage
from animator.problems import RunError
from animator.scene.model import Scene
from animator.screens.live import LiveMotion, arrays_of, row_of
from animator.screens.rig import HELD, Rig, Wish, driven_by, tried
from tests.pieces import SCENES, read

NEWTON = 1e6  # g mm/s^2
MOLE_STANDS = 43.9  # degrees; where the recorded run of the mole wedges


def demo(name: str, variant: str | None = None) -> Scene:
    return animator.read(SCENES / f"{name}.yaml", variant)


def lead(rig: Rig, speed: float, turns: float, most: float = 10.0) -> None:
    """Lead the drive at a speed until it has been turned so far."""
    start = rig.angle
    for _ in range(round(most * 1000)):
        rig.advance(1, Wish(True, speed=speed))
        if abs(rig.angle - start) >= turns * math.tau:
            return


@pytest.mark.slow
def test_led_at_the_scenes_speed_it_goes_as_the_recorded_run_does() -> None:
    scene = demo("heron")
    motion = animator.run(scene, turns=1.0)
    rig = Rig(scene)
    lead(rig, motion.drive.due_speed.max(), 1.3)
    live = rig.recorder.motion(HELD, 0)
    assert live.drive is not None
    degrees = np.arange(100.0, 440.0)
    height = [
        np.interp(np.radians(degrees), m.drive.angle, m.point("heron", "foot")[:, 1])
        for m in (motion, live)
    ]
    # the strike at the end of the fall differs by how the handle came up to speed
    assert np.abs(height[0] - height[1])[degrees < 250].max() < 0.02
    assert np.abs(height[0] - height[1]).max() < 0.5


@pytest.mark.slow
def test_mole_sticks_where_the_recorded_run_sticks_and_comes_free_when_turned_back() -> None:
    rig = Rig(demo("mole"))
    rig.advance(1500, Wish(True, speed=3.0))
    assert rig.is_stuck
    assert rig.push == 1
    assert math.degrees(rig.angle) == pytest.approx(MOLE_STANDS, abs=0.5)
    # it pushes with all a hand has, and not with more
    most = rig.drive.ceiling / rig.drive.radius / NEWTON
    assert most == pytest.approx(10.0)
    assert rig.effort / rig.drive.radius / NEWTON == pytest.approx(most, rel=1e-3)
    rig.advance(400, Wish(True, speed=-3.0))
    assert not rig.is_stuck
    assert math.degrees(rig.angle) < 20
    assert rig.mishaps == 0


@pytest.mark.slow
def test_pushing_harder_in_the_picture_does_not_free_the_mole() -> None:
    rig = Rig(demo("mole"))
    rig.advance(3000, Wish(True, target=50.0))
    assert rig.is_stuck
    assert math.degrees(rig.angle) == pytest.approx(MOLE_STANDS, abs=0.5)


@pytest.mark.slow
def test_handle_that_is_let_go_is_turned_back_by_what_it_has_lifted() -> None:
    rig = Rig(demo("heron"))
    lead(rig, 3.0, 75 / 360)
    high = rig.angle
    rig.advance(1500, Wish(False))
    assert rig.angle < high - math.radians(20)
    assert rig.effort == 0.0


def test_hand_that_holds_on_carries_the_load() -> None:
    rig = Rig(demo("heron"))
    lead(rig, 3.0, 75 / 360)
    high = rig.angle
    rig.advance(1000, Wish(True, target=high))
    assert rig.angle == pytest.approx(high, abs=math.radians(3))
    assert rig.effort > 0.02 * NEWTON * rig.drive.radius


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "most"),
    [
        ("heron", 0.5),
        ("baker", 0.5),
        # a band stretched by an eighth, thrown from one side to the other: its books are exact to first order in the strain only
        ("carousel", 1.0),
    ],
)
def test_books_balance_while_a_hand_turns_to_and_fro(name: str, most: float) -> None:
    rig = Rig(demo(name))
    for speed, span in ((4.0, 700), (-5.0, 500), (0.0, 200), (6.0, 600)):
        rig.advance(span, Wish(True, speed=speed))
    rig.advance(300, Wish(False))
    motion = rig.recorder.motion(HELD, 0)
    assert residual_percent(motion.ledger.residual, motion.ledger.work_in, 0) < most
    assert rig.mishaps == 0


def test_carousel_slips_under_a_live_hand_too() -> None:
    rig = Rig(demo("carousel"))
    lead(rig, math.tau, 3.0)
    slip = rig.recorder.motion(HELD, 0).slips["loop"]
    lost = 1 - float(slip.got[-1] - slip.got[1000]) / float(slip.due[-1] - slip.due[1000])
    assert 0.05 < lost < 0.15  # what the scene expects of the band


def test_motor_obeys_its_line_whatever_the_wheel_asks() -> None:
    scene = read(
        """
        shaft: {kind: shaft, at: [50, 50], drag torque: 20 N mm, bearing: {ball: yes}}
        motor: {kind: motor, on: shaft, speed: 60 rpm, stall torque: 60 N mm}
        """
    )
    rig = Rig(scene)
    rig.advance(3000, Wish(True))
    # a third of the stall torque costs a third of the speed
    assert rig.drive.body.angular_velocity == pytest.approx(math.tau * 2 / 3, rel=0.02)
    rig.advance(3000, Wish(True, share=0.5))
    assert rig.drive.body.angular_velocity == pytest.approx(
        math.tau * (1 / 2 - 1 / 3), rel=0.05
    )
    rig.advance(3000, Wish(True, share=0.3))
    assert rig.is_stuck  # less than the drag asks for
    rig.advance(3000, Wish(False))
    assert abs(rig.drive.body.angular_velocity) < 1e-6
    assert not rig.is_stuck


def test_piece_runs_for_days_in_the_same_memory() -> None:
    rig = Rig(demo("carousel"))
    sizes = []
    for _ in range(5):
        rig.advance(50, Wish(True, speed=4.0))
        motion = rig.moment()
        sizes.append((len(motion.times), len(row_of(motion)), len(rig.recorder.times)))
    assert sizes == [(1, sizes[0][1], 1)] * 5


def test_piece_that_nothing_turns_is_refused() -> None:
    scene = read("weight: {kind: weight, mass: 5 g, at: [10, 10]}")
    with pytest.raises(RunError, match="nothing turns this piece"):
        driven_by(scene)


def test_handle_is_taken_before_a_motor() -> None:
    scene = read(
        """
        first: {kind: shaft, at: [50, 50]}
        motor: {kind: motor, on: first, speed: 60 rpm, stall torque: 60 N mm}
        second: {kind: shaft, at: [150, 50]}
        crank handle: {kind: handle, on: second, speed: 60 rpm}
        """
    )
    assert driven_by(scene) == "crank handle"


@pytest.mark.slow
def test_live_sample_is_drawn_as_the_recorded_one() -> None:
    """The live picture and the picture of the same recorded sample are equal to the last pixel."""
    scene = demo("baker")
    recorded = tried(scene)
    live = LiveMotion(recorded)
    sample = len(recorded.times) // 3
    row = np.concatenate([np.ravel(v[sample]) for v in arrays_of(recorded)])
    live.put(row)
    old, new = ClientPage(recorded, (480, 270)), ClientPage(live.motion, (480, 270))
    old.draw(float(recorded.times[sample]), 0.0)
    new.draw(live.now, 0.0)
    assert np.array_equal(old.sheet.array, new.sheet.array)
    new.draw(0.0, 0.0)
    assert not np.array_equal(old.sheet.array, new.sheet.array)
