"""Text of the bench -> numbers of the program, and back: ``40 rpm`` <-> 4.18879 rad/s.

A table of our own: it reads ``kg cm`` as a torque, refuses ``2 m m``, points at the wrong half of a phrase, and loads at once.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

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

# Units that aren't in the table but in the trade: what to write instead, and how many of it one is. Advice only, so that a
# unit that nobody doubts is converted and never turned into another of the same number.
TRADE_UNITS: Mapping[str, tuple[str, float]] = {
    **dict.fromkeys(("millimetre", "millimeter"), ("mm", 1.0)),
    **dict.fromkeys(("centimetre", "centimeter"), ("cm", 1.0)),
    **dict.fromkeys(("metre", "meter"), ("m", 1.0)),
    **dict.fromkeys(("inch", "inche", '"', "''", "″"), ("in", 1.0)),
    **dict.fromkeys(("foot", "feet", "ft"), ("mm", 304.8)),
    **dict.fromkeys(("yard", "yd"), ("mm", 914.4)),
    "thou": ("mm", 0.0254),
    "micron": ("mm", 0.001),
    **dict.fromkeys(("degree", "deg"), ("deg", 1.0)),
    **dict.fromkeys(("rev", "revolution", "rotation", "turn"), ("turns", 1.0)),
    **dict.fromkeys(("rad", "radian"), ("deg", math.degrees(1))),
    **dict.fromkeys(("r/min", "/min", "1/min", "turn/min", "u/min"), ("rpm", 1.0)),
    **dict.fromkeys(("rps", "r/s", "/s", "1/s", "hz", "hertz", "turn/s"), ("rpm", 60.0)),
    **dict.fromkeys(("turn/h",), ("rpm", 1 / 60)),
    "rad/s": ("rpm", 30 / math.pi),
    "cm/s": ("mm/s", 10.0),
    "in/s": ("mm/s", 25.4),
    "ft/s": ("mm/s", 304.8),
    "km/h": ("m/s", 1 / 3.6),
    "mph": ("m/s", 0.44704),
    **dict.fromkeys(("gram", "gramme", "gr", "gm"), ("g", 1.0)),
    **dict.fromkeys(("kilo", "kilogram", "kilogramme"), ("kg", 1.0)),
    **dict.fromkeys(("ounce", "oz"), ("g", 28.349523125)),
    **dict.fromkeys(("pound", "lb"), ("g", 453.59237)),
    "mg": ("g", 0.001),
    "newton": ("N", 1.0),
    "kn": ("N", 1000.0),
    **dict.fromkeys(("kgf", "kp"), ("N", GRAVITY / 1000)),
    "lbf": ("N", 4.4482216152605),
    "ozf": ("N", 0.27801385095378),
    **dict.fromkeys(("newton metre", "newton meter"), ("N m", 1.0)),
    **dict.fromkeys(("kgf cm", "kg-cm", "kgcm"), ("kg cm", 1.0)),
    **dict.fromkeys(("oz in", "oz-in", "in oz"), ("N mm", 7.0615518333)),
    **dict.fromkeys(("lb in", "lb-in", "in lb"), ("N mm", 112.98482902)),
    "n/cm": ("N/m", 100.0),
    "g/mm": ("N/m", GRAVITY / 1000),
    "kg/mm": ("N/mm", GRAVITY / 1000),
    "lb/in": ("N/mm", 0.17512683524),
    **dict.fromkeys(("second", "sec"), ("s", 1.0)),
    "minute": ("min", 1.0),
    **dict.fromkeys(("hour", "h", "hr"), ("min", 60.0)),
    **dict.fromkeys(("percent", "per cent"), ("%", 1.0)),
    "g cm2": ("g mm2", 100.0),
    "kg mm2": ("g mm2", 1000.0),
    "kg m2": ("kg cm2", 10000.0),
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


def _trade_unit(unit: str) -> tuple[str, float] | None:
    """Find a unit by the words makers use for it: the table's unit, and how many of it one is."""
    plain = unit.lower().replace("²", "2").replace("^2", "2")
    plain = re.sub(r"\b(revolutions?|rotations?|revs?|turns?)\b", "turn", plain.strip(". "))
    plain = re.sub(r"\s*(/|\bper\b(?! cent)|\ba\b|\bevery\b)\s*", "/", plain)
    plain = re.sub(r"/(minutes?|mins?)$", "/min", plain)
    plain = re.sub(r"/(seconds?|secs?)$", "/s", plain)
    plain = re.sub(r"/(hours?|hrs?)$", "/h", plain)
    if unit == "MM" or not unit.startswith("M"):  # a capital M may be mega
        same = [each for each in _UNIT_HOME if each.lower() == plain]
        if len(same) == 1 and plain not in TRADE_UNITS:
            return same[0], 1.0
    return TRADE_UNITS.get(plain) or TRADE_UNITS.get(plain.removesuffix("s"))


