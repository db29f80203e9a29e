"""The words a part's fields are made of: each reads its own kind of text and keeps values in internal units.

Values come as text that knows its place (``places.py``) and leave as numbers (mm, s, g, rad; force g mm/s^2), as small
frozen records, or as one of the magic words a field allows (``fitted``, ``rest``). Whatever can't be read is raised as
``units.Wrong``, with advice that can be pasted; ``scene/checking.py`` turns that into a problem with its place.

This module does without postponed annotations: pydantic needs the types themselves.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal, Self, TypeVar, get_args, get_origin

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from animator import materials
from animator.artwork import files
from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Cut
from animator.artwork.sheet import Piece as Cutting
from animator.geometry import Point
from animator.places import Place, Text
from animator.problems import Problem, SceneError
from animator.registry import nearest
from animator.units import (
    BARE,
    NUMBER,
    SAMPLES,
    UNITS,
    Range,
    Wrong,
    meant,
    measure,
    parse,
    parse_range,
    with_article,
)

FITTED: Literal["fitted"] = "fitted"
TURNING_PART = "turning part"
"""Stands in ``PartOf`` for every kind whose ``turns_freely`` is true."""


# ---------------------------------------------------------------- what every field type is made of
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


# ---------------------------------------------------------------- directions, arms, spans
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


class _Place2(Reader):
    def mirror(self, value: Point) -> Point:
        return -value[0], value[1]

    def read(self, value: Any) -> Point:
        if not isinstance(value, list) or len(value) != 2:
            raise Wrong("two numbers belong here: right, up", "for example '[12, 30]'")
        return _coordinate(value[0]), _coordinate(value[1])

    def schema(self) -> JsonSchemaValue:
        return {
            "type": "array",
            "items": {"type": ["number", "string"]},
            "minItems": 2,
            "maxItems": 2,
            "examples": [[12, 30]],
        }


def _coordinate(value: Any) -> float:
    if not isinstance(value, str):
        raise Wrong("a place is two numbers: right, up", "for example '[12, 30]'")
    return parse(value, "length")


class _Sides(_Place2):
    def mirror(self, value: Point) -> Point:
        return value


@dataclass(frozen=True)
class Sidewise(Amount):
    """A quantity that changes its sign in a mirror."""

    def mirror(self, value: float) -> float:
        return -value


Place2 = Annotated[Point, _Place2()]
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


# ---------------------------------------------------------------- strength, materials, friction, paint
@dataclass(frozen=True)
class Strength:
    """The most a drive can give: a force at the knob [g mm/s^2], or a torque at the shaft [g mm^2/s^2]."""

    amount: float
    is_torque: bool = False
    text: str = ""

    def torque(self, radius: float) -> float:
        """Give the torque at the shaft for a knob at ``radius`` [mm]. [g mm^2/s^2]"""
        return self.amount if self.is_torque else self.amount * radius


class _Strength(Reader):
    def read(self, value: Any) -> Strength:
        text = text_of(value, "10 N")
        amount, sort = measure(text, ("force", "torque"))
        if amount <= 0:
            raise Wrong(f"'{text}' is too small", "more than 0 N")
        return Strength(amount, sort == "torque", str(text))

    def schema(self) -> JsonSchemaValue:
        return {
            "type": "string",
            "pattern": f"^{quantity_pattern(('force', 'torque'))}$",
            "examples": ["10 N", "0.5 N m"],
        }


HandStrength = Annotated[Strength, _Strength()]
"""A force at the knob or a torque."""


@dataclass(frozen=True)
class Stuff:
    """What something is made of: the stuff's name, and thickness of the sheet or diameter of the rod (0: not said). [mm]"""

    name: str
    size: float = 0.0

    @property
    def stuff(self) -> materials.Stuff:
        """The table's row."""
        return materials.stuff(self.name)


