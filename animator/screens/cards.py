"""Cards that are laid over a picture, or shown where there is none."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from animator.pictures import marks, palette, plate
from animator.pictures.ink import Sheet, fill, stroke
from animator.pictures.lettering import block, letter, width, wrap
from animator.pictures.stuff import Stuffs
from animator.screens.window import Pixels

EDGE = 26.0  # design units round what is written on a card
SHADOW = 16.0  # of room for a card's shadow


def over(size: tuple[int, int], lines: Iterable[tuple[str, str]], head: str) -> Pixels:
    """Draw a card with a heading and lines of two columns, to be laid over a picture of a size; everything round it is clear."""
    rows = list(lines)
    unit = min(size[1] / 720.0, size[0] / 760.0)
    key, words, lead = 23.0, 23.0, 33.0
    first = max((width(pressed, "label-b", key) for pressed, _ in rows), default=0.0)
    room = min(560.0, size[0] / unit - first - 3 * EDGE - 2 * SHADOW)
    broken = [(pressed, wrap(does, "label", words, room)) for pressed, does in rows]
    second = max(
        (width(line, "label", words) for _, said in broken for line in said), default=0.0
    )
    w = first + second + 3 * EDGE
    h = 78.0 + lead * sum(len(said) for _, said in broken) + EDGE
    sheet = Sheet(round((w + 2 * SHADOW) * unit), round((h + 2 * SHADOW) * unit), unit)
    c = sheet.canvas
    marks.card(c, SHADOW, SHADOW, w, h)
    x, y = SHADOW + EDGE, SHADOW + 52.0
    letter(c, head, x, y, "title", 30, fill(palette.INK))
    c.drawLine(x, y + 13, SHADOW + w - EDGE, y + 13, stroke(palette.INK_SOFT, 1.2))
    y += 44.0
    for pressed, said in broken:
        letter(c, pressed, x, y, "label-b", key, fill(palette.INK))
        for line in said:
            letter(c, line, x + first + EDGE, y, "label", words, fill(palette.INK))
            y += lead
    return sheet.array


def note(size: tuple[int, int], words: str) -> Pixels:
    """Draw a small card with one line, to be laid over a picture."""
    unit = min(size[1] / 720.0, size[0] / 720.0)
    w, h = width(words, "text", 25) + 2 * EDGE, 66.0
    sheet = Sheet(round((w + 2 * SHADOW) * unit), round((h + 2 * SHADOW) * unit), unit)
    marks.card(sheet.canvas, SHADOW, SHADOW, w, h, is_pinned=False)
    letter(sheet.canvas, words, SHADOW + EDGE, SHADOW + 42, "text", 25, fill(palette.INK))
    return sheet.array


def quiet(size: tuple[int, int], head: str, words: str) -> Pixels:
    """Draw a whole picture that says something in peace: paper, a card, a heading and a sentence."""
    sheet = Sheet(*size, unit=min(size[1] / 720.0, size[0] / 560.0))
    c, w, h = sheet.canvas, sheet.w, sheet.h
    plate.wall(c, w, h, Stuffs(False), palette.KRAFT, False)
    room = min(620.0, w - 150)
    lines = wrap(words, "text", 27, room)
    heads = wrap(head, "title", 40, room)
    tall = 92.0 + 44 * len(heads) + 38 * len(lines)
    left, top = (w - room) / 2 - 44, (h - tall) / 2 - 10
    marks.card(c, left, top, room + 88, tall)
    y = block(c, head, left + 44, top + 76, room, "title", 40, 1.1, fill(palette.INK))
    block(c, words, left + 44, y + 8, room, "text", 27, 1.4, fill(palette.INK_SOFT))
    return np.ascontiguousarray(sheet.array)
