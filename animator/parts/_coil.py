"""What compression and extension springs share: a coil between two points."""

import math
from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import Part, Pen, Spans, Standing, Workshop
from animator.parts._fields import Amount, Force, PointRef, Rate, Size
from animator.parts._springs import (
    MEGAPASCAL,
    SHEAR_BREAKS,
    SHEAR_SHARE,
    SPRING_STEEL,
    Ends,
    tensile,
    wahl,
)
from animator.units import Wrong


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
        stuff = (self.material or SPRING_STEEL).stuff
        shear = MEGAPASCAL * (stuff.shear or SPRING_STEEL.stuff.shear or 0.0)
        mean = self.coil_diameter - self.wire
        return shear * self.wire**4 / (8 * mean**3 * self.coils)

    def stress(self, force: float) -> float:
        """Shear at the inner side of the coil under a force [g mm/s^2], 0 where no wire is said. [MPa]

        8 F D / (pi d^3) times Wahl's factor (Shigley, Mechanical Engineering Design, mechanical springs).
        """
        if self.wire is None or self.coil_diameter is None:
            return 0.0
        mean = self.coil_diameter - self.wire
        plain = 8 * abs(force) * mean / (math.pi * self.wire**3) / MEGAPASCAL
        return plain * wahl(mean / self.wire)

    def strength(self) -> float:
        """Tensile strength of its wire, 0 where no wire is said. [MPa]"""
        return tensile((self.material or SPRING_STEEL).name, self.wire) if self.wire else 0.0

    def pull_at(self, length: float, free: float) -> float:
        """Size of its force at a length, with a free length. [mm] -> [g mm/s^2]"""
        stretch = length - free
        if (stretch >= 0) == self.pushes:
            return 0.0
        wound = 0.0 if self.pushes else self.preload or 0.0
        return self.stiffness() * abs(stretch) + wound

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        length = math.dist(*(piece.point(ref.part, ref.point) for ref in (self.from_, self.to)))
        if self.wire is None or self.coils is None or self.coil_diameter is None:
            return
        if self.pushes and length < self.coils * self.wire:
            yield Wrong(
                f"'{self.name}' is pressed solid: its {self.coils:g} coils of {self.wire:g} mm take {self.coils * self.wire:.3g} mm, and its ends stand {length:.3g} mm apart",
                f"'{self.name}.coils: {math.floor(0.9 * length / self.wire):g}'",
                key="coils",
            )
            return
        if self.free_length is not None:
            force = self.pull_at(length, self.free_length)
        elif piece.turned == 0.0:  # without a free length it starts with its preload
            force = self.preload or 0.0
        else:
            return
        stress, most = self.stress(force), SHEAR_BREAKS * self.strength()
        if stress > most:
            # the stress of a given force goes with the wire's third power, of a given way with its first
            thicker = self.wire * (stress / (SHEAR_SHARE * self.strength())) ** (1 / 3)
            yield Wrong(
                f"'{self.name}' is pulled past what its wire bears: {stress:.0f} MPa, and {self.wire:g} mm wire breaks at {most:.0f}"
                if not self.pushes
                else f"'{self.name}' is pressed past what its wire bears: {stress:.0f} MPa, and {self.wire:g} mm wire breaks at {most:.0f}",
                f"more coils, or for {force / 1e6:.2g} N 'wire: {math.ceil(thicker * 20) / 20:g}'",
                key="wire",
            )

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        return {"middle": (0.0, 0.0)}

    def build(self, shop: Workshop) -> None:
        spring = CoilForce(shop, self)
        shop.before_step(spring.act)
        shop.store(self.name, spring.energy)
        shop.channel(f"{self.name}.force", "force", lambda: spring.force)
        shop.channel(f"{self.name}.length", "length", lambda: spring.length)
        if self.wire is not None:
            most = SHEAR_SHARE * self.strength()
            shop.channel(
                f"{self.name}.strain", "share", lambda: self.stress(spring.force) / most
            )
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

    def __init__(self, shop: Workshop, coil: Coil) -> None:
        self._ends = Ends(shop, (coil.from_, coil.to))
        self.rate = coil.stiffness()
        self.length = math.dist(*self._ends.places)
        self.pushes = coil.pushes
        self.preload = 0.0 if coil.pushes else coil.preload or 0.0
        if coil.free_length is not None:
            self.free_length = coil.free_length
        elif coil.pushes:
            self.free_length = self.length + (coil.preload or 0.0) / self.rate
        else:
            self.free_length = self.length
        self.force = 0.0
        if self._ends.ease > 0:
            shop.stiff(self.rate, 1 / self._ends.ease)

    def act(self, t: float) -> None:
        """Push or pull on both ends."""
        self.length = length = self._ends.length()
        stretch = length - self.free_length
        if (stretch >= 0) == self.pushes or length < 1e-9:
            self.force = 0.0
            return
        force = self.rate * stretch
        if not self.pushes:
            force += self.preload * min(1.0, stretch / self.RAMP)
        self.force = abs(force)
        self._ends.pull(force)

    def energy(self) -> float:
        """Energy stored. [g mm^2/s^2]"""
        stretch = self._ends.middle_length() - self.free_length
        if (stretch >= 0) == self.pushes:
            return 0.0
        wound = 0.0
        if not self.pushes:
            wound = self.preload * (
                stretch - self.RAMP / 2 if stretch > self.RAMP else stretch**2 / (2 * self.RAMP)
            )
        return self.rate * stretch**2 / 2 + wound