ALIKE = 0.75
"""How much of a material's or paint's name must agree before it is taken for misspelt; below that all names are offered."""
OTHER_STUFFS: Mapping[str, str] = {
    **dict.fromkeys(("plywood", "birch plywood"), "birch ply"),
    **dict.fromkeys(("wood", "hardwood", "timber", "maple", "ash", "cherry"), "beech"),
    **dict.fromkeys(("softwood", "spruce", "fir", "deal", "larch"), "pine"),
    **dict.fromkeys(("basswood", "linden", "limewood"), "lime"),
    **dict.fromkeys(("cardboard", "cardstock"), "card"),
    **dict.fromkeys(("foam board", "foam"), "foamboard"),
    **dict.fromkeys(("perspex", "plexiglass", "plexiglas", "plastic"), "acrylic"),
    **dict.fromkeys(("polyamide", "delrin", "acetal"), "nylon"),
    **dict.fromkeys(("iron", "metal", "silver steel", "stainless steel", "wire"), "steel"),
    **dict.fromkeys(("piano wire", "music wire"), "spring steel"),
    "bronze": "brass",
    **dict.fromkeys(("aluminum", "alu"), "aluminium"),
    **dict.fromkeys(("elastic", "elastic band", "o-ring"), "rubber band"),
    **dict.fromkeys(("thread", "cotton"), "linen thread"),
    **dict.fromkeys(("cord", "rope"), "string"),
}
"""What a bench has besides the table, and the row that comes nearest by weight and friction."""
FORMS = re.compile(
    r"\b(round|square|flat|solid|thick|rod|rods|bar|wire|sheet|plate|strip|tube|dowel|board|diameter|dia)\b"
)
"""Words for the shape of a stuff; the size after its name says the same."""


def _stuff_meant(name: str) -> str | None:
    """Find the stuff that another word stands for, or a misspelt one."""
    known = materials.stuffs()
    plain = " ".join(name.lower().split())
    bare = " ".join(FORMS.sub(" ", plain).split())
    exact = next(
        (
            OTHER_STUFFS.get(each, each)
            for each in (plain, bare)
            if each in known or each in OTHER_STUFFS
        ),
        None,
    )
    return exact or nearest(bare, known, ALIKE)


def _known_stuff(name: str, start: int) -> str:
    known = materials.stuffs()
    if name in known:
        return str(name)
    mend = _stuff_meant(name)
    raise Wrong(
        f"no material is called '{name}'",
        f"'{mend}'" if mend else f"one of: {', '.join(known)}",
        start,
        len(name),
    )


class _Material(Reader):
    def read(self, value: Any) -> Stuff:
        text = text_of(value, "birch ply 6")
        found = re.fullmatch(
            rf"\s*(\D.*?)(?: ({NUMBER}(?: ?(?:{'|'.join(UNITS['length'])}))?))?\s*", text
        )
        if not found or (found[1] not in materials.stuffs() and not found[2]):
            self._refuse(text)
        assert found is not None
        if found[1] not in materials.stuffs() and (mend := _stuff_meant(found[1])):
            raise Wrong(f"no material is called '{found[1]}'", f"'{mend} {found[2]}'")
        name = _known_stuff(found[1], found.start(1))
        size = parse(found[2], "length", above=0) if found[2] else 0.0
        if size > 500:
            raise Wrong(
                f"'{found[2]}' is no thickness for a table-top piece",
                "at most 500 mm",
                found.start(2),
                len(found[2]),
            )
        return Stuff(name, size)

    def _refuse(self, text: str) -> None:
        """Say what to write for '6 mm plywood', 'birch ply 6 mm thick' or a stuff nobody knows."""
        first = re.fullmatch(rf"\s*({NUMBER})\s*(mm|cm|in)?\s+(\D+?)\s*", text)
        last = re.fullmatch(rf"\s*(\D+?)\s+({NUMBER})\s*(\D+?)\s*", text)
        if first and (mend := _stuff_meant(first[3])):
            unit = "" if first[2] in (None, "mm") else f" {first[2]}"
            raise Wrong(f"'{text}' doesn't begin with a material", f"'{mend} {first[1]}{unit}'")
        if last and (mend := _stuff_meant(last[1])):
            rest = " ".join(FORMS.sub(" ", last[3]).split())
            size = meant(f"{last[2]} {rest}", "length") or f"{last[2]} {rest}".removesuffix(
                " mm"
            )
            if re.fullmatch(rf"{_At.STEP}", size.strip()):
                raise Wrong(f"'{text}' is no material and its size", f"'{mend} {size.strip()}'")
        if re.match(r"\s*\d", text):
            raise Wrong(f"'{text}' doesn't begin with a material", "for example 'birch ply 6'")
        _known_stuff(text.strip(), len(text) - len(text.lstrip()))

    def schema(self) -> JsonSchemaValue:
        stuffs = sorted(materials.stuffs(), key=len, reverse=True)
        return {
            "type": "string",
            "pattern": f"^({'|'.join(stuffs)})( .+)?$",
            "examples": ["birch ply 6", "brass 3", "steel"],
        }


