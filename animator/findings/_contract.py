"""What a finding's code is made of and what it is handed: ``Check``, ``Evidence``, ``Candidate``.

A code is one file in this folder. It looks at one run and says what it sees; and it proposes changes that might mend it. Whether they do
is tried elsewhere (``mending.py``), on the scene itself: nothing is offered that wasn't run.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from animator.findings.report import Finding
from animator.findings.track import Track
from animator.motion.looping import main_angle
from animator.motion.motion import Floats, Motion
from animator.registry import Registry

if TYPE_CHECKING:
    from animator.findings._standing import Standstill


class Evidence:
    """One run, and what several codes want to know of it, worked out once."""

    def __init__(self, motion: Motion) -> None:
        self.motion = motion

    def track(self, part: str, is_whole: bool = False) -> Track:
        """The run seen from a part: the counted span, or all of it."""
        return Track(self.motion, part, 0 if is_whole else None)

    @cached_property
    def degrees(self) -> Floats:
        """How far the main shaft has turned since the start, on the whole clock. [deg]"""
        return np.degrees(main_angle(self.motion))

    @cached_property
    def standstills(self) -> list[Standstill]:
        """Where a drive stands in spite of pushing, and what holds it; runs again to see whether a harder push frees it."""
        from animator.findings._standing import find_standstills

        return find_standstills(self.motion)

    def finding(
        self,
        code: str,
        part: str,
        first: int,
        last: int,
        amount: float,
        unit: str,
        sentence: str,
        why: str,
    ) -> Finding:
        """Make a finding of a stretch of the whole clock, given by its first and last sample."""
        times, degrees = self.motion.times, self.degrees
        return Finding(
            code=code,
            part=part,
            from_s=round(float(times[first]), 4),
            to_s=round(float(times[last]), 4),
            from_deg=round(float(degrees[first]), 2),
            to_deg=round(float(degrees[last]), 2),
            amount=float(f"{amount:.4g}"),
            unit=unit,
            at="",
            sentence=sentence,
            why=why,
        )


@dataclass(frozen=True)
class Candidate:
    """A change that might mend a finding.

    ``path`` in the scene; ``texts`` to write there, from the least change to the greatest; ``sentence`` says it in words, with ``{text}``
    for what to write and ``{now}`` for what stands there.
    """

    path: str
    texts: tuple[str, ...]
    sentence: str
    now: str = ""


class Check:
    """One code."""

    code: ClassVar[str] = ""
    is_worst_high: ClassVar[bool] = True
    """Whether it is worse the larger its amount is."""
    is_refused: ClassVar[bool] = False
    """Whether a piece that shows it can't be handed over: ``check`` then ends with 1."""

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        """Say what the run shows."""
        raise NotImplementedError

    def turns(self, finding: Finding) -> float:
        """Tell within how many turns after the start-up it shows, if it is there; first trials of a mend run so long."""
        return 1.0

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        """Propose what might mend a finding, the cheapest to make first."""
        return ()


CHECKS: Registry[Check] = Registry("animator.findings")
