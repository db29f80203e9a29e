"""Motion -> Report: what one run shows, and what a piece shows at all ends of what its maker can't know."""

from __future__ import annotations

import math
import os
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from animator.findings._contract import CHECKS, Evidence
from animator.findings._helpers import spread
from animator.findings._words import listed
from animator.findings.cautions import cautions_of
from animator.findings.claims import Verdict, judge, worst
from animator.findings.measures import WORDS, table
from animator.findings.mending import End, Trial, mend
from animator.findings.report import Energy, Finding, Measure, Mend, Report, Theory, TrustReport
from animator.findings.seam import loop_report
from animator.findings.thresholds import RESOLUTION, TRUST_VERIFY
from animator.findings.track import Track
from animator.motion.looping import main_angle
from animator.motion.motion import Floats, Motion
from animator.motion.running import run
from animator.units import Range
from animator.world.settings import Settings

if TYPE_CHECKING:
    from animator.scene.model import Scene

LOW, MIDDLE, HIGH = End("low", 0.0), End("middle", 0.5), End("high", 1.0)
SLOW, FAST = End("slow", 0.5, 0.0), End("fast", 0.5, 1.0)
ORDER = (
    "jam",
    "stall",
    "float",
    "slip",
    "jerk",
    "buckle",
    "slack",
    "strain",
    "skip",
    "seam",
)  # what stops a piece before what spoils it
MOST_MENDS = 3
TAKEN_AS, TAKEN_AS_MANY = (
    " is taken as ",
    " are taken as ",
)  # how a part without a material is remarked on
JOULE = 1e9  # g mm^2/s^2
SMALL_HEAT = 5e-4  # of the work in; less is left out of the list
NOTABLE = 0.02  # ends that differ by less tell the same


@dataclass(frozen=True)
class Outcome:
    """What one run at one end shows."""

    end: End
    motion: Motion
    findings: tuple[Finding, ...]


def find(motion: Motion, end: str = "") -> tuple[Finding, ...]:
    """Look for every code in one run; those that stop a piece first."""
    evidence = Evidence(motion)
    found = [finding for check in CHECKS.values() for finding in check().find(evidence)]
    for name, part in motion.scene.parts.items():
        track: Any = Track(motion, name)
        found += part.examine(track)
    found.sort(
        key=lambda finding: (
            ORDER.index(finding.code) if finding.code in ORDER else len(ORDER),
            finding.from_s,
            finding.part,
        )
    )
    return tuple(finding.model_copy(update={"at": end}) for finding in found)


def examine(motion: Motion, mend: Collection[str] = ()) -> Report:
    """Say what one run shows: measures, findings, expectations, where the effort went.

    Parameters
    ----------
    motion
        The run. If it stands still it is run again, briefly, to tell a jam from a stall.
    mend
        Codes for which mends are tried too, at every end of the piece's ranges; takes seconds.
    """
    end = next(
        (each for each in (LOW, MIDDLE, HIGH) if each.level == motion.level),
        End(f"{motion.level:g}", motion.level),
    )
    return _examined(Outcome(end, motion, find(motion, end.name)), mend)


def _examined(outcome: Outcome, mend: Collection[str] = ()) -> Report:
    if not any(finding.code in mend for finding in outcome.findings):
        return _report((outcome,), outcome.findings)
    # what is offered must hold at every end, so that a film and a check say the same
    scene = outcome.motion.scene
    further = [end for end in _ends(scene) if end.name != outcome.end.name]
    outcomes = (outcome, *spread(_outcome, [(scene, end) for end in further]))
    found = _with_mends([outcomes], [outcome.findings], mend, most=1)[
        0
    ]  # a card has room for one
    return _report((outcome,), found)


def run_and_examine(scenes: Sequence[Scene]) -> list[tuple[Motion, Report]]:
    """Run assembled scenes at middling friction, side by side, and examine each run."""
    return [
        (outcome.motion, _examined(outcome))
        for outcome in spread(_outcome, [(scene, MIDDLE) for scene in scenes])
    ]


@dataclass(frozen=True)
class Checked:
    """A piece run at all ends of what its maker can't know: ``motion`` is the run at middling friction, ``ends`` all of them by name."""

    motion: Motion
    ends: Mapping[str, Motion]
    report: Report


