"""Text of the bench -> numbers of the program, and back: ``40 rpm`` <-> 4.18879 rad/s.

A table of our own: it reads ``kg cm`` as a torque, refuses ``2 m m``, points at the wrong half of a phrase, and loads at once.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from animator.registry import nearest

GRAVITY = 9806.65
"""Standard pull of the earth. [mm/s^2]"""

# sort -> unit -> what one of it is inside (mm, s, g, rad). The first unit is the one results are shown in.
UNITS: Mapping[str, Mapping[str, float]] = {
    "length": {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4},
    "angle": {
        "deg": math.radians(1),
        "°": math.radians(1),
        "turns": math.tau,
        "turn": math.tau,
    },
    "turning speed": {"rpm": math.tau / 60, "turns/s": math.tau, "deg/s": math.radians(1)},
    "speed": {"mm/s": 1.0, "m/s": 1000.0},
    "mass": {"g": 1.0, "kg": 1000.0},
    "force": {"N": 1e6, "mN": 1e3, "gf": GRAVITY},
    "torque": {
        "N m": 1e9,
        "Nm": 1e9,
        "N mm": 1e6,
        "Nmm": 1e6,
        "mNm": 1e6,
        "mN m": 1e6,
        "N cm": 1e7,
        "Ncm": 1e7,
        "kg cm": 1e4 * GRAVITY,
        "g cm": 10 * GRAVITY,
    },
    "rate": {"N/mm": 1e6, "N/m": 1e3},
    "turning rate": {"N mm/deg": 1e6 / math.radians(1), "N m/rad": 1e9},
    "time": {"s": 1.0, "ms": 1e-3, "min": 60.0},
    "share": {"%": 0.01},
    "inertia": {"g mm2": 1.0, "kg cm2": 1e5},
    "count": {},
    "ratio": {},
}

BARE: Mapping[str, float] = {
    "length": 1.0,
    "angle": math.radians(1),
    "count": 1.0,
    "ratio": 1.0,
}
"""Sorts that may stand without a unit, and what the bare number then means."""

SAMPLES: Mapping[str, str] = {
    "length": "12 mm",
    "angle": "30",
    "turning speed": "40 rpm",
    "speed": "0.5 m/s",
    "mass": "35 g",
    "force": "1 N",
    "torque": "0.3 N m",
    "rate": "0.08 N/mm",
    "turning rate": "0.1 N mm/deg",
    "time": "2 s",
    "share": "5 %",
    "inertia": "90 g mm2",
    "count": "3",
    "ratio": "2",
}

# The most that makes sense in a table-top piece, with room; beyond it a slip of the pen is likelier, and a run would take for ever.
MOST: Mapping[str, tuple[float, str]] = {
    "length": (10_000.0, "10 m"),
    "angle": (1000 * math.tau, "1000 turns"),
    "turning speed": (100 * math.tau, "6000 rpm"),
    "speed": (1e5, "100 m/s"),
    "mass": (1e5, "100 kg"),
    "force": (1e10, "10000 N"),
    "torque": (1e12, "1000 N m"),
    "rate": (1e10, "10000 N/mm"),
    "turning rate": (1e12, "1000 N m/rad"),
    "time": (3600.0, "60 min"),
    "share": (10.0, "1000 %"),
    "inertia": (1e12, "10000000 kg cm2"),
    "count": (1000.0, "1000"),
    "ratio": (1000.0, "1000"),
}

NUMBER = (
    r"[+-]?(?:[0-9]+ )?[0-9]+/[0-9]+|[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
)
_QUANTITY = re.compile(rf"({NUMBER})\s*(\S.*)?")
_UNIT_HOME = {unit: sort for sort, units in UNITS.items() for unit in units}


class Wrong(ValueError):
    """Something a scene can't say here: what is wrong, what to write, and which stretch of the text is meant.

    ``key`` names the key to underline where the complaint is about a whole map. ``code`` is ``missing`` for what isn't
    there, ``later`` for what the program doesn't know yet, ``unknown`` for a key that doesn't exist.
    """

    def __init__(
        self,
        what: str,
        write: str = "",
        start: int = 0,
        length: int = 0,
        *,
        key: str = "",
        code: str = "",
        more: str = "",
    ) -> None:
        super().__init__(what)
        self.what, self.write, self.more = what, write, more
        self.start, self.length = start, length
        self.key, self.code = key, code

    def shifted(self, start: int, text: str) -> Wrong:
        """Tell the same of a longer text in which ``text`` begins at ``start``."""
        return Wrong(
            self.what,
            self.write,
            self.start + start,
            self.length or len(text),
            key=self.key,
            code=self.code,
            more=self.more,
        )


class Range(NamedTuple):
    """What the maker can't know exactly: from ``low`` to ``high`` (equal where it is known)."""

    low: float
    high: float

    def at(self, level: float) -> float:
        """Give the value at a level: 0 low, 0.5 middle, 1 high."""
        return self.low + level * (self.high - self.low)


