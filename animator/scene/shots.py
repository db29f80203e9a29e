"""Moments and shots: when to look, and from where."""

from __future__ import annotations

import re
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
    Size,
    Time,
    View,
    Words,
    reference,
    text_of,
)
from animator.places import Place, Text
from animator.registry import nearest
from animator.units import MOST, Wrong, measure

FASTEST, SLOWEST = 64.0, 1 / 64
NEAREST = 6.0  # times; nearer nothing more is to be seen, only the grain of the wood
EVENTS = (
    "slip",
    "jam",
    "stall",
    "float",
    "jerk",
    "slack",
    "strain",
    "buckle",
    "skip",
)  # what a moment can be named by
_EVENT = re.compile(
    r"(?:(?P<offset>\S.*?) (?P<way>before|after) )?"
    r"(?:(?P<which>first|last) (?P<code>[\w-]+)(?: of (?P<part>\S.*))?|mark (?P<mark>\S.*))"
)
BACKDROPS = ("bench", "evening", "plain", "transparent")
"""What a picture can stand on: the bench by day, in the evening, paper alone, nothing."""


@dataclass(frozen=True)
class Moment:
    """A moment of a run: by the main shaft's turning in the running direction [rad], by the clock [s], both from the start, or by a mark of the scene's sound.

    Exactly one of ``angle`` and ``time`` is not None, or both are and ``mark`` names the mark; ``text`` is what was written.
    """

    angle: float | None = None
    time: float | None = None
    text: str = ""
    mark: str = ""


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


@dataclass(frozen=True)
class Event:
    """A moment named by what happens: the first or last finding of a sort, or a mark in the scene's sound.

    ``code``: which finding; '' for a mark. ``mark``: which mark. ``of`` names the part that the finding must be of, ``part`` is its
    full name once it is found; '' for any. ``offset``: how far from it, None: there; ``is_before``: before it, not after. ``text`` is what was written, ``place`` where.
    """

    code: str = ""
    mark: str = ""
    of: Ref | None = None
    part: str = ""
    is_last: bool = False
    offset: Moment | None = None
    is_before: bool = False
    text: str = ""
    place: Place | None = None


When = Moment | Event
"""A moment of a shot."""


def parse_when(value: Any) -> When:
    """Read a moment of a shot: what ``parse_moment`` reads, ``first jam``, ``last float of lifter``, ``mark bell``, ``20 before first slip``.

    Raises
    ------
    Wrong
        With what is wrong and what to write instead.
    """
    text = text_of(value, "90")
    found = _EVENT.fullmatch(text)
    if found is None:
        if re.search(r"\b(first|last)\b", text):
            raise Wrong(
                f"'{text}' is no moment",
                "'first jam', 'last float of lifter' or '20 before first slip'",
            )
        return parse_moment(text)
    code = found["code"] or ""
    if code and code not in EVENTS:
        mend = nearest(code, EVENTS)
        write = f"'{mend}'" if mend else f"one of: {', '.join(EVENTS)}"
        if code == "seam":
            raise Wrong("a seam is the join of a film, not a moment of the run", write)
        raise Wrong(
            f"no finding is called '{code}'", write, start=found.start("code"), length=len(code)
        )
    offset = parse_moment(found["offset"]) if found["offset"] else None
    of = (
        reference(value, PartOf(), found["part"], found.start("part"))
        if found["part"]
        else None
    )
    return Event(
        code,
        found["mark"] or "",
        of,
        is_last=found["which"] == "last",
        offset=offset,
        is_before=found["way"] == "before",
        text=str(text),
        place=value.place if isinstance(value, Text) else None,
    )


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


class _When(_Moment):
    """A moment of a shot."""

    def read(self, value: Any) -> When:  # type: ignore[override]
        return parse_when(value)

    def schema(self) -> dict[str, Any]:
        plain = super().schema()
        plain["anyOf"] = [*plain["anyOf"], {"type": "string", "pattern": _pattern()}]
        plain["description"] = (
            "a moment: degrees of the main shaft, turns, seconds, 'first jam' or '20 before last slip'"
        )
        return plain


def _pattern() -> str:
    """Regular expression of an event, for the schema."""
    return rf"^(\S.* (before|after) )?((first|last) ({'|'.join(EVENTS)})( of \S.*)?|mark \S.*)$"


WhenField = Annotated[Moment | Event, _When()]


