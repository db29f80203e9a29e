"""What a panel shows of a piece, and how large: figures over their stage, the works in a round window, or the whole piece."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from animator.parts._contract import Turns
from animator.pictures.plate import Cabinet
from animator.pictures.readings import actors
from animator.pictures.shapes import NATURAL
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.pictures.moment import Mark

AIR = 9.0  # design units between what a panel shows and its edge
LINE = 34.0  # height of the line in which they stand over a wide piece
SIGN = 92.0  # width of the column in which angle and time stand
WORTH = 0.8  # what stands still is cut off only if the rest would otherwise be smaller than that share of its size
SCENERY = 0.4  # of the stage's width; what is as wide and stands still is scenery
ROOF = 0.86  # a cabinet's roof is shown if what is inside reaches that share of its height
FAR = (1e6, 1e6)


@dataclass(frozen=True)
class Region:
    """A part of the scene. [mm]"""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        """How wide it is. [mm]"""
        return self.right - self.left

    @property
    def middle(self) -> float:
        """Where its middle lies. [mm]"""
        return (self.left + self.right) / 2


class View:
    """How the panels of a sheet look at a piece.

    Parameters
    ----------
    motion
        What was recorded.
    stuffs
        Materials.
    """

    def __init__(self, motion: Motion, stuffs: Stuffs) -> None:
        self.motion, self.stuffs = motion, stuffs
        self.probe = self._stand(NATURAL)
        self.is_stage, self.is_flat = self.probe.is_stage, self.probe.is_flat
        self.has_works = self.is_stage and bool(self.probe.works)

    def _stand(self, k: float) -> Stand:
        return Stand(
            self.motion, self.stuffs, 0, 0, FAR, self.motion.scene.title, 99, k, None, False
        )

    # ------------------------------------------------------------ what is shown
    @cached_property
    def moving(self) -> frozenset[str]:
        """Parts whose way a panel shows with a ghost: figures that move; where none does, what the eye follows and all that is fixed to it."""
        motion = self.motion
        figures = frozenset(
            name
            for name, part in motion.scene.parts.items()
            if part.artwork is not None and name not in self.probe.drawing.still_parts
        )
        if figures or self.is_flat:
            return figures
        shown = actors(motion)
        if not shown:
            return frozenset()
        body = motion.frames[shown[0].part][0]
        return frozenset(name for name, (other, _) in motion.frames.items() if other == body)

    @cached_property
    def regions(self) -> tuple[Region, Region]:
        """What must be shown, and what is shown besides where it costs little."""
        stand = self.probe
        if self.is_flat:
            left, low, right, high = stand.extent
            if stand.found is not None:
                high += stand.found.radius * 190 / 118
            whole = Region(left, low, right, high)
            return whole, whole
        drawing = stand.drawing
        setting = drawing.setting
        if self.is_stage:
            level = setting.level
            must = [
                mark for mark in stand.acting if not mark.is_still or self._is_seen_whole(mark)
            ]
            acting = self._sweep(must, level)
            figures = [
                mark for mark in stand.acting if mark.sort == "figure" or not mark.is_still
            ]
            return acting, self._sweep(figures, level)
        cabinet = stand.base
        assert isinstance(cabinet, Cabinet)
        over = cabinet.overhang / NATURAL
        left = min(-over, setting.low[0] - 2)
        right = max(setting.width + over, setting.high[0] + 2)
        roof = -cabinet.top / NATURAL
        inside = max(
            (drawing.sweep([mark])[1][1] for mark in stand.works), default=setting.level
        )
        whole = Region(left, 0.0, right, roof)
        return (whole if inside > ROOF * roof else Region(left, 0.0, right, inside + 9)), whole

    def _is_seen_whole(self, mark: Mark) -> bool:
        """True for a figure that stands still but is no scenery: a smith is to be seen whole, reeds and a hill may run out of the picture."""
        if mark.sort != "figure":
            return False
        both = [other for other in self.probe.acting if other.part == mark.part]
        (left, _), (right, _) = self.probe.drawing.sweep(both)
        return right - left < SCENERY * self.motion.scene.frame.width

    def _sweep(self, marks: list[Mark], level: float) -> Region:
        (left, _), (right, high) = self.probe.drawing.sweep(marks)
        return Region(left, level, right, max(high, level + 12))

    @cached_property
    def sign_is_left(self) -> bool:
        """True if what stands high in the picture stands at its right: angle and time then go to the left."""
        stand = self.probe
        return stand.ride is not None and stand.ride_at[0] + stand.x > 0.5 * sum(
            stand.on_sheet((at, 0))[0] for at in (self.regions[0].left, self.regions[0].right)
        )

    # ------------------------------------------------------------ how large
    def strip(self, k: float) -> float:
        """How much of a panel's foot the stage takes: its lid as we look down on it, and its front edge. [design units]"""
        frame = self.motion.scene.frame
        rise = min(14.0, 0.035 * frame.width * k)
        return rise + min(min(max(frame.thickness * k, 12.0), 30.0), 22.0)

    def column(self, wide: float, high: float) -> float:
        """Width of what stands beside the piece in a panel."""
        if self.sign_is_left or self.sign_is_above(wide, high):
            return 0.0
        return 2 * self.window(wide, high) + 22 if self.has_works else SIGN

    def sign_is_above(self, wide: float, high: float) -> bool:
        """True if angle and time stand on one line over the piece: it is wide, and so drawn larger."""
        if self.is_stage or self.sign_is_left:
            return False
        region = self.regions[0]
        tall, room = region.high - region.low, wide - 2 * AIR
        beside = min((room - SIGN) / region.width, (high - AIR) / tall)
        return min(room / region.width, (high - AIR - LINE) / tall) > beside

    def window(self, wide: float, high: float) -> float:
        """Radius of the round window."""
        return min(max(0.125 * wide, 40.0), 0.25 * high, 84.0)

    def most(self, wide: float, high: float) -> float:
        """Largest scale at which a panel of some size shows what it must. [design units a millimetre]"""
        needed, whole = (self._fit(region, wide, high) for region in self.regions)
        return whole if whole >= WORTH * needed else needed

    def _fit(self, region: Region, wide: float, high: float) -> float:
        room = wide - self.column(wide, high) - 2 * AIR
        tall = region.high - region.low
        if not self.is_stage:
            above = LINE if self.sign_is_above(wide, high) else 0.0
            return min(room / region.width, (high - AIR - above) / tall)
        k = NATURAL
        for _ in range(6):  # the stage's foot hardly changes with the scale
            k = min(room / region.width, (high - self.strip(k) - 1.6 * AIR) / tall)
        return k

    def shown(self, wide: float, high: float, k: float) -> Region:
        """What a panel shows at a scale."""
        needed, whole = self.regions
        return whole if self._fit(whole, wide, high) >= k * (1 - 1e-6) else needed

    def stand(self, k: float) -> Stand:
        """Give the piece at a scale."""
        return self._stand(k)

    def works(self, r: float) -> tuple[Stand, tuple[float, float]] | None:
        """Give the works for a round window, and the place on them that is its middle."""
        if not self.has_works:
            return None
        drawing, frames = self.probe.drawing, self.motion.frames
        scene = self.motion.scene
        shafts = [name for name, part in scene.parts.items() if isinstance(part.held(), Turns)]
        drive = self.motion.drive
        shaft = drive.shaft if drive is not None and drive.shaft in frames else None
        name = shaft or next(iter(shafts), None)
        if name is None:
            k = min(0.92, 2 * r / max(scene.frame.width, 1.0))
            stand = self._stand(k)
            return stand, stand.on_sheet((scene.frame.width / 2, drawing.setting.level / 2))
        body = frames[name][0]
        turning = [other for other, (at, _) in frames.items() if at == body and body >= 0]
        reach = max((drawing.reach_of(other) for other in turning), default=40.0)
        k = min(max(1.04 * r / max(reach, 1.0), 0.4), 2.2)
        stand = self._stand(k)
        x, y = stand.on_sheet(stand.drawing.first.point(name))
        # a little above the shaft: what the cam lifts is to be seen too
        return stand, (x, y - 0.16 * r)
