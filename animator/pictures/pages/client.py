"""The client's plate: the piece as an object, without engineering marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from animator.pictures import palette, plate, roundabout
from animator.pictures.backdrops import ground_of
from animator.pictures.drawing import Drawing
from animator.pictures.ink import (
    Canvas,
    Sheet,
    fill,
    stroke,
)
from animator.pictures.lettering import Face, block, letter, width, wrap
from animator.pictures.pages.scale_bar import ScaleBar
from animator.pictures.pages.words import (
    title,
    title_size,
    turn_words,
)
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.motion.motion import Motion


PHONE = 640.0  # design units; width of an upright sheet
RULER = 38.0  # more below the piece where a rule lies there
LABEL: Face = "label"
ITALIC: Face = "text-i"


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
    backdrop
        ``bench``, ``evening``, ``plain`` or ``transparent``: then the piece stands alone, with nothing but its shadow.
    scale_bar
        Whether a rule lies under the piece.
    """

    def __init__(
        self,
        motion: Motion,
        size_px: tuple[int, int],
        is_plain: bool = False,
        caption: str = "",
        backdrop: str = "bench",
        scale_bar: bool = False,
    ) -> None:
        self.motion, self.caption = motion, caption
        self.ground = ground_of(backdrop)
        self.stuffs = Stuffs(is_plain)
        # a phone held upright: words over the piece, as wide as they can be read
        self.is_phone = size_px[0] < 0.8 * size_px[1]
        self.sheet = Sheet(*size_px, unit=size_px[0] / PHONE if self.is_phone else None)
        w, h = self.sheet.w, self.sheet.h
        scene = motion.scene
        shape = scene.frame.width * 1.13 / max(scene.frame.height, 1.0)
        self.is_tall_sheet = w < 1.25 * h
        lower = RULER if scale_bar else 0.0
        if not self.ground.has_wall:
            # nothing round the piece but its shadow
            foot, middle, room = h - 104 - lower, w / 2, (w - 180, h - 134 - lower)
        elif self.is_phone:
            head = self._words_above(None)
            foot = h - 150.0 - lower
            middle, room = w / 2, (w - 70, foot - head - 20)
        elif self.is_tall_sheet:
            foot, middle, room = h - 128, w / 2, (w - 110, h - 190)
        elif frames_flat(motion):
            foot, middle, room = h - 52, w * 0.66, (w * 0.58, h - 110)
        elif shape > 1.25:
            foot, middle, room = h - 80, w * 0.645, (w * 0.60, h - 130)
        else:
            foot, middle, room = h - 80, w * 0.645, (min(w * 0.43, 580), h - 124)
        most = 9.0 if not self.ground.has_wall or self.is_phone else 2.9
        self.stand = Stand(
            motion,
            self.stuffs,
            middle,
            foot,
            room,
            scene.title,
            most,
            ground=self.ground,
            is_told=False,
        )
        if self.is_phone and self.ground.has_wall:
            self._raise(head, middle, room)
        self.rule = ScaleBar(self.stand.k, self.stuffs) if scale_bar else None
        self._still()

    def _raise(self, head: float, middle: float, room: tuple[float, float]) -> None:
        """Bring a piece that is lower than its room up towards the words, a third of what is free."""
        free = self.stand.high - head - 20
        if free > 60:
            foot = self.stand.foot - 0.45 * free
            self.stand = Stand(
                self.motion,
                self.stuffs,
                middle,
                foot,
                room,
                self.motion.scene.title,
                per_mm=self.stand.k,
                ground=self.ground,
                is_told=False,
            )

    def _still(self) -> None:
        c, s, stand, ground = self.sheet.canvas, self.stuffs, self.stand, self.ground
        w, h = self.sheet.w, self.sheet.h
        ground.wall(c, w, h, s, palette.PAPER, True)
        if self.is_phone and ground.has_wall:
            stand.backdrop(c, 280.0, self._words_above(None))
        else:
            stand.backdrop(c)
        if stand.ride is not None and ground.has_wall:
            left = stand.middle - stand.half
            fold_from = 26.0 if self.is_tall_sheet else left - 22
            plate.fold(c, fold_from, w - 26, stand.fold_y, s.is_plain, ground.is_lit)
            y = stand.fold_y - 14
            letter(c, "from the side", left, y, "label", 21, fill(ground.soft))
        elif not stand.is_flat:
            ground.bench(c, w, h, stand.foot - 52, s)
        if self.is_phone and ground.has_wall:
            self._words_above(c)
        elif self.is_tall_sheet and ground.has_wall:
            self._words_below(c)
        elif ground.has_wall:
            self._words(c)
            if not stand.is_flat and ground.has_bench:
                ground.lit(c, self._bench_things)
        stand.settle(self.sheet)
        if self.rule is not None:
            top = stand.foot + (34 if not stand.is_flat else 10)
            with ground.lamp(c):
                self.rule.draw(c, stand.middle - self.rule.wide / 2, top)
        self.sheet.keep()

    def _bench_things(self, c: Canvas) -> None:
        """Draw what lies about on the bench where the piece leaves room."""
        w, h, s, stand = self.sheet.w, self.sheet.h, self.stuffs, self.stand
        plate.pencil(c, 96, h - 48, -9, 150, s)
        if stand.middle - stand.half > 410:
            plate.shaving(c, 318, h - 38, 15, s, -7, 4)
        if w - stand.middle - stand.half > 130:
            plate.pot(c, min(w - 130, stand.middle + stand.half + 92), h - 68, s)
            plate.shaving(c, w - 188, h - 16, 13, s, 6, 3)

    def _words_above(self, c: Canvas | None) -> float:
        """Set title and sentence over the piece, in the middle of an upright sheet; gives where they end. None only measures."""
        scene, w = self.motion.scene, self.sheet.w
        room, ground = w - 120, self.ground
        size = title_size(scene.title, room, 64, 40, 2)
        y = 64 + size
        for line in wrap(scene.title, "title", size, room):
            if c is not None:
                self._title_line(c, line, y, size, ground.words, ground.ampersand[0])
            y += 1.05 * size
        if c is not None:
            rule = y - 0.55 * size
            c.drawLine(w / 2 - 131, rule, w / 2 + 131, rule, stroke(ground.soft, 1.6))
            c.drawLine(
                w / 2 - 131, rule + 4.5, w / 2 + 131, rule + 4.5, stroke(ground.soft, 0.7)
            )
        y += 4
        lines: list[tuple[str, Face, float, str]] = [
            (line, "text", 29.0, ground.words) for line in wrap(scene.about, "text", 29, room)
        ]
        lines += [
            (line, face, 26.0, ground.soft)
            for words, face in (
                (turn_words(self.motion), LABEL),
                (self.caption, ITALIC),
            )
            if words
            for line in wrap(words, face, 26, room)
        ]
        for text, face, tall, hue in lines:
            if c is not None:
                letter(c, text, w / 2, y, face, tall, fill(hue), "c")
            y += 1.32 * tall
        return y

    def _title_line(
        self, c: Canvas, text: str, y: float, size: float, hue: str, and_hue: str
    ) -> None:
        """Set one line of a title in the middle of the sheet, its ampersand in the second ink."""
        pieces: list[tuple[str, Face, str]] = []
        for n, piece in enumerate(text.split("&")):
            if n:
                pieces.append(("&", "title-i", and_hue))
            pieces.append((piece, "title", hue))
        at = (self.sheet.w - sum(width(t, f, size) for t, f, _ in pieces)) / 2
        for t, f, ink in pieces:
            at = letter(c, t, at, y, f, size, fill(ink))

    def _words(self, c: Canvas) -> None:
        scene = self.motion.scene
        left = self.stand.middle - self.stand.half
        x, room = 74.0, min(330.0, left - 74 - 30)
        size = title_size(scene.title, room, 58, 34)
        lines = len(wrap(scene.title, "title", size, room))
        about = wrap(scene.about, "text", 23, room)
        tall = lines * size * 1.05 + 40 + len(about) * 31 + 46 + (40 if self.caption else 0)
        y = max(96.0, (self.sheet.h - 150 - tall) / 2 + size * 0.8)
        hue, soft = self.ground.words, self.ground.soft
        y, _ = title(c, scene.title, x, y, room, size, hue, self.ground.ampersand[0])
        rule = min(room, 262.0)
        c.drawLine(x, y + 27, x + rule, y + 27, stroke(soft, 1.6))
        c.drawLine(x, y + 31.5, x + rule, y + 31.5, stroke(soft, 0.7))
        y = block(c, scene.about, x, y + 66, room, "text", 23, 1.36, fill(hue), 7)
        turn = turn_words(self.motion)
        if turn:
            y = block(c, turn, x, y + 14, room, "label", 22, 1.25, fill(soft), 2)
        if self.caption:
            block(c, self.caption, x, y + 12, room, "text-i", 21, 1.3, fill(soft), 3)

    def _words_below(self, c: Canvas) -> None:
        """Set the title below the piece: on the bench, or on the paper where there is none."""
        w, h, ground = self.sheet.w, self.sheet.h, self.ground
        text = self.motion.scene.title
        size = 42.0
        while width(text, "title", size) > w - 60 and size > 20:
            size -= 1
        is_on_paper = self.stand.is_flat or not ground.has_bench
        if not is_on_paper:
            wide = width(text, "title", size)
            plain = self.stuffs.is_plain
            plate.shade_for_words(
                c, (w - wide) / 2, h - 28 - 0.7 * size, wide, 0.8 * size, plain
            )
        hue = ground.words if is_on_paper else ground.on_bench
        self._title_line(c, text, h - 30, size, hue, ground.ampersand[0 if is_on_paper else 1])

    def draw(self, t: float, held: float) -> None:
        """Draw the plate at a moment."""
        self.sheet.fresh()
        self.stand.moving(self.sheet.canvas, self.stand.moment(t))
