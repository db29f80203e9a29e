"""The proposal on paper: a plate with the piece, the storyboard's sheets, then what was found, the variants, the numbers and the cautions as running text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from animator.outputs.pdf import pages_bytes
from animator.pictures import marks, palette, plate
from animator.pictures.ink import Canvas, box, fill, stroke
from animator.pictures.lettering import Face, letter, wrap
from animator.pictures.marks import hue_of
from animator.pictures.moments import key_moments
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT, PAPER_LIT
from animator.pictures.poster import poster_time
from animator.pictures.sheets.paper import Paper, paper_of
from animator.pictures.sheets.title_block import draw_head, head_of
from animator.pictures.stand import Stand
from animator.pictures.storyboard import Storyboard
from animator.pictures.stuff import Stuffs
from animator.pictures.stuff import paper as paper_paint

if TYPE_CHECKING:
    from animator.findings.examining import Checked
    from animator.proposals.contents import Contents, Told

MARGIN, BORDER = 56.0, 20.0  # design units
FOOT = 34.0  # room for the page's number
TEXT, LABEL, LEAD = 18.0, 18.0, 1.4
HEADING = 31.0
GAP = 12.0
CARD = 18.0  # room round the words of a card
Draw = Callable[[Canvas, float, float], None]


@dataclass(frozen=True)
class Block:
    """Something that stays in one piece: its height, and how it is drawn with its upper left corner at (x, y).

    ``holds``: it stays on one page with what comes next.
    """

    high: float
    draw: Draw
    holds: bool = False


# ---------------------------------------------------------------- blocks
def words(
    text: str,
    room: float,
    face: Face = "text",
    size: float = TEXT,
    hue: str = INK,
    after: float = GAP,
) -> Block:
    """Set a paragraph."""
    lines = wrap(text, face, size, room)
    lead = size * LEAD

    def draw(c: Canvas, x: float, y: float) -> None:
        for n, line in enumerate(lines):
            letter(c, line, x, y + n * lead + size, face, size, fill(hue))

    return Block(len(lines) * lead + after, draw)


def heading(text: str, room: float) -> Block:
    """Set a heading, under a thick and a thin rule."""
    inside = words(text, room, "title", HEADING, after=14)

    def draw(c: Canvas, x: float, y: float) -> None:
        c.drawLine(x, y + 18, x + room, y + 18, stroke(INK, 1.6))
        c.drawLine(x, y + 22, x + room, y + 22, stroke(INK_FAINT, 0.8))
        inside.draw(c, x, y + 34)

    return Block(inside.high + 34, draw, True)


def stacked(
    blocks: Sequence[Block], indent: float = 0.0, above: float = 0.0, holds: bool = False
) -> Block:
    """Put blocks under each other, in one piece."""

    def draw(c: Canvas, x: float, y: float) -> None:
        y += above
        for block in blocks:
            block.draw(c, x + indent, y)
            y += block.high

    return Block(above + sum(block.high for block in blocks), draw, holds)


def card(told: Told, room: float) -> Block:
    """Set a finding as a card: sign and word, what happens, then where, why and what would mend it."""
    inner = room - 2 * CARD
    named = 142.0
    rows: list[tuple[str, str]] = [("Where and when", told.where)]
    if told.why:
        rows.append(("Why", told.why))
    rows += [("What would mend it" if not n else "", mend) for n, mend in enumerate(told.mends)]
    blocks = [words(told.sentence, inner, "text", 20, after=8)]
    for name, said in rows:
        left = words(name, named, "label", 16.5, INK_SOFT, 4)
        right = words(said, inner - named - 10, "text", 17, INK, 4)
        blocks.append(_beside([(0.0, left), (named + 10, right)]))
    inside = stacked(blocks)
    high = inside.high + 62

    def draw(c: Canvas, x: float, y: float) -> None:
        c.drawPath(box(x, y, room, high - 14), fill(PAPER_LIT))
        c.drawLine(x, y + high - 14, x + room, y + high - 14, stroke("#B79F77", 2.2))
        marks.mark(c, told.code, x + CARD + 14, y + 26, 13, None)
        letter(
            c,
            told.code.upper(),
            x + CARD + 40,
            y + 33,
            "label-b",
            21,
            fill(hue_of(told.code)),
            track=1,
        )
        inside.draw(c, x + CARD, y + 46)

    return Block(high, draw)


def _beside(columns: Sequence[tuple[float, Block]]) -> Block:
    def draw(c: Canvas, x: float, y: float) -> None:
        for at, block in columns:
            block.draw(c, x + at, y)

    return Block(max(block.high for _, block in columns), draw)


Cell = tuple[str, Face, str]
"""What a cell says, its face, and a sign before it ('' for none)."""


def row(
    cells: Sequence[Cell], shares: Sequence[float], room: float, is_head: bool = False
) -> Block:
    """Set one row of a table; the shares of the columns add up to 1."""
    columns: list[tuple[float, Block]] = []
    signs: list[tuple[float, str]] = []
    at = 0.0
    for (text, face, code), share in zip(cells, shares, strict=True):
        wide = share * room
        indent = 26.0 if code else 0.0
        if code:
            signs.append((at + 9, code))
        columns.append(
            (
                at + indent,
                words(text, wide - indent - 12, face, 16.5, INK_SOFT if is_head else INK, 0),
            )
        )
        at += wide
    inside = _beside(columns)
    high = inside.high + 12

    def draw(c: Canvas, x: float, y: float) -> None:
        for left, code in signs:
            marks.mark(c, code, x + left, y + 16, 8.5, None)
        inside.draw(c, x, y + 3)
        c.drawLine(
            x,
            y + high - 2,
            x + room,
            y + high - 2,
            stroke(INK if is_head else INK_FAINT, 1.4 if is_head else 0.9),
        )

    return Block(high, draw, is_head)


# ---------------------------------------------------------------- the whole
class Sheets:
    """The pages of a proposal.

    Parameters
    ----------
    checked
        The piece at all its ends.
    contents
        What is said.
    name
        Of the paper: ``a4`` or ``letter``; it stands upright.
    said
        Maker, client and date for the storyboard's title block, as for ``Storyboard``.
    """

    def __init__(
        self, checked: Checked, contents: Contents, name: str, said: Mapping[str, str | None]
    ) -> None:
        self.checked, self.contents = checked, contents
        self.paper: Paper = paper_of(name, True)
        self.w, self.h = self.paper.w, self.paper.h
        self.room = self.w - 2 * MARGIN
        motion, report = checked.motion, checked.report
        self.board = Storyboard(
            motion,
            report,
            key_moments(motion, report),
            self.paper,
            maker=said.get("maker"),
            client=said.get("client"),
            date=said.get("date"),
        )
        first, rest = self._front()
        self.flow = [first, *self._flowed(rest)]

    def data(self) -> bytes:
        """Give the PDF file."""
        total = len(self.flow) + self.board.sheet_count

        def front(number: int, blocks: list[tuple[float, Block]]) -> Callable[[Canvas], None]:
            def draw(c: Canvas) -> None:
                c.scale(self.paper.unit, self.paper.unit)
                self._ground(c)
                if number == 1:
                    draw_head(c, self.head, self.contents.title, list(self.contents.block))
                for y, block in blocks:
                    block.draw(c, MARGIN, y)
                said = f"{self.contents.title}, page {number} of {total}"
                letter(
                    c, said, self.w / 2, self.h - BORDER - 13, "text-i", 15, fill(INK_SOFT), "c"
                )

            return draw

        draws = [front(1, self.flow[0])]
        draws += [partial(self._board_page, n) for n in range(self.board.sheet_count)]
        draws += [
            front(n + 1 + self.board.sheet_count, blocks)
            for n, blocks in enumerate(self.flow[1:], 1)
        ]
        return pages_bytes(
            draws,
            self.paper.width,
            self.paper.height,
            self.contents.title,
            self.contents.about,
        )

    def _board_page(self, number: int, c: Canvas) -> None:
        self.board.draw_page(c, number)

    def _ground(self, c: Canvas) -> None:
        c.drawPath(box(0, 0, self.w, self.h), paper_paint(palette.PAPER))
        plate.border(c, BORDER, BORDER, self.w - 2 * BORDER, self.h - 2 * BORDER)

    # ------------------------------------------------------------ pages
    def _front(self) -> tuple[list[tuple[float, Block]], list[Block]]:
        """Lay out the first page: what it is, the piece as large as the page lets it, the one sentence; then all that follows."""
        contents = self.contents
        self.head = head_of(self.w, MARGIN, True)
        y = self.head.foot + 14
        laid: list[tuple[float, Block]] = []
        if contents.about:
            about = words(contents.about, self.room, "text-i", 22, INK_SOFT)
            laid.append((y, about))
            y += about.high + 6
        verdict = self._verdict()
        high = self.h - BORDER - FOOT - 24 - verdict.high - 20 - y
        laid.append((y, self._piece(high)))
        laid.append((y + high + 20, verdict))
        return laid, self._blocks()

    def _verdict(self) -> Block:
        inside = words(self.contents.verdict, self.room - 96, "text", 22, after=0)
        high = inside.high + 28

        def draw(c: Canvas, x: float, y: float) -> None:
            c.drawPath(box(x, y, self.room, high), fill(PAPER_LIT))
            c.drawLine(x, y + high, x + self.room, y + high, stroke("#B79F77", 2.2))
            marks.mark(c, self.contents.verdict_code, x + 38, y + high / 2, 18, None)
            inside.draw(c, x + 78, y + 13)

        return Block(high, draw)

    def _piece(self, high: float) -> Block:
        """Draw the piece at its best moment, as large as the room lets it."""
        motion, report = self.checked.motion, self.checked.report
        foot = high - 46.0  # the cabinet's base and its shadow stand below its foot
        stand = Stand(
            motion,
            Stuffs(),
            self.room / 2,
            foot,
            (self.room - 40, foot - 16),
            motion.scene.title,
            9.0,
            is_told=False,
        )
        moment = stand.moment(poster_time(motion, report))
        reach = 0.48 * self.room

        def draw(c: Canvas, x: float, y: float) -> None:
            c.save()
            c.translate(x, y)
            frame = box(0, 0, self.room, high, 2)
            c.clipPath(frame)
            c.drawPath(frame, fill(PAPER_LIT))
            stand.backdrop(c, reach, 14.0)
            stand.draw(c, moment)
            c.restore()
            c.drawPath(box(x, y, self.room, high, 2), stroke(INK, 1.7))

        return Block(high, draw)

    def _blocks(self) -> list[Block]:
        contents, room = self.contents, self.room
        out = [heading("What was found", room)]
        if contents.told:
            out += [card(told, room) for told in contents.told]
        else:
            out.append(
                words(
                    "Nothing jams, stalls, floats, slips or jerks, with the least friction or with the most.",
                    room,
                )
            )
        if contents.asked:
            shares = (0.58, 0.24, 0.18)
            out.append(
                row(
                    [
                        (text, "label", "")
                        for text in ("Asked", "Measured at its worst", "Verdict")
                    ],
                    shares,
                    room,
                    True,
                )
            )
            out += [
                row(
                    [
                        (a.text, "label-b", ""),
                        (a.measured, "label", ""),
                        ("met" if a.is_met else "not met", "label-b", ""),
                    ],
                    shares,
                    room,
                )
                for a in contents.asked
            ]
        if contents.others:
            parts = (0.17, 0.28, 0.42, 0.13)
            out.append(heading("Other ways to build it", room))
            heads = ("Variant", "What is different", "What it shows", "Most effort")
            out.append(row([(text, "label", "") for text in heads], parts, room, True))
            out += [
                row(
                    [
                        (o.name, "label-b", ""),
                        (o.different, "label", ""),
                        (o.sentence, "label", o.code),
                        (o.effort, "label-b", ""),
                    ],
                    parts,
                    room,
                )
                for o in contents.others
            ]
        thirds = (0.29, 0.23, 0.48)
        out.append(heading("Size, time and effort", room))
        out += [
            row(
                [(r.what, "label-b", ""), (r.value, "label-b", ""), (r.remark, "label", "")],
                thirds,
                room,
            )
            for r in contents.rows
        ]
        out.append(words("", room, after=GAP))
        out += [words(said, room, "text", 16.5, INK_SOFT, 6) for said in contents.trust]
        out.append(heading("What to mind", room))
        for each in contents.cautions:
            out.append(
                stacked(
                    [
                        words(each.what, room, "label-b", 18.5, after=0),
                        words(each.sentence, room, "text", 17, after=10),
                    ]
                )
            )
        return out

    def _flowed(self, blocks: Sequence[Block]) -> list[list[tuple[float, Block]]]:
        """Share blocks out over pages; a heading never stands last on one."""
        top, foot = BORDER + 34.0, self.h - BORDER - FOOT - 10
        pages: list[list[tuple[float, Block]]] = [[]]
        y = top
        for n, block in enumerate(blocks):
            needed = block.high
            follower = n
            while blocks[follower].holds and follower + 1 < len(blocks):
                follower += 1
                needed += blocks[follower].high
            if y + needed > foot and pages[-1]:
                pages.append([])
                y = top
            pages[-1].append((y, block))
            y += block.high
        return pages
