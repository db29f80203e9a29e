"""A motion whose last sample is now.

Every picture is drawn from arrays on a motion's clock. Here one more sample is put behind a recorded run, and that sample is
overwritten with what the piece that is being turned does at this moment; so the same drawing draws it, and nothing is drawn twice over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from animator.motion.motion import Floats, Motion


def arrays_of(motion: Motion) -> Iterator[Floats]:
    """Every array of a motion that has one row for each sample, always in the same order."""
    yield motion.poses
    for channel in motion.channels.values():
        yield channel.values
    for contact in motion.contacts.values():
        yield from (contact.gap, contact.normal, contact.friction, contact.sliding)
        yield from (contact.point, contact.direction)
        if len(contact.lips):
            yield contact.lips
    for slip in motion.slips.values():
        yield from (slip.due, slip.got, slip.rubbed)
    for drive in motion.drives:
        yield from (drive.angle, drive.speed, drive.due_speed, drive.torque)


def row_of(motion: Motion) -> Floats:
    """Everything of a motion's last sample, end to end."""
    return np.concatenate([np.ravel(values[-1]) for values in arrays_of(motion)])


class LiveMotion:
    """A recorded run with one more sample behind it, which is now.

    Parameters
    ----------
    recorded
        A run of the same piece: it tells what moves and how far, from which the picture is laid out.

    Attributes
    ----------
    motion : Motion
        What is drawn.
    now : float
        The moment of the motion that is now. [s]
    """

    def __init__(self, recorded: Motion) -> None:
        self.motion = _with_one_more(recorded)
        self.now = float(self.motion.times[-1])
        self._places: list[tuple[Floats, slice]] = []
        at = 0
        for values in arrays_of(self.motion):
            size = int(np.size(values[-1]))
            self._places.append((values, slice(at, at + size)))
            at += size
        self.row_length = at

    def put(self, row: Floats) -> None:
        """Make a row what is now."""
        for values, place in self._places:
            values[-1] = row[place].reshape(np.shape(values[-1]))


def _with_one_more(motion: Motion) -> Motion:
    """Copy a motion with its first sample repeated at the end; counted from its first."""

    def longer(values: Floats) -> Floats:
        return np.concatenate([values, values[:1]])

    def all_of(thing: Any, *names: str) -> Any:
        return replace(thing, **{name: longer(getattr(thing, name)) for name in names})

    drives = tuple(
        all_of(drive, "angle", "speed", "due_speed", "torque", "ceiling")
        for drive in motion.drives
    )
    return replace(
        motion,
        times=np.append(motion.times, motion.times[-1] + 1e-3),
        poses=longer(motion.poses),
        channels={name: all_of(each, "values") for name, each in motion.channels.items()},
        contacts={
            name: all_of(
                each,
                *("gap", "normal", "friction", "sliding", "point", "direction"),
                *(["lips"] if len(each.lips) else []),
            )
            for name, each in motion.contacts.items()
        },
        slips={
            name: all_of(each, "due", "got", "rubbed") for name, each in motion.slips.items()
        },
        drives=drives,
        drive=drives[0] if drives else None,
        begins=0,
    )
