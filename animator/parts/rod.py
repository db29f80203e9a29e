"""A stiff bar pinned at both ends."""

from collections.abc import Iterable, Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Floats, Part, Pinned
from animator.parts._fields import Choice, FittedLength, Length, PointRef
from animator.units import Wrong

ENDS = ("near", "tip", "middle")


@PARTS.add("rod")
class Rod(Part):
    """A bar ``from`` one point ``to`` another. ``holes`` are points along it, ``knee`` the side on which its far joint lies."""

    also_called = ("bar", "conrod", "connecting rod", "link", "coupler", "pushrod", "strut")
    later: ClassVar[Mapping[str, str]] = {
        "through": "a rod that slides through a swivel guide; pin its far end with 'to'"
    }

    from_: PointRef
    to: PointRef
    length: FittedLength
    holes: Mapping[str, Length] = Field(default_factory=dict)
    knee: (
        Annotated[
            Literal["up", "down", "left", "right"], Choice(("up", "down", "left", "right"))
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _names_its_points(self) -> "Rod":
        for name in self.holes:
            if name in ENDS:
                raise Wrong(
                    f"a hole can't be called '{name}'",
                    "another name; that point is there already",
                    key="holes",
                )
        return self

    def held(self) -> Floats:
        return Floats()

    def points(self) -> Mapping[str, Point]:
        length = 0.0 if self.length == "fitted" else self.length
        return {"near": (0.0, 0.0), "tip": (length, 0.0), "middle": (length / 2, 0.0)} | {
            name: (x, 0.0) for name, x in self.holes.items()
        }

    def pinned(self) -> Iterable[Pinned]:
        return (Pinned("near", self.from_), Pinned("tip", self.to))

    def dimensions(self) -> Mapping[str, float]:
        return {} if self.length == "fitted" else {"length": self.length}
