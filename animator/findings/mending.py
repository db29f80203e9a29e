"""Mends: candidate changes tried on the scene itself. Kept is the smallest round value with which the finding is gone and nothing new stands still."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings.report import Mend
from animator.motion.motion import Motion
from animator.motion.running import run
from animator.parts._drive import Driver
from animator.problems import SceneError
from animator.units import Range

if TYPE_CHECKING:
    from animator.scene.model import Scene

PACE_SHARE = 0.75  # of the due speed; a motor dragged down further is overloaded, and a hand that must slow down so far pushes too hard
WHOLE_TURN = 1.0  # of the main shaft; what comes round every turn shows within one
MOST_CLIMB = 4  # rungs above the smallest that works at one end, for the other ends
STARTING_RUNGS = (
    1.0,
    0.7,
    0.45,
    0.2,
)  # where on the ladder to look for a value that works at all: too much of a good thing may jam again


@dataclass(frozen=True)
class End:
    """One corner of what the maker can't know: friction level and pace of the drives, 0 to 1 each."""

    name: str
    level: float
    pace: float = 0.5


@dataclass(frozen=True)
class Trial:
    """A candidate to be tried against one finding at several ends, the worst first."""

    scene: Scene
    code: str
    part: str
    turns: float
    candidate: Candidate
    ends: tuple[End, ...]
    others: tuple[End, ...]
    known: frozenset[str] = frozenset()
    """Codes that the piece shows without the change: a mend may leave them, but brings no new one."""


def changed(scene: Scene, changes: Mapping[str, str]) -> Scene:
    """Lay changes over a scene, read it again and put it together.

    Parameters
    ----------
    scene
        Of any variant.
    changes
        Path -> text, as in a variant.

    Raises
    ------
    SceneError
        It can't be read or put together like that.
    """
    from animator.scene.checking import check
    from animator.scene.expanding import Change
    from animator.scene.reading import read_value
    from animator.world.assembling import assemble

    laid = [
        Change(tuple(path.split(".")), read_value(text, path), scene.tree.place)
        for path, text in changes.items()
    ]
    read = check(scene.tree, scene.file, changes=laid, only=(None,), folder=scene.folder)[None]
    return replace(assemble(read), variant=scene.variant)


def mend(trial: Trial) -> Mend | None:
    """Find the smallest value on a candidate's ladder that works, or None.

    Most trials run only just past the place where the finding showed, at the end where it is worst; what is kept has run the whole way.
    """
    texts = trial.candidate.texts
    check = CHECKS[trial.code]()
    worst, others = trial.ends[:1], trial.ends[1:] + trial.others

    @functools.cache
    def gets_past(rung: int) -> bool:
        return _is_cured(trial, check, texts[rung], worst, trial.turns)

    @functools.cache
    def goes_round(rung: int) -> bool:
        turns = max(trial.turns, WHOLE_TURN)
        return gets_past(rung) and _is_cured(trial, check, texts[rung], worst, turns)

    starts = dict.fromkeys(round(share * (len(texts) - 1)) for share in STARTING_RUNGS if texts)
    start = next(filter(gets_past, starts), None)
    if start is None:
        return None
    first = _climb(goes_round, _smallest(gets_past, -1, start), len(texts))
    for rung in range(first, min(first + MOST_CLIMB, len(texts))):
        if goes_round(rung) and _is_cured(trial, check, texts[rung], worst + others, None):
            sentence = trial.candidate.sentence.format(
                text=texts[rung], now=trial.candidate.now
            )
            return Mend(path=trial.candidate.path, value=texts[rung], sentence=sentence)
    return None


def _climb(works: Callable[[int], bool], first: int, count: int) -> int:
    """Find the smallest rung from ``first`` on that works, in strides that double; ``count`` if none does.

    Examples
    --------
    >>> _climb(lambda rung: rung >= 12, 5, 40), _climb(lambda rung: False, 5, 40)
    (12, 40)
    """
    low, stride = first - 1, 1
    while low < count - 1:
        high = min(low + stride, count - 1)
        if works(high):
            return _smallest(works, low, high)
        low, stride = high, 2 * stride
    return count


def _smallest(works: Callable[[int], bool], low: int, high: int) -> int:
    """Halve the way between a rung that fails and one that works until they are neighbours; give the one that works."""
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    return high


def _is_cured(
    trial: Trial, check: Check, text: str, ends: Iterable[End], turns: float | None
) -> bool:
    """Run the changed scene at some ends: the finding is gone, it neither stands still nor loses its trust, and nothing new is found."""
    try:
        scene = changed(trial.scene, {trial.candidate.path: text})
        is_final = turns is None
        is_whole = turns is None or turns >= WHOLE_TURN
        return all(
            _is_sound(motion, is_final)
            and not _shows(check, motion, trial.part)
            and not (is_whole and _brings_new(trial, motion))
            for motion in (_run(scene, end, turns) for end in ends)
        )
    except SceneError:
        return False


def _run(scene: Scene, end: End, turns: float | None) -> Motion:
    """Run for so many turns (None: the scene's own), but no longer than a piece that keeps its pace needs."""
    if turns is None and scene.run is not None and scene.run.angle is not None:
        turns = scene.run.angle / math.tau
    speeds: list[Any] = [
        getattr(part, "speed", None)
        for part in scene.parts.values()
        if isinstance(part, Driver)
    ]
    if turns is None or not speeds:
        return run(scene, end.level, pace=end.pace)
    speed = speeds[0].at(end.pace) if isinstance(speeds[0], Range) else speeds[0]
    seconds = turns * math.tau / speed / PACE_SHARE
    return run(scene, end.level, pace=end.pace, turns=turns, seconds=seconds)


def _is_sound(motion: Motion, is_final: bool) -> bool:
    """Tell whether a piece runs, and at least at the pace that can be called running."""
    if motion.end not in ("finished", "repeats"):
        return False
    drive, counted = motion.drive, motion.begins
    if drive is not None:
        due = float(drive.due_speed[-1]) * float(motion.times[-1] - motion.times[counted])
        if drive.angle[-1] - drive.angle[counted] < PACE_SHARE * due * (1 - 1e-3):
            return False
    # a short run's books can look worse than they are: a landing weighs more against little work
    return motion.trust.is_ok or not is_final


def _shows(check: Check, motion: Motion, part: str) -> bool:
    return any(finding.part == part for finding in check.find(Evidence(motion)))


def _brings_new(trial: Trial, motion: Motion) -> bool:
    """Tell whether a changed piece shows what it didn't show before; a film's seam is no fault of the piece."""
    evidence = Evidence(motion)
    return any(
        any(True for _ in other().find(evidence))
        for code, other in CHECKS.items()
        if code not in trial.known and code not in (trial.code, "seam")
    )