Material = Annotated[Stuff, _Material()]
"""Stuff, then thickness of sheet or diameter of rod."""


@dataclass(frozen=True)
class Rub:
    """Friction coefficient from ``low`` to ``high``, and the maker's words for it."""

    low: float
    high: float
    text: str = ""

    def at(self, level: float) -> float:
        """Give the coefficient at a level: 0 low, 0.5 middle, 1 high."""
        return self.low + level * (self.high - self.low)


class _Friction(Reader):
    def read(self, value: Any) -> Rub:
        text = text_of(value, "0.2 to 0.35")
        state, _, body = text.partition(" ")
        if state not in materials.STATES:
            state, body = "dry", text
        first, on, second = body.partition(" on ")
        if not on:
            if not re.match(NUMBER, text.strip()):
                raise Wrong(
                    f"'{text}' is not a friction",
                    "for example '0.2 to 0.35' or 'waxed beech on brass'",
                )
            low, high = parse_range(text, "ratio", low=0)
            if high > 3:
                raise Wrong(f"'{text}' is too much for friction", "at most 3")
            return Rub(low, high, str(text))
        start = len(text) - len(body)
        pair = materials.pair(
            _known_stuff(first, start),
            _known_stuff(second, start + len(first) + len(on)),
            state,
        )
        return Rub(pair.range.low, pair.range.high, str(text))

    def schema(self) -> JsonSchemaValue:
        return {
            "anyOf": [{"type": "number"}, {"type": "string"}],
            "examples": ["0.3", "0.2 to 0.4", "waxed beech on brass"],
        }


Friction = Annotated[Rub, _Friction()]
"""A number, a range, or a pair of the table."""


OTHER_PAINTS: Mapping[str, str] = {
    **dict.fromkeys(("ginger", "amber", "copper", "rust", "tangerine", "carrot"), "orange"),
    **dict.fromkeys(("gold", "golden", "mustard", "straw"), "ochre"),
    **dict.fromkeys(("lemon", "canary"), "yellow"),
    **dict.fromkeys(("scarlet", "crimson", "vermilion", "ruby"), "red"),
    **dict.fromkeys(("coral", "salmon", "terracotta", "brick"), "rose"),
    **dict.fromkeys(("burgundy", "maroon", "purple", "violet", "plum"), "wine"),
    **dict.fromkeys(("magenta", "blush"), "pink"),
    **dict.fromkeys(("cyan", "teal", "turquoise", "petrol"), "pond"),
    **dict.fromkeys(("light blue", "pale blue", "azure"), "sky"),
    **dict.fromkeys(("dark blue", "indigo"), "navy"),
    **dict.fromkeys(("olive", "khaki", "lime"), "reed"),
    **dict.fromkeys(("dark green", "forest"), "moss"),
    **dict.fromkeys(("chestnut", "tan", "chocolate", "wood", "bronze"), "brown"),
    **dict.fromkeys(("ivory", "beige", "sand"), "cream"),
    **dict.fromkeys(("silver", "gray", "stone"), "grey"),
    **dict.fromkeys(("charcoal", "ebony"), "black"),
    **dict.fromkeys(("flesh", "peach"), "skin"),
}
"""Colours the house has no paint of, and the paint that comes nearest."""


class _Paint(Reader):
    def read(self, value: Any) -> str:
        text = text_of(value, "rose")
        if re.fullmatch(r"#[0-9a-fA-F]{6}", text):
            return str(text)
        if text.startswith("#"):
            raise Wrong(
                f"'{text}' is not a colour", 'six figures of 0-9 and a-f, for example "#c0392b"'
            )
        paints = materials.paints()
        if text not in paints:
            mend = OTHER_PAINTS.get(text.lower()) or nearest(text.lower(), paints, ALIKE)
            raise Wrong(
                f"no paint is called '{text}'",
                f"'{mend}'" if mend else f'one of: {", ".join(paints)}; or "#c0392b" in quotes',
            )
        return str(text)

    def schema(self) -> JsonSchemaValue:
        return {
            "anyOf": [
                {"enum": list(materials.paints())},
                {"type": "string", "pattern": "^#[0-9a-fA-F]{6}$"},
            ]
        }


