"""A rubber band that pulls two points together."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Prediction, Spans, Standing, Workshop
from animator.parts._fields import Number, PointRef, Size, Stuff
from animator.parts._springs import MEGAPASCAL, Ends, Loss
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

RUBBER = Stuff("rubber band")
LEAST_LOSS, MOST_LOSS = (
    0.05,
    0.15,
)  # of the work put in, a cycle (L. R. G. Treloar, The Physics of Rubber Elasticity; handbook range, from memory)
BEARS = 4.0  # times its slack length; beyond, a real band stiffens sharply and tires
BREAKS = 6.0  # times; natural rubber bands break at 6 to 8 (handbook range, from memory)
STICKING = 3.0  # times as stiff as the slack band


def neo_hooke(ratio: float) -> float:
    """Pull over slack cross-section and shear modulus at ``ratio`` times the slack length, above 0: ratio - 1/ratio^2.

    Notes
    -----
    L. R. G. Treloar, The Physics of Rubber Elasticity: simple extension of an incompressible neo-Hookean rubber. Real bands lie a little under it between
    1.5 and 3 times, and turn up sharply past 4 to 5 times.

    Examples
    --------
    >>> round(0.4 * neo_hooke(2), 4)  # G 0.4 MPa, twice as long
    0.7
    """
    return ratio - 1 / ratio**2


@PARTS.add("rubber band")
class RubberBand(Part):
    """Pulls its ends together, softer the farther it is stretched, and never pushes; each stretching costs a twentieth to a seventh of its work.

    ``length`` is that of the band laid flat, slack. Each of its ``loops`` is two strands of ``width`` times ``thickness``. Good to four times its length.
    """

    as_written = "return: {kind: rubber band, from: nail, to: jaw.hook, length: 30, width: 1.5, thickness: 1}"

    says: ClassVar[Mapping[str, str]] = {
        "from_": "one end",
        "to": "the other end",
        "length": "laid flat and slack, from end to end",
        "width": "of one strand, slack",
        "thickness": "of one strand, slack",
        "loops": "how many bands lie side by side; each has two strands",
    }

    has_places = False
    moves_alone = True
    also_called = ("elastic", "band", "elastic band", "rubber", "return band")

    from_: PointRef
    to: PointRef
    length: Size
    width: Size
    thickness: Size
    loops: Annotated[int, Number(1, 50)] = 1

    @model_validator(mode="after")
    def _is_of_rubber(self) -> "RubberBand":
        stuff = self.material or RUBBER
        if stuff.stuff.family != "rubber" or stuff.stuff.young is None:
            raise Wrong(
                f"'{stuff.name}' doesn't stretch as a rubber band does",
                "'rubber band'",
                key="material",
            )
        return self

    @property
    def slack_length(self) -> float:
        """How far apart its ends must stand for it to pull. [mm]"""
        return self.length

    def modulus(self) -> float:
        """Shear modulus G of its rubber: a third of Young's at small stretch. [g/(mm s^2)]"""
        return MEGAPASCAL * float((self.material or RUBBER).stuff.young or 0.0) / 3

    def section(self) -> float:
        """Cross-section of all its strands, slack. [mm^2]"""
        return 2 * self.loops * self.width * self.thickness

    def pull(self, length: float) -> float:
        """Elastic pull at a length [mm]; nothing where it is slack. [g mm/s^2]"""
        return (
            self.section() * self.modulus() * neo_hooke(length / self.length)
            if length > self.length
            else 0.0
        )

    def stored(self, length: float) -> float:
        """Energy at a length. [mm] -> [g mm^2/s^2]"""
        if length <= self.length:
            return 0.0
        ratio = length / self.length
        return self.section() * self.length * self.modulus() * (ratio**2 / 2 + 1 / ratio - 1.5)

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        return {"middle": (0.0, 0.0)}

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        apart = math.dist(*(piece.point(ref.part, ref.point) for ref in (self.from_, self.to)))
        if apart > BREAKS * self.length:
            yield Wrong(
                f"'{self.name}' is stretched to {apart / self.length:.1f} times its length; a band breaks at {BREAKS:g}",
                f"'{self.name}.length: {math.ceil(apart / (BEARS - 1)):g}'",
                key="length",
                more=f"its ends stand {apart:.0f} mm apart",
            )

    def build(self, shop: Workshop) -> None:
        band = BandForce(shop, self)
        shop.before_step(band.act)
        shop.store(self.name, band.energy)
        shop.channel(f"{self.name}.force", "force", lambda: band.force)
        shop.channel(f"{self.name}.length", "length", lambda: band.length)
        shop.channel(
            f"{self.name}.slack", "length", lambda: max(0.0, self.length - band.length)
        )
        shop.channel(f"{self.name}.strain", "share", lambda: band.length / self.length / BEARS)

    def draw(self, pen: Pen) -> None:
        ends = (self.from_.part, self.to.part)
        pen.nearer_than([end for end in ends if end in pen.scene.parts]).rubber_band(
            lambda now: now.place(self.from_),
            lambda now: now.place(self.to),
            self.length,
            self.width,
            self.loops,
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Largest pull from the longest it was, the rubbing of the middling loss on top."""
        longest = float(motion.channels[f"{self.name}.length"].values[motion.begins :].max())
        loss = LEAST_LOSS + motion.level * (MOST_LOSS - LEAST_LOSS)
        if longest > self.length:
            yield Prediction(
                f"{self.name}.force",
                self.pull(longest) * (1 + loss / (2 - loss)),
                "neo-Hookean band (Treloar, The Physics of Rubber Elasticity), being stretched",
            )


class BandForce:
    """The pull of a band between two points, taken where they will be after the step, and what a cycle costs."""

    def __init__(self, shop: Workshop, band: RubberBand) -> None:
        self._band = band
        self._ends = Ends(shop, (band.from_, band.to))
        self.length = math.dist(*self._ends.places)
        self.force = 0.0
        # a slack band is as stiff as it ever is: its rate falls from 3 A G / L as it is stretched
        rate = 3 * band.section() * band.modulus() / band.length
        share = LEAST_LOSS + shop.level * (MOST_LOSS - LEAST_LOSS)
        self._loss = Loss(share, STICKING * rate)
        self._heat = shop.heat(f"stretching of {band.name}")
        self._before = 0.0
        if self._ends.ease > 0:
            shop.stiff((1 + STICKING) * rate, 1 / self._ends.ease)

    def act(self, t: float) -> None:
        """Pull both ends together."""
        length = self._ends.length()
        elastic = self._band.pull(length)
        rub = self._loss.move(length - self.length, elastic)
        self._heat.total += self._loss.spent
        self.length = length
        self.force = elastic + rub  # the rubbing is a small share of the pull: never below 0
        self._ends.pull(self.force)

    def energy(self) -> float:
        """Energy stored. [g mm^2/s^2]"""
        middle = self._ends.middle_length()
        return self._band.stored(middle) + self._loss.stored(middle - self.length)
