"""Slip: a drive that gives less than it is due, by creeping, by rubbing, or both."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Any

import numpy as np

from animator import materials
from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._values import texts, written
from animator.findings._words import newtons
from animator.findings.report import Finding
from animator.findings.thresholds import SLIP_SHARE
from animator.motion.motion import Slip as Record

STIFFER_BELTS = (
    "spring belt 4",
    "spring belt 6",
    "round leather 3",
    "round leather 4",
    "string 2",
    "linen thread 1",
)
LIGHTEST = 20.0  # times less drag
TIGHTEST = 2.0  # times as much stretch


@CHECKS.add("slip")
class Slip(Check):
    """What a belt loses of each turn."""

    code = "slip"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for name, record in evidence.motion.slips.items():
            found = self._of(evidence, name, record)
            if found is not None:
                yield found

    def _of(self, evidence: Evidence, name: str, record: Record) -> Finding | None:
        motion = evidence.motion
        first, last = motion.begins, len(motion.times) - 1
        due, lost = (
            record.due - record.due[first],
            (record.due - record.due[first]) - (record.got - record.got[first]),
        )
        owed = float(due[last])
        if abs(owed) < 1e-6:
            return None
        # the worst turn decides: a drive that gives way only once in a run has slipped too
        edges = self._turns(evidence, first, last)
        shares = [
            float((lost[b] - lost[a]) / (due[b] - due[a]))
            if abs(due[b] - due[a]) > 1e-6
            else 0.0
            for a, b in pairwise(edges)
        ]
        slipping = [i for i, share in enumerate(shares) if share >= SLIP_SHARE]
        if not slipping:
            return None
        share = float(lost[last]) / owed
        rubbed = float(record.rubbed[last] - record.rubbed[first]) / abs(owed)
        rubbed = min(rubbed, abs(share))
        turns = abs(owed) / (2 * math.pi * record.radii[1])
        if share > 0.9:
            sentence = f"{record.driven} stands while {record.driver} turns: {name} loses {100 * share:.0f} of 100 turns"
        else:
            sentence = f"{name} loses {100 * share:.2g} turns in 100: {record.driven} makes {turns * (1 - share):.2f} of the {turns:.2f} turns it is due"
        tight, slack = (
            evidence.track(name).channel("tension"),
            evidence.track(name).channel("slack tension"),
        )
        if slack is None:  # rims that roll on each other
            why = "one rim rubs over the other: the load asks for more than their grip"
        else:
            why = f"{100 * (share - rubbed):.2g} in 100 by creep (the band stretches on its way from the slack side to the tight one)"
            why += f", {100 * rubbed:.3g} by rubbing through"
        if tight is not None and slack is not None:
            middle = slice(first, last + 1)
            why += f"; it pulls with {newtons(float(tight[middle].mean()))} on the tight side and {newtons(float(slack[middle].mean()))} on the slack one"
        return evidence.finding(
            "slip",
            name,
            edges[slipping[0]],
            edges[slipping[-1] + 1],
            100 * share,
            "%",
            sentence,
            why + ".",
        )

    @staticmethod
    def _turns(evidence: Evidence, first: int, last: int) -> list[int]:
        """Samples at which whole turns of the main shaft end; the whole span if there is not one."""
        degrees = np.maximum.accumulate(evidence.degrees[first : last + 1])
        whole = int((degrees[-1] - degrees[0]) / 360 + 1e-6)
        edges = [
            first + int(np.searchsorted(degrees, degrees[0] + 360 * turn - 1e-6))
            for turn in range(whole + 1)
        ]
        if len(edges) < 2:
            return [first, last]
        edges[-1] = min(edges[-1], last)
        return edges

    def turns(self, finding: Finding) -> float:
        return 3.0  # the start is still ringing in the first

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        scene = evidence.motion.scene
        belt: Any = scene.parts[finding.part]
        made_of = getattr(belt, "made_of", None)
        if made_of is not None:
            now = belt.axial_stiffness
            firmer = [text for text in STIFFER_BELTS if (_stiffness(text) or 0.0) > 2 * now]
            firmer.sort(key=lambda text: _stiffness(text) or 0.0)
            said = f"{made_of.name} {made_of.size:g}"
            yield Candidate(
                f"{belt.name}.made of",
                tuple(firmer),
                "a stiffer belt: {text} (now {now}) creeps less",
                said,
            )
        record = evidence.motion.slips[finding.part]
        driven = evidence.track(record.driven).carriers
        for part in scene.parts.values():
            drag = getattr(part, "drag_torque", 0.0)
            if drag and part.name in driven:
                yield Candidate(
                    f"{part.name}.drag torque", texts(drag, drag / LIGHTEST, "torque", "N mm"),
                    "a load that drags with only {text} (now {now})", written(drag, "torque", "N mm"),
                )  # fmt: skip
        stretched = getattr(belt, "stretched", None)
        if stretched:
            yield Candidate(
                f"{belt.name}.stretched", texts(stretched, min(TIGHTEST * stretched, 1.0), "share"), "a tighter belt, stretched {text} (now {now}), holds",
                written(stretched, "share"),
            )  # fmt: skip


def _stiffness(text: str) -> float | None:
    """Force that would double the length of a belt of this stuff and thickness. [g mm/s^2]"""
    name, _, size = text.rpartition(" ")
    return (
        materials.stuff(name).axial_stiffness(float(size))
        if name in materials.stuffs()
        else None
    )
