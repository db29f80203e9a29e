"""The closed curve: a smooth outline on which a contact can be followed from step to step."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from animator.geometry import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Curve:
    """A smooth closed outline, anticlockwise, as a periodic cubic spline over evenly numbered points.

    Parameters
    ----------
    points
        (count, 2), anticlockwise, the first not repeated. [mm]

    Notes
    -----
    The parameter runs from 0 to ``count``. Evaluation is plain floats: it is called at every step of a run.
    """

    def __init__(self, points: Floats | Sequence[Point]) -> None:
        import numpy as np

        here = np.ascontiguousarray(points, float)
        self.points = here
        self.count = len(here)
        # second derivatives of the even periodic spline: m[i-1] + 4 m[i] + m[i+1] = 6 (p[i-1] - 2 p[i] + p[i+1]), solved by Fourier
        wave = 2 * np.cos(2 * np.pi * np.fft.rfftfreq(self.count))[:, None]
        bends = np.fft.irfft(
            np.fft.rfft(here, axis=0) * (6 * (wave - 2) / (wave + 4)), self.count, axis=0
        )
        there, ends = np.roll(here, -1, 0), np.roll(bends, -1, 0)
        slopes = there - here - (2 * bends + ends) / 6
        pieces = np.stack([(ends - bends) / 6, bends / 2, slopes, here], 1)  # (count, 4, 2)
        self._pieces: list[tuple[float, ...]] = [
            tuple(row) for row in pieces.transpose(0, 2, 1).reshape(self.count, 8).tolist()
        ]
        length = np.hypot(slopes[:, 0], slopes[:, 1])[:, None]
        self.normals = np.stack([slopes[:, 1], -slopes[:, 0]], 1) / length
        self.largest_radius = float(np.hypot(here[:, 0], here[:, 1]).max())

    def evaluate(self, s: float) -> tuple[float, float, float, float, float, float]:
        """Point, first and second derivative over the parameter: x, y, x', y', x'', y''."""
        s %= self.count
        k = min(int(s), self.count - 1)
        u = s - k
        a3, a2, a1, a0, b3, b2, b1, b0 = self._pieces[k]
        return (
            ((a3 * u + a2) * u + a1) * u + a0,
            ((b3 * u + b2) * u + b1) * u + b0,
            (3 * a3 * u + 2 * a2) * u + a1,
            (3 * b3 * u + 2 * b2) * u + b1,
            6 * a3 * u + 2 * a2,
            6 * b3 * u + 2 * b2,
        )

    def closest(
        self, x: float, y: float, s: float
    ) -> tuple[float, float, float, float, float, float, float]:
        """Find the foot of the perpendicular from a point, by Newton's method from parameter ``s``.

        Returns
        -------
        tuple
            Parameter, signed distance of the point (> 0 outside) [mm], outward unit normal (x, y), foot (x, y) [mm], curvature
            (> 0 convex) [1/mm].
        """
        count, pieces = self.count, self._pieces
        for _ in range(8):  # ``evaluate`` written out: this is asked for at every step of a run
            s %= count
            k = min(int(s), count - 1)
            u = s - k
            a3, a2, a1, a0, b3, b2, b1, b0 = pieces[k]
            px, py = ((a3 * u + a2) * u + a1) * u + a0, ((b3 * u + b2) * u + b1) * u + b0
            tx, ty = (3 * a3 * u + 2 * a2) * u + a1, (3 * b3 * u + 2 * b2) * u + b1
            ax, ay = 6 * a3 * u + 2 * a2, 6 * b3 * u + 2 * b2
            dx, dy = px - x, py - y
            square = tx * tx + ty * ty
            slope = square + dx * ax + dy * ay
            if (
                slope <= 0.05 * square
            ):  # near or beyond the centre of curvature: a plain downhill step
                slope = square
            step = max(-3.0, min(3.0, -(dx * tx + dy * ty) / slope))
            s += step
            if -1e-7 < step < 1e-7:
                break
        length = math.sqrt(square)
        nx, ny = ty / length, -tx / length
        return (
            s % self.count,
            (x - px) * nx + (y - py) * ny,
            nx,
            ny,
            px,
            py,
            (tx * ay - ty * ax) / length**3,
        )

    def near_all(self, x: float, y: float) -> list[tuple[float, float]]:
        """All places where the distance from a point is least nearby, nearest first: (parameter, distance [mm]).

        Only those that face the point: the far side of the cam is no contact.
        """
        import numpy as np

        dx, dy = x - self.points[:, 0], y - self.points[:, 1]
        square = dx * dx + dy * dy
        least = np.nonzero((square <= np.roll(square, 1)) & (square < np.roll(square, -1)))[0]
        faces = dx[least] * self.normals[least, 0] + dy[least] * self.normals[least, 1] > -0.5
        least = least[faces]
        order = least[np.argsort(square[least], kind="stable")]
        return [(float(i), float(math.sqrt(square[i]))) for i in order]

    def support_global(self, x: float, y: float) -> float:
        """Parameter of the numbered point that lies farthest in a direction."""
        import numpy as np

        return float(np.argmax(self.points[:, 0] * x + self.points[:, 1] * y))

    def support(self, x: float, y: float, s: float) -> tuple[float, float, float]:
        """Find the place that lies farthest in a direction, by Newton's method from ``s``: parameter, x, y [mm]."""
        for _ in range(8):
            px, py, tx, ty, ax, ay = self.evaluate(s)
            slope = ax * x + ay * y
            if slope > -1e-9:
                slope = -max(1e-9, abs(slope))
            step = max(-3.0, min(3.0, -(tx * x + ty * y) / slope))
            s += step
            if -1e-7 < step < 1e-7:
                break
        return s % self.count, px, py
