"""Lengths: how far and how high things go, how wide they stand apart."""

from __future__ import annotations

import numpy as np

from animator.findings.measures._contract import Reading, extent, largest, total, word
from animator.findings.track import Track
from animator.parts._views import view_of

LEVEL = 0.02  # a slide this near to level only rises by its play


def _rises(track: Track) -> bool:
    """Whether its height is worth telling: it changes place, not on its back, and not only sideways by its guide, nor as a knob in a hand."""
    return (
        track.is_shifting
        and view_of(track.name, track.motion.scene.parts) != "top"
        and not track.is_drive
        and (track.slide is None or abs(track.slide[1]) > LEVEL)
    )


@word("lift", "length", "mm", _rises)
def _lift(track: Track, point: str) -> Reading | None:
    """Highest less lowest."""
    return extent(track.height(point)) if track.is_moving else None


@word("height", "length", "mm", _rises)
def _height(track: Track, point: str) -> Reading | None:
    """Height above the frame's lower edge; its value is the extent."""
    if not track.is_moving:
        return None
    series = track.height(point)
    return Reading(series, float(np.ptp(series)), False)


@word("travel", "length", "mm", lambda track: track.is_shifting and track.slide is not None)
def _travel(track: Track, point: str) -> Reading | None:
    """From one end of its way to the other."""
    return extent(track.along(point)) if track.is_moving else None


@word("gap", "length", "mm")
def _gap(track: Track, point: str) -> Reading | None:
    """How far it is off what it should touch."""
    contact = track.contact
    return (
        None
        if contact is None or not contact.is_meant
        else largest(np.maximum(contact.gap[track.span], 0.0))
    )


@word("stretch", "length", "mm")
def _stretch(track: Track, point: str) -> Reading | None:
    """By how much a spring's length changes."""
    length = track.channel("length")
    return None if length is None else extent(length[track.span])


@word("range", "length", "mm")
def _range(track: Track, point: str) -> Reading | None:
    """How far something thrown flies, from where it is let go to where it lands; on its way, how far it has come."""
    flown = track.channel("range")
    return None if flown is None else total(flown[track.span])


@word("slack", "length", "mm")
def _slack(track: Track, point: str) -> Reading | None:
    """How much too long something is that should be taut."""
    slack = track.channel("slack")
    return None if slack is None else largest(slack[track.span])
