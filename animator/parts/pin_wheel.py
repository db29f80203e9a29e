"""A disc with round pins: the miller's lantern, or the wheel a home-made worm pushes."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Self

from pydantic import model_validator

from animator import materials
from animator.geometry import polar
from animator.parts._contract import PARTS, Pen, Standing, Weight, Workshop
from animator.parts._crude import MEETING, CrudeWheel
from animator.parts._fields import Number, PartOf, Ref, Size
from animator.parts._right_angles import PIN_LENGTH, corner
from animator.parts._solid import disc, together
from animator.parts._spokes import Spokes
from animator.parts._views import along_of, dot
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.parts.worm import Worm
    from animator.scene.model import Scene

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
        from animator.parts.worm import plane, room_of, settled_on_worm

        changes = {"phase": settled_on_worm(self, worm, piece)}
        if along_of(self.name, piece.parts, math.inf) == math.inf:
            # its pins stand out towards the viewer, and the worm's shaft passes through the middle of them
            axis = dot(room_of(worm.name, piece), plane(self.name, piece).near)
            changes["along"] = axis - MEETING
        return self.model_copy(update=changes), ()

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

    def points_to(self, scene: "Scene") -> int:
        """Which way its pins stand out of the disc: +1 towards its viewer, -1 away; a wheel that turns a corner has them where the other's are."""
        for one in scene.parts.values():
            mate = one.partner(scene.parts) if isinstance(one, PinWheel) else None
            if mate is None or self.name not in (one.name, mate.name):
                continue
            if isinstance(one, PinWheel) and one.is_across(mate, scene.parts):
                here, there = scene.starts[mate.name], scene.starts[one.name]
                meets = corner(mate.name, one.name, scene.parts, here, there)
                return meets.points if self.name == mate.name else meets.other_points
        return 1

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
        if self.points_to(pen.scene) < 0:
            self._draw_pins(pen)
            self._draw_disc(pen, stuff, thickness)
        else:
            self._draw_disc(pen, stuff, thickness)
            self._draw_pins(pen)
        pen.hub((0.0, 0.0), min(6.0, 0.3 * self.radius))

    def _draw_disc(self, pen: Pen, stuff: str, thickness: float) -> None:
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

    def _draw_pins(self, pen: Pen) -> None:
        for i in range(self.pins):
            at = polar(self.radius, self.phase + i * self.spokes.pitch)
            if self.rubs == "steel":
                pen.turned(at, self.pin_diameter / 2, "steel", 4.0, sort="pin")
            else:
                pen.disc(at, self.pin_diameter / 2, "beech", 0.0, 4.0, sort="pin")

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        way = self.points_to(pen.scene)
        pen.edge_disc(self.rim, thickness, stuff, sort="edge of a pin wheel")
        pen.edge_pins(
            self.pins,
            self.radius,
            self.pin_diameter,
            way * thickness / 2,
            way * (thickness / 2 + PIN_LENGTH),
            self.rubs,
            self.phase,
        )


def rounded(value: float) -> str:
    """Write a size a little under a value, as makers buy it: by halves of a millimetre, small ones by tenths.

    Examples
    --------
    >>> rounded(3.7), rounded(0.87)
    ('3.5', '0.8')
    """
    step = 0.5 if value >= 1.5 else 0.1
    return f"{max(math.floor(value / step) * step, 0.1):g}"
