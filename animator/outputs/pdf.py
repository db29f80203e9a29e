"""Pages as PDF: lines, letters and gradients stay sharp, and the drawing is true to scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from animator.problems import RunError

POINTS_PER_MM = 72 / 25.4
SOFT_DPI = (
    300.0  # soft shadows can't be drawn as lines; the library's own 72 dots an inch would show
)
QUALITY = (
    101  # pictures in a page are kept as they are: the library takes more than 100 for that
)
PRODUCER = "animator"  # the library would name its own release here, and bytes change with it


def pages_bytes(
    draws: Sequence[Callable[[Any], None]],
    width: float,
    height: float,
    title: str = "",
    subject: str = "",
) -> bytes:
    """Give some pages as the bytes of a PDF file; the same pages give the same bytes.

    Nothing of the machine, the day or the user gets into the file: it says its title, its subject and the program's name.

    Parameters
    ----------
    draws
        One for each page: draws on the canvas it is given, in millimetres from the upper left corner, x right, y down.
    width, height
        Size of the pages; it is rounded to whole points (1/72 inch), the drawing is not. [mm]
    title
        What a reader shows in its title bar.
    subject
        What it is of, in a few words.
    """
    try:
        import skia
    except ImportError as trouble:
        raise RunError(
            f"the drawing library can't start ({trouble}); on Debian or Ubuntu this mends it: apt-get install libegl1 libgl1"
        ) from trouble
    about = skia.PDF.Metadata()
    about.fTitle, about.fSubject = title, subject
    about.fCreator = about.fProducer = PRODUCER
    about.fRasterDPI = SOFT_DPI
    about.fEncodingQuality = QUALITY
    stream = skia.DynamicMemoryWStream()
    document = skia.PDF.MakeDocument(stream, about)
    for draw in draws:
        canvas = document.beginPage(round(width * POINTS_PER_MM), round(height * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        draw(canvas)
        document.endPage()
    document.close()
    return bytes(stream.detachAsData())


def page_bytes(
    draw: Callable[[Any], None], width: float, height: float, title: str = "", subject: str = ""
) -> bytes:
    """Give one page as the bytes of a PDF file; see ``pages_bytes``."""
    return pages_bytes([draw], width, height, title, subject)
