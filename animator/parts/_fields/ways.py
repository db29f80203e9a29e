"""Directions, arms, places beside and along: what lies where on a part.

Does without postponed annotations: pydantic needs the types themselves.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic.json_schema import JsonSchemaValue

from animator.geometry import Point
from animator.parts._fields.quantities import Amount, Reader, quantity_pattern, text_of
from animator.registry import nearest
from animator.units import (
    NUMBER,
    UNITS,
    Wrong,
    meant,
    parse,
    parse_range,
)

WAYS: Mapping[str, float] = {
    "right": 0.0,
    "up": math.pi / 2,
    "left": math.pi,
    "down": 3 * math.pi / 2,
}


def _way(text: str) -> float:
    if text in WAYS:
        return WAYS[text]
    try:
        return parse(text, "angle")
    except Wrong as wrong:
        if re.match(NUMBER, text):
            raise
        mend = {"above": "up", "below": "down", "upwards": "up", "downwards": "down"}.get(
            text
        ) or nearest(text, WAYS)
        raise Wrong(
            f"'{text}' is not a direction",
            f"'{mend}'" if mend else "'right', 'up', 'left', 'down' or degrees",
        ) from wrong


def other_hand(angle: float) -> float:
    """Give a direction as it looks in an upright mirror. [rad]"""
    return (math.pi - angle) % math.tau


class _Direction(Reader):
    def read(self, value: Any) -> float:
        return _way(text_of(value, "up"))

    def mirror(self, value: float) -> float:
        return other_hand(value)

    def schema(self) -> JsonSchemaValue:
        return {
            "anyOf": [
                {"enum": list(WAYS)},
                {"type": "number"},
                {"type": "string", "pattern": f"^{quantity_pattern(('angle',))}$"},
            ],
            "examples": ["up"],
        }


Direction = Annotated[float, _Direction()]
"""``right``, ``up``, ``left``, ``down`` or degrees, anticlockwise from the right. [rad]"""


class _Arm(Reader):
    def mirror(self, value: tuple[float, float]) -> tuple[float, float]:
        return value[0], other_hand(value[1])

    def read(self, value: Any) -> tuple[float, float]:
        text = text_of(value, "40 left")
        found = re.fullmatch(
            rf"({NUMBER})( ?(?:{'|'.join(UNITS['length'])}))?(?: at)? (\S.*)", text
        )
        if not found:
            if re.fullmatch(NUMBER, text.strip()):
                raise Wrong(
                    f"'{text}' doesn't say which way the arm points",
                    f"'{text.strip()} right' or '{text.strip()} at 30'",
                )
            raise Wrong(f"'{text}' is not an arm", "for example '40 left' or '40 at 210'")
        unit, _, way = found[3].partition(" ")
        if not found[2] and way and (mend := meant(f"{found[1]} {unit}", "length")):
            raise Wrong(
                f"no unit is called '{unit}'", f"'{mend} {way}'", found.start(3), len(unit)
            )
        length = parse(found[1] + (found[2] or ""), "length", low=0)
        try:
            return length, _way(found[3])
        except Wrong as wrong:
            raise wrong.shifted(found.start(3), found[3]) from None

    def schema(self) -> JsonSchemaValue:
        way = "|".join(WAYS)
        return {
            "type": "string",
            "pattern": f"^({NUMBER})( ?mm)? ({way}|at .+)$",
            "examples": ["40 left", "40 at 210"],
        }


Arm = Annotated[tuple[float, float], _Arm()]
"""``40 left`` or ``40 at 210``: length [mm] and angle [rad]."""


class RightAndUp(Reader):
    def mirror(self, value: Point) -> Point:
        return -value[0], value[1]

    def read(self, value: Any) -> Point:
        if not isinstance(value, list) or len(value) != 2:
            raise Wrong("two numbers belong here: right, up", "for example '[12, 30]'")
        return coordinate(value[0]), coordinate(value[1])

    def schema(self) -> JsonSchemaValue:
        return {
            "type": "array",
            "items": {"type": ["number", "string"]},
            "minItems": 2,
            "maxItems": 2,
            "examples": [[12, 30]],
        }


def coordinate(value: Any) -> float:
    if not isinstance(value, str):
        raise Wrong("a place is two numbers: right, up", "for example '[12, 30]'")
    return parse(value, "length")


class _Sides(RightAndUp):
    def mirror(self, value: Point) -> Point:
        return value


@dataclass(frozen=True)
class Sidewise(Amount):
    """A quantity that changes its sign in a mirror."""

    def mirror(self, value: float) -> float:
        return -value


Place2 = Annotated[Point, RightAndUp()]
"""``[right, up]``. [mm]"""
Sides = Annotated[Point, _Sides()]
"""``[width, height]``. [mm]"""
SignedAngle = Annotated[float, Sidewise(("angle",))]
"""An angle, anticlockwise positive. [rad]"""
Beside = Annotated[float, Sidewise(("length",))]
"""A distance to the right, negative to the left. [mm]"""


@dataclass(frozen=True)
class Stretch(Reader):
    """From one value to another: ``10 to 80``."""

    sort: str

    def read(self, value: Any) -> tuple[float, float]:
        text = text_of(value, "10 to 80")
        if " to " not in text:
            raise Wrong(f"'{text}' is not a stretch", "for example '10 to 80'")
        return tuple(parse_range(text, self.sort))  # type: ignore[return-value]

    def schema(self) -> JsonSchemaValue:
        return {
            "type": "string",
            "pattern": f"^({NUMBER}).* to ({NUMBER})",
            "examples": ["10 to 80"],
        }


Span = Annotated[tuple[float, float], Stretch("length")]
"""A stretch of a way, ``10 to 80``. [mm]"""
