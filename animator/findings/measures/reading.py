"""Measures read from a run: one, all of them as a table, all of them as columns on the clock."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from animator.findings.measures._contract import WORDS, Entry, Reading
from animator.findings.report import Measure
from animator.findings.track import Track
from animator.motion.motion import Floats, Motion


def read(
    motion: Motion,
    part: str,
    name: str,
    point: str = "",
    first: int | None = None,
    last: int | None = None,
) -> Reading | None:
    """Read one measure.

    Parameters
    ----------
    motion
        The run.
    part
        Name of a part, or ``drive`` for the first drive.
    name
        The measure word.
    point
        Point of the part, '' for its main one.
    first, last
        Samples of the span; left out, the counted run.

    Returns
    -------
    Reading or None
        In internal units; None where the word doesn't apply to the part, or a span without any time.
    """
    if part == "drive":
        if motion.drive is None:
            return None
        part = motion.drive.name
    track = Track(motion, part, first, last)
    return WORDS[name].read(track, point) if len(track.times) else None


def table(motion: Motion) -> Mapping[str, Measure]:
    """Read every measure that tells something of every part, in the units of a maker: ``part.word`` -> measure."""
    found = {}
    for part, name, entry, track in _listed(motion):
        reading = entry.read(track, "")
        if reading is not None:
            found[f"{part}.{name}"] = shown(reading, entry)
    return found


def columns(motion: Motion) -> Mapping[str, Floats]:
    """Give the course of every measure over the whole run, start-up and all: ``part.word [unit]`` -> (time_count,) values."""
    found = {}
    for part, name, entry, _ in _listed(motion):
        reading = entry.read(Track(motion, part, 0), "")
        if reading is not None and len(reading.series) == len(motion.times):
            found[f"{part}.{name} [{entry.unit}]" if entry.unit else f"{part}.{name}"] = (
                reading.series / entry.scale
            )
    return found


def _listed(motion: Motion) -> Iterator[tuple[str, str, Entry, Track]]:
    for part in motion.scene.parts:
        track = Track(motion, part)
        for name, entry in WORDS.items():
            if entry.is_listed(track):
                yield part, name, entry, track


def shown(reading: Reading, entry: Entry) -> Measure:
    """Put a reading into a maker's unit."""
    series = reading.series[np.isfinite(reading.series)] / entry.scale
    if not len(series):
        series = np.zeros(1)
    numbers = (
        reading.value / entry.scale,
        series.min(),
        series.max(),
        series.mean(),
        series[-1],
    )
    value, low, high, mean, end = (_rounded(float(number)) for number in numbers)
    return Measure(value=value, unit=entry.unit, min=low, max=high, mean=mean, end=end)


def _rounded(number: float) -> float:
    """Six figures: finer than any measure can be trusted.

    Examples
    --------
    >>> _rounded(13.9999999), _rounded(0.0)
    (14.0, 0.0)
    """
    return float(f"{number:.6g}") if math.isfinite(number) else 0.0
