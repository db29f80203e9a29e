import numpy as np
import pytest

from tests.drawn import drawn, refusal
from tests.pieces import run

PIECE = "post: {{kind: pin, at: [100, 120]}}\ncrank: {{kind: crank, on: shaft, radius: 10}}\ns: {{kind: {}, from: crank.pin, to: post, length: 30, {}}}"


def test_two_strands_a_loop():
    one, three = (
        drawn(PIECE.format("rubber band", f"width: 1.5, thickness: 1, loops: {loops}"))["s"]
        for loops in (1, 3)
    )
    assert one.section() == pytest.approx(3.0)
    assert three.pull(60) == pytest.approx(3 * one.pull(60))


def test_slack_it_does_nothing():
    band = drawn(PIECE.format("rubber band", "width: 1, thickness: 1"))["s"]
    assert (band.pull(29), band.stored(29)) == (0.0, 0.0)


def test_energy_is_the_sum_of_its_pull():
    band = drawn(PIECE.format("rubber band", "width: 1, thickness: 1"))["s"]
    lengths = np.linspace(30, 90, 20001)
    pulls = np.array([band.pull(length) for length in lengths])
    assert band.stored(90) == pytest.approx(np.trapezoid(pulls, lengths), rel=1e-6)


def test_elastic_is_another_word():
    assert refusal(PIECE.format("elastic band", "width: 1, thickness: 1")) == (
        "no kind of part is called 'elastic band'",
        "'rubber band'",
    )


def test_of_wood_it_does_not_stretch():
    assert (
        refusal(PIECE.format("rubber band", "width: 1, thickness: 1, material: beech"))[1]
        == "'rubber band'"
    )


def test_a_swinging_arm_on_a_band_comes_to_rest_and_the_books_close():
    motion = run(
        """
        arm: {kind: lever, at: [100, 100], arms: {end: 50 right}, mass: 20 g, bearing: {friction: 0}}
        hook: {kind: pin, at: [150, 150]}
        band: {kind: rubber band, from: hook, to: arm.end, length: 30, width: 1, thickness: 1}
        """,
        seconds=1.2,
    )
    heat = motion.ledger.heat["stretching of band"]
    assert (np.diff(heat) >= -1e-6).all()
    angle = motion.frame("arm")[:, 2]
    early, late = np.ptp(angle[:300]), np.ptp(angle[-300:])
    assert late < 0.8 * early
    assert motion.trust.residual_percent < 0.5
    assert motion.channels["band.force"].values.min() >= 0
