"""Other parts and their points, and where a part stands.

Does without postponed annotations: pydantic needs the types themselves.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any, ClassVar

from pydantic.json_schema import JsonSchemaValue

from animator.geometry import Point
from animator.parts._fields.quantities import Reader, text_of
from animator.parts._fields.ways import coordinate
from animator.places import Place, Text
from animator.registry import nearest
from animator.units import (
    NUMBER,
    UNITS,
    Wrong,
    meant,
    parse,
)


@dataclass(frozen=True)
class Ref:
    """Another part, or a point of it, as a scene names it.

    ``part`` and ``point`` are absolute: the loader fills them in ('' until then). ``text`` is what was written,
    ``place`` where; ``wants`` the kinds that may stand here (none: any); ``may_be_frame`` whether ``frame`` may.
    """

    part: str = ""
    point: str = ""
    text: str = ""
    place: Place | None = None
    wants: tuple[str, ...] = ()
    is_point: bool = False
    may_be_frame: bool = False


def reference(
    value: Any, reader: "PartOf | None" = None, text: str | None = None, start: int = 0
) -> Ref:
    """Make a reference of a piece of scene text, or of the stretch ``text`` of it that begins at ``start``."""
    reader = reader or PartOf(is_point=True)
    sample = "crank.pin" if reader.is_point else "camshaft"
    whole = text_of(value, sample)
    said = whole if text is None else text
    if not said.strip():
        raise Wrong("the name of a part belongs here", f"for example '{sample}'")
    at = whole.place if isinstance(whole, Text) else None
    if at is not None and text is not None and start + len(said) <= at.length:
        at = replace(at, column=at.column + start, length=max(1, len(said)))
    return Ref("", "", str(said), at, reader.kinds, reader.is_point, reader.may_be_frame)


@dataclass(frozen=True, init=False)
class PartOf(Reader):
    """The name of a part of some kinds (none named: any), or of a point where ``is_point``."""

    kinds: tuple[str, ...]
    is_point: bool
    may_be_frame: bool

    def __init__(self, *kinds: str, is_point: bool = False, may_be_frame: bool = False) -> None:
        object.__setattr__(self, "kinds", kinds)
        object.__setattr__(self, "is_point", is_point)
        object.__setattr__(self, "may_be_frame", may_be_frame)

    def read(self, value: Any) -> Ref:
        return reference(value, self)

    def sample(self) -> str:
        return "crank.pin" if self.is_point else "camshaft"

    def schema(self) -> JsonSchemaValue:
        what = "part.point" if self.is_point else "a part: " + (", ".join(self.kinds) or "any")
        return {"type": "string", "pattern": r"^[^\[\]{},:#]+$", "description": what}


PointRef = Annotated[Ref, PartOf(is_point=True)]
"""A part's point; a bare part stands for its main point."""

SIDES: Mapping[str, tuple[int, int]] = {
    "right": (1, 0),
    "left": (-1, 0),
    "above": (0, 1),
    "below": (0, -1),
    "behind": (0, 1),
    "before": (0, -1),
}


@dataclass(frozen=True)
class Where:
    """Where something stands: ``offset`` [mm], right and up in the view, from the point ``ref``, or from the frame's corner if None.

    ``fitted_side`` names the side of ``ref`` on which it stands at a distance that other things decide ('' otherwise).
    """

    offset: Point = (0.0, 0.0)
    ref: Ref | None = None
    fitted_side: str = ""
    text: str = ""
    place: Place | None = None


class Standing(Reader):
    SIDE = "|".join(SIDES)
    STEP = rf"(?:{NUMBER})(?: ?(?:{'|'.join(UNITS['length'])}))?"
    PHRASE = re.compile(rf"(?:({STEP}) )?({SIDE})(?: and ({STEP}) ({SIDE}))?(?: of)? (\S.*)")
    MENDS: ClassVar[Mapping[str, str]] = {
        "over": "above",
        "on": "above",
        "up": "above",
        "under": "below",
        "down": "below",
        "beside": "right of",
        "rightwards": "right of",
        "leftwards": "left of",
    }

    def read(self, value: Any) -> Where:
        if isinstance(value, list):
            if len(value) != 2:
                raise Wrong("a place is two numbers: right, up", "for example '[120, 90]'")
            return Where(
                (coordinate(value[0]), coordinate(value[1])),
                None,
                "",
                "",
                getattr(value, "place", None),
            )
        text = text_of(value, "40 above camshaft")
        at = text.place if isinstance(text, Text) else None
        found = self.PHRASE.fullmatch(text)
        if not found:
            return self._other(text, at)
        first, side, second, other, name = found.groups()
        ref = reference(text, None, name, found.start(5))
        if first is None:
            if second is not None:
                raise Wrong(
                    "the first side has no distance",
                    f"for example '12 {side} and {second} {other} {name}'",
                    0,
                    len(side),
                )
            return Where((0.0, 0.0), ref, side, str(text), at)
        right, up = 0.0, 0.0
        for amount, way in ((first, side), (second, other)):
            if amount is not None:
                size, (dx, dy) = parse(amount, "length"), SIDES[way]
                right, up = right + dx * size, up + dy * size
        return Where((right, up), ref, "", str(text), at)

    def _other(self, text: str, at: Place | None) -> Where:
        strange = re.match(rf"({NUMBER}) ?([^\W\d_]+|[\"″']+)(?= )", text)
        if strange and (mend := meant(strange[0], "length")) and strange[2] not in SIDES:
            raise Wrong(
                f"no unit is called '{strange[2]}'",
                f"'{mend}{text[strange.end() :]}'",
                strange.start(2),
                len(strange[2]),
            )
        odd = re.match(rf"({self.STEP}) (?!(?:{self.SIDE})\b)([^\W\d_]+)", text)
        if odd:
            mend = self.MENDS.get(odd[2]) or nearest(odd[2], SIDES) or "above"
            raise Wrong(
                f"'{odd[2]}' is not a side",
                f"'{text[: odd.start(2)]}{mend}{text[odd.end(2) :]}'",
                odd.start(2),
                len(odd[2]),
            )
        if re.match(NUMBER, text):
            raise Wrong(
                f"'{text}' is not a place", "for example '[120, 90]' or '40 above camshaft'"
            )
        return Where((0.0, 0.0), reference(text), "", str(text), at)

    def schema(self) -> JsonSchemaValue:
        place = {
            "type": "array",
            "items": {"type": ["number", "string"]},
            "minItems": 2,
            "maxItems": 2,
        }
        words = {
            "type": "string",
            "description": "'40 above camshaft', '30 left and 12 above camshaft' or a part.point",
        }
        return {"anyOf": [place, words], "examples": ["40 above camshaft"]}


At = Annotated[Where, Standing()]
"""``[right, up]``, a point, or ``DISTANCE SIDE [and DISTANCE SIDE] PART``."""
