"""Outlines that carry a performance: a cam traced from a drawing, a cam cut from a sound, poses told by the clock; and a groove in place of an edge."""

import re
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Self

from pydantic import Field, ValidationInfo, model_validator

from animator import sounds
from animator.artwork.refusal import Unusable
from animator.geometry import Point
from animator.parts._fields import (
    Hidden,
    Length,
    Place2,
    Reader,
    Sentence,
    Share,
    Size,
    Time,
    Words,
    text_of,
)
from animator.registry import nearest
from animator.units import NUMBER, UNITS, Wrong, parse

if TYPE_CHECKING:
    from animator.outlines.loudness import Hearing
    from animator.outlines.tracing import Smooth


class _Beside(Reader):
    """The name of a file next to the scene or below it, kept with its place."""

    def __init__(self, sample: str) -> None:
        self.named = sample

    def read(self, value: Any) -> str:
        return text_of(value, self.named)

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": [self.named]}


class GrooveCut(Words):
    """A groove cut into the cam's face, in which a roller is held both ways: it needs neither weight nor spring."""

    sample_text: ClassVar[str] = "{width: 10.2}"
    says: ClassVar[Mapping[str, str]] = {
        "width": "of the groove; what it is wider than the roller is its play"
    }
    short: ClassVar[str] = "width"

    width: Size


class Traced(Words):
    """A cam's outline from a file: an SVG drawing in mm, or a list of points right, up (CSV). It is smoothed, and said by how much."""

    sample_text: ClassVar[str] = "{file: wave.csv, smooth: 0.1}"
    says: ClassVar[Mapping[str, str]] = {
        "file": "an SVG or CSV file next to the scene; 'traced: wave.svg' says the same",
        "piece": "the group of an SVG file that is the outline",
        "centre": "where the shaft goes through, on the drawing; left out, the file's point 'centre', or [0, 0] of a list",
        "smooth": "how far smoothing may move a point",
    }
    examples: ClassVar[Mapping[str, str]] = {"piece": "rim"}
    short: ClassVar[str] = "file"

    file: Annotated[str, _Beside("wave.csv")]
    piece: Sentence | None = None
    centre: Place2 | None = None
    smooth: Length = 0.1
    course: Annotated[tuple[Point, ...], Hidden] = ()
    """Points of the file seen from the shaft's centre, anticlockwise. [mm]"""

    @model_validator(mode="after")
    def _is_an_outline(self, info: ValidationInfo) -> Self:
        if self.course:
            return self
        from animator.outlines import tracing

        folder = (info.context or {}).get("folder", Path())
        try:
            course = tracing.read(self.file, folder, self.piece, self.centre)
        except Unusable as wrong:
            line = f", line {wrong.line}" if wrong.line else ""
            is_text = wrong.write.startswith("'")
            raise Wrong(
                f"{self.file}{line}: {wrong.what}",
                wrong.write if is_text else "",
                key=wrong.key,
                more="" if is_text else wrong.write,
            ) from None
        return self.model_copy(update={"course": course})

    @property
    def smoothed(self) -> "Smooth":
        """The outline as it is cut, and how far smoothing has moved it."""
        from animator.outlines import tracing

        return tracing.smoothed(self.course, self.smooth)

    @property
    def curve(self) -> tuple[Point, ...]:
        """Points of the outline as it is cut. [mm]"""
        return self.smoothed.points

    def mirrored(self) -> Self:
        return self.model_copy(
            update={"course": tuple((-x, y) for x, y in reversed(self.course))}
        )


