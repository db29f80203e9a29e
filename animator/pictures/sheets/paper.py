"""Sheets of paper, and scales that can be read off a ruler. Nothing here draws."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from animator.units import Wrong


@dataclass(frozen=True)
class Paper:
    """A sheet as it lies before the reader.

    ``name``: ``a4``, ``a3``, ``letter``; ``width`` and ``height`` [mm]; ``unit``: size of a design unit of the sheet [mm], so that its letters are as
    large as they ought to be on paper.
    """

    name: str
    width: float
    height: float
    unit: float

    @property
    def w(self) -> float:
        """Width in design units."""
        return self.width / self.unit

    @property
    def h(self) -> float:
        """Height in design units."""
        return self.height / self.unit

    @property
    def is_portrait(self) -> bool:
        """True if it stands upright."""
        return self.height > self.width


UNIT = 297 / 1280  # mm; a caption's letters of 19.5 units are then 4.5 mm high, 13 points
SHEETS: dict[str, tuple[float, float, float]] = {
    # long side, short side: ISO 216; letter: 11 by 8 1/2 inches (ANSI/ASME Y14.1, A)
    "a4": (297.0, 210.0, UNIT),
    "a3": (420.0, 297.0, 1.12 * UNIT),  # read from farther away
    "letter": (279.4, 215.9, UNIT),
}


def paper_of(name: str = "a4", is_portrait: bool = False) -> Paper:
    """Give a sheet by its name.

    Examples
    --------
    >>> paper_of("a4").width, paper_of("letter", True).height
    (297.0, 279.4)
    """
    if name not in SHEETS:
        raise ValueError(f"no paper '{name}'; there are {', '.join(SHEETS)}")
    long, short, unit = SHEETS[name]
    return Paper(name, short if is_portrait else long, long if is_portrait else short, unit)


# ---------------------------------------------------------------- scales
SMALLER = (
    *(1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, 6, 7, 8, 9, 10),
    *(12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500, 1000),
)
"""How many times smaller than the piece a drawing may be by our own choice: what a maker can reckon in the head."""
LARGER = (20, 15, 10, 8, 6, 5, 4, 3, 2.5, 2, 1.5)
LADDER = (*LARGER, *(1 / n for n in SMALLER))
LEAST_SCALE, MOST_SCALE = 1 / 1000, 20.0


def round_scale(most: float) -> float:
    """Give the largest scale we choose that is not above ``most`` (drawing over piece).

    Examples
    --------
    >>> round_scale(0.47), round_scale(2.3)
    (0.4, 2)
    """
    return next((s for s in LADDER if s <= most * (1 + 1e-9)), most)


def scale_words(scale: float) -> str:
    """Write a scale as on a drawing.

    Examples
    --------
    >>> scale_words(0.4), scale_words(2.0), scale_words(1.0)
    ('1 : 2.5', '2 : 1', '1 : 1')
    """
    return f"{scale:g} : 1" if scale > 1 else f"1 : {round(1 / scale, 3):g}"


def parse_scale(text: str) -> float:
    """Read ``1:2``, ``1 : 2.5`` or ``2:1``.

    Raises
    ------
    Wrong
        With what is wrong and what to write instead.
    """
    found = re.fullmatch(r"\s*([0-9]+(?:\.[0-9]+)?)\s*:\s*([0-9]+(?:\.[0-9]+)?)\s*", text)
    over, under = (float(found[1]), float(found[2])) if found else (0.0, 0.0)
    if not over or not under or not math.isfinite(over / under):
        raise Wrong(f"'{text}' is no scale", "for example 1:2, or 2:1 for twice the size")
    if not LEAST_SCALE <= over / under <= MOST_SCALE:
        raise Wrong(f"'{text}' can't be drawn", "a scale from 1:1000 to 20:1")
    return over / under