class ShotText(Words):
    """One shot: ``from`` and ``to`` moments, or ``at`` one moment with ``hold``; ``speed`` 1/4 is a quarter of the true speed."""

    says: ClassVar[Mapping[str, str]] = {
        "from_": "the moment it begins",
        "to": "the moment it ends",
        "at": "one moment, in place of 'from' and 'to'",
        "hold": "how long the moment of 'at' or 'freeze' is shown",
        "freeze": "a moment on the way at which the picture stands and comes nearer",
        "speed": "1/4 is a quarter of the true speed",
        "view": "from where",
        "look": "the piece alone, or with what is found marked on it",
        "backdrop": "what the piece stands on",
        "on": "the parts to frame; left out, the whole piece",
        "margin": "how much is seen round them",
        "follow": "a part, or a point of it, that the picture keeps in its middle",
        "closer": "how many times nearer the picture comes at 'freeze'; 1 stays",
        "move": "how the film comes to this shot from the one before; 'glide' where the piece stands as it did",
        "stills": "moments for the storyboard",
        "caption": "a few words beneath it",
    }
    later: ClassVar[Mapping[str, str]] = {"sound": "sound; this version makes silent films"}

    from_: WhenField | None = None
    to: WhenField | None = None
    at: WhenField | None = None
    hold: Time | None = None
    freeze: WhenField | None = None
    speed: Annotated[float, Amount(("ratio",), above=0)] = 1.0
    view: View = "front"
    look: Annotated[Literal["client", "bench"], Choice(("client", "bench"))] = "client"
    backdrop: (
        Annotated[
            Literal["bench", "evening", "plain", "transparent"],
            Choice(("bench", "evening", "plain", "transparent")),
        ]
        | None
    ) = None
    on: tuple[Annotated[Ref, PartOf()], ...] = ()
    margin: Size | None = None
    follow: Annotated[Ref, PartOf(is_point=True)] | None = None
    closer: Annotated[float, Amount(("ratio",), above=0)] | None = None
    move: Annotated[Literal["cut", "glide"], Choice(("cut", "glide"))] = "cut"
    stills: tuple[WhenField, ...] = ()
    caption: Sentence = ""

    @model_validator(mode="after")
    def _shows_some_time(self) -> ShotText:
        if self.at is None:
            if self.from_ is None or self.to is None:
                raise Wrong(
                    "says neither when it begins and ends nor one moment",
                    "'from: 0, to: 360' or 'at: 90, hold: 2 s'",
                )
            if self.hold is not None and self.freeze is None:
                raise Wrong(
                    "'hold' belongs to 'at' or 'freeze'", "'at: 90, hold: 2 s'", key="hold"
                )
            self._goes_on(self.from_, self.to, "to")
            if self.freeze is not None:
                self._goes_on(self.from_, self.freeze, "freeze", True)
                self._goes_on(self.freeze, self.to, "to", True)
        elif self.freeze is not None:
            raise Wrong("'at' stands still already", "'from', 'to' and 'freeze'", key="freeze")
        elif self.from_ is not None or self.to is not None:
            raise Wrong(
                "says both 'at' and 'from' or 'to'",
                "'from: 0, to: 360' or 'at: 90, hold: 2 s'",
                key="at",
            )
        self._frames_one_thing()
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

    @staticmethod
    def _goes_on(before: When, after: When, key: str, may_be_same: bool = False) -> None:
        """See that one moment comes after another, as far as their texts alone tell."""
        if isinstance(before, Event) or isinstance(after, Event):
            return
        for a, b in ((before.angle, after.angle), (before.time, after.time)):
            if a is not None and b is not None and (b < a or (b == a and not may_be_same)):
                raise Wrong(
                    f"'{after.text}' is not after '{before.text}'", "a later moment", key=key
                )

    def _frames_one_thing(self) -> None:
        if self.follow is not None and self.on:
            raise Wrong(
                "says both 'on' and 'follow'",
                "'on' for a picture that stands, 'follow' for one that goes along",
                key="follow",
            )
        if self.margin is not None and not self.on:
            raise Wrong(
                "'margin' belongs to 'on'", "'on: [crank], margin: 10 mm'", key="margin"
            )
        if self.closer is not None:
            if self.freeze is None:
                raise Wrong(
                    "'closer' belongs to 'freeze'",
                    "'freeze: first jam, closer: 2'",
                    key="closer",
                )
            if not 1 <= self.closer <= NEAREST:
                raise Wrong(
                    f"a number from 1 to {NEAREST:g} belongs here",
                    "'2' for twice as near",
                    key="closer",
                )


@dataclass(frozen=True)
class Shot:
    """One stretch of film. Either ``start`` and ``end`` are given, or ``start`` alone with ``hold`` [s].

    ``speed`` 0.25 shows a quarter of the true speed; ``on`` names the parts to frame (none: the whole piece) with ``margin`` [mm] round them
    (None: a tenth of the picture); ``follow`` is (part, point) to be kept in the middle, point '' for the middle of the part. At ``freeze`` the picture stands for
    ``hold`` and comes ``closer`` times nearer (None: twice where something is found). ``move``: how the film comes to this shot.
    """

    name: str
    start: When
    end: When | None
    hold: float
    speed: float
    view: Literal["front", "side", "top"]
    look: Literal["client", "bench"]
    on: tuple[str, ...]
    stills: tuple[When, ...]
    caption: str
    place: Place
    freeze: When | None = None
    backdrop: str | None = None
    margin: float | None = None
    follow: tuple[str, str] | None = None
    closer: float | None = None
    move: Literal["cut", "glide"] = "cut"


HOLD = 2.0  # s a moment is shown where the shot doesn't say for how long


def shot(
    name: str,
    text: ShotText,
    on: tuple[str, ...],
    place: Place,
    follow: tuple[str, str] | None = None,
    whens: Mapping[When, When] | None = None,
) -> Shot:
    """Make a shot of its text, once its parts are found.

    Parameters
    ----------
    name, text
        What the scene calls it and says of it.
    on, follow
        Full names of the parts framed, and part and point followed.
    place
        Where it is written.
    whens
        Moment as read -> the same with its part looked up.
    """
    found = whens or {}

    def known(when: When) -> When:
        return found.get(when, when)

    start = text.at or text.from_
    assert start is not None
    has_hold = text.at is not None or text.freeze is not None
    return Shot(
        name,
        known(start),
        None if text.at or text.to is None else known(text.to),
        (HOLD if text.hold is None else text.hold) if has_hold else 0.0,
        text.speed,
        text.view,
        text.look,
        on,
        tuple(map(known, text.stills)),
        text.caption,
        place,
        None if text.freeze is None else known(text.freeze),
        text.backdrop,
        text.margin,
        follow,
        text.closer,
        text.move,
    )


def whens_of(text: ShotText) -> tuple[When, ...]:
    """Every moment that a shot names."""
    named = (text.from_, text.to, text.at, text.freeze, *text.stills)
    return tuple(when for when in named if when is not None)
