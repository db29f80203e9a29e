"""A Scotch yoke: a slide with a slot across its way, moved by a crank pin. Its way is the crank's cosine."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Pen, Prediction, Slides, Standing, Weight, Workshop
from animator.parts._fields import Direction, Guide, Size
from animator.parts._slot import WALL, Beyond, Slotted, place_of
from animator.parts._solid import artwork, bar, drawn_points, together
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion


@PARTS.add("yoke")
class Yoke(Slotted):
    """A bar that slides in a guide, with a slot across its end in which a crank's pin runs; ``slot`` is how far the pin may go from end to end."""

    as_written = "yoke: {kind: yoke, slides: right, guide: {at: 80 right of shaft, length: 30}, slot: 50, length: 110, driver: crank.pin}"

    says: ClassVar[Mapping[str, str]] = {
        "slides": "the direction from its slot to its tip",
        "guide": "the hole it slides in",
        "slot": "how far the pin may go across, from one end to the other",
        "length": "from the middle of its slot to its tip",
        "back_guide": "a second hole for a stem that goes on behind the slot, so that it can't tilt",
        "tail": "from the middle of its slot to the end of that stem",
    }

    takes_artwork = True
    also_called = ("scotch yoke", "cross-slide", "slotted crosshead")

    slides: Direction
    guide: Guide
    slot: Size
    length: Size = 60.0
    back_guide: Guide | None = None
    tail: Size | None = None

    @model_validator(mode="after")
    def _has_a_stem_for_its_guide(self) -> Self:
        if self.back_guide is not None and self.tail is None:
            raise Wrong(
                "nothing goes through the back guide",
                f"how long the stem behind the slot is: 'tail: {self.length:g}'",
                key="back guide",
            )
        return self

    def held(self) -> Slides:
        return Slides(self.guide.at, self.slides, -self.length / 2)

    def points(self) -> Mapping[str, Point]:
        own = {"slot": (0.0, 0.0), "tip": (self.length, 0.0)}
        return own | drawn_points(self, own)

    def dimensions(self) -> Mapping[str, float]:
        return {"length": self.length}

    @property
    def knuckle(self) -> float:
        """How far its slotted end reaches towards the guide. [mm]"""
        return self.pin_diameter / 2 + WALL

    def slot_line(self) -> tuple[Point, float, float, float]:
        return (0.0, 0.0), math.pi / 2, -self.slot / 2, self.slot / 2

    def led(self, piece: Standing, now: float) -> float:
        x, y = place_of(piece, self.guide.at)
        px, py = piece.point(self.driver.part, self.driver.point)
        return (px - x) * math.cos(self.slides) + (py - y) * math.sin(self.slides)

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Tell where the pin would have to be beyond an end of the slot."""
        across = self.on_slot(piece)[0]
        yield from self._behind(piece)
        if abs(across) > self.slot / 2 + 1e-6:
            yield Beyond(
                abs(across),
                f"'{self.driver.text}' leaves the slot of '{self.name}'",
                f"'{self.name}.slot: {math.ceil(4 * abs(across)) / 2:g}' or more",
                key="slot",
                more=f"it is {abs(across):.2f} mm beside the line of the slide there; the slot of {self.slot:g} mm ends at {self.slot / 2:g} mm",
            )

    def _behind(self, piece: Standing) -> Iterable[Wrong]:
        """Tell where the slotted end strikes the back guide, or the tail comes out of it."""
        if self.back_guide is None or self.tail is None:
            return
        pose, (x, y) = piece.pose(self.name), place_of(piece, self.back_guide.at)
        behind = (pose.x - x) * math.cos(self.slides) + (pose.y - y) * math.sin(self.slides)
        half = self.back_guide.length / 2
        if behind - half < self.knuckle:
            move = math.ceil((self.knuckle + half - behind + 1) * 2) / 2
            yield Beyond(
                half - behind,
                f"the slot of '{self.name}' strikes its back guide",
                f"a place {move:g} mm farther back",
                key="back guide.at",
                more=f"it comes to {behind - half:.2f} mm from the hole, and its side reaches {self.knuckle:g} mm",
            )
        elif behind + half > self.tail:
            yield Beyond(
                behind,
                f"the tail of '{self.name}' comes out of its back guide",
                f"'{self.name}.tail: {math.ceil((behind + half + 2) * 2) / 2:g}' or more",
                key="tail",
            )

    def weigh(self, shop: Workshop) -> Weight:
        size = shop.stuff_of(self)[1]
        half = self.slot / 2 + self.pin_diameter / 2 + WALL
        side = self.pin_diameter / 2 + WALL / 2
        walls = [
            bar((x, -half), (x, half), shop.density(self) * size * WALL, WALL)
            for x in (-side, side)
        ]
        stem = bar((-(self.tail or 0.0), 0.0), (self.length, 0.0), shop.bar_density(self), size)
        drawn = (
            [] if self.artwork is None else [artwork(self.artwork, shop.density(self) * size)]
        )
        return together([*walls, stem, *drawn])

    def build(self, shop: Workshop) -> None:
        shop.guide(
            self,
            self.guide,
            self.slides,
            ((self.knuckle, 0.0), (self.length, 0.0)),
            shop.stuff_of(self)[1],
        )
        if self.back_guide is not None and self.tail is not None and not self.guide.ideal:
            contacts = shop.world.contacts
            front = contacts.pop(f"{self.name}.guide")
            stem = (-self.tail, 0.0), (-self.knuckle, 0.0)
            shop.guide(self, self.back_guide, self.slides, stem, shop.stuff_of(self)[1])
            contacts[f"{self.name}.back guide"] = contacts.pop(f"{self.name}.guide")
            contacts[f"{self.name}.guide"] = front
        self.lead_in(shop)

    def draw(self, pen: Pen) -> None:
        stuff, size = pen.stuff()
        pen.bar((self.knuckle, 0.0), (self.length, 0.0), size, stuff, 8, sort="yoke's stem")
        if self.tail is not None:
            pen.bar((-self.tail, 0.0), (-self.knuckle, 0.0), size, stuff, 8, sort="yoke's tail")
        half = self.slot / 2 + self.pin_diameter / 2 + WALL
        width = self.pin_diameter + 2 * WALL
        pen.slotted_strap(
            (0.0, -half + width / 2), (0.0, half - width / 2), width, (-self.slot / 2 + half - width / 2, self.slot / 2 + half - width / 2),
            self.pin_diameter / 2 + self.play / 2, stuff, size,
        )  # fmt: skip
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, size)
        pen.frame.bush(self.guide, self.slides, size)
        if self.back_guide is not None:
            pen.frame.bush(self.back_guide, self.slides, size)
        self.draw_block(pen)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Travel of a Scotch yoke: twice the crank."""
        driver = motion.scene.parts[self.driver.part]
        if motion.drive is not None and driver.kind in ("crank", "wheel"):
            radius = math.hypot(
                *driver.points()[self.driver.point or next(iter(driver.points()))]
            )
            yield Prediction(
                f"{self.name}.travel",
                2 * radius,
                "Scotch yoke: x = r cos(angle) (any text on mechanisms)",
            )
