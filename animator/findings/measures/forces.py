"""Forces and torques."""

from __future__ import annotations

from animator.findings.measures._contract import Reading, largest, word
from animator.findings.thresholds import LANDING_TIME
from animator.findings.track import Track


@word("contact force", "force", "N")
def _contact_force(track: Track, point: str) -> Reading | None:
    """Force where it touches what it follows, landings left out: their force depends on the step of the reckoning, their speed doesn't."""
    contact = track.contact
    if contact is None or not contact.is_meant:
        return None
    steady = track.is_determined
    for moment, _ in contact.hit:
        steady[
            (track.times >= moment - LANDING_TIME / 2) & (track.times <= moment + LANDING_TIME)
        ] = False
    return largest(track.felt(contact.normal), steady)


@word("side force", "force", "N")
def _side_force(track: Track, point: str) -> Reading | None:
    """Sum of the forces with which a stem bears on the sides of its guide."""
    guide = track.guide
    return None if guide is None else largest(track.felt(guide.normal), track.is_determined)


@word("tension", "force", "N")
def _tension(track: Track, point: str) -> Reading | None:
    """Pull in the tight side of a belt or chain."""
    for name in ("tension", "pull"):
        pull = track.channel(name)
        if pull is not None:
            return largest(track.felt(pull))
    return None


@word("push", "force", "N")
def _push(track: Track, point: str) -> Reading | None:
    """Push of a wire."""
    push = track.channel("push")
    return None if push is None else largest(track.felt(push))


@word("force", "force", "N")
def _force(track: Track, point: str) -> Reading | None:
    """Force at the knob; of a spring, its push or pull."""
    if track.drive is not None and track.drive.name == track.name:
        return (
            largest(track.felt(track.drive.torque / track.drive.radius))
            if track.drive.radius
            else None
        )
    force = track.channel("force")
    return None if force is None else largest(track.felt(force))


@word("torque", "torque", "N mm", lambda track: track.is_drive)
def _torque(track: Track, point: str) -> Reading | None:
    """Torque of the drive; of a wound spring, a hinge or a detent, its own."""
    own = track.channel("torque")
    if own is not None:
        return largest(track.felt(own))
    return None if track.drive is None else largest(track.felt(track.drive.torque))


@word("start torque", "torque", "N mm", lambda track: track.is_drive)
def _start_torque(track: Track, point: str) -> Reading | None:
    """Largest torque of the drive until it is up to speed."""
    if track.drive is None:
        return None
    begins = track.motion.begins or len(track.motion.times) - 1
    start = Track(track.motion, track.name, 0, begins)
    series = start.felt(track.drive.torque)
    return Reading(series, float(series.max()), True)
