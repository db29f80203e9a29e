"""A page as PDF: lines, letters and gradients stay sharp, and the drawing is true to scale."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from animator.problems import RunError

POINTS_PER_MM = 72 / 25.4
SOFT_DPI = (
    300.0  # soft shadows can't be drawn as lines; the library's own 72 dots an inch would show
)


def page_bytes(
    draw: Callable[[Any], None], width: float, height: float, title: str = ""
) -> bytes:
    """Give one page as the bytes of a PDF file.

    Parameters
    ----------
    draw
        Draws on the canvas it is given, in millimetres from the upper left corner, x right, y down.
    width, height
        Size of the page; it is rounded to whole points (1/72 inch), the drawing is not. [mm]
    title
        What a reader shows in its title bar.
    """
    try:
        import skia
    except ImportError as trouble:
        raise RunError(
            f"the drawing library can't start ({trouble}); on Debian or Ubuntu this mends it: apt-get install libegl1 libgl1"
        ) from trouble
    about = skia.PDF.Metadata()
    about.fTitle = title
    about.fRasterDPI = SOFT_DPI
    stream = skia.DynamicMemoryWStream()
    document = skia.PDF.MakeDocument(stream, about)
    canvas = document.beginPage(round(width * POINTS_PER_MM), round(height * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    draw(canvas)
    document.endPage()
    document.close()
    return bytes(stream.detachAsData())
