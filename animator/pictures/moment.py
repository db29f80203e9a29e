"""Where everything is at one time, and the marks that are drawn with it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from animator.geometry import Point, Pose
from animator.pictures.ink import (
    Array,
    Canvas,
    Matrix,
    place,
)

if TYPE_CHECKING:
    from animator.parts._fields import Ref
    from animator.pictures.drawing import Drawing


class Moment:
    """Where everything is at one time: what a mark is drawn with."""

    def __init__(self, drawing: Drawing, t: float) -> None:
        motion = drawing.motion
        self.drawing, self.t = drawing, t
        times = motion.times
        position = min(max(float(np.interp(t, times, drawing.indices)), 0.0), len(times) - 1.0)
        self._i = min(int(position), len(times) - 2) if len(times) > 1 else 0
        self._f = position - self._i
        self._poses = self._at(motion.poses)
        self._matrices: dict[str, Matrix] = {}

    def _at(self, values: Any) -> Any:
        if len(values) == 1:
            return values[0]
        return (1 - self._f) * values[self._i] + self._f * values[self._i + 1]

    def pose(self, part: str) -> Pose:
        """Pose of a part's own frame. [mm, rad]"""
        body, inner = self.drawing.motion.frames[part]
        if body < 0:
            return inner
        x, y, angle = self._poses[body].tolist()
        return Pose(x, y, angle).compose(inner)

    def matrix(self, part: str) -> Matrix:
        """Frame of a part on the sheet."""
        if part not in self._matrices:
            at, k = self.pose(part), self.drawing.k
            across = self.drawing.across.get(part)
            if across is None:
                self._matrices[part] = place(at.x * k, -at.y * k, -math.degrees(at.angle))
            else:  # edge-on: its frame runs along its axis and doesn't turn
                x, y = self.drawing.units(self.point(part, (0.0, 0.0)))
                self._matrices[part] = place(x, y, -math.degrees(across.turn))
        return self._matrices[part]

    def point(self, part: str, point: str | Point = "") -> Point:
        """Place of a part's point in the picture. [mm]"""
        if isinstance(point, str):
            points = self.drawing.scene.parts[part].points()
            point = points[point or next(iter(points))]
        place_ = self.pose(part).place(point)
        across = self.drawing.across.get(part)
        if across is None:
            return place_
        x, y, _ = self.drawing.picture.seen(across.plane.room(place_, across.along))
        return x, y

    def spot(self, part: str, point: str | Point = "") -> tuple[float, float]:
        """Place of a part's point on the sheet."""
        return self.drawing.units(self.point(part, point))

    def place(self, ref: Ref) -> Point:
        """Place that the scene names, now. [mm]"""
        if ref.part in ("", "frame"):
            return self.drawing.start_of(ref)
        return self.point(ref.part, ref.point)

    def value(self, channel: str, otherwise: float = 0.0) -> float:
        """Value of a recorded channel now."""
        found = self.drawing.motion.channels.get(channel)
        return otherwise if found is None else float(self._at(found.values))

    def of(self, values: NDArray[np.float64]) -> float:
        """Value now of any array on the motion's clock."""
        return float(self._at(values))


@dataclass
class Mark:
    """One thing drawn of one part.

    Attributes
    ----------
    part, sort
        Whose it is and what it is (``plate``, ``bar``, ``coil``, ``belt`` ...).
    depth
        (millimetres towards the viewer, place in the file, order within the part): nearer is drawn later.
    is_still
        It never moves in this motion.
    reach
        Places it covers at a moment: corners in design units, for sizing and clipping.
    """

    part: str
    sort: str
    depth: tuple[float, float, int]
    is_still: bool
    draw: Callable[[Canvas, Moment], None]
    reach: Callable[[Moment], Array]
    shadow: Callable[[Canvas, Moment], None] | None = None
    casts_still: bool = False
    """It turns on the spot and is round: its shadow lies still."""
