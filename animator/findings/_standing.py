"""Standstills of a run: where a drive pushes as hard as it can and nothing moves, and what holds it there.

Two codes are told apart by what is recorded: a jam is held by the rubbing of a stem in its guide, or of spokes that have caught each other, and no push frees
it; anything else that the drive can't overcome is a stall. No formula for wedging is asked.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from animator.findings._catching import Catch, find_catch
from animator.findings.report import Finding
from animator.findings.thresholds import (
    CEILING_SHARE,
    CONFIRM_ANGLE,
    CONFIRM_ITERATIONS,
    CONFIRM_STRENGTH,
    FELT_TIME,
    STANDSTILL_SHARE,
    STANDSTILL_TIME,
    WEDGE_LEAST,
    WEDGE_SHARE,
)
from animator.findings.track import Track, stretches
from animator.motion.motion import Contact, Drive, Floats, Motion
from animator.motion.running import run
from animator.world.settings import Settings

COMING_UP = 0.3  # of the full speed; before that a drive only begins to push
APPROACH = math.radians(
    2.0
)  # over which it is seen how far each part still moved for the shaft's turning
BEYOND = 0.25  # of a turn; what passes the place where it stood by so much has passed it
QUIET = 0.05  # s; the first moments of a standstill still ring


@dataclass(frozen=True)
class Wedge:
    """A guide that holds its stem by rubbing. Forces [g mm/s^2], slope [mm/rad]: how far the stem went for the shaft's turning."""

    guide: Contact
    friction: float
    sides: tuple[float, float, float, float]
    slope: float
    load: float
    share: float


@dataclass(frozen=True)
class Standstill:
    """One drive that stands.

    ``first``, ``last``: samples; ``angle`` of the drive's shaft [rad]; ``torque`` it gives and ``stored``, the part of it that lifts weights and squeezes springs
    [g mm^2/s^2]. ``wedge``: the guide that holds, confirmed by a second run; None for a stall. ``further``: how far three times the
    strength gets before it stands again, None if it never stands. [rad]
    """

    drive: Drive
    first: int
    last: int
    angle: float
    torque: float
    stored: float
    wedge: Wedge | None
    further: float | None
    iterations: int
    catch: Catch | None = None
    """The wheel that has caught, confirmed by a second run."""


def turns_to(finding: Finding) -> float:
    """Turns after the start-up (a quarter turn, usually) that take a run well past where it stood."""
    return max(finding.from_deg / 360 - 0.25, 0.0) + BEYOND


def find_standstills(motion: Motion) -> list[Standstill]:
    """Find where drives stand at their ceiling, and tell wedges from loads that are too heavy."""
    found = []
    for drive in motion.drives:
        standing = drive.speed <= STANDSTILL_SHARE * drive.due_speed
        standing &= drive.due_speed >= COMING_UP * drive.due_speed.max(initial=0.0)
        for first, last in stretches(standing & (drive.due_speed > 0)):
            # the run itself ends when its drive has stood this long, so a few samples less are enough
            if motion.times[last] - motion.times[first] < STANDSTILL_TIME - 0.01:
                continue
            steady = slice(min(first + _samples(motion, QUIET), last), last + 1)
            torque = float(
                drive.torque[last - _samples(motion, FELT_TIME) : last + 1].mean()
            )  # a motor's still grows as it is switched on
            if torque < CEILING_SHARE * float(drive.ceiling[last]):
                continue
            found.append(_standstill(motion, drive, first, last, steady, torque))
    return found


def _samples(motion: Motion, time: float) -> int:
    return round(time / float(motion.times[1] - motion.times[0]))


def _standstill(
    motion: Motion, drive: Drive, first: int, last: int, steady: slice, torque: float
) -> Standstill:
    angle = float(drive.angle[last])
    stored = rate_of(motion.ledger.potential + motion.ledger.spring, drive.angle, first)
    suspects = [
        _wedge(motion, contact, drive, first, steady, torque, stored)
        for contact in motion.contacts.values()
        if contact.kind == "guide"
    ]
    suspect = max(
        (wedge for wedge in suspects if wedge is not None),
        key=lambda wedge: wedge.share,
        default=None,
    )
    if suspect is None:
        catch = find_catch(motion, drive, steady)
        iterations = motion.trust.iterations
        if catch is not None:
            iterations = max(CONFIRM_ITERATIONS, iterations)
            stronger = _again(motion, drive, angle, iterations, CONFIRM_STRENGTH)
            if stronger is None or abs(stronger - angle) > CONFIRM_ANGLE:
                catch = None
        return Standstill(
            drive, first, last, angle, torque, stored, None, None, iterations, catch
        )
    iterations = max(CONFIRM_ITERATIONS, motion.trust.iterations)
    stronger = _again(motion, drive, angle, iterations, CONFIRM_STRENGTH)
    holds = stronger is not None
    if stronger is not None and abs(stronger - angle) > CONFIRM_ANGLE:
        # a stronger push may get a little further before it wedges; the same push must stand where it stood
        again = _again(motion, drive, angle, iterations, 1.0)
        holds = again is not None and abs(again - angle) <= CONFIRM_ANGLE
    further = None if stronger is None else stronger - angle
    return Standstill(
        drive,
        first,
        last,
        angle,
        torque,
        stored,
        suspect if holds else None,
        further,
        iterations,
    )


def rate_of(course: Floats, angle: Floats, first: int) -> float:
    """How fast a quantity still rose with the shaft's angle when it came to stand."""
    rising = np.maximum.accumulate(angle[: first + 1])
    before = int(np.searchsorted(rising, rising[-1] - APPROACH))
    way = float(rising[-1] - rising[before])
    return float(course[first] - course[before]) / way if way > 1e-9 else 0.0


def _wedge(
    motion: Motion,
    guide: Contact,
    drive: Drive,
    first: int,
    steady: slice,
    torque: float,
    stored: float,
) -> Wedge | None:
    """Weigh what the rubbing in a guide takes of the push; None if it isn't what holds."""
    friction = float(guide.friction[steady].mean())
    slope = abs(rate_of(Track(motion, guide.second, 0).along(), drive.angle, first))
    held = friction * slope
    if held < WEDGE_LEAST * torque or held < WEDGE_SHARE * (held + abs(stored)):
        return None
    sides = (
        tuple(float(force) for force in guide.lips[steady].mean(0))
        if len(guide.lips)
        else (0.0,) * 4
    )
    load = abs(stored) / slope if slope > 1e-9 else 0.0
    return Wedge(guide, friction, sides, slope, load, held / torque)  # type: ignore[arg-type]


def _again(
    motion: Motion, drive: Drive, angle: float, iterations: int, strength: float
) -> float | None:
    """Run again with a firmer solver and perhaps a stronger push, to half a turn beyond; the angle at which it stands, None if it doesn't. [rad]"""
    settings = Settings(motion.trust.dt, iterations)
    turns = max(angle / (2 * math.pi) - 0.25, 0.0) + 2 * BEYOND
    second = run(motion.scene, motion.level, settings, turns=turns, strength=strength)
    if second.end != "stalled":
        return None
    found = next((each for each in second.drives if each.name == drive.name), None)
    return None if found is None else float(found.angle[-1])