Paint = Annotated[str, _Paint()]
"""A paint's name, or ``#rrggbb``."""


# ---------------------------------------------------------------- other parts and their points
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


class _At(Reader):
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
                (_coordinate(value[0]), _coordinate(value[1])),
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


At = Annotated[Where, _At()]
"""``[right, up]``, a point, or ``DISTANCE SIDE [and DISTANCE SIDE] PART``."""


# ---------------------------------------------------------------- records
def spelt(field: str) -> str:
    """Write a field's name as a scene does: ``base_radius`` -> ``base radius``."""
    return field.rstrip("_").replace("_", " ")


class Words(BaseModel):
    """A frozen record whose keys are words with spaces."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, alias_generator=spelt, arbitrary_types_allowed=True
    )

    short: ClassVar[str] = ""
    """The field that a plain text stands for."""
    one_of: ClassVar[tuple[str, ...]] = ()
    """Exactly one of these fields must be said."""
    sample_text: ClassVar[str] = "{...}"
    """What could stand here, for advice."""
    says: ClassVar[Mapping[str, str]] = {}
    """Field -> what it means, in a few words; for the help and for editors."""
    examples: ClassVar[Mapping[str, str]] = {}
    """Field -> what could stand after it, where its type alone doesn't tell."""
    later: ClassVar[Mapping[str, str]] = {}
    """Keys of the language that the program doesn't know yet, and what they would be."""

    @model_validator(mode="before")
    @classmethod
    def _read_short_form(cls, value: Any) -> Any:
        return {spelt(cls.short): value} if cls.short and isinstance(value, str) else value

    @model_validator(mode="after")
    def _insist_on_one(self) -> Self:
        said = [field for field in self.one_of if getattr(self, field) is not None]
        if self.one_of and len(said) != 1:
            names = ", ".join(f"'{spelt(field)}'" for field in self.one_of)
            count = {0: "none", 2: "two", 3: "three"}.get(len(said), str(len(said)))
            raise Wrong(
                f"says {count} of {names}",
                "exactly one of them",
                key=spelt(said[-1]) if said else "",
            )
        return self

    def mirrored(self) -> Self:
        """Give the record as it is when the part is turned left to right; places ``at`` are the caller's."""
        changes = {}
        for field, info in type(self).model_fields.items():
            old = getattr(self, field)
            new = _mirror(old, info.annotation, info.metadata)
            if new is not old:
                changes[field] = new
        return self.model_copy(update=changes)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        schema = handler(core)
        if cls.short not in cls.model_fields:
            return schema
        plain = handler.resolve_ref_schema(schema)["properties"][spelt(cls.short)]
        return {"if": {"type": "string"}, "then": plain, "else": schema}


def _mirror(value: Any, hint: Any, marks: Iterable[Any] = ()) -> Any:
    """Mirror a value by the reader that its type hint holds."""
    if value is None:
        return value
    reader = next(
        (
            mark
            for mark in (*marks, *getattr(hint, "__metadata__", ()))
            if isinstance(mark, Reader)
        ),
        None,
    )
    if reader is not None:
        return reader.mirror(value)
    inner = get_args(hint)
    if isinstance(value, Words):
        return value.mirrored()
    if isinstance(value, dict) and len(inner) == 2:
        return {key: _mirror(each, inner[1]) for key, each in value.items()}
    if isinstance(value, tuple) and get_origin(hint) is tuple:
        return tuple(_mirror(each, inner[0]) for each in value)
    for option in inner:  # X | None
        new = _mirror(value, option)
        if new is not value:
            return new
    return value


def meaning_of(model: type[BaseModel], field: str) -> str:
    """Give what a field means in a few words, as the model or one it is made from says; '' where nobody does."""
    return next(
        (
            cls.__dict__["says"][field]
            for cls in model.__mro__
            if field in cls.__dict__.get("says", {})
        ),
        "",
    )


