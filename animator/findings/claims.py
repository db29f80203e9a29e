"""Expectations held against a run: met or not, by how much, and what was measured."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.findings.measures import WORDS, Reading, read
from animator.findings.report import Expectation, Finding
from animator.findings.thresholds import SLACK_LENGTH
from animator.findings.track import Flags, Track, carriers
from animator.motion.looping import main_angle
from animator.motion.motion import Floats, Motion
from animator.scene.shots import Moment

if TYPE_CHECKING:
    from animator.scene.claims import Claim, Measure
    from animator.scene.model import Scene


@dataclass(frozen=True)
class Verdict:
    """How one claim fared in one run. ``margin`` >= 0 where it is met, in the claim's own unit; ``measured`` in a maker's unit."""

    margin: float
    measured: float | None = None
    unit: str = ""

    @property
    def is_met(self) -> bool:
        """Whether the claim holds."""
        return self.margin >= 0


@dataclass(frozen=True)
class Span:
    """Samples that a claim is about. ``is_moment``: a single one."""

    first: int
    last: int
    is_moment: bool = False


NOT_REACHED = Verdict(-math.inf)
OPPOSITES = {"dark": "lit", "open": "closed", "stopped": "running", "free": "locked"}
ROUNDING = 1e-9  # of what is claimed; decimal text isn't exact in binary


def judge(claim: Claim, motion: Motion, findings: Iterable[Finding]) -> Verdict:
    """Hold one claim against one run.

    Parameters
    ----------
    claim
        What the scene expects.
    motion
        The run.
    findings
        What that run showed.
    """
    span = _span(claim, motion)
    if span is None:
        return NOT_REACHED
    if claim.kind == "finding":
        return _finding(claim, motion, span, findings)
    if claim.kind == "state":
        return _state(claim, motion, span)
    return _measure(claim, motion, span)


def worst(claim: Claim, verdicts: dict[str, Verdict]) -> Expectation:
    """Join the verdicts of all ends of the friction and speed ranges: met only if met at every one; the worst is told."""
    name = min(verdicts, key=lambda each: verdicts[each].margin)
    verdict = verdicts[name]
    same = (
        len({each.measured for each in verdicts.values()}) == 1
        and len({each.is_met for each in verdicts.values()}) == 1
    )
    return Expectation(
        text=claim.text,
        met=verdict.is_met,
        measured=None if verdict.measured is None else float(f"{verdict.measured:.6g}"),
        unit=verdict.unit,
        at="all" if same else name,
    )


# ---------------------------------------------------------------- when
def sample_of(motion: Motion, moment: Moment) -> int | None:
    """Find the sample of a moment; None if the run never got there."""
    if moment.mark:
        sound = motion.scene.sound
        assert sound is not None  # the scene was checked for it
        begins = 0 if sound.starts is None else sample_of(motion, sound.starts)
        if begins is None:
            return None
        moment = Moment(None, float(motion.times[begins]) + float(sound.marks[moment.mark]))
    if moment.time is not None:
        index = int(np.searchsorted(motion.times, moment.time - 1e-9))
    else:
        assert moment.angle is not None
        index = int(
            np.searchsorted(np.maximum.accumulate(main_angle(motion)), moment.angle - 1e-9)
        )
    return index if index < len(motion.times) else None


def _span(claim: Claim, motion: Motion) -> Span | None:
    end = len(motion.times) - 1
    if claim.start is None:
        return Span(motion.begins, end)
    first = sample_of(motion, claim.start)
    if first is None:
        return None
    if claim.end is None:
        return Span(first, first, True)
    last = sample_of(motion, claim.end)
    # a span that the run didn't finish is judged by what there is: it stands there, and other claims and findings say so
    return Span(first, end if last is None else last)


# ---------------------------------------------------------------- findings
def _finding(claim: Claim, motion: Motion, span: Span, findings: Iterable[Finding]) -> Verdict:
    begin, end = motion.times[span.first] - 1e-6, motion.times[span.last] + 1e-6
    fitting = [
        finding
        for finding in findings
        if finding.code == claim.finding
        and concerns(motion.scene, finding.part, claim.part, motion)
        and finding.from_s <= end
        and finding.to_s >= begin
    ]
    if not fitting:
        return Verdict(0.0 if claim.is_denied else -1.0)
    return Verdict(-1.0 if claim.is_denied else 0.0, fitting[0].amount, fitting[0].unit)


def concerns(scene: Scene, found: str, asked: str, motion: Motion) -> bool:
    """Tell whether a finding of one part is one of another too: what is fixed to a part shares its lot."""
    if not asked or found == asked:
        return True
    if asked == "drive":
        return any(found in (drive.name, drive.shaft) for drive in motion.drives[:1])
    if found not in scene.parts or asked not in scene.parts:
        return False
    return found in carriers(scene, asked) or asked in carriers(scene, found)


# ---------------------------------------------------------------- states
def _state(claim: Claim, motion: Motion, span: Span) -> Verdict:
    part = (
        motion.drive.name if claim.part == "drive" and motion.drive is not None else claim.part
    )
    flags = _flags(claim.state, Track(motion, part, None if claim.start is None else 0))
    if flags is None:
        return NOT_REACHED
    offset = motion.begins if claim.start is None else 0
    inside = flags[span.first - offset : span.last + 1 - offset]
    share = float(inside.mean()) if len(inside) else 0.0
    is_met = share > 0 if claim.once else share == 1.0
    return Verdict(share if is_met else share - 1.0, 100 * share, "%")


def _flags(state: str, track: Track) -> Flags | None:
    """When a part is in a state: recorded as a channel of that name, or of the opposite."""
    for word, is_other in ((state, False), (OPPOSITES.get(state, ""), True)):
        recorded = track.channel(word) if word else None
        if recorded is not None and word not in ("slack",):
            return np.asarray((recorded[track.span] > 0.5) != is_other)
    if state in ("stopped", "running"):
        if not track.is_moving:
            return None
        return track.is_stopped if state == "stopped" else ~track.is_stopped
    if state not in ("slack", "taut"):
        return None
    slack = track.channel("slack")
    if slack is None:
        return None
    loose = slack[track.span] > SLACK_LENGTH
    return loose if state == "slack" else ~loose


# ---------------------------------------------------------------- measures
def _measure(claim: Claim, motion: Motion, span: Span) -> Verdict:
    left = claim.left
    assert left is not None
    here = _course(left, motion, span, claim.once)
    if here is None:
        return NOT_REACHED
    others = []
    for value in claim.values:
        if isinstance(value, float | int):
            others.append(np.full(len(here), float(value)))
            continue
        there = _course(value, motion, span, claim.once)
        if there is None:
            return NOT_REACHED
        others.append(
            there if len(there) == len(here) else np.full(len(here), float(np.nanmax(there)))
        )
    margins = _margins(claim, here, others)
    known = np.isfinite(margins)
    if not known.any():
        return NOT_REACHED
    margins = np.where(known, margins, -np.inf if claim.once else np.inf)
    at = int(np.argmax(margins)) if claim.once else int(np.argmin(margins))
    entry = WORDS[left.word]
    return Verdict(float(margins[at]), float(here[at]) / entry.scale, entry.unit)


def _course(measure: Measure, motion: Motion, span: Span, is_once: bool) -> Floats | None:
    """What a claim is held against: the course at every moment, or one number for the span."""
    if span.is_moment:
        first = min(motion.begins, span.first)
        reading = read(motion, measure.part, measure.word, measure.point, first)
        return (
            None
            if reading is None
            else _amounts(reading)[span.first - first : span.first - first + 1]
        )
    reading = read(motion, measure.part, measure.word, measure.point, span.first, span.last)
    if reading is None:
        return None
    return np.array([reading.value]) if reading.is_total and not is_once else _amounts(reading)


def _amounts(reading: Reading) -> Floats:
    return np.abs(reading.series) if reading.is_amount else reading.series


def _margins(claim: Claim, here: Floats, others: list[Floats]) -> Floats:
    """By how much the claim holds at each moment; below zero where it doesn't."""
    slack = ROUNDING * max(1e-3, *(float(np.abs(other).max()) for other in others))
    first = others[0]
    if claim.op == "between":
        return np.asarray(np.minimum(here - first, others[1] - here) + slack)
    if claim.op in (">=", ">"):
        return np.asarray(here - first + (slack if claim.op == ">=" else -slack))
    if claim.op in ("<=", "<"):
        return np.asarray(first - here + (slack if claim.op == "<=" else -slack))
    # a count is equal if it rounds to the number claimed
    return np.asarray(
        (0.5 if claim.tolerance is None else claim.tolerance) - np.abs(here - first) + slack
    )
