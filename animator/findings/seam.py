"""Seam: a film of the run can't join its own beginning without a jump."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from animator.findings._contract import CHECKS, Check, Evidence
from animator.findings.report import Finding
from animator.findings.thresholds import SEAM_ANGLE, SEAM_PLACE
from animator.motion.looping import find_loop


@CHECKS.add("seam")
class Seam(Check):
    """The jump at the join of the best loop within the run. Nothing in the piece is wrong, so nothing is proposed."""

    code = "seam"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        motion = evidence.motion
        if motion.drive is None or motion.end in ("stalled", "jammed", "not trusted"):
            return
        loop = find_loop(motion)
        angle = np.radians(loop.seam_deg)
        if loop.turns == 0 or (loop.seam_mm <= SEAM_PLACE and angle <= SEAM_ANGLE):
            return
        part = next(
            (name for name in motion.scene.parts if name == loop.seam_part), loop.seam_part
        )
        is_angle = angle > SEAM_ANGLE
        amount, unit = (loop.seam_deg, "deg") if is_angle else (loop.seam_mm, "mm")
        words = (
            f"{amount:.0f} degrees"
            if is_angle and amount >= 2
            else f"{amount:.1f} {'degrees' if is_angle else 'mm'}"
        )
        turns = f"{loop.turns} turns" if loop.turns > 1 else "one turn"
        sentence = f"a film that goes round and round jumps at its join: after {turns} of the handle {part} is {words} off its start"
        why = "What slips doesn't come back to its place; of all whole turns within the run this one comes nearest."
        first = int(np.searchsorted(motion.times, loop.start_s - 1e-9))
        last = min(
            int(np.searchsorted(motion.times, loop.start_s + loop.period_s - 1e-9)),
            len(motion.times) - 1,
        )
        yield evidence.finding("seam", part, first, last, amount, unit, sentence, why)
