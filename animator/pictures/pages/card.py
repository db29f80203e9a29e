"""The finding card: sign and word, one sentence, one line with the cure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from animator.pictures import marks
from animator.pictures.ink import Canvas, fill, skia
from animator.pictures.lettering import block, fit, letter, wrap
from animator.pictures.pages.told import in_words
from animator.pictures.palette import INK, INK_SOFT

if TYPE_CHECKING:
    from animator.findings.report import Finding
    from animator.scene.model import Scene

WIDE = 576.0  # design units
ROOM = 530.0  # of its words


class FindingCard:
    """What the run showed, or that nothing is amiss.

    Parameters
    ----------
    findings
        The gravest first.
    scene
        What is spoken of.
    is_plain
        Flat inks.

    Attributes
    ----------
    said, mended : str
        The sentence, and the cure ('' for none).
    high : float
        Height of the card. [design units]
    """

    def __init__(self, findings: Sequence[Finding], scene: Scene, is_plain: bool) -> None:
        self.findings, self.scene, self.is_plain = findings, scene, is_plain
        self.said = self.mended = ""
        self.said_size, self.mend_size, tall = 31.0, 25.0, 2 * 37.0 + 42
        if findings:
            first = findings[0]
            self.said = in_words(first.sentence, scene.parts)
            self.said_size = fit(self.said, "text", 31, ROOM, 3, 22)
            tall = 1.26 * self.said_size * max(2, len(self.said_lines))
            if first.mend:
                self.mended = in_words(first.mend[0].sentence, scene.parts)
                self.mend_size = fit(self.mended, "label", 25, ROOM, 2, 20)
                tall += 8 + 1.2 * self.mend_size * len(self.mend_lines)
        # the first base line stands 104 below the card's upper edge; a little room below the last
        self.high = 84.0 + tall + 14

    @property
    def said_lines(self) -> list[str]:
        """The sentence in lines."""
        return wrap(self.said, "text", self.said_size, ROOM)

    @property
    def mend_lines(self) -> list[str]:
        """The cure in lines."""
        return wrap(self.mended, "label", self.mend_size, ROOM)

    def draw(self, c: Canvas, x: float, y: float, share: float = 1.0) -> None:
        """Draw the card, eased in by a share from 0 to 1. ``x``, ``y``: its upper left corner."""
        c.save()
        if share < 1:
            room = skia.Rect.MakeXYWH(x - 30, y - 50, WIDE + 60, self.high + 100)
            c.saveLayerAlpha(room, round(255 * share))
            c.translate(0, -18 * (1 - share))
        marks.card(c, x, y, WIDE, self.high, True, self.is_plain)
        if self.findings:
            self._finding(c, x, y, self.findings[0])
        else:
            letter(c, "Nothing amiss", x + 26, y + 62, "title", 34)
            about = self.scene.about or "It runs as it should."
            block(c, about, x + 26, y + 112, WIDE - 52, "text", 28, 1.28, fill(INK), 3)
        c.restore()
        if share < 1:
            c.restore()

    def _finding(self, c: Canvas, x: float, y: float, f: Finding) -> None:
        marks.mark(c, f.code, x + 44, y + 52, 18, None)
        hue = fill(marks.hue_of(f.code))
        letter(c, f.code.upper(), x + 76, y + 61, "label-b", 31, hue, track=1.5)
        aside = (
            f"1 of {len(self.findings)}"
            if len(self.findings) > 1
            else f"at {f.from_deg:.0f}° of the turn"
            if f.code in ("jam", "stall")
            else ""
        )
        letter(c, aside, x + WIDE - 26, y + 58, "label", 25, fill(INK_SOFT), "r")
        size = self.said_size
        y2 = block(c, self.said, x + 26, y + 104, ROOM, "text", size, 1.26, fill(INK))
        if self.mended:
            y2 += 4 - max(0.0, self.said_size - self.mend_size) * 0.3
            size = self.mend_size
            block(c, self.mended, x + 26, y2, ROOM, "label", size, 1.2, fill(INK_SOFT))
