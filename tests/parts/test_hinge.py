import math

import numpy as np
import pytest

from tests.drawn import drawn, refusal
from tests.pieces import run

WING = "wing: {{kind: figure, on: fold, artwork: {{shapes: [{{block: [40, 4], at: [20, 0]}}]}}}}\nfold: {{kind: hinge, at: [150, 100], width: 20, length: 3, {}}}"


def test_rate_of_a_strip_of_card():
    # E b h^3 / 12 l: 3000 MPa, 20 x 0.3 mm over 3 mm
    fold = drawn(WING.format("material: card 0.3"))["fold"]
    assert fold.stiffness() / 1e6 == pytest.approx(3000 * 20 * 0.027 / 36)


def test_strip_says_how_thick():
    assert refusal(WING.format("material: card")) == (
        "'fold': 'card' doesn't say how thick the strip is",
        "'card 0.4'",
    )


def test_thick_strip_does_not_bend():
    assert "doesn't bend over 3 mm" in refusal(WING.format("material: leather 4"))[0]


def test_card_hinge_is_another_word():
    assert (
        refusal(WING.format("material: card 0.3").replace("kind: hinge", "kind: card hinge"))[1]
        == "'hinge'"
    )


def test_a_flap_swings_in_its_own_time_and_dies_away():
    motion = run(
        """
        fold: {kind: hinge, at: [100, 100], view: top, width: 20, length: 3, material: card 0.4, starts at: 15}
        sail: {kind: figure, on: fold, mass: 5 g, inertia: 666.67 g mm2, artwork: {shapes: [{block: [40, 3], at: [20, 0]}]}}
        """,
        seconds=0.6,
    )
    angle = motion.frame("fold")[:, 2]
    # from one turning point to the next but one: the loss costs a share of the swing, hardly of the time
    turning = np.flatnonzero(np.diff(np.sign(np.diff(angle))) != 0)
    period = 2 * np.diff(motion.times[turning]).mean()
    stiffness = 3000e6 * 20 * 0.064 / 36
    assert period == pytest.approx(math.tau * math.sqrt(5 * 1600 / 3 / stiffness), rel=0.03)
    # a fifth of the work of each stretching is lost
    swings = np.abs(angle[turning])
    assert swings[2] / swings[0] == pytest.approx(1 - 0.2, abs=0.06)
    assert motion.trust.residual_percent < 0.5
