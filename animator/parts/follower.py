"""A stem in a guide that rides on a cam: knife edge, roller or flat."""

import itertools
import math
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

from animator.geometry import Point, unit
from animator.parts._contract import PARTS, Part, Pen, Slides, Weight, Workshop
from animator.parts._fields import (
    WAYS,
    Beside,
    Direction,
    Guide,
    PartOf,
    Ref,
    Size,
    Spring,
    Tip,
)
from animator.parts._solid import bar, disc, together

ROLLER_WIDTH = 6.0  # mm; as thick as the cam it runs on
YOKE_BAR, YOKE_SHEET = 6.0, 3.0  # mm; a yoke's rails, sawn from sheet
PIN_RADIUS = 1.5  # mm; a 3 mm pin
PIN_FRICTION = 0.2  # brass or steel on a greased pin; it hardly matters at this radius


@PARTS.add("follower")
class Follower(Part):
    """Lifted by the cam it ``follows``, kept on it by its weight and perhaps a ``spring``.

    ``length`` from the tip (the roller's centre) to the top; ``offset`` how far the stem stands beside the cam's axis.
    """

    as_written = "lifter: {kind: follower, follows: lift cam, tip: {roller diameter: 10}, guide: {at: 60 above camshaft, length: 30}}"

    says: ClassVar[Mapping[str, str]] = {
        "follows": "the cam that lifts it",
        "guide": "the hole its stem slides in",
        "tip": "what touches the cam: a knife, a roller, a flat, or a yoke of two flats round it",
        "slides": "which way is up for it",
        "length": "from its tip to its top",
        "offset": "how far its stem stands beside the cam's axis, to the right of its way",
        "spring": "presses it on its cam, besides its weight",
    }

    also_called = ("lifter", "roller", "tappet", "cam follower", "pushrod follower")

    follows: Annotated[Ref, PartOf("cam")]
    guide: Guide
    tip: Tip = Tip(kind="knife")
    slides: Direction = WAYS["up"]
    length: Size = 60.0
    offset: Beside = 0.0
    spring: Spring | None = None

    def held(self) -> Slides:
        return Slides(self.guide.at, self.slides, -self.length / 2, self.offset, self.follows)

    def points(self) -> Mapping[str, Point]:
        return {"top": (self.length, 0.0), "tip": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        stem = bar(
            (0.0, 0.0), (self.length, 0.0), shop.bar_density(self), shop.stuff_of(self)[1]
        )
        if self.tip.yoke is not None:
            sheet = shop.density(self) * YOKE_SHEET * YOKE_BAR
            rails = itertools.pairwise(
                [*yoke_middle(self.tip.yoke), yoke_middle(self.tip.yoke)[0]]
            )
            return together((stem, *(bar(a, b, sheet, YOKE_BAR) for a, b in rails)))
        return together((stem, disc(self.tip.roller_radius, shop.density(self) * ROLLER_WIDTH)))

    def build(self, shop: Workshop) -> None:
        shop.guide(
            self,
            self.guide,
            self.slides,
            ((0.0, 0.0), (self.length, 0.0)),
            shop.stuff_of(self)[1],
            self.offset,
        )
        roller = self.tip.roller_radius
        stuff = shop.stuff_of(self)[0]
        cam: Any = shop.scene.parts[self.follows.part]
        if roller:
            # a roller drags only by its pin's friction, at the pin's radius
            friction = PIN_FRICTION * min(PIN_RADIUS, roller / 2) / roller
        else:
            friction = shop.friction(None, stuff, shop.stuff_of(cam)[0])
        shop.cam_contact(
            self,
            cam.name,
            (0.0, 0.0),
            self.slides,
            friction,
            f"{self.name} on {cam.name}",
            # a drop lets go on purpose; what is held both ways has a little play
            is_meant=cam.drop is None and cam.groove is None and self.tip.yoke is None,
        )
        if self.spring is not None:
            spring = Push(shop, self, self.spring.preload, self.spring.rate or 0.0)
            shop.before_step(spring.push)
            shop.store(f"spring of {self.name}", spring.energy)

    def draw_across(self, pen: Pen) -> None:
        """Draw the stem, its bush and what it stands on the cam with, edge-on; only upright slides are shown in another view."""
        rise = math.cos(self.slides - pen.seen.up)
        if abs(abs(rise) - 1) > 1e-3:
            pen.edge_plain()
            return
        stuff, size = pen.stuff("steel")
        roller = self.tip.roller_radius
        neck = 1.9 * roller + 5.0 if roller else 8.0
        pen.bar((0.0, rise * neck), (0.0, rise * self.length), size, stuff, 9, sort="stem")
        if self.tip.yoke is not None:
            low, high = -self.tip.yoke - YOKE_BAR, YOKE_BAR
            pen.block(
                (0.0, rise * (low + high) / 2), YOKE_SHEET, high - low, "brass", 3.0, 6, sort="yoke"
            )  # fmt: skip
        elif roller:
            pen.block((0.0, 0.0), ROLLER_WIDTH, 2 * roller, "brass", 3.0, 6, sort="roller")
            for side in (-1, 1):
                pen.block(
                    (side * (ROLLER_WIDTH / 2 + 1.0), rise * neck / 2), 2.0, neck + 4.0, "brass", 3.0, 8, sort="fork"
                )  # fmt: skip
            pen.bar(
                (0.0, rise * (neck - 1)),
                (0.0, rise * (neck + 3)),
                ROLLER_WIDTH + 4.0,
                "brass",
                8,
                sort="yoke",
            )
        else:
            pen.block(
                (0.0, rise * neck / 2), max(size, 5.0), neck, "brass", 3.0, 6, sort="foot"
            )
        tip, middle = pen.scene.starts[self.name], pen.spot(self.guide.at)
        way = unit(self.slides)
        off = (middle[0] - tip.x) * way[0] + (middle[1] - tip.y) * way[1]
        # its main point is its top
        x, y = pen.stands()
        y -= rise * self.length
        half = self.guide.length / 2
        pen.frame.bar(
            (x, y + rise * (off - half)), (x, y + rise * (off + half)), size + 5.0, "brass", 7, sort="bush"
        )  # fmt: skip

    def draw(self, pen: Pen) -> None:
        stuff, size = pen.stuff("steel")
        roller = self.tip.roller_radius
        # nothing on the stem may be longer than the way it has left under its guide
        room = pen.clearance(self.guide, self.slides, self.offset)
        neck = (
            max(roller * 0.9 + 1.5, min(roller * 1.9 + 5.0, room - 2.5))
            if roller
            else min(8.0, max(room - 2.0, 2.0))
        )
        seat = max(neck - 2.0, roller * 0.8)
        if self.spring is not None:
            bore = size + 2 * max(2.4, 0.42 * size)
            pen.coil(
                lambda now: now.point(self.name, (seat + 1.2, 0.0)),
                lambda now: pen.spring_seat(self.guide, self.slides, self.offset),
                bore + 3.0, 8, max(1.1, 0.22 * size), moves_with=(self.name,),
            )  # fmt: skip
        pen.bar((seat, 0.0), (self.length, 0.0), size, stuff, 9, sort="stem")
        if self.tip.yoke is not None:
            pen.framed(
                yoke_edge(self.tip.yoke, YOKE_BAR), yoke_edge(self.tip.yoke, 0.0), "brass", YOKE_SHEET, 18, sort="yoke"
            )  # fmt: skip
            pen.bar((YOKE_BAR - 1, 0.0), (neck, 0.0), size + 3, "brass", 6, sort="socket")
        elif self.tip.flat_width is not None:
            pen.bar(
                (0.0, -self.tip.flat_width / 2),
                (0.0, self.tip.flat_width / 2),
                3.0,
                "brass",
                7,
                sort="foot",
            )
            pen.bar((1.0, 0.0), (neck, 0.0), size + 3, "brass", 6, sort="socket")
        elif roller:
            pen.yoke(neck, roller, size)
            pen.turned((0.0, 0.0), roller, "brass", 3, min(1.5, 0.3 * roller), sort="roller")
        else:
            pen.plate(
                [
                    (0.0, 0.0),
                    (0.7 * neck, 0.7 * size),
                    (neck, 0.7 * size),
                    (neck, -0.7 * size),
                    (0.7 * neck, -0.7 * size),
                ],
                "brass",
                0.0,
                6,
                sort="knife edge",
            )
        pen.frame.bush(self.guide, self.slides, size, self.offset)
        if self.spring is not None:
            half = (size + 2 * max(2.4, 0.42 * size) + 5.5) / 2
            pen.bar((seat, -half), (seat, half), 2.6, "brass", 5, sort="collar")


def yoke_edge(opening: float, outset: float) -> list[Point]:
    """Corners of a yoke's opening, or of its frame's edge farther out, in the follower's own frame: the upper flat at 0, square. [mm]"""
    half = opening / 2 + outset
    low, high = -opening - outset, outset
    return [(low, -half), (high, -half), (high, half), (low, half)]


def yoke_middle(opening: float) -> list[Point]:
    """Corners of the middle line of a yoke's rails. [mm]"""
    return yoke_edge(opening, YOKE_BAR / 2)


class Push:
    """A spring round the stem, between guide and tip, that pushes the follower onto its cam. The stem hardly tilts: its lift is that of its middle."""

    def __init__(self, shop: Workshop, part: Follower, preload: float, rate: float) -> None:
        self._body = shop.body(part.name)
        self._dt, self._preload, self._rate = shop.dt, preload, rate
        self._way = unit(part.slides)
        self._start = self._body.position
        tip, place = shop.start_point(part.name, "tip"), shop.place(part.guide.at)
        along = (place[0] - tip[0]) * self._way[0] + (place[1] - tip[1]) * self._way[1]
        # it bears on the stem where the guide is, so that it presses along the stem and doesn't tip it
        self._seat = tip[0] + along * self._way[0], tip[1] + along * self._way[1]
        if rate:
            shop.stiff(rate, self._body.mass)

    def push(self, t: float) -> None:
        """Push with what the spring gives where the stem will be after this step."""
        x, y = self._body.position
        vx, vy = self._body.velocity
        wx, wy = self._way
        lift = (x + self._dt * vx - self._start.x) * wx + (
            y + self._dt * vy - self._start.y
        ) * wy
        force = self._preload + self._rate * lift
        if force > 0:
            self._body.apply_force_at_world_point((-force * wx, -force * wy), self._seat)

    def energy(self) -> float:
        """Energy stored since the start. [g mm^2/s^2]"""
        # taken half a step ahead, between the places at which the forces before and after are
        (x, y), (vx, vy), lead = self._body.position, self._body.velocity, self._dt / 2
        wx, wy = self._way
        lift = (x + lead * vx - self._start.x) * wx + (y + lead * vy - self._start.y) * wy
        if self._rate and self._preload + self._rate * lift < 0:
            lift = -self._preload / self._rate
        return float(self._preload * lift + self._rate * lift * lift / 2)