def run_and_check(scene: Scene, codes: Collection[str] = ORDER) -> Checked:
    """Run an assembled scene at all its ends and examine it, keeping the runs.

    Parameters
    ----------
    scene
        The scene.
    codes
        Findings for which mends are tried; takes seconds.
    """
    outcomes = spread(_outcome, [(scene, end) for end in _ends(scene)])
    found = _merged(outcomes)
    if any(finding.code in codes for finding in found):
        found = _with_mends([outcomes], [found], codes)[0]
    ends = {outcome.end.name: outcome.motion for outcome in outcomes}
    return Checked(_middle(outcomes).motion, ends, _report(outcomes, found))


def check(
    source: str | os.PathLike[str],
    variant: str | None = None,
    verify: bool = False,
    changes: Mapping[str, str] | None = None,
    with_mends: bool = True,
) -> Report:
    """Run a piece at all ends of its friction and speed ranges and say what will happen and what to change.

    Parameters
    ----------
    source
        Path of the scene.
    variant
        One of its variants; None for the piece as drawn.
    verify
        Run again at half the step, and tell by how much each measure changes.
    changes
        Path in the scene -> text to lay over it.
    with_mends
        Try what might mend each finding; takes seconds.

    Raises
    ------
    SceneError
        Something in the scene is to be mended.
    ValueError
        The scene has no such variant.
    """
    return check_scenes([read_for_check(source, variant, changes)], verify, with_mends)[0]


def read_for_check(
    source: str | os.PathLike[str],
    variant: str | None = None,
    changes: Mapping[str, str] | None = None,
) -> Scene:
    """Read and assemble what is to be checked; the piece as drawn with the claims that its variants make for it."""
    from animator.scene import read
    from animator.world.assembling import assemble

    named = variant if variant is not None or changes else _as_drawn(source)
    return replace(assemble(read(source, named, changes)), variant=variant)


def check_all(
    source: str | os.PathLike[str], verify: bool = False, with_mends: bool = True
) -> list[Report]:
    """Check every variant of a piece, in the order of the file; the piece as drawn where it has none."""
    from animator.scene import read_all
    from animator.world.assembling import assemble

    scenes = read_all(source)
    wanted: list[str | None] = [name for name in scenes if name is not None] or [None]
    return check_scenes([assemble(scenes[name]) for name in wanted], verify, with_mends)


def check_scenes(
    scenes: Sequence[Scene], verify: bool = False, with_mends: bool = True
) -> list[Report]:
    """Check assembled scenes; see ``check``."""
    groups = [(scene, _ends(scene)) for scene in scenes]
    outcomes = spread(_outcome, [(scene, end) for scene, ends in groups for end in ends])
    halves: list[Mapping[str, Measure]] = [{} for _ in scenes]
    rows = iter(outcomes)
    sets = [tuple(next(rows) for _ in ends) for _, ends in groups]
    findings = [_merged(each) for each in sets]
    if with_mends:
        findings = _with_mends(sets, findings)
    if verify:
        halves = spread(_half_step, [(_middle(each).motion,) for each in sets])
    return [
        _report(each, found, half if verify else None)
        for each, found, half in zip(sets, findings, halves, strict=True)
    ]


def _as_drawn(source: str | os.PathLike[str]) -> str | None:
    """Name of the variant that changes nothing, if there is one: its claims are those of the piece as drawn."""
    from animator.places import Map
    from animator.scene.checking import OWN_KEYS
    from animator.scene.reading import read_file

    variants = read_file(Path(source)).get("variants")
    if not isinstance(variants, Map):
        return None
    return next(
        (
            name
            for name, says in variants.items()
            if not says or (isinstance(says, Map) and set(says) <= set(OWN_KEYS))
        ),
        None,
    )


def _ends(scene: Scene) -> tuple[End, ...]:
    """Ends to run: friction low, middle and high; slow and fast too where a drive's speed is a range."""
    speeds: list[Any] = [
        getattr(part, "speed", None) for part in scene.parts.values() if part.is_drive
    ]
    is_range = any(isinstance(speed, Range) and speed.low != speed.high for speed in speeds)
    return (LOW, MIDDLE, HIGH, SLOW, FAST) if is_range else (LOW, MIDDLE, HIGH)


def _outcome(scene: Scene, end: End) -> Outcome:
    motion = run(scene, end.level, pace=end.pace)
    return Outcome(end, motion, find(motion, end.name))


def _half_step(motion: Motion) -> Mapping[str, Measure]:
    trust = motion.trust
    return table(run(motion.scene, motion.level, Settings(trust.dt, trust.iterations).halved()))


def _middle(outcomes: Sequence[Outcome]) -> Outcome:
    """The run that is drawn and traced."""
    return next((outcome for outcome in outcomes if outcome.end.name == "middle"), outcomes[0])


