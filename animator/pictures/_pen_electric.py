"""Drawing what is switched: a switch's lever riding on its strip, a lamp that glows, a coin on its runway."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from animator.geometry import Point
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import (
    Array,
    Canvas,
    Matrix,
    Path,
    box,
    disc,
    fill,
    grow,
    join,
    oval,
    place,
    poly,
    radial,
    skia,
    spline,
    stroke,
)
from animator.pictures.moment import Moment
from animator.pictures.palette import mix
from animator.pictures.stuff import Piece

CASE = "#4A3327"  # a switch's moulded case: dark brown, as old ones are
GLASS, GLASS_LOW = "#E9EEE6", "#8FA09A"
FILAMENT, WARM, EMBER = "#FFF9E2", "#FFD37A", "#E58A2B"
HALO = 5.2  # times the glass's radius; how far the light is seen in the air
LEVER = 15.0  # mm from a switch's hinge to its roller
COIN = 8.5  # mm; radius of the coin
STUCK = 5.0  # mm its middle stands over the slot before it is let go
BEFORE = 1.2  # s before its moment a further coin is seen in the slot


def _at(matrix: Matrix, point: Point) -> tuple[float, float]:
    spot = matrix.mapXY(*point)
    return spot.x(), spot.y()


class ElectricPen(ShapePen):
    """Drawing what is switched."""

    def switch(
        self, stands: float, base: float, roller: float, sense: int, press: str, closed: str
    ) -> None:
        """Draw a small switch whose roller rides on something round about the part's own place.

        Parameters
        ----------
        stands
            Direction from the axis to the roller. [rad]
        base, roller
            Radius of the surface where it is lowest, and of the roller. [mm]
        sense
            Which way the surface runs: +1 anticlockwise; the lever trails.
        press, closed
            Channels: how far the roller is lifted [mm], and whether the switch is closed.
        """
        drawing, name, stuffs = self._drawing, self.part.name, self._drawing.stuffs
        k, size, is_plain = drawing.k, drawing.size, drawing.stuffs.is_plain
        rest = base + roller
        up = -sense  # the lever's hinge lies where the surface comes from

        def spot(out: float, aside: float) -> Point:
            """Place in the switch's frame: outwards from the axis, and towards the hinge."""
            return out * k, -aside * up * k

        def outline(*corners: Point) -> Path:
            return poly([spot(*corner) for corner in corners])

        case = outline(
            (rest + 5.2, -1.5), (rest + 5.2, 17.5), (rest + 13.0, 17.5), (rest + 13.0, -1.5)
        )
        joint = outline((rest + 7.6, 2.0), (rest + 7.6, 14.0))
        body = Piece(
            case,
            fill(CASE),
            1.2,
            6 * size,
            details=[
                (joint, stroke(mix(CASE, "#FFFFFF", 0.25), 0.8, 0.8)),
                *(
                    (disc(*spot(rest + 10.2, aside), 1.3 * k), fill(palette.METALS["brass"][1]))
                    for aside in (2.5, 13.5)
                ),
                *(
                    (disc(*spot(rest + 10.2, aside), 0.5 * k), fill(palette.METALS["brass"][2]))
                    for aside in (2.5, 13.5)
                ),
            ],
        )
        tabs = [
            Piece(
                outline(
                    (rest + 13.0, a),
                    (rest + 13.0, a + 1.6),
                    (rest + 16.6, a + 1.6),
                    (rest + 16.6, a),
                ),
                fill(palette.METALS["brass"][1]),
                0.9,
                2 * size,
            )
            for a in (1.5, 7.2, 12.9)
        ]
        hinge = rest + 3.4, LEVER
        arm = Piece(
            poly(
                [
                    (-1.2 * k, -0.75 * k),
                    (-1.2 * k, 0.75 * k),
                    ((LEVER + 1.4) * k, 0.75 * k),
                    ((LEVER + 1.4) * k, -0.75 * k),
                ]
            ),
            fill(palette.METALS["steel"][1]),
            0.9,
            4 * size,
        )
        wheel = Piece(
            disc(0, 0, roller * k),
            stuffs.turned(0, 0, "brass"),
            1.0,
            3 * size,
            details=[
                (disc(0, 0, 0.32 * roller * k), fill(palette.METALS["steel"][1])),
                (disc(0, 0, 0.32 * roller * k), stroke(palette.INK, 0.8)),
            ],
            still_light=True,
        )
        pin = Piece(disc(0, 0, 0.9 * k), stuffs.turned(0, 0, "steel"), 0.8, 1, still_light=True)

        def frame(moment: Moment) -> Matrix:
            at = moment.pose(name)
            return place(at.x * k, -at.y * k, -math.degrees(stands))

        def laid(moment: Moment) -> tuple[Matrix, Matrix, Matrix, Matrix]:
            """Frames of the case, the lever, the roller and the hinge."""
            whole = frame(moment)
            hx, hy = spot(*hinge)
            rx, ry = spot(rest + moment.value(press), 0.0)
            lever = skia.Matrix.Concat(
                whole, place(hx, hy, math.degrees(math.atan2(ry - hy, rx - hx)))
            )
            return (
                whole,
                lever,
                skia.Matrix.Concat(whole, place(rx, ry)),
                skia.Matrix.Concat(whole, place(hx, hy)),
            )

        def draw(c: Canvas, moment: Moment) -> None:
            whole, lever, wheel_at, hinge_at = laid(moment)
            for tab in tabs:
                tab.body(c, whole, is_plain)
            rx, _ = spot(rest + moment.value(press), 0.0)
            share = 8.0 / LEVER  # where the button meets the lever
            hx, _ = spot(*hinge)
            meets = (rx + (hx - rx) * share) / k
            button = outline((meets, 7.0), (meets, 9.0), (rest + 5.4, 9.0), (rest + 5.4, 7.0))
            button.transform(whole)
            c.drawPath(grow(button, 0.8), fill(palette.INK))
            c.drawPath(button, fill(palette.METALS["brass"][1]))
            body.body(c, whole, is_plain)
            lug = outline(
                (rest + 6.0, LEVER - 1.2),
                (rest + 6.0, LEVER + 1.4),
                (hinge[0] - 0.6, LEVER + 1.0),
                (hinge[0] - 0.6, LEVER - 0.8),
            )
            lug.transform(whole)
            c.drawPath(grow(lug, 0.8), fill(palette.INK))
            c.drawPath(lug, fill(palette.METALS["steel"][2]))
            arm.draw(c, lever, is_plain)
            pin.body(c, hinge_at, is_plain)
            wheel.draw(c, wheel_at, is_plain)
            if moment.value(closed) > 0.5:  # its contact, seen through the little window
                lit = disc(*_at(whole, spot(rest + 10.2, 8.0)), 1.5 * k)
                c.drawPath(lit, fill(palette.OCHRE))
                c.drawPath(lit, stroke(palette.INK, 0.8))

        def reach(moment: Moment) -> Array:
            whole = frame(moment)
            corners = [
                (rest - roller, 0.0),
                (rest + 16.6, -1.5),
                (rest + 16.6, 17.5),
                (rest, 17.5),
            ]
            return np.array([_at(whole, spot(*corner)) for corner in corners])

        def shadow(c: Canvas, moment: Moment) -> None:
            body.shadow(c, frame(moment), is_plain)

        self._add("switch", False, draw, reach, shadow)

    def bulb(self, radius: float, glow: str, has_foot: bool) -> None:
        """Draw a small lamp about the part's own place; channel ``glow`` tells how bright it is, from 0 to 1. ``has_foot``: it stands in a brass holder. [mm]"""
        drawing, name, stuffs = self._drawing, self.part.name, self._drawing.stuffs
        k, size, is_plain = drawing.k, drawing.size, drawing.stuffs.is_plain
        r = radius * k
        globe = disc(0, 0, r)
        cold = (
            fill(GLASS, 0.9)
            if is_plain
            else radial(
                (-0.3 * r, -0.35 * r),
                1.5 * r,
                [(0, "#FFFFFF", 0.95), (0.45, GLASS, 0.85), (1, GLASS_LOW, 0.95)],
            )
        )
        hot = (
            fill(WARM)
            if is_plain
            else radial((0, 0), r, [(0, FILAMENT), (0.45, FILAMENT), (0.75, WARM), (1, EMBER)])
        )
        thread = spline(
            [
                (-0.42 * r, 0.45 * r),
                (-0.3 * r, -0.1 * r),
                (-0.12 * r, 0.08 * r),
                (0.02 * r, -0.14 * r),
                (0.16 * r, 0.08 * r),
                (0.3 * r, -0.1 * r),
                (0.42 * r, 0.45 * r),
            ]
        )
        holder = Piece(
            join(
                box(-0.62 * r, 0.72 * r, 1.24 * r, 0.8 * r, 0.14 * r),
                box(-0.95 * r, 1.38 * r, 1.9 * r, 0.34 * r, 0.1 * r),
            ),
            stuffs.round((-0.7 * r, 0), (0.7 * r, 0), "brass"),
            1.1,
            4 * size,
        )

        def matrix(moment: Moment) -> Matrix:
            return moment.matrix(name)

        def draw(c: Canvas, moment: Moment) -> None:
            share = moment.value(glow)
            c.save()
            c.concat(matrix(moment))
            if share > 0.01:
                if is_plain:
                    for times, alpha in ((2.6, 0.16), (1.7, 0.28)):
                        c.drawPath(disc(0, 0, times * r), fill(WARM, alpha * share))
                else:
                    stops = [
                        (0, FILAMENT, 0.78 * share),
                        (0.18, WARM, 0.52 * share),
                        (0.5, WARM, 0.16 * share),
                        (1, WARM, 0.0),
                    ]
                    c.drawPath(disc(0, 0, HALO * r), radial((0, 0), HALO * r, stops))
            c.restore()
            if has_foot:
                holder.body(c, matrix(moment), is_plain)
            c.save()
            c.concat(matrix(moment))
            c.drawPath(grow(globe, 1.1), fill(palette.INK))
            c.drawPath(globe, fill(mix("#3B4643", WARM, 0.25)))
            c.drawPath(globe, cold)
            c.drawPath(thread, stroke("#5A4A3A", max(0.8, 0.09 * r), 1 - share))
            if share > 0.01:
                c.saveLayerAlpha(
                    skia.Rect.MakeLTRB(-2 * r, -2 * r, 2 * r, 2 * r), round(255 * share)
                )
                c.drawPath(globe, hot)
                c.restore()
                c.drawPath(thread, stroke("#FFFFFF", max(1.0, 0.12 * r), 0.9 * share))
            if not is_plain:
                c.drawPath(oval(-0.38 * r, -0.45 * r, 0.2 * r, 0.13 * r), fill("#FFFFFF", 0.75))
            c.restore()

        def reach(moment: Moment) -> Array:
            x, y = moment.spot(name)
            return np.array([(x - r, y - r), (x + r, y + (1.72 if has_foot else 1.0) * r)])

        def shadow(c: Canvas, moment: Moment) -> None:
            if has_foot:
                holder.shadow(c, matrix(moment), is_plain)

        self._add("lamp", False, draw, reach, shadow)

    def coin_slot(
        self,
        way: float,
        drop: float,
        runway: float,
        slope: float,
        moments: Sequence[float],
        rolled: str,
        closed: str,
    ) -> None:
        """Draw a slot, the runway under it and the till at its end, and the coin on its way.

        ``way`` +1: it rolls to the right. ``drop``, ``runway`` [mm] and ``slope`` [rad] as the part has them; ``moments``: when a coin is let go [s]; channel
        ``rolled``: how far the last one has come [mm], ``closed``: whether it presses the contact.
        """
        drawing, name, stuffs = self._drawing, self.part.name, self._drawing.stuffs
        k, size, is_plain = drawing.k, drawing.size, drawing.stuffs.is_plain
        c_, s_ = math.cos(slope), math.sin(slope)
        turn = STUCK - drop
        end = way * runway * c_, turn - runway * s_

        def spot(x: float, y: float) -> Point:
            return x * k, -y * k

        def outline(*corners: Point) -> Path:
            return poly([spot(*corner) for corner in corners])

        # the rail lies under the coin: its upper edge a radius below the way of the coin's middle
        def under(along: float, below: float) -> Point:
            return way * (along * c_ - (COIN + below) * s_), turn - along * s_ - (
                COIN + below
            ) * c_

        rail = Piece(
            outline(under(-9, 0), under(runway + 4, 0), under(runway + 4, 2.4), under(-9, 2.4)),
            stuffs.round(spot(0, turn - COIN), spot(0, turn - COIN - 2.6), "brass"),
            1.1,
            5 * size,
        )
        back = Piece(
            outline(
                (-15 * way, 3),
                (15 * way, 3),
                (end[0] + 14 * way, end[1] + 12),
                (end[0] + 14 * way, end[1] - 14),
                (end[0] - 8 * way, end[1] - 14),
                (-15 * way, turn - 14),
            ),
            stuffs.wood("walnut", 0.9),
            1.2,
            5 * size,
            3 * size,
            (palette.WALNUT, palette.WALNUT_DEEP, palette.WALNUT),
        )
        lip = Piece(
            box(-14 * k, 1.0 * k, 28 * k, 8.5 * k, 1.6 * k),
            stuffs.round((0, 0.5 * k), (0, 10.0 * k), "brass"),
            1.2,
            5 * size,
            details=[
                *(
                    (disc(x * k, 5.2 * k, 1.3 * k), fill(palette.METALS["brass"][2]))
                    for x in (-11.0, 11.0)
                ),
                (box(-8.6 * k, 1.4 * k, 17.2 * k, 1.5 * k, 0.7 * k), fill("#2A1B10")),
            ],
        )
        till = Piece(
            box(
                (end[0] - 11.5) * k,
                -(end[1] + 10.5) * k,
                25 * k if way > 0 else 23 * k,
                25 * k,
                1.5 * k,
            ),
            stuffs.face("birch", box(0, 0, 25 * k, 25 * k)),
            1.3,
            7 * size,
            3 * size,
            details=[
                (
                    box((end[0] - 5) * k, -(end[1] + 2) * k, 10 * k, 2.4 * k, 1.2 * k),
                    fill("#3A2717"),
                ),
            ],
        )
        r = COIN * k
        low = palette.METALS["brass"][2]
        star = [
            (rad * k * math.sin(math.pi * n / 5), -rad * k * math.cos(math.pi * n / 5))
            for n in range(10)
            for rad in ((4.2,) if n % 2 == 0 else (1.9,))
        ]
        coin = Piece(
            disc(0, 0, r),
            stuffs.turned(0, 0, "brass"),
            1.1,
            5 * size,
            details=[(disc(0, 0, 0.82 * r), stroke(low, 1.0)), (poly(star), fill(low, 0.75))],
            still_light=True,
        )

        def coins(moment: Moment) -> list[tuple[float, float, float, float]]:
            """Coins that are seen: place of each, how far it is turned [degrees], and how plainly it is there."""
            seen = []
            gone = [m for m in moments if moment.t >= m]
            if gone:
                come = moment.value(rolled)
                if come < drop:
                    seen.append((0.0, STUCK - come, 0.0, 1.0))
                elif come < drop + runway:
                    along = come - drop
                    seen.append(
                        (
                            way * along * c_,
                            turn - along * s_,
                            way * math.degrees(along / COIN),
                            1.0,
                        )
                    )
            coming = next((m for m in moments if m > moment.t), None)
            if coming is not None:
                is_first = coming == moments[0]
                there = (
                    1.0
                    if is_first
                    else min(1.0, max(0.0, (BEFORE - (coming - moment.t)) / 0.4))
                )
                if there > 0:
                    seen.append((0.0, STUCK, 0.0, there))
            return seen

        def draw(c: Canvas, moment: Moment) -> None:
            m = moment.matrix(name)
            back.body(c, m, is_plain)
            rail.draw(c, m, is_plain)
            for x, y, turned, there in coins(moment):
                if there < 1:
                    c.saveLayerAlpha(None, round(255 * there))
                coin.draw(c, skia.Matrix.Concat(m, place(x * k, -y * k, turned)), is_plain)
                if there < 1:
                    c.restore()
            lip.draw(c, m, is_plain)
            till.draw(c, m, is_plain)

        corners = [
            (-15.0, STUCK + COIN),
            (15.0, STUCK + COIN),
            (end[0] - 13, end[1] - 15),
            (end[0] + 14, end[1] - 15),
        ]

        def reach(moment: Moment) -> Array:
            return np.array([moment.spot(name, corner) for corner in corners])

        self._add(
            "coin slot",
            False,
            draw,
            reach,
            lambda c, moment: back.shadow(c, moment.matrix(name), is_plain),
        )
