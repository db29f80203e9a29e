"""A lever with a slot in which a pin runs: a crank turns steadily, the lever goes slowly there and quickly back."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar, Self

from pydantic import Field, model_validator

from animator.geometry import Point, polar
from animator.parts._contract import PARTS, Pen, Prediction, Standing, Turns, Weight, Workshop
from animator.parts._fields import Arm, At, Bearing, Direction, Length, Size, Words
from animator.parts._slot import WALL, Beyond, Slotted, place_of
from animator.parts._solid import artwork, bar, drawn_points, together
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

PIVOT_RADIUS = 1.5  # mm; a 3 mm pin


class Slot(Words):
    """A straight slot on a line through the pivot: the pin's way ``from`` so far from the pivot ``to`` so far, ``angle`` the way it points as drawn."""

    sample_text: ClassVar[str] = "{from: 30, to: 110, angle: up}"
    says: ClassVar[Mapping[str, str]] = {
        "from_": "how near to the pivot the pin may come",
        "to": "how far from it the pin may go",
        "angle": "the way the slot points in the drawing",
    }

    from_: Length
    to: Size
    angle: Direction = math.pi / 2

    @model_validator(mode="after")
    def _goes_outwards(self) -> Self:
        if self.to <= self.from_:
            raise Wrong(
                "the slot ends before it begins",
                f"'from: {self.to:g}, to: {self.from_ or self.to + 40:g}'",
                key="to",
            )
        return self


@PARTS.add("slotted lever")
class SlottedLever(Slotted):
    """A lever whose ``slot`` a pin runs in (``driver``); ``arms`` are named points of it. With the pivot inside the pin's circle it goes right round."""

    as_written = "arm: {kind: slotted lever, at: 60 below shaft, slot: {from: 30, to: 95, angle: up}, driver: crank.pin, arms: {end: 130 up}}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "where it turns",
        "slot": "the pin's way in it, measured from the pivot",
        "arms": "named points: how long the arm is and which way it points in the drawing",
        "bearing": "the hole it turns in: play, friction, or a ball bearing",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "arms": "{end: 130 up}",
    }

    turns_freely = True
    takes_artwork = True
    also_called = ("slotted link", "quick return", "crank slot lever", "whitworth lever")

    at: At
    slot: Slot
    arms: Mapping[str, Arm] = Field(default_factory=dict)
    bearing: Bearing = Bearing()

    @model_validator(mode="after")
    def _names_its_points(self) -> Self:
        if "pivot" in self.arms:
            raise Wrong(
                "an arm can't be called 'pivot'",
                "another name; the pivot is there already",
                key="arms",
            )
        return self

    def held(self) -> Turns:
        return Turns(self.at)

    def points(self) -> Mapping[str, Point]:
        own = {"pivot": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.arms.items()}
        return own | drawn_points(self, own)

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}

    def slot_line(self) -> tuple[Point, float, float, float]:
        return (0.0, 0.0), self.slot.angle, self.slot.from_, self.slot.to

    def led(self, piece: Standing, now: float) -> float:
        x, y = place_of(piece, self.at)
        px, py = piece.point(self.driver.part, self.driver.point)
        if math.hypot(px - x, py - y) < 1e-6:
            raise Wrong(
                f"'{self.driver.text}' comes to the pivot of '{self.name}', where its slot has no direction",
                "another place for the pivot, or another radius for the crank",
                key="at",
            )
        angle = math.atan2(py - y, px - x) - self.slot.angle
        return now + (angle - now + math.pi) % math.tau - math.pi

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Tell where the pin would have to be beyond an end of the slot."""
        x, y = place_of(piece, self.at)
        px, py = piece.point(self.driver.part, self.driver.point)
        far = math.hypot(px - x, py - y)
        if far < self.slot.from_ - 1e-6:
            yield Beyond(
                self.slot.from_ - far,
                f"'{self.driver.text}' leaves the slot of '{self.name}' at its near end",
                f"'{self.name}.slot.from: {math.floor(far * 2) / 2:g}' or less",
                key="slot.from",
                more=f"it is {far:.2f} mm from the pivot there; the slot begins at {self.slot.from_:g} mm",
            )
        elif far > self.slot.to + 1e-6:
            yield Beyond(
                far - self.slot.to,
                f"'{self.driver.text}' leaves the slot of '{self.name}' at its far end",
                f"'{self.name}.slot.to: {math.ceil(far * 2) / 2:g}' or more",
                key="slot.to",
                more=f"it is {far:.2f} mm from the pivot there; the slot ends at {self.slot.to:g} mm",
            )

    def _width(self) -> float:
        return self.pin_diameter + 2 * WALL

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        per_area = shop.density(self) * thick
        if self.artwork is not None:
            return artwork(self.artwork, per_area)
        width = self._width()
        near, far = (polar(r, self.slot.angle) for r in (self.slot.from_, self.slot.to))
        walls = bar(near, far, per_area * 2 * WALL, width)
        foot = bar((0.0, 0.0), near, per_area * width, width)
        arms = [
            bar((0.0, 0.0), polar(*arm), per_area * 2.5 * thick, 2.5 * thick)
            for arm in self._free_arms()
        ]
        beyond = [
            bar(far, polar(length, angle), per_area * width, width)
            for length, angle in self.arms.values()
            if self._is_along(angle) and length > self.slot.to
        ]
        return together([walls, foot, *arms, *beyond])

    def _is_along(self, angle: float) -> bool:
        return abs((angle - self.slot.angle + math.pi) % math.tau - math.pi) < 1e-6

    def _free_arms(self) -> list[tuple[float, float]]:
        """Arms that don't lie along the slot."""
        return [arm for arm in self.arms.values() if not self._is_along(arm[1])]

    def build(self, shop: Workshop) -> None:
        shop.bearing(self, self.at, PIVOT_RADIUS, self.bearing)
        self.lead_in(shop)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, thickness)
        else:
            for length, angle in self._free_arms():
                pen.strap(
                    (0.0, 0.0),
                    polar(length, angle),
                    self._width(),
                    7.0,
                    stuff,
                    thickness,
                    7,
                    sort="arm",
                )
            end = max(
                [self.slot.to + self.pin_diameter / 2 + WALL]
                + [length for length, angle in self.arms.values() if self._is_along(angle)]
            )
            pen.slotted_strap(
                (0.0, 0.0), polar(end, self.slot.angle), self._width(),
                (self.slot.from_, self.slot.to), self.pin_diameter / 2 + self.play / 2, stuff, thickness,
            )  # fmt: skip
            for arm in self.arms.values():
                pen.turned(polar(*arm), 2.0, "brass", 1.5, sort="rivet")
        pen.turned((0.0, 0.0), 2.8, "brass", 1.5, 1.0, sort="pivot")
        self.draw_block(pen)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Swing and time ratio of a crank and slotted lever, both pivots in the frame and the crank's circle outside the pivot."""
        driver = motion.scene.parts[self.driver.part]
        starts = motion.scene.starts
        if motion.drive is None or driver.kind not in ("crank", "wheel"):
            return
        hub, mine = starts[driver.name], starts[self.name]
        radius = math.hypot(*driver.points()[self.driver.point or next(iter(driver.points()))])
        apart = math.hypot(hub.x - mine.x, hub.y - mine.y)
        if radius < apart:
            half = math.asin(radius / apart)
            source = "crank and slotted lever: sin(half swing) = crank / centres (any text on mechanisms)"
            yield Prediction(f"{self.name}.swing", 2 * half, source)
            yield Prediction(
                f"{self.name}.time ratio", (math.pi + 2 * half) / (math.pi - 2 * half), source
            )
