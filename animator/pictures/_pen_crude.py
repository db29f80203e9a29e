"""Drawing worms and pin wheels across their own turning: threads that travel along their shaft, a bent sheet, pins edge-on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.parts._thread import SheetThread, TurnedThread
from animator.pictures._pen_across import DARK, AcrossPen
from animator.pictures.ink import Array, Paint, Path, box, fill, poly

if TYPE_CHECKING:
    from animator.parts._right_angles import Meeting
    from animator.parts._thread import Thread

FINE = 16  # places along half a turn of thread
HEIGHT = 0.7  # of what it pushes: how far a cut thread stands out beyond its mean radius, and is cut in below it
THIN = 0.7  # mm; a sheet is drawn no thinner than this, or its edge is lost


class CrudePen(AcrossPen):
    """Drawing worms and pin wheels across their own turning."""

    def worm(
        self, thread: Thread, meets: Meeting, pushed: float, stuff: str, bore: float
    ) -> None:
        """Draw a worm edge-on; ``pushed``: thickness of what it pushes, ``bore``: of its shaft. [mm]"""
        if isinstance(thread, TurnedThread):
            self._cut_worm(thread, meets, pushed, stuff)
        else:
            self._bent_worm(thread, meets, pushed, stuff, bore)

    def bore_of(self, shaft: str) -> float:
        """Diameter of a shaft. [mm]"""
        material = self.scene.parts[shaft].material
        return material.size if material is not None and material.size else 4.0

    def screw(self, thread: TurnedThread, stuff: str, slider: str) -> None:
        """Draw a screw edge-on, and its nut on the slider that carries it."""
        self._cut_worm(thread, None, 0.6 * thread.step, stuff)
        pen = type(self)(self._drawing, self.scene.parts[slider], self._depth, self._marks)
        size = max(2.6 * thread.step, 0.8 * thread.radius, 4.0)
        wide = 2.5 * (thread.radius + 0.5 * thread.step)
        pen.nearer_than([slider]).block((0.0, 0.0), size, wide, "brass", 3.0, 5.0, sort="nut")

    def _cut_worm(
        self, thread: TurnedThread, meets: Meeting | None, pushed: float, stuff: str
    ) -> None:
        k, seen = self._drawing.k, self.seen
        high = min(HEIGHT * pushed, 0.25 * thread.radius)
        outer, root = thread.radius + high, thread.radius - high
        reach = thread.reach + 0.4 * thread.step
        paint = self._round(outer, stuff)
        core = box(-reach * k, -root * k, 2 * reach * k, 2 * root * k, 0.4 * k)
        sunk = fill("#000000", DARK)
        ridge = thread.half / math.cos(thread.lead_angle)
        rise = thread.hand * thread.slope * thread.radius  # along the axis for a radian
        ways = np.linspace(seen.to - math.pi / 2, seen.to + math.pi / 2, FINE)
        levels = outer * np.cos(ways - seen.up)
        lowest = thread.shift + rise * (ways - (meets.line if meets is not None else 0.0))

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            made = [(core, paint), (core, sunk)]
            here = lowest - rise * angle
            first = math.ceil((-reach - float(here.max()) - ridge) / thread.step)
            last = math.floor((reach - float(here.min()) + ridge) / thread.step)
            for i in range(first, last + 1):
                x = here + i * thread.step
                left, right = (
                    np.clip(x - ridge, -reach, reach),
                    np.clip(x + ridge, -reach, reach),
                )
                shown = right - left > 0.05
                if shown.sum() < 2:
                    continue
                points = np.vstack(
                    [
                        np.stack([left[shown], levels[shown]], 1),
                        np.stack([right[shown], levels[shown]], 1)[::-1],
                    ]
                )
                made.append((poly(points * (k, -k)), paint))
            return made

        self._moving("worm", paths, [(-reach, -outer), (reach, outer)], 8.0)

    def _bent_worm(
        self, thread: SheetThread, meets: Meeting, pushed: float, stuff: str, bore: float
    ) -> None:
        k, seen = self._drawing.k, self.seen
        outer, inner = thread.radius + 0.8 * pushed, max(0.16 * thread.radius, bore / 2)
        half = max(thread.half, THIN / 2)
        paint = self._round(outer, stuff)
        dark, shade = fill("#000000", DARK), fill("#000000", DARK / 2)
        collar = box(
            -thread.spread / 2 * k, -inner * 1.5 * k, thread.spread * k, 3 * inner * k, 0.4 * k
        )

        def face(ways: Array, x: Array) -> Path:
            levels = np.cos(ways - seen.up)
            points = np.vstack(
                [np.stack([x, outer * levels], 1), np.stack([x, inner * levels], 1)[::-1]]
            )
            return poly(points * (k, -k))

        def rim(ways: Array, x: Array) -> Path:
            levels = outer * np.cos(ways - seen.up)
            points = np.vstack(
                [np.stack([x - half, levels], 1), np.stack([x + half, levels], 1)[::-1]]
            )
            return poly(points * (k, -k))

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            # the sheet's own angle round the axis runs from 0 to its sweep, its first end at ``start`` in the room
            start = meets.line + angle
            runs: list[tuple[float, list[tuple[float, float]]]] = []
            own = np.linspace(0.0, thread.sweep, 8 * FINE)
            places = [
                thread.hand * (thread.bend(y * thread.radius)[0] - thread.spread / 2)
                for y in own
            ]
            run: list[tuple[float, float]] = []
            was = math.cos(start - seen.to) >= 0
            for y, x in zip(own, places, strict=True):
                near = math.cos(start + y - seen.to) >= 0
                run.append((start + y, x))
                if near != was:
                    runs.append((1.0 if was else -1.0, run))
                    run, was = [(start + y, x)], near
            runs.append((1.0 if was else -1.0, run))
            far: list[tuple[Path, Paint]] = []
            front: list[tuple[Path, Paint]] = []
            for side, points in runs:
                if len(points) < 2:
                    continue
                ways, x = np.array(points).T
                edge, plane = rim(ways, x), face(ways, x)
                if side > 0:
                    front += [(plane, paint), (plane, shade), (edge, paint)]
                else:
                    far += [(plane, paint), (plane, dark), (edge, paint), (edge, dark)]
            return [*far, (collar, paint), *front]

        reach = thread.spread / 2 + half
        self._moving("bent worm", paths, [(-reach, -outer), (reach, outer)], 8.0)

    def edge_pins(
        self,
        count: int,
        radius: float,
        diameter: float,
        start: float,
        stop: float,
        stuff: str,
        phase: float,
    ) -> None:
        """Draw round pins that stand on a disc's face, from ``start`` to ``stop`` along the axis, the far ones first. [mm]"""
        k, seen, stuffs, half = self._drawing.k, self.seen, self._drawing.stuffs, diameter / 2
        low, high = sorted((start, stop))
        flip = -1.0 if math.cos(seen.turn) < -1e-9 else 1.0
        dark = fill("#000000", DARK)

        def paths(angle: float) -> list[tuple[Path, Paint]]:
            ways = [angle + phase + math.tau * i / count for i in range(count)]
            made = []
            for way in sorted(ways, key=lambda way: math.cos(way - seen.to)):
                t = radius * math.cos(way - seen.up)
                path = box(low * k, -(t + half) * k, (high - low) * k, diameter * k, 0.3 * k)
                made.append(
                    (
                        path,
                        stuffs.round(
                            (0, (-t - half * flip) * k), (0, (-t + half * flip) * k), stuff
                        ),
                    )
                )
                if math.cos(way - seen.to) < 0:
                    made.append((path, dark))
            return made

        self._moving(
            "edges of pins", paths, [(low, -radius - half), (high, radius + half)], 2.0
        )