def keys_of(model: type[BaseModel]) -> dict[str, str]:
    """Give the keys a scene may say for a model: key -> field. Fields of the program's own are left out."""
    return {
        info.alias or field: field
        for field, info in model.model_fields.items()
        if not any(isinstance(mark, _Hidden) for mark in info.metadata)
    }


class _Hidden(Reader):
    """A field the program fills in; a scene that says it is told that there is no such word."""

    def read(self, value: Any) -> Any:
        raise Wrong("no such word", code="unknown")

    def schema(self) -> JsonSchemaValue:
        return {"not": {}}


Hidden = _Hidden()


Record = TypeVar("Record", bound=Words)


def _alone(record: Record, flag: str, others: set[str], told: str) -> Record:
    """Refuse a record that says a flag and, beside it, what the flag already decides."""
    said = sorted(others & record.model_fields_set)
    if getattr(record, flag) and said:
        raise Wrong(
            f"{told} '{said[0]}'", f"'{flag}: yes' or '{said[0]}', not both", key=said[0]
        )
    return record


class Guide(Words):
    """A hole in which a stem or rod slides.

    ``at`` its middle, ``length`` of the hole, ``clearance`` hole less stem; ``ideal: yes`` has neither play nor friction.
    """

    sample_text: ClassVar[str] = "{at: 60 above camshaft, length: 30}"
    says: ClassVar[Mapping[str, str]] = {
        "at": "its middle",
        "length": "how long the hole is, along the stem",
        "clearance": "hole less stem",
        "friction": "of the stem in the hole; left out, that of the two materials",
        "ideal": "yes: neither play nor friction",
    }

    at: At
    length: Size = 20.0
    clearance: Length = 0.2
    friction: Friction | None = None
    ideal: Yes = False

    @model_validator(mode="after")
    def _ideal_has_no_play(self) -> Self:
        return _alone(self, "ideal", {"clearance", "friction"}, "an ideal guide has no")


class Bearing(Words):
    """The hole a shaft turns in: ``play`` (hole less shaft; below 0 it is too tight), ``friction`` (left out: that of the materials), or a ``ball`` bearing.

    ``out of line``: the angle by which its two holes point past each other; ``oiled tube``: a tube in a tube with oil between; ``pointed``: it turns on pointed screws.
    """

    sample_text: ClassVar[str] = "{play: 0.1, friction: 0.2 to 0.35}"
    says: ClassVar[Mapping[str, str]] = {
        "play": "hole less shaft; below 0, the hole is too tight",
        "friction": "of the shaft in its hole; left out, that of the two materials",
        "ball": "yes: a ball bearing",
        "length": "how long it lies in each hole; left out, as thick as the frame's sheet",
        "out_of_line": "by what angle its two holes point past each other",
        "oiled_tube": "yes: a tube in a tube with oil in its play",
        "pointed": "yes: it turns on pointed screws",
    }

    play: Annotated[float, Amount(("length",), low=-0.2)] = 0.0
    friction: Friction | None = None
    ball: Yes = False
    length: Size | None = None
    out_of_line: Annotated[float, Amount(("angle",), low=0)] = 0.0
    oiled_tube: Yes = False
    pointed: Yes = False

    @model_validator(mode="after")
    def _ball_bearing_is_known(self) -> Self:
        own = {"play", "friction", "length", "out_of_line", "oiled_tube", "pointed"}
        return _alone(self, "ball", own, "a ball bearing has its own")

    @model_validator(mode="after")
    def _oil_has_room(self) -> Self:
        if self.oiled_tube and self.play <= 0:
            raise Wrong("oil needs room between the tubes", "'play: 0.1'", key="oiled tube")
        if self.pointed and (self.play or self.oiled_tube or self.out_of_line):
            key = "play" if self.play else "oiled tube" if self.oiled_tube else "out of line"
            raise Wrong(
                "pointed screws are set without play, and find their line",
                f"'pointed: yes' without '{key}'",
                key=key,
            )
        if self.out_of_line > math.radians(10):
            raise Wrong(
                "a shaft doesn't go through two holes so far out of line",
                "at most 10",
                key="out of line",
            )
        return self


