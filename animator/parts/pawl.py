"""A finger that stands in the teeth of a ratchet wheel: it holds the wheel, or drives it a tooth at a time."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, ClassVar, NamedTuple, cast

from pydantic import Field, model_validator

from animator.geometry import Point, Pose, polar
from animator.parts._contract import PARTS, Pen, Standing, Turns, Weight, Workshop
from animator.parts._fields import (
    Amount,
    Arm,
    Friction,
    PartOf,
    Reader,
    Ref,
    Size,
    Torque,
    Words,
    Yes,
    references,
    text_of,
)
from animator.parts._slot import place_of
from animator.parts._solid import bar, together
from animator.parts._teeth import Teeth
from animator.parts._turning import Pivoted
from animator.parts.ratchet_wheel import RatchetWheel
from animator.trains import turning_part
from animator.units import MOST, Wrong, measure

PIVOT_RADIUS = 1.5  # mm; a 3 mm pin
HARDWARE = 2.0  # g; brass boss, pin and washers round its pivot
BLUNTEST = 0.4  # mm; how round a nose is filed, less on fine teeth
NOSE_SHARE = 0.15  # of the teeth's depth
WIDTH_SHARE = 0.16  # of the length
OVER = 1.6  # depths by which a finger lifts the nose out of the teeth
LEVELLED = 0.05  # of its weight that must press; nearer to upright it tips over
SEARCH = (
    240  # places tried between the wheel's tips and its middle for where a nose comes to rest
)


class When(NamedTuple):
    """A moment: by the main shaft [rad] or by the clock [s]."""

    value: float
    is_time: bool


class _When(Reader):
    def read(self, value: Any) -> When:
        text = text_of(value, "2 turns")
        number, sort = measure(text, ("angle", "time"))
        if number < 0:
            raise Wrong(f"'{text}' is before the start", "a moment from 0 on")
        if number > MOST[sort][0]:
            raise Wrong(f"'{text}' is too late", f"at most '{MOST[sort][1]}'")
        return When(number, sort == "time")

    def schema(self) -> dict[str, Any]:
        return {
            "anyOf": [{"type": "number"}, {"type": "string"}],
            "examples": ["2 turns", "1.5 s"],
        }


class Release(Words):
    """A stretch of the run in which a finger lifts the pawl out of its teeth: ``from`` one moment ``to`` another, or to the end."""

    sample_text: ClassVar[str] = "{from: 2 turns, to: 3 turns}"
    says: ClassVar[Mapping[str, str]] = {
        "from_": "when a finger lifts it: degrees or turns of the main shaft, or seconds",
        "to": "when it is let down again; left out, never",
    }

    from_: Annotated[When, _When()]
    to: Annotated[When, _When()] | None = None

    @model_validator(mode="after")
    def _ends_after_it_begins(self) -> "Release":
        if (
            self.to is not None
            and self.to.is_time == self.from_.is_time
            and self.to.value <= self.from_.value
        ):
            raise Wrong("let down before it is lifted", "a later moment", key="to")
        return self

    def holds(self, angle: float, time: float) -> bool:
        """Whether the finger holds it off now. angle [rad], time [s]"""

        def passed(when: When) -> bool:
            return (time if when.is_time else angle) >= when.value - 1e-9

        return passed(self.from_) and not (self.to is not None and passed(self.to))


class PawlSpring(Words):
    """A little spring that turns the pawl into its teeth: ``torque`` as it lies at the bottom, ``rate`` more for each degree it is lifted."""

    sample_text: ClassVar[str] = "{torque: 1 N mm}"
    says: ClassVar[Mapping[str, str]] = {
        "torque": "its torque at the start",
        "rate": "how much its torque grows for each degree the pawl is lifted",
    }

    torque: Torque = 0.0
    rate: Annotated[float, Amount(("turning rate",), above=0)] | None = None
    later: ClassVar = {
        "preload": "a pawl's spring turns it about its pivot ('torque: 1 N mm')",
    }

    @model_validator(mode="after")
    def _turns_it_at_all(self) -> "PawlSpring":
        if not self.torque and self.rate is None:
            raise Wrong("neither turns nor grows", "'{torque: 1 N mm}'")
        return self


@PARTS.add("pawl")
class Pawl(Pivoted):
    """A pawl ``holds`` a ratchet wheel or ``drives`` it from a lever that rocks; its nose lies in the teeth, pressed by its weight or a ``spring``.

    ``length`` is from its pivot to the end of its nose. It pushes against the teeth; with ``hooked: yes`` it pulls. ``arms`` point from its own line: at 0
    along it towards the nose, so a tail is ``20 at 180``.
    """

    as_written = "keep pawl: {kind: pawl, at: 30 right and 26 above count shaft, length: 24, holds: count wheel, spring: {torque: 1 N mm}}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "its pivot: a place, or a point of a lever that rocks",
        "length": "from its pivot to the end of its nose",
        "holds": "the ratchet wheel it keeps from running back",
        "drives": "the ratchet wheel it pushes on",
        "spring": "turns it into the teeth, besides its weight",
        "hooked": "yes: it pulls at the teeth, where another pushes",
        "friction": "of its nose on the teeth; left out, that of the two materials",
        "arms": "named points: how far from its pivot, and at which angle from its own line (0: towards the nose)",
        "released": "when a finger lifts it out of the teeth",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "arms": "{tail: 20 at 180}",
        "holds": "count wheel",
        "drives": "count wheel",
    }
    one_of: ClassVar[tuple[str, ...]] = ("holds", "drives")
    also_called = ("click", "catch", "dog", "detent pawl", "check pawl")

    length: Size
    holds: Annotated[Ref, PartOf("ratchet wheel")] | None = None
    drives: Annotated[Ref, PartOf("ratchet wheel")] | None = None
    spring: PawlSpring | None = None
    hooked: Yes = False
    friction: Friction | None = None
    arms: Mapping[str, Arm] = Field(default_factory=dict)
    released: Release | None = None

    @model_validator(mode="after")
    def _names_its_points(self) -> "Pawl":
        for name in ("pivot", "tip"):
            if name in self.arms:
                raise Wrong(
                    f"an arm can't be called '{name}'",
                    f"another name; the {name} is there already",
                    key="arms",
                )
        return self

    # ------------------------------------------------------------ what it works on
    @property
    def wheel(self) -> Ref:
        """The ratchet wheel in whose teeth it stands."""
        found = self.holds or self.drives
        assert found is not None
        return found

    @property
    def works_on(self) -> tuple[Ref, ...]:
        """The wheel, as a list that any part may have."""
        return (self.wheel,)

    def nose(self, teeth: Teeth) -> float:
        """How round its nose is. [mm]"""
        return min(BLUNTEST, NOSE_SHARE * teeth.depth)

    def points(self) -> Mapping[str, Point]:
        own = {"pivot": (0.0, 0.0), "tip": (self.length, 0.0)}
        return own | {name: polar(*arm) for name, arm in self.arms.items()}

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}

    def led_by(self) -> Iterable[Ref]:
        return (self.wheel,)

    def led(self, piece: Standing, now: float) -> float:
        """Lay the nose on the teeth, wherever the wheel stands."""
        wheel = cast("RatchetWheel", piece.parts[self.wheel.part])
        pivot = place_of(piece, self.at)
        return self.resting(wheel.rim(), piece.pose(wheel.name), pivot) + self.starts_at

    def closing(self, sense: int) -> int:
        """Which way it turns into the teeth, +1 anticlockwise, of a wheel that is free to turn in a ``sense``."""
        # the teeth push a pawl back against their free way, so a pushing nose lies ahead of its pivot and closes the way they run
        return -sense if self.hooked else sense

    def angle_at(self, teeth: Teeth, centre: Point, pivot: Point, radius: float) -> float:
        """Its angle when the middle of its nose is a radius from the wheel's. [rad]

        Raises
        ------
        Wrong
            It can't reach that far, or no farther than beyond it.
        """
        dx, dy = centre[0] - pivot[0], centre[1] - pivot[1]
        apart, reach = math.hypot(dx, dy), self.length - self.nose(teeth)
        if not abs(apart - reach) <= radius <= apart + reach:
            best = round(math.sqrt(max(apart**2 - (teeth.radius - teeth.depth / 2) ** 2, 1.0)))
            far = "can't reach" if reach + radius < apart else "reaches past"
            raise Wrong(
                f"'{self.name}' {far} the teeth of '{self.wheel.text}': it is {self.length:g} mm long, its pivot stands {apart:.4g} mm from the wheel's middle, and the roots lie {teeth.root_radius:.4g} mm from it",
                f"'length: {best}'"
                if apart > teeth.radius
                else f"a pivot at least {teeth.radius * 1.1:.3g} mm from the wheel's middle",
                key="length" if apart > teeth.radius else "at",
            )
        inside = math.acos(
            max(-1.0, min(1.0, (apart**2 + reach**2 - radius**2) / (2 * apart * reach)))
        )
        return math.atan2(dy, dx) - self.closing(teeth.sense) * inside

    def resting(self, teeth: Teeth, wheel: Pose, pivot: Point) -> float:
        """Angle at which its nose comes to lie on the teeth as it is let down from outside. [rad]"""
        nose = self.nose(teeth)
        reach = self.length - nose
        centre = (wheel.x, wheel.y)
        first = self.angle_at(teeth, centre, pivot, teeth.radius + nose)
        self.angle_at(teeth, centre, pivot, teeth.root_radius + nose)
        sense = self.closing(teeth.sense)

        def gap(angle: float) -> float:
            x, y = wheel.local(
                (pivot[0] + reach * math.cos(angle), pivot[1] + reach * math.sin(angle))
            )
            _, face, back = teeth.near(x, y, nose)
            return min(face.gap, back.gap)

        step = sense * 2 * teeth.depth / reach / SEARCH
        angle = first
        for _ in range(4 * SEARCH):
            if gap(angle + step) < 0:
                break
            angle += step
        low, high = angle, angle + step
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (low, middle) if gap(middle) < 0 else (middle, high)
        return low

    def misfits(self, piece: Standing) -> Iterator[Wrong]:
        parts = piece.parts
        if turning_part(parts, self.wheel.part) == self.name:
            yield Wrong(
                "a pawl can't hold a wheel that it carries", "a pivot of its own", key="at"
            )
            return
        if self.spring is None and self.released is None and self._hangs_alone(parts):
            yield from self._drops_out(piece)
        if (
            self.released is not None
            and not self.released.from_.is_time
            and not any(part.is_drive for part in parts.values())
        ):
            yield Wrong(
                "nothing turns a main shaft whose degrees could be counted",
                "a time, for example '{from: 2 s}'",
                key="released",
            )

    def _hangs_alone(self, parts: Mapping[str, Any]) -> bool:
        """Whether nothing but its own weight can press it."""
        return self.centre_of_mass is None and not any(
            ref.part == self.name
            for part in parts.values()
            if part is not self
            for ref in references(part)
        )

    def _drops_out(self, piece: Standing) -> Iterator[Wrong]:
        from animator.parts._views import view_of

        wheel = cast("RatchetWheel", piece.parts[self.wheel.part])
        mend = f"'spring: {SPRING_SAMPLE}'"
        if view_of(self.name, piece.parts) == "top":
            yield Wrong(
                f"nothing presses '{self.name}' into the teeth; what lies flat has no weight to do it",
                mend,
            )
            return
        here, axis = piece.pose(self.name), piece.pose(wheel.name)
        if self._presses(here.angle, wheel.sense):
            return
        right, up = here.x - axis.x, here.y - axis.y
        others = []
        for x, y in ((right, -up), (-right, up), (-right, -up)):
            rests = self.resting(wheel.rim(), axis, (axis.x + x, axis.y + y))
            if self._presses(rests, wheel.sense):
                others.append((x, y))
        if others:
            x, y = others[0]
            shaft = turning_part(piece.parts, wheel.name)
            mend += f", or its pivot elsewhere: 'at: {abs(x):.4g} {'right' if x > 0 else 'left'} and {abs(y):.4g} {'above' if y > 0 else 'below'} {shaft}'"
        yield Wrong(
            f"'{self.name}' is on the wrong side of '{self.wheel.text}': its weight draws it out of the teeth",
            mend,
            key="at",
        )

    def _presses(self, angle: float, sense: int) -> bool:
        """Whether its weight presses it into the teeth where it lies at an angle. [rad]"""
        return -math.cos(angle) * self.closing(sense) > LEVELLED

    # ------------------------------------------------------------ weight and forces
    def held(self) -> Turns:
        return Turns(self.at, self.stops.limits() if self.stops else None, 0.0)

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        width = max(4.0, WIDTH_SHARE * self.length)
        line = shop.density(self) * thick * width
        rows = [bar((0.0, 0.0), (self.length, 0.0), line * 0.7, width)]
        rows += [bar((0.0, 0.0), polar(*arm), line * 0.7, width) for arm in self.arms.values()]
        return together([*rows, Weight(HARDWARE, (0.0, 0.0), HARDWARE * 4.0)])

    def build(self, shop: Workshop) -> None:
        from animator.world.step_touches import Finger, Nose, NoseTouch, Press

        wheel = shop.scene.parts[self.wheel.part]
        teeth = wheel.rim()
        shop.bearing(self, self.at, PIVOT_RADIUS, self.bearing)
        self.limit(shop)
        host_name = shop.attached_to(self.at)
        host = shop.space.static_body if host_name is None else shop.body(host_name)
        nose = Nose(teeth, self.nose(teeth))
        pose, centre = shop.pose(self.name), shop.pose(wheel.name)
        tip = pose.place((self.length - nose.radius, 0.0))
        mu = shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(wheel)[0])
        where = f"teeth of {wheel.name}"
        units = [
            shop.exact_contact(
                key,
                wheel.name,
                self.name,
                where,
                "tooth",
                shop.body(wheel.name),
                shop.body(self.name),
                centre[:2],
                tip,
                NoseTouch(nose, is_face),
                mu,
                is_meant=False,
                origin_angle=centre.angle,
                axis=shop.fixed_axis(wheel.name),
            )
            for key, is_face in ((self.name, False), (f"{self.name}.face", True))
        ]
        sense = self.closing(teeth.sense)
        if self.spring is not None:
            Press(shop, self.name, host, self.spring.torque, self.spring.rate or 0.0, sense)
        if self.released is not None:
            lift = OVER * teeth.depth / self.length
            finger = Finger(shop, self.name, host, nose, sense, lift, self.length)
            self._let(shop, finger)
        shop.channel(f"{self.name}.steps", "count", lambda: float(nose.steps))
        shop.channel(f"{self.name}.skipped", "count", lambda: float(nose.skipped))
        shop.channel(f"{self.name}.locked", "state", lambda: float(units[1].normal_impulse > 0))
        shop.channel(
            f"{self.name}.force",
            "force",
            lambda: sum(unit.normal_impulse for unit in units) / shop.dt,
        )

    def _let(self, shop: Workshop, finger: Any) -> None:
        """Let the finger lift and lower it at its moments."""
        release = self.released
        assert release is not None
        main = shop.scene.main_shaft
        body = None if main is None else shop.body(main)
        start = 0.0 if body is None else body.angle
        drives = shop.world.drives

        def lead(t: float) -> None:
            turned = 0.0
            if drives:
                turned = drives[0].turned
                if body is not None and body is not drives[0].body:
                    turned = abs(body.angle - start)
                if not drives[0].is_released:
                    return  # the piece is still settling
            finger.lead(t, release.holds(turned, t))

        shop.before_step(lead)

    # ------------------------------------------------------------ look
    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        wheel = cast("RatchetWheel", pen.scene.parts[self.wheel.part])
        teeth = wheel.rim()
        own, other = pen.start(), pen.start(wheel.name)
        boss = max(2.6, 0.5 * WIDTH_SHARE * self.length + 0.8)
        pen.plate(
            self.body(teeth, own, other, boss),
            stuff,
            thickness,
            9,
            is_smooth=False,
            sort="pawl",
        )
        for end in self.arms.values():
            pen.strap(
                (0.0, 0.0), polar(*end), 1.7 * boss, 1.1 * boss, stuff, thickness, 9, sort="arm"
            )
            pen.turned(polar(*end), 1.2, "steel", 1.5, sort="rivet")
        pen.turned((0.0, 0.0), min(2.6, boss - 0.6), "steel", 2.0, 0.9, sort="pivot")

    def body(self, teeth: Teeth, own: Pose, wheel: Pose, boss: float) -> list[Point]:
        """Outline of the pawl: a boss round its pivot, and a beak that fits between two teeth. [mm]"""
        nose = self.nose(teeth)
        seat = self._seat(teeth, wheel, (own.x, own.y))

        def mine(x: float, y: float) -> Point:
            """Take a place of the valley it is seated in into its own frame."""
            c, s = math.cos(seat.valley), math.sin(seat.valley)
            point = seat.wheel.place((c * x - s * y, (s * x + c * y) * teeth.sense))
            return Pose(own.x, own.y, seat.angle).local(point)

        side = -self.closing(teeth.sense)  # of its own line, away from the wheel
        tip = (self.length - nose, 0.0)
        face = _between(mine(*teeth.root), mine(teeth.radius, 0.0))
        back = _between(mine(*teeth.root), mine(*teeth.tip_before))
        if self.hooked:
            face, back = back, face
        out = teeth.depth + 1.5 * boss
        # along the face outwards on the far side, along the back inwards on the near one
        top = _along(_along(tip, face, 0.9 * teeth.depth), (-0.35, side * 0.6), 0.4 * boss)
        low = _along(
            tip, back, 1.15 * math.hypot(*_less(mine(*teeth.root), mine(*teeth.tip_before)))
        )
        if self.hooked:
            return self._hook(tip, nose, face, back, side, boss, out)
        round_nose = [
            (tip[0] + nose * math.cos(a), tip[1] + nose * math.sin(a))
            for a in _arc(
                math.atan2(*reversed(_square(back, -side))),
                math.atan2(*reversed(_square(face, side))),
                side,
            )
        ]
        below = _along(low, _square(back, -side), nose * 0.5)
        neck = (min(below[0], 0.72 * self.length), below[1])
        end = math.pi / 2
        boss_arc = [
            (boss * math.cos(a), boss * math.sin(a) * side)
            for a in (end + (math.tau - math.pi) * i / 18 for i in range(19))
        ]
        shoulder = (max(0.25 * self.length, boss), side * boss * 0.92)
        return [*round_nose, top, shoulder, *boss_arc, neck]

    def _hook(
        self,
        tip: Point,
        nose: float,
        face: Point,
        back: Point,
        side: int,
        boss: float,
        out: float,
    ) -> list[Point]:
        """Outline of a hooked pawl: its bar passes over the tooth it pulls at and turns in behind it."""
        w = max(1.6, 0.5 * boss)
        arc = [
            (boss * math.cos(a), boss * math.sin(a) * side)
            for a in (math.pi / 2 + math.pi * i / 18 for i in range(19))
        ]
        high = side * (0.35 * boss + 0.6 * out * 0.3)
        return [
            (tip[0] + nose, tip[1]),
            (tip[0] + nose + 1.2 * w, high),
            (tip[0] + 0.6 * w, high + side * 1.3 * w),
            (0.5 * self.length, high + side * 0.9 * w),
            *arc,
            (0.45 * self.length, high - side * 0.2 * w),
            (tip[0] - w, high),
            (tip[0] - nose, tip[1]),
        ]

    def _seat(self, teeth: Teeth, wheel: Pose, pivot: Point) -> "Seat":
        """Turn the wheel until the pawl lies at the bottom of a valley against its face."""
        nose = self.nose(teeth)
        reach = self.length - nose
        best: tuple[float, Seat] | None = None
        for i in range(60):
            turned = Pose(wheel.x, wheel.y, wheel.angle + teeth.pitch * i / 60)
            angle = self.resting(teeth, turned, pivot)
            at = (pivot[0] + reach * math.cos(angle), pivot[1] + reach * math.sin(angle))
            valley, _, _ = teeth.near(*turned.local(at), nose)
            low = math.dist(at, (wheel.x, wheel.y))
            if best is None or low < best[0]:
                best = low, Seat(angle, valley * teeth.pitch, turned)
        assert best is not None
        return best[1]


class Seat(NamedTuple):
    """A pawl at the bottom of its valley: its angle, the valley's in the wheel's frame [rad], and how the wheel stands."""

    angle: float
    valley: float
    wheel: Pose


SPRING_SAMPLE = PawlSpring.sample_text


def _less(a: Point, b: Point) -> Point:
    return b[0] - a[0], b[1] - a[1]


def _between(a: Point, b: Point) -> Point:
    """Direction from one place to another, of length 1."""
    dx, dy = _less(a, b)
    d = math.hypot(dx, dy) or 1.0
    return dx / d, dy / d


def _along(a: Point, way: Point, by: float) -> Point:
    return a[0] + by * way[0], a[1] + by * way[1]


def _square(way: Point, side: int) -> Point:
    """Direction square to another, to its left (``side`` +1) or right."""
    return -side * way[1], side * way[0]


def _arc(first: float, last: float, side: int, count: int = 8) -> list[float]:
    """Angles from one to another, turning left (``side`` +1) or right. [rad]"""
    turn = (last - first) * side % math.tau
    return [first + side * turn * i / count for i in range(count + 1)]
