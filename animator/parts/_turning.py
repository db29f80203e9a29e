"""What shafts and levers share: they turn about a place of their own, in a bearing, perhaps between stops."""

from animator.parts._contract import Part, Turns
from animator.parts._fields import Angle, At, Bearing, Stops


class Pivoted(Part):
    """A part that turns about its own place."""

    turns_freely = True

    at: At
    stops: Stops | None = None
    starts_at: Angle = 0.0
    bearing: Bearing = Bearing()

    def held(self) -> Turns:
        return Turns(self.at, self.stops.limits() if self.stops else None, self.starts_at)