class Spring(Words):
    """Pushes a follower onto its cam: ``preload`` is the push at the start, ``rate`` how much it grows."""

    sample_text: ClassVar[str] = "{rate: 0.05 N/mm, preload: 0.5 N}"
    says: ClassVar[Mapping[str, str]] = {
        "rate": "how much its push grows for each millimetre",
        "preload": "its push at the start",
    }

    rate: Rate | None = None
    preload: Force = 0.0
    later: ClassVar = {
        "torque": "a turning spring; a follower's spring pushes along its stem ('preload: 1 N')"
    }

    @model_validator(mode="after")
    def _pushes_at_all(self) -> Self:
        if self.rate is None and not self.preload:
            raise Wrong("neither pushes nor grows", "'{rate: 0.05 N/mm, preload: 0.5 N}'")
        return self


class Tip(Words):
    """What a follower touches its cam with: a knife edge, a roller, a flat, or a yoke of two flats."""

    sample_text: ClassVar[str] = "{roller diameter: 10}"
    says: ClassVar[Mapping[str, str]] = {
        "kind": "a knife edge; 'tip: knife' says the same",
        "roller_diameter": "a roller of this diameter",
        "flat_width": "a flat as wide as this",
        "yoke": "a frame round the cam whose two flats stand this far apart; it needs no spring",
    }

    short: ClassVar[str] = "kind"
    one_of: ClassVar[tuple[str, ...]] = ("kind", "roller_diameter", "flat_width", "yoke")

    kind: Annotated[Literal["knife"], Choice(("knife",))] | None = None
    roller_diameter: Size | None = None
    flat_width: Size | None = None
    yoke: Size | None = None

    @model_validator(mode="before")
    @classmethod
    def _read_shorthand(cls, value: Any) -> Any:
        """Say how a roller or a flat is written, with the maker's own number."""
        text = (
            value
            if isinstance(value, str)
            else value.get("kind")
            if isinstance(value, Mapping)
            else None
        )
        found = (
            re.search(r"\b(roller|flat|mushroom|knife)\b", text)
            if isinstance(text, str)
            else None
        )
        if not found or text == "knife":
            return value
        if found[1] == "knife":
            raise Wrong(f"can't be '{text}'", "'knife'")
        key, sample = (
            ("roller diameter", "10") if found[1] == "roller" else ("flat width", "20")
        )
        inner = (
            [str(each) for each in value.values()]
            if isinstance(value, Mapping)
            else [str(text)]
        )
        sizes = [
            size for each in inner for size in re.findall(rf"{NUMBER}(?: ?(?:mm|cm|in))?", each)
        ]
        raise Wrong(
            f"a {found[1]} says its {key.partition(' ')[2]}",
            f"'{{{key}: {sizes[0] if sizes else sample}}}'",
        )

    @property
    def roller_radius(self) -> float:
        """Radius of the roller, 0 for a knife or a flat. [mm]"""
        return self.roller_diameter / 2 if self.roller_diameter else 0.0


class Stops(Words):
    """How far a part may turn from its drawn attitude, each way. [rad]"""

    sample_text: ClassVar[str] = "{clockwise: 60, anticlockwise: 10}"
    says: ClassVar[Mapping[str, str]] = {
        "clockwise": "as far as this, clockwise",
        "anticlockwise": "as far as this, the other way",
    }

    clockwise: Turned | None = None
    anticlockwise: Turned | None = None

    def mirrored(self) -> Self:
        return self.model_copy(
            update={"clockwise": self.anticlockwise, "anticlockwise": self.clockwise}
        )

    def limits(self) -> tuple[float, float]:
        """Give the lowest and highest angle. [rad]"""
        low = -math.inf if self.clockwise is None else -self.clockwise
        return low, math.inf if self.anticlockwise is None else self.anticlockwise