class Loudness(Words):
    """A cam cut from a sound: how loud it is, from moment to moment of one turn, lifts a mouth."""

    sample_text: ClassVar[str] = "{of: round.wav, lift: 8, from: 0 s, to: 4 s}"
    says: ClassVar[Mapping[str, str]] = {
        "of": "an audio file next to the scene",
        "lift": "how far the loudest moment lifts",
        "from_": "where in the sound the turn begins",
        "to": "where it ends; left out, the end of the sound. The stretch is one turn of the cam",
        "attack": "how long a sound takes to open the mouth",
        "release": "how long it stays open after it",
        "gate": "what is softer than this share of the loudest moment is silence",
        "smooth": "over how long the lift is evened out",
    }

    of: Annotated[str, _Beside("round.wav")]
    lift: Size
    from_: Time = 0.0
    to: Time | None = None
    attack: Time = 0.02
    release: Time = 0.12
    gate: Share = 0.1
    smooth: Annotated[Time, Field()] = 0.1
    path: Annotated[Path | None, Hidden] = None

    @model_validator(mode="after")
    def _lies_there(self, info: ValidationInfo) -> Self:
        if self.gate >= 0.9:
            raise Wrong("a gate that lets almost nothing through", "'gate: 10 %'", key="gate")
        if self.smooth < 0.02:
            raise Wrong(
                "a lift that changes faster than any cam can be filed",
                "'smooth: 0.1 s'",
                key="smooth",
            )
        if self.to is not None and self.to - self.from_ < 2 * self.smooth:
            raise Wrong(
                "the stretch is over before it begins",
                f"'to: {self.from_ + max(1.0, 4 * self.smooth):g} s'",
                key="to",
            )
        if self.path is not None:
            return self
        folder = (info.context or {}).get("folder")
        if folder is None:
            return self
        return self.model_copy(update={"path": _beside(self.of, folder)})

    @property
    def ends(self) -> float:
        """Where in the sound the turn ends. [s]"""
        from animator.outlines import loudness

        if self.to is not None:
            return self.to
        return loudness.length(self.path) if self.path is not None else self.from_ + 1.0

    @property
    def hearing(self) -> "Hearing":
        """What is listened to, and how."""
        from animator.outlines.loudness import Hearing

        return Hearing(
            self.path or Path(self.of),
            self.from_,
            self.ends,
            self.attack,
            self.release,
            self.gate,
            self.smooth,
        )

    def deaf(self) -> Wrong | None:
        """Tell why nothing can be cut from it: it can't be read, ends before the stretch does, or is silent."""
        from animator.outlines import loudness

        assert self.path is not None
        try:
            length = loudness.length(self.path)
            if self.from_ >= length or (self.to or 0.0) > length + 0.01:
                return Wrong(
                    f"'{self.of}' is over after {length:.2f} s",
                    f"'to: {length:.2f} s'" if self.from_ < length else "'from: 0 s'",
                    key="to" if self.from_ < length else "from",
                )
            if loudness.listen(self.hearing).loudest >= loudness.SILENT:
                return None
            begins = loudness.first_heard(self.path)
        except sounds.Unheard as wrong:
            return Wrong(f"'{self.of}': {wrong}", "another file", key="of")
        if begins is None:
            return Wrong(
                f"'{self.of}' is silent; a mouth would stay shut",
                "a sound that says something",
                key="of",
            )
        return Wrong(
            f"'{self.of}' is silent from {self.from_:g} s to {self.ends:g} s; a mouth would stay shut",
            f"'CAM.loudness.from: {begins:.2f} s' and 'CAM.loudness.to: {min(begins + self.ends - self.from_, length):.2f} s'",
            more=f"it is first heard at {begins:.2f} s",
            key="from",
        )

    def mirrored(self) -> Self:
        return self


def _beside(name: str, folder: Path) -> Path:
    """Find a sound file next to the scene or below it."""
    plain = PurePosixPath(name.replace("\\", "/"))
    if plain.is_absolute() or ".." in plain.parts or ":" in name or "\0" in name:
        raise Wrong(
            "a sound lies next to the scene or below it",
            f"'{plain.name or 'round.wav'}', and put it there",
            key="of",
        )
    if plain.suffix.lower() not in sounds.ENDINGS:
        raise Wrong(
            f"'{plain.name}' is no sound file",
            f"a file that ends in {', '.join(sounds.ENDINGS[:-1])} or {sounds.ENDINGS[-1]}",
            key="of",
        )
    path = folder / plain
    try:
        is_there = path.is_file() and path.resolve().is_relative_to(folder.resolve())
        there = [
            each.relative_to(folder).as_posix()
            for place in (folder, path.parent)
            if place.is_dir()
            for each in sorted(place.iterdir())[:200]
            if each.suffix.lower() in sounds.ENDINGS
        ]
    except (OSError, RuntimeError, ValueError) as trouble:
        raise Wrong(f"'{name}' can't be opened ({trouble})", "another file", key="of") from None
    if not is_there:
        meant = nearest(str(plain), there, 0.3)
        raise Wrong(
            f"there is no sound file '{name}' next to the scene",
            f"'{meant}'" if meant else "the name of a file that is there",
            key="of",
        )
    return path


class Timed(float):
    """A moment of a turn, told by the clock. [s]"""


class Moment(Reader):
    """When in a turn a pose is taken: an angle, or a time from the turn's beginning."""

    CLOCK = re.compile(rf"{NUMBER} ?({'|'.join(UNITS['time'])})$")

    def read(self, value: Any) -> float:
        if isinstance(value, float):
            return value
        text = text_of(value, "90")
        if self.CLOCK.match(text):
            return Timed(parse(text, "time", low=0.0))
        return parse(text, "angle")

    def schema(self) -> dict[str, Any]:
        return {
            "anyOf": [{"type": "number"}, {"type": "string"}],
            "examples": ["90", "1.5 s"],
        }
