"""A piece that a coin starts, before a visitor."""

import pytest

from animator.screens.rig import Rig, Wish
from animator.world.assembling import assemble
from tests.pieces import read
from tests.stages.test_switched_in_motion import COIN


@pytest.mark.slow
def test_switching_on_is_another_coin():
    rig = Rig(assemble(read(COIN.format(coins="0 s", home="10 to 320"))))
    rig.advance(3000, Wish(is_on=True))
    assert rig.angle > 5.5  # once round
    assert abs(rig.drive.body.angular_velocity) < 0.01
    stood = rig.angle
    rig.advance(500, Wish(is_on=True))
    assert abs(rig.angle - stood) < 1e-3  # it has stopped itself
    rig.advance(5, Wish(is_on=False))
    rig.advance(3000, Wish(is_on=True))
    assert rig.angle - stood > 5.5