class Shape(Words):
    """One piece of a drawn figure: a ``disc`` (its diameter), a ``block`` [width, height] or an ``outline`` of points; ``at`` moves its middle.

    Lengths in mm from where the figure hangs. A shape of a file has ``cut`` in place of these.
    """

    sample_text: ClassVar[str] = "{disc: 40, at: [0, 30], paint: rose}"
    says: ClassVar[Mapping[str, str]] = {
        "disc": "a round of this diameter",
        "block": "a rectangle [width, height]",
        "outline": "three or more points [right, up] round a face",
        "at": "where its middle lies",
        "paint": "its colour",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "block": "[20, 40]",
        "outline": "[[0, 0], [20, 0], [10, 30]]",
    }

    one_of: ClassVar[tuple[str, ...]] = ("disc", "block", "outline")

    disc: Size | None = None
    block: Sides | None = None
    outline: tuple[Place2, ...] | None = None
    at: Place2 = (0.0, 0.0)
    paint: Paint | None = None
    cut: Annotated[Cut | None, Hidden] = None

    @model_validator(mode="after")
    def _has_a_face(self) -> Self:
        if self.block is not None and min(self.block) <= 0:
            raise Wrong(
                "a block has a width and a height above zero",
                "for example '[20, 40]'",
                key="block",
            )
        if self.outline is not None:
            if not 3 <= len(self.outline) <= 2000:
                raise Wrong(
                    "an outline has 3 to 2000 points",
                    "for example '[[0, 0], [20, 0], [10, 30]]'",
                    key="outline",
                )
            if abs(area(self.outline)) < 1e-6:
                raise Wrong(
                    "this outline encloses nothing",
                    "points that go round a face, for example '[[0, 0], [20, 0], [10, 30]]'",
                    key="outline",
                )
        return self


def area(outline: tuple[Point, ...]) -> float:
    """Area inside a closed outline, positive if it runs anticlockwise. [mm^2]"""
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


class _FileName(Reader):
    """The name of a file next to the scene, kept with its place."""

    def read(self, value: Any) -> str:
        return text_of(value, "heron.svg")

    def schema(self) -> JsonSchemaValue:
        return {"type": "string", "examples": ["heron.svg"]}


