"""A pencil through a hole of a moving part: it leaves its way as a line, so that the eye sees what a point does."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import PartOf, PointRef, Ref, Turned


@PARTS.add("pencil")
class Pencil(Part):
    """Moves as one with the point it is ``on`` and draws its way, from the record, on the board behind the piece or on the part it ``draws on``.

    It weighs nothing and rubs nowhere, so that it tells the piece's own motion; a maker who wants its weight says its ``mass``.
    """

    as_written = "pencil: {kind: pencil, on: coupler.tip}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the point it moves with",
        "draws_on": "the part it draws on; left out, the board behind the piece",
        "trail": "how many degrees of the main shaft the line lasts behind it; left out, the whole way is seen",
    }

    also_called = (
        "trace",
        "tracer",
        "tracing point",
        "scriber",
        "stylus",
        "chalk",
        "path",
        "locus",
    )

    on: PointRef
    draws_on: Annotated[Ref, PartOf()] | None = None
    trail: Turned | None = None

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"lead": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        return Weight(0.0)

    def draw(self, pen: Pen) -> None:
        pen.pencil_line(self.draws_on.part if self.draws_on is not None else "", self.trail)
        pen.in_front().pencil_end()
