import math

import pytest

from animator.parts._slot import SlotTouch
from tests.drawn import at_start, drawn, refusal
from tests.parts.test_plate import refusal_in_assembling
from tests.pieces import run

PIECE = """
crank: {{kind: crank, on: shaft, radius: 20, angle: right}}
arm: {{kind: slotted lever, at: 40 below shaft, slot: {{from: {}, to: {}}}, driver: crank.pin, arms: {{end: 90 up, side: 30 right}}}}
"""


def test_slot_points_at_the_pin():
    parts = PIECE.format(15, 65)
    angle = at_start(parts, "arm").angle
    assert angle + math.pi / 2 == pytest.approx(math.atan2(40, 20))
    assert at_start(parts, "arm", "end") == pytest.approx(
        (100 + 90 * math.cos(angle + math.pi / 2), 20 + 90 * math.sin(angle + math.pi / 2))
    )


def test_what_it_moves_is_solved_with_it():
    parts = PIECE.format(15, 65) + (
        "link: {kind: rod, from: arm.end, to: ram.pin, length: 60}\n"
        "ram: {kind: slider, slides: right, length: 160, starts at: 40, guide: {at: 150 right and 50 above shaft, length: 10}}\n"
    )
    assert at_start(parts, "link", "near") == pytest.approx(
        at_start(parts, "arm", "end"), abs=1e-6
    )
    assert at_start(parts, "ram", "pin")[1] == pytest.approx(110)


@pytest.mark.parametrize(
    ("slot", "what", "write"),
    [
        ((25, 65), "'crank.pin' leaves the slot of 'arm' at its near end when the handle has turned 270 degrees", "'arm.slot.from: 20' or less"),
        ((15, 55), "'crank.pin' leaves the slot of 'arm' at its far end when the handle has turned 90 degrees", "'arm.slot.to: 60' or more"),
    ],
)  # fmt: skip
def test_pin_that_leaves_its_slot_is_told_where_it_is_worst(slot, what, write):
    assert refusal_in_assembling(PIECE.format(*slot)) == (what, write)


def test_slot_that_ends_before_it_begins_is_told():
    assert refusal(PIECE.format(65, 15))[0] == "'slot': the slot ends before it begins"


def test_pin_touches_the_wall_it_leans_on():
    touch = SlotTouch(2.0, 0.05, 10.0, 40.0)
    gap, nx, ny, x, y = touch.nearest(25.0, -0.05, 0.0)
    assert (gap, nx, ny, x, y) == pytest.approx((0.0, 0.0, 1.0, 25.0, -2.05))
    gap, nx, ny, x, y = touch.nearest(40.04, 0.0, 0.0)  # against the round end
    assert (gap, nx, ny, x, y) == pytest.approx((0.01, -1.0, 0.0, 42.05, 0.0))


def test_it_weighs_what_is_left_of_it():
    arm = drawn(PIECE.format(15, 65))["arm"]

    class Shop:
        @staticmethod
        def stuff_of(part):
            return "steel", 4.0

        @staticmethod
        def density(part):
            return 0.01

    # two walls of 3 mm over 50, a foot of 10 mm over 15, the rest beyond the slot, an arm of 10 mm over 30
    assert arm.weigh(Shop()).mass == pytest.approx(
        0.04 * (2 * 3 * 50 + 10 * 15 + 10 * 25 + 10 * 30)
    )


def test_with_its_pivot_inside_the_circle_it_goes_right_round():
    """The Whitworth motion: the slotted link turns wholly, unevenly; ratio r (r + d cos t) / (r^2 + d^2 + 2 r d cos t), any text."""
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], bearing: {friction: 0}}
        handle: {kind: handle, on: shaft, speed: 60 rpm}
        crank: {kind: crank, on: shaft, radius: 40, angle: up, mass: 20 g}
        link: {kind: slotted lever, at: 15 below shaft, slot: {from: 20, to: 60}, driver: crank.pin, ideal: yes, bearing: {friction: 0}, mass: 20 g}
        """,
        turns=2,
    )
    from animator.findings.measures import read as measure

    assert measure(motion, "link", "turns").value == pytest.approx(2 * math.tau, rel=0.01)
    fastest = measure(motion, "link", "speed").series.max()
    assert fastest == pytest.approx(math.tau * 40 / (40 - 15), rel=0.005)
    assert motion.trust.residual_percent < 0.5


def test_friction_in_the_slot_takes_its_work():
    parts = """
        shaft: {{kind: shaft, at: [100, 100], bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: shaft, speed: 60 rpm}}
        crank: {{kind: crank, on: shaft, radius: 20, angle: up}}
        arm: {{kind: slotted lever, at: 40 below shaft, slot: {{from: 15, to: 65}}, driver: crank.pin, friction: {}, bearing: {{friction: 0}}, mass: 30 g}}
        """
    slick, rough = (run(parts.format(mu), turns=0.6) for mu in (0, 0.4))
    for motion, least, most in ((slick, -1.0, 1.0), (rough, 1e5, math.inf)):
        heat = motion.ledger.heat["slot of arm"]
        assert least <= heat[-1] - heat[motion.begins] <= most
        assert motion.trust.residual_percent < 0.5
