"""A single picture as lines rather than pixels, and how large it is on paper."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from animator.pictures.film import Look, still_page
from animator.pictures.ink import on_tape
from animator.pictures.sheets.paper import round_scale

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.pictures.tape import Tape

SHEET = (297.0, 210.0)  # mm; a picture whose scale nobody asks for fits on A4


@dataclass(frozen=True)
class Vector:
    """A picture of lines: ``w`` and ``h`` [design units], the size of a unit on paper [mm], the scale (drawing over piece), and whether its inks are flat."""

    tape: Tape
    w: float
    h: float
    unit: float
    scale: float
    is_flat: bool

    @property
    def size(self) -> tuple[float, float]:
        """Width and height on paper. [mm]"""
        return self.w * self.unit, self.h * self.unit

    def draw(self, c: Any) -> None:
        """Draw it in design units."""
        self.tape.play(c, self.is_flat)

    def draw_page(self, c: Any) -> None:
        """Draw it in millimetres."""
        c.scale(self.unit, self.unit)
        self.draw(c)


def paper_unit(w: float, h: float, per_mm: float, scale: float | None) -> tuple[float, float]:
    """Size of a design unit on paper [mm], and the scale.

    Parameters
    ----------
    w, h
        Size of the picture. [design units]
    per_mm
        Design units a millimetre of the piece.
    scale
        Drawing over piece; None takes the largest round one at which the picture fits on an A4 sheet.

    Examples
    --------
    >>> paper_unit(1280, 720, 2.0, 0.5)
    (0.25, 0.5)
    >>> paper_unit(1280, 720, 2.0, None)  # at 1 : 2 it would be 320 mm wide
    (0.2, 0.4)
    """
    if scale is None:
        long, short = SHEET
        wide, tall = (long, short) if w >= h else (short, long)
        scale = round_scale(min(wide / w, tall / h) * per_mm)
    return scale / per_mm, scale


def vector_still(
    motion: Motion,
    report: Report | None,
    t: float,
    look: Look,
    size: tuple[int, int],
    is_flat: bool = False,
    backdrop: str = "bench",
    scale_bar: bool = False,
    scale: float | None = None,
) -> Vector:
    """Draw one picture of a motion at a time as lines.

    Parameters
    ----------
    motion, report
        What was recorded, and what is said of it.
    t
        The moment. [s]
    look, backdrop, scale_bar
        As for ``still``.
    size
        The picture's shape, width and height.
    is_flat
        Flat inks, hatching and hard shadows, for formats without soft ones.
    scale
        Drawing over piece; None chooses.
    """
    with on_tape():
        page = still_page(motion, report, t, look, size, is_flat, backdrop, scale_bar)
    sheet = page.sheet
    assert sheet.tape is not None
    if sheet.tape.has_filters and not is_flat:
        # grey print and lamp light would make one great picture of all that lies in them: the inks are mixed instead, and flat
        return vector_still(motion, report, t, look, size, True, backdrop, scale_bar, scale)
    unit, chosen = paper_unit(sheet.w, sheet.h, float(page.stand.k), scale)
    return Vector(sheet.tape, sheet.w, sheet.h, unit, chosen, is_flat)
