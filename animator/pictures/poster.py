"""The one moment that stands for a piece where only one picture can be shown: before a film is started, in a list of films, on paper.

It shows the figures at the end of their way, where they are slowest: what they do can be seen, and no edge is caught in full swing. A piece
that stands still at its end is shown standing, because that is what its film is about.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from animator.motion.looping import find_loop
from animator.pictures.readings import Actor, actors, smooth

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.pictures.film import Film

COUNTED = 4  # figures that have a say, each half as much as the one before
END_COUNTS, REST_COUNTS = 0.6, 0.4  # being at the end of its way, standing still
SEEN = 0.04  # s; speeds are means over a picture at 25 a second
NEAR = 0.01  # of the best; of such moments the middle of the longest stretch is taken


def poster_time(motion: Motion, report: Report | None = None) -> float:
    """Choose the moment that shows a piece best. [s of the motion]

    Parameters
    ----------
    motion
        The run.
    report
        What is said of it; where it stands still at its end, that is shown.
    """
    stands = motion.end in ("jammed", "stalled") or (
        report is not None and any(f.code in ("jam", "stall") for f in report.findings)
    )
    if stands:
        return float(motion.times[-1])
    loop = find_loop(motion)
    start = max(loop.start_s, float(motion.times[motion.begins]))
    within = (motion.times >= start - 1e-9) & (
        motion.times < loop.start_s + loop.period_s - 1e-9
    )
    numbers = np.flatnonzero(within)
    if not len(numbers):
        return start
    worth = np.zeros(len(numbers))
    for order, actor in enumerate(actors(motion)[:COUNTED]):
        worth += 0.5**order * _worth(actor, motion, numbers)
    return float(motion.times[numbers[_middle_of_best(worth)]])


def _worth(actor: Actor, motion: Motion, numbers: NDArray[np.intp]) -> NDArray[np.float64]:
    """How well a figure is shown at each moment, 0 to 1."""
    values = actor.values[numbers]
    way = float(np.ptp(values))
    if way < 1e-6:
        return np.zeros(len(numbers))
    share = (values - values.min()) / way
    if actor.word == "turn":  # goes round and has no end
        at_end = np.zeros(len(numbers))
    else:
        at_end = share if actor.word == "height" else np.abs(2 * share - 1)
    step = float(np.median(np.diff(motion.times)))
    speed = np.abs(smooth(np.gradient(actor.values, step), max(1, round(SEEN / step))))[numbers]
    rest = 1 - speed / max(float(speed.max()), 1e-12)
    return END_COUNTS * at_end + REST_COUNTS * rest


def _middle_of_best(worth: NDArray[np.float64]) -> int:
    """Middle of the longest stretch that is about as good as the best."""
    is_good = np.concatenate([[False], worth >= worth.max() - NEAR, [False]])
    edges = np.flatnonzero(np.diff(is_good.astype(int)))
    first, stop = max(
        zip(edges[::2], edges[1::2], strict=True),
        key=lambda pair: (pair[1] - pair[0], -pair[0]),
    )
    return int((first + stop - 1) // 2)


def poster_number(film: Film, motion: Motion, report: Report | None = None) -> int:
    """Give the number of the film's picture that is nearest to its poster's moment; the last one of a piece that stands."""
    wanted = poster_time(motion, report)
    shown = np.array([film.moment_of(index)[0] for index in range(film.distinct)])
    nearest = np.abs(shown - wanted)
    # Of pictures of the same moment the last: there everything has been said.
    return int(len(nearest) - 1 - np.argmin(nearest[::-1]))
