"""A wound spring on a pivot that turns its part back."""

import math
from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Standing, Workshop
from animator.parts._fields import (
    TURNING_PART,
    Amount,
    PartOf,
    Ref,
    Sense,
    Size,
    Torque,
)
from animator.parts._springs import (
    BEND_SHARE,
    MEGAPASCAL,
    SPRING_STEEL,
    WIRE,
    Twist,
    bending_of,
    tensile,
)
from animator.units import Wrong

TurningRate = Annotated[float, Amount(("turning rate",), above=0)]
"""Torque for each radian [g mm^2/s^2]; 1 N mm/deg is 1e6 for each degree."""


@PARTS.add("torsion spring")
class TorsionSpring(Part):
    """Sits round the pivot of what it is ``on``, one leg on it, the other on what it is ``against``.

    With ``pushes`` its legs only lean: it pushes one way, with its ``preload torque`` at the start and more as it is wound up, and never pulls back.
    Without, both legs are fast and it brings its part back from either side to where it starts.
    Its stiffness is its ``rate``, or follows from ``wire``, ``coil diameter`` and ``coils`` (E d^4 / 64 D n for each radian, EN 13906-3).
    """

    as_written = "crest spring: {kind: torsion spring, on: crest, rate: 0.1 N mm/deg, preload torque: 3 N mm, pushes: clockwise}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the part it turns; it sits round its pivot",
        "against": "what its other leg stands against",
        "rate": "how much its torque grows for each degree",
        "wire": "diameter of the wire, in place of a rate",
        "coil_diameter": "outside diameter of the coil",
        "coils": "how many coils work",
        "preload_torque": "its torque at the start",
        "pushes": "the way it pushes; left out, both legs are fast and it brings its part back from either side",
    }

    moves_alone = True
    has_places = False
    also_called = (
        "clock spring",
        "spiral spring",
        "clothes-peg spring",
        "mousetrap spring",
        "return spring",
    )
    one_of: ClassVar[tuple[str, ...]] = ("rate", "wire")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    against: Annotated[Ref, PartOf(may_be_frame=True)] = Ref(
        "frame", "", "frame", may_be_frame=True
    )
    rate: TurningRate | None = None
    wire: Size | None = None
    coil_diameter: Size | None = None
    coils: Annotated[float, Amount(("count",), above=0)] | None = None
    preload_torque: Torque = 0.0
    pushes: Sense | None = None

    @model_validator(mode="after")
    def _says_its_coil(self) -> "TorsionSpring":
        if self.wire is not None and (self.coil_diameter is None or self.coils is None):
            raise Wrong(
                "a wire says nothing of the spring without its coil",
                "'wire: 0.6, coil diameter: 6, coils: 4'",
                key="wire",
            )
        if self.wire is None and (self.coil_diameter is not None or self.coils is not None):
            key = "coil diameter" if self.coil_diameter is not None else "coils"
            raise Wrong(
                f"'{key}' belongs to 'wire'; the rate is given",
                "'rate' or 'wire' with its coil",
                key=key,
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
        if self.wire is not None and (self.material or SPRING_STEEL).name not in WIRE:
            raise Wrong(
                f"'{(self.material or SPRING_STEEL).name}' makes no spring",
                "'spring steel' or 'steel'",
                key="material",
            )
        return self

    @model_validator(mode="after")
    def _pushes_a_way(self) -> "TorsionSpring":
        if self.preload_torque and self.pushes is None:
            raise Wrong(
                "a preload torque pushes one way",
                "'pushes: clockwise' or 'pushes: anticlockwise' beside it",
                key="preload torque",
            )
        return self

    def stiffness(self) -> float:
        """Torque for each radian: as given, or E d^4 / (64 D n) of its wire. [g mm^2/s^2]"""
        if self.rate is not None:
            return self.rate
        assert self.wire
        assert self.coil_diameter
        assert self.coils
        young = MEGAPASCAL * bending_of((self.material or SPRING_STEEL).name).young
        return young * self.wire**4 / (64 * (self.coil_diameter - self.wire) * self.coils)

    def strained(self, torque: float) -> float:
        """Bending stress at the inner side of the coil over what the wire bears, 0 where no wire is said. torque [g mm^2/s^2]

        32 M / (pi d^3) times (4C^2 - C - 1) / (4C (C - 1)) (Shigley, torsion springs).
        """
        if self.wire is None or self.coil_diameter is None:
            return 0.0
        index = (self.coil_diameter - self.wire) / self.wire
        inner = (4 * index**2 - index - 1) / (4 * index * (index - 1))
        stress = inner * 32 * abs(torque) / (math.pi * self.wire**3) / MEGAPASCAL
        stuff = (self.material or SPRING_STEEL).name
        return stress / (BEND_SHARE * tensile(stuff, self.wire))

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if self.against.part == self.on.part:
            yield Wrong(
                f"both legs of '{self.name}' stand on '{self.on.text}'",
                "'against: frame', or another part",
                key="against",
            )
        share = self.strained(self.preload_torque)
        if share > 1:
            yield Wrong(
                f"wound to {self.preload_torque / 1e6:g} N mm the wire of '{self.name}' is bent {share:.1f} times as far as it bears",
                f"'{self.name}.preload torque: {self.preload_torque / 1e6 / share:.2g} N mm', or thicker wire",
                key="preload torque",
            )

    def build(self, shop: Workshop) -> None:
        sense = 0 if self.pushes is None else 1 if self.pushes == "anticlockwise" else -1
        twist = Twist(
            shop,
            self.name,
            self.against.part,
            self.on.part,
            self.stiffness(),
            self.preload_torque,
            sense,
        )
        shop.channel(f"{self.name}.torque", "torque", lambda: abs(twist.torque))
        shop.channel(f"{self.name}.wound", "angle", lambda: twist.turned)
        if self.wire is not None:
            shop.channel(f"{self.name}.strain", "share", lambda: self.strained(twist.torque))

    def draw(self, pen: Pen) -> None:
        diameter = self.coil_diameter or 11.0
        gauge = self.wire or 1.1
        pen.torsion_coil(self.on, self.against, diameter, gauge, self.coils or 3.0)
