"""Where everything lies on a bench page, by the shape of the sheet: cards beside the piece, below it side by side, or below it one under the other."""

from __future__ import annotations

from dataclasses import dataclass

from animator.pictures.ink import DESIGN_HEIGHT
from animator.pictures.pages import card, glass, instruments, jobs

GAP = 22.0  # design units between cards
EDGE = 32.0  # from a card to the sheet's edge
UNDER = 72.0  # from the foot of the piece to the sheet's edge
RULER = 34.0  # more where a rule lies under the piece
TITLE = 34.0  # what stands over a lying piece


@dataclass(frozen=True)
class Places:
    """Measures of one page, in design units.

    ``unit``: pixels a design unit; ``middle``, ``foot``, ``room``: of the piece; ``card``, ``board``: upper left corners, ``board_high`` what the
    board may take; ``glass``: middle of the reading glass; ``words``: how wide the title may be; ``tags``: the first tag's hole.
    """

    unit: float
    w: float
    h: float
    middle: float
    foot: float
    room: tuple[float, float]
    card: tuple[float, float]
    board: tuple[float, float]
    board_high: float
    glass: tuple[float, float]
    words: float
    tags: tuple[float, float]


def places(
    size_px: tuple[int, int],
    card_high: float,
    has_glass: bool,
    is_flat: bool,
    has_rule: bool,
    has_jobs: bool,
) -> Places:
    """Lay a page out.

    Parameters
    ----------
    size_px
        Width and height. [px]
    card_high
        Height of the finding card. [design units]
    has_glass
        A reading glass needs its place beside the piece.
    is_flat
        The piece lies flat: its title stands over it.
    has_rule
        A rule lies under the piece.
    has_jobs
        The card of two jobs takes the place of card and board.
    """
    shape = size_px[0] / size_px[1]
    lower = UNDER + (RULER if has_rule else 0.0)
    over = TITLE if is_flat else 0.0
    if shape >= 1.25 or (has_jobs and shape >= 0.8):
        return _beside(size_px, card_high, has_glass, lower, over, has_jobs)
    if shape >= 0.8:
        return _below(size_px, has_glass, lower, over)
    return _under_each_other(size_px, card_high, has_glass, lower, over, has_jobs)


def _beside(
    size_px: tuple[int, int],
    card_high: float,
    has_glass: bool,
    lower: float,
    over: float,
    has_jobs: bool,
) -> Places:
    # the cards need their width: a narrow sheet is taller in design units instead
    unit = min(size_px[1] / DESIGN_HEIGHT, size_px[0] / (1160.0 if has_jobs else 1280.0))
    w, h = size_px[0] / unit, size_px[1] / unit
    spare = max(0.0, h - 1.3 * DESIGN_HEIGHT) / 2 if has_jobs else 0.0
    right = w - (620.0 if has_jobs else EDGE + card.WIDE)
    foot = h - lower - spare
    middle, room = (right / 2 - 10, (right - 56, h - 120 - spare))
    if has_glass:
        middle, room = 252.0, (470.0, h - 120)
    top = EDGE + card_high + GAP
    if has_jobs:
        top = max(44.0, (h - jobs.HIGH) / 2)
    return Places(
        unit,
        w,
        h,
        middle,
        foot,
        (room[0], room[1] - over - (lower - UNDER)),
        (right, EDGE),
        (right, top),
        h - 34 - top,
        (566.0, 418.0),
        right - 70,
        (right - 176.0, 84.0),
    )


def _below(size_px: tuple[int, int], has_glass: bool, lower: float, over: float) -> Places:
    unit = size_px[0] / (2 * card.WIDE + 2 * EDGE + GAP + 18)
    w, h = size_px[0] / unit, size_px[1] / unit
    top = h - EDGE - instruments.MOST_HIGH
    foot = top - lower + 10
    room = (w * 0.62 if has_glass else w - 180, foot - 84 - over)
    return Places(
        unit,
        w,
        h,
        w / 2 - (110 if has_glass else 0),
        foot,
        room,
        (EDGE, top),
        (w - EDGE - instruments.WIDE, top),
        instruments.MOST_HIGH,
        (w - EDGE - 2 * glass.RADIUS, foot - 220),
        w - 300,
        (w - 210, 84.0),
    )


def _under_each_other(
    size_px: tuple[int, int],
    card_high: float,
    has_glass: bool,
    lower: float,
    over: float,
    has_jobs: bool,
) -> Places:
    unit = size_px[0] / (jobs.WIDE + 52.0)
    w, h = size_px[0] / unit, size_px[1] / unit
    wide, high = (
        (jobs.WIDE, jobs.HIGH) if has_jobs else (instruments.WIDE, instruments.MOST_HIGH)
    )
    left = (w - wide) / 2
    # a sheet that isn't tall enough for all of it gives the piece a third and lets the board be lower
    least = h * 0.34
    above = 0.0 if has_jobs else card_high + GAP
    high = min(high, h - 24 - least - above) if not has_jobs else high
    top = h - 24 - high
    foot = top - above - lower
    return Places(
        unit,
        w,
        h,
        w / 2 - (92 if has_glass else 0),
        foot,
        (w - 210 if has_glass else w - 60, foot - 80 - over),
        (left, top - above),
        (left, top),
        high,
        (w - glass.RADIUS - 24, foot - 190),
        w - 70,
        (w - 190, 100.0),
    )