def _in_units(number: str, unit: str, factor: float) -> str:
    """Write a number in another unit, as exactly as a maker needs it."""
    if factor == 1:
        return f"{number} {unit}"
    value = _number(number) * factor
    return f"{value:.0f} {unit}" if abs(value) >= 1000 else f"{value:.4g} {unit}"


def meant(text: str, *sorts: str) -> str | None:
    """Give a quantity that can't be read (``2 inches``, ``1 rps``) as it should be written; None if it can be read or there is no telling."""
    try:
        measure(text, sorts)
    except Wrong as wrong:
        found = re.fullmatch(rf"'((?:{NUMBER}) .+)'", wrong.write)
        return found[1] if found else None
    return None


def _strange_unit(text: str, number: str, unit: str, sorts: Sequence[str]) -> Wrong:
    """Say what to write for a unit that the table doesn't have: never another unit with the same number, unless only its letters are mixed up or said twice."""
    start = max(0, text.rfind(unit))
    trade = _trade_unit(unit)
    what = f"no unit is called '{unit}'"
    if trade is not None:
        known, factor = trade
        if _UNIT_HOME[known] in sorts:
            return Wrong(what, f"'{_in_units(number, known, factor)}'", start, len(unit))
        return _other_sort(text, number, known, factor, sorts)
    letters = sorted(re.sub(r"\W", "", unit))
    stuttered = {
        unit[:i] + unit[i + 1 :] for i in range(1, len(unit)) if unit[i] == unit[i - 1]
    }
    for each in (each for sort in sorts for each in UNITS[sort]):
        is_mixed = sorted(re.sub(r"\W", "", each)) == letters and each.lower() != unit.lower()
        if is_mixed or each in stuttered:
            return Wrong(what, f"'{number} {each}'", start, len(unit))
    sizes = {
        (sort, size): each
        for sort in sorts
        for each, size in reversed(list(UNITS[sort].items()))
    }
    known = ", ".join(each for sort in sorts for each in UNITS[sort] if each in sizes.values())
    return Wrong(
        what,
        f"one of these after the number: {known}" if known else "the number alone",
        start,
        len(unit),
    )


def _other_sort(
    text: str, number: str, unit: str, factor: float, sorts: Sequence[str]
) -> Wrong:
    """Say that a quantity is of another sort than what is wanted here."""
    home, usual = _UNIT_HOME[unit], sorts[0]
    write = f"'{number} mm'" if usual == "length" else f"for example '{SAMPLES[usual]}'"
    if home == "mass" and usual == "force":  # what it weighs
        newton = _number(number) * factor * UNITS[home][unit] * GRAVITY / UNITS["force"]["N"]
        write = f"'{newton:.3g} N'"
    return Wrong(f"'{text}' is {with_article(home)}; this wants {with_article(usual)}", write)


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
            raise _other_sort(text, number, unit, 1.0, sorts)
        if home is None:
            raise _strange_unit(text, number, found[2].strip(), sorts)
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
    unit = second.strip()[end.end() :].strip() if end else ""
    try:
        high = parse(second, *sorts, low=low, above=above)
    except Wrong as wrong:
        if begin and end:
            low_end, high_end = (meant(f"{each[0]} {unit}", *sorts) for each in (begin, end))
            if low_end and high_end:
                wrong.write = f"'{low_end.partition(' ')[0]} to {high_end}'"
        raise wrong.shifted(len(first) + len(to), second) from None
    if begin and end and begin[0] == first.strip():
        first = f"{first.strip()} {unit}".strip()
    ends = Range(parse(first, *sorts, low=low, above=above), high)
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
