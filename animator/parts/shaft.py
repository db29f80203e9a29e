"""A round bar that turns in two bearings; everything that is fixed to it turns with it."""

from collections.abc import Mapping

from animator.geometry import Point
from animator.parts._contract import PARTS
from animator.parts._fields import Torque
from animator.parts._turning import Pivoted


@PARTS.add("shaft")
class Shaft(Pivoted):
    """A round bar that turns where it stands. ``drag torque`` is whatever brakes it steadily besides its bearing."""

    also_called = ("axle", "spindle", "arbor", "camshaft", "crankshaft")

    drag_torque: Torque = 0.0

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}
