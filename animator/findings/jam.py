"""Jam: a stem wedged in its guide, or wheels that have caught each other; no push frees it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

import numpy as np

from animator.findings._catching import Catch
from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._standing import Standstill, Wedge, turns_to
from animator.findings._values import texts, written
from animator.findings._words import newtons, share
from animator.findings.report import Finding
from animator.findings.thresholds import CONFIRM_ANGLE
from animator.parts._contract import Part
from animator.trains import turning_part

LONGEST_GUIDE = 8.0  # times as long as drawn
LARGEST_CAM = 4.0  # times as large as drawn
BEARING = 0.02  # of the hardest pressed edge; less only touches
CLEAR = 2.0  # mm; a roller stays this far under its guide
HELD_FAST = "a push three times as strong doesn't free it"
"""Said of a jam only when the run with the stronger push has shown it."""
LEAST_BRAKE, MOST_BRAKE = (
    0.5e6,
    20.0,
)  # g mm^2/s^2, where there is none yet; times what there is
SLIPPERY = ("0.05 to 0.1",)  # waxed or greased and run in, as measured on the piece itself


@CHECKS.add("jam")
class Jam(Check):
    """A recorded standstill, held by the rubbing in a guide or of wheels that caught."""

    code = "jam"
    is_worst_high = False  # the earlier it wedges, the worse
    is_refused = True

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for standing in evidence.standstills:
            if standing.wedge is not None:
                yield self._told(evidence, standing, standing.wedge)
            elif standing.catch is not None:
                yield self._caught(evidence, standing, standing.catch)

    def _caught(self, evidence: Evidence, standing: Standstill, catch: Catch) -> Finding:
        at = math.degrees(standing.angle)
        sentence = f"{catch.part} catches on {catch.by} when {standing.drive.shaft} has turned {at:.0f} degrees; {HELD_FAST}"
        if catch.is_between:
            why = f"It is held between two of {catch.by}, which push it opposite ways."
        else:
            why = (
                f"They meet end on: the push passes {catch.beside:.1f} mm beside the middle of {catch.part}, {math.degrees(catch.off):.0f} degrees off the line to it, "
                f"and rubbing at {catch.friction:.2g} keeps them from sliding off each other up to {math.degrees(math.atan(catch.friction)):.0f}."
            )
        return evidence.finding(
            "jam", catch.part, standing.first, standing.last, at, "deg", sentence, why
        )

    def _told(self, evidence: Evidence, standing: Standstill, wedge: Wedge) -> Finding:
        part, at = wedge.guide.second, math.degrees(standing.angle)
        further = standing.further or 0.0
        push = HELD_FAST
        if further > CONFIRM_ANGLE:
            push = f"a push three times as strong only gets {math.degrees(further):.0f} degrees further"
        sentence = f"{part} wedges in its guide when {standing.drive.shaft} has turned {at:.0f} degrees; {push}"
        return evidence.finding(
            "jam",
            part,
            standing.first,
            standing.last,
            at,
            "deg",
            sentence,
            self._why(evidence, wedge, standing),
        )

    def _why(self, evidence: Evidence, wedge: Wedge, standing: Standstill) -> str:
        track = evidence.track(wedge.guide.second, is_whole=True)
        length = track.part.guide.length  # type: ignore[attr-defined]
        edges = sum(force > BEARING * max(wedge.sides) for force in wedge.sides)
        why = f"It is pushed from beside, so it leans across its {length:g} mm of guide and bears on {'two opposite' if edges == 2 else edges} edges. "
        # the size of the squeeze is not told: between the edges it may be any, and only grows with the push
        why += f"Rubbing there at {wedge.guide.coefficient:.2g} takes {share(wedge.share, 1.0)} of the push"
        if wedge.load > 0:
            why += f", though all it has to move is {newtons(wedge.load)}"
        contact = track.contact
        if contact is not None and track.slide is not None:
            way = np.array(track.slide)
            along = float(np.clip(contact.direction[standing.last] @ way, -1, 1))
            away = float(
                min(
                    abs((contact.point[standing.last] - lip) @ way)
                    for lip in wedge.guide.lip_places
                )
            )
            why += f". {contact.first} pushes {math.degrees(math.acos(along)):.0f} degrees off the guide's line, {away:.0f} mm outside it"
        return why + "."

    def turns(self, finding: Finding) -> float:
        return turns_to(finding)

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        scene = evidence.motion.scene
        part = scene.parts[finding.part]
        guide = getattr(part, "guide", None)
        if guide is None:
            yield from _free(scene.parts, finding.part)
            return
        track = evidence.track(part.name, is_whole=True)
        longest, largest = LONGEST_GUIDE * guide.length, math.inf
        if track.contact is not None:
            longest, largest = self._room(evidence, finding.part)
        yield Candidate(
            f"{part.name}.guide.length", texts(guide.length, max(longest, guide.length), "length"),
            "a guide {text} mm long (now {now}) holds the stem upright", written(guide.length, "length"),
        )  # fmt: skip
        if track.contact is not None:
            cam = scene.parts[track.contact.first]
            base = getattr(cam, "base_radius", None)
            if base:
                yield Candidate(
                    f"{cam.name}.base radius", texts(base, min(largest, LARGEST_CAM * base), "length"),
                    "a base radius of {text} mm (now {now}) makes the slope gentler and the push straighter", written(base, "length"),
                )  # fmt: skip
        rub = guide.friction
        waxed = _slippery_pair(rub.text if rub is not None else "", evidence, finding.part)
        yield Candidate(
            f"{part.name}.guide.friction", waxed, "a slippery guide: {text} (now {now})", rub.text if rub is not None else "the table's dry pair",
        )  # fmt: skip

    @staticmethod
    def _room(evidence: Evidence, part: str) -> tuple[float, float]:
        """Longest guide (about its middle) and largest base radius that leave the roller clear of the guide at full lift. [mm]"""
        from animator.outlines import outline_in, tip_of

        scene = evidence.motion.scene
        stem = scene.parts[part]
        track = evidence.track(part, is_whole=True)
        contact = track.contact
        assert contact is not None
        assert track.slide is not None
        guide = track.guide
        if guide is None or not len(guide.lip_places):
            return LONGEST_GUIDE * stem.guide.length, math.inf  # type: ignore[attr-defined]
        way = np.array(track.slide)
        cam = scene.starts[contact.first]
        middle = float(guide.lip_places.mean(0) @ way)
        radius = tip_of(stem).radius
        base = float(getattr(scene.parts[contact.first], "base_radius", 0.0) or 0.0)
        reach = outline_in(scene, contact.first).curve.largest_radius
        top = float(np.array([cam.x, cam.y]) @ way) + reach + 2 * radius + CLEAR
        longest = 2 * (middle - top)
        room = middle - stem.guide.length / 2 - top  # type: ignore[attr-defined]
        return longest, base + max(room + CLEAR / 2, 0.0)


def _free(parts: Mapping[str, Part], wheel: str) -> Iterable[Candidate]:
    """Propose what frees a wheel that caught: a brake, so that it waits where it was pushed to; faces that slide off each other."""
    shaft = parts[turning_part(parts, wheel)]
    drag = getattr(shaft, "drag_torque", None)
    if drag is not None:
        now = drag or LEAST_BRAKE
        yield Candidate(
            f"{shaft.name}.drag torque", texts(now, MOST_BRAKE * now, "torque", "N mm"), "a brake of {text} (now {now}) keeps it where the last push left it",
            written(drag, "torque", "N mm"),
        )  # fmt: skip
    rub = getattr(parts[wheel], "friction", None)
    if hasattr(parts[wheel], "friction"):
        yield Candidate(
            f"{wheel}.friction", SLIPPERY, "slippery faces, {text} (now {now}), slide off each other",
            rub.text if rub is not None else "the table's dry pair",
        )  # fmt: skip


def _slippery_pair(said: str, evidence: Evidence, part: str) -> tuple[str, ...]:
    """Give what to write for a guide that rubs less: the pair waxed if it is said in words, else a measured range."""
    if " on " in said:
        bare = said.removeprefix("dry ").removeprefix("waxed ").removeprefix("oiled ")
        return (
            tuple(
                f"{state} {bare}" for state in ("waxed", "oiled") if not said.startswith(state)
            )
            + SLIPPERY
        )
    return SLIPPERY
