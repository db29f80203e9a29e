"""Numbers with their units, choices, sentences: what reads one scalar of a scene.

Does without postponed annotations: pydantic needs the types themselves.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from animator.registry import nearest
from animator.units import (
    BARE,
    NUMBER,
    SAMPLES,
    UNITS,
    Range,
    Wrong,
    parse,
    parse_range,
    with_article,
)

FITTED: Literal["fitted"] = "fitted"
TURNING_PART = "turning part"
"""Stands in ``PartOf`` for every kind whose ``turns_freely`` is true."""


class Reader:
    """A field type that reads one value from scene text; used inside ``Annotated[type, reader]``."""

    def read(self, value: Any) -> Any:
        """Turn scene text into the value, or raise ``Wrong``."""
        raise NotImplementedError

    def schema(self) -> JsonSchemaValue:
        """Describe the text for editors."""
        raise NotImplementedError

    def mirror(self, value: Any) -> Any:
        """Give the value as it is when the part is turned left to right."""
        return value

    def sample(self) -> str:
        """Give a text that could stand here."""
        first = next(iter(self.schema().get("examples", ())), "")
        return f"[{', '.join(map(str, first))}]" if isinstance(first, list) else str(first)

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return self.schema()


def text_of(value: Any, sample: str) -> str:
    """Insist on a piece of text."""
    if not isinstance(value, str):
        raise Wrong("a short text belongs here", f"for example '{sample}'")
    return value


@dataclass(frozen=True)
class Amount(Reader):
    """A quantity of one of some sorts, or one of some magic words."""

    sorts: tuple[str, ...]
    words: tuple[str, ...] = ()
    low: float | None = None
    above: float | None = None
    is_range: bool = False

    def read(self, value: Any) -> Any:
        if not isinstance(value, str):
            raise Wrong(
                f"one {self.sorts[0]} belongs here", f"for example '{SAMPLES[self.sorts[0]]}'"
            )
        if value in self.words:
            return str(value)
        if self.is_range:
            return parse_range(value, *self.sorts, low=self.low, above=self.above)
        return parse(value, *self.sorts, low=self.low, above=self.above)

    def schema(self) -> JsonSchemaValue:
        pattern = f"^{quantity_pattern(self.sorts)}$"
        if self.is_range:
            pattern = f"^(({NUMBER}).* to )?{quantity_pattern(self.sorts)}$"
        ways: list[JsonSchemaValue] = [{"type": "number"}] if self.sorts[0] in BARE else []
        ways += [
            {"type": "string", "pattern": pattern},
            *({"const": word} for word in self.words),
        ]
        return {
            "anyOf": ways,
            "examples": [SAMPLES[self.sorts[0]]],
            "description": with_article(self.sorts[0]),
        }


def quantity_pattern(sorts: tuple[str, ...]) -> str:
    """Regular expression of a quantity, for the schema."""
    units = sorted((unit for sort in sorts for unit in UNITS[sort]), key=len, reverse=True)
    if not units:
        return f"({NUMBER})"
    return f"({NUMBER})( ?({'|'.join(map(re.escape, units))})){'?' if sorts[0] in BARE else ''}"


Length = Annotated[float, Amount(("length",), low=0)]
"""A length, not below zero. [mm]"""
Size = Annotated[float, Amount(("length",), above=0)]
"""A length above zero: diameters, radii, thicknesses. [mm]"""
Signed = Annotated[float, Amount(("length",))]
"""A length that may be negative. [mm]"""
FittedLength = Annotated[
    float | Literal["fitted"], Amount(("length",), words=(FITTED,), above=0)
]
"""A length above zero [mm], or ``fitted``: measured at the start, when everything stands in its place."""
Angle = Annotated[float, Amount(("angle",))]
"""An angle. [rad]"""
Turned = Annotated[float, Amount(("angle",), low=0)]
"""An angle not below zero. [rad]"""
TurningSpeed = Annotated[float, Amount(("turning speed",), above=0)]
"""[rad/s]"""
TurningSpeedRange = Annotated[Range, Amount(("turning speed",), above=0, is_range=True)]
"""[rad/s], low and high; equal where one speed is given."""
Force = Annotated[float, Amount(("force",), low=0)]
"""[g mm/s^2]; 1 N is 1e6."""
Torque = Annotated[float, Amount(("torque",), low=0)]
"""[g mm^2/s^2]; 1 N mm is 1e6."""
Rate = Annotated[float, Amount(("rate",), above=0)]
"""Force for each length [g/s^2]; 1 N/mm is 1e6."""
Mass = Annotated[float, Amount(("mass",), above=0)]
"""[g]"""
Inertia = Annotated[float, Amount(("inertia",), above=0)]
"""[g mm^2]"""
Share = Annotated[float, Amount(("share",), low=0)]
"""1 is the whole."""
Time = Annotated[float, Amount(("time",), low=0)]
"""[s]"""


@dataclass(frozen=True)
class Number(Reader):
    """A whole number of things."""

    low: int = 0
    high: int = 1000

    def read(self, value: Any) -> int:
        text = text_of(value, "3")
        number = parse(text, "count")
        if number != int(number):
            raise Wrong(f"'{text}' is not a whole number", f"'{round(number)}'")
        if not self.low <= number <= self.high:
            raise Wrong(
                f"'{text}' is too {'few' if number < self.low else 'many'}",
                f"{self.low} to {self.high}",
            )
        return int(number)

    def schema(self) -> JsonSchemaValue:
        return {
            "anyOf": [
                {"type": "integer", "minimum": self.low, "maximum": self.high},
                {"type": "string", "pattern": "^[0-9]+$"},
            ]
        }


Count = Annotated[int, Number()]
"""A whole number of things."""


@dataclass(frozen=True)
class _YesNo(Reader):
    WORDS: ClassVar[Mapping[str, bool]] = {
        "yes": True,
        "no": False,
        "true": True,
        "false": False,
    }

    def read(self, value: Any) -> bool:
        text = text_of(value, "yes")
        if text not in self.WORDS:
            raise Wrong(f"'{text}' is neither yes nor no", "'yes' or 'no'")
        return self.WORDS[text]

    def schema(self) -> JsonSchemaValue:
        return {"enum": ["yes", "no", True, False]}


Yes = Annotated[bool, _YesNo()]
"""``yes`` or ``no``."""


@dataclass(frozen=True)
class Choice(Reader):
    """One of a few words."""

    OTHER_HAND: ClassVar[Mapping[str, str]] = {
        "left": "right",
        "right": "left",
        "clockwise": "anticlockwise",
        "anticlockwise": "clockwise",
    }

    words: tuple[str, ...]

    def mirror(self, value: str) -> str:
        return self.OTHER_HAND.get(value, value)

    def read(self, value: Any) -> str:
        text = text_of(value, self.words[0])
        if text not in self.words:
            mend = nearest(text, self.words)
            raise Wrong(
                f"can't be '{text}'",
                f"'{mend}'" if mend else f"one of: {', '.join(self.words)}",
            )
        return str(text)

    def schema(self) -> JsonSchemaValue:
        return {"enum": list(self.words)}


Sense = Annotated[Literal["clockwise", "anticlockwise"], Choice(("clockwise", "anticlockwise"))]
"""Which way something turns, as the view is drawn."""
View = Annotated[Literal["front", "side", "top"], Choice(("front", "side", "top"))]
"""The view in which a part's turning is seen end-on."""


class _Sentence(Reader):
    """Free text."""

    def read(self, value: Any) -> str:
        return str(text_of(value, "a few words"))

    def schema(self) -> JsonSchemaValue:
        return {"type": ["string", "number"]}


Sentence = Annotated[str, _Sentence()]
"""Free text: a note, a caption."""
