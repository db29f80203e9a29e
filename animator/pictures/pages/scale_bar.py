"""A small boxwood rule that lies beside the piece: its inked length is true at the scale the piece is drawn to."""

from __future__ import annotations

from animator.pictures import palette
from animator.pictures.ink import Canvas, box, fill, skia, stroke
from animator.pictures.lettering import letter, width
from animator.pictures.stuff import Piece, Stuffs

LENGTHS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)  # mm
HIGH = 27.0  # design units
SIZE = 20.0
FIELDS = 5


class ScaleBar:
    """The rule: the longest round length that takes no more than ``most``.

    Parameters
    ----------
    per_mm
        Design units a millimetre of the piece.
    stuffs
        Materials.
    most
        Greatest length of the ink. [design units]

    Attributes
    ----------
    length : float
        What it measures. [mm]
    inked, wide : float
        Length of its ink, and of the whole rule. [design units]
    """

    def __init__(self, per_mm: float, stuffs: Stuffs, most: float = 150.0) -> None:
        self.length = max((n for n in LENGTHS if n * per_mm <= most), default=LENGTHS[0])
        self.inked = self.length * per_mm
        self.words = f"{self.length:g} mm"
        self._words_wide = width(self.words, "label-b", SIZE)
        self.wide = self.inked + self._words_wide + 36
        body = box(0, 0, self.wide, HIGH, 3)
        face = (
            fill(palette.BIRCH_LIT)
            if stuffs.is_plain
            else stuffs.round((0, -HIGH), (0, 2.2 * HIGH), palette.BIRCH_LIT)
        )
        self._rule, self._is_plain = Piece(body, face, 1.1, 4), stuffs.is_plain

    def ink_at(self, x: float, y: float) -> tuple[float, float, float]:
        """Where the ink of a rule laid at (x, y) begins and ends, and its middle height. [design units]"""
        left = x + self._words_wide + 23
        return left, left + self.inked, y + HIGH / 2

    def draw(self, c: Canvas, x: float, y: float) -> None:
        """Draw the rule; (x, y): its upper left corner."""
        c.save()
        c.translate(x, y)
        self._rule.draw(c, None, self._is_plain)
        c.restore()
        letter(c, self.words, x + 12, y + HIGH / 2 + 7, "label-b", SIZE, fill(palette.INK))
        left, right, middle = self.ink_at(x, y)
        step = (right - left) / FIELDS
        for i in range(FIELDS):
            field = skia.Rect.MakeLTRB(
                left + i * step, middle - 4.5, left + (i + 1) * step, middle + 4.5
            )
            c.drawRect(field, fill(palette.INK if i % 2 == 0 else palette.PAPER_LIT))
        c.drawRect(
            skia.Rect.MakeLTRB(left, middle - 4.5, right, middle + 4.5),
            stroke(palette.INK, 0.6),
        )
