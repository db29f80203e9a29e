"""Strain: a spring, strip or band bent, wound or stretched past what its stuff bears."""

from __future__ import annotations

from collections.abc import Iterable

from animator.findings._contract import CHECKS, Check, Evidence
from animator.findings.report import Finding
from animator.findings.thresholds import STRAIN_SHARE
from animator.findings.track import stretches


@CHECKS.add("strain")
class Strain(Check):
    """How much of what it bears something is strained, by its recorded ``strain``."""

    code = "strain"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for name in evidence.motion.scene.parts:
            track = evidence.track(name)
            course = track.channel("strain")
            if course is None:
                continue
            strained = course[track.span]
            over = strained > STRAIN_SHARE
            if not over.any():
                continue
            first, last = max(
                stretches(over), key=lambda stretch: strained[stretch[0] : stretch[1] + 1].max()
            )
            most = float(strained.max())
            yield evidence.finding(
                "strain",
                name,
                first + track.first,
                last + track.first,
                100 * most,
                "%",
                f"{name} is strained to {100 * most:.0f} % of what it bears",
                "Strained farther than that a spring sets, a strip stays bent and a band tears sooner or later.",
            )
