"""A cam cut from a sound: how loud it is from moment to moment becomes a lift, smooth enough to be cut.

The sound's sound pressure is taken over blocks of 5 ms; it rises and falls with the given times of attack and release, as a meter's needle; loudness is its 0.6th power
(S. S. Stevens, "The measurement of loudness", Journal of the Acoustical Society of America 27 (1955) 815-829, from memory); what lies below the gate is shut.
All of it goes round, as the cam does: what ends the turn runs on into its beginning.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from animator import sounds
from animator.outlines.laws import TURN

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

BLOCK = 0.005  # s
POWER = 0.6  # of sound pressure, for loudness
SILENT = 10 ** (-60 / 20)  # of full scale; a stretch that is nowhere louder says nothing
FEWEST, MOST = 36, 720  # places of the lift round a turn
NODDED = 0.15  # of the greatest opening; less isn't seen
FOUR = 4  # places to each time over which is smoothed


@dataclass(frozen=True)
class Hearing:
    """What of a sound is cut into a cam: stretch [s], times [s], the gate as a share of the greatest loudness."""

    path: Path
    starts: float
    ends: float
    attack: float
    release: float
    gate: float
    smooth: float


@dataclass(frozen=True)
class Loudness:
    """How loud it is over a turn: programme angle [rad] -> share of the greatest loudness; how many times it opens (words, or what runs together of them); the greatest pressure, of full scale."""

    shares: tuple[tuple[float, float], ...]
    words: int
    loudest: float


def length(path: Path) -> float:
    """How long a sound lasts. [s]"""
    return len(sounds.heard(path)) / sounds.RATE


def first_heard(path: Path) -> float | None:
    """When it begins to be heard at all; None if it never does. [s]"""
    pressure = pressures(sounds.heard(path))
    found = (pressure > SILENT).nonzero()[0]
    return float(found[0] * BLOCK) if len(found) else None


def pressures(samples: Floats) -> Floats:
    """Root of the mean square over blocks of ``BLOCK``; what is left over at the end belongs to a shorter one."""
    import numpy as np

    step = round(BLOCK * sounds.RATE)
    starts = np.arange(0, max(len(samples), 1), step)
    total = np.add.reduceat(samples**2, starts)
    counts = np.diff(np.append(starts, len(samples)))
    return np.asarray(np.sqrt(total / counts))


def openings(hearing: Hearing) -> list[tuple[float, float]]:
    """When in the sound a mouth would open and shut: the words, or what runs together of them. [s]"""
    import numpy as np

    opened = _opened(hearing)
    if opened is None:
        return []
    edges = np.flatnonzero(np.diff(np.concatenate([[False], opened > 0, [False]]).astype(int)))
    return [
        (hearing.starts + float(first) * BLOCK, hearing.starts + float(after) * BLOCK)
        for first, after in edges.reshape(-1, 2)
    ]


@lru_cache(maxsize=64)
def _opened(hearing: Hearing) -> Floats | None:
    """Share of the greatest loudness in each block, less the gate; None where it is silent."""
    import numpy as np

    samples = sounds.heard(hearing.path)
    first, last = (round(at * sounds.RATE) for at in (hearing.starts, hearing.ends))
    pressure = pressures(samples[first:last])
    if pressure.max() < SILENT:
        return None
    needle = followed(pressure, hearing.attack, hearing.release)
    share = (needle / needle.max()) ** POWER
    return np.asarray(np.maximum(share - hearing.gate, 0.0) / (1 - hearing.gate))


@lru_cache(maxsize=64)
def listen(hearing: Hearing) -> Loudness:
    """Hear a stretch of a sound as loudness over a turn.

    Raises
    ------
    sounds.Unheard
        The file can't be read.
    """
    import numpy as np

    samples = sounds.heard(hearing.path)
    first, last = (round(at * sounds.RATE) for at in (hearing.starts, hearing.ends))
    loudest = float(pressures(samples[first:last]).max())
    opened = _opened(hearing)
    if opened is None:
        return Loudness((), 0, loudest)
    smooth = smoothed(opened, hearing.smooth)
    time = hearing.ends - hearing.starts
    count = min(max(math.ceil(FOUR * time / hearing.smooth), FEWEST), MOST)
    at = np.arange(count) * len(smooth) / count
    heights = np.interp(at, np.arange(len(smooth) + 1), np.append(smooth, smooth[0]))
    heights /= heights.max()
    return Loudness(
        tuple((TURN * i / count, float(height)) for i, height in enumerate(heights)),
        _peaks(heights.tolist()),
        loudest,
    )


def _peaks(heights: list[float]) -> int:
    """How often a mouth opens, going round: rises of more than ``NODDED`` from where it was least open before."""
    lowest = heights.index(min(heights))
    around = heights[lowest:] + heights[:lowest] + [heights[lowest]]
    count, low, high, is_rising = 0, around[0], around[0], False
    for height in around:
        if is_rising:
            high = max(high, height)
            if height < high - NODDED:
                is_rising, low = False, height
        else:
            low = min(low, height)
            if height > low + NODDED:
                is_rising, high, count = True, height, count + 1
    return count


def followed(pressure: Floats, attack: float, release: float) -> Floats:
    """Let a needle follow the pressure: it goes the share 1 - exp(-5 ms / time) of the way in each block. Round twice, so that the end runs into the beginning."""
    import numpy as np

    up, down = (1 - math.exp(-BLOCK / time) if time > 0 else 1.0 for time in (attack, release))
    values = pressure.tolist()
    level = 0.0
    out: list[float] = []
    for _ in range(2):
        out = []
        for value in values:
            level += (up if value > level else down) * (value - level)
            out.append(level)
    return np.array(out)


def smoothed(values: Floats, time: float) -> Floats:
    """Mean over a raised cosine that is ``time`` wide at half its height, going round. [s]"""
    import numpy as np

    half = max(1, round(time / BLOCK))
    offsets = np.arange(-half, half + 1)
    window = 1 + np.cos(np.pi * offsets / half)
    around = np.zeros(len(values))
    np.add.at(around, offsets % len(values), window / window.sum())
    return np.asarray(
        np.fft.irfft(np.fft.rfft(values) * np.fft.rfft(around), len(values)).clip(0.0)
    )
