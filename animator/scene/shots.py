"""Moments and shots: when to look, and from where."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

from pydantic import model_validator

from animator.parts._fields import (
    Amount,
    Choice,
    PartOf,
    Reader,
    Ref,
    Sentence,
    Time,
    View,
    Words,
    text_of,
)
from animator.places import Place
from animator.units import MOST, Wrong, measure

FASTEST, SLOWEST = 64.0, 1 / 64
BACKDROPS = ("bench", "evening", "plain", "transparent")
"""What a picture can stand on: the bench by day, in the evening, paper alone, nothing."""


@dataclass(frozen=True)
class Moment:
    """A moment of a run: by the main shaft's turning in the running direction [rad], or by the clock [s]; both from the start.

    Exactly one of ``angle`` and ``time`` is not None; ``text`` is what was written.
    """

    angle: float | None = None
    time: float | None = None
    text: str = ""


def parse_moment(text: str) -> Moment:
    """Read ``90``, ``3 turns`` or ``2 s``.

    Raises
    ------
    Wrong
        With what is wrong and what to write instead.
    """
    try:
        value, sort = measure(text, ("angle", "time"))
    except Wrong as wrong:
        if wrong.what == f"'{text}' is not an angle":
            raise Wrong(
                f"'{text}' is no moment", "degrees of the main shaft, '2 s' or '3 turns'"
            ) from None
        raise
    if value < 0:
        raise Wrong(f"'{text}' is before the start", "a moment from 0 on")
    return Moment(value, None, str(text)) if sort == "angle" else Moment(None, value, str(text))


class _Moment(Reader):
    def read(self, value: Any) -> Moment:
        return parse_moment(text_of(value, "90"))

    def schema(self) -> dict[str, Any]:
        return {
            **Amount(("angle", "time")).schema(),
            "description": "a moment: degrees of the main shaft, turns or seconds",
        }

    def sample(self) -> str:
        return "90"


MomentField = Annotated[Moment, _Moment()]


class _Length(_Moment):
    """How long a run lasts."""

    def read(self, value: Any) -> Moment:
        moment = super().read(value)
        if not (moment.angle or moment.time):
            raise Wrong(f"'{moment.text}' is no time at all", "for example '4 turns' or '10 s'")
        return moment

    def sample(self) -> str:
        return "4 turns"


RunLength = Annotated[Moment, _Length()]


class ShotText(Words):
    """One shot: ``from`` and ``to`` moments, or ``at`` one moment with ``hold``; ``speed`` 1/4 is a quarter of the true speed."""

    says: ClassVar[Mapping[str, str]] = {
        "from_": "the moment it begins",
        "to": "the moment it ends",
        "at": "one moment, in place of 'from' and 'to'",
        "hold": "how long that moment is shown",
        "speed": "1/4 is a quarter of the true speed",
        "view": "from where",
        "look": "the piece alone, or with what is found marked on it",
        "on": "the parts to frame; left out, the whole piece",
        "stills": "moments for the storyboard",
        "caption": "a few words beneath it",
    }
    later: ClassVar[Mapping[str, str]] = {"sound": "sound; this version makes silent films"}

    from_: MomentField | None = None
    to: MomentField | None = None
    at: MomentField | None = None
    hold: Time | None = None
    speed: Annotated[float, Amount(("ratio",), above=0)] = 1.0
    view: View = "front"
    look: Annotated[Literal["client", "bench"], Choice(("client", "bench"))] = "client"
    on: tuple[Annotated[Ref, PartOf()], ...] = ()
    stills: tuple[MomentField, ...] = ()
    caption: Sentence = ""

    @model_validator(mode="after")
    def _shows_some_time(self) -> ShotText:
        if self.at is None:
            if self.from_ is None or self.to is None:
                raise Wrong(
                    "says neither when it begins and ends nor one moment",
                    "'from: 0, to: 360' or 'at: 90, hold: 2 s'",
                )
            if self.hold is not None:
                raise Wrong("'hold' belongs to 'at'", "'at: 90, hold: 2 s'", key="hold")
            for before, after in (
                (self.from_.angle, self.to.angle),
                (self.from_.time, self.to.time),
            ):
                if before is not None and after is not None and after <= before:
                    raise Wrong(
                        f"'{self.to.text}' is not after '{self.from_.text}'",
                        "a later moment",
                        key="to",
                    )
        elif self.from_ is not None or self.to is not None:
            raise Wrong(
                "says both 'at' and 'from' or 'to'",
                "'from: 0, to: 360' or 'at: 90, hold: 2 s'",
                key="at",
            )
        if not SLOWEST <= self.speed <= FASTEST:
            raise Wrong(
                "a speed from 1/64 to 64 belongs here",
                "'1/4' for a quarter of the true speed",
                key="speed",
            )
        if self.hold is not None and self.hold > MOST["time"][0] / 60:
            raise Wrong(
                "nobody looks at one moment for more than a minute", "'hold: 3 s'", key="hold"
            )
        if len(self.stills) > 24:
            raise Wrong(
                f"{len(self.stills)} stills are more than a sheet holds",
                "at most 24",
                key="stills",
            )
        return self


@dataclass(frozen=True)
class Shot:
    """One stretch of film. Either ``start`` and ``end`` are given, or ``start`` alone with ``hold`` [s].

    ``speed`` 0.25 shows a quarter of the true speed; ``on`` names the parts to frame (none: the whole piece).
    """

    name: str
    start: Moment
    end: Moment | None
    hold: float
    speed: float
    view: Literal["front", "side", "top"]
    look: Literal["client", "bench"]
    on: tuple[str, ...]
    stills: tuple[Moment, ...]
    caption: str
    place: Place


def shot(name: str, text: ShotText, on: tuple[str, ...], place: Place) -> Shot:
    """Make a shot of its text, once its parts are found."""
    start = text.at or text.from_
    assert start is not None
    hold = (2.0 if text.hold is None else text.hold) if text.at else 0.0
    return Shot(
        name,
        start,
        None if text.at else text.to,
        hold,
        text.speed,
        text.view,
        text.look,
        on,
        text.stills,
        text.caption,
        place,
    )
