"""Float: a follower that leaves its cam and comes down with a knock."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._values import texts, written
from animator.findings.report import Finding
from animator.findings.thresholds import FLOAT_GAP, FLOAT_TIME, ROCKING_SHARE
from animator.findings.track import carriers, stretches
from animator.motion.motion import Contact
from animator.units import parse

FIRMEST = 5.0  # times the preload
FIRST_PRELOAD = 0.1e6  # g mm/s^2; where there is no spring yet, begin with 0.1 N
SLOWEST = 3.0  # times as slow
LONGEST_STEP = 3.0  # times as long
EVENED = 5.0  # times as long
LOWEST = 4.0  # times less high
MOST_POSES = 24  # more are too many to write out


@CHECKS.add("float")
class Float(Check):
    """A gap where contact is meant to hold, larger than a rattle and than what rocking in the guide makes."""

    code = "float"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for contact in evidence.motion.contacts.values():
            if contact.is_meant:
                found = self._of(evidence, contact)
                if found is not None:
                    yield found

    @staticmethod
    def threshold(evidence: Evidence, contact: Contact) -> float:
        """Smallest gap that counts. [mm]"""
        track = evidence.track(contact.second)
        clearance = track.part.guide.clearance if track.guide is not None else 0.0  # type: ignore[attr-defined]
        return max(FLOAT_GAP, ROCKING_SHARE * clearance)

    def _of(self, evidence: Evidence, contact: Contact) -> Finding | None:
        track = evidence.track(contact.second)
        gap = contact.gap[track.span]
        if getattr(track.part, "rests", None) is not None:
            # on its collar it stands, it doesn't fly
            along = track.along()
            gap = np.where(along - along.min() > FLOAT_GAP, gap, 0.0)
        step = float(track.times[1] - track.times[0]) if len(track.times) > 1 else 0.0
        flights = [
            (first + track.first, last + track.first)
            for first, last in stretches(gap > self.threshold(evidence, contact))
            if (last - first + 1) * step > FLOAT_TIME + 1e-9
        ]
        if not flights:
            return None
        first, last = max(
            flights, key=lambda flight: float(contact.gap[flight[0] : flight[1] + 1].max())
        )
        largest = float(contact.gap[first : last + 1].max())
        # the flight itself is longer than the part of it above the threshold
        apart = [
            stretch
            for stretch in stretches(contact.gap > 0)
            if stretch[0] <= first <= stretch[1]
        ]
        first, last = apart[0] if apart else (first, last)
        first = max(first - 1, 0)
        landing = [
            speed
            for moment, speed in contact.hit
            if evidence.motion.times[first] < moment <= evidence.motion.times[last] + 0.02
        ]
        up, down = evidence.degrees[first] % 360, evidence.degrees[last] % 360
        time = 1e3 * float(evidence.motion.times[last] - evidence.motion.times[first])
        sentence = f"{contact.second} leaves {contact.first} at {up:.0f} degrees and is off it until {down:.0f}: {largest:.2f} mm for {time:.0f} ms"
        if landing:
            sentence += f", landing at {max(landing):.0f} mm/s"
        times = (
            round(len(flights) / max(track.turn_count, 1e-9)) if track.turn_count >= 1 else 0
        )
        if times > 1:
            sentence += f", {times} times a turn"
        fall = self._fall(evidence, contact, first, last)
        why = (
            f"In the air it falls with {fall:.1f} m/s2, all that its weight"
            if fall > 0
            else "Its weight"
        )
        why += (
            " and spring give" if getattr(track.part, "spring", None) is not None else " gives"
        ) + f"; {contact.first} falls away faster than that."
        return evidence.finding(
            "float", contact.second, first, last, largest, "mm", sentence, why
        )

    @staticmethod
    def _fall(evidence: Evidence, contact: Contact, first: int, last: int) -> float:
        """Acceleration in the air, from the recorded path. [m/s^2]"""
        track = evidence.track(contact.second, is_whole=True)
        if last - first < 6:
            return 0.0
        inside = slice(first + 1, last)
        t = evidence.motion.times[inside]
        return -2e-3 * float(np.polyfit(t - t[0], track.along()[inside], 2)[0])

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        scene = evidence.motion.scene
        part: Any = scene.parts[finding.part]
        yield from self._firmer_spring(part)
        yield from self._gentler_performance(evidence, finding)
        yield from self._longer_fall(evidence, finding)
        for drive in scene.parts.values():
            speed = getattr(drive, "speed", None)
            if drive.is_drive and speed is not None:
                low, high = (speed.low, speed.high) if hasattr(speed, "low") else (speed, speed)
                if low == high:
                    yield Candidate(
                        f"{drive.name}.speed", texts(high, high / SLOWEST, "turning speed"), "turned at {text} (now {now}) it stays on",
                        written(high, "turning speed"),
                    )  # fmt: skip
        for rider in scene.parts.values():
            if (
                rider.name != part.name
                and rider.mass
                and finding.part in carriers(scene, rider.name)
            ):
                yield Candidate(
                    f"{rider.name}.mass", texts(rider.mass, rider.mass / 5, "mass"), "{text} on top of it (now {now}) are pressed down fast enough",
                    written(rider.mass, "mass"),
                )  # fmt: skip

    @staticmethod
    def _firmer_spring(part: Any) -> Iterable[Candidate]:
        """Propose a firmer spring, or one where there is none: along a stem, or turning a lever."""
        spring = getattr(part, "spring", None)
        is_lever = getattr(part, "by", None) is not None
        word, sort, verb = (
            ("torque", "torque", "turns") if is_lever else ("preload", "force", "presses")
        )
        first = FIRST_PRELOAD * (part.arms[part.by][0] if is_lever else 1.0)
        now = getattr(spring, word, 0.0) or 0.0
        if now:
            yield Candidate(
                f"{part.name}.spring.{word}", texts(now, FIRMEST * now, sort),
                f"a spring that {verb} with {{text}} (now {{now}}) keeps it on the cam", written(now, sort),
            )  # fmt: skip
        elif "spring" in type(part).model_fields and spring is None:
            where = "at the pivot" if is_lever else "on the stem"
            yield Candidate(
                f"{part.name}.spring", tuple(f"{{{word}: {text}}}" for text in texts(first, 50 * first, sort)),
                f"a spring {where}, {{text}}, keeps it on the cam", "none",
            )  # fmt: skip

    @staticmethod
    def _gentler_performance(evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        """Propose a cam that asks for less: a sound evened out longer or lifting less, poses less high."""
        contact = evidence.motion.contacts[finding.part]
        cam: Any = evidence.motion.scene.parts[contact.first]
        sound = getattr(cam, "loudness", None)
        if sound is not None:
            most = min(EVENED * sound.smooth, (sound.ends - sound.from_) / 4)
            if most > sound.smooth:
                yield Candidate(
                    f"{cam.name}.loudness.smooth", texts(sound.smooth, most, "time"),
                    "a lift evened out over {text} (now {now}) is slow enough to follow", written(sound.smooth, "time"),
                )  # fmt: skip
            yield Candidate(
                f"{cam.name}.loudness.lift", texts(sound.lift, sound.lift / LOWEST, "length"),
                "a lift of {text} mm (now {now}) is slow enough to follow", written(sound.lift, "length"),
            )  # fmt: skip
        poses = evidence.motion.scene.written[cam.name].get("poses")
        if poses is not None and len(poses) <= MOST_POSES:
            tried = []
            for share in (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3):
                lower = ", ".join(
                    f"{moment}: {round(share * parse(str(lift), 'length'), 1):g}"
                    for moment, lift in poses.items()
                )
                tried.append(f"{{{lower}}}")
            yield Candidate(
                f"{cam.name}.poses", tuple(tried), "poses less high, {text}, can be followed at this speed",
                "{" + ", ".join(f"{moment}: {lift}" for moment, lift in poses.items()) + "}",
            )  # fmt: skip

    @staticmethod
    def _longer_fall(evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        """Propose a gentler step of the programme where it flies, if a rest can take up the angle."""
        contact = evidence.motion.contacts[finding.part]
        cam: Any = evidence.motion.scene.parts[contact.first]
        tree = evidence.motion.scene.written[cam.name].get("programme")
        if tree is None or not any(step.get("dwell") == "rest" for step in tree):
            return
        middle = np.radians((finding.from_deg + finding.to_deg) / 2) - cam.phase
        begins = 0.0
        for number, move in enumerate(cam.moves(), 1):
            if begins <= middle % (2 * np.pi) < begins + move.over and move.rise:
                way = "fall" if move.rise < 0 else "rise"
                yield Candidate(
                    f"{cam.name}.programme.{number}.over", texts(move.over, LONGEST_STEP * move.over, "angle"),
                    f"a {way} over {{text}} degrees (now {{now}}) is slow enough to follow", written(move.over, "angle"),
                )  # fmt: skip
            begins += move.over
