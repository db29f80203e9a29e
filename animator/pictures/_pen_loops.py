"""Drawing what runs round or coils: belts, chains and their sprockets, springs, wires."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.geometry import Point
from animator.pictures import palette
from animator.pictures._pen_shapes import ShapePen
from animator.pictures.ink import (
    BUTT,
    Array,
    Canvas,
    box,
    cut,
    disc,
    fill,
    grow,
    join,
    place,
    poly,
    skia,
    stroke,
)
from animator.pictures.loops import (
    ChainLine,
    Loop,
    belt_marks,
    bowed,
    chain_links,
    hanging,
    hooked,
    sprocket_outline,
    strung,
)
from animator.pictures.moment import Moment
from animator.pictures.stuff import Coil, Piece, family, long_shadow, wire

if TYPE_CHECKING:
    pass


class LoopPen(ShapePen):
    """Drawing what runs round or coils: belts, chains and their sprockets, springs, wires."""

    def coil(
        self,
        start: Callable[[Moment], Point],
        stop: Callable[[Moment], Point],
        diameter: float,
        turns: float,
        gauge: float,
        is_hooked: bool = False,
        moves_with: Iterable[str] = (),
    ) -> None:
        """Draw a spring between two places [mm in the plane] that move; its turns stay as many as they are. Far halves go behind the part, near ones before it."""
        drawing, k, is_plain = self._drawing, self._drawing.k, self._drawing.stuffs.is_plain
        spring = Coil(diameter / 2 * k, round(turns), max(gauge * k, 1.8), is_hooked)

        def half(which: str) -> Callable[[Canvas, Moment], None]:
            def draw(c: Canvas, moment: Moment) -> None:
                a, b = drawing.units(start(moment)), drawing.units(stop(moment))
                m = place(*a, math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
                spring.draw(c, m, math.dist(a, b), which, is_plain)

            return draw

        def reach(moment: Moment) -> Array:
            return np.array([drawing.units(start(moment)), drawing.units(stop(moment))])

        is_still = all(name in drawing.still_parts for name in moves_with) and bool(
            list(moves_with)
        )
        far = type(self)(
            drawing, self.part, (self._depth[0], self._depth[1] - 0.4), self._marks
        )
        far._add("coil", is_still, half("far"), reach)
        near = type(self)(
            drawing, self.part, (self._depth[0], self._depth[1] + 0.4), self._marks
        )
        near._add("coil", is_still, half("near"), reach)

    def wire(
        self,
        points: Callable[[Moment], Sequence[Point]],
        diameter: float,
        stuff: str = "steel",
        sort: str = "wire",
    ) -> None:
        """Draw wire or string through places [mm in the plane] that move."""
        drawing, k, is_plain = self._drawing, self._drawing.k, self._drawing.stuffs.is_plain

        def places(moment: Moment) -> Array:
            return np.array([drawing.units(p) for p in points(moment)])

        self._add(
            sort,
            False,
            lambda c, moment: wire(
                c, places(moment), max(diameter * k, 1.6), stuff, 5, is_plain
            ),
            places,
        )

    def string(
        self,
        start: Callable[[Moment], Point],
        stop: Callable[[Moment], Point],
        length: Callable[[Moment], float],
        diameter: float,
        stuff: str = "string",
    ) -> None:
        """Draw a string between two places that move [mm in the plane]: straight where it is taut, else hanging as its length lets it. [mm]"""
        self._lay(
            lambda moment: hanging(start(moment), stop(moment), length(moment)),
            diameter,
            stuff,
        )

    def thread(
        self,
        pieces: Callable[[Moment], Sequence[Any]],
        diameter: float,
        stuff: str = "string",
    ) -> None:
        """Draw a string in pieces, from its one end to its other: arcs (``centre``, ``radius``, ``start``, ``sweep``), and free ones (``start``, ``end``, ``length``) that hang where they are too long. [mm, rad]"""
        self._lay(lambda moment: strung(pieces(moment)), diameter, stuff)

    def _lay(self, line: Callable[[Moment], Array], diameter: float, stuff: str) -> None:
        k, is_plain = self._drawing.k, self._drawing.stuffs.is_plain
        wide = max(diameter * k, 1.6)
        _hi, _mid, low = self._drawing.stuffs.tones(stuff)

        def places(moment: Moment) -> Array:
            return np.asarray(line(moment) * (k, -k))

        def draw(c: Canvas, moment: Moment) -> None:
            points = places(moment)
            wire(c, points, wide, stuff, 4, is_plain)
            if is_plain:
                return
            # the lay of its strands: slanted ticks
            steps = np.diff(points, axis=0)
            ways = np.concatenate([[0.0], np.cumsum(np.hypot(*steps.T))])
            at = np.arange(2.0, ways[-1], 4.2)
            x, y = (np.interp(at, ways, points[:, i]) for i in (0, 1))
            nearest = np.clip(np.searchsorted(ways, at) - 1, 0, len(steps) - 1)
            unit = steps[nearest] / (np.hypot(*steps[nearest].T)[:, None] + 1e-9)
            ticks = skia.Path()
            for px, py, (ux, uy) in zip(x.tolist(), y.tolist(), unit.tolist(), strict=True):
                ticks.moveTo(px - ux * 1.1 - uy * wide * 0.42, py - uy * 1.1 + ux * wide * 0.42)
                ticks.lineTo(px + ux * 1.1 + uy * wide * 0.42, py + uy * 1.1 - ux * wide * 0.42)
            c.drawPath(ticks, stroke(low, 0.9, 0.8))

        self._add("string", False, draw, places)

    def hooked_wire(
        self,
        start: Callable[[Moment], Point],
        stop: Callable[[Moment], Point],
        bow: Callable[[Moment], float],
        diameter: float,
        stuff: str = "steel",
    ) -> None:
        """Draw a wire with a hook bent at each end, in the holes it is hooked into; its middle stands out by ``bow``. [mm]"""
        k, is_plain = self._drawing.k, self._drawing.stuffs.is_plain
        wide = max(diameter * k, 1.6)
        hook = max(1.3, 0.9 * diameter + 0.5)

        def places(moment: Moment) -> Array:
            return np.asarray(hooked(start(moment), stop(moment), bow(moment), hook) * (k, -k))

        self._add(
            "wire",
            False,
            lambda c, moment: wire(c, places(moment), wide, stuff, 5, is_plain),
            places,
        )

    def ring(
        self, at: Point, inner: float, outer: float, stuff: str, sort: str = "eyelet"
    ) -> None:
        """Draw a turned ring that one can look through; radii [mm]."""
        path = cut(self._circle(at, outer), self._circle(at, inner))
        self._cut(path, stuff, 2.0, 4.0, None, (), sort)

    def belt(
        self,
        wheels: tuple[str, str],
        radii: tuple[float, float],
        thickness: float,
        stuff: str,
        is_crossed: bool = False,
        travel: Callable[[Moment], float] | None = None,
        strains: Callable[[Moment], tuple[float, float]] | None = None,
        excess: Callable[[Moment], float] | None = None,
    ) -> None:
        """Draw a belt round two wheels, with its stitches where it has run to.

        Parameters
        ----------
        wheels, radii
            Names of the wheels and radii of the belt's centre line on them. [mm]
        thickness, stuff
            Of the belt as it runs. [mm]
        travel
            How far the belt has run, anticlockwise about the first wheel. [mm]
        strains
            How far the span to the second wheel and the span back are stretched now, as shares; None for what doesn't get thinner.
            ``thickness`` is then that of the belt unstretched.
        excess
            How much too long the looser span is for lying straight. [mm]
        """
        drawing, k, stuffs = self._drawing, self._drawing.k, self._drawing.stuffs
        width = max(thickness * k, 3.0)
        a, b = (drawing.first.point(w) for w in wheels)
        loop = Loop(a, radii[0], b, radii[1], is_crossed)
        line = poly(loop.outline() * (k, -k))
        sort, name = family(stuff)
        hi, mid, low = stuffs.tones(stuff)
        is_coiled = sort == "metal"
        count = max(3, round(loop.length / (math.tau * min(radii) * 1.5)))
        self._drawing.belts[self.part.name] = loop

        on_a, out, on_b, back = loop.pieces()

        def stretched(c: Canvas, moment: Moment) -> None:
            """Each span as thin as its pull makes it, its volume the same; the rims between them."""
            assert strains is not None
            there, here = (max(0.0, strain) for strain in strains(moment))
            over = excess(moment) if excess is not None else 0.0
            spans = [out, back]
            if over > 0.02:  # the looser one bows outwards
                loose = 0 if there < here else 1
                near, far = spans[loose]
                spans[loose] = bowed(near, far, over, 1.0 if is_crossed else -1.0)
            mean = (there + here) / 2
            rows = [
                (poly(points * (k, -k), False), max(thickness * k / math.sqrt(1 + strain), 2.6))
                for points, strain in (
                    (on_a, mean),
                    (on_b, mean),
                    (spans[0], there),
                    (spans[1], here),
                )
            ]
            for path, wide in rows:
                c.drawPath(path, stroke(palette.INK, wide + 2.2))
            for path, wide in rows:
                c.drawPath(path, stroke(mid, wide))
            if stuffs.is_plain:
                return
            c.save()
            c.translate(-width * 0.11, -width * 0.16)
            for path, wide in rows:
                c.drawPath(path, stroke(hi, wide * 0.27, 0.8, BUTT))
            c.restore()
            for path, wide in rows if name in ("leather", "string") else ():
                seam = (
                    stroke("#D2A878", 1.3, dash=(4, 4))
                    if name == "leather"
                    else stroke(low, wide * 0.8, 0.45, BUTT, dash=(1.3, 2.7))
                )
                c.drawPath(path, seam)

        def band(c: Canvas, moment: Moment) -> None:
            c.drawPath(line, stroke(palette.INK, width + 2.2))
            c.drawPath(line, stroke(low if is_coiled else mid, width))
            if not stuffs.is_plain and not is_coiled:
                c.save()
                c.translate(-width * 0.11, -width * 0.16)
                c.drawPath(line, stroke(hi, width * 0.27, 0.8))
                c.restore()
                if name == "leather":
                    c.drawPath(line, stroke("#D2A878", 1.3, dash=(4, 4)))

        def coils(c: Canvas, run: float) -> None:
            step = max(4.3, width * 0.5)
            turns = max(8, int(loop.length * k / step))
            places, ways = loop.places(run + np.arange(turns) * loop.length / turns)
            x, y, ux, uy = places[:, 0] * k, -places[:, 1] * k, np.cos(ways), -np.sin(ways)
            h = width * 0.52
            strokes = skia.Path()
            starts, stops = (
                np.stack([x - uy * h - ux * 1.3, y + ux * h - uy * 1.3], 1),
                np.stack([x + uy * h + ux * 1.3, y - ux * h + uy * 1.3], 1),
            )
            for p, q in zip(starts.tolist(), stops.tolist(), strict=True):
                strokes.moveTo(*p)
                strokes.lineTo(*q)
            c.drawPath(strokes, stroke(mid, step * 0.62))
            if not stuffs.is_plain:
                c.save()
                c.translate(-0.4, -0.5)
                c.drawPath(strokes, stroke(hi, 1.1))
                c.restore()

        def stitches(c: Canvas, moment: Moment) -> None:
            run = travel(moment) if travel else 0.0
            if is_coiled:
                coils(c, run)
            places, ways = belt_marks(loop, run, count)
            w = max(width * 0.30, 2.4)
            for (px, py), way in zip(places.tolist(), ways.tolist(), strict=True):
                c.save()
                c.translate(px * k, -py * k)
                c.rotate(-math.degrees(way))
                c.drawPath(
                    box(-w - 1.1, -width / 2 - 1.6, 2 * w + 2.2, width + 3.2, 1.5),
                    fill(palette.INK),
                )
                c.drawPath(box(-w, -width / 2 - 0.5, 2 * w, width + 1, 1), fill(palette.CREAM))
                c.restore()

        reach = loop.line(24) * (k, -k)
        shadow = None if stuffs.is_plain else lambda c, moment: long_shadow(c, line, width, 7)
        # the band's own line never moves: only what is drawn on it does
        self._add(
            "belt",
            strains is None,
            band if strains is None else stretched,
            lambda moment: reach,
            shadow,
            strains is not None and shadow is not None,
        )
        self._add("stitches", travel is None, stitches, lambda moment: reach)

    def chain(
        self,
        wheels: tuple[str, str],
        teeth: tuple[int, int],
        pitch: float,
        turned: Callable[[Moment], float],
    ) -> None:
        """Draw a chain round two sprockets: inner plates, outer plates, rollers, each where it has run to.

        ``turned``: how far the first wheel has turned from having a seat at angle 0. [rad]
        """
        drawing, k = self._drawing, self._drawing.k
        a, b = (drawing.first.point(w) for w in wheels)
        line = ChainLine(a, teeth[0], b, teeth[1], pitch)
        self._drawing.chains[self.part.name] = line
        d = pitch * k
        steel = palette.METALS["steel"]
        plates = []
        for share, hue in ((0.30, palette.mix(steel[1], steel[2], 0.55)), (0.365, steel[1])):
            w = d * share
            plate = join(disc(0, 0, w), disc(d, 0, w), box(0, -w * 0.72, d, 2 * w * 0.72))
            plates.append((grow(plate, 0.9), plate, fill(hue)))
        glint, ink_ = stroke(steel[0], max(0.8, d * 0.08), 0.9), fill(palette.INK)
        is_plain = drawing.stuffs.is_plain
        path = poly(line.loop.outline() * (k, -k))

        def draw(c: Canvas, moment: Moment) -> None:
            links = chain_links(line, turned(moment)) * (k, -k)
            ways = np.degrees(np.arctan2(*(links[:, 1] - links[:, 0]).T[::-1])).tolist()
            starts = links[:, 0].tolist()
            for which, (fat, plate, paint) in enumerate(
                plates
            ):  # inner links, then outer ones over them
                under, over = skia.Path(), skia.Path()
                for i in range(which, len(starts), 2):
                    m = place(starts[i][0], starts[i][1], ways[i])
                    under.addPath(fat, m)
                    over.addPath(plate, m)
                c.save()
                c.translate(0.45, 0.65)
                c.drawPath(under, ink_)
                c.restore()
                c.drawPath(over, paint)
            dark, bright, lights = skia.Path(), skia.Path(), skia.Path()
            for i, (x, y) in enumerate(starts):
                dark.addCircle(x, y, d * 0.16)
                bright.addCircle(x - 0.3, y - 0.4, d * 0.085)
                if i % 2:
                    ex, ey = links[i, 1].tolist()
                    lights.moveTo(x - 0.1 * d * 0.4, y - 0.12 * d)
                    lights.lineTo(ex - 0.1 * d * 0.4, ey - 0.12 * d)
            if not is_plain:
                c.drawPath(lights, glint)
            c.drawPath(dark, ink_)
            c.drawPath(bright, fill(palette.METALS["brass"][0]))

        reach = line.loop.line(24) * (k, -k)
        if not is_plain:
            self._add(
                "chain shadow",
                True,
                lambda c, moment: None,
                lambda moment: reach,
                lambda c, moment: long_shadow(c, path, d * 0.6, 7),
            )
        self._add("chain", False, draw, lambda moment: reach)

    def teeth(
        self, count: int, pitch: float, stuff: str, phase: float = 0.0, windows: int = 5
    ) -> None:
        """Draw a sprocket; ``phase`` turns it so that its seats meet the chain's rollers. [rad]"""
        k = self._drawing.k
        outline = sprocket_outline(count, pitch, pitch * 0.31)
        c, s = math.cos(phase), math.sin(phase)
        outline = outline @ np.array([[c, s], [-s, c]])
        path = poly(outline * (k, -k))
        r = float(np.hypot(*outline.T).min())
        if r * k > 26:
            for i in range(windows):
                t = np.linspace(
                    math.tau * i / windows + 0.24, math.tau * (i + 1) / windows - 0.24, 16
                )
                ring = np.vstack(
                    [
                        np.stack([np.cos(t), np.sin(t)], 1) * r * 0.66,
                        (np.stack([np.cos(t), np.sin(t)], 1) * r * 0.38)[::-1],
                    ]
                )
                path = cut(path, poly(ring * k))
        if family(stuff)[0] == "metal":
            self._keep(
                "sprocket",
                Piece(
                    path,
                    self._drawing.stuffs.turned(0, 0, family(stuff)[1]),
                    1.3,
                    7 * self._drawing.size,
                    still_light=True,
                ),
                is_round=True,
            )
        else:
            self._cut(path, stuff, 4.0, 7.0, None, (), "sprocket")

    def chain_on(self, sprocket: str) -> tuple[Any, bool]:
        """Find the chain that runs on a sprocket (None: there is none), and whether the sprocket is its first wheel."""
        for part in self.scene.parts.values():
            around = [ref.part for ref in getattr(part, "around", ())]
            if sprocket in around and hasattr(part, "pitch"):
                return part, around[0] == sprocket
        return None, True

    def seat_phase(self, chain: Any, is_first: bool, sprocket: str) -> float:
        """How a sprocket is turned in its own frame so that its seats lie where the chain's rollers do. [rad]"""
        start = self.start(sprocket).angle
        if chain is None or is_first:
            return -start
        wheels = [ref.part for ref in chain.around]
        a, b = (self._drawing.first.point(wheel) for wheel in wheels)
        teeth = [self.scene.parts[wheel].teeth for wheel in wheels]  # type: ignore[attr-defined]
        return ChainLine(a, teeth[0], b, teeth[1], chain.pitch).phase_b - start
