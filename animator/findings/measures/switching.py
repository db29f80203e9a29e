"""What is switched: how long it is on, what current a motor takes, how far a shaft runs on."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, largest, total, word
from animator.findings.track import Track, stretches
from animator.motion.motion import Drive, Floats

START_TIME = 0.25  # s; eight times what a small gear motor needs to run up
SMEARED = 5  # samples over which a felt force is the mean
STATES = ("closed", "lit", "running")


def _state(track: Track) -> Floats | None:
    """Whether it is on, for what has a recorded state: 1 or 0."""
    found = (track.channel(state) for state in STATES)
    on = next((each for each in found if each is not None), None)
    return None if on is None else on[track.span]


def _own_drive(track: Track) -> Drive | None:
    return track.drive if track.is_drive else None


def _is_motor(track: Track) -> bool:
    drive = _own_drive(track)
    return drive is not None and drive.radius == 0.0


@word("on time", "time", "s", lambda track: _state(track) is not None)
def _on_time(track: Track, point: str) -> Reading | None:
    """How long a switch is closed, a lamp lit or a motor switched on."""
    on = _state(track)
    if on is None:
        return None
    step = float(track.times[1] - track.times[0]) if len(track.times) > 1 else 0.0
    return total(np.asarray(np.cumsum(on > 0.5) * step, np.float64))


@word("current share", "share", "%", _is_motor)
def _current_share(track: Track, point: str) -> Reading | None:
    """What a motor takes of its stall current: its torque's share of the stall torque, the two going together in a brushed motor.

    For a moment every motor that starts takes all of it; that is left out.
    """
    drive = _own_drive(track)
    if drive is None or drive.radius:
        return None
    share = np.where(drive.ceiling > 0, drive.torque / np.maximum(drive.ceiling, 1e-9), 0.0)
    running = track.channel("running")
    is_counted = np.ones(len(track.times), dtype=np.bool_)
    if running is not None:
        for first, last in stretches(running[track.span] > 0.5):
            until = track.times[first] + START_TIME
            after = min(last, int(np.searchsorted(track.times, until)))
            is_counted[max(first - SMEARED, 0) : after + 1] = False
    return largest(track.felt(share), is_counted)


@word(
    "overrun",
    "angle",
    "deg",
    lambda track: _is_motor(track) and track.channel("running") is not None,
)
def _overrun(track: Track, point: str) -> Reading | None:
    """How far a motor's shaft turns on after it is switched off; of several times the farthest."""
    drive, running = _own_drive(track), track.channel("running")
    if drive is None or running is None:
        return None
    angle, is_off = drive.angle[track.span], running[track.span] < 0.5
    since = np.zeros(len(angle))
    for first, last in stretches(is_off):
        if first > 0:  # before it first starts it has nothing to run on with
            since[first : last + 1] = angle[first : last + 1] - angle[first - 1]
    return largest(since)
