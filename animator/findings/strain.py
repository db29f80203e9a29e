"""Strain: a spring, strip or band bent, wound or stretched past what its stuff bears."""

from __future__ import annotations

from collections.abc import Iterable

from animator.findings._contract import CHECKS, Check, Evidence
from animator.findings.report import Finding
from animator.findings.thresholds import STRAIN_SHARE


@CHECKS.add("strain")
class Strain(Check):
    """How much of what it bears something is strained, by its recorded ``strain``."""

    code = "strain"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for name in evidence.motion.scene.parts:
            strained = evidence.track(name).worst("strain", STRAIN_SHARE)
            if strained is None:
                continue
            first, last, most = strained
            yield evidence.finding(
                "strain",
                name,
                first,
                last,
                100 * most,
                "%",
                f"{name} is strained to {100 * most:.0f} % of what it bears",
                "Strained farther than that a spring sets, a strip stays bent and a band tears sooner or later.",
            )
