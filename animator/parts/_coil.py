"""What compression and extension springs share: a coil between two points."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import Part, Spans
from animator.parts._fields import Amount, Force, PointRef, Rate, Size, Stuff
from animator.units import Wrong

SPRING_STEEL = Stuff("spring steel")


class Coil(Part):
    """A coil ``from`` one point ``to`` another; its stiffness is its ``rate``, or follows from ``wire``, ``coil diameter`` and ``coils``."""

    has_places = False
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
