"""A piece on its stand that somebody turns: the same world and the same steps as a recorded run, a hand instead of a set speed.

What the hand can give is the drive's own ceiling; slip, float, jam and stall come out of the same forces.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from animator.motion.motion import Motion
from animator.motion.recording import Recorder
from animator.problems import RunError
from animator.screens.hand import GENTLY, QUICKEST, wanted
from animator.world.building import build
from animator.world.settings import (
    JOINT_LIMIT,
    SAMPLE,
    STEPS,
    TURN_A_STEP,
    WEDGE_LIMIT,
    Settings,
)
from animator.world.stepping import CHECK_EVERY, STANDSTILL_TIME, End, run, settle, stride

if TYPE_CHECKING:
    from animator.scene.model import Scene
    from animator.world.drives import Drive

CEILING_SHARE = 0.9  # of what the hand can give: it pushes as hard as it can
STANDING = 0.05  # rad/s; slower than the eye follows
FELT = 50  # samples over which the effort that is shown is taken
HELD = End("finished", "", 0.0)


@dataclass
class Wish:
    """What is wanted of the drive: to be held at all, to be led to an angle [rad], or at a speed [rad/s]; a motor: the share of its full speed."""

    is_on: bool = False
    target: float = 0.0
    speed: float | None = None
    share: float = 1.0


def driven_by(scene: Scene) -> str:
    """Give the name of the drive that a visitor turns: the first handle, else the first motor.

    Raises
    ------
    RunError
        Nothing drives the piece.
    """
    drives = [part for part in scene.parts.values() if getattr(part, "is_drive", False)]
    handles = [part for part in drives if hasattr(part, "strength")]
    if not drives:
        raise RunError(
            f"{scene.file}: nothing turns this piece, so there is nothing to take hold of; give it a handle or a motor"
        )
    return (handles or drives)[0].name


def hand_speed(scene: Scene, name: str) -> tuple[float, float]:
    """Speed a drive is meant to turn at, and the fastest it may be led at. [rad/s]"""
    part: Any = scene.parts[name]
    speed = float(part.speed.at(0.5) if hasattr(part.speed, "at") else part.speed)
    return speed, max(1.2 * speed, QUICKEST) if hasattr(part, "strength") else speed


class Rig:
    """One piece that is being turned.

    Parameters
    ----------
    scene
        Assembled.

    Attributes
    ----------
    stuck_for : float
        How long the hand has pushed as hard as it can and nothing has moved. [s]
    mishaps : int
        How often the piece had to be put together anew because the reckoning lost its grip.
    """

    def __init__(self, scene: Scene) -> None:
        self.scene, self.name = scene, driven_by(scene)
        self.mishaps = 0
        self._settings: Settings | None = None
        self.put_together()

    def put_together(self) -> None:
        """Put the piece as it is at the start."""
        self.world = build(self.scene, settings=self._settings or self._quick_enough())
        settle(self.world)
        self.drive: Drive = next(d for d in self.world.drives if d.name == self.name)
        for drive in self.world.drives:
            drive.is_released = True
        self.most = hand_speed(self.scene, self.name)[1]
        self.recorder = Recorder(self.world)
        self.time, self._count = 0.0, 0
        self.stuck_for, self.push = 0.0, 0
        self._led = 0.0
        self._was_on = True
        self._efforts: deque[float] = deque(maxlen=FELT)
        self._aim(Wish(is_on=self.drive.has_line))
        self.recorder.take(0.0)

    def _quick_enough(self) -> Settings:
        """Take the scene's own step, or a shorter one where a hand turns faster than the scene's drive."""
        own = build(self.scene)
        ratio = own.fastest / max(drive.speed for drive in own.drives)
        quickest = ratio * hand_speed(self.scene, self.name)[1]
        longest = min(own.settings.dt, TURN_A_STEP / quickest)
        dt = next((step for step in STEPS if step <= longest * (1 + 1e-9)), STEPS[-1])
        return Settings(dt, own.settings.iterations, own.settings.correction)

    @property
    def angle(self) -> float:
        """How far the drive has been turned in its running direction. [rad]"""
        return self.drive.turned

    @property
    def effort(self) -> float:
        """Torque the hand gives, > 0 when it pushes in the running direction; mean over the last moment. [g mm^2/s^2]"""
        return sum(self._efforts) / max(len(self._efforts), 1)

    def advance(self, samples: int, wish: Wish) -> None:
        """Step on by some milliseconds, pushed as wished."""
        for _ in range(samples):
            self._aim(wish)
            try:
                stride(self.world, self.time)
            except (ArithmeticError, ValueError):
                self._lost_grip()
                return
            self._count += 1
            self.time = self._count * SAMPLE
            self._feel(wish)
            self.recorder.take(self.time)
            if self._count % CHECK_EVERY == 0 and not self._is_sound():
                self._lost_grip()
                return

    def _aim(self, wish: Wish) -> None:
        drive = self.drive
        if drive.is_switched:
            # its circuit decides when it runs; to switch it on is to put a coin in
            if wish.is_on and not self._was_on:
                for drop in self.world.calls.values():
                    drop(self.time)
            self._was_on = wish.is_on
            if wish.is_on:
                drive.aim(drive.speed)
            else:
                drive.let_go()
            return
        if drive.has_line:
            share = min(max(wish.share, 0.0), 1.0)
            if wish.is_on and share > 0:
                drive.aim(share * drive.speed)
            else:
                drive.let_go()
            return
        if not wish.is_on:
            self._led = drive.sense * drive.body.angular_velocity
            drive.let_go()
            return
        speed = (
            wanted(wish.target, drive.turned, self.most) if wish.speed is None else wish.speed
        )
        change = self.most / GENTLY * SAMPLE
        self._led += max(-change, min(change, speed - self._led))
        drive.aim(self._led)

    def _feel(self, wish: Wish) -> None:
        drive = self.drive
        # the recorder takes the sum away with its sample
        effort = drive.torque_sum / self.world.settings.steps_a_sample
        self._efforts.append(effort)
        speed = abs(drive.body.angular_velocity)
        can = drive.ceiling * (wish.share if drive.has_line else 1.0)
        is_pushing = wish.is_on and abs(effort) >= CEILING_SHARE * can and can > 0
        if is_pushing and speed < STANDING:
            self.stuck_for += SAMPLE
            self.push = 1 if effort > 0 else -1
        elif speed >= STANDING or not is_pushing:
            self.stuck_for = 0.0

    @property
    def is_stuck(self) -> bool:
        """Whether it stands although it is pushed as hard as can be."""
        return self.stuck_for > STANDSTILL_TIME

    def _is_sound(self) -> bool:
        error = self.recorder.joint_error()
        return error <= JOINT_LIMIT and self.recorder.given_way() <= WEDGE_LIMIT

    def _lost_grip(self) -> None:
        """Begin again with safer settings: what has gone wrong must not be shown as if it were true."""
        self.mishaps += 1
        if self.mishaps <= 3:
            self._settings = self.world.settings.safer()
        self.put_together()

    def moment(self) -> Motion:
        """Everything as it is now, as a motion of the samples since this was last asked; older ones are forgotten."""
        self.recorder.forget()
        return self.recorder.motion(HELD, 0)


def tried(scene: Scene) -> Motion:
    """Turn a piece once round by its hand, and back if it sticks: what it can do tells how large its picture must be."""
    rig = Rig(scene)
    world, recorder = rig.world, rig.recorder
    drive: Any = rig.drive
    if drive.has_line or drive is not world.drives[0]:
        run(world, recorder, None, 1.0)
        return recorder.motion(HELD, 0)
    full = min(drive.speed, rig.most)
    for way in (1, -1):
        goal = rig.angle + way * math.tau
        for _ in range(round(4 * math.tau / full / SAMPLE)):
            rig.advance(1, Wish(True, speed=way * full))
            if (rig.is_stuck and rig.push == way) or way * (rig.angle - goal) >= 0:
                break
        if rig.recorder is not recorder:
            raise RunError(
                f"{scene.file}: this piece comes apart when it is turned; 'animator check' tells more"
            )
        if way * (rig.angle - goal) >= 0:
            break
    return recorder.motion(HELD, 0)
