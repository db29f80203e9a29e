"""A piece that stands: what merely waits printed grey, what binds bitten by jaws, what would do dashed, and what a hand has given for nothing."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from animator.findings.jam import HELD_FAST
from animator.outlines import first_follower, outline_of, stance_in, tip_of
from animator.parts._contract import Rides
from animator.pictures import marks, palette
from animator.pictures.ink import Canvas, Paint, box, fill, hatch, place, poly, skia, stroke
from animator.pictures.lettering import fit, letter
from animator.pictures.moment import Moment
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.stand import Stand

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from animator.findings.report import Finding
    from animator.motion.motion import Motion
    from animator.pictures.readings import Effort

STUCK = ("jam", "stall")
GREY = (
    *(0.33, 0.48, 0.15, 0.0, 0.035),
    *(0.31, 0.47, 0.14, 0.0, 0.03),
    *(0.27, 0.42, 0.13, 0.0, 0.02),
    *(0.0, 0.0, 0.0, 1.0, 0.0),
)
PLAIN = (
    *(1.0, 0.0, 0.0, 0.0, 0.0),
    *(0.0, 1.0, 0.0, 0.0, 0.0),
    *(0.0, 0.0, 1.0, 0.0, 0.0),
    *(0.0, 0.0, 0.0, 1.0, 0.0),
)


def grey(share: float) -> Paint:
    """Give the paint that prints grey, by a share from 0 to 1."""
    matrix = [a + (b - a) * share for a, b in zip(PLAIN, GREY, strict=True)]
    return skia.Paint(ColorFilter=skia.ColorFilters.Matrix(matrix))


def bound(motion: Motion, findings: Iterable[Finding]) -> set[str]:
    """Parts that bind where the piece ends in a jam: those of the finding, what they touch, the drive and what rides on them."""
    names = {f.part for f in findings if f.code in STUCK}
    for contact in motion.contacts.values():
        if contact.second in names or contact.first in names:
            names |= {contact.first, contact.second}
    for name, part in motion.scene.parts.items():
        held = part.held()
        if getattr(part, "is_drive", False) or (
            isinstance(held, Rides) and held.on.part in names
        ):
            names.add(name)
    return names - {"frame"}


def remedy(c: Canvas, stand: Stand, f: Finding, moment: Moment, share: float) -> None:
    """Draw dashed what would do: the cam or the guide of the first mend, in its place."""
    scene = stand.motion.scene
    parts = scene.parts
    mend = next(iter(f.mend), None)
    name = max(
        (n for n in parts if mend is not None and mend.path.startswith(n + ".")),
        key=len,
        default="",
    )
    if mend is None or not name or share <= 0:
        return
    try:
        value = float(mend.value.split()[0])
    except ValueError:
        return
    field, k = mend.path[len(name) + 1 :], stand.k
    if field == "base radius":
        rider = first_follower(parts, name)
        if rider is None:
            return
        cam = parts[name].model_copy(update={"base_radius": value})
        outline = outline_of(cam, tip_of(parts[rider]), stance_in(scene, rider)).polygon()[::4]
        pose = moment.pose(name)
        shape = poly([stand.on_sheet(pose.place(point)) for point in outline])
    elif field == "guide.length":
        part: Any = parts[name]
        direction = getattr(part, "slides", math.pi / 2)
        x, y = stand.on_sheet(stand.drawing.start_of(part.guide.at))
        shape = box(-value * k / 2, -7.5 * k, value * k, 15 * k, 1.5 * k)
        shape.transform(place(x, y, -math.degrees(direction)))
    else:
        return
    c.drawPath(shape, stroke(INK, 4.2, 0.5 * share))
    c.drawPath(shape, stroke(palette.PAPER_LIT, 2.2, share, dash=(6, 5)))


def bites(
    c: Canvas, stand: Stand, f: Finding, moment: Moment, glow: float, is_plain: bool
) -> None:
    """Draw a jaw at each place where a stem wedges in its guide: at opposite ends, on opposite sides, as it leans; and the push."""
    motion = stand.motion
    part = motion.scene.parts.get(f.part)
    guide = getattr(part, "guide", None)
    if part is not None and guide is not None:
        direction = getattr(part, "slides", math.pi / 2)
        x, y = stand.drawing.start_of(guide.at)
        offset = getattr(part, "offset", 0.0) if hasattr(part, "tip") else 0.0
        x, y = x + math.sin(direction) * offset, y - math.cos(direction) * offset
        lean = math.copysign(
            1.0, math.remainder(moment.pose(f.part).angle - direction, math.tau)
        )
        half, wide = guide.length / 2, 5.0
        for end in (1, -1):
            along, aside = end * max(half - 1.5, 0.6 * half), end * lean * wide
            # aside > 0: to the left of the way it slides
            px = x + math.cos(direction) * along - math.sin(direction) * aside
            py = y + math.sin(direction) * along + math.cos(direction) * aside
            way = math.degrees(
                math.atan2(-(math.cos(direction) * aside), -math.sin(direction) * aside)
            )
            marks.bite(c, *stand.on_sheet((px, py)), 14, way, glow, is_plain)
    for contact in motion.contacts.values():
        is_caught = contact.kind == "teeth" and f.part in (contact.first, contact.second)
        if is_caught and moment.of(contact.normal) > 0:
            spot = moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1])
            nx, ny = moment.of(contact.direction[:, 0]), moment.of(contact.direction[:, 1])
            way = math.degrees(math.atan2(-ny, nx))
            marks.bite(c, *stand.on_sheet(spot), 14, way, glow, is_plain)
        if contact.kind != "cam" or f.part not in (contact.first, contact.second):
            continue
        q = stand.on_sheet((moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1])))
        nx, ny = moment.of(contact.direction[:, 0]), -moment.of(contact.direction[:, 1])
        if part is not None and contact.first == f.part:
            nx, ny = -nx, -ny
        if glow > 0.3:
            tail = (q[0] - nx * 62 * glow, q[1] - ny * 62 * glow)
            head = (q[0] - nx * 4, q[1] - ny * 4)
            marks.arrow(c, [tail, head], marks.hue_of("jam"), 7, 22, palette.PAPER_LIT)


class StandingPanel:
    """What is known of a piece that stands: for how long, what the drive gives, and that no push frees it where the run with a stronger one has said so.

    Parameters
    ----------
    motion
        What was recorded.
    finding
        The jam or the stall.
    effort
        What the drive gives; None where nothing drives.
    """

    def __init__(self, motion: Motion, finding: Finding, effort: Effort | None) -> None:
        self.finding, self.effort = finding, effort
        self.still_for = max(0.0, float(motion.times[-1]) - finding.from_s)
        has_handle = effort is None or effort.unit == "N"
        self.giver = "A hand gives" if has_handle else "The motor gives"
        self.is_held_fast = HELD_FAST in finding.sentence

    def draw(
        self, c: Canvas, x: float, y: float, w: float, h: float, share: float = 1.0
    ) -> None:
        """Draw the panel over what lay there before, eased in by a share from 0 to 1."""
        if share <= 0:
            return
        c.drawPath(box(x - 12, y, w + 24, h), fill(palette.PAPER_LIT, share))
        c.saveLayerAlpha(skia.Rect.MakeXYWH(x - 40, y - 20, w + 70, h + 40), round(255 * share))
        jam, stall = marks.hue_of("jam"), marks.hue_of("stall")
        row = min(118.0, h / 3.2)
        if self.finding.code == "stall":
            marks.mark(c, "stall", x + 17, y + 32, 16, None)
            letter(c, "STALL", x + 44, y + 42, "label-b", 29, fill(stall), track=1.2)
        else:
            marks.mark(c, "jam", x + 17, y + 32, 16, None)
            letter(c, "held fast", x + 44, y + 41, "label-b", 27, fill(jam))
        letter(c, f"All still for {self.still_for:.1f} s", x, y + 84, "label", 26, fill(INK))
        top = y + 84 + 0.56 * row
        if self.effort is not None and self.effort.most:
            most = self.effort.most
            given = f"{plain(most)} {self.effort.unit}"
            letter(c, self.giver, x, top, "label", 25, fill(INK_SOFT))
            letter(c, given, x + w, top, "label-b", 31, fill(INK), "r")
            c.drawPath(box(x, top + 12, w, 14, 2), fill(INK_SOFT))
        top += 0.74 * row
        if self.is_held_fast:
            self._torn(c, x, top, w, jam)
        else:
            words = "It takes more than that" if self.finding.code == "stall" else "Stuck"
            letter(c, words, x, top, "label-b", fit(words, "label-b", 28, w, 1, 22), fill(INK))
        c.restore()

    @staticmethod
    def _torn(c: Canvas, x: float, y: float, w: float, hue: str) -> None:
        words = "No push frees it"
        letter(c, words, x, y, "label-b", fit(words, "label-b", 31, w, 1, 24), fill(hue))
        top = y + 12
        # the need has no end: its bar is torn off
        edge: Sequence[tuple[float, float]] = ((6, 0), (-1, 4), (8, 8), (0, 12), (5, 16))
        torn = poly([(x, top), *((x + w + dx, top + dy) for dx, dy in edge), (x, top + 16)])
        c.drawPath(torn, fill(hue))
        hatch(c, torn, 6, -45, stroke(palette.PAPER_LIT, 1.4, 0.8))
        letter(c, "more push, more bite", x, top + 44, "label", 24, fill(INK_SOFT))


def plain(value: float) -> str:
    """Write a figure without needless zeros.

    Examples
    --------
    >>> plain(10.0), plain(4.83), plain(0.35)
    ('10', '4.8', '0.35')
    """
    return f"{value:.2g}" if abs(value) < 100 else f"{value:.0f}"
