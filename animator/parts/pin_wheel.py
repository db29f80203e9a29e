"""A disc with round pins: the miller's lantern, or the wheel a home-made worm pushes."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

from pydantic import model_validator

from animator import materials
from animator.geometry import polar
from animator.parts._contract import PARTS, Pen, Standing, Weight, Workshop
from animator.parts._crude import CrudeWheel
from animator.parts._fields import Number, PartOf, Ref, Size
from animator.parts._solid import disc, together
from animator.parts._spokes import Spokes
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.parts.worm import Worm

PIN_LENGTH = 10.0  # mm; what stands out of the disc. Common practice, no source
STEEL_PIN = 3.5  # mm; up to here pins are cut from steel wire, above from beech dowel


@PARTS.add("pin wheel")
class PinWheel(CrudeWheel):
    """``pins`` round pins of one ``pin diameter`` on a circle of one ``radius``; they push pins, paddles or the thread of a worm."""

    as_written = "trundle: {kind: pin wheel, on: shaft, pins: 12, radius: 24, pin diameter: 4, meshes with: paddles}"

    says: ClassVar[Mapping[str, str]] = {
        "pins": "how many, evenly set",
        "radius": "of the circle their middles stand on",
        "pin_diameter": "of each pin; thin ones are steel, those over 3.5 mm beech",
    }

    crosses_views = True
    also_called = ("lantern", "lantern pinion", "lantern wheel", "trundle", "peg wheel")

    meshes_with: Annotated[Ref, PartOf("worm", "paddle gear", "pin wheel")] | None = None
    pins: Annotated[int, Number(4, 200)]
    radius: Size
    pin_diameter: Size

    @model_validator(mode="after")
    def _has_gaps(self) -> "PinWheel":
        if self.spokes.gap <= 0:
            most = 2 * self.radius * math.sin(math.pi / self.pins)
            raise Wrong(
                f"{self.pins} pins of {self.pin_diameter:g} mm leave no gaps on a circle of radius {self.radius:g}",
                f"a pin diameter under {most:.3g}, such as '{rounded(most / 2)}', or 'radius: {math.ceil(self.radius * 2 * self.pin_diameter / most)}'",
                key="pin diameter",
            )
        return self

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        worm = self._worm(piece)
        if worm is None:
            return super().suited(piece)
        from animator.parts.worm import settled_on_worm

        return self.model_copy(update={"phase": settled_on_worm(self, worm, piece)}), ()

    def _worm(self, piece: Standing) -> "Worm | None":
        """Give the worm that turns it, whichever of the two says so."""
        for part in piece.parts.values():
            if part.kind == "worm" and part.wheel(piece.parts) is piece.parts[self.name]:  # type: ignore[attr-defined]
                return part  # type: ignore[return-value]
        return None

    @property
    def spokes(self) -> Spokes:
        return Spokes(self.pins, self.radius, self.radius, self.pin_diameter / 2, self.phase)

    @property
    def rubs(self) -> str:
        return "steel" if self.pin_diameter <= STEEL_PIN else "beech"

    @property
    def counted(self) -> str:
        return f"{self.pins} pins"

    def longer(self, by: float) -> str:
        return f"'{self.name}.radius: {math.ceil(self.radius + by)}'"

    def thinner(self, room: float) -> str:
        return f"'{self.name}.pin diameter: {rounded(0.6 * room)}'"

    @property
    def rim(self) -> float:
        """Radius of the disc that carries the pins. [mm]"""
        return self.radius + max(self.pin_diameter, 2.5)

    def weigh(self, shop: Workshop) -> Weight:
        _, thickness = shop.stuff_of(self)
        plate = disc(self.rim, shop.density(self) * thickness)
        each = (
            float(materials.stuff(self.rubs).density.at(0.5))
            * math.pi
            * self.pin_diameter**2
            / 4
            * PIN_LENGTH
        )
        pins = [
            Weight(each, polar(self.radius, self.phase + i * self.spokes.pitch), 0.0)
            for i in range(self.pins)
        ]
        return together([plate, *pins])

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        pen.disc(
            (0.0, 0.0),
            self.rim,
            stuff,
            thickness,
            6,
            5 if self.radius > 22 else 0,
            (self.radius / self.rim,),
            sort="pin wheel",
        )
        for i in range(self.pins):
            at = polar(self.radius, self.phase + i * self.spokes.pitch)
            if self.rubs == "steel":
                pen.turned(at, self.pin_diameter / 2, "steel", 4.0, sort="pin")
            else:
                pen.disc(at, self.pin_diameter / 2, "beech", 0.0, 4.0, sort="pin")
        pen.hub((0.0, 0.0), min(6.0, 0.3 * self.radius))


def rounded(value: float) -> str:
    """Write a size a little under a value, as makers buy it: by halves of a millimetre, small ones by tenths.

    Examples
    --------
    >>> rounded(3.7), rounded(0.87)
    ('3.5', '0.8')
    """
    step = 0.5 if value >= 1.5 else 0.1
    return f"{max(math.floor(value / step) * step, 0.1):g}"
