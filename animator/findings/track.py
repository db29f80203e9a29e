"""The recorded motion seen from one part: heights, speeds, how long and when; what measures and findings are made of."""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from animator.findings.thresholds import (
    FELT_TIME,
    STANDSTILL_SHARE,
    STANDSTILL_TIME,
    STOPPING_TIME,
)
from animator.motion.looping import main_angle
from animator.motion.motion import Contact, Drive, Floats, Motion, Slip
from animator.parts._contract import Rides, Slides, Turns

if TYPE_CHECKING:
    from animator.parts._contract import Part
    from animator.scene.model import Scene

Flags = NDArray[np.bool_]
DIRECTIONS = (
    180  # ways in which the longest extent of a path is looked for; wrong by less than 0.04 %
)
SMALLEST = 1e-6  # mm; nearer to an axis than this is on it


def moving_mean(values: Floats, count: int) -> Floats:
    """Mean over ``count`` neighbouring samples; as long as the input, at the edges over what there is.

    Examples
    --------
    >>> moving_mean(np.array([0.0, 0.0, 3.0, 0.0, 0.0]), 3)
    array([0., 1., 1., 1., 0.])
    """
    if count <= 1 or len(values) == 0:
        return values
    total = np.cumsum(np.concatenate([[0.0], values]))
    middle = np.arange(len(values))
    high = np.minimum(middle + count // 2 + 1, len(values))
    low = np.maximum(middle - (count - 1) // 2, 0)
    return np.asarray((total[high] - total[low]) / (high - low))


def stretches(flags: Flags) -> list[tuple[int, int]]:
    """Find where flags are up: first and last index of each stretch.

    Examples
    --------
    >>> stretches(np.array([True, False, True, True]))
    [(0, 0), (2, 3)]
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(first), int(after) - 1) for first, after in edges.reshape(-1, 2)]


def carriers(scene: Scene, part: str) -> list[str]:
    """Give a part, what it is fixed to, what that is fixed to, and so on; the last one has a hold of its own."""
    chain = [part]
    while True:
        held = scene.parts[chain[-1]].held()
        if not isinstance(held, Rides) or held.on.part not in scene.parts:
            return chain
        chain.append(held.on.part)


class Track:
    """One run seen from one part, over a span of samples.

    Parameters
    ----------
    motion
        The run.
    part
        Name of the part.
    first, last
        First and last sample of the span; left out, from where the count begins to the end. All arrays are cut to the span.
    """

    def __init__(
        self, motion: Motion, part: str, first: int | None = None, last: int | None = None
    ) -> None:
        self.motion, self.name = motion, part
        self.first = motion.begins if first is None else first
        self.last = len(motion.times) - 1 if last is None else last
        self.span = slice(self.first, self.last + 1)

    # ------------------------------------------------------------ what it is
    @cached_property
    def part(self) -> Part:
        """The part itself."""
        return self.motion.scene.parts[self.name]

    @cached_property
    def carriers(self) -> list[str]:
        """The part, what it is fixed to, and so on."""
        return carriers(self.motion.scene, self.name)

    @cached_property
    def root(self) -> Part:
        """What carries the part and has a hold of its own."""
        return self.motion.scene.parts[self.carriers[-1]]

    @property
    def is_moving(self) -> bool:
        """Whether it belongs to a body that moves (not the frame, and not a belt, which has no place)."""
        return self.motion.frames.get(self.name, (-1, None))[0] >= 0

    @cached_property
    def is_shifting(self) -> bool:
        """Whether its main point changes place, rather than turning on the spot."""
        if not self.is_moving:
            return False
        held = self.root.held()
        if not isinstance(held, Turns) or getattr(self.root, "flies", False):
            return True  # what only lies at a point until it is thrown turns on no spot
        axis = self.motion.frame(self.root.name)[0, :2]
        return math.dist(axis, self.motion.point(self.name, self.main_point)[0]) > SMALLEST

    @property
    def main_point(self) -> str:
        """Name of its main point."""
        return next(iter(self.part.points()))

    @cached_property
    def slide(self) -> tuple[float, float] | None:
        """The way its carrier slides, as a unit vector; None for what doesn't slide."""
        held = self.root.held()
        return (
            (math.cos(held.direction), math.sin(held.direction))
            if isinstance(held, Slides)
            else None
        )

    @cached_property
    def drive(self) -> Drive | None:
        """The drive on its shaft, or the drive that it is; None for what no drive turns directly."""
        return next(
            (
                drive
                for drive in self.motion.drives
                if drive.name == self.name or drive.shaft in self.carriers
            ),
            None,
        )

    @property
    def contact(self) -> Contact | None:
        """Its touch with what it follows."""
        return self.motion.contacts.get(self.name)

    @property
    def guide(self) -> Contact | None:
        """Its touch with its guide."""
        return self.motion.contacts.get(f"{self.name}.guide")

    # ------------------------------------------------------------ the clock
    @property
    def times(self) -> Floats:
        """The span's clock. [s]"""
        return self.motion.times[self.span]

    @cached_property
    def degrees(self) -> Floats:
        """How far the main shaft has turned since the start of the run. [deg]"""
        return np.degrees(main_angle(self.motion)[self.span])

    @property
    def turn_count(self) -> float:
        """Turns of the main shaft over the span."""
        return float((self.degrees[-1] - self.degrees[0]) / 360)

    # ------------------------------------------------------------ where it is
    def path(self, point: str = "") -> Floats:
        """Places of a point, (time_count, 2). [mm]"""
        return self.motion.point(self.name, point or self.main_point)[self.span]

    def height(self, point: str = "") -> Floats:
        """Height of a point above the frame's lower edge. [mm]"""
        return self.path(point)[:, 1]

    def along(self, point: str = "") -> Floats:
        """Place of a point along its slide; for what doesn't slide, along the longest extent of its path. [mm]"""
        path = self.path(point)
        if self.slide is not None:
            return np.asarray(path @ np.array(self.slide))
        angles = np.pi * np.arange(DIRECTIONS) / DIRECTIONS
        extents = np.ptp(
            path[:: max(1, len(path) // 2000)] @ np.stack([np.cos(angles), np.sin(angles)]),
            axis=0,
        )
        best = angles[int(np.argmax(extents))]
        return np.asarray(path @ np.array([np.cos(best), np.sin(best)]))

    @cached_property
    def angle(self) -> Floats:
        """How far it has turned: in the plane, or about its upright spindle where it has one. [rad]"""
        for name in self.carriers:
            spin = self.motion.channels.get(f"{name}.spin")
            if spin is not None:
                return spin.values[self.span]
        return self.motion.frame(self.name)[self.span, 2]

    @property
    def is_spinning(self) -> bool:
        """Whether it turns about an upright spindle that the plane can't show."""
        return any(f"{name}.spin" in self.motion.channels for name in self.carriers)

    @property
    def is_turning(self) -> bool:
        """Whether it turns on the spot: on a shaft or pivot, or about a spindle."""
        return self.is_moving and (
            self.is_spinning
            or (isinstance(self.root.held(), Turns) and not getattr(self.root, "flies", False))
        )

    @property
    def is_swinging(self) -> bool:
        """Whether it goes to and fro rather than round."""
        is_free = self.drive is None and self.slip is None
        return (
            self.is_turning
            and not self.is_spinning
            and is_free
            and float(np.ptp(self.angle)) < math.tau
        )

    @cached_property
    def turning_speed(self) -> Floats:
        """Turning speed, without sign. [rad/s]"""
        return (
            np.abs(np.gradient(self.angle, self.times))
            if len(self.times) > 1
            else np.zeros(len(self.times))
        )

    @cached_property
    def speed(self) -> Floats:
        """Speed of its main point. [mm/s]"""
        return (
            np.hypot(*np.gradient(self.path(), self.times, axis=0).T)
            if len(self.times) > 1
            else np.zeros(len(self.times))
        )

    @property
    def slip(self) -> Slip | None:
        """The belt or chain that turns it."""
        return next(
            (slip for slip in self.motion.slips.values() if self._shares_body(slip.driven)),
            None,
        )

    def _shares_body(self, other: str) -> bool:
        return (
            self.is_moving and self.motion.frames[other][0] == self.motion.frames[self.name][0]
        )

    @cached_property
    def due_speed(self) -> Floats:
        """The speed it is meant to run at. [rad/s], or [mm/s] for what doesn't turn

        What a drive turns: the drive's; what a belt or chain turns: the driving wheel's by the ratio; anything else: its own mean.
        """
        if self.drive is not None:
            due = self.drive.due_speed[self.span]
            # one that is switched off is due to stand: it stands by what it runs at
            return np.where(due > 0, due, float(self.drive.due_speed.max(initial=0.0)))
        slip = self.slip
        if slip is not None:
            driver = Track(self.motion, slip.driver, self.first, self.last)
            return driver.turning_speed * slip.radii[0] / slip.radii[1]
        speed = self.turning_speed if self.is_turning else self.speed
        return np.full(len(speed), float(speed.mean()))

    @cached_property
    def is_standing(self) -> Flags:
        """Moments at which it is slower than a hundredth of what is due."""
        speed = self.turning_speed if self.is_turning else self.speed
        return np.asarray(speed <= STANDSTILL_SHARE * self.due_speed)

    @cached_property
    def is_stopped(self) -> Flags:
        """Moments that belong to a standstill long enough to be seen."""
        shown = np.zeros(len(self.times), dtype=np.bool_)
        for first, last in stretches(self.is_standing):
            # the run itself ends when its drive has stood this long, so a sample less is enough
            if self.times[last] - self.times[first] >= STANDSTILL_TIME - 5e-3:
                shown[first : last + 1] = True
        return shown

    # ------------------------------------------------------------ forces
    @property
    def is_drive(self) -> bool:
        """Whether the part is a drive itself."""
        return self.drive is not None and self.drive.name == self.name

    @property
    def is_determined(self) -> Flags:
        """Moments at which forces are what the motion asks for.

        Not while the piece stands at the end of its run, nor just before: between the edges of a guide a wedging stem may be squeezed
        with any force.
        """
        if self.motion.end != "stalled":
            return np.ones(len(self.times), dtype=np.bool_)
        return np.asarray(self.times < self.motion.times[-1] - STANDSTILL_TIME - STOPPING_TIME)

    def felt(self, values: Floats) -> Floats:
        """Means over what a hand feels (5 ms) of a quantity on the whole clock, cut to the span."""
        clock = self.motion.times
        step = float(clock[1] - clock[0]) if len(clock) > 1 else FELT_TIME
        return moving_mean(values, max(1, round(FELT_TIME / step)))[self.span]

    def channel(self, word: str) -> Floats | None:
        """A recorded quantity of the part, or None."""
        found = self.motion.channels.get(f"{self.name}.{word}")
        return None if found is None else found.values

    def worst(self, word: str, limit: float) -> tuple[int, int, float] | None:
        """Give the first and the last sample of the stretch in which a recorded quantity goes farthest over a limit, and its largest value; None if it never does."""
        course = self.channel(word)
        if course is None:
            return None
        seen = course[self.span]
        over = stretches(seen > limit)
        if not over:
            return None
        first, last = max(over, key=lambda stretch: seen[stretch[0] : stretch[1] + 1].max())
        return first + self.first, last + self.first, float(seen.max())
