"""Buckle: a wire that bows out because it is pushed harder than it bears."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings.report import Finding
from animator.findings.thresholds import BUCKLE_BOW

STOCK = (
    0.5,
    0.6,
    0.8,
    1.0,
    1.2,
    1.5,
    2.0,
    2.5,
    3.0,
    4.0,
)  # mm; wire as shops sell it (common practice, no source)


@CHECKS.add("buckle")
class Buckle(Check):
    """A push-pull wire bowed out under a push; recorded by the kind as how far its middle stands out, ``PART.bow``."""

    code = "buckle"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for name in evidence.motion.scene.parts:
            track = evidence.track(name)
            bent = track.worst("bow", BUCKLE_BOW)
            if bent is None:
                continue
            part: Any = track.part
            first, last, most = bent
            when = (
                f"at {evidence.degrees[first] % 360:.0f} degrees"
                if evidence.motion.drive is not None
                else f"after {evidence.motion.times[first]:.2f} s"
            )
            sentence = f"{name} buckles {when} and bows out by {most:.1f} mm"
            why = (
                f"A wire of {part.diameter:g} mm, {part.length:.0f} mm long, pushes with {part.bears / 1e6:.2f} N and no more; "
                "pushed harder it gives way sideways. Half as long it would bear four times as much."
            )
            yield evidence.finding(
                "buckle",
                name,
                first,
                last,
                most,
                "mm",
                sentence,
                why,
            )

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        part: Any = evidence.motion.scene.parts[finding.part]
        thicker = tuple(
            f"{part.stuff} {size:g}" for size in STOCK if size > part.diameter * 1.01
        )
        yield Candidate(
            f"{part.name}.material",
            thicker,
            "a wire of {text} (now {now}) is stiff enough to push",
            f"{part.stuff} {part.diameter:g}",
        )