def with_article(noun: str) -> str:
    """Put 'a' or 'an' before a noun."""
    return f"an {noun}" if noun[:1] in "aeio" else f"a {noun}"


def _number(text: str) -> float:
    whole, _, over = text.rpartition("/")
    if not whole:
        return float(text)
    if float(over) == 0:
        raise Wrong(f"'{text}' divides by nothing")
    if " " in whole:  # '1 1/2' in
        ones, above = whole.split(" ")
        return math.copysign(
            abs(float(ones)) + float(above) / float(over), -1 if ones.startswith("-") else 1
        )
    return float(whole) / float(over)


def measure(text: str, sorts: Sequence[str]) -> tuple[float, str]:
    """Read one quantity.

    Parameters
    ----------
    text
        As written: ``40 rpm``, ``1/2 in``, ``12``.
    sorts
        What may stand here, the usual one first; a bare number is of the first sort.

    Returns
    -------
    value, sort
        The value in internal units, and which of the sorts it is.

    Raises
    ------
    Wrong
        With what is wrong and what to write instead, made from the maker's own number.

    Examples
    --------
    >>> measure("40 rpm", ["turning speed"])
    (4.18879, 'turning speed')
    """
    usual = sorts[0]
    sample = f"for example '{SAMPLES[usual]}'"
    found = _QUANTITY.fullmatch(text.strip().replace("·", " "))
    if re.match(r"[+-]?[0-9]+,[0-9]", text):
        raise Wrong("a decimal comma", f"'{text.replace(',', '.', 1)}'")
    if not found:
        raise Wrong(f"'{text}' is not {with_article(usual)}", sample)
    number, unit = found[1], " ".join((found[2] or "").split())
    value, sort = _number(number), usual
    if not unit:
        if usual not in BARE:
            raise Wrong(
                f"{with_article(usual)} without a unit",
                f"'{text.strip()} {SAMPLES[usual].split(' ', 1)[1]}'",
            )
        value *= BARE[usual]
    else:
        home = next((each for each in sorts if unit in UNITS[each]), None)
        if home is None and unit in _UNIT_HOME:
            write = f"'{number} mm'" if usual == "length" else sample
            raise Wrong(
                f"'{text}' is {with_article(_UNIT_HOME[unit])}; this wants {with_article(usual)}",
                write,
            )
        if home is None:
            near = nearest(unit, [u for each in sorts for u in UNITS[each]]) or nearest(
                unit, _UNIT_HOME
            )
            raise Wrong(
                f"no unit is called '{unit}'",
                f"'{number} {near or SAMPLES[usual].partition(' ')[2]}'".replace(" '", "'"),
                text.find(found[2]),
                len(found[2]),
            )
        sort = home
        value *= UNITS[sort][unit]
    most, shown = MOST[sort]
    if not abs(value) <= most:
        raise Wrong(f"'{text}' is too much for {with_article(sort)}", f"at most {shown}")
    return value, sort


def parse(
    text: str, *sorts: str, low: float | None = None, above: float | None = None
) -> float:
    """Read one quantity and keep its value in internal units; ``low`` is the least allowed, ``above`` must be exceeded."""
    value, sort = measure(text, sorts)
    if low is not None and value < low:
        raise Wrong(
            f"'{text}' is too small",
            f"at least {show(low, sort)}" if low else "nothing below zero",
        )
    if above is not None and value <= above:
        raise Wrong(f"'{text}' is too small", f"more than {show(above, sort)}")
    return value


def parse_range(
    text: str, *sorts: str, low: float | None = None, above: float | None = None
) -> Range:
    """Read ``40 rpm`` or ``30 to 50 rpm``; a unit said once holds for both ends."""
    first, to, second = text.partition(" to ")
    if not to:
        value = parse(text, *sorts, low=low, above=above)
        return Range(value, value)
    begin = re.match(NUMBER, first.strip())
    end = re.match(NUMBER, second.strip())
    if begin and end and begin[0] == first.strip():
        unit = second.strip()[end.end() :].strip()
        first = f"{first.strip()} {unit}".strip()
    ends = Range(
        parse(first, *sorts, low=low, above=above), parse(second, *sorts, low=low, above=above)
    )
    if ends.low > ends.high and begin and end:
        raise Wrong(
            f"the range '{text}' runs backwards",
            f"'{end[0]} to {begin[0]}{second.strip()[end.end() :]}'",
        )
    return ends


def show(value: float, sort: str, unit: str | None = None, digits: int = 4) -> str:
    """Write an internal value as a maker would, in the sort's usual unit or the one asked for.

    Examples
    --------
    >>> show(1.5e6, "force"), show(math.pi, "angle"), show(12.0, "length")
    ('1.5 N', '180 deg', '12 mm')
    """
    units = UNITS[sort]
    if not units:
        return f"{value:.{digits}g}"
    unit = unit or next(iter(units))
    return f"{value / units[unit]:.{digits}g} {unit}"
