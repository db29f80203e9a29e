"""A rubber tyre that rolls on another wheel and turns it by rubbing: it gives way before anything breaks."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Standing,
    Weight,
    Workshop,
)
from animator.parts._fields import TURNING_PART, Amount, Friction, PartOf, Ref, Size
from animator.parts._solid import disc
from animator.trains import Coupling, Spacing, steps_from_a_drive, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

CLEAR = 0.05  # mm; nearer than this a tyre touches as drawn, for its rubber gives so much


@PARTS.add("tyre")
class Tyre(Part):
    """A wheel with a rubber rim that ``runs on`` a wheel or pulley.

    ``pressed``: the force with which it was set against the other wheel, where both stand in the frame. Without it the tyre touches truly: a weight or a spring must press
    it on, so its shaft (or the other's) stands on a lever.
    """

    as_written = (
        "tyre: {kind: tyre, on: motor shaft, diameter: 24, runs on: turntable, pressed: 3 N}"
    )
    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "diameter": "over the rubber",
        "runs_on": "the wheel or pulley that it turns, or that turns it",
        "pressed": "how hard it was set against that wheel, where both shafts stand fast",
        "friction": "of the tyre on the wheel; left out, that of rubber on the wheel's material",
    }

    turns_freely = True
    also_called = ("friction wheel", "rubber wheel", "roller drive")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    diameter: Size
    runs_on: Annotated[Ref, PartOf("wheel", "pulley", "tyre")]
    pressed: Annotated[float, Amount(("force",), above=0)] | None = None
    friction: Friction | None = None

    @model_validator(mode="after")
    def _runs_on_another(self) -> "Tyre":
        if self.runs_on.text == self.on.text:
            raise Wrong(
                f"it can't run on '{self.on.text}', which it is fixed to",
                "another wheel",
                key="runs on",
            )
        return self

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.diameter / 2, shop.density(self) * shop.stuff_of(self)[1])

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        yield Coupling(
            self.name, self.runs_on.part, -self.diameter / 2 / rim_radius(parts, self)
        )

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        apart = self.diameter / 2 + rim_radius(parts, self)
        yield Spacing(
            self.name,
            self.runs_on.part,
            apart,
            "a tyre and its wheel of these sizes",
            0.5,
            "touch",
        )

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        a, b = piece.pose(self.name), piece.pose(self.runs_on.part)
        apart = math.hypot(b.x - a.x, b.y - a.y)
        if apart < 1e-6:
            yield Wrong(
                f"'{self.name}' and '{self.runs_on.part}' turn about one axis",
                "wheels on two shafts",
                key="runs on",
            )

    def build(self, shop: Workshop) -> None:
        other = self.runs_on.part
        both_stand = all(shop.fixed_axis(name) is not None for name in (self.name, other))
        radii = self.diameter / 2, rim_radius(shop.scene.parts, self)
        rubber = self.material.name if self.material is not None else "rubber"
        mu = shop.friction(self.friction, rubber, shop.stuff_of(shop.scene.parts[other])[0])
        if both_stand or self.pressed is not None:
            pressed = PressedRoll(shop, self, radii, mu)
            shop.before_step(pressed.act)
            shop.after_step(pressed.book)
            roll: Roll = pressed
        else:
            contact = shop.exact_contact(
                self.name, other, self.name, f"rim of {self.name}", "rim",
                shop.body(other), shop.body(self.name),
                shop.pose(other)[:2], shop.pose(self.name)[:2],
                RimTouch(radii[1], radii[0]), mu, is_meant=True,
            )  # fmt: skip
            touching = TouchingRoll(shop, self, radii, contact)
            shop.after_step(touching.book)
            roll = touching
        shop.channel(f"{self.name}.grip", "force", lambda: roll.grip)
        shop.slips(self.name, roll)

    def draw(self, pen: Pen) -> None:
        _, thickness = pen.stuff()
        radius = self.diameter / 2
        rubber = min(0.22 * radius, 4.0)
        pen.disc((0.0, 0.0), radius, "rubber", thickness, 7, 0, (), sort="tyre")
        pen.disc((0.0, 0.0), radius - rubber, "brass", thickness, 2, 0, (0.9,), sort="rim")
        pen.hub((0.0, 0.0), min(6.0, 0.4 * radius))

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        if self.pressed is None:
            return
        slip = motion.slips[self.name]
        level = motion.level
        mu = self.friction.at(level) if self.friction is not None else None
        if mu is not None:
            yield Prediction(
                f"{self.name}.grip",
                mu * self.pressed,
                f"most that a wheel pressed on can hand over, mu N (any text on friction wheels); at {slip.radii[0]:g} mm",
            )


def rim_radius(parts: Mapping[str, Any], tyre: Tyre) -> float:
    """Radius of the wheel a tyre runs on. [mm]"""
    wheel = parts[tyre.runs_on.part]
    radius = getattr(wheel, "radius", None)
    return float(radius if radius is not None else wheel.diameter / 2)


class RimTouch:
    """Two round rims against each other: radius of the first, and of the second that rolls outside it. [mm]"""

    def __init__(self, first: float, second: float) -> None:
        self.reach, self._second = first, second

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, outward normal, point on the first rim."""
        apart = math.hypot(x, y)
        ux, uy = (x / apart, y / apart) if apart > 1e-12 else (0.0, 1.0)
        return apart - self.reach - self._second, ux, uy, ux * self.reach, uy * self.reach


class Roll:
    """The travel of both rims: ``due`` of the driving one, ``got`` of the driven one, ``rubbed`` what was lost between them. [mm]"""

    def __init__(self, shop: Workshop, tyre: Tyre, radii: tuple[float, float]) -> None:
        names = tyre.name, tyre.runs_on.part
        parts = shop.scene.parts
        steps = steps_from_a_drive(parts)
        ahead = [steps.get(turning_part(parts, name), len(parts)) for name in names]
        order = (0, 1) if ahead[0] <= ahead[1] else (1, 0)
        self.driver, self.driven = names[order[0]], names[order[1]]
        self.radii = radii[order[0]], radii[order[1]]
        self._bodies = [shop.body(self.driver), shop.body(self.driven)]
        self._angles = [body.angle for body in self._bodies]
        self._dt = shop.dt
        self.due = self.got = self.rubbed = 0.0
        self.grip = 0.0

    def count(self) -> None:
        """Count the travel of the step, the way the driven wheel turns: the driving one goes the other way round."""
        a, b = self._bodies
        moved = -(a.angle - self._angles[0]) * self.radii[0]
        followed = (b.angle - self._angles[1]) * self.radii[1]
        self._angles = [a.angle, b.angle]
        self.due += moved
        self.got += followed
        self.rubbed += abs(moved - followed)

    def recount(self) -> None:
        """Count the travel from here."""
        self.due = self.got = self.rubbed = 0.0


class PressedRoll(Roll):
    """A tyre set against a wheel, both on shafts that stand: it hands over at most mu N, and its bearings carry N and the pull."""

    def __init__(
        self, shop: Workshop, tyre: Tyre, radii: tuple[float, float], mu: float
    ) -> None:
        super().__init__(shop, tyre, radii)
        assert tyre.pressed is not None
        self._pressed = tyre.pressed
        a, b = self._bodies
        self._joint = shop.gear(a, b, -self.radii[1] / self.radii[0], is_firm=False)
        self._joint.max_force = mu * self._pressed * self.radii[1]
        self._heat = shop.heat(f"{tyre.name} rubbing")
        (ax, ay), (bx, by) = (shop.pose(name)[:2] for name in (self.driver, self.driven))
        apart = math.hypot(bx - ax, by - ay)
        self._way = (bx - ax) / apart, (by - ay) / apart
        self._axes = (ax, ay), (bx, by)
        self._speeds = a.angular_velocity, b.angular_velocity
        self._slide = self._sliding()

    def _sliding(self) -> float:
        """Speed of the driving rim over the driven one. [mm/s]"""
        a, b = self._bodies
        return float(a.angular_velocity * self.radii[0] + b.angular_velocity * self.radii[1])

    def act(self, t: float) -> None:
        """Press both wheels apart, and let their bearings feel what the rims hand over."""
        dx, dy = self._way
        # the driving rim drags the other along the way it moves itself
        tangent = math.copysign(self.grip, self._bodies[0].angular_velocity)
        press = self._pressed
        fx, fy = press * dx - tangent * dy, press * dy + tangent * dx
        (a, b), (first, second) = self._bodies, self._axes
        a.apply_force_at_world_point((-fx, -fy), first)
        b.apply_force_at_world_point((fx, fy), second)

    def book(self) -> None:
        """Book what the rims rubbed away."""
        slide = self._sliding()
        self.grip = float(self._joint.impulse) / self._dt / self.radii[1]
        mean = 0.5 * (slide + self._slide)
        self._heat.total += self.grip * abs(mean) * self._dt
        self._slide = slide
        self.count()


class TouchingRoll(Roll):
    """A tyre that a weight or spring presses on: true contact, which knows its own friction and heat."""

    def __init__(
        self, shop: Workshop, tyre: Tyre, radii: tuple[float, float], contact: Any
    ) -> None:
        super().__init__(shop, tyre, radii)
        self._contact = contact

    def book(self) -> None:
        """Count the rims' travel."""
        self.grip = abs(self._contact.impulse_tangent) / self._dt
        self.count()
