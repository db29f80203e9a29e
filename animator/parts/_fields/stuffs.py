"""Strength, material, friction, paint.

Does without postponed annotations: pydantic needs the types themselves.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic.json_schema import JsonSchemaValue

from animator import materials
from animator.parts._fields.points import Standing
from animator.parts._fields.quantities import Reader, quantity_pattern, text_of
from animator.registry import nearest
from animator.units import (
    NUMBER,
    UNITS,
    Wrong,
    meant,
    measure,
    parse,
    parse_range,
)


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
            if re.fullmatch(rf"{Standing.STEP}", size.strip()):
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
