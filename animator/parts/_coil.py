"""What compression and extension springs share: a coil between two points."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import Part, Pen, Spans, Workshop
from animator.parts._fields import Amount, Force, PointRef, Rate, Size, Stuff
from animator.units import Wrong

SPRING_STEEL = Stuff("spring steel")


class Coil(Part):
    """A coil ``from`` one point ``to`` another; its stiffness is its ``rate``, or follows from ``wire``, ``coil diameter`` and ``coils``."""

    says: ClassVar[Mapping[str, str]] = {
        "from_": "one end",
        "to": "the other end",
        "rate": "how much its force grows for each millimetre",
        "wire": "diameter of the wire, in place of a rate",
        "coil_diameter": "outside diameter of the coil",
        "coils": "how many coils work",
        "free_length": "its length unloaded",
        "preload": "its force at the start, or the pull wound into an extension spring",
    }

    has_places = False
    moves_alone = True
    pushes: ClassVar[bool] = False
    """True for a compression spring."""
    one_of: ClassVar[tuple[str, ...]] = ("rate", "wire")

    from_: PointRef
    to: PointRef
    rate: Rate | None = None
    wire: Size | None = None
    coil_diameter: Size | None = None
    coils: Annotated[float, Amount(("count",), above=0)] | None = None
    free_length: Size | None = None
    preload: Force | None = None

    @model_validator(mode="after")
    def _says_its_coil(self) -> "Coil":
        if self.wire is not None and (self.coil_diameter is None or self.coils is None):
            raise Wrong(
                "a wire says nothing of the spring without its coil",
                "'wire: 0.6, coil diameter: 6, coils: 12'",
                key="wire",
            )
        if (
            self.wire is not None
            and self.coil_diameter is not None
            and self.coil_diameter < 3 * self.wire
        ):
            raise Wrong(
                "the coil is too tight for its wire",
                f"a coil diameter over {3 * self.wire:g}",
                key="coil diameter",
            )
        if self.wire is None and (self.coil_diameter is not None or self.coils is not None):
            key = "coil diameter" if self.coil_diameter is not None else "coils"
            raise Wrong(
                f"'{key}' belongs to 'wire'; the rate is given",
                "'rate' or 'wire' with its coil",
                key=key,
            )
        if self.wire is not None and (self.material or SPRING_STEEL).stuff.shear is None:
            raise Wrong(
                f"'{(self.material or SPRING_STEEL).name}' makes no spring",
                "'spring steel' or 'steel'",
                key="material",
            )
        return self

    def stiffness(self) -> float:
        """Rate of the spring: as given, or G d^4 / (8 D^3 n) of its wire (EN 13906). [g/s^2]"""
        if self.rate is not None:
            return self.rate
        assert self.wire
        assert self.coil_diameter
        assert self.coils
        stuff = (self.material or Stuff("spring steel")).stuff
        shear = 1e6 * (
            stuff.shear or Stuff("spring steel").stuff.shear or 0.0
        )  # MPa -> g/(mm s^2)
        mean = self.coil_diameter - self.wire
        return shear * self.wire**4 / (8 * mean**3 * self.coils)

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        return {"middle": (0.0, 0.0)}

    def build(self, shop: Workshop) -> None:
        spring = CoilForce(shop, self, self.pushes)
        shop.before_step(spring.act)
        shop.store(self.name, spring.energy)
        shop.channel(f"{self.name}.force", "force", lambda: spring.force)
        shop.channel(f"{self.name}.length", "length", lambda: spring.length)
        if not self.pushes:
            shop.channel(
                f"{self.name}.slack",
                "length",
                lambda: max(0.0, spring.free_length - spring.length),
            )

    def draw(self, pen: Pen) -> None:
        length = math.dist(pen.spot(self.from_), pen.spot(self.to))
        diameter = self.coil_diameter or min(9.0, max(5.0, 0.16 * (self.free_length or length)))
        gauge = self.wire or 0.11 * diameter
        turns = self.coils or max(5, round((self.free_length or length) / (0.42 * diameter)))
        ends = (self.from_.part, self.to.part)
        pen.nearer_than([end for end in ends if end in pen.scene.parts]).coil(
            lambda now: now.place(self.from_),
            lambda now: now.place(self.to),
            diameter,
            turns,
            gauge,
            not self.pushes,
            ends,
        )


class CoilForce:
    """The force of a coil between two points, taken where they will be after the step.

    A compression spring pushes while it is shorter than its free length; an extension spring pulls with what was wound in and its
    rate, and does nothing shorter than its free length.
    """

    RAMP = 0.01  # mm over which a wound-in pull builds up; an edge would ring

    def __init__(self, shop: Workshop, coil: Coil, pushes: bool) -> None:
        self._ends = [shop.body(ref.part) for ref in (coil.from_, coil.to)]
        places = [shop.start_point(ref.part, ref.point) for ref in (coil.from_, coil.to)]
        self._locals = [
            body.world_to_local(place) for body, place in zip(self._ends, places, strict=True)
        ]
        self._static = [body is shop.space.static_body for body in self._ends]
        self._places = places
        self._dt = shop.dt
        self.rate = coil.stiffness()
        self.length = math.dist(*places)
        self.pushes = pushes
        self.preload = 0.0 if pushes else coil.preload or 0.0
        if coil.free_length is not None:
            self.free_length = coil.free_length
        elif pushes:
            self.free_length = self.length + (coil.preload or 0.0) / self.rate
        else:
            self.free_length = self.length
        self.force = 0.0
        ease = sum(
            1 / shop.mass_felt(ref.part, place)
            for ref, place in zip((coil.from_, coil.to), places, strict=True)
        )
        if ease > 0:
            shop.stiff(self.rate, 1 / ease)

    def _end(self, i: int) -> tuple[float, float, float, float]:
        """Place of an end now, and where it will be after the step."""
        if self._static[i]:
            x, y = self._places[i]
            return x, y, x, y
        body = self._ends[i]
        x, y = body.local_to_world(self._locals[i])
        vx, vy = body.velocity_at_world_point((x, y))
        return x, y, x + self._dt * vx, y + self._dt * vy

    def act(self, t: float) -> None:
        """Push or pull on both ends."""
        _, _, ax1, ay1 = self._end(0)
        _, _, bx1, by1 = self._end(1)
        dx, dy = bx1 - ax1, by1 - ay1
        length = math.hypot(dx, dy)
        self.length = length
        stretch = length - self.free_length
        if (stretch >= 0) == self.pushes or length < 1e-9:
            self.force = 0.0
            return
        force = self.rate * stretch
        if not self.pushes:
            force += self.preload * min(1.0, stretch / self.RAMP)
        self.force = abs(force)
        fx, fy = force * dx / length, force * dy / length
        for body, is_static, x, y, sign in zip(
            self._ends, self._static, (ax1, bx1), (ay1, by1), (1.0, -1.0), strict=True
        ):
            if not is_static:
                vx, vy = (
                    body.velocity
                )  # the engine moves the body first: the arm is that after the step
                body.apply_force_at_world_point(
                    (sign * fx, sign * fy), (x - self._dt * vx, y - self._dt * vy)
                )

    def energy(self) -> float:
        """Energy stored. [g mm^2/s^2]"""
        # taken half a step ahead, between the places at which the forces before and after are
        (ax, ay, ax1, ay1), (bx, by, bx1, by1) = self._end(0), self._end(1)
        stretch = math.hypot(bx + bx1 - ax - ax1, by + by1 - ay - ay1) / 2 - self.free_length
        if (stretch >= 0) == self.pushes:
            return 0.0
        wound = 0.0
        if not self.pushes:
            wound = self.preload * (
                stretch - self.RAMP / 2 if stretch > self.RAMP else stretch**2 / (2 * self.RAMP)
            )
        return self.rate * stretch**2 / 2 + wound
