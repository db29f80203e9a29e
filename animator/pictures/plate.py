"""The page a piece stands on: printed sheet, ruled sun, border, bench, and the cabinet, cut open so that the mechanism is seen.

Everything is sized from the frame and from where the parts really go. Design units, y down; the cabinet's origin is the
lower left corner of its frame.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from animator.pictures import palette
from animator.pictures.drawing import Setting
from animator.pictures.ink import (
    Canvas,
    Path,
    box,
    cut,
    disc,
    fill,
    grow,
    hatch,
    join,
    linear,
    oval,
    place,
    poly,
    radial,
    skia,
    soft,
    spline,
    stroke,
)
from animator.pictures.ink import common as shared
from animator.pictures.lettering import letter, width
from animator.pictures.palette import INK, INK_SOFT, mix
from animator.pictures.stuff import Piece, Stuffs, family, paper, ply_edge, screw

PLATE_INK = "#1C1204"  # black wax in brass: read by lamplight too
LEAST_PLATE = 9.5  # design units; smaller letters on a name plate can't be read


# ---------------------------------------------------------------- the wall
def border(
    c: Canvas, x: float, y: float, w: float, h: float, hue: str = INK_SOFT, alpha: float = 0.55
) -> None:
    """Draw the plate's border: a thick and a thin rule with nicked corners."""
    for inset, breadth in ((0, 1.6), (5, 0.7)):
        left, top, ww, hh, n = x + inset, y + inset, w - 2 * inset, h - 2 * inset, 13
        right, foot = left + ww, top + hh
        rule = skia.Path()
        rule.moveTo(left + n, top)
        rule.lineTo(right - n, top)
        rule.arcTo(skia.Rect.MakeXYWH(right - n, top - n, 2 * n, 2 * n), 180, -90, False)
        rule.lineTo(right, foot - n)
        rule.arcTo(skia.Rect.MakeXYWH(right - n, foot - n, 2 * n, 2 * n), 270, -90, False)
        rule.lineTo(left + n, foot)
        rule.arcTo(skia.Rect.MakeXYWH(left - n, foot - n, 2 * n, 2 * n), 0, -90, False)
        rule.lineTo(left, top + n)
        rule.arcTo(skia.Rect.MakeXYWH(left - n, top - n, 2 * n, 2 * n), 90, -90, False)
        c.drawPath(rule, stroke(hue, breadth, alpha))


def sun(
    c: Canvas,
    x: float,
    y: float,
    r: float,
    ground: str = palette.PAPER,
    is_plain: bool = False,
    gap: float = 8.0,
    hue: str = palette.SUN,
) -> None:
    """Draw the printed disc behind the figure, ruled like an engraving: lines thicken towards its foot."""
    line = mix(hue, ground, 0.62 if hue == palette.SUN else 0.55)
    c.drawPath(disc(x, y, r), fill(hue))
    c.save()
    c.clipPath(disc(x, y, r), skia.ClipOp.kIntersect, True)
    count = int(2 * r / gap)
    for i in range(count):
        v = i / count
        c.drawLine(
            x - r,
            y - r + i * gap,
            x + r,
            y - r + i * gap,
            stroke(line, 0.4 + 2.6 * v**1.5, 1 if is_plain else 0.8),
        )
    c.restore()


def wall(
    c: Canvas,
    w: float,
    h: float,
    stuffs: Stuffs,
    base: str = palette.PAPER,
    has_border: bool = True,
    sun_at: tuple[float, float, float] | None = None,
) -> None:
    """Draw the sheet on the wall, lamp light falling from the upper left."""
    is_plain = stuffs.is_plain
    sheet = skia.Rect.MakeWH(w, h)
    is_kraft = base == palette.KRAFT
    c.drawRect(sheet, fill(base) if is_plain else paper(base, 1.7 if is_kraft else 1.0))
    if has_border:
        border(c, 20, 20, w - 40, h - 40, alpha=1 if is_plain else 0.6)
    if sun_at:
        sun(c, *sun_at, base, is_plain)
    if not is_plain:
        if is_kraft:
            c.drawRect(
                sheet,
                radial(
                    (w * 0.36, h * 0.3),
                    max(w, h) * 0.85,
                    [(0, "#FFF3D6", 0.40), (0.5, "#FFF3D6", 0.05), (1, "#4A2E14", 0.40)],
                ),
            )
        else:
            c.drawRect(
                sheet,
                radial(
                    (w * 0.42, h * 0.32),
                    max(w, h) * 0.85,
                    [(0, "#FFF8E4", 0.45), (0.5, "#FFF3DC", 0), (1, "#5A3C1E", 0.34)],
                ),
            )


