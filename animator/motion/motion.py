"""A recorded run as arrays on one clock. It can be kept, compared and drawn again without running again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from animator.geometry import Point, Pose

if TYPE_CHECKING:
    from animator.scene.model import Scene

Floats = NDArray[np.float64]
End = Literal["finished", "repeats", "jammed", "stalled", "not trusted"]


@dataclass(frozen=True)
class Channel:
    """One recorded quantity.

    ``values`` : (time_count,) in internal units (mm, s, g, rad; force g mm/s^2). ``unit`` is the sort: ``length``,
    ``angle``, ``turning speed``, ``speed``, ``force``, ``torque``, ``share``, ``count``, ``state``.
    ``is_mean``: each value is the mean since the sample before (forces), not a snapshot.
    """

    unit: str
    values: Floats
    is_mean: bool = False


@dataclass(frozen=True)
class Contact:
    """What happened where two parts touch (a follower on its cam, a stem in its guide, a rim on its egg).

    ``first`` and ``second`` are the parts' names, ``where`` the words for the place (``guide of lifter``).
    Arrays on the motion's clock: ``gap`` [mm] (negative: pressed in), ``normal`` and ``friction`` mean force since the sample before
    [g mm/s^2], ``sliding`` speed [mm/s], ``point`` (time_count, 2) [mm], ``direction`` (time_count, 2) unit normal from first to second.
    ``is_meant``: contact is meant to hold all the time (a follower), so a gap is a float. ``hit`` : (hit_count, 2) time [s] and closing speed [mm/s]
    of each landing after a gap.
    ``coefficient``: friction coefficient of this run.
    """

    first: str
    second: str
    where: str
    kind: Literal["cam", "guide", "rim", "stop", "teeth", "thread", "pins across"]
    gap: Floats
    normal: Floats
    friction: Floats
    sliding: Floats
    point: Floats
    direction: Floats
    is_meant: bool
    coefficient: float
    hit: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    lips: Floats = field(default_factory=lambda: np.zeros((0, 4)))
    """A guide's: mean force at each of its four lips, (time_count, 4): near end right, near end left, far end right, far end left."""
    lip_places: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    """Where the four lips stand, (4, 2). [mm]"""


@dataclass(frozen=True)
class Slip:
    """What a drive that can slip was due and what it did, along the belt's line [mm], running totals on the clock.

    ``due``: travel of the driving rim; ``got``: travel of the driven rim; ``rubbed``: how much of the difference was
    rubbing (the rest is creep by stretching). ``driver`` and ``driven`` are part names, ``radii`` their working radii [mm].
    """

    driver: str
    driven: str
    radii: tuple[float, float]
    due: Floats
    got: Floats
    rubbed: Floats


@dataclass(frozen=True)
class Ledger:
    """Where the energy went: running totals [g mm^2/s^2] on the clock, each integrated from its own force and motion.

    ``work_in``: by the drives, place -> total. ``heat``: place -> total (friction, impacts, damping, creep).
    ``kinetic``, ``potential`` (weight), ``spring`` (springs and stretched belts): stored at each moment, from zero at the start.
    ``residual``: work in less heat less stored; it measures the reckoning, nothing is booked into it.
    """

    work_in: Mapping[str, Floats]
    heat: Mapping[str, Floats]
    kinetic: Floats
    potential: Floats
    spring: Floats
    residual: Floats


@dataclass(frozen=True)
class Drive:
    """One drive, on the clock.

    ``angle`` of its shaft in the running direction [rad], ``speed`` and ``due_speed`` [rad/s], ``torque`` it gives (mean since the sample before,
    > 0 when it pushes) and ``ceiling``, the most it can give [g mm^2/s^2]; ``radius`` of the knob, 0 for a motor [mm]; ``sense`` is +1
    anticlockwise, -1 clockwise.
    """

    name: str
    shaft: str
    sense: int
    angle: Floats
    speed: Floats
    due_speed: Floats
    torque: Floats
    ceiling: Floats
    radius: float


@dataclass(frozen=True)
class Trust:
    """How far the run can be believed."""

    is_ok: bool
    dt: float
    iterations: int
    joint_error: float
    residual_percent: float
    retries: int = 0
    verify_percent: float | None = None
    sentence: str = ""


@dataclass(frozen=True)
class Motion:
    """One run of one variant at one friction level.

    ``times`` : (time_count,) [s], 1 kHz. ``poses`` : (time_count, body_count, 3), x [mm], y [mm], angle [rad] of each rigid body's own
    frame (the frame of its first part). ``frames``: part -> (index of its body, or -1 for the frame; the part's frame in the body's).
    ``begins``: index of the sample from which measures, claims and films count (end of the start-up).
    ``channels``: ``part.word`` -> quantity, named like the measures (``loop.tension``, ``ice.spin``). ``contacts``, ``slips`` and ``springs`` are keyed
    by part name (springs: length [mm] and force on the clock as channels).
    """

    scene: Scene
    level: float
    times: Floats
    bodies: tuple[str, ...]
    poses: Floats
    frames: Mapping[str, tuple[int, Pose]]
    begins: int
    channels: Mapping[str, Channel]
    contacts: Mapping[str, Contact]
    slips: Mapping[str, Slip]
    ledger: Ledger
    drive: Drive | None
    trust: Trust
    end: End
    sentence: str
    drives: tuple[Drive, ...] = ()
    """Every drive; ``drive`` is the first of them."""
    remarks: tuple[str, ...] = ()
    """Assumptions taken while building, in sentences."""

    def frame(self, part: str) -> Floats:
        """Poses of a part's own frame, (time_count, 3): x [mm], y [mm], angle [rad]."""
        body, inner = self.frames[part]
        if body < 0:
            return np.broadcast_to(np.array(inner), (len(self.times), 3))
        x, y, angle = self.poses[:, body].T
        c, s = np.cos(angle), np.sin(angle)
        return np.stack(
            [x + c * inner.x - s * inner.y, y + s * inner.x + c * inner.y, angle + inner.angle],
            1,
        )

    def point(self, part: str, point: str | Point) -> Floats:
        """Path of a part's point (by name, or given in the part's frame [mm]), (time_count, 2). [mm]"""
        px, py = self.scene.parts[part].points()[point] if isinstance(point, str) else point
        x, y, angle = self.frame(part).T
        c, s = np.cos(angle), np.sin(angle)
        return np.stack([x + c * px - s * py, y + s * px + c * py], 1)

    def pose_at(self, part: str, t: float) -> Pose:
        """Pose of a part at any moment, between samples by straight interpolation."""
        body, inner = self.frames[part]
        if body < 0:
            return inner
        position = float(
            np.clip(
                np.interp(t, self.times, np.arange(len(self.times))), 0, len(self.times) - 1
            )
        )
        i = min(int(position), len(self.times) - 2) if len(self.times) > 1 else 0
        f = position - i
        here = (
            self.poses[i, body]
            if len(self.times) == 1
            else (1 - f) * self.poses[i, body] + f * self.poses[i + 1, body]
        )
        return Pose(*map(float, here)).compose(inner)
