"""A push-pull wire: stiff both ways, until a push bows it out."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Pinned, Prediction, Spans, Workshop
from animator.parts._fields import FITTED, FittedLength, PointRef, Stuff
from animator.parts._springs import BENDING, MEGAPASCAL, bending_of
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

STEEL = Stuff("steel", 1.0)


@PARTS.add("wire")
class Wire(Part):
    """A straight wire hooked into a hole at each end. It pulls as hard as it is asked, and pushes until it buckles at pi^2 E I / length^2.

    Bowed out it goes on pushing with about that force, and comes straight again by itself. Its weight isn't reckoned.
    """

    as_written = (
        "up wire: {kind: wire, from: bell crank.out, to: signal.pull, material: steel 1}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "from_": "the point one end is hooked into",
        "to": "the point the other end is hooked into",
        "length": "from hook to hook; left out, it is bent to suit at the start",
    }
    examples: ClassVar[Mapping[str, str]] = {"material": "steel 1"}

    has_places = False
    also_called = ("push-pull wire", "piano wire", "push wire", "pull wire", "control wire")

    from_: PointRef
    to: PointRef
    length: FittedLength = FITTED

    @model_validator(mode="after")
    def _is_springy(self) -> "Wire":
        if self.material is not None and (
            self.material.name not in BENDING or self.material.stuff.family != "metal"
        ):
            size = f"{self.material.size:g}" if self.material.size else "1"
            raise Wrong(
                f"'{self.material.name}' makes no wire",
                f"'steel {size}', 'spring steel {size}' or 'brass {size}'",
                key="material",
            )
        if self.from_.text == self.to.text:
            raise Wrong(
                "both ends are hooked into the same point",
                "another point for one of them",
                key="to",
            )
        return self

    @property
    def stuff(self) -> str:
        """What it is made of."""
        return self.material.name if self.material is not None else STEEL.name

    @property
    def diameter(self) -> float:
        """Of the wire. [mm]"""
        return (self.material.size if self.material is not None else None) or STEEL.size or 1.0

    @property
    def axial_stiffness(self) -> float:
        """Force that would double its length, E A. [g mm/s^2]"""
        return MEGAPASCAL * bending_of(self.stuff).young * math.pi * self.diameter**2 / 4

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        length = 0.0 if self.length == FITTED else float(self.length)
        return {"middle": (length / 2, 0.0), "near": (0.0, 0.0), "tip": (length, 0.0)}

    def pinned(self) -> Iterable[Pinned]:
        return (Pinned("near", self.from_), Pinned("tip", self.to))

    def dimensions(self) -> Mapping[str, float]:
        return {} if self.length == FITTED else {"length": float(self.length)}

    @property
    def bears(self) -> float:
        """Push at which it buckles. [g mm/s^2]"""
        return buckling(bending_of(self.stuff).young, self.diameter, float(self.length))

    def build(self, shop: Workshop) -> None:
        from animator.world.ropes import Strut

        strut = Strut(shop, self)  # type: ignore[arg-type]
        shop.before_step(strut.act)
        shop.store(self.name, strut.energy)
        shop.channel(f"{self.name}.tension", "force", lambda: max(strut.pull, 0.0))
        shop.channel(f"{self.name}.push", "force", lambda: max(-strut.pull, 0.0))
        shop.channel(f"{self.name}.force", "force", lambda: abs(strut.pull))
        shop.channel(f"{self.name}.bow", "length", lambda: strut.bow)

    def draw(self, pen: Pen) -> None:
        ends = (self.from_.part, self.to.part)

        def bow(now: Any) -> float:
            return float(now.value(f"{self.name}.bow"))

        pen.nearer_than([end for end in ends if end in pen.scene.parts]).hooked_wire(
            lambda now: now.place(self.from_),
            lambda now: now.place(self.to),
            bow,
            self.diameter,
            self.stuff,
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Buckling load, where it buckled: bowed out it pushes with that and a little more."""
        bow = motion.channels[f"{self.name}.bow"].values[motion.begins :]
        if len(bow) and bow.max() > 0:
            deepest = (math.pi * float(bow.max())) ** 2 / (4 * float(self.length))
            yield Prediction(
                f"{self.name}.push",
                self.bears * (1 + deepest / (2 * float(self.length))),
                "Euler's load of a strut with hinged ends, pi^2 E I / L^2, and half its shortening more (Timoshenko and Gere, Theory of Elastic Stability, the elastica)",
            )


def buckling(young: float, diameter: float, length: float) -> float:
    """Push at which a round wire hooked at both ends bows out. young [MPa], diameter, length [mm] -> [g mm/s^2]

    Notes
    -----
    pi^2 E I / L^2 with I = pi d^4 / 64 (Euler 1744). Holds for a slender wire, length over 20 diameters.

    Examples
    --------
    >>> round(buckling(206_000, 1.0, 100.0) / 1e6, 3)  # N
    9.98
    """
    return MEGAPASCAL * math.pi**3 * young * diameter**4 / (64 * length**2)