def night(
    c: Canvas,
    w: float,
    h: float,
    stuffs: Stuffs,
    has_border: bool = True,
    pool: tuple[float, float, float] | None = None,
) -> None:
    """Draw the wall in the evening: night blue, a little light in its middle, its edges in the dark; ``pool``: the lamp's light on it, (x, y, radius)."""
    sheet = skia.Rect.MakeWH(w, h)
    c.drawRect(sheet, fill(palette.NIGHT) if stuffs.is_plain else paper(palette.NIGHT))
    if has_border:
        border(c, 20, 20, w - 40, h - 40, palette.STRING, 0.5)
    if not stuffs.is_plain:
        c.drawRect(
            sheet,
            radial(
                (w * 0.62, h * 0.42),
                max(w, h) * 0.66,
                [(0, "#FFD79A", 0.10), (0.42, "#5C6E78", 0.10), (1, "#05090E", 0.62)],
            ),
        )
        if pool is not None:
            lamp = [(0, "#E9C58A", 0.36), (0.55, "#B99A6C", 0.16), (1, "#8A7A5C", 0.0)]
            c.drawPath(disc(*pool), radial(pool[:2], pool[2], lamp))
    elif pool is not None:
        c.drawPath(disc(*pool), fill(mix(palette.NIGHT, palette.MOON, 0.12)))


def shade_for_words(c: Canvas, x: float, y: float, w: float, h: float, is_plain: bool) -> None:
    """Darken the wood under light words, so that they can be read where the light falls on it."""
    if is_plain:
        return
    c.drawPath(box(x - 8, y, w + 16, h, h / 2), soft("#1E1006", 0.60, 9))


def bench(c: Canvas, w: float, h: float, horizon: float, stuffs: Stuffs) -> None:
    """Draw the bench: walnut, one joint line across it with a light below it."""
    top, joint = box(-4, horizon, w + 8, h - horizon + 4), horizon + (h - horizon) * 0.46
    if not stuffs.is_plain:
        c.drawPath(box(-40, horizon - 6, w + 80, 12), soft("#2A1808", 0.35, 9))
    c.drawPath(top, stuffs.wood("bench", 0.9, 0, 0, horizon))
    if not stuffs.is_plain:
        c.drawPath(top, linear((0, horizon), (0, h), [(0, "#2A1808", 0.42), (1, "#2A1808", 0)]))
        c.drawPath(
            top,
            radial(
                (w * 0.40, h),
                w * 0.75,
                [(0, "#FFE7B8", 0.22), (0.6, "#000000", 0), (1, "#000000", 0.45)],
            ),
        )
        c.drawLine(0, joint, w, joint, stroke("#2E1C10", 1.6, 0.55))
        c.drawLine(0, joint + 1.6, w, joint + 1.6, stroke("#E8C79A", 0.8, 0.25))
    else:
        c.drawLine(0, joint, w, joint, stroke(palette.WALNUT_DEEP, 1.6))
    c.drawLine(0, horizon, w, horizon, stroke(INK, 1.6, 0.9))


# ---------------------------------------------------------------- what lies on the bench
def pencil(c: Canvas, x: float, y: float, deg: float, length: float, stuffs: Stuffs) -> None:
    """Draw a pencil."""
    m, is_plain = place(x, y, deg), stuffs.is_plain
    lacquer = (
        fill(palette.ROSE)
        if is_plain
        else linear(
            (0, -5),
            (0, 5),
            [
                (0, "#D98373"),
                (0.3, "#C25B4A"),
                (0.34, "#A94A3B"),
                (0.66, "#A94A3B"),
                (0.7, "#7C3127"),
                (1, "#6A281F"),
            ],
        )
    )
    point = (poly([(length + 15, -1.7), (length + 22, 0), (length + 15, 1.7)]), fill(INK))
    Piece(
        poly([(length, -5), (length + 22, 0), (length, 5)]),
        fill(palette.PLY_LIT),
        1.1,
        5,
        details=[point],
    ).draw(c, m, is_plain)
    Piece(poly([(0, -5), (length, -5), (length, 5), (0, 5)]), lacquer, 1.1, 5).draw(
        c, m, is_plain
    )
    Piece(box(-2, -5.4, 12, 10.8), stuffs.round((0, -5.4), (0, 5.4), "brass"), 1.0, 0).draw(
        c, m, is_plain
    )


