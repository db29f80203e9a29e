"""What a Scotch yoke and a slotted lever share: a straight slot in which another part's pin runs."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self, TypeVar, cast

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import Part, Standing, Workshop
from animator.parts._fields import Friction, Length, PartOf, Ref, Size, Where, Words, Yes
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.parts._contract import Pen
    from animator.world.building import Bench

WALL = 3.0  # mm of stuff on either side of a slot
TIGHTEST = 0.001  # mm; a slot without play still lets its pin through

Record = TypeVar("Record", bound=Words)


def ideal_alone(record: Record, others: set[str], told: str) -> Record:
    """Refuse what ``ideal: yes`` already decides, said beside it."""
    said = sorted(others & record.model_fields_set)
    if getattr(record, "ideal") and said:  # noqa: B009
        raise Wrong(
            f"{told} '{said[0]}'", f"'ideal: yes' or '{said[0]}', not both", key=said[0]
        )
    return record


def place_of(piece: Standing, where: Where) -> Point:
    """Where a place of the scene is, with the piece as it stands. [mm]"""
    right, up = where.offset
    if where.ref is None:
        return right, up
    x, y = piece.point(where.ref.part, where.ref.point)
    return x + right, y + up


class Beyond(Wrong):
    """Something that goes too far by an ``amount`` [mm]; of all positions of the turn the one where it is largest is told."""

    def __init__(self, amount: float, what: str, write: str, **more: str) -> None:
        super().__init__(what, write, **more)  # type: ignore[arg-type]
        self.amount = amount


class SlotTouch:
    """A pin in a straight slot: the slot is fast to the first body, the pin to the second. It leans on one wall at a time, or on an end.

    Parameters
    ----------
    radius
        Of the pin. [mm]
    play
        Between pin and wall on each side, the pin in the middle. [mm]
    low, high
        Ends of the pin's way along the slot, which is the x axis of its frame. [mm]
    """

    def __init__(self, radius: float, play: float, low: float, high: float) -> None:
        self.radius, self.play, self.low, self.high = radius, play, low, high
        self.reach = max(abs(low), abs(high)) + radius + play

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Touch where the pin leans; the normal points from the wall into the slot.

        Examples
        --------
        >>> SlotTouch(2.0, 0.05, 10.0, 40.0).nearest(25.0, 0.03, 0.0)  # up against the upper wall but for 0.02
        (0.020000000000000004, 0.0, -1.0, 25.0, 2.05)
        """
        foot = min(max(x, self.low), self.high)
        dx, dy = x - foot, y
        d = math.hypot(dx, dy)
        ux, uy = (dx / d, dy / d) if d > 1e-12 else (0.0, -1.0)
        wall = self.radius + self.play
        return self.play - d, 0.0 - ux, 0.0 - uy, foot + ux * wall, uy * wall


class Slotted(Part):
    """A part with a straight slot that another part's pin moves in."""

    says: ClassVar[Mapping[str, str]] = {
        "driver": "the point whose pin runs in its slot",
        "pin_diameter": "of that pin",
        "play": "slot less pin",
        "friction": "of the pin on the slot's walls; left out, that of the two materials",
        "ideal": "yes: a block on the pin fills the slot, with neither play nor friction",
    }

    driver: Annotated[Ref, PartOf(is_point=True)]
    pin_diameter: Size = 4.0
    play: Length = 0.1
    friction: Friction | None = None
    ideal: Yes = False

    @model_validator(mode="after")
    def _ideal_has_no_play(self) -> Self:
        return ideal_alone(self, {"play", "friction"}, "a slot with a fitted block has no")

    def slot_line(self) -> tuple[Point, float, float, float]:
        """Give where the slot's line begins [mm], which way it runs [rad], and between which places along it the pin may be [mm]; in the part's frame."""
        raise NotImplementedError

    def led_by(self) -> Iterable[Ref]:
        return (self.driver,)

    def on_slot(self, piece: Standing) -> tuple[float, float]:
        """How far along the slot's line the pin is now, and how far beside it. [mm]"""
        (x, y), way, _, _ = self.slot_line()
        px, py = piece.point(self.driver.part, self.driver.point)
        pose = piece.pose(self.name)
        dx, dy = px - pose.x, py - pose.y
        c, s = math.cos(pose.angle), math.sin(pose.angle)
        dx, dy = c * dx + s * dy - x, -s * dx + c * dy - y
        c, s = math.cos(way), math.sin(way)
        return c * dx + s * dy, -s * dx + c * dy

    def lead_in(self, shop: Workshop) -> None:
        """Let the pin run in the slot: against its walls, or with a fitted block."""
        (x, y), way, low, high = self.slot_line()
        pose = shop.pose(self.name)
        body, other = shop.body(self.name), shop.body(self.driver.part)
        pin = shop.start_point(self.driver.part, self.driver.point)
        if self.ideal:
            from animator.world.sleeves import slide_block

            slide_block(cast("Bench", shop), self.name, body, other, pin, pose.angle + way)
            return
        stuffs = [shop.stuff_of(part)[0] for part in (self, shop.scene.parts[self.driver.part])]
        shop.exact_contact(
            f"{self.name}.slot", self.name, self.driver.part, f"slot of {self.name}", "stop", body, other, pose.place((x, y)), pin,
            SlotTouch(self.pin_diameter / 2, max(self.play, TIGHTEST) / 2, low, high),
            shop.friction(self.friction, *stuffs), is_meant=False, origin_angle=pose.angle + way,
        )  # fmt: skip

    def draw_block(self, pen: "Pen") -> None:
        """Draw the pin in the slot, or the block that fills it."""
        way = self.slot_line()[1]
        near = pen.over([self.name, self.driver.part])
        if self.ideal:
            near.riding_block(
                self.driver, way, 2.4 * self.pin_diameter, self.pin_diameter + 2.4
            )
        near.riding_pin(self.driver, self.pin_diameter / 2)
