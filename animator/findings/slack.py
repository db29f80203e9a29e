"""Slack: something that should pull and hangs loose."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._values import texts, written
from animator.findings.report import Finding
from animator.findings.thresholds import SLACK_LENGTH, SLACK_SHARE
from animator.findings.track import carriers, stretches

TIGHTEST = 5.0  # times what it is now


@CHECKS.add("slack")
class Slack(Check):
    """The share of the time that a belt, an extension spring or a string hangs loose."""

    code = "slack"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        if evidence.motion.end == "stalled":
            return  # of a piece that stands, the share of the time says nothing
        for name in evidence.motion.scene.parts:
            track = evidence.track(name)
            course = track.channel("slack")
            if course is None:
                continue
            loose = course[track.span] > SLACK_LENGTH
            share = float(loose.mean()) if len(loose) else 0.0
            if share <= SLACK_SHARE:
                continue
            first, last = max(stretches(loose), key=lambda stretch: stretch[1] - stretch[0])
            most = float(course[track.span].max())
            sentence = f"{name} hangs loose for {100 * share:.0f} % of the time, by up to {most:.1f} mm"
            why = getattr(
                track.part,
                "why_it_hangs_loose",
                "Its two ends come nearer to each other than it is long without a pull.",
            )
            yield evidence.finding(
                "slack",
                name,
                first + track.first,
                last + track.first,
                100 * share,
                "%",
                sentence,
                why,
            )

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        part: Any = evidence.motion.scene.parts[finding.part]
        stretched = getattr(part, "stretched", None)
        if stretched:
            yield Candidate(
                f"{part.name}.stretched", texts(stretched, min(TIGHTEST * stretched, 1.0), "share"), "laid on stretched by {text} (now {now}) it stays taut",
                written(stretched, "share"),
            )  # fmt: skip
        if hasattr(part, "by_way_of"):
            yield from self._drawn_tight(evidence, part)
        length = evidence.track(finding.part, is_whole=True).channel("length")
        if length is not None:
            # a spring that says no free length is loose at the length with which it was hung in
            free = getattr(part, "free_length", None) or float(length[0])
            yield Candidate(
                f"{part.name}.free length",
                texts(free, free / 3, "length"),
                "a spring of {text} mm (now {now}) unloaded stays taut",
                written(free, "length"),
            )

    @staticmethod
    def _drawn_tight(evidence: Evidence, string: Any) -> Iterable[Candidate]:
        """Propose to cut a string shorter, or to let what it pulls weigh more."""
        scene = evidence.motion.scene
        if string.slack:
            yield Candidate(
                f"{string.name}.slack", (*texts(string.slack, string.slack / 10, "length"), "0"), "cut {text} mm longer than its way (now {now}) it stays taut",
                written(string.slack, "length"),
            )  # fmt: skip
        ends = {
            carriers(scene, ref.part)[-1]
            for ref in (string.from_, string.to)
            if ref.part in scene.parts
        }
        for rider in scene.parts.values():
            if rider.mass and carriers(scene, rider.name)[-1] in ends:
                yield Candidate(
                    f"{rider.name}.mass", texts(rider.mass, TIGHTEST * rider.mass, "mass"), "a weight of {text} (now {now}) draws it tight",
                    written(rider.mass, "mass"),
                )  # fmt: skip