def shaving(
    c: Canvas, x: float, y: float, r: float, stuffs: Stuffs, deg: float = 0.0, turns: int = 3
) -> None:
    """Draw a curl from the plane: a ribbon wound like a corkscrew; its inside in shade, both ends thin."""
    t = np.linspace(0, turns, turns * 26 + 1)
    a = 2 * math.pi * t
    taper = np.clip(np.minimum(t, turns - t) * 2.2, 0.12, 1)
    swell = r * (0.80 + 0.20 * np.sin(t * 1.9 + 1))
    line = np.stack(
        [r * 1.45 * t + 0.42 * swell * np.sin(a), -swell + swell * np.cos(a) * 0.98], 1
    )
    wide = np.stack([r * 1.10 * taper, -0.10 * r * taper], 1)
    near_side = np.sin((a[:-1] + a[1:]) / 2) > 0
    c.save()
    c.translate(x, y)
    c.rotate(deg)
    if stuffs.is_plain:
        c.drawPath(
            box(0, -r * 0.1, r * 1.45 * turns + r * 0.8, r * 0.3, r * 0.15),
            fill(palette.WALNUT_DEEP),
        )
    else:
        c.drawPath(
            box(-r * 0.2, -r * 0.35, r * 1.45 * turns + r * 1.1, r * 0.8, r * 0.4),
            soft("#1E1006", 0.55, r * 0.26),
        )
    for is_near in (False, True):
        edges = np.flatnonzero(
            np.diff(np.concatenate([[False], near_side == is_near, [False]]).astype(int))
        )
        for start, stop in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            part, half = line[start : stop + 1], wide[start : stop + 1] / 2
            strip = poly(np.vstack([part - half, (part + half)[::-1]]))
            c.drawPath(grow(strip, 1.0), fill(INK))
            if stuffs.is_plain:
                c.drawPath(strip, fill(palette.PLY_LIT if is_near else palette.PLY_DARK))
                continue
            stops = (
                [(0, "#FBEBC8"), (0.35, "#F0D5A0"), (0.8, "#CFA368"), (1, "#A87842")]
                if is_near
                else [(0, "#A97B48"), (0.5, "#8A5F34"), (1, "#B98A52")]
            )
            c.drawPath(strip, linear((0, -2 * r), (0, 0), stops))
            for share in (-0.44, 0.24):
                c.drawPath(
                    poly(part + half * share, False),
                    stroke("#9C6E3C" if is_near else "#5E3E20", 0.7, 0.6),
                )
    c.restore()


def pot(c: Canvas, x: float, y: float, stuffs: Stuffs) -> None:
    """Draw the paint pot: a tin with paint run down its side and three brushes in it. (x, y): middle of its foot."""
    is_plain = stuffs.is_plain
    c.save()
    c.translate(x, y)
    if is_plain:
        c.drawPath(poly([(-26, 2), (30, -6), (96, 8), (30, 14)]), fill(palette.WALNUT_DEEP))
    else:
        c.drawPath(
            poly([(-22, 0), (40, -10), (118, 12), (40, 22), (-8, 14)]), soft("#1E1006", 0.5, 8)
        )
    back = oval(0, -70, 33, 8)
    c.drawPath(grow(back, 1.4), fill(INK))
    c.drawPath(back, fill("#3A332C"))
    for lean, length, hue, tip in (
        (-15, 82, palette.ROSE, palette.POND),
        (3, 104, palette.BIRCH, palette.CREAM),
        (19, 76, palette.POND, palette.OCHRE),
    ):
        c.save()
        c.translate(lean * 0.9, -62)
        c.rotate(lean)
        shaft = spline(
            [
                (-2.6, 0),
                (-3.6, -length * 0.55),
                (-2.4, -length),
                (2.4, -length),
                (3.6, -length * 0.55),
                (2.6, 0),
            ],
            True,
            0.6,
        )
        Piece(shaft, stuffs.round((-4, 0), (4, 0), hue), 1.1, 0).draw(c, None, is_plain)
        Piece(
            box(-4.4, -length - 17, 8.8, 18, 1),
            stuffs.round((-4.4, 0), (4.4, 0), "brass"),
            1.1,
            0,
        ).draw(c, None, is_plain)
        hair = spline(
            [
                (-4.6, -length - 16),
                (-5.6, -length - 27),
                (0, -length - 42),
                (5.6, -length - 27),
                (4.6, -length - 16),
            ],
            True,
            0.8,
        )
        bristle = (
            fill("#6B4A2C")
            if is_plain
            else linear((-6, 0), (6, 0), [(0, "#5A3C22"), (0.35, "#9A7248"), (1, "#3E2917")])
        )
        Piece(
            hair,
            bristle,
            1.1,
            0,
            details=[(shared(hair, box(-8, -length - 46, 16, 15)), fill(tip))],
        ).draw(c, None, is_plain)
        c.restore()
    side = cut(join(box(-33, -70, 66, 70), oval(0, 0, 33, 8)), back)
    c.drawPath(grow(side, 1.5), fill(INK))
    c.drawPath(
        side,
        fill(palette.CREAM)
        if is_plain
        else linear(
            (-33, 0),
            (33, 0),
            [
                (0, "#CFC3A8"),
                (0.22, "#FFFBF0"),
                (0.5, "#EDE2CA"),
                (0.85, "#A2937A"),
                (1, "#857760"),
            ],
        ),
    )
    c.save()
    c.clipPath(side, skia.ClipOp.kIntersect, True)
    for xx, ww, hh, hue in (
        (-24, 9, 30, palette.POND),
        (-10, 7, 18, "#64798A"),
        (6, 8, 40, palette.ROSE),
        (21, 7, 22, palette.OCHRE),
    ):
        yy = -62 - 0.16 * abs(xx)
        c.drawPath(box(xx - ww / 2, yy - 2, ww, hh, ww / 2), fill(hue))
        if not is_plain:
            c.drawLine(
                xx - ww * 0.2, yy + 2, xx - ww * 0.2, yy + hh - 6, stroke("#FFFFFF", 1.2, 0.4)
            )
    c.restore()
    c.save()
    c.clipRect(skia.Rect.MakeLTRB(-40, -71, 40, -50))
    c.drawPath(cut(oval(0, -70, 33, 8), oval(0, -70, 29, 6)), fill(palette.CREAM))
    c.restore()
    front = skia.Path()
    front.addArc(skia.Rect.MakeLTRB(-33, -78, 33, -62), 0, 180)
    c.drawPath(front, stroke(INK, 1.2))
    hatch(c, shared(side, box(14, -72, 20, 84)), 3.8, 0, stroke(INK, 0.8, 0.45))
    c.restore()