# ---------------------------------------------------------------- findings of all ends
def _merged(outcomes: Sequence[Outcome]) -> tuple[Finding, ...]:
    """Join what is the same at several ends; the middle run's words are kept, and how the others differ is added."""
    groups: dict[tuple[str, str], dict[str, Finding]] = {}
    for outcome in outcomes:
        for finding in outcome.findings:
            groups.setdefault((finding.code, finding.part), {}).setdefault(
                outcome.end.name, finding
            )
    names = [outcome.end.name for outcome in outcomes]
    merged = []
    for group in groups.values():
        kept = group.get("middle") or next(iter(group.values()))
        at = (
            "all"
            if len(group) == len(names)
            else ", ".join(name for name in names if name in group)
        )
        merged.append(
            kept.model_copy(update={"at": at, "why": kept.why + _differences(kept, group)})
        )
    merged.sort(
        key=lambda finding: (
            ORDER.index(finding.code) if finding.code in ORDER else len(ORDER),
            finding.from_s,
            finding.part,
        )
    )
    return tuple(merged)


WORDS_OF_END = {
    "low": "with the least friction",
    "middle": "in the middle",
    "high": "with the most friction",
    "slow": "turned slowly",
    "fast": "turned fast",
}


def _differences(kept: Finding, group: Mapping[str, Finding]) -> str:
    unit = {"deg": "degrees"}.get(kept.unit, kept.unit)
    told = [
        f"{WORDS_OF_END[name]} {found.amount:.3g} {unit}"
        for name, found in group.items()
        if found is not kept and abs(found.amount - kept.amount) > NOTABLE * abs(kept.amount)
    ]
    text = ", ".join(told)
    return f" {text[0].upper()}{text[1:]}." if told else ""


def _with_mends(
    sets: Sequence[Sequence[Outcome]],
    findings: Sequence[tuple[Finding, ...]],
    codes: Collection[str] = ORDER,
    most: int | None = None,
) -> list[tuple[Finding, ...]]:
    """Try mends for every finding of every variant that has one of some codes, side by side; only the ``most`` likeliest of each."""
    trials: list[Trial] = []
    owners: list[tuple[int, int]] = []
    for i, (outcomes, found) in enumerate(zip(sets, findings, strict=True)):
        known = frozenset(each.code for outcome in outcomes for each in outcome.findings)
        for j, finding in enumerate(found):
            if finding.code not in codes or finding.code not in CHECKS:
                continue
            shown = {
                outcome.end: each
                for outcome in outcomes
                for each in outcome.findings
                if (each.code, each.part) == (finding.code, finding.part)
            }
            code = CHECKS[finding.code]()
            ends = sorted(shown, key=lambda end: shown[end].amount, reverse=code.is_worst_high)
            others = tuple(outcome.end for outcome in outcomes if outcome.end not in shown)
            first = next(outcome for outcome in outcomes if outcome.end == ends[0])
            at_first = shown[ends[0]]
            for candidate in islice(code.mends(Evidence(first.motion), at_first), most):
                trials.append(
                    Trial(
                        first.motion.scene,
                        finding.code,
                        finding.part,
                        code.turns(at_first),
                        candidate,
                        tuple(ends),
                        others,
                        known,
                    )
                )
                owners.append((i, j))
    works: dict[tuple[int, int], list[Mend]] = {}
    for owner, made in zip(owners, spread(mend, [(trial,) for trial in trials]), strict=True):
        if made is not None:
            works.setdefault(owner, []).append(made)
    return [
        tuple(
            finding.model_copy(update={"mend": tuple(works.get((i, j), ())[:MOST_MENDS])})
            for j, finding in enumerate(found)
        )
        for i, found in enumerate(findings)
    ]


# ---------------------------------------------------------------- the report
def _report(
    outcomes: Sequence[Outcome],
    findings: tuple[Finding, ...],
    half: Mapping[str, Measure] | None = None,
) -> Report:
    middle = _middle(outcomes).motion
    scene = middle.scene
    measures = table(middle)
    angle = main_angle(middle)
    expectations = []
    for claim in scene.claims:
        verdicts: dict[str, Verdict] = {
            outcome.end.name: judge(claim, outcome.motion, outcome.findings)
            for outcome in outcomes
        }
        expectations.append(worst(claim, verdicts))
    return Report(
        scene=Path(scene.file).stem,
        variant=scene.variant,
        seconds=round(float(middle.times[-1] - middle.times[middle.begins]), 4),
        turns=round(float(angle[-1] - angle[middle.begins]) / (2 * math.pi), 4),
        measures=dict(measures),
        findings=findings,
        expectations=tuple(expectations),
        energy=_energy(middle),
        trust=_trust([outcome.motion for outcome in outcomes], middle, measures, half),
        assumptions=_assumptions(scene, [outcome.motion for outcome in outcomes]),
        theory=_theory(middle, measures),
        cautions=cautions_of(middle, [outcome.motion for outcome in outcomes]),
        loop=loop_report(middle),
    )


