"""Something that is thrown: it lies in a cup or hangs on a catch, leaves it, flies and lands."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar, cast

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Standing,
    Still,
    Turns,
    Weight,
    Workshop,
)
from animator.parts._fields import (
    Direction,
    Friction,
    PointRef,
    Signed,
    Size,
    Turned,
    Where,
)
from animator.trains import turning_part
from animator.units import GRAVITY, Wrong

if TYPE_CHECKING:
    from animator.findings.report import Caution
    from animator.motion.motion import Motion
    from animator.world.building import Bench

ROOM = 1.12  # times the ball's radius: the radius of its cup
HALF = math.radians(75)  # half the angle over which the cup holds it


class CupTouch:
    """A ball in a cup, a thin round shell open along the x axis of its own frame, whose origin is the middle of its roundness. [mm]"""

    def __init__(self, ball: float, shell: float, half: float) -> None:
        self._ball, self._shell, self._half = ball, shell, half
        self._rims = tuple(
            (-shell * math.cos(half), side * shell * math.sin(half)) for side in (1, -1)
        )
        self.reach = shell

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, normal towards the ball, place on the shell."""
        d = math.hypot(x, y)
        if d < 1e-9:
            return self._shell - self._ball, 1.0, 0.0, -self._shell, 0.0
        ux, uy = x / d, y / d
        if abs(math.atan2(y, -x)) <= self._half:
            out = 1.0 if d > self._shell else -1.0  # outside it the back of the shell is met
            gap = out * (d - self._shell) - self._ball
            return gap, out * ux, out * uy, self._shell * ux, self._shell * uy
        rx, ry = self._rims[0 if y > 0 else 1]
        dx, dy = x - rx, y - ry
        off = math.hypot(dx, dy) or 1e-12
        return off - self._ball, dx / off, dy / off, rx, ry