# ---------------------------------------------------------------- stencils on the back board
Stencil = Callable[[Canvas, float, float, float, float, str], None]


def _reeds(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    pen, tall = stroke(hue, 1.5, 0.8), foot - top
    for i, x in enumerate(np.arange(left + 6, right, 27).tolist()):
        h = tall * (0.42 + 0.20 * ((i * 7) % 5) / 4)
        lean = -7 + 5 * (i % 4)
        c.drawPath(
            spline([(x, foot), (x + lean * 0.3, foot - h * 0.5), (x + lean, foot - h)]), pen
        )
        c.save()
        c.translate(x + lean, foot - h)
        c.rotate(lean * 0.8)
        c.drawPath(box(-3.2, -26, 6.4, 24, 3.2), fill(hue, 0.8))
        c.restore()
        c.drawPath(
            spline([(x, foot), (x + 10, foot - h * 0.35), (x + 20 + lean, foot - h * 0.55)]),
            pen,
        )


def _roots(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    pen = stroke(hue, 1.8, 0.9)
    for i, x in enumerate(np.arange(left + 14, right, 38).tolist()):
        c.drawPath(
            spline(
                [
                    (x, top),
                    (x + 8, top + 52),
                    (x - 6 + 5 * (i % 3), top + 98),
                    (x + 6, top + 142 - 20 * (i % 2)),
                ]
            ),
            pen,
        )
        c.drawPath(spline([(x + 4, top + 68), (x + 18, top + 90), (x + 22, top + 112)]), pen)
        c.drawPath(
            spline(
                [
                    (x - 8, foot - 28),
                    (x, foot - 36),
                    (x + 10, foot - 30),
                    (x + 6, foot - 22),
                    (x - 4, foot - 21),
                ],
                True,
            ),
            pen,
        )


def _crystals(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    pen = stroke(hue, 1.5, 0.85)
    for j, y in enumerate(np.arange(foot - 34, top, -58).tolist()):
        for i, x in enumerate(np.arange(left + 14 + (25 if j % 2 else 0), right, 50).tolist()):
            r = 9 + 3 * ((i * 5 + j * 3) % 3)
            for k in range(3):
                t = math.radians(60 * k + 12 * i)
                c.drawLine(
                    x - r * math.cos(t),
                    y - r * math.sin(t),
                    x + r * math.cos(t),
                    y + r * math.sin(t),
                    pen,
                )


def _wheat(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    pen, tall = stroke(hue, 1.5, 0.85), foot - top
    for i, x in enumerate(np.arange(left + 12, right, 31).tolist()):
        h = tall * (0.44 + 0.16 * ((i * 3) % 4) / 3)
        lean = -8 + 5.5 * (i % 4)
        c.drawPath(
            spline([(x, foot), (x + lean * 0.3, foot - h * 0.6), (x + lean, foot - h)]), pen
        )
        for k in range(6):
            for side in (-1, 1):
                c.save()
                c.translate(x + lean, foot - h + 4 + 7 * k)
                c.rotate(side * 32)
                c.drawPath(oval(side * 3.2, -4, 2.1, 5.2), fill(hue, 0.85))
                c.restore()


def _stars(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    for j, y in enumerate(np.arange(top + 26, foot, 44).tolist()):
        for i, x in enumerate(
            np.arange(left + 18 + (24 if j % 2 else 0), right - 6, 48).tolist()
        ):
            r = 4.5 + 2.2 * ((i * 5 + j * 3) % 3)
            points = [
                (
                    x + (r if n % 2 == 0 else r * 0.42) * math.sin(math.pi * n / 5),
                    y - (r if n % 2 == 0 else r * 0.42) * math.cos(math.pi * n / 5),
                )
                for n in range(10)
            ]
            c.drawPath(poly(points), fill(hue, 0.75))


def _waves(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    pen = stroke(hue, 1.5, 0.85)
    for j, y in enumerate(np.arange(foot - 16, top + 20, -30).tolist()):
        c.drawPath(
            spline(
                [
                    (x, y + (5 if (i + j) % 2 else -5))
                    for i, x in enumerate(np.arange(left - 20, right + 30, 26).tolist())
                ]
            ),
            pen,
        )


def _bricks(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    pen, ember = stroke(hue, 1.4, 0.7), fill(mix(hue, palette.OCHRE, 0.5), 0.9)
    for j, y in enumerate(np.arange(foot, top - 20, -20).tolist()):
        c.drawLine(left, y, right, y, pen)
        for x in np.arange(left + (22 if j % 2 else 0), right, 44).tolist():
            c.drawLine(x, y, x, y - 20, pen)
    # sparks fly up from the middle
    middle = (left + right) / 2
    for n in range(26):
        x = middle + (n * 37 % 23 - 11) * (4 + 0.3 * n)
        c.drawPath(
            disc(x, foot - 14 - (foot - top) * 0.75 * n / 26, 1.4 + n * 5 % 3 * 0.5), ember
        )


def _rules(c: Canvas, left: float, top: float, right: float, foot: float, hue: str) -> None:
    middle = (left + right) / 2
    for n in range(int((right - left) / 48) + 2):
        for x in {middle + 24 * n, middle - 24 * n}:
            c.drawLine(x - 2, top, x - 2, foot, stroke(hue, 1.6, 0.5))
            c.drawLine(x + 2, top, x + 2, foot, stroke(hue, 0.8, 0.5))


STENCILS: tuple[tuple[Stencil, str, tuple[str, ...]], ...] = (
    (_reeds, "bottle", ("heron", "weir", "pond", "duck", "frog", "swan", "stork", "marsh")),
    (_roots, "umber", ("mole", "earth", "hill", "garden", "rabbit", "worm", "fox")),
    (_crystals, "wine", ("skater", "ice", "snow", "winter", "frost", "sledge")),
    (_wheat, "bottle", ("baker", "bread", "mill", "farmer", "harvest", "dough", "hen")),
    (_stars, "night", ("carousel", "moon", "night", "star", "owl", "dancer", "observatory")),
    (_waves, "night", ("boat", "sea", "ship", "whale", "ferry", "fish", "lighthouse")),
    (_bricks, "umber", ("smith", "forge", "anvil", "hammer", "stove", "dragon", "chimney")),
)
"""Stencil, the board it suits, and words of a title it goes with."""
POOLS: tuple[Stencil, ...] = (_reeds, _waves, _crystals, _roots)
"""Stencils that go with a pool of colour on the stage: water, ice, earth."""


def back_board(title: str, paints: Sequence[str]) -> tuple[str, Stencil]:
    """Choose colour and stencil of a piece's back board, always the same for one title.

    The stencil suits a word of the title, else plain rules go with anything; the board is the one it suits, unless most of the piece's
    paints would drown on it.
    """
    words = re.findall(r"[^\W\d_]+", title.lower())
    boards = sorted(palette.BACK_BOARDS)
    stencil, board, _ = next(
        (
            row
            for row in STENCILS
            if any(word.startswith(start) for word in words for start in row[2])
        ),
        (_rules, boards[sum(map(ord, title)) % len(boards)], ()),
    )

    def drowned(name: str) -> int:
        ground = palette.channels(palette.BACK_BOARDS[name])
        return sum(math.dist(ground, palette.channels(hue)) < 45 for hue in paints)

    if drowned(board) * 2 > len(paints):
        board = min(palette.BACK_BOARDS, key=lambda name: (drowned(name), name))
    return palette.BACK_BOARDS[board], stencil


# ---------------------------------------------------------------- the cabinet
class Cabinet:
    """The box the piece stands in, seen from a little above, its front left off.

    Parameters
    ----------
    setting
        What the piece needs.
    per_mm
        Design units a millimetre.
    stuffs
        Materials.
    name
        Words for the name plate.
    stuff, thickness
        What the box is made of. [mm]
    board
        Colour of the back board.
    stencil
        What is stencilled on it.
    """

    def __init__(
        self,
        setting: Setting,
        per_mm: float,
        stuffs: Stuffs,
        name: str,
        stuff: str,
        thickness: float,
        board: str,
        stencil: Stencil,
    ) -> None:
        self.setting, self.k, self.stuffs, self.name, self.board, self.stencil = (
            setting,
            per_mm,
            stuffs,
            name,
            board,
            stencil,
        )
        self.sort, self.wood = family(stuff)
        if self.sort not in ("ply", "wood"):
            self.sort, self.wood = "ply", "birch"
        self.w = setting.width * per_mm
        self.t = min(max(thickness * per_mm, 12.0), 30.0)
        self.is_stage = setting.kind == "stage"
        self.line = (
            -setting.level * per_mm
        )  # where rods come through the stage, or the upper edge of a closed box
        self.rise = (
            min(14.0, 0.035 * self.w) if self.is_stage else 10.0
        )  # half the depth of the lid as we see it
        self.lid = self.line + (
            self.rise if self.is_stage else 0.0
        )  # upper edge of the lid's front
        self.inside_top = self.lid + min(self.t, 22.0)
        self.overhang = max(18.0, 0.055 * self.w)

    @property
    def inside(self) -> tuple[float, float, float, float]:
        """The opening: left, top, right, foot."""
        return self.t, self.inside_top, self.w - self.t, 2.0

    @property
    def top(self) -> float:
        """Upper edge of the whole cabinet."""
        return self.lid - 2 * self.rise

    def draw_back(self, c: Canvas) -> None:
        """Draw box, back board, base and name plate: everything that lies behind the mechanism."""
        s, w, t, is_plain = self.stuffs, self.w, self.t, self.stuffs.is_plain
        left, right, top = t, w - t, self.inside_top
        if is_plain:
            c.drawPath(
                poly([(-self.overhang, 24), (w + 30, 22), (w + 96, 44), (50, 46)]),
                fill(palette.WALNUT_DEEP),
            )
        else:
            c.drawPath(
                poly([(0, 24), (w + 34, 22), (w + 128, 62), (w * 0.55, 66)]),
                soft("#1E1006", 0.50, 15),
            )
            c.drawPath(
                box(-self.overhang - 2, 14, w + 2 * self.overhang + 18, 16),
                soft("#1E1006", 0.7, 6),
            )
        inset, floor = 18.0, 30.0
        back = box(left + inset, top - 4, right - left - 2 * inset, -floor - top + 4)
        c.drawPath(back, s.paint(self.board, 90, scale=0.9))
        c.save()
        c.clipPath(back)
        self.stencil(
            c, left + inset, top, right - inset, -floor, mix(self.board, "#FFFFFF", 0.13)
        )
        c.restore()
        dark = mix(self.board, "#000000", 0.75)
        if not is_plain:
            c.drawPath(back, linear((0, top), (0, top + 150), [(0, dark, 0.75), (1, dark, 0)]))
            c.drawPath(
                back,
                linear(
                    (left + inset, 0), (left + inset + 94, 30), [(0, dark, 0.65), (1, dark, 0)]
                ),
            )
        ground = poly([(left, 0), (right, 0), (right - inset, -floor), (left + inset, -floor)])
        wall_l = poly(
            [(left, 0), (left, top - 4), (left + inset, top - 4), (left + inset, -floor)]
        )
        wall_r = poly(
            [(right, 0), (right, top - 4), (right - inset, top - 4), (right - inset, -floor)]
        )
        c.drawPath(ground, s.wood(self.wood, 0.6))
        c.drawPath(wall_l, s.wood(self.wood, 0.5, 90))
        c.drawPath(wall_r, s.wood(self.wood, 0.5, 90, 40))
        if is_plain:
            c.drawPath(wall_l, fill(palette.PLY_DARK))
        else:
            c.drawPath(wall_l, fill("#2A1808", 0.52))
            c.drawPath(wall_r, fill("#2A1808", 0.12))
            c.drawPath(
                ground,
                linear(
                    (left, 0), (left + 0.6 * w, 0), [(0, "#1E1006", 0.55), (1, "#1E1006", 0.05)]
                ),
            )
        hatch(c, wall_l, 4.2, 62, stroke(INK, 0.8, 0.55))
        hatch(
            c,
            box(left + inset, top, right - left - 2 * inset, 26),
            4.2,
            -38,
            stroke(dark, 0.9, 0.7),
        )
        for shape in (back, ground, wall_l, wall_r):
            c.drawPath(shape, stroke(INK, 1.1))
        for x in (0.0, w - t):
            self._edge(c, (x, self.lid + 2, t, -self.lid - 2), False, int(x) + 300)
        if not is_plain:
            c.drawPath(
                box(w - t, self.lid, t, -self.lid),
                linear((w - t, 0), (w, 0), [(0, "#000000", 0), (1, "#2A1808", 0.28)]),
            )
        self._base(c)
        if not self.is_stage:
            self.draw_lid(c)

    def _edge(self, c: Canvas, rect: Sequence[float], is_level: bool, seed: int) -> None:
        """Draw the front edge of a board: plies, or the long grain of solid wood."""
        if self.sort == "ply":
            ply_edge(c, rect, is_level, 5, self.stuffs, seed, self.wood)
        else:
            c.drawPath(
                box(*rect),
                self.stuffs.wood(self.wood, 0.55, 0 if is_level else 90, seed * 7, seed * 3),
            )
            if not self.stuffs.is_plain:
                c.drawPath(
                    box(rect[0], rect[1], rect[2], 3.0 if is_level else rect[3]),
                    fill("#FFFFFF", 0.14),
                )
        c.drawPath(box(*rect), stroke(INK, 1.5))

    def _base(self, c: Canvas) -> None:
        s, w, o = self.stuffs, self.w, self.overhang
        c.drawPath(box(-o, 0, w + 2 * o, 26, 3), s.wood("walnut", 0.7, 0, 30, 20))
        if not s.is_plain:
            c.drawPath(box(-o, 0, w + 2 * o, 5, 2), fill("#FFFFFF", 0.16))
        c.drawPath(box(-o, 0, w + 2 * o, 26, 3), stroke(INK, 1.6))
        size = 12.5
        while width(self.name, "label-b", size, 1.6) + 42 > w * 0.8 and size > LEAST_PLATE:
            size -= 0.5
        if width(self.name, "label-b", size, 1.6) + 42 > w * 0.9:
            return  # no plate is better than one nobody can read
        breadth = width(self.name, "label-b", size, 1.6) + 42
        x = w / 2
        Piece(
            box(x - breadth / 2, 4.5, breadth, 17, 2.5),
            s.sheet((x - 66, 0, x + 66, 30)),
            1,
            1.6,
        ).draw(c, None, s.is_plain)
        letter(c, self.name, x, 17.6, "label-b", size, fill(PLATE_INK), "c", track=1.6)
        for side in (-1, 1):
            c.drawPath(
                disc(x + side * (breadth / 2 - 7), 13, 1.8), fill(palette.METALS["brass"][2])
            )

    def draw_lid(self, c: Canvas, dress: Callable[[Canvas, Path], None] | None = None) -> None:
        """Draw the lid: its upper face as we look down on it, then its front edge. ``dress`` paints the face."""
        s, w = self.stuffs, self.w
        o, thick, y = self.overhang * 0.6, min(self.t, 22.0), self.lid
        face = poly(
            [(-o, y), (w + o, y), (w + o - 26, y - 2 * self.rise), (-o + 26, y - 2 * self.rise)]
        )
        c.drawPath(face, s.wood(self.wood, 0.7, 0, 0, 60))
        if dress:
            c.save()
            c.clipPath(face, skia.ClipOp.kIntersect, True)
            dress(c, face)
            c.restore()
        c.drawPath(face, stroke(INK, 1.3))
        self._edge(c, (-o, y, w + 2 * o, thick), True, 7)
        c.drawPath(box(-o, y, w + 2 * o, thick), stroke(INK, 1.6))
        if not s.is_plain:
            c.drawPath(
                box(self.t, y + thick, w - 2 * self.t, 12),
                linear(
                    (0, y + thick),
                    (0, y + thick + 14),
                    [(0, "#07100F", 0.6), (1, "#07100F", 0)],
                ),
            )

    def dress(
        self, holes: Sequence[float], dips: Iterable[tuple[float, float]] = ()
    ) -> Callable[[Canvas, Path], None]:
        """Paint the stage: a pool of colour where the stencil has one, dark holes where something comes through.

        Parameters
        ----------
        holes
            Middle of each rod's.
        dips
            Middle and half width of what figures dip through.
        """
        is_ice = self.stencil is _crystals

        def paint(c: Canvas, face: Path) -> None:
            y, hue = self.line, mix(self.board, "#FFFFFF", 0.10)
            if is_ice:
                ice(c, y)
            elif self.stencil in POOLS:
                pond(c, y, hue)
            for x, half in dips:
                wide, dark = half * 0.95, mix(self.board, "#000000", 0.35)
                for share in (1.7, 1.35):
                    ring = oval(x, y + 0.5, wide * share, wide * share * 0.2)
                    c.drawPath(ring, stroke(mix(hue, "#FFFFFF", 0.5), 0.9, 0.7))
                c.drawPath(oval(x, y + 0.5, wide, wide * 0.2), fill(dark))
            for x in holes:
                c.drawPath(oval(x, y + 0.5, 8, 3.2), fill(mix(self.board, "#000000", 0.45)))

        def ice(c: Canvas, y: float) -> None:
            rink = oval(self.w / 2, y, self.w * 0.44, self.rise * 0.86)
            top, foot = y - self.rise, y + self.rise
            pale = [(0, "#E4EDE8"), (0.5, "#BFD3D2"), (1, "#9DB9BC")]
            frozen = fill(palette.paint("ice")) if self.stuffs.is_plain else None
            c.drawPath(rink, frozen or linear((0, top), (self.w, foot), pale))
            c.save()
            c.clipPath(rink, skia.ClipOp.kIntersect, True)
            # what her blades have cut: a light and a shade beside it
            for share, start, reach in ((0.16, 20, 250), (0.25, 75, 230), (0.35, 150, 210)):
                trace, r = skia.Path(), self.w * share
                trace.addArc(
                    skia.Rect.MakeLTRB(
                        self.w / 2 - r, y - r * 0.08, self.w / 2 + r, y + r * 0.08
                    ),
                    start,
                    reach,
                )
                c.drawPath(trace, stroke("#6E9398", 0.7, 0.6))
                c.translate(0, -0.8)
                c.drawPath(trace, stroke("#FFFFFF", 1.3, 0.9))
                c.translate(0, 0.8)
            c.restore()
            c.drawPath(rink, stroke(INK, 1.1))

        def pond(c: Canvas, y: float, hue: str) -> None:
            pool = oval(self.w / 2, y, self.w * 0.44, self.rise * 0.86)
            c.drawPath(pool, self.stuffs.paint(hue, 0, 0.06))
            c.save()
            c.clipPath(pool, skia.ClipOp.kIntersect, True)
            for i in range(5):
                yy = y - self.rise * 0.8 + i * self.rise * 0.36
                c.drawPath(
                    spline(
                        [
                            (
                                self.w * 0.05 + 30 * n + 12 * (i % 2),
                                yy + (1.2 if n % 2 else -0.6),
                            )
                            for n in range(int(self.w / 30) + 2)
                        ]
                    ),
                    stroke(mix(hue, "#FFFFFF", 0.45), 1.0, 0.6),
                )
            c.restore()
            c.drawPath(pool, stroke(INK, 1.1))

        return paint


class Board:
    """The board a drive lies on, seen from above; above the fold of the sheet stands what turns on it, seen from the side.

    ``left``, ``right``, ``top``, ``foot``: edges in design units, from the scene's own corner, y down.
    """

    def __init__(
        self,
        edges: tuple[float, float, float, float],
        stuffs: Stuffs,
        name: str,
        is_labelled: bool,
    ) -> None:
        self.left, self.top, self.right, self.foot = edges
        self.stuffs, self.name, self.is_labelled = stuffs, name, is_labelled

    def draw(self, c: Canvas) -> None:
        """Draw the board."""
        s, w, h = self.stuffs, self.right - self.left, self.foot - self.top
        shape = box(self.left, self.top, w, h, 2)
        if s.is_plain:
            c.drawPath(box(self.left + 5, self.top + 8, w, h, 2), fill("#000000", 0.22))
        else:
            c.drawPath(box(self.left + 4, self.top + 7, w, h, 2), soft("#1E1006", 0.45, 7))
        c.drawPath(shape, s.wood("walnut", 0.8, 0, self.left, self.top))
        if not s.is_plain:
            c.drawPath(
                shape,
                radial(
                    (self.left + w * 0.38, self.top + h * 0.25),
                    w * 0.88,
                    [(0, "#FFE9BE", 0.22), (0.6, "#000000", 0), (1, "#000000", 0.40)],
                ),
            )
        c.drawPath(shape, stroke(INK, 1.8))
        for x in (self.left + 9, self.right - 9):
            for y in (self.top + 9, self.foot - 9):
                screw(c, x, y, 3.4, s, 25 + x * 3 + y)
        if self.is_labelled:
            words = width("from above", "label", 21)
            shade_for_words(c, self.left + 20, self.top + 10, words, 20, s.is_plain)
            letter(
                c,
                "from above",
                self.left + 20,
                self.top + 26,
                "label",
                21,
                fill(palette.PAPER_LIT),
            )


def fold(
    c: Canvas, x0: float, x1: float, y: float, is_plain: bool = False, is_dark: bool = False
) -> None:
    """Draw the sheet's crease: above it we look from the side, below it from above."""
    if not is_plain:
        c.drawRect(
            skia.Rect.MakeLTRB(x0, y, x1, y + 30),
            linear((0, y), (0, y + 30), [(0, "#5A3C1E", 0.26), (1, "#5A3C1E", 0)]),
        )
    c.drawLine(x0, y, x1, y, stroke("#0A1118" if is_dark else INK_SOFT, 1.2, 0.8))
    c.drawLine(x0, y - 1.6, x1, y - 1.6, stroke("#FFFFFF", 1.4, 0.12 if is_dark else 0.8))
