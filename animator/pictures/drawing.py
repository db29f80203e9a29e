"""A recorded motion as marks on a sheet: each part draws itself once with the pen, every frame only moves what it drew.

    Part.draw(pen) -> Mark ... -> Drawing -> canvas at any moment

Marks are kept in the order in which they lie on each other. Lengths that parts hand over are millimetres in their own
frame, y up; the pen turns them into design units, y down. Nothing here knows a kind of part.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.geometry import Point
from animator.parts._contract import Rides
from animator.parts._views import VIEWS, picture_view
from animator.pictures._pen_across import look_across
from animator.pictures.ink import (
    Canvas,
)
from animator.pictures.loops import ChainLine, Loop
from animator.pictures.moment import Mark, Moment
from animator.pictures.pen import Pen
from animator.pictures.shapes import (
    NATURAL,
    UNSAID_SIZE,
)
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.parts._contract import Part
    from animator.parts._fields import Ref, Where


@dataclass
class Setting:
    """Where the piece stands: what its cabinet must be. [mm]

    ``kind``: ``stage`` (a box whose lid the figures stand on), ``box`` (everything inside, as in a little theatre), ``board`` (laid flat, seen
    from above). ``level``: height of the stage. ``low`` and ``high``: corners of all that moves, ever.
    """

    kind: str
    width: float
    height: float
    level: float
    low: tuple[float, float]
    high: tuple[float, float]


class Drawing:
    """All marks of one motion, in the order in which they lie.

    Parameters
    ----------
    motion
        What was recorded.
    stuffs
        Materials.
    per_mm
        Design units a millimetre.
    leave_out
        Parts not drawn.
    is_from_above
        Draw the parts that can show themselves from above so.
    size
        How large thicknesses and shadows are; default: as the scale is to the natural one.
    since
        Moment from which what turns level is counted: where it stood then is shown pale; None shows nothing. [s]
    """

    def __init__(
        self,
        motion: Motion,
        stuffs: Stuffs,
        per_mm: float = NATURAL,
        leave_out: Iterable[str] = (),
        is_from_above: bool = False,
        size: float | None = None,
        since: float | None = None,
    ) -> None:
        self.since = since
        self.motion, self.scene, self.stuffs, self.k = motion, motion.scene, stuffs, per_mm
        self.size = per_mm / NATURAL if size is None else size
        self.is_from_above = is_from_above
        self.indices = np.arange(len(motion.times), dtype=float)
        self.guides: list[tuple[float, float, float, float]] = []
        self.belts: dict[str, Loop] = {}
        self.chains: dict[str, ChainLine] = {}
        self.picture = VIEWS[picture_view(motion.scene)]
        self.across = look_across(motion.scene)
        self.still_parts = self._find_still()
        self.first = Moment(self, float(motion.times[0]))
        left_out = set(leave_out)
        marks: list[Mark] = []
        for name, part in self.scene.parts.items():
            if name in left_out or (
                name not in motion.frames
                and not getattr(part, "around", None)
                and not hasattr(part, "from_")
            ):
                continue
            pen: Any = Pen(self, part, self.depth_of(name), marks)
            self._show(part, pen)
        self.marks = sorted(marks, key=lambda mark: mark.depth)

    def _find_still(self) -> frozenset[str]:
        spread = (
            np.ptp(self.motion.poses, axis=0) if len(self.motion.poses) else np.zeros((0, 3))
        )
        moves = (
            (spread[:, :2].max(1) > 1e-3) | (spread[:, 2] > 1e-5)
            if len(spread)
            else np.zeros(0, bool)
        )
        return frozenset(
            name
            for name, (body, _) in self.motion.frames.items()
            if body < 0 or not moves[body]
        )

    @cached_property
    def turning_parts(self) -> frozenset[str]:
        """Parts whose own middle stands still while they turn."""
        out = set()
        for name in self.motion.frames:
            places = self.motion.frame(name)[:, :2]
            if float(np.ptp(places, axis=0).max(initial=0.0)) < 1e-3:
                out.add(name)
        return frozenset(out)

    def depth_of(self, name: str) -> tuple[float, float]:
        """How near a part is: (along, place in the file). What is ``behind`` another lies just behind it."""
        part = self.scene.parts[name]
        order = float(list(self.scene.parts).index(name))
        if (
            part.behind is not None
            and part.behind.part in self.scene.parts
            and part.behind.part != name
        ):
            along, place_ = self.depth_of(part.behind.part)
            return along, place_ - 0.5 + order * 1e-4
        if name in self.across:
            seen, pose = self.across[name], self.first.pose(name)
            return self.picture.seen(seen.plane.room((pose.x, pose.y), seen.along))[2], order
        if part.along is not None:
            return part.along, order
        held = part.held()
        if isinstance(held, Rides) and held.on.part in self.scene.parts:
            return self.depth_of(held.on.part)[0], order
        return 0.0, order

    def units(self, point: Sequence[float]) -> tuple[float, float]:
        """Take a place of the scene onto the sheet."""
        return point[0] * self.k, -point[1] * self.k

    def reach_of(self, part: str) -> float:
        """How far from its own middle a part reaches. [mm]"""
        corners = [mark.reach(self.first) for mark in self._trial(part)]
        x, y = self.units(self.first.pose(part)[:2])
        return max((float(np.abs(c - (x, y)).max()) for c in corners), default=0.0) / self.k

    def thickness_of(self, part: str) -> float:
        """Thickness of what a part is cut from. [mm]"""
        stuff = self.scene.parts[part].material
        return stuff.size if stuff is not None and stuff.size else UNSAID_SIZE

    def _trial(self, part: str) -> list[Mark]:
        """Marks of one part alone."""
        marks: list[Mark] = []
        pen: Any = Pen(self, self.scene.parts[part], (0.0, 0.0), marks)
        self._show(self.scene.parts[part], pen)
        return marks

    def _show(self, part: Part, pen: Any) -> None:
        """Let a part draw itself: as seen end-on, or across if its turning lies in another view than the picture's."""
        if part.name in self.across:
            part.draw_across(pen)
        else:
            part.draw(pen)

    def start_of(self, at: Where | Ref) -> Point:
        """Where a place of the scene is at the start. [mm]"""
        ref: Any = getattr(at, "ref", at)
        offset: Point = getattr(at, "offset", (0.0, 0.0))
        if ref is None or ref.part in ("", "frame"):
            return offset
        x, y = self.first.point(ref.part, ref.point)
        return x + offset[0], y + offset[1]

    def moment(self, t: float) -> Moment:
        """Where everything is at a time."""
        return Moment(self, t)

    # ------------------------------------------------------------ what the cabinet must be
    @cached_property
    def _samples(self) -> list[Moment]:
        times = self.motion.times
        return [self.moment(float(t)) for t in np.linspace(times[0], times[-1], 48)]

    def sweep(self, marks: Iterable[Mark]) -> tuple[tuple[float, float], tuple[float, float]]:
        """Corners of everything some marks ever cover. [mm]"""
        low, high = np.full(2, np.inf), np.full(2, -np.inf)
        for mark in marks:
            for moment in self._samples[:1] if mark.is_still else self._samples:
                corners = mark.reach(moment)
                low, high = np.minimum(low, corners.min(0)), np.maximum(high, corners.max(0))
        if not np.isfinite(low).all():
            return (0.0, 0.0), (self.scene.frame.width, self.scene.frame.height)
        return (low[0] / self.k, -high[1] / self.k), (high[0] / self.k, -low[1] / self.k)

    @cached_property
    def setting(self) -> Setting:
        """Where the piece stands, decided from its guides, its figures and where its parts really go."""
        frame = self.scene.frame
        low, high = self.sweep(self.marks)
        upright = [
            y + length / 2
            for _, y, direction, length in self.guides
            if math.sin(direction) > 0.7
        ]
        is_lying = frame.is_lying or self.picture is VIEWS["top"]
        # the lid hides a guide's upper end but not the guide, and no foot sinks into it
        feet = [
            self.sweep([mark])[0][1]
            for mark in self.marks
            if mark.sort == "figure" and not mark.is_still
        ]
        highest = max(upright, default=0.0)
        level = max(
            highest + 2.0, min(highest + frame.thickness + 3.0, min(feet, default=1e9) - 0.5)
        )
        acting = [name for name, part in self.scene.parts.items() if part.artwork is not None]
        if is_lying:
            kind = "board"
        elif upright and acting and level < high[1] - 4:
            kind = "stage"
        else:
            kind, level = "box", max(frame.height, high[1] + 4)
        return Setting(kind, frame.width, frame.height, level, low, high)

    # ------------------------------------------------------------ drawing
    def draw(self, c: Canvas, moment: Moment, marks: Sequence[Mark]) -> None:
        """Draw some marks at a moment."""
        for mark in marks:
            if mark.shadow is not None:
                mark.shadow(c, moment)
            mark.draw(c, moment)