@PARTS.add("projectile")
class Projectile(Part):
    """A ball that ``rests in`` a cup at a point of a lever, slide or wheel and flies when that stops or falls back from under it: the cup pushes and never pulls.

    With ``released at`` it hangs on a catch at that point, fast to it, until what carries it has turned so far. Then it flies as a stone does (the air is left out:
    right for balls of wood, clay or metal thrown less than a few metres) and stays where it lands, at the height ``lands at``.
    """

    as_written = (
        "pea: {kind: projectile, rests in: arm.cup, diameter: 10, mass: 2 g, lands at: 20}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "rests_in": "the point at which its middle lies until it is thrown",
        "diameter": "of the ball",
        "opens": "the way its cup is open at the start",
        "released_at": "a catch holds it until what carries it has turned so far, either way; left out, it lies in a cup",
        "lands_at": "height of the ground it lands on",
        "friction": "in its cup; left out, that of the two materials",
    }

    moves_alone = True
    flies: ClassVar[bool] = True
    """It turns on no spot, though it starts at a point of another part."""
    also_called = (
        "ball",
        "thrown object",
        "missile",
        "shot",
        "pellet",
        "marble",
        "cannonball",
        "catapult ball",
    )

    rests_in: PointRef
    diameter: Size = 10.0
    opens: Direction = math.pi / 2
    released_at: Turned | None = None
    lands_at: Signed = 0.0
    friction: Friction | None = None

    @model_validator(mode="after")
    def _lies_or_hangs(self) -> "Projectile":
        if self.released_at is not None and self.friction is not None:
            raise Wrong(
                "a catch holds it fast; nothing rubs in a cup",
                "'released at' or 'friction', not both",
                key="friction",
            )
        return self

    def held(self) -> Turns:
        return Turns(Where((0.0, 0.0), self.rests_in))

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        radius = self.diameter / 2
        mass = shop.density(self) * 4 / 3 * math.pi * radius**3
        return Weight(mass, (0.0, 0.0), 0.4 * mass * radius**2)

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        holder = self.rests_in.part
        if _stands_still(piece.parts, holder, self.rests_in.point):
            yield Wrong(
                f"nothing throws '{self.name}': '{self.rests_in.text}' never moves",
                "a point of a lever, a slider or a wheel, away from its pivot",
                key="rests in",
            )
        if piece.turned:
            return
        if self.released_at is not None:
            root = piece.parts[turning_part(piece.parts, holder)]
            if not isinstance(root.held(), Turns):
                yield Wrong(
                    f"'{holder}' doesn't turn, so its catch has no angle to let go at",
                    f"no 'released at': it then flies when '{holder}' stops",
                    key="released at",
                )
        y = piece.point(self.name, "")[1]
        if y - self.diameter / 2 < self.lands_at - 1e-6:
            yield Wrong(
                f"'{self.name}' starts {self.lands_at - y + self.diameter / 2:.1f} mm under the ground it is to land on",
                f"'{self.name}.lands at: {math.floor(y - self.diameter / 2):g}' or lower",
                key="lands at",
            )

    def build(self, shop: Workshop) -> None:
        from animator.world.flights import Flight

        flight = Flight(cast("Bench", shop), self)
        shop.channel(f"{self.name}.range", "length", lambda: flight.range)
        shop.channel(f"{self.name}.launch speed", "speed", lambda: flight.launch_speed)
        shop.channel(f"{self.name}.launch angle", "angle", lambda: flight.launch_angle)
        shop.channel(f"{self.name}.free", "state", lambda: float(flight.is_free))
        shop.channel(f"{self.name}.landed", "state", lambda: float(flight.is_down))

    def shell(self) -> float:
        """Radius of its cup. [mm]"""
        return ROOM * self.diameter / 2

    def cautions(self, motion: "Motion") -> "Iterable[Caution]":
        from animator.findings.report import Caution

        speed = float(motion.channels[f"{self.name}.launch speed"].values.max())
        mass = self.mass or 1.0
        energy = mass * speed**2 / 2 / 1e9  # J
        if speed > 0:
            yield Caution(
                what="Thrown objects",
                sentence=f"{self.name} leaves with {speed / 1000:.2g} m/s and {1000 * energy:.2g} mJ: keep faces out of its way, give it a soft tip, and let nothing else be thrown with it.",
                figure=float(f"{1000 * energy:.3g}"),
                unit="mJ",
                source="EN 71-1 4.17 limits what toys throw (80 mJ without a soft tip; from memory)",
            )

    def draw(self, pen: Pen) -> None:
        pen.flight(f"{self.name}.launch speed")
        radius = self.diameter / 2
        pen.ball((0.0, 0.0), radius, self.paint or "rose", sort="projectile")
        holder = self.rests_in.part
        if self.released_at is None:
            at = pen.scene.parts[holder].points()[self.rests_in.point]
            opens = self.opens - pen.start(holder).angle
            room = self.shell() - radius
            middle = at[0] + room * math.cos(opens), at[1] + room * math.sin(opens)
            pen.cup(holder, middle, opens, self.shell(), HALF)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Range from how fast, which way and from where it leaves."""
        fast, angle, down = (
            motion.channels[f"{self.name}.{word}"].values
            for word in ("launch speed", "launch angle", "landed")
        )
        if not down[-1]:
            return
        first = int((fast > 0).argmax())
        speed, lean = float(fast[first]), float(angle[first])
        height = float(motion.channels[f"{self.name}.range"].values[first])
        y = float(motion.point(self.name, "centre")[first, 1])
        # back along its way to where it left
        t = height / (speed * math.cos(lean)) if abs(math.cos(lean)) > 1e-9 else 0.0
        left = y - speed * math.sin(lean) * t + GRAVITY * t**2 / 2
        drop = left - self.diameter / 2 - self.lands_at
        yield Prediction(
            f"{self.name}.range",
            throw(speed, lean, drop),
            "oblique throw without air (any text on mechanics)",
        )


def throw(speed: float, angle: float, drop: float) -> float:
    """How far a stone flies: thrown at a speed [mm/s] and an angle above the level [rad], landing ``drop`` lower than it left. [mm]

    Left of where it was thrown is below 0. ValueError if it never gets down to there.

    Examples
    --------
    >>> round(throw(4000, math.radians(45), 0), 1)  # with the standard pull of the earth
    1631.5
    """
    up = speed * math.sin(angle)
    square = up**2 + 2 * GRAVITY * drop
    if square < 0:
        raise ValueError(f"it rises by {up**2 / 2 / GRAVITY:g} mm, not by {-drop:g}")
    return speed * math.cos(angle) * (up + math.sqrt(square)) / GRAVITY


def _stands_still(parts: Mapping[str, Part], name: str, point: str, depth: int = 0) -> bool:
    """Whether a point stands still whatever turns."""
    if name not in parts or depth > len(parts):
        return True
    part = parts[name]
    held, points = part.held(), part.points()
    x, y = points[point] if point else next(iter(points.values()))
    if isinstance(held, Rides):
        own = held.on.part not in parts or _stands_still(
            parts, held.on.part, held.on.point, depth + 1
        )
        if not own or held.on.part not in parts:
            return own
        return math.hypot(x, y) < 1e-9 or isinstance(
            parts[turning_part(parts, held.on.part)].held(), Still
        )
    if isinstance(held, (Still, Turns)):
        where = held.at
        stands = (
            where.ref is None
            or any(where.offset)
            or _stands_still(parts, where.ref.part, where.ref.point, depth + 1)
        )
        return stands and (isinstance(held, Still) or math.hypot(x, y) < 1e-9)
    return False
