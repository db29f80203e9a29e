"""What is said on a picture: engraved signs, cards, parcel tags, the reading glass, the handle dial, strips of paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from animator.pictures import palette
from animator.pictures.ink import (
    BUTT,
    SHADE,
    Canvas,
    Layer,
    Path,
    Sheet,
    arc,
    box,
    curve,
    cut,
    disc,
    fill,
    grow,
    hatch,
    place,
    poly,
    radial,
    ribbon,
    skia,
    soft,
    spline,
    stroke,
    turned,
    wedge,
)
from animator.pictures.lettering import fit, letter, width, wrap
from animator.pictures.palette import INK, INK_FAINT, INK_SOFT, MARKS, PAPER_LIT, mix
from animator.pictures.stuff import Piece, Stuffs

Series = NDArray[np.float64]
ROSE = palette.ROSE


def hue_of(code: str) -> str:
    """Give the colour in which a finding speaks."""
    return MARKS.get(code, INK)


# ---------------------------------------------------------------- the signs
def jaw(side: int = 1, scale: float = 1.0) -> Path:
    """One jaw of a vice, two fangs towards the middle; half of the jam mark, and what bites at a binding place."""
    k = side * scale
    return poly(
        [
            (k * x, scale * y)
            for x, y in (
                (1.0, -0.86),
                (0.50, -0.86),
                (0.15, -0.52),
                (0.46, -0.24),
                (0.46, 0.24),
                (0.15, 0.52),
                (0.50, 0.86),
                (1.0, 0.86),
            )
        ]
    )


def _line(path: Path, *points: tuple[float, float]) -> None:
    path.moveTo(*points[0])
    for q in points[1:]:
        path.lineTo(*q)


class _Sign:
    """The three layers of a sign: solid shapes, lines, thin lines; ``w`` the width of the lines, all for half height 1."""

    def __init__(self) -> None:
        self.solid, self.lines, self.thin, self.w = skia.Path(), skia.Path(), skia.Path(), 0.26


def _sign(code: str, is_fine: bool) -> _Sign:
    s = _Sign()
    if code == "float":  # a roller on its stem, lifted clear of a falling flank; light under it
        s.lines.addCircle(-0.12, -0.34, 0.36)
        _line(s.lines, (-0.12, -1.02), (-0.12, -0.66))
        s.lines.addPath(spline([(-1.0, 0.20), (-0.35, 0.46), (0.25, 0.68), (1.0, 0.80)]))
        if is_fine:
            for q in ((-0.74, 0.36), (-0.16, 0.60), (0.42, 0.78)):
                _line(s.thin, q, (q[0] - 0.24, q[1] + 0.36))
            s.solid.addCircle(-0.12, -0.34, 0.11)
    elif code == "slip":  # one hatching broken in two, its halves out of register
        for k in (-1, 0, 1):
            _line(s.lines, (k * 0.64 - 0.22, -0.15), (k * 0.64 + 0.12, -0.94))
            _line(s.lines, (k * 0.64 - 0.40, 0.94), (k * 0.64 - 0.06, 0.15))
        _line(s.thin, (-1.05, 0), (0.95, 0))
        s.w = 0.25
    elif code == "slack":  # a thread hanging loose between two nails, a knot in it
        for k in (-1, 1):
            s.solid.addRect(skia.Rect.MakeLTRB(k * 0.80 - 0.12, -0.90, k * 0.80 + 0.12, -0.10))
            s.solid.addRect(skia.Rect.MakeLTRB(k * 0.80 - 0.28, -0.98, k * 0.80 + 0.28, -0.76))
        s.lines.moveTo(-0.80, -0.48)
        s.lines.cubicTo(-0.55, 0.78, 0.55, 0.78, 0.80, -0.48)
        s.solid.addCircle(0, 0.47, 0.22)
        _line(s.lines, (0, 0.47), (-0.26, 0.96))
        _line(s.lines, (0, 0.47), (0.26, 0.96))
        s.w = 0.17
    elif code == "jam":  # two jaws biting a pin
        s.solid.addPath(jaw(-1))
        s.solid.addPath(jaw(1))
        s.solid.addCircle(0, 0, 0.27)
    elif code == "stall":  # a wheel chocked on both sides
        s.lines.addCircle(0, -0.14, 0.64)
        s.solid.addCircle(0, -0.14, 0.17)
        for a in range(30, 390, 60) if is_fine else ():
            t = math.radians(a)
            _line(s.thin, (0, -0.14), (0.6 * math.cos(t), -0.14 + 0.6 * math.sin(t)))
        for k in (-1, 1):
            s.solid.addPoly(
                [
                    skia.Point(k * 1.02, 0.62),
                    skia.Point(k * 0.58, 0.62),
                    skia.Point(k * 0.98, 0.08),
                ],
                True,
            )
        _line(s.lines, (-1.04, 0.82), (1.04, 0.82))
        s.w = 0.22
    elif code == "jerk":  # a stair of uneven steps, hatched below
        _line(
            s.lines,
            (-1.0, 0.74),
            (-0.52, 0.74),
            (-0.52, 0.46),
            (-0.24, 0.46),
            (-0.24, -0.36),
            (0.50, -0.36),
            (0.50, -0.78),
            (1.0, -0.78),
        )
        if is_fine:
            for x, y in ((-0.02, 0.10), (0.38, 0.10), (0.78, -0.30)):
                _line(s.thin, (x, y), (x - 0.34, y + 0.66))
        s.w = 0.22
    elif code == "skip":  # a pawl in the air over the tooth it should have held
        s.solid.addPath(
            poly(
                [
                    (-1.00, 0.98),
                    (-1.00, 0.62),
                    (-0.44, 0.24),
                    (-0.22, 0.76),
                    (0.28, 0.24),
                    (0.50, 0.76),
                    (1.00, 0.24),
                    (1.06, 0.98),
                ]
            )
        )
        s.solid.addPath(
            poly([(0.62, -0.92), (0.80, -0.56), (0.02, -0.30), (-0.42, 0.06), (-0.34, -0.44)])
        )
        s.lines.addCircle(0.76, -0.72, 0.19)
        s.w = 0.17
    elif code == "buckle":  # a wire pressed between two plates, bowed out of its line
        for k in (-1, 1):
            s.solid.addRect(skia.Rect.MakeLTRB(-0.62, k * 0.89 - 0.13, 0.62, k * 0.89 + 0.13))
        s.lines.moveTo(-0.24, -0.80)
        s.lines.cubicTo(1.02, -0.40, 1.02, 0.40, -0.24, 0.80)
        for y in (-0.56, -0.16, 0.24) if is_fine else ():
            _line(s.thin, (-0.24, y), (-0.24, y + 0.24))
        s.w = 0.21
    elif code == "strain":  # a strip drawn thin in its middle, and torn there
        for k in (-1, 1):
            edge = ((0.14, 0.30), (-0.02, 0.08), (0.18, -0.04), (0.04, -0.28))
            torn = [(x * (1 if k > 0 else -1) + 0.10 * k, y) for x, y in edge]
            outer = [(0.52, -0.52), (1.02, -0.66), (1.02, 0.66), (0.52, 0.52)]
            s.solid.addPath(poly([*torn, *((k * x, y) for x, y in outer)]))
    elif code == "seam":  # two ends of a band that don't quite meet, sewn together
        _line(s.lines, (-1.0, 0.30), (-0.10, 0.30))
        _line(s.lines, (0.10, -0.26), (1.0, -0.26))
        for x in (-0.42, 0.0, 0.42):
            _line(s.thin, (x - 0.12, 0.66), (x + 0.12, -0.62))
        s.w = 0.34
    else:  # contact, and whatever else is said: two round faces that kiss, strokes that swell where they touch
        for k in (-1, 1):
            arc_ = np.radians(np.linspace(-66, 66, 25))
            s.solid.addPath(
                ribbon(
                    np.stack([k * (0.93 - 0.80 * np.cos(arc_)), 1.04 * np.sin(arc_)], 1),
                    [0.14, 0.24, 0.30, 0.24, 0.14],
                )
            )
    return s


def mark(
    c: Canvas,
    code: str,
    x: float,
    y: float,
    r: float = 12,
    halo: str | None = PAPER_LIT,
    deg: float = 0.0,
) -> None:
    """One of the engraved signs of the trade, told apart without its colour.

    Parameters
    ----------
    c
        Canvas.
    code
        What is said: ``contact``, ``float``, ``slip``, ``slack``, ``jam``, ``stall`` ...
    x, y, r
        Middle and half height. Fine strokes are left out where they would only clog (under 11).
    halo
        The light line round it; None on plain paper.
    deg
        Turned clockwise.
    """
    hue, s = hue_of(code), _sign(code, r >= 11)
    c.save()
    c.translate(x, y)
    c.rotate(deg)
    c.scale(r, r)
    slim = max(0.10, 1.2 / r) if code == "slip" else max(0.13, 1.5 / r)
    w = max(s.w, 1.9 / r)
    if halo:
        for path, breadth in ((s.solid, 0.42), (s.lines, w + 0.42), (s.thin, slim + 0.36)):
            c.drawPath(path, stroke(halo, breadth))
        if code in ("stall", "slip", "float", "jerk", "seam"):
            c.drawPath(box(-1, -0.85, 2, 1.75, 0.3), fill(halo))
    c.drawPath(s.solid, fill(hue))
    if code == "jam":
        c.drawPath(disc(0, 0, 0.38), stroke(halo or PAPER_LIT, 0.10))
    c.drawPath(s.thin, stroke(hue, slim))
    c.drawPath(s.lines, stroke(hue, w, cap=BUTT if code in ("slip", "float", "seam") else None))
    c.restore()


def bite(
    c: Canvas, x: float, y: float, r: float, deg: float, glow: float, is_plain: bool = False
) -> None:
    """Half of the jam mark, full size: one jaw biting the place that binds, which glows by 0 to 1. ``deg``: where the jaw comes from."""
    if not is_plain:
        c.drawPath(
            disc(x, y, r * 1.25),
            radial(
                (x, y),
                r * 1.25,
                [
                    (0, "#FFC27A", 0.95 * glow),
                    (0.35, "#E8622F", 0.55 * glow),
                    (1, palette.MADDER, 0),
                ],
            ),
        )
    tooth = jaw(1, r)
    c.save()
    c.translate(x, y)
    c.rotate(deg)
    c.drawPath(grow(tooth, 2.4), fill(PAPER_LIT))
    c.drawPath(tooth, fill(MARKS["jam"]))
    c.restore()


# ---------------------------------------------------------------- motion and arrows


def arrow(
    c: Canvas,
    points: ArrayLike,
    hue: str = INK,
    breadth: float = 2.4,
    head: float = 10,
    halo: str | None = None,
) -> None:
    """Draw an arrow: a smooth line that swells a little, and an open barbed head."""
    line = curve(points, 40)
    d = line[-1] - line[-4]
    d /= np.hypot(*d) + 1e-12
    n = np.array([-d[1], d[0]])
    tip = line[-1]
    barb = poly(
        [
            tip,
            tip - d * head + n * head * 0.52,
            tip - d * head * 0.72,
            tip - d * head - n * head * 0.52,
        ]
    )
    body = ribbon(
        line[:-3] if len(line) > 8 else line, [breadth * 0.5, breadth * 0.8, breadth, breadth]
    )
    if halo:
        for shape in (body, barb):
            c.drawPath(grow(shape, 1.6), fill(halo))
    c.drawPath(body, fill(hue))
    c.drawPath(barb, fill(hue))


# ---------------------------------------------------------------- got, due, lost: the same three wherever a drive slips
def got_bar(c: Canvas, path: Path, ground: str = INK) -> None:
    """Draw the red bar: where the driven thing is."""
    c.drawPath(grow(path, 1.4), fill(ground))
    c.drawPath(path, fill(ROSE))


def due_bar(c: Canvas, path: Path) -> None:
    """Draw the dashed bar: where it ought to be."""
    c.drawPath(grow(path, 2), fill(PAPER_LIT))
    c.drawPath(path, stroke(INK, 2.0, dash=(5, 4)))


def lost_slice(c: Canvas, path: Path, gap: float = 6.5) -> None:
    """Draw the missing slice: amber, hatched, with an ink rim."""
    c.drawPath(path, fill(palette.LAG))
    hatch(c, path, gap, -45, stroke(MARKS["slip"], 2.2))
    c.drawPath(path, stroke(INK, 1.4))


def little_roof(
    c: Canvas, x: float, y: float, r: float, share: float, due: float = 1.0
) -> None:
    """One turn as a little roof seen from above, filled by ``share``; what was ``due`` and is missing is the hatched slice."""
    share, due = min(max(share, 0.0), 1.0), min(max(due, 0.0), 1.0)
    c.drawPath(disc(x, y, r), fill(PAPER_LIT))
    if due - share > 0.004:
        lost_slice(c, wedge(x, y, r, -90 + 360 * share, 360 * (due - share)), 6)
    if share > 0:
        c.drawPath(wedge(x, y, r, -90, 360 * share), fill(ROSE))
    if share > 0.996:
        for a in range(0, 360, 45):
            t = math.radians(a)
            c.drawLine(
                x, y, x + r * math.cos(t), y + r * math.sin(t), stroke(palette.CREAM, 1.2, 0.8)
            )
    c.drawPath(disc(x, y, r), stroke(INK, 1.7))


# ---------------------------------------------------------------- cards and tags
def pin(c: Canvas, x: float, y: float, r: float = 6, is_plain: bool = False) -> None:
    """Draw a map pin holding a card."""
    if not is_plain:
        c.drawPath(disc(x + 3, y + 5, r * 0.9), soft(SHADE, 0.5, 2.2))
    head = (
        fill(ROSE)
        if is_plain
        else radial(
            (-r * 0.35, -r * 0.4),
            r * 1.5,
            [(0, mix(ROSE, "#FFFFFF", 0.7)), (0.4, ROSE), (1, mix(ROSE, "#000000", 0.5))],
        )
    )
    Piece(disc(0, 0, r), head, 1, 0).draw(c, place(x, y))


def card(
    c: Canvas,
    x: float,
    y: float,
    w: float,
    h: float,
    is_pinned: bool = True,
    is_plain: bool = False,
    base: str = PAPER_LIT,
) -> None:
    """Draw a cut card lying on the sheet: shadow, a lit upper edge, a cut lower edge."""
    if is_plain:
        c.drawPath(box(x + 3, y + 5, w, h, 3), fill("#000000", 0.22))
    else:
        c.drawPath(box(x + 2, y + 5, w - 1, h, 3), soft("#2A1808", 0.45, 6))
    c.drawPath(box(x + 1.2, y + 1.8, w, h, 3), fill("#B79F77"))
    c.drawPath(box(x, y, w, h, 3), fill(base))
    c.drawPath(box(x + 0.6, y + 0.6, w - 1.2, h - 1.2, 3), stroke("#FFFFFF", 1, 0.8))
    if is_pinned:
        pin(c, x + w / 2, y + 9, is_plain=is_plain)


def thread(c: Canvas, x: float, y: float, code: str, to: tuple[float, float]) -> None:
    """Draw the thread from the hole of a tag to the place it speaks of; it hangs a little."""
    line = curve([to, (to[0] * 0.45 + x * 0.55, max(to[1], y) + 14), (x, y)], 24)
    c.drawPath(poly(line + np.array([2.5, 4]), False), stroke("#000000", 1.8, 0.28))
    c.drawPath(poly(line, False), stroke(PAPER_LIT, 3.2))
    c.drawPath(poly(line, False), stroke(hue_of(code), 1.7))


def tag(
    c: Canvas,
    x: float,
    y: float,
    code: str,
    word: str | None = None,
    size: float = 24,
    turn_deg: float = -4,
    is_plain: bool = False,
) -> None:
    """Draw a parcel tag with mark and word; (x, y) is its hole, at its left end."""
    word = word or code
    tw = width(word, "label-b", size)
    w, h = tw + size * 2.75, size * 1.62
    n = h * 0.32
    shape = poly(
        [
            (-12, -h / 2 + n),
            (-12 + n, -h / 2),
            (w - 12, -h / 2),
            (w - 12, h / 2),
            (-12 + n, h / 2),
            (-12, h / 2 - n),
        ]
    )
    c.save()
    c.translate(x, y)
    c.rotate(turn_deg)
    c.save()
    c.translate(4, 7)
    c.drawPath(shape, fill("#000000", 0.22) if is_plain else soft(SHADE, 0.45, 4))
    c.restore()
    c.drawPath(grow(shape, 1.1), fill(INK))
    c.drawPath(shape, fill(palette.TAG))
    c.drawPath(disc(0, 0, 6.2), fill("#C4823F"))
    c.drawPath(disc(0, 0, 2.8), fill(INK))
    mark(
        c, code, 14 + size * 0.55, 0, size * 0.48, halo=palette.TAG if code == "stall" else None
    )
    letter(c, word, 14 + size * 1.3, size * 0.34, "label-b", size, fill(hue_of(code)))
    c.restore()


# ---------------------------------------------------------------- the reading glass
class ReadingGlass:
    """A brass reading glass laid beside the piece. What the lens shows is drawn with the lens as clip and its middle as origin."""

    def __init__(
        self,
        sheet: Sheet,
        x: float,
        y: float,
        r: float,
        stuffs: Stuffs,
        handle_deg: float = 76,
        handle: float = 72,
    ) -> None:
        self.x, self.y, self.r, self.lens = x, y, r, disc(0, 0, r)
        ring = cut(disc(0, 0, r + 11), self.lens)
        brass = stuffs.turned(0, 0)
        grip = spline(
            [
                (r + 24, -8),
                (r + 40, -10),
                (r + handle, -12),
                (r + handle + 22, -9),
                (r + handle + 28, 0),
                (r + handle + 22, 9),
                (r + handle, 12),
                (r + 40, 10),
                (r + 24, 8),
            ],
            True,
        )
        grip_piece = Piece(grip, stuffs.round((0, -12), (0, 12), ROSE), 1.3, 7)
        ferrule = Piece(
            box(r + 8, -8, 22, 16, 2), stuffs.round((0, -8), (0, 8), "brass"), 1.2, 6
        )
        shine = skia.Path()
        shine.addArc(skia.Rect.MakeLTRB(-r + 9, -r + 9, r - 9, r - 9), 198, 52)
        vignette = radial(
            (0, 0),
            r,
            [
                (0, "#FFFFFF", 0.05),
                (0.75, "#FFFFFF", 0.0),
                (0.93, "#10201F", 0.22),
                (1, "#10201F", 0.5),
            ],
        )

        def below(c: Canvas) -> None:
            c.translate(x, y)
            if not stuffs.is_plain:
                c.drawPath(cut(disc(9, 14, r + 11), disc(0, 0, r - 2)), soft("#140C06", 0.5, 8))
            grip_piece.draw(c, place(0, 0, handle_deg), stuffs.is_plain)
            ferrule.draw(c, place(0, 0, handle_deg), stuffs.is_plain)

        def above(c: Canvas) -> None:
            c.translate(x, y)
            if not stuffs.is_plain:
                c.drawPath(self.lens, vignette)
                c.drawPath(shine, stroke("#FFFFFF", 4, 0.5))
            c.drawPath(ring, brass)
            c.drawPath(disc(0, 0, r), stroke(INK, 1.5))
            c.drawPath(disc(0, 0, r + 11), stroke(INK, 1.8))
            if not stuffs.is_plain:
                c.drawPath(disc(0, 0, r + 4), stroke(palette.METALS["brass"][0], 1.2, 0.8))

        self._below = Layer(sheet.w, sheet.h, sheet.unit, below)
        self._above = Layer(sheet.w, sheet.h, sheet.unit, above)

    def draw(self, c: Canvas, inside: Callable[[Canvas], None]) -> None:
        """Draw the glass and what it shows."""
        self._below.lay(c)
        c.save()
        c.translate(self.x, self.y)
        c.clipPath(self.lens, skia.ClipOp.kIntersect, True)
        inside(c)
        c.restore()
        self._above.lay(c)

    def lead(self, c: Canvas, spot: tuple[float, float], code: str, ring: float = 13) -> None:
        """Draw two thin lines from the place to the glass."""
        angle = math.atan2(self.y - spot[1], self.x - spot[0])
        ringed = disc(*spot, ring)
        for w, hue in ((5, PAPER_LIT), (2.4, hue_of(code))):
            c.drawPath(ringed, stroke(hue, w))
            for k in (-1, 1):
                t = angle + k * 1.25
                far = angle + math.pi - k * 0.9
                c.drawLine(
                    spot[0] + ring * math.cos(t), spot[1] + ring * math.sin(t),
                    self.x + (self.r + 8) * math.cos(far), self.y + (self.r + 8) * math.sin(far), stroke(hue, w * 0.7),
                )  # fmt: skip


# ---------------------------------------------------------------- the handle dial
SWELL = 0.16  # of the dial's radius: how far the fullest band stands out; its ring stays clear of the figures


class Dial:
    """One turn of the drive as a clock face, 0 degrees up, figures at its quarters in the running direction.

    The band swells outward where the hand must push and dips inward where the piece pulls; its played part is inked.

    Parameters
    ----------
    r
        Radius of the face.
    effort
        Effort at each degree of the turn, (361,); 0 for degrees never reached. [N, or N mm for a motor]
    stuffs
        Materials.
    marks
        (degree, code) of what is found in this turn.
    full
        Effort that fills the band.
    limit
        What a hand gives, drawn as a dashed ring; None leaves it out.
    sense
        +1 the dial turns clockwise, -1 anticlockwise: as the piece does.
    has_handle
        Whether the needle is a crank; a motor's is plain.
    """

    def __init__(
        self,
        r: float,
        effort: Series,
        stuffs: Stuffs,
        marks: Sequence[tuple[float, str]] = (),
        full: float | None = None,
        limit: float | None = None,
        sense: int = 1,
        has_handle: bool = True,
    ) -> None:
        self.has_handle = has_handle
        self.r, self.effort, self.stuffs, self.marks, self.limit = (
            r,
            np.asarray(effort, float),
            stuffs,
            list(marks),
            limit,
        )
        self.base, self.full = r * 0.47, full or float(np.abs(self.effort).max()) or 1.0
        self.sense = sense
        a = np.radians(sense * np.arange(361) - 90)
        self._radii = self.base + np.clip(self.effort / self.full, -1, 1) * r * SWELL
        self._rim = np.stack([np.cos(a), np.sin(a)], 1)
        strap = poly(
            np.vstack(
                [arc(0, 0, r * 0.085, 0, 180, 12), arc(0, -r * 0.44, r * 0.05, 180, 360, 10)]
            )
        )
        self._crank = Piece(
            strap, stuffs.sheet((-r * 0.1, -r * 0.44, r * 0.1, r * 0.1)), 1.1, 4
        )
        self._knob = Piece(disc(0, 0, r * 0.095), stuffs.ball(0, 0, r * 0.095, ROSE), 1.1, 4)
        self._nut = Piece(
            disc(0, 0, r * 0.055), stuffs.turned(0, 0, "steel"), 0.9, 1, still_light=True
        )

    def _band(self, upto_deg: float, is_outward: bool) -> Path:
        n = int(min(max(upto_deg, 0), 360)) + 1
        radii = (
            np.maximum(self._radii[:n], self.base)
            if is_outward
            else np.minimum(self._radii[:n], self.base)
        )
        return poly(
            np.vstack([self._rim[:n] * radii[:, None], (self._rim[:n] * self.base)[::-1]])
        )

    def still(self, c: Canvas, x: float, y: float) -> None:
        """Draw the face, which never moves."""
        r, s = self.r, self.stuffs
        c.save()
        c.translate(x, y)
        if not s.is_plain:
            c.drawPath(disc(5, 9, r + 8), soft(SHADE, 0.5, 7))
        c.drawPath(disc(0, 0, r + 9), fill(INK))
        c.drawPath(disc(0, 0, r + 7.6), s.turned(0, 0))
        c.drawPath(disc(0, 0, r + 1), fill(INK))
        c.drawPath(disc(0, 0, r), fill(PAPER_LIT))
        ticks, quarters = skia.Path(), skia.Path()
        for d in range(0, 360, 10):
            q = self._rim[d]
            _line(
                quarters if d % 90 == 0 else ticks,
                tuple(q * r * 0.985),
                tuple(q * r * (0.88 if d % 90 == 0 else 0.94)),
            )
        c.drawPath(ticks, stroke(INK_SOFT, 1.1))
        c.drawPath(quarters, stroke(INK, 2.6))
        for is_outward, hue in ((True, "#E3B07A"), (False, "#9FC7B8")):
            c.drawPath(self._band(360, is_outward), fill(mix(hue, PAPER_LIT, 0.62)))
        c.drawPath(disc(0, 0, self.base), stroke(INK_SOFT, 1.1))
        if self.limit:
            c.drawPath(
                disc(0, 0, self.base + r * SWELL * min(self.limit / self.full, 1.4)),
                stroke(MARKS["jam"], 1.6, dash=(5, 4)),
            )
        # figures beside the quarters' strokes, not on them
        size = max(16.0, r * 0.15)
        for quarter in (0, 90, 180, 270):
            if any(abs((degree - quarter + 180) % 360 - 180) < 14 for degree, _ in self.marks):
                continue  # a sign stands there and says the degree by its place
            px, py = (float(v) * r for v in self._rim[quarter])
            if quarter % 180 == 0:
                letter(
                    c,
                    f"{quarter}°",
                    px * 0.79,
                    py * 0.79 + 6,
                    "label",
                    size,
                    fill(INK),
                    "c",
                )
            else:
                words = f"{quarter}°"
                left = px * 0.95 - (width(words, "label", size) if px > 0 else 0.0)
                letter(c, words, left, -7, "label", size, fill(INK))
        for degree, code in self.marks:
            q = self._rim[round(degree) % 360] * r * 0.84
            mark(c, code, float(q[0]), float(q[1]), r * 0.11)
        c.restore()

    def moving(self, c: Canvas, x: float, y: float, deg: float) -> None:
        """Draw band, needle and handle at an angle of this turn."""
        c.save()
        c.translate(x, y)
        for is_outward, hue in ((True, "#C8783A"), (False, "#3E8A76")):
            c.drawPath(self._band(deg, is_outward), fill(hue, 0.92))
        deg *= self.sense
        ux, uy = turned((0, -1), deg)
        r = self.r
        c.drawLine(ux * r * 0.30, uy * r * 0.30, ux * r * 0.97, uy * r * 0.97, stroke(INK, 1.6))
        c.drawPath(
            poly(
                [
                    (ux * r * 0.99, uy * r * 0.99),
                    (ux * r * 0.9 - uy * 5, uy * r * 0.9 + ux * 5),
                    (ux * r * 0.9 + uy * 5, uy * r * 0.9 - ux * 5),
                ]
            ),
            fill(INK),
        )
        if self.has_handle:
            self._crank.draw(c, place(0, 0, deg), self.stuffs.is_plain)
            self._knob.draw(c, place(ux * r * 0.44, uy * r * 0.44), self.stuffs.is_plain)
        else:
            c.drawLine(0, 0, ux * r * 0.5, uy * r * 0.5, stroke(INK, 3.4))
        self._nut.draw(c, None, self.stuffs.is_plain)
        c.restore()


# ---------------------------------------------------------------- strips
def tiny_handle(c: Canvas, x: float, y: float, deg: float, r: float = 15) -> None:
    """Draw a tiny handle as it stands at an angle: it names the quarters of a turn where figures would be too small to read."""
    q = turned((0, -r), deg)
    c.drawLine(x, y, x + q[0], y + q[1], stroke(INK_SOFT, 3))
    c.drawPath(disc(x, y, 3.4), fill(INK_SOFT))
    c.drawPath(disc(x + q[0], y + q[1], 4.6), fill(ROSE))
    c.drawPath(disc(x + q[0], y + q[1], 4.6), stroke(INK, 1.2))


class Strip:
    """A running chart on a paper strip: what is past in ink, what is to come in grey, a needle, one big figure.

    Parameters
    ----------
    x, y, w, h
        Where the lines are, in design units.
    title, unit
        Words at its head.
    values
        Evenly over the stretch shown, (value_count,).
    low, top
        Values at the foot and the head of the strip.
    zones
        (from, to, code), shares of the stretch, hatched.
    line_count
        How many parts the stretch is ruled into.
    shape
        How the figure is written, as for ``format``.
    """

    def __init__(
        self,
        x: float,
        y: float,
        w: float,
        h: float,
        title: str,
        values: Series,
        unit: str,
        low: float = 0.0,
        top: float | None = None,
        zones: Sequence[tuple[float, float, str]] = (),
        line_count: int = 4,
        shape: str = "{:.1f}",
        size: float = 26,
        has_handles: bool = False,
        sense: int = 1,
        begins_deg: float | None = None,
    ) -> None:
        self.begins_deg = begins_deg
        self.x, self.y, self.w, self.h, self.title, self.unit = x, y, w, h, title, unit
        self.values, self.zones, self.shape, self.size = (
            np.asarray(values, float),
            list(zones),
            shape,
            size,
        )
        self.line_count, self.has_handles, self.sense = line_count, has_handles, sense
        top = float(self.values.max()) if top is None else top
        span = (top - low) or 1.0
        rows = h - (np.clip(self.values, low, top) - low) / span * h
        self._rows = rows
        points = np.stack([np.linspace(0, w, len(rows)), rows], 1)
        self._foot = h - (0 - low) / span * h if low < 0 < top else h
        self._lines = poly(points, False)
        self._area = poly(np.vstack([points, [[w, self._foot], [0, self._foot]]]))

    def still(self, c: Canvas) -> None:
        """Draw what never moves: title, rules, hatched zones, the line to come."""
        c.save()
        c.translate(self.x, self.y)
        size = fit(self.title, "label", self.size, self._title_room(), 1, self.size * 0.7)
        lines = wrap(self.title, "label", size, self._title_room())
        title = lines[0] if len(lines) == 1 else f"{lines[0]} ..."
        letter(c, title, 0, -self.size * 0.62, "label", size)
        rules = skia.Path()
        for share, _ in self._ruled():
            _line(rules, (self.w * share, 0), (self.w * share, self.h))
        c.drawPath(rules, stroke(INK_FAINT, 0.8, 0.7))
        for start, stop, code in self.zones:
            zone = box(self.w * start, -3, max(self.w * (stop - start), 3.0), self.h + 3)
            c.drawPath(zone, fill(mix(hue_of(code), PAPER_LIT, 0.80)))
            hatch(c, zone, 5, -45, stroke(hue_of(code), 1.0, 0.55))
        c.drawPath(self._lines, stroke(INK_FAINT, 2.0))
        c.drawLine(0, self._foot, self.w, self._foot, stroke(INK, 1.6))
        if self.has_handles:
            for share, deg in self._ruled():
                tiny_handle(c, self.w * share, self.h + 27, deg * self.sense)
        c.restore()

    def _told(self, value: float) -> str:
        words = self.shape.format(value)
        words = words.lstrip("-") if float(words) == 0 else words.replace("-", "\N{MINUS SIGN}")
        return words + ("" if self.unit == "°" else " ") + self.unit

    def _title_room(self) -> float:
        """What the widest figure leaves of the line over the strip."""
        ends = (
            (float(self.values.min()), float(self.values.max())) if len(self.values) else (0.0,)
        )
        figure = max(width(self._told(end), "label-b", self.size * 1.18) for end in ends)
        return self.w - figure - 10

    def _ruled(self) -> list[tuple[float, float]]:
        """Where the strip is ruled: share of its width, and degree of the handle there if it is one turn, which may begin anywhere."""
        if self.begins_deg is None:
            return [(i / self.line_count, 0.0) for i in range(self.line_count + 1)]
        first = math.ceil((self.begins_deg - 1.0) / 90) * 90
        degrees = [first + 90.0 * i for i in range(5)]
        return [
            (min(max((deg - self.begins_deg) / 360, 0.0), 1.0), deg)
            for deg in degrees
            if deg <= self.begins_deg + 361
        ]

    def moving(self, c: Canvas, share: float, shown: float | None = None) -> None:
        """Draw the past, the needle and the figure; ``shown`` is the value written (it changes less often than the needle)."""
        share = min(max(share, 0.0), 1.0)
        i = round((len(self.values) - 1) * share)
        x, y = self.w * share, float(self._rows[i])
        c.save()
        c.translate(self.x, self.y)
        c.save()
        c.clipRect(skia.Rect.MakeLTRB(-3, -6, x, self.h + 2))
        c.drawPath(self._area, fill(palette.METALS["brass"][1], 0.22))
        c.drawPath(self._lines, stroke(INK, 2.6))
        c.restore()
        c.drawLine(x, -6, x, self.h + 6, stroke(INK, 2))
        diamond = poly([(x, y - 6.5), (x + 6.5, y), (x, y + 6.5), (x - 6.5, y)])
        c.drawPath(diamond, fill(PAPER_LIT))
        c.drawPath(diamond, stroke(INK, 2.2))
        value = float(self.values[i]) if shown is None else shown
        letter(
            c,
            self._told(value),
            self.w,
            -self.size * 0.62,
            "label-b",
            self.size * 1.18,
            fill(INK),
            "r",
        )
        c.restore()


Half = Literal["far", "near"]
