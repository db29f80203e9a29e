"""What a measure word is: a function that reads a track and gives its course on the clock and its value, or None where the word doesn't apply.

A word is added in a file of this folder; its sort of quantity stands in ``scene/claims.py``, where claims are read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from animator.findings.track import Flags, Track
from animator.motion.motion import Floats
from animator.units import UNITS


@dataclass(frozen=True)
class Reading:
    """One measure of one part over a span, in internal units.

    ``series`` : (time_count,), its course; not a number where it doesn't exist (no contact, no pressure angle). ``value``: what the word
    means as one number. ``is_total``: the word means one number for a span (a lift, a slip, the largest force), so a claim is held against ``value``; any
    other (a height, a speed) is held against every moment. ``is_amount``: its sign only tells a direction.
    """

    series: Floats
    value: float
    is_total: bool
    is_amount: bool = False


Word = Callable[[Track, str], Reading | None]


@dataclass(frozen=True)
class Entry:
    """How a word is read, what sort of quantity it is, in which unit a maker sees it, and for which parts it stands in the table."""

    read: Word
    sort: str
    unit: str
    is_listed: Callable[[Track], bool]

    @property
    def scale(self) -> float:
        """One of the maker's units in internal units."""
        return UNITS[self.sort].get(self.unit, 1.0)


WORDS: dict[str, Entry] = {}


def word(
    name: str, sort: str, unit: str, is_listed: Callable[[Track], bool] = lambda track: True
) -> Callable[[Word], Word]:
    """Add a measure word."""

    def keep(read: Word) -> Word:
        WORDS[name] = Entry(read, sort, unit, is_listed)
        return read

    return keep


# ---------------------------------------------------------------- ways to sum a course up
def extent(series: Floats) -> Reading:
    """From lowest to highest; the course is told from its lowest."""
    return Reading(series - series.min(), float(np.ptp(series)), True)


def largest(series: Floats, is_counted: Flags | None = None) -> Reading | None:
    """The largest amount, whichever way it points; only counted moments count."""
    if is_counted is not None:
        series = np.where(is_counted, series, np.nan)
    amounts = np.abs(series)
    amounts = amounts[np.isfinite(amounts)]
    return Reading(series, float(amounts.max()), True, True) if len(amounts) else None


def total(series: Floats) -> Reading:
    """What it has come to at the end."""
    return Reading(series, float(series[-1]), True)
