"""Mends: candidate changes tried on the scene itself. Kept is the smallest round value with which the finding is gone and nothing new stands still."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings.report import Mend
from animator.motion.motion import Motion
from animator.motion.running import run
from animator.problems import SceneError

if TYPE_CHECKING:
    from animator.scene.model import Scene

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
    read = check(scene.tree, scene.file, changes=laid, only=(None,))[None]
    return replace(assemble(read), variant=scene.variant)


def mend(trial: Trial) -> Mend | None:
    """Find the smallest value on a candidate's ladder that works, or None."""
    texts = trial.candidate.texts
    if not texts:
        return None
    check = CHECKS[trial.code]()
    tried: dict[int, bool] = {}

    def works(rung: int) -> bool:
        if rung not in tried:
            tried[rung] = _is_cured(trial, check, texts[rung], trial.ends[:1], trial.turns)
        return tried[rung]

    starts = list(dict.fromkeys(round(share * (len(texts) - 1)) for share in STARTING_RUNGS))
    high = next((rung for rung in starts if works(rung)), None)
    if high is None:
        return None
    low = -1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if works(middle) else (middle, high)
    for rung in range(high, min(high + MOST_CLIMB, len(texts))):
        if not works(rung):
            continue
        text = texts[rung]
        if _is_cured(trial, check, text, trial.ends[:1], None) and _is_cured(
            trial, check, text, trial.ends[1:] + trial.others, trial.turns
        ):
            sentence = trial.candidate.sentence.format(text=text, now=trial.candidate.now)
            return Mend(path=trial.candidate.path, value=text, sentence=sentence)
    return None


def _is_cured(
    trial: Trial, check: Check, text: str, ends: Iterable[End], turns: float | None
) -> bool:
    """Run the changed scene at some ends: the finding is gone, and it neither stands still nor loses its trust."""
    try:
        scene = changed(trial.scene, {trial.candidate.path: text})
        motions = (run(scene, end.level, pace=end.pace, turns=turns) for end in ends)
        is_final = turns is None
        return all(
            _is_sound(motion, is_final) and not _shows(check, motion, trial.part)
            for motion in motions
        )
    except SceneError:
        return False


def _is_sound(motion: Motion, is_final: bool) -> bool:
    # a short run's books can look worse than they are: a landing weighs more against little work
    return motion.end in ("finished", "repeats") and (motion.trust.is_ok or not is_final)


def _shows(check: Check, motion: Motion, part: str) -> bool:
    return any(finding.part == part for finding in check.find(Evidence(motion)))
