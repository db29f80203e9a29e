"""A round bar that turns in two bearings; everything that is fixed to it turns with it."""

from collections.abc import Mapping
from typing import ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Pen, Weight, Workshop
from animator.parts._fields import Torque
from animator.parts._solid import disc
from animator.parts._turning import Pivoted

SHAFT_LENGTH = (
    80.0  # mm; through a table-top cabinet. It only weighs; a maker who weighed it says so
)


@PARTS.add("shaft")
class Shaft(Pivoted):
    """A round bar that turns where it stands. ``drag torque`` is whatever brakes it steadily besides its bearing."""

    as_written = "camshaft: {kind: shaft, at: [100, 60], material: steel 5}"

    says: ClassVar[Mapping[str, str]] = {
        "drag_torque": "whatever brakes it steadily besides its bearing",
    }

    also_called = ("axle", "spindle", "arbor", "camshaft", "crankshaft")

    drag_torque: Torque = 0.0

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.journal_radius(shop), shop.density(self) * SHAFT_LENGTH)

    def build(self, shop: Workshop) -> None:
        shop.bearing(self, self.at, self.journal_radius(shop), self.bearing, self.drag_torque)
        self.limit(shop)

    def draw(self, pen: Pen) -> None:
        size = pen.stuff("steel")[1]
        pen.bearing(pen.spot(self.at), max(9.0, 2.0 * size), self.bearing.ball, size)

    def draw_across(self, pen: Pen) -> None:
        pen.axle(pen.stuff("steel")[1], "steel", self.bearing.ball)
