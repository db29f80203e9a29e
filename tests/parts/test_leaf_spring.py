import numpy as np
import pytest

from tests.drawn import drawn, refusal
from tests.pieces import NEWTON, run

PIECE = "arm: {{kind: lever, at: [150, 90], arms: {{end: 40 right}}}}\ns: {{kind: leaf spring, at: [140, 88], points: right, length: 60, width: 8, presses: arm.end, {}}}"


def test_stuff_that_does_not_spring_back():
    assert refusal(PIECE.format("material: lead 1"))[0] == "'s': 'lead' doesn't spring back"


def test_a_block_is_no_spring():
    assert refusal(PIECE.format("material: beech 12")) == (
        "'s': 60 mm of 12 mm sheet is a block, not a spring",
        "'beech 1'",
    )


def test_strip_says_which_way_it_pushes_across_itself():
    assert refusal(PIECE.format("material: steel 0.4, pushes: right"))[0] == (
        "'s': a strip pushes across itself, not along"
    )


def test_twice_as_thick_is_eight_times_as_stiff():
    thin, thick = (
        drawn(PIECE.format(f"material: steel {size}"))["s"].bend() for size in (0.3, 0.6)
    )
    assert thick == pytest.approx(8 * thin)


PLUCKED = """
    shaft: {kind: shaft, at: [60, 100], material: steel 5, bearing: {friction: 0}}
    handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm, strength: 50 N}
    arm: {kind: crank, on: shaft, radius: 30, angle: 290}
    peg: {kind: pin, on: arm.pin, diameter: 4, material: steel}
    strip: {kind: leaf spring, at: [148, 100], points: left, length: 60, width: 8, material: spring steel 0.3, presses: peg, pushes: down, friction: FRICTION}
"""


@pytest.mark.parametrize("friction", [0, 0.4])
def test_a_peg_bends_it_and_slips_off_its_end(friction):
    motion = run(PLUCKED.replace("FRICTION", str(friction)), turns=1.2)
    b = motion.begins
    force, bend = (motion.channels[f"strip.{word}"].values[b:] for word in ("force", "bend"))
    strip = motion.scene.parts["strip"]
    reach = motion.channels["strip.reach"].values[b:]
    on = bend > 0
    expected = [strip.push(*pair) for pair in zip(bend[on], reach[on], strict=True)]
    assert force[on] == pytest.approx(np.array(expected), rel=1e-6)
    # it gives way, then is straight again within a sample
    last = int(np.flatnonzero(on)[-1])
    assert bend[last] > 5
    assert bend[min(last + 1, len(bend) - 1)] == 0 or last == len(bend) - 1
    heat = motion.ledger.heat["rubbing on strip"][-1]
    assert (
        heat == 0 if friction == 0 else heat > 0.1 * motion.ledger.heat["snapping of strip"][-1]
    )
    assert motion.trust.residual_percent < 0.5


def test_it_carries_a_weight_laid_on_it():
    # 40 g at the end of a lever 60 mm long rest on a strip; the strip pushes as much as the lever presses
    motion = run(
        """
        arm: {kind: lever, at: [40, 100], arms: {end: 60 right}, mass: 4 g, bearing: {friction: 0.3}}
        nose: {kind: pin, on: arm.end, diameter: 4, material: steel}
        lump: {kind: weight, on: arm.end, mass: 40 g}
        strip: {kind: leaf spring, at: [160, 97], points: left, length: 70, width: 10, material: spring steel 0.4, presses: nose, pushes: up, friction: 0.6}
        """,
        seconds=1.5,
    )
    force = motion.channels["strip.force"].values[-300:].mean() / NEWTON
    assert force == pytest.approx((0.044 - 0.002) * 9.80665, rel=0.05)
