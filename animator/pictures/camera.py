"""What part of the piece a picture shows: windows on it, how a camera goes from one to the next, how it frames parts and follows one.

A window is told in millimetres of the scene, so it means the same on every page. Only the camera eases, by the 3-4-5 law; the mechanism never.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from animator.pictures.pages.easing import eased

if TYPE_CHECKING:
    from animator.pictures.moment import Moment
    from animator.pictures.stand import Stand

MARGIN = (
    0.06  # of the picture's height round what is framed, where the shot doesn't say how much
)
MOST_NEAR = 6.0  # times as near as the whole piece is seen; nearer there is only grain
SAMPLES = 240  # most moments at which a part's reach is measured
GENTLE = 0.25  # s; a camera that follows smooths the part's way by so much,
BOUND = 0.22  # but never lets it farther from the middle than this share of the picture

Bounds = tuple[float, float, float, float]
"""Left, low, right, high. [mm]"""
Room = tuple[float, float, float, float]
"""Left, top, right, foot of what isn't covered, as far from the left edge as from the right. [design units]"""


@dataclass(frozen=True)
class Window:
    """Middle of a picture and its height, in the scene. [mm]"""

    x: float
    y: float
    high: float

    def mixed(self, other: Window, share: float) -> Window:
        """Go a share of the way to another: its middle straight, its height by even ratios."""
        high = self.high * (other.high / self.high) ** share
        if abs(other.high - self.high) < 1e-9:
            part = share
        else:  # what lies still in both pictures then runs on a straight line
            part = (high - self.high) / (other.high - self.high)
        return Window(
            self.x + (other.x - self.x) * part, self.y + (other.y - self.y) * part, high
        )


def home(stand: Stand, w: float, h: float) -> Window:
    """Give the window of a page on which a piece stands. [w, h: design units]"""
    return Window((w / 2 - stand.x) / stand.k, (stand.y - h / 2) / stand.k, h / stand.k)


def bounds_of(stand: Stand, parts: Iterable[str], moments: Sequence[Moment]) -> Bounds | None:
    """Corners of all that some parts cover at some moments; None where none of them is drawn. [mm]"""
    names = set(parts)
    low, high = np.full(2, np.inf), np.full(2, -np.inf)
    for mark in stand.drawing.marks:
        if mark.part not in names:
            continue
        for moment in moments[:1] if mark.is_still else moments:
            corners = mark.reach(moment)
            low, high = np.minimum(low, corners.min(0)), np.maximum(high, corners.max(0))
    if stand.ride is not None and stand.found is not None:
        riders = {stand.found.wheel, *(name for name, _ in stand.found.riders)}
        if riders & names:  # seen from the side, over the fold
            x, y = stand.ride_at
            r = stand.found.radius * stand.k
            low = np.minimum(low, (x - 1.1 * r, y - 1.61 * r))
            high = np.maximum(high, (x + 1.1 * r, y + 0.2 * r))
    if not np.isfinite(low).all():
        return None
    k = stand.k
    return low[0] / k, -high[1] / k, high[0] / k, -low[1] / k


def sampled(stand: Stand, times: Sequence[float]) -> list[Moment]:
    """Moments at which reach is measured: those of the pictures, thinned out where there are very many."""
    different = sorted(set(times))
    step = max(1, math.ceil(len(different) / SAMPLES))
    return [stand.moment(t) for t in [*different[::step], different[-1]]]


def framed(
    bounds: Bounds,
    room: Room,
    h: float,
    natural: float,
    margin: float | None = None,
) -> Window:
    """Give the window in which something lies inside the free room, with a margin.

    Parameters
    ----------
    bounds
        Corners of what is framed. [mm]
    room
        What cards and captions leave free of the picture. [design units]
    h
        Height of the picture. [design units]
    natural
        Scale at which the whole piece is seen: the picture comes at most ``MOST_NEAR`` times nearer. [design units a millimetre]
    margin
        Kept free round what is framed [mm]; None takes a share of the picture.
    """
    left, top, right, foot = room
    inset = MARGIN * h if margin is None else 0.0
    free = right - left - 2 * inset, foot - top - 2 * inset
    more = margin or 0.0
    wide, tall = bounds[2] - bounds[0] + 2 * more, bounds[3] - bounds[1] + 2 * more
    scale = min(free[0] / max(wide, 1e-6), free[1] / max(tall, 1e-6), MOST_NEAR * natural)
    return centred(
        ((bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2), h / scale, room, h
    )


def centred(point: tuple[float, float], high: float, room: Room, h: float) -> Window:
    """Give the window of some height [mm] in which a place [mm] lies in the middle of the free room."""
    below = (room[1] + room[3]) / 2 - h / 2  # the free room's middle lies above the picture's
    return Window(point[0], point[1] + below * high / h, high)


def followed(path: NDArray[np.float64], fps: float, high: float) -> NDArray[np.float64]:
    """Give the way of a camera that goes along with a place, (picture_count, 2). [mm]

    The part's way is smoothed, so that a rattle doesn't shake the picture; where that would leave it too far from the middle, less so.

    Parameters
    ----------
    path
        The place in each picture, (picture_count, 2). [mm]
    fps
        Pictures a second.
    high
        Height of the window. [mm]
    """
    over = GENTLE * fps
    while over > 0.5:
        reach = math.ceil(3 * over)
        kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / over) ** 2)
        kernel /= kernel.sum()
        padded = np.pad(path, ((reach, reach), (0, 0)), mode="edge")
        smooth = np.stack(
            [np.convolve(padded[:, i], kernel, mode="valid") for i in range(2)], 1
        )
        if float(np.abs(smooth - path).max(initial=0.0)) <= BOUND * high:
            return smooth
        over /= 2
    return path


def approach(at: float, begins: float, ends: float, over: float) -> float:
    """How far a camera has come at a moment of the film, 0 to 1: there from ``begins`` on, back after ``ends``. [s]"""
    return eased(at - begins + over, over) * (1 - eased(at - ends, over))
