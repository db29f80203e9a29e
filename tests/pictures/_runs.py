"""Recorded runs the picture tests look at, each made once."""

from __future__ import annotations

import functools

from animator.findings.report import Energy, Finding, Mend, Report, TrustReport
from animator.motion.motion import Motion
from tests import pieces


@functools.cache
def demo(name: str, variant: str | None = None, turns: float = 2.0) -> Motion:
    return pieces.run_demo(name, variant, turns=turns)


def report(*findings: Finding) -> Report:
    """A report that holds these findings and nothing else."""
    return Report(
        scene="trial",
        variant=None,
        seconds=1.0,
        turns=1.0,
        measures={},
        findings=findings,
        expectations=(),
        energy=Energy(work_in_J=0.0, heat_J={}, stored_J=0.0, residual_percent=0.0),
        trust=TrustReport(ok=True, dt_s=1e-4, iterations=30, joint_error_mm=0.0),
        assumptions=(),
    )


def finding(
    code: str,
    part: str,
    from_s: float,
    to_s: float,
    deg: float,
    sentence: str,
    amount: float = 1.0,
    mend: str = "",
) -> Finding:
    mends = (Mend(path="x", value="y", sentence=mend),) if mend else ()
    return Finding(
        code=code, part=part, from_s=from_s, to_s=to_s, from_deg=deg, to_deg=deg + 5, amount=amount, unit="mm", at="middle", sentence=sentence, why="", mend=mends
    )  # fmt: skip


def jam_of_the_mole() -> tuple[Motion, Report]:
    motion = demo("mole")
    end = float(motion.times[-1])
    return motion, report(
        finding(
            "jam",
            "lifter",
            end - 0.3,
            end,
            44,
            "The stem wedges in its guide at 44°.",
            mend="A guide of 30 mm frees it.",
        )
    )