def _theory(motion: Motion, measures: Mapping[str, Measure]) -> tuple[Theory, ...]:
    """What closed forms say of measures in the table; nothing for a piece that didn't run."""
    if motion.end not in ("finished", "repeats"):
        return ()
    told = []
    for part in motion.scene.parts.values():
        for prediction in part.predict(motion):
            if prediction.measure in measures:
                entry = WORDS[prediction.measure.rpartition(".")[2]]
                value = float(f"{prediction.value / entry.scale:.6g}")
                told.append(
                    Theory(
                        measure=prediction.measure,
                        value=value,
                        unit=entry.unit,
                        source=prediction.source,
                    )
                )
    return tuple(told)


def _energy(motion: Motion) -> Energy:
    """The books over the counted span."""
    first, ledger = motion.begins, motion.ledger

    def over(total: Floats) -> float:
        return float(total[-1] - total[first]) / JOULE

    work = sum(over(total) for total in ledger.work_in.values())
    heat = {place: over(total) for place, total in ledger.heat.items()}
    kept = {
        place: float(f"{joule:.4g}")
        for place, joule in sorted(heat.items(), key=lambda row: -row[1])
        if abs(joule) > SMALL_HEAT * abs(work)
    }
    stored = over(ledger.kinetic) + over(ledger.potential) + over(ledger.spring)
    return Energy(
        work_in_J=float(f"{work:.6g}"),
        heat_J=kept,
        stored_J=float(f"{stored:.4g}"),
        residual_percent=float(f"{motion.trust.residual_percent:.3g}"),
    )


def _trust(
    motions: Sequence[Motion],
    middle: Motion,
    measures: Mapping[str, Measure],
    half: Mapping[str, Measure] | None,
) -> TrustReport:
    doubtful = [motion.trust.sentence for motion in motions if not motion.trust.is_ok]
    changes = {} if half is None else _changes(measures, half)
    sentence = doubtful[0] if doubtful else ""
    if not doubtful and changes and max(changes.values()) > TRUST_VERIFY:
        name = max(changes, key=lambda each: changes[each])
        sentence = f"at half the step {name} changes by {changes[name]:.2g} %"
    return TrustReport(
        ok=not sentence,
        dt_s=middle.trust.dt,
        iterations=middle.trust.iterations,
        joint_error_mm=float(f"{max(motion.trust.joint_error for motion in motions):.3g}"),
        verify_percent=max(changes.values(), default=0.0) if half is not None else None,
        verify_by_measure_percent=changes,
        sentence=sentence,
    )


def _changes(measures: Mapping[str, Measure], half: Mapping[str, Measure]) -> dict[str, float]:
    """By how much each measure changes at half the step, of its own size; what is below its resolution counts as none. [%]"""
    changes = {}
    for name, measure in measures.items():
        other = half.get(name)
        if other is None:
            continue
        entry = WORDS[name.rpartition(".")[2]]
        apart = abs(other.value - measure.value)
        size = max(abs(measure.value), abs(other.value))
        changes[name] = (
            float(f"{100 * apart / size:.3g}")
            if apart * entry.scale > RESOLUTION[entry.sort]
            else 0.0
        )
    return changes


def _assumptions(scene: Scene, motions: Sequence[Motion]) -> tuple[str, ...]:
    sentences: Iterable[str] = (
        *scene.assumptions,
        *(remark for motion in motions for remark in motion.remarks),
    )
    stuffs: dict[str, list[str]] = {}
    others = []
    for sentence in dict.fromkeys(sentences):
        part, is_stuff, stuff = sentence.partition(TAKEN_AS)
        if is_stuff:
            stuffs.setdefault(stuff, []).append(part)
        else:
            others.append(sentence)
    joined = [
        f"{listed(names)}{TAKEN_AS if len(names) == 1 else TAKEN_AS_MANY}{stuff}"
        for stuff, names in stuffs.items()
    ]
    return (*others, *joined)


def is_passed(report: Report) -> bool:
    """Tell whether the piece can be handed over: every claim met, nothing jams or stalls, and the run can be trusted."""
    refused = {name for name, check in CHECKS.items() if check.is_refused}
    return (
        report.trust.ok
        and all(claim.met for claim in report.expectations)
        and not any(finding.code in refused for finding in report.findings)
    )
