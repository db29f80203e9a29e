"""The client's plate: the piece as an object, without engineering marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from animator.pictures import palette, plate, roundabout
from animator.pictures.drawing import Drawing
from animator.pictures.ink import (
    Canvas,
    Sheet,
    fill,
    stroke,
)
from animator.pictures.lettering import Face, block, letter, width, wrap
from animator.pictures.pages.words import (
    title,
    title_size,
    turn_words,
)
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.motion.motion import Motion


def frames_flat(motion: Motion) -> bool:
    """True if the piece lies flat and is seen from above."""
    return (
        roundabout.find(motion.scene) is not None
        or Drawing(motion, Stuffs(True)).setting.kind == "board"
    )


class ClientPage:
    """The piece as it will stand on the client's table: words at the left, the piece right, no engineering marks.

    Parameters
    ----------
    motion
        What was recorded.
    size_px
        Width and height. [px]
    is_plain
        Flat inks, for GIF.
    caption
        One more line, in italics; '' for none.
    """

    def __init__(
        self,
        motion: Motion,
        size_px: tuple[int, int],
        is_plain: bool = False,
        caption: str = "",
    ) -> None:
        self.motion, self.caption = motion, caption
        self.stuffs = Stuffs(is_plain)
        self.sheet = Sheet(*size_px)
        w, h = self.sheet.w, self.sheet.h
        scene = motion.scene
        shape = scene.frame.width * 1.13 / max(scene.frame.height, 1.0)
        self.is_tall_sheet = w < 1.25 * h
        if self.is_tall_sheet:
            foot, middle, room = h - 128, w / 2, (w - 110, h - 190)
        elif frames_flat(motion):
            foot, middle, room = h - 52, w * 0.66, (w * 0.58, h - 110)
        elif shape > 1.25:
            foot, middle, room = h - 80, w * 0.645, (w * 0.60, h - 130)
        else:
            foot, middle, room = h - 80, w * 0.645, (min(w * 0.43, 580), h - 124)
        self.stand = Stand(motion, self.stuffs, middle, foot, room, scene.title, 2.9)
        self._still()

    def _still(self) -> None:
        c, s, stand = self.sheet.canvas, self.stuffs, self.stand
        w, h = self.sheet.w, self.sheet.h
        plate.wall(c, w, h, s, palette.PAPER, True)
        stand.backdrop(c)
        if stand.is_flat:
            plate.fold(c, stand.middle - stand.half - 22, w - 26, stand.fold_y, s.is_plain)
            letter(
                c,
                "from the side",
                stand.middle - stand.half,
                stand.fold_y - 14,
                "label",
                21,
                fill(INK_SOFT),
            )
        else:
            plate.bench(c, w, h, stand.foot - 52, s)
        if self.is_tall_sheet:
            self._words_below(c)
        else:
            self._words(c)
            if not stand.is_flat:
                plate.pencil(c, 96, h - 48, -9, 150, s)
                if stand.middle - stand.half > 410:
                    plate.shaving(c, 318, h - 38, 15, s, -7, 4)
                if w - stand.middle - stand.half > 130:
                    plate.pot(c, min(w - 130, stand.middle + stand.half + 92), h - 68, s)
                    plate.shaving(c, w - 188, h - 16, 13, s, 6, 3)
        stand.settle(self.sheet)
        self.sheet.keep()

    def _words(self, c: Canvas) -> None:
        scene = self.motion.scene
        left = self.stand.middle - self.stand.half
        x, room = 74.0, min(330.0, left - 74 - 30)
        size = title_size(scene.title, room, 58, 34)
        lines = len(wrap(scene.title, "title", size, room))
        about = wrap(scene.about, "text", 23, room)
        tall = lines * size * 1.05 + 40 + len(about) * 31 + 46 + (40 if self.caption else 0)
        y = max(96.0, (self.sheet.h - 150 - tall) / 2 + size * 0.8)
        y, _ = title(c, scene.title, x, y, room, size)
        rule = min(room, 262.0)
        c.drawLine(x, y + 27, x + rule, y + 27, stroke(INK_SOFT, 1.6))
        c.drawLine(x, y + 31.5, x + rule, y + 31.5, stroke(INK_SOFT, 0.7))
        y = block(c, scene.about, x, y + 66, room, "text", 23, 1.36, fill(INK), 7)
        turn = turn_words(self.motion)
        if turn:
            y = block(c, turn, x, y + 14, room, "label", 22, 1.25, fill(INK_SOFT), 2)
        if self.caption:
            block(c, self.caption, x, y + 12, room, "text-i", 21, 1.3, fill(INK_SOFT), 3)

    def _words_below(self, c: Canvas) -> None:
        w, h = self.sheet.w, self.sheet.h
        text = self.motion.scene.title
        size = 42.0
        while width(text, "title", size) > w - 60 and size > 20:
            size -= 1
        pieces: list[tuple[str, Face, str]] = []
        for n, piece in enumerate(text.split("&")):
            if n:
                pieces.append(
                    ("&", "title-i", palette.MADDER if self.stand.is_flat else palette.OCHRE)
                )
            pieces.append((piece, "title", INK if self.stand.is_flat else palette.PAPER_LIT))
        at = (w - sum(width(t, f, size) for t, f, _ in pieces)) / 2
        for t, f, hue in pieces:
            at = letter(c, t, at, h - 32, f, size, fill(hue))

    def draw(self, t: float, held: float) -> None:
        """Draw the plate at a moment."""
        self.sheet.fresh()
        self.stand.moving(self.sheet.canvas, self.stand.moment(t))
