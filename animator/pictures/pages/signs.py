"""Signs at the places they speak of: tags and their threads, the sign of contact, the missing slice on a wheel that lags."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from animator.parts._contract import Spans
from animator.pictures import marks, palette, plate
from animator.pictures.drawing import Drawing
from animator.pictures.ink import Canvas, box, fill, hatch, stroke, wedge
from animator.pictures.lettering import letter, width
from animator.pictures.moment import Moment
from animator.pictures.stand import Stand

if TYPE_CHECKING:
    from animator.findings.report import Finding
    from animator.motion.motion import Contact, Slip

NEAR = 0.02  # mm; closer than this two things touch
BESIDE = 20.0  # design units from a part's edge to the middle of the sign beside it
LOST_AT_ALL = 0.5  # turns lost in a hundred; less is rounding


def spot_of(stand: Stand, f: Finding, moment: Moment) -> tuple[float, float] | None:
    """Where a finding shows itself, on the sheet; None where it has no place."""
    motion = stand.motion
    for contact in motion.contacts.values():
        if f.code == "float" and contact.is_meant and f.part in (contact.first, contact.second):
            return stand.on_sheet(
                (moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1]))
            )
    slip = motion.slips.get(f.part)
    name = slip.driven if slip is not None else f.part
    if f.code == "stall" and motion.drive is not None:
        name = motion.drive.name
    if name not in motion.frames:
        return None
    if isinstance(motion.scene.parts[name].held(), Spans):
        return _halfway(stand, name, moment)
    points = motion.scene.parts[name].points()
    point = "knob" if "knob" in points else next(iter(points))
    x, y = stand.on_sheet(moment.point(name, point))
    return (x + 26, y - 26) if f.code == "stall" else (x, y)


def _halfway(stand: Stand, name: str, moment: Moment) -> tuple[float, float] | None:
    """Middle of what has no place of its own (a string, a spring, a belt), as it is drawn now."""
    lines = [mark.reach(moment) for mark in stand.drawing.marks if mark.part == name]
    if not lines:
        return None
    line = max(lines, key=len)
    x, y = line.mean(0) if len(line) < 3 else line[len(line) // 2]
    return stand.x + float(x), stand.y + float(y)


def beside(stand: Stand, part: str, moment: Moment) -> tuple[float, float] | None:
    """Where a sign stands beside a part without covering it or what it carries: at the right edge of its widest piece."""
    corners = [mark.reach(moment) for mark in stand.drawing.marks if mark.part == part]
    if not corners:
        return None
    widest = max(corners, key=lambda c: float(np.ptp(c[:, 0])))
    x, y = float(widest[:, 0].max()), float(widest[:, 1].mean())
    return stand.x + x + BESIDE, stand.y + y


def touching(c: Canvas, stand: Stand, moment: Moment, besides: Contact | None = None) -> None:
    """Draw the sign of contact where a follower touches its cam, as long as it does."""
    for contact in stand.motion.contacts.values():
        if not contact.is_meant or contact is besides or moment.of(contact.gap) > NEAR:
            continue
        x, y = stand.on_sheet((moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1])))
        nx, ny = moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1])
        # its two faces lie along the touching ones
        turn = math.degrees(math.atan2(ny, nx))
        marks.mark(c, "contact", x, y, 8.5, palette.PAPER_LIT, turn)


def slipping(c: Canvas, stand: Stand, moment: Moment) -> None:
    """Draw got, due and the missing slice on each wheel that lags."""
    c.save()
    c.translate(stand.x, stand.y)
    for slip in stand.motion.slips.values():
        witness(c, stand.drawing, slip, moment)
    c.restore()


def witness(
    c: Canvas, drawing: Drawing, slip: Slip, moment: Moment, is_due_shown: bool = True
) -> None:
    """Draw on the driven wheel where its red bar is, where it is due, and the missing slice between; the canvas is the drawing's.

    The bar stands where the recorded wheel stands, counted from straight up at the end of the start-up; the slice is what the
    driving rim ran more than the driven rim, over the driven wheel's radius.
    """
    begins = drawing.motion.begins
    got, due = moment.of(slip.got) - slip.got[begins], moment.of(slip.due) - slip.due[begins]
    x, y = moment.spot(slip.driven)
    r = slip.radii[1] * drawing.k
    angle = moment.pose(slip.driven).angle - float(drawing.motion.frame(slip.driven)[begins, 2])
    # the slice lies ahead of the bar, the way the wheel turns
    lost = math.degrees((due - got) / slip.radii[1]) * math.copysign(
        1.0, angle * got if abs(angle) > 1e-9 else 1.0
    )
    now = -90.0 - math.degrees(angle)
    c.save()
    c.translate(x, y)
    bar = box(r * 0.47, -max(3.2, r * 0.068), r * 0.46, 2 * max(3.2, r * 0.068), 2)
    if abs(lost) > 3 and is_due_shown:
        sweep = -math.copysign(min(abs(lost), 352.0), lost)
        marks.lost_slice(c, wedge(0, 0, r - max(3.0, r * 0.05), now, sweep))
        c.save()
        c.rotate(now + sweep)
        marks.due_bar(c, bar)
        c.restore()
    c.rotate(now)
    marks.got_bar(c, bar)
    c.restore()


# ---------------------------------------------------------------- what the signs on a lying piece mean
Sample = tuple[str, str]


def samples(stand: Stand, is_lost: bool) -> list[Sample]:
    """Give (sample, words) of each sign that a lying piece's drive carries, the most needed first."""
    shown: list[Sample] = []
    if stand.motion.slips:
        shown.append(("got", "got"))
        if is_lost:
            shown += [("due", "due"), ("lost", "lost")]
            if stand.ride is not None:
                shown[-1] = ("lost", "lost, roof too")
        if stand.drawing.belts:
            shown.append(("stitch", "stitch in the belt"))
    return shown


