"""The head of a sheet: its title, and the block that says whose it is, how large it is drawn and which sheet of how many."""

from __future__ import annotations

from dataclasses import dataclass

from animator.pictures.ink import Canvas, box, fill, stroke
from animator.pictures.lettering import Face, fit, letter, width
from animator.pictures.pages.words import title
from animator.pictures.palette import INK, INK_SOFT

ROW = 34.0  # design units; height of a row of the block
NAMED, SAID = 17.5, 19.5  # size of what a cell is called, and of what it says
LEAST = 13.0  # a word set smaller is cut short instead
AROUND = 30.0  # room round the words of a cell
Cell = tuple[str, str]


@dataclass(frozen=True)
class Head:
    """Where the head of a sheet stands: ``title`` (x, base line, room, size), ``block`` (x, y, width, rows), ``foot``: its lower edge."""

    title: tuple[float, float, float, float]
    block: tuple[float, float, float, int]
    foot: float


def head_of(w: float, margin: float, is_portrait: bool) -> Head:
    """Place the head on a sheet ``w`` wide: side by side, or on an upright sheet one above the other."""
    if is_portrait:
        return Head(
            (margin + 2, 84, w - 2 * margin - 4, 44), (margin, 106, w - 2 * margin, 2), 174
        )
    wide = min(706.0, w - 2 * margin - 420)
    return Head(
        (margin + 2, 82, w - 2 * margin - wide - 24, 42), (w - margin - wide, 36, wide, 2), 104
    )


def shortened(text: str, face: Face, size: float, room: float) -> str:
    """Cut a word short where it doesn't fit."""
    if width(text, face, size) <= room:
        return text
    while text and width(text + "…", face, size) > room:
        text = text[:-1].rstrip()
    return text + "…"


def wanted(cell: Cell) -> float:
    """Width a cell would like."""
    return width(cell[0], "label", NAMED) + width(cell[1], "label-b", SAID) + AROUND


def rows_of(cells: list[Cell], count: int, room: float) -> list[list[Cell]]:
    """Share cells out over rows in their order, so that the fullest row is as empty as can be."""
    if count == 1 or len(cells) < 2:
        return [cells]
    at = min(
        range(1, len(cells)),
        key=lambda i: max(sum(map(wanted, cells[:i])), sum(map(wanted, cells[i:]))),
    )
    return [cells[:at], cells[at:]]


def draw_head(c: Canvas, head: Head, text: str, cells: list[Cell]) -> None:
    """Draw title and block."""
    x, y, room, size = head.title
    chosen = fit(text, "title", size, room, 1, 24)
    title(c, text, x, y if chosen > 34 else y - 4, room, chosen, least=17, line_count=2)
    x0, y0, w, count = head.block
    rows = rows_of(cells, count, w)
    c.drawPath(box(x0, y0, w, len(rows) * ROW), stroke(INK, 1.6))
    for j, row in enumerate(rows):
        top = y0 + j * ROW
        if j:
            c.drawLine(x0, top, x0 + w, top, stroke(INK, 0.9))
        _row(c, row, x0, top, w)


def _row(c: Canvas, row: list[Cell], x: float, y: float, w: float) -> None:
    wants = [wanted(cell) for cell in row]
    total = sum(wants)
    if total <= w:
        rooms = [want + (w - total) / len(row) for want in wants]
    else:
        # the long ones give way, down to an equal share
        rooms = [min(want, w / len(row)) for want in wants]
        spare = w - sum(rooms)
        over = [max(want - room, 0.0) for want, room in zip(wants, rooms, strict=True)]
        rooms = [
            room + spare * o / (sum(over) or 1.0) for room, o in zip(rooms, over, strict=True)
        ]
    for (name, said), room in zip(row, rooms, strict=True):
        if x > 0 and (name, said) != row[0]:
            c.drawLine(x, y, x, y + ROW, stroke(INK, 0.9))
        to = letter(c, name, x + 11, y + 23, "label", NAMED, fill(INK_SOFT)) + 8
        left = max(20.0, x + room - 10 - to)
        size = SAID
        while size > LEAST and width(said, "label-b", size) > left:
            size -= 0.5
        letter(c, shortened(said, "label-b", size, left), to, y + 23, "label-b", size)
        x += room
