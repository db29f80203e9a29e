"""A slot that a coin goes through: for a moment it closes a circuit, and what listens to it starts."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Pen, Still, Workshop
from animator.parts._currents import low_voltage
from animator.parts._fields import Amount, At, Choice, Mass, Time, Where
from animator.parts._signals import Sender
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.findings.report import Caution
    from animator.motion.motion import Motion

GRAVITY = 9806.65  # mm/s^2, standard
DROP = 12.0  # mm the coin falls through the slot before it meets its runway
RUNWAY = 46.0  # mm
SLOPE = math.radians(20)
ROLLS = (
    2 / 3
)  # a disc that rolls has half as much again to set going as one that slides: a = g sin(slope) / (1 + 1/2)
MOST_COINS = 20


@PARTS.add("coin slot")
class CoinSlot(Sender):
    """A coin goes in at each of the moments ``coin at``, counted from the start; each closes the slot's contact for ``pulse time``.

    A motor that says 'runs while: coin slot or home switch' starts with the coin and stops itself when its drum has come home. Said ``at`` a place,
    the slot is drawn with its runway, on which the coin falls and rolls by its own weight; the coin does nothing else to the piece.
    """

    as_written = "coin slot: {kind: coin slot, coin at: [1 s], at: [180, 90]}"

    says: ClassVar[Mapping[str, str]] = {
        "coin_at": "the moments at which a coin goes in",
        "pulse_time": "for how long each closes the contact",
        "at": "where the slot's mouth is; left out, it is out of sight",
        "rolls": "which way the coin rolls off",
    }
    examples: ClassVar[Mapping[str, str]] = {"coin_at": "[1 s, 30 s]"}

    also_called = ("coin mechanism", "coin acceptor", "coin box", "push button", "start button")

    coin_at: tuple[Time, ...] = (0.0,)
    pulse_time: Annotated[float, Amount(("time",), above=0)] = 0.5
    at: At | None = None
    rolls: Annotated[str, Choice(("right", "left"))] = "right"
    mass: Mass | None = 20.0

    @model_validator(mode="after")
    def _in_order(self) -> "CoinSlot":
        if not self.coin_at:
            raise Wrong("no coin goes in", "'coin at: [1 s]'", key="coin at")
        if len(self.coin_at) > MOST_COINS:
            raise Wrong(
                f"{len(self.coin_at)} coins are more than a run lasts for",
                f"at most {MOST_COINS}",
                key="coin at",
            )
        if list(self.coin_at) != sorted(set(self.coin_at)):
            said = ", ".join(f"{moment:g} s" for moment in sorted(set(self.coin_at)))
            raise Wrong("coins go in one after another", f"'[{said}]'", key="coin at")
        return self

    def held(self) -> Still:
        return Still(self.at or Where())

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def hears_no_hand(self) -> bool:
        return False

    def acts_until(self) -> float:
        return self.coin_at[-1] + self.pulse_time

    def build(self, shop: Workshop) -> None:
        coin = Coin(shop, self)
        shop.before_step(coin.fall)
        shop.world.calls[self.name] = coin.drop
        shop.channel(f"{self.name}.closed", "state", lambda: float(coin.is_closed))
        shop.channel(f"{self.name}.rolled", "length", lambda: coin.way)

    def cautions(self, motion: "Motion") -> "Iterable[Caution]":
        from animator.findings.report import Caution

        yield low_voltage()
        yield Caution(
            what="Coin-operated machine",
            sentence="Whatever starts for a coin starts while nobody minds it: it is an amusement machine in the eye of the law, with its own standard up to 250 V; ask before it stands in public.",
            figure=250.0,
            unit="V",
            source="IEC 60335-2-82 (amusement and personal service machines)",
        )

    def draw(self, pen: Pen) -> None:
        if self.at is None:
            return
        way = 1.0 if self.rolls == "right" else -1.0
        pen.coin_slot(
            way, DROP, RUNWAY, SLOPE, self.coin_at, f"{self.name}.rolled", f"{self.name}.closed"
        )


class Coin:
    """The coin on its way: it falls, meets its runway, keeps what of its speed lies along it, and rolls to its end."""

    def __init__(self, shop: Workshop, part: CoinSlot) -> None:
        self._drives: list[Any] = shop.world.drives
        self._moments, self._pulse, self._dt = part.coin_at, part.pulse_time, shop.dt
        self._next = 0
        self._until = -math.inf
        self.is_closed = False
        self.way = self._speed = 0.0
        self._is_falling = False

    def drop(self, t: float) -> None:
        """Let a coin in now. [s]"""
        self._until = t + self._pulse
        self.way = self._speed = 0.0
        self._is_falling = True

    def fall(self, t: float) -> None:
        """Let the coin fall on by one step; while hanging parts settle no coin goes in."""
        if self._drives and not self._drives[0].is_released:
            return
        if self._next < len(self._moments) and t >= self._moments[self._next] - 1e-9:
            self._next += 1
            self.drop(t)
        self.is_closed = t < self._until - 1e-9
        if not self._is_falling:
            return
        if self.way < DROP:
            self._speed += GRAVITY * self._dt
            self.way += self._speed * self._dt
            if self.way >= DROP:
                self._speed *= math.sin(SLOPE) * ROLLS
        else:
            self._speed += ROLLS * GRAVITY * math.sin(SLOPE) * self._dt
            self.way += self._speed * self._dt
            if self.way >= DROP + RUNWAY:
                self.way = DROP + RUNWAY
                self._is_falling = False