def legend(c: Canvas, stand: Stand, shown: Sequence[Sample], size: float = 21.0) -> None:
    """Tell in one line along a board's foot what its signs mean; what doesn't fit gives up its longer words or its place, the last first."""
    x, y = stand.middle - stand.half + 22, stand.foot - 12
    room = 2 * stand.half - 44
    words = list(shown)
    while words and _breadth(words, size) > room:
        sample, text = words[-1]
        if sample == "lost" and text != sample:
            words[-1] = (sample, sample)
        else:
            words.pop()
    if not words:
        return
    plate.shade_for_words(c, x, y - 16, _breadth(words, size), 20, stand.stuffs.is_plain)
    for sample, text in words:
        _sample(c, sample, x, y)
        x = letter(c, text, x + 18, y, "label", size, fill(palette.PAPER_LIT)) + 18


def _breadth(shown: Sequence[Sample], size: float) -> float:
    return sum(width(text, "label", size) + 36 for _, text in shown) - 18


def _sample(c: Canvas, sample: str, x: float, y: float) -> None:
    piece = box(x, y - 15, 10, 17, 1.5)
    if sample == "got":
        c.drawPath(piece, fill(palette.ROSE))
        c.drawPath(piece, stroke(palette.PAPER_LIT, 1))
    elif sample == "due":
        c.drawPath(piece, stroke(palette.PAPER_LIT, 1.8, dash=(4, 3.4)))
    elif sample == "lost":
        c.drawPath(piece, fill(palette.LAG))
        hatch(c, piece, 5, -45, stroke(palette.MARKS["slip"], 2.0))
        c.drawPath(piece, stroke(palette.INK, 1.2))
    else:
        c.drawPath(box(x - 1, y - 10, 14, 7, 1), fill(palette.SOFT_STUFFS["rubber"][1]))
        c.drawPath(box(x + 3, y - 14, 6, 15, 1), fill(palette.CREAM))
        c.drawPath(box(x + 3, y - 14, 6, 15, 1), stroke(palette.INK, 1.1))
