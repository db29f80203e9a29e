"""What handles and motors share: they turn a shaft one way, at a speed, after a gentle start."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.parts._contract import Part, Rides
from animator.parts._fields import PartOf, Ref, Sense, Turned


class Driver(Part):
    """Turns the shaft it is on. It comes up to speed over ``starts over`` of a turn."""

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it turns",
        "turns": "which way, as the view is drawn",
        "starts_over": "the turn over which it comes up to speed",
    }

    is_drive = True
    moves_alone = True

    on: Annotated[Ref, PartOf("shaft")]
    turns: Sense = "anticlockwise"
    starts_over: Turned = math.pi / 2

    @property
    def sense(self) -> int:
        """+1 anticlockwise, -1 clockwise."""
        return 1 if self.turns == "anticlockwise" else -1

    def held(self) -> Rides:
        return Rides(self.on)
