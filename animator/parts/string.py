"""A string: pulls when taut, hangs when slack, bends over pins and eyelets, winds up on drums."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Any, ClassVar

from pydantic import model_validator

from animator.geometry import Point, Pose
from animator.parts._contract import PARTS, Part, Pen, Spans, Standing, Workshop
from animator.parts._fields import FITTED, FittedLength, Length, PartOf, PointRef, Ref, Stuff
from animator.parts._way import (
    Arc,
    Course,
    Free,
    Hold,
    Station,
    Way,
    capstan,
    stations,
    tangents,
)
from animator.trains import running_senses, turning_part
from animator.units import Wrong

THREAD = Stuff("linen thread", 0.8)
HANGING = (
    40.0  # mm; how far down a weight hangs on a string that is cut to suit, unless it says
)
OPEN = 0.02  # mm; makers write two digits


@PARTS.add("string")
class String(Part):
    """Runs ``from`` one point or drum ``to`` another, ``by way of`` pins, eyelets and pulleys, always on the inner side of its bends.

    It pulls only when taut, and stretches as its stuff does. At each pin and eyelet the larger pull may be exp(friction * bend) times the smaller before it slides;
    a pulley turns with it. A guide named twice running is gone round once more. It weighs nothing, and what lies on a drum is held fast there.
    """

    as_written = "cord: {kind: string, from: crank.pin, by way of: [eye, nail], to: wing.tip}"

    says: ClassVar[Mapping[str, str]] = {
        "from_": "the point it is tied to, or the drum that winds it",
        "to": "the point its other end is tied to, or the drum that winds it",
        "by_way_of": "pins, eyelets and pulleys it bends over, in order",
        "length": "of the whole string, with what lies on drums; left out, cut to its way at the start",
        "slack": "how much longer than its way it is cut",
    }
    examples: ClassVar[Mapping[str, str]] = {"by_way_of": "[eye, nail]"}

    has_places = False
    why_it_hangs_loose: ClassVar[str] = (
        "What it pulls doesn't follow when it is paid out: it lies on a stop, or is too light to draw the string along."
    )
    also_called = ("rope", "thread", "cord", "line", "twine", "lanyard", "tether")

    from_: PointRef
    to: PointRef
    by_way_of: tuple[Annotated[Ref, PartOf("pin", "eyelet", "pulley")], ...] = ()
    length: FittedLength = FITTED
    slack: Length = 0.0

    @model_validator(mode="after")
    def _can_be_tied(self) -> "String":
        if self.material is not None and self.axial_stiffness <= 0:
            raise Wrong(
                f"'{self.material.name}' makes no string",
                "'linen thread 0.8' or 'string 2'",
                key="material",
            )
        if self.slack and self.length != FITTED:
            raise Wrong(
                "'slack' belongs to a string that is cut to its way; this one says its 'length'",
                "one of the two",
                key="slack",
            )
        if self.from_.text == self.to.text:
            raise Wrong(
                "both ends are tied to the same point",
                "another point for one of them",
                key="to",
            )
        return self

    @property
    def _stuff(self) -> Stuff:
        return self.material or THREAD

    @property
    def diameter(self) -> float:
        """Thickness of the string. [mm]"""
        return self._stuff.size or THREAD.size or 0.8

    @property
    def axial_stiffness(self) -> float:
        """Force that would double its length, E A. [g mm/s^2]"""
        return self._stuff.stuff.axial_stiffness(self.diameter) or 0.0

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        return {"middle": (0.0, 0.0)}

    def way(self, piece: Standing) -> Way:
        """Lay the string where everything stands."""
        passed = stations(self, piece.parts)
        return Way(
            passed,
            [piece.point(each.part, each.point) for each in passed],
            [
                piece.pose(each.part).angle if each.part in piece.parts else 0.0
                for each in passed
            ],
        )

    def hung(self, piece: Standing, name: str) -> Point | None:
        """Hang what is tied to an end straight below the last thing the string bends over, on the side it comes down."""
        passed = stations(self, piece.parts)
        is_first = passed[0].part == name
        if not is_first:
            passed = passed[::-1]
        top = passed[1]
        x, y = piece.point(top.part, top.point)
        side = 0.0  # +1 where it comes down on the right
        if top.winds:
            side = float(top.winds)  # where it goes up as it is taken up
        elif top.radius:
            far = passed[2]
            if far.hangs:
                side = -1.0 if is_first else 1.0  # one on each side
            else:
                at = piece.point(far.part, far.point)
                rim = far.radius if far.winds else 0.0
                side = (
                    1.0
                    if tangents([(*at, rim, -far.winds), (x, y, 0.0, 1.0)])[0].x >= 0
                    else -1.0
                )
        x += side * top.radius
        depth = getattr(piece.parts[name], "hangs", None) or HANGING
        if self.length != FITTED and not (is_first and passed[-1].hangs):
            depth = self._depth(piece, passed, (x, y))
        return x, y - depth

    def _depth(self, piece: Standing, passed: Sequence[Station], top: Point) -> float:
        """How far down an end hangs that a string of a given length leaves loose. [mm]"""
        trial = 100.0
        places = [piece.point(each.part, each.point) for each in passed[1:]]
        angles = [
            piece.pose(each.part).angle if each.part in piece.parts else 0.0 for each in passed
        ]
        way = Way(passed, [(top[0], top[1] - trial), *places], angles)
        return max(1.0, trial + float(self.length) - way.length)

    def suited(self, piece: Standing) -> "tuple[String, Iterable[str]]":
        if self.length != FITTED:
            return self, ()
        length = self.way(piece).length + self.slack
        return self.model_copy(update={"length": length}), (
            f"{self.name} is cut to {length:.2f} mm",
        )

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Too short for its way, or wound the wrong way round a drum that never turns the other way."""
        if piece.turned:
            return  # what it pulls gives way in the run; only where it starts is known here
        way = self.way(piece)
        if self.length != FITTED and way.length > float(self.length) + OPEN:
            yield Wrong(
                f"'{self.name}' is {float(self.length):g} mm long, but its way is {way.length:.2f} mm",
                f"'{self.name}.length: {math.ceil(way.length * 2) / 2:g}' or '{self.name}.length: fitted'",
                key="length",
            )
        senses = running_senses(piece.parts)
        for station in (way.stations[0], way.stations[-1]):
            if not station.winds:
                continue
            sense = senses.get(turning_part(piece.parts, station.part), 0.0)
            if sense * station.winds < 0 and not station.wound:
                drum: Any = piece.parts[station.part]
                other = "clockwise" if drum.winds == "anticlockwise" else "anticlockwise"
                yield Wrong(
                    f"'{station.part}' has nothing wound on it to pay out to '{self.name}': it winds {drum.winds}, but turns {other}",
                    f"'{station.part}.winds: {other}', or '{station.part}.wound angle: 720' for two turns to pay out",
                    key="from" if station is way.stations[0] else "to",
                )

    def build(self, shop: Workshop) -> None:
        from animator.world.ropes import Rope, rope_measures

        rope = Rope(shop, self, lambda station: self._hold(shop, station), float(self.length))  # type: ignore[arg-type]
        shop.before_step(rope.act)
        shop.store(self.name, rope.energy)
        rope_measures(shop, self.name, rope)  # type: ignore[arg-type]

    def draw(self, pen: Pen) -> None:
        course = Course(self.way(Start(pen.scene)))
        passed = course.stations
        names = [each.part for each in passed]

        def pieces(now: Any) -> Sequence[Arc | Free]:
            return course.pieces(
                [now.point(each.part, each.point) for each in passed],
                [now.pose(name).angle for name in names],
                [now.value(f"{self.name}.bend {i}") for i in range(len(passed))],
                [now.value(f"{self.name}.wound {i}") for i in range(len(passed))],
                [now.value(f"{self.name}.slack {i}") for i in range(1, len(passed))],
            )

        pen.nearer_than(names).thread(pieces, self.diameter, self._stuff.name)

    def _hold(self, shop: Workshop, station: Station) -> Hold:
        guide: Any = shop.scene.parts[station.part]
        own = getattr(guide, "string_hold", None)
        if own is not None:
            hold: Hold = own(shop, self._stuff.name, station.radius)
            return hold
        return capstan(shop.friction(None, self._stuff.name, shop.stuff_of(guide)[0]))


class Start:
    """The piece as it was put together, to lay a string on for a picture: the run laid it there too."""

    turned = 0.0

    def __init__(self, scene: Any) -> None:
        self.parts: Mapping[str, Part] = scene.parts
        self._starts: Mapping[str, Pose] = scene.starts

    def pose(self, name: str) -> Pose:
        """Pose of a part's frame."""
        return self._starts[name]

    def point(self, part: str, point: str) -> Point:
        """Place of a part's point. [mm]"""
        points = self.parts[part].points()
        return self.pose(part).place(points[point or next(iter(points))])
