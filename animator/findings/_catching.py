"""Wheels that catch: spokes that meet so squarely that the push goes to the axle and friction keeps them from sliding off each other."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from animator.motion.motion import Contact, Drive, Motion
from animator.parts._crude import CrudeWheel
from animator.trains import turning_part

ROOM = 1.1  # times the friction that is written: what is caught stands at the edge of sliding, and is recorded to a few digits


@dataclass(frozen=True)
class Catch:
    """A wheel that is caught: by which touches, how far beside its middle the push passes on the whole [mm], how far the angle to the middle is off [rad]."""

    part: str
    by: str
    touches: tuple[Contact, ...]
    beside: float
    off: float
    friction: float

    @property
    def is_between(self) -> bool:
        """Whether it is held from both sides."""
        return len(self.touches) > 1


def find_catch(motion: Motion, drive: Drive, steady: slice) -> Catch | None:
    """Find a wheel whose touches alone can hold it against the push that bears on it, however hard: rubbing outweighs what turns it."""
    parts = motion.scene.parts
    best: Catch | None = None
    meshes: dict[tuple[str, str], list[Contact]] = {}
    for contact in motion.contacts.values():
        if (
            contact.kind == "teeth"
            and isinstance(parts[contact.second], CrudeWheel)
            and float(contact.normal[steady].mean()) > 0
        ):
            meshes.setdefault((contact.first, contact.second), []).append(contact)
    for pair, touches in meshes.items():
        for wheel, other in (pair, pair[::-1]):
            if turning_part(parts, wheel) == drive.shaft:
                continue
            turning = holding = through = 0.0
            middle = motion.frame(wheel)[steady.stop - 1, :2]
            for touch in touches:
                force = float(touch.normal[steady].mean())
                x, y = np.asarray(touch.point[steady.stop - 1]) - middle
                nx, ny = touch.direction[steady.stop - 1]
                turning += force * (x * ny - y * nx)
                along = force * abs(x * nx + y * ny)
                holding += touch.coefficient * along
                through += along
            if abs(turning) <= ROOM * holding and holding > 0:
                force = sum(float(touch.normal[steady].mean()) for touch in touches)
                found = Catch(
                    wheel, other, tuple(touches), abs(turning) / force, math.atan2(abs(turning), through),
                    touches[0].coefficient,
                )  # fmt: skip
                if best is None or found.off < best.off:
                    best = found
    return best
