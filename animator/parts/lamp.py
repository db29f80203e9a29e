"""A small lamp that is lit while a signal is given."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS, Pen, Rides, Still, Weight, Workshop
from animator.parts._currents import low_voltage
from animator.parts._fields import At, Mass, PointRef, Size
from animator.parts._signals import Line, Listener, Signal, SignalField

if TYPE_CHECKING:
    from animator.findings.report import Caution
    from animator.motion.motion import Motion

WARM_UP = 0.2  # s from dark to bright and back: no lamp may flash more often than three times a second, and this one then can't


@PARTS.add("lamp")
class Lamp(Listener):
    """Lit ``while`` its signal is given; ``on`` a point it moves with, or ``at`` a place.

    It is lit and dark in the record as its switch says; in the picture it comes and goes over a fifth of a second, as a filament does.
    """

    as_written = "lamp: {kind: lamp, lit while: lamp switch, at: [100, 180]}"

    says: ClassVar[Mapping[str, str]] = {
        "lit_while": "the switches, coin slots or tracks of a drum that light it",
        "on": "the point it moves with",
        "at": "where it stands, if it is on nothing",
        "diameter": "of its glass",
    }

    also_called = ("bulb", "light", "lantern lamp")
    one_of: ClassVar[tuple[str, ...]] = ("on", "at")

    lit_while: SignalField
    on: PointRef | None = None
    at: At | None = None
    diameter: Size = 9.0
    mass: Mass | None = 2.0

    @property
    def signal(self) -> Signal:
        return self.lit_while

    @property
    def signal_key(self) -> str:
        return "lit while"

    def held(self) -> Still | Rides:
        if self.on is not None:
            return Rides(self.on)
        assert self.at is not None
        return Still(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        mass = self.mass or 0.0
        return Weight(mass, (0.0, 0.0), mass * self.diameter**2 / 8)

    def build(self, shop: Workshop) -> None:
        glow = Glow(shop, Line(shop, self.lit_while))
        shop.before_step(glow.change)
        shop.channel(f"{self.name}.lit", "state", lambda: float(glow.is_lit))
        shop.channel(f"{self.name}.glow", "share", lambda: glow.share)

    def cautions(self, motion: "Motion") -> "Iterable[Caution]":
        yield low_voltage()

    def draw(self, pen: Pen) -> None:
        pen.bulb(self.diameter / 2, f"{self.name}.glow", self.at is not None)


class Glow:
    """A filament that warms and cools."""

    def __init__(self, shop: Workshop, line: Line) -> None:
        self._line, self._change = line, shop.dt / WARM_UP
        self._drives = shop.world.drives
        self.is_lit = False
        self.share = 0.0

    def change(self, t: float) -> None:
        """Warm or cool by one step; before the piece starts it is as it stands."""
        self.is_lit = self._line.is_given
        if self._drives and not self._drives[0].is_released:
            self.share = float(self.is_lit)
        elif self.is_lit:
            self.share = min(1.0, self.share + self._change)
        else:
            self.share = max(0.0, self.share - self._change)
