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
WORTH, WORTH_NEAR = (
    0.82,
    0.6,
)  # what stands still is cut off only if all would otherwise be smaller than that share of its size
NEAR = 0.06  # of the stage's width; what stands so near what moves belongs to it
SIDE = 7.0  # between a figure and the sides of a panel
WORDS = 40.0  # half the width of the words under the window
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

    def with_(self, other: Region) -> Region:
        """Give the region that holds both."""
        return Region(
            min(self.left, other.left),
            min(self.low, other.low),
            max(self.right, other.right),
            max(self.high, other.high),
        )


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
    def region(self) -> Region:
        """What must be shown: of a piece with a stage all that moves over it, else the whole piece."""
        stand = self.probe
        if self.is_flat:
            left, low, right, high = stand.extent
            if stand.found is not None:
                high += stand.found.radius * 190 / 118
            return Region(left, low, right, high)
        setting = stand.drawing.setting
        if self.is_stage:
            return self._sweep([mark for mark in stand.acting if not mark.is_still])
        cabinet = stand.base
        assert isinstance(cabinet, Cabinet)
        over = cabinet.overhang / NATURAL
        left = min(-over, setting.low[0] - 2)
        right = max(setting.width + over, setting.high[0] + 2)
        roof = -cabinet.top / NATURAL
        inside = max(
            (stand.drawing.sweep([mark])[1][1] for mark in stand.works), default=setting.level
        )
        return Region(left, 0.0, right, roof if inside > ROOF * roof else inside + 9)

    @cached_property
    def standing(self) -> list[Region]:
        """Figures that stand still on the stage, the nearest to what moves first."""
        if not self.is_stage:
            return []
        names = {
            mark.part for mark in self.probe.acting if mark.sort == "figure" and mark.is_still
        }
        found = [
            self._sweep([mark for mark in self.probe.acting if mark.part == name])
            for name in sorted(names)
        ]
        here = self.region
        return sorted(
            found,
            key=lambda other: (
                max(here.left - other.left, other.right - here.right),
                other.left,
            ),
        )

    def _sweep(self, marks: list[Mark]) -> Region:
        level = self.probe.drawing.setting.level
        (left, _), (right, high) = self.probe.drawing.sweep(marks)
        return Region(float(left), float(level), float(right), float(max(high, level + 12)))

    @cached_property
    def sign_is_left(self) -> bool:
        """True if what stands high in the picture stands at its right: angle and time then go to the left."""
        stand = self.probe
        return stand.ride is not None and stand.ride_at[0] + stand.x > 0.5 * sum(
            stand.on_sheet((at, 0))[0] for at in (self.region.left, self.region.right)
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
        region = self.region
        tall, room = region.high - region.low, wide - 2 * AIR
        beside = min((room - SIGN) / region.width, (high - AIR) / tall)
        return min(room / region.width, (high - AIR - LINE) / tall) > beside

    def window(self, wide: float, high: float) -> float:
        """Radius of the round window."""
        return min(max(0.125 * wide, 40.0), 0.25 * high, 84.0)

    def most(self, wide: float, high: float) -> float:
        """Largest scale at which a panel of some size shows what it must. [design units a millimetre]"""
        if not self.is_stage:
            room, region = wide - self.column(wide, high) - 2 * AIR, self.region
            above = LINE if self.sign_is_above(wide, high) else 0.0
            return min(room / region.width, (high - AIR - above) / (region.high - region.low))
        needed = self._fit([self.region], wide, high)
        shown, best = [self.region], needed
        for figure in self.standing:
            fits = self._fit([*shown, figure], wide, high)
            here = self.region
            gap = max(here.left - figure.right, figure.left - here.right)
            is_near = gap < NEAR * self.motion.scene.frame.width
            if fits >= (WORTH_NEAR if is_near else WORTH) * needed:
                shown.append(figure)
                best = fits
        return best

    def _fit(self, regions: list[Region], wide: float, high: float) -> float:
        """Largest scale at which some regions fit over the stage beside what stands at the panel's right."""
        low, most = 0.01, 40.0
        for _ in range(40):
            k = (low + most) / 2
            left, right = self.span(regions, wide, high, k)
            tall = (self.region.high - self.region.low) * k
            if left <= right and tall <= high - self.strip(k) - 1.6 * AIR:
                low = k
            else:
                most = k
        return low

    def span(
        self, regions: list[Region], wide: float, high: float, k: float
    ) -> tuple[float, float]:
        """Leftmost and rightmost place of the scene's zero in a panel, if some regions are to be seen; the first is the greater where they don't fit."""
        left = SIDE - min(region.left for region in regions) * k
        right = min(
            wide - self.beside(region, wide, high, k) - region.right * k for region in regions
        )
        return left, right

    def beside(self, region: Region, wide: float, high: float, k: float) -> float:
        """How much at a panel's right a figure must keep clear: the round window if it is so tall, else the words below it, else nothing."""
        if not self.has_works:
            return self.column(wide, high)
        r = self.window(wide, high)
        top = high - self.strip(k) - (region.high - region.low) * k
        if top < 2 * r + 24:
            return self.column(wide, high)
        return r + 12 + WORDS if top < 2 * r + 78 else SIDE

    def over_stage(self, wide: float, high: float, k: float) -> list[Region]:
        """What a panel shows whole over the stage at a scale."""
        shown = [self.region]
        for figure in self.standing:
            left, right = self.span([*shown, figure], wide, high, k)
            if left <= right + 1e-6:
                shown.append(figure)
        return shown

    def stand(self, k: float) -> Stand:
        """Give the piece at a scale; of one with a stage only what stands on it, as its works lie below the panel."""
        stand = self._stand(k)
        if stand.is_stage:
            stand.steps = stand.steps[stand.below :]
        return stand

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
