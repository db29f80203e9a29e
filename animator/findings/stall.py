"""Stall: the drive isn't strong enough for what it has to move."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._standing import Standstill, rate_of, turns_to
from animator.findings._values import texts, written
from animator.findings._words import listed, newtons, share
from animator.findings.report import Finding
from animator.findings.track import Track
from animator.parts._contract import Part

STRONGEST = (
    4.0  # times as strong as written; beyond it the piece wants another gear, not another hand
)
STRONGEST_MOTOR = 30.0  # motors are bought by the stall torque, and the weakest are very weak
SOFTEST = 10.0  # times as soft
LEAST_TOLD = 0.03  # of the effort


@CHECKS.add("stall")
class Stall(Check):
    """A recorded standstill at the drive's ceiling that no guide holds."""

    code = "stall"
    is_worst_high = False
    is_refused = True

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for standing in evidence.standstills:
            if standing.wedge is None and standing.catch is None:
                yield self._told(evidence, standing)

    def _told(self, evidence: Evidence, standing: Standstill) -> Finding:
        drive, at = standing.drive, math.degrees(standing.angle)
        most = f"{standing.torque / 1e6:.3g} N mm"
        if drive.radius:
            most = f"{newtons(standing.torque / drive.radius)} at the knob ({most})"
        where = f"stands still at {at:.0f} degrees" if at >= 1 else "doesn't get going"
        sentence = (
            f"{drive.shaft} {where}: {drive.name} gives all it has, {most}, and it isn't enough"
        )
        taken = [
            ("weights and springs", abs(standing.stored)),
            *self._rubbing(evidence, standing),
        ]
        told = [
            f"{what} {share(torque, standing.torque)}"
            for what, torque in taken
            if LEAST_TOLD < torque / standing.torque <= 1.05
        ]
        why = (
            f"Of its effort go: {listed(told)}."
            if told
            else "What holds it is the weight it begins to lift, and friction in the bearings."
        )
        why = self._locks(evidence, standing) or why
        return evidence.finding(
            "stall", drive.shaft, standing.first, standing.last, at, "deg", sentence, why
        )

    @staticmethod
    def _locks(evidence: Evidence, standing: Standstill) -> str:
        """What a part says that won't be turned back (a worm asked to run backwards); '' if none does."""
        scene = evidence.motion.scene
        for part in scene.parts.values():
            holds = getattr(part, "holds_against", None)
            reason = holds(evidence.motion, standing.drive.shaft) if holds is not None else ""
            if reason:
                return f"It {reason}."
        return ""

    @staticmethod
    def _rubbing(evidence: Evidence, standing: Standstill) -> list[tuple[str, float]]:
        """What the rubbing in each guide takes of the torque. [g mm^2/s^2]"""
        found = []
        for contact in evidence.motion.contacts.values():
            if contact.kind == "guide":
                along = Track(evidence.motion, contact.second, 0).along()
                taken = float(contact.friction[standing.last]) * abs(
                    rate_of(along, standing.drive.angle, standing.first)
                )
                found.append((f"rubbing in the {contact.where}", taken))
        return found

    def turns(self, finding: Finding) -> float:
        return turns_to(finding)

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        scene = evidence.motion.scene
        drive = next(each for each in evidence.motion.drives if each.shaft == finding.part)
        for part in scene.parts.values():
            yield from _softer(part)
        part = scene.parts[drive.name]
        strength = getattr(part, "strength", None)
        if strength is not None:
            sort = "torque" if strength.is_torque else "force"
            yield Candidate(
                f"{part.name}.strength", texts(strength.amount, STRONGEST * strength.amount, sort),
                "a push of {text} (now {now}) turns it", strength.text,
            )  # fmt: skip
            radius = part.radius  # type: ignore[attr-defined]
            if not strength.is_torque:
                yield Candidate(
                    f"{part.name}.radius", texts(radius, 2.5 * radius, "length"), "a handle of {text} mm (now {now}) gives the same hand more turning effort",
                    written(radius, "length"),
                )  # fmt: skip
        torque = getattr(part, "stall_torque", None)
        if torque:
            yield Candidate(
                f"{part.name}.stall torque", texts(torque, STRONGEST_MOTOR * torque, "torque", "N mm", 60), "a motor that stalls at {text} (now {now}) turns it",
                written(torque, "torque", "N mm"),
            )  # fmt: skip


def _softer(part: Part) -> Iterator[Candidate]:
    """Propose less of whatever resists: a softer spring, a lighter brake."""
    rate = getattr(part, "rate", None)
    if rate:
        yield Candidate(
            f"{part.name}.rate", texts(rate, rate / SOFTEST, "rate"), "a softer spring of {text} (now {now}) can be squeezed", written(rate, "rate"),
        )  # fmt: skip
    spring = getattr(part, "spring", None)
    if spring is not None and getattr(spring, "preload", None):
        yield Candidate(
            f"{part.name}.spring.preload", texts(spring.preload, spring.preload / SOFTEST, "force"), "a spring that presses with {text} (now {now}) can be lifted",
            written(spring.preload, "force"),
        )  # fmt: skip
    drag: float = getattr(part, "drag_torque", None) or 0.0
    if drag:
        yield Candidate(
            f"{part.name}.drag torque", texts(drag, drag / SOFTEST, "torque", "N mm"), "a brake of only {text} (now {now}) lets it turn",
            written(drag, "torque", "N mm"),
        )  # fmt: skip
