"""What shafts and levers share: they turn about a place of their own, in a bearing, perhaps between stops."""

from collections.abc import Mapping
from typing import ClassVar

from animator.parts._contract import Part, Turns, Workshop
from animator.parts._fields import At, Bearing, SignedAngle, Stops


class Pivoted(Part):
    """A part that turns about its own place."""

    says: ClassVar[Mapping[str, str]] = {
        "at": "where it turns",
        "stops": "how far it may turn each way",
        "starts_at": "how far it is turned at the start, anticlockwise",
        "bearing": "the hole it turns in: play, friction, or a ball bearing",
    }

    turns_freely = True

    at: At
    stops: Stops | None = None
    starts_at: SignedAngle = 0.0
    bearing: Bearing = Bearing()

    def held(self) -> Turns:
        return Turns(self.at, self.stops.limits() if self.stops else None, self.starts_at)

    def journal_radius(self, shop: Workshop) -> float:
        """Radius of the bar that turns in the bearing. [mm]"""
        return float(shop.stuff_of(self)[1] / 2)

    def limit(self, shop: Workshop) -> None:
        """Put the stops in, if there are any."""
        if self.stops is not None:
            low, high = self.stops.limits()
            start = shop.pose(self.name).angle
            shop.limit(self.name, low - start, high - start)