class _HungBy(_Place2):
    """A place of a drawing, or the name of one of its points."""

    def mirror(self, value: Any) -> Any:
        return value if isinstance(value, str) else super().mirror(value)

    def read(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip() and not re.match(r"[-+.0-9]", value):
            return str(value)
        return super().read(value)

    def schema(self) -> JsonSchemaValue:
        return {"anyOf": [{"type": "string"}, super().schema()], "examples": [[12, 30]]}


class Artwork(Words):
    """How a part looks: a file, or shapes drawn in the scene. ``hung_by`` is the drawing's point that lies at the part's main point.

    Whatever was said, ``shapes`` holds what is drawn, the farthest first, and ``points`` the places a file names. ``place`` takes both from the
    drawing into the part's own frame. [mm]
    """

    sample_text: ClassVar[str] = (
        "{shapes: [{block: [16, 40], at: [0, 20]}, {disc: 24, at: [0, 50]}]}"
    )
    says: ClassVar[Mapping[str, str]] = {
        "file": "an SVG, PNG or JPEG file next to the scene or below it; 'artwork: heron.svg' says the same",
        "piece": "the group of an SVG file that is taken; left out, all of it",
        "height": "how high what is drawn is; left out, as large as the file says",
        "shapes": "what is drawn, the farthest first",
        "hung_by": "the drawing's point that lies at the part's main point: a name in the file, or [right, up] from the lower left corner of its sheet; left out, its point 'pivot'",
        "turned": "turns the drawing",
        "is_mirrored": "yes: left to right",
        "finish": "house: grown ink line, plies, brush hairs; as drawn: the file's own lines and colours",
    }
    examples: ClassVar[Mapping[str, str]] = {"hung_by": "pivot", "piece": "neck"}

    short: ClassVar[str] = "file"
    one_of: ClassVar[tuple[str, ...]] = ("file", "shapes")

    file: Annotated[str, _FileName()] | None = None
    piece: Sentence | None = None
    height: Size | None = None
    shapes: tuple[Shape, ...] = ()
    hung_by: Annotated[Point | str, _HungBy()] | None = None
    turned: SignedAngle = 0.0
    is_mirrored: Yes = Field(default=False, alias="mirrored")
    finish: Annotated[Literal["house", "as drawn"], Choice(("house", "as drawn"))] = "house"
    hung: Annotated[Point, Hidden] = (0.0, 0.0)
    cut: Annotated[Cutting | None, Hidden] = None

    @model_validator(mode="after")
    def _insist_on_one(self) -> Self:
        said = {"file", "shapes"} & self.model_fields_set
        if len(said) != 1:
            raise Wrong(
                f"says {'both' if said else 'neither'} 'file' {'and' if said else 'nor'} 'shapes'",
                "exactly one of them",
                key="file",
            )
        return self

    @model_validator(mode="after")
    def _shows_something(self, info: ValidationInfo) -> Self:
        if self.file is not None:
            return self._from_file((info.context or {}).get("folder", Path()))
        for key in ("piece", "height"):
            if getattr(self, key) is not None:
                raise Wrong(f"'{key}' belongs to artwork from a file", f"no '{key}'", key=key)
        if not 1 <= len(self.shapes) <= 200:
            raise Wrong(
                "1 to 200 shapes belong here", "for example '[{disc: 40}]'", key="shapes"
            )
        if isinstance(self.hung_by, str):
            raise Wrong(
                "shapes drawn in the scene name no points",
                "a place, for example '[0, 20]'",
                key="hung by",
            )
        hung = self.hung_by or (0.0, 0.0)
        if not self.is_mirrored:
            return self.model_copy(update={"hung": hung})
        turned = tuple(shape.mirrored() for shape in self.shapes)
        return self.model_copy(update={"hung": (-hung[0], hung[1]), "shapes": turned})

    def _from_file(self, folder: Path) -> Self:
        assert self.file is not None
        try:
            cut = files.take(
                self.file, folder, self.piece, self.height, is_mirrored=self.is_mirrored
            )
            hung = files.hung(cut, self.hung_by, self.is_mirrored)
        except Unusable as wrong:
            raise self._refused(wrong) from None
        return self.model_copy(update={"cut": cut, "hung": hung, "shapes": shapes_of(cut)})

    def _refused(self, wrong: Unusable) -> Wrong:
        line = f"{self.file}, line {wrong.line}: " if wrong.line else ""
        is_text = wrong.write.startswith("'")
        return Wrong(
            f"{line}{wrong.what}",
            wrong.write if is_text else "",
            key=wrong.key,
            more="" if is_text else wrong.write,
        )

    def refusal(self, wrong: Unusable) -> SceneError:
        """Tell what only shows when the file is weighed or drawn, where the scene names it."""
        place = self.file.place if isinstance(self.file, Text) else Place("", 1, 1)
        return SceneError(
            [Problem(place, f"'artwork': {self.file}: {wrong.what}", more=wrong.write)]
        )

    @property
    def points(self) -> dict[str, Point]:
        """Places that the file names, in the part's own frame. [mm]"""
        return {
            name: self.place(at) for name, at in (self.cut.points if self.cut else {}).items()
        }

    def place(self, point: Point) -> Point:
        """Take a place of the drawing into the part's own frame. [mm]"""
        x, y = point[0] - self.hung[0], point[1] - self.hung[1]
        c, s = math.cos(self.turned), math.sin(self.turned)
        return c * x - s * y, s * x + c * y

    def mirrored(self) -> Self:
        update: dict[str, Any] = {
            "turned": -self.turned,
            "is_mirrored": not self.is_mirrored,
            "hung": (-self.hung[0], self.hung[1]),
        }
        if self.cut is None:
            update["shapes"] = tuple(shape.mirrored() for shape in self.shapes)
        else:
            cut = files.turned_over(self.cut)
            update |= {"cut": cut, "shapes": shapes_of(cut)}
        return self.model_copy(update=update)


@cache
def shapes_of(cut: Cutting) -> tuple[Shape, ...]:
    """Give what is drawn of a file as shapes like those drawn in a scene, each with the paint that shows most."""
    return tuple(
        Shape.model_construct(
            cut=one, paint=one.paint or (one.line.paint if one.line is not None else None)
        )
        for one in cut.cuts
    )


def references(value: Any) -> Iterator[Ref]:
    """Give every reference inside a field's value."""
    if isinstance(value, Ref):
        yield value
    elif isinstance(value, Where):
        if value.ref is not None:
            yield value.ref
    elif isinstance(value, BaseModel):
        for field in type(value).model_fields:
            yield from references(getattr(value, field))
    elif isinstance(value, dict):
        for item in value.values():
            yield from references(item)
    elif isinstance(value, (list, tuple)) and not hasattr(value, "_fields"):
        for item in value:
            yield from references(item)
