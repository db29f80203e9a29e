"""Skip: a pawl or a tooth that jumps over what should have held it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._values import texts, written
from animator.findings.report import Finding

FIRMEST = 20.0  # times the spring it has
FIRST_TORQUE = 1e6  # g mm^2/s^2; where there is no spring yet, begin with 1 N mm
STEEPEST = 30.0  # deg a face may lean under its tip


@CHECKS.add("skip")
class Skip(Check):
    """Teeth that go past what should hold them while it lies in them; recorded by the kind as a running count, ``PART.skipped``."""

    code = "skip"
    is_refused = True

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for name in evidence.motion.scene.parts:
            track = evidence.track(name)
            course = track.channel("skipped")
            if course is None:
                continue
            count = course[track.span] - course[track.first]
            if count[-1] < 0.5:
                continue
            at = track.first + np.flatnonzero(np.diff(count) > 0.5) + 1
            first, last = int(at[0]), int(at[-1])
            number = round(float(count[-1]))
            teeth = "tooth" if number == 1 else "teeth"
            sentence = (
                f"{name} jumps {number} {teeth}, first at {evidence.degrees[first]:.0f} degrees"
            )
            if evidence.motion.drive is None:
                sentence = f"{name} jumps {number} {teeth}, first after {evidence.motion.times[first]:.2f} s"
            part: Any = track.part
            yield evidence.finding(
                "skip",
                name,
                max(first - 20, 0),
                last,
                number,
                teeth,
                sentence,
                getattr(
                    part, "why_it_skips", "The load is more than what keeps the teeth together."
                ),
            )

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        part: Any = evidence.motion.scene.parts[finding.part]
        wheel: Any = evidence.motion.scene.parts.get(
            part.wheel.part if hasattr(part, "wheel") else ""
        )
        if wheel is not None and hasattr(wheel, "undercut"):
            now = float(np.degrees(wheel.undercut))
            steps = [f"{each:g}" for each in (5, 10, 15, 20, 25, STEEPEST) if each > now + 0.5]
            yield Candidate(
                f"{wheel.name}.undercut",
                tuple(steps),
                "faces that lean {text} degrees under their tips (now {now}) draw the pawl in",
                f"{now:g}",
            )
        if hasattr(part, "wheel"):
            spring = getattr(part, "spring", None)
            torque = spring.torque if spring is not None else 0.0
            low = torque or FIRST_TORQUE
            yield Candidate(
                f"{part.name}.spring.torque",
                texts(low, FIRMEST * low, "torque"),
                "a spring of {text} (now {now}) keeps it in its teeth",
                written(torque, "torque") if torque else "none",
            )
