"""The storyboard: sheets of numbered moments with captions, and one strip under them all on which they are pegged."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import find_loop, main_angle
from animator.pictures import palette, plate
from animator.pictures.ink import Canvas, Sheet, fill, skia, stroke
from animator.pictures.lettering import letter, width
from animator.pictures.moments import KeyMoment, key_moments, span_of
from animator.pictures.pages.words import seconds_of, turn_seconds
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.sequence import draw_under, lanes_of, room_under
from animator.pictures.sheets.arrange import BELOW, GAP, LEAD, arrange
from animator.pictures.sheets.panel import Panels
from animator.pictures.sheets.paper import Paper, paper_of, scale_words
from animator.pictures.sheets.strip import draw_strip
from animator.pictures.sheets.title_block import Cell, draw_head, head_of
from animator.pictures.sheets.view import View
from animator.pictures.stuff import Stuffs
from animator.pictures.stuff import paper as paper_paint

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion

MARGIN = 32.0  # design units; panels keep so far from the edge
BORDER = 20.0  # 4.6 mm: most printers reach that far
STRIP, STRIP_FOOT, STRIP_LEFT = (
    112.0,
    80.0,
    80.0,
)  # height of the strip, room below it, and at its left
PEGS = 34.0  # room for the numbers over the strip
RULER = 50.0  # mm; length of the control line
DPI = 150.0


class Storyboard:
    """Sheets of key moments.

    Parameters
    ----------
    motion, report
        What was recorded, and what is said of it.
    moments
        The moments to show; None chooses them from the motion.
    paper
        What it is printed on; None takes A4 lying.
    scale
        Drawing over piece, for example 0.5 for 1 : 2; None chooses a round one.
    maker, client, date
        For the title block; None takes the scene's, '' leaves it out.
    """

    def __init__(
        self,
        motion: Motion,
        report: Report | None = None,
        moments: list[KeyMoment] | None = None,
        paper: Paper | None = None,
        scale: float | None = None,
        maker: str | None = None,
        client: str | None = None,
        date: str | None = None,
    ) -> None:
        self.motion, self.report = motion, report
        self.moments = moments if moments is not None else key_moments(motion, report)
        self.paper = paper or paper_of("a4")
        scene = motion.scene
        self.said = [
            ("Maker", scene.maker if maker is None else maker),
            ("Client", scene.client if client is None else client),
            ("Date", scene.date if date is None else date),
        ]
        start, _ = span_of(motion)
        self.base = start, float(np.degrees(np.interp(start, motion.times, main_angle(motion))))
        self.w, self.h = self.paper.w, self.paper.h
        self.head = head_of(self.w, MARGIN, self.paper.is_portrait)
        self.lanes = lanes_of(motion)
        self.strip_y = self.h - STRIP_FOOT - STRIP - room_under(self.lanes)
        self.top = self.head.foot + 20
        area = self.w - 2 * MARGIN, self.strip_y - PEGS - self.top
        view = View(motion, Stuffs())
        self.grid = arrange(
            [moment.caption for moment in self.moments], self.paper, area, view.most, scale
        )
        self.panels = Panels(view, self.grid, self.paper.unit, self.base)
        count = max(len(self.moments), 1)
        self.sheet_count = math.ceil(count / self.grid.count)
        self.per_sheet = math.ceil(count / self.sheet_count)

    @property
    def scale(self) -> float:
        """Drawing over piece: true on paper, to the hundredth of a millimetre."""
        return self.grid.scale

    @property
    def page(self) -> tuple[float, float]:
        """Width and height of a sheet. [mm]"""
        return self.paper.width, self.paper.height

    # ------------------------------------------------------------ output
    def draw(self, c: Canvas, number: int = 0, is_printed: bool = False) -> None:
        """Draw sheet ``number`` (from 0) on any canvas, in design units of the paper; ``is_printed``: real paper brings its own grain."""
        w, h = self.w, self.h
        ground = fill(palette.PAPER) if is_printed else paper_paint(palette.PAPER)
        # a little over the edge: a picture's last row of pixels, or a page's last hair, may lie beyond
        c.drawRect(skia.Rect.MakeWH(w + 4, h + 4), ground)
        plate.border(c, BORDER, BORDER, w - 2 * BORDER, h - 2 * BORDER)
        draw_head(c, self.head, self.motion.scene.title, self._cells(number))
        here = range(
            number * self.per_sheet, min((number + 1) * self.per_sheet, len(self.moments))
        )
        rows = math.ceil(len(here) / self.grid.columns)
        spare = (self.strip_y - PEGS - self.top) - rows * self.grid.pitch
        for place, n in enumerate(here):
            row, column = divmod(place, self.grid.columns)
            in_row = min(self.grid.columns, len(here) - row * self.grid.columns)
            # a row that isn't full stands in the middle
            wide = self.grid.wide + GAP
            x = MARGIN + (column + (self.grid.columns - in_row) / 2) * wide
            y = self.top + row * self.grid.pitch + 0.4 * spare + 0.4 * self._air
            last = self.moments[n - 1] if n else None
            self.panels.draw(c, x, y, n + 1, self.moments[n], last)
        room = (MARGIN + STRIP_LEFT, self.strip_y, w - 2 * MARGIN - STRIP_LEFT - 8, STRIP)
        draw_strip(c, self.motion, self.moments, here, room, self.base, ground)
        draw_under(c, self.lanes, span_of(self.motion), room, STRIP_LEFT)
        self._ruler(c)

    @property
    def _air(self) -> float:
        """What a row leaves free under its captions, where panels are as high as they may be."""
        return max(0.0, self.grid.pitch - self.grid.high - BELOW - LEAD * self.grid.line_count)

    def sheet(self, width_px: int | None = None, number: int = 0, dpi: float = DPI) -> Sheet:
        """Draw a sheet into pixels, so many wide, else at so many dots an inch."""
        wide = width_px or round(self.paper.width / 25.4 * dpi)
        made = Sheet(wide, round(wide * self.paper.height / self.paper.width), wide / self.w)
        self.draw(made.canvas, number)
        return made

    def draw_page(self, c: Canvas, number: int = 0) -> None:
        """Draw a sheet on a page, in millimetres."""
        c.scale(self.paper.unit, self.paper.unit)
        self.draw(c, number, is_printed=True)

    def page_drawer(self, number: int) -> Callable[[Canvas], None]:
        """Give what draws one page, in millimetres."""
        return lambda c: self.draw_page(c, number)

    @property
    def subject(self) -> str:
        """What the sheets are, in a few words."""
        return f"Storyboard, scale {scale_words(self.scale)}"

    # ------------------------------------------------------------ head and foot
    def _cells(self, number: int) -> list[Cell]:
        scene, motion = self.motion.scene, self.motion
        cells: list[Cell] = [("Piece", scene.title)]
        if scene.variant:
            cells.append(("Variant", scene.variant))
        cells += [(name, said) for name, said in self.said if said]
        cells.append(("Scale", scale_words(self.scale)))
        seconds = turn_seconds(motion)
        if seconds:
            goes_round = motion.end not in ("jammed", "stalled") and find_loop(motion).is_closed
            cells.append(("One turn", seconds_of(seconds) + (", a loop" if goes_round else "")))
        rubs = {0.0: "low", 0.5: "", 1.0: "high"}.get(motion.level, f"{motion.level:.2f}")
        if rubs:
            cells.append(("Friction", rubs))
        cells.append(("Sheet", f"{number + 1} of {self.sheet_count}"))
        return cells

    def _ruler(self, c: Canvas) -> None:
        """Draw a line of known length in the lower margin: whoever lays a ruler on it knows whether the printer kept the scale."""
        long = RULER / self.paper.unit
        x, y = self.w - MARGIN - 8 - long, self.h - BORDER - 14
        for at in (x, x + long):
            c.drawLine(at, y - 5, at, y + 1, stroke(INK, 1.2))
        c.drawLine(x, y, x + long, y, stroke(INK, 1.2))
        words = f"{RULER:.0f} mm if printed true to scale"
        letter(
            c, words, x - 10 - width(words, "label", 14.5), y + 3, "label", 14.5, fill(INK_SOFT)
        )
