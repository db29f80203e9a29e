"""Seam: a film of the run can't join its own beginning without a jump."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from animator.findings._contract import CHECKS, Check, Evidence
from animator.findings.report import Finding, LoopReport
from animator.findings.thresholds import SEAM_ANGLE, SEAM_PLACE
from animator.motion.looping import Loop, find_loop
from animator.motion.motion import Motion


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
        is_angle = angle > SEAM_ANGLE
        amount, unit = (loop.seam_deg, "deg") if is_angle else (loop.seam_mm, "mm")
        part, off = _off(motion, loop)
        turns = _turns(motion, loop)
        does = "passes softly over its join" if loop.join == "fades" else "jumps at its join"
        sentence = f"a film that goes round and round {does}: after {turns} {part} is {off} off its start"
        why = "What slips, or is driven at a ratio of its own, isn't back after a whole turn; of all whole turns within the run this one comes nearest."
        first = int(np.searchsorted(motion.times, loop.start_s - 1e-9))
        last = min(
            int(np.searchsorted(motion.times, loop.start_s + loop.period_s - 1e-9)),
            len(motion.times) - 1,
        )
        yield evidence.finding("seam", part, first, last, amount, unit, sentence, why)


def _off(motion: Motion, loop: Loop) -> tuple[str, str]:
    """Which part is how far off its start at the join."""
    part = next((name for name in motion.scene.parts if name == loop.seam_part), loop.seam_part)
    if np.radians(loop.seam_deg) > SEAM_ANGLE:
        return part, f"{loop.seam_deg:.{0 if loop.seam_deg >= 2 else 1}f} degrees"
    return part, f"{loop.seam_mm:.1f} mm"


def _turns(motion: Motion, loop: Loop) -> str:
    drive = motion.drive
    what = "handle" if drive is None or drive.radius > 0 else drive.name
    return f"{loop.turns} turns of the {what}" if loop.turns > 1 else f"one turn of the {what}"


def loop_report(motion: Motion) -> LoopReport | None:
    """Say how a film of a run goes round; None where it can't, because the piece stands or doesn't get round once."""
    if motion.drive is None or motion.end in ("stalled", "jammed", "not trusted"):
        return None
    loop = find_loop(motion)
    if loop.turns == 0:
        return None
    turns = _turns(motion, loop)
    part, off = _off(motion, loop)
    after = f"after {turns} {part} is {off} off its start"
    sentence = {
        "closes": f"As a film it goes round without a seam: it is back after {turns}, {loop.period_s:.3g} s.",
        "jumps": f"As a film it goes round with a small jump: {after}, the nearest it comes to it in this run.",
        "fades": f"As a film it can't be joined: {after}; the film passes softly over that in {loop.fade_s:.1g} s.",
    }[loop.join]
    return LoopReport(
        join=loop.join,
        seconds=round(loop.period_s, 4),
        turns=loop.turns,
        part=part if loop.join != "closes" else "",
        jump_mm=round(loop.seam_mm, 3),
        jump_deg=round(loop.seam_deg, 3),
        sentence=sentence,
    )
