"""Numbers and lengths as an SVG file writes them."""

from __future__ import annotations

import re

from animator.artwork.refusal import Unusable

LARGEST = 1e7
"""The largest number believed, in the file's units: a sheet of ten kilometres."""
NUMERAL = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NUMERAL = re.compile(NUMERAL)
_GAP = re.compile(r"[ \t\r\n\f]*,?[ \t\r\n\f]*")
_LENGTH = re.compile(rf"\s*({NUMERAL})\s*([A-Za-z]*|%)\s*")
PIXEL = 25.4 / 96
"""mm; CSS Values and Units 3, 6.2: 1in = 96px."""
UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "q": 0.25,
    "px": PIXEL,
    "": PIXEL,
}
"""mm in each; all but the last two say how large a thing truly is."""


def numeral(text: str) -> float:
    """Read one number."""
    if not _NUMERAL.fullmatch(text):
        raise Unusable(f"'{text[:40]}' is not a number", "plain numbers belong here")
    value = float(text)
    if not abs(value) <= LARGEST:
        raise Unusable(
            f"a number too large to be drawn: {text[:40]}", "draw it at a usual size"
        )
    return value


def numerals(text: str) -> list[float]:
    """Read numbers parted by spaces or commas.

    Examples
    --------
    >>> numerals("1.5-2 .5,3e1")
    [1.5, -2.0, 0.5, 30.0]
    """
    out, at, text = [], 0, text.strip()
    while at < len(text):
        found = _NUMERAL.match(text, at)
        if not found:
            raise Unusable(
                f"numbers that can't be read: '{text[at : at + 40]}'",
                "plain numbers belong here",
            )
        out.append(numeral(found[0]))
        gap = _GAP.match(text, found.end())
        at = gap.end() if gap else found.end()
    return out


def length(text: str, whole: float) -> float:
    """Read a length in user units (px); ``whole`` is what 100 % of it is.

    Examples
    --------
    >>> length("1in", 0), length("25%", 80), length("7", 0)
    (96.0, 20.0, 7.0)
    """
    value, unit = parted(text)
    if unit == "%":
        return value / 100 * whole
    if unit not in UNITS:
        raise Unusable(f"a length in '{unit}'", "use mm, or numbers without a unit")
    return value * UNITS[unit] / PIXEL


def parted(text: str) -> tuple[float, str]:
    """Part a length into its number and its unit."""
    found = _LENGTH.fullmatch(text)
    if not found:
        raise Unusable(f"'{text[:40]}' is not a length", "write for example '80mm'")
    return numeral(found[1]), found[2].lower()
