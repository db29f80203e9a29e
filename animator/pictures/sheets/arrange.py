"""How panels share a sheet: columns, rows, how large each is, and the scale they are drawn at."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from animator.pictures.lettering import wrap
from animator.pictures.sheets.paper import LADDER, Paper, round_scale, scale_words
from animator.problems import RunError

GAP = 14.0  # design units between panels
BELOW = 18.0  # between a panel and what stands below it, beside the lines of its caption
CAPTION, LEAD = 19.5, 23.6  # size of a caption's letters, and from line to line
NARROWEST, LOWEST, TALLEST = (
    236.0,
    132.0,
    1.25,
)  # of a panel: design units, and its height by its width
MOST_LINES = 3


@dataclass(frozen=True)
class Grid:
    """Panels on a sheet. ``scale``: drawing over piece; ``line_count``: lines of the longest caption. [design units]"""

    columns: int
    rows: int
    wide: float
    high: float
    pitch: float
    line_count: int
    scale: float

    @property
    def count(self) -> int:
        """Panels a sheet holds."""
        return self.columns * self.rows


def arrange(
    captions: Sequence[str],
    paper: Paper,
    area: tuple[float, float],
    most: Callable[[float, float], float],
    scale: float | None,
) -> Grid:
    """Choose the grid that shows the piece largest; with a scale given, the one that needs the fewest sheets.

    Parameters
    ----------
    captions
        Words under each panel.
    paper
        The sheet.
    area
        Width and height the panels and their captions share. [design units]
    most
        Gives the largest scale at which a panel of some width and height shows the piece. [design units a millimetre]
    scale
        Drawing over piece; None chooses a round one.

    Raises
    ------
    RunError
        The piece doesn't fit at that scale even with one panel a sheet.
    """
    count = max(len(captions), 1)
    grids = []
    for columns in range(1, 7):
        wide = (area[0] - GAP * (columns - 1)) / columns
        if wide < NARROWEST and columns > 1:
            break
        lines = [len(wrap(caption, "text", CAPTION, wide - 8)) for caption in captions]
        line_count = min(max(lines, default=1), MOST_LINES)
        for rows in range(1, 5):
            if columns > count or (rows - 1) * columns >= count:
                continue
            pitch = area[1] / rows
            high = min(pitch - BELOW - LEAD * line_count, TALLEST * wide)
            if high < LOWEST:
                break
            fits = most(wide, high) * paper.unit
            grids.append(Grid(columns, rows, wide, high, pitch, line_count, fits))
    if scale is not None:
        fit = [grid for grid in grids if grid.scale >= scale * (1 - 1e-9)]
        if not fit:
            best = max(grids, key=lambda grid: grid.scale)
            larger = "" if paper.name == "a3" else ", or more with --paper a3"
            raise RunError(
                f"--scale {scale_words(scale).replace(' ', '')}: the piece doesn't fit on {paper.name.upper() if paper.name[0] == 'a' else paper.name}; "
                f"the most is --scale {scale_words(round_scale(best.scale)).replace(' ', '')}{larger}"
            )
        fewest = min(math.ceil(count / grid.count) for grid in fit)
        some = [grid for grid in fit if math.ceil(count / grid.count) == fewest]
        # the panel that fits closest leaves least empty paper
        chosen = min(some, key=lambda grid: (grid.scale, grid.count))
        return _with(chosen, scale)
    # a sheet holds all panels if they may be read on it; else as many sheets as needed, the panels shared evenly
    whole = [grid for grid in grids if grid.count >= count]
    if not whole:
        largest = max(grid.count for grid in grids)
        sheets = math.ceil(count / largest)
        whole = [grid for grid in grids if grid.count >= math.ceil(count / sheets)]
    chosen = max(whole, key=lambda grid: _worth(grid, count))
    return _with(
        chosen, round_scale(chosen.scale) if chosen.scale >= LADDER[-1] else chosen.scale
    )


def _worth(grid: Grid, count: int) -> float:
    """How well a grid shows a piece: large, without empty places, with short captions."""
    sheets = math.ceil(count / grid.count)
    empty = grid.count - math.ceil(count / sheets)
    return grid.scale * (1 - 0.07 * empty - 0.03 * (grid.line_count - 1))


def _with(grid: Grid, scale: float) -> Grid:
    return Grid(
        grid.columns, grid.rows, grid.wide, grid.high, grid.pitch, grid.line_count, scale
    )
