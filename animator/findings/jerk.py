"""Jerk: something that should turn evenly and doesn't."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from animator.findings._contract import CHECKS, Candidate, Check, Evidence
from animator.findings._values import texts, written
from animator.findings.report import Finding
from animator.findings.thresholds import (
    JERK_SHOCK,
    JERK_STANDING,
    JERK_SWING,
    RUNNING_SHARE,
    SHOCK_TIME,
)
from animator.findings.track import Track, stretches
from animator.trains import turning_part

RPM = 2 * np.pi / 60
WIDEST = 4.0  # times the offset
RUN_UP = 0.3  # s in which a small motor has come to its speed
ROUNDEST = 1.2  # times the least reach that still makes a nose


@CHECKS.add("jerk")
class Jerk(Check):
    """Turning parts that go round, other than those a drive turns itself: their speed against its own mean."""

    code = "jerk"

    def find(self, evidence: Evidence) -> Iterable[Finding]:
        for name in evidence.motion.scene.parts:
            track = self._while_it_runs(evidence, name)
            if (
                name != track.root.name
                or not track.is_turning
                or track.is_swinging
                or self._is_turned_by_hand(track)
                or self._goes_by_steps(track)
            ):
                continue
            found = self._of(evidence, track)
            if found is not None:
                yield found

    @staticmethod
    def _while_it_runs(evidence: Evidence, name: str) -> Track:
        """See a part from the time on at which a switched drive has run up, until it is switched off: that it starts and stops is meant."""
        motion = evidence.motion
        drive = motion.drive
        if drive is None or bool((drive.due_speed[motion.begins :] > 0).all()):
            return evidence.track(name)
        first, last = max(
            stretches(drive.due_speed > 0), key=lambda ends: ends[1] - ends[0], default=(0, 0)
        )
        step = float(motion.times[1] - motion.times[0]) if len(motion.times) > 1 else RUN_UP
        return Track(motion, name, min(first + round(RUN_UP / step), last), last)

    @staticmethod
    def _is_turned_by_hand(track: Track) -> bool:
        return track.drive is not None and not track.is_spinning

    @staticmethod
    def _goes_by_steps(track: Track) -> bool:
        """Whether it is meant to stop and go: a ratchet or Geneva wheel is on it, or it is let go tooth by tooth."""
        parts = track.motion.scene.parts
        stepping = [name for name, part in parts.items() if hasattr(part, "step_angle")] + [
            led for part in parts.values() if (led := part.leads()) is not None
        ]
        return any(turning_part(parts, name) == track.name for name in stepping)

    def _of(self, evidence: Evidence, track: Track) -> Finding | None:
        speed = track.turning_speed
        mean = float(speed.mean()) if len(speed) else 0.0
        main = np.radians(track.turn_count * 360) / max(
            float(track.times[-1] - track.times[0]), 1e-9
        )
        if track.turn_count < 0.5 or mean <= RUNNING_SHARE * main:
            return None
        smooth = np.convolve(speed, np.ones(5) / 5, "valid") if len(speed) >= 5 else speed
        slow, fast = float(smooth.min()), float(smooth.max())
        swing = max(fast / mean - 1, 1 - slow / mean)
        standing = float(track.is_standing.mean())
        lag = max(1, round(SHOCK_TIME / float(track.times[1] - track.times[0])))
        change = np.abs(smooth[lag:] - smooth[:-lag]) if len(smooth) > lag else np.zeros(1)
        shock = float(change.max()) / fast
        if swing <= JERK_SWING and standing <= JERK_STANDING and shock <= JERK_SHOCK:
            return None
        slowest, fastest = (
            track.first + int(np.argmin(smooth)) + 2,
            track.first + int(np.argmax(smooth)) + 2,
        )
        if standing > JERK_STANDING:
            sentence = f"{track.name} goes by fits and starts: it stands for {100 * standing:.0f} % of the time"
            amount = 100 * standing
        elif swing > JERK_SWING:
            sentence = f"{track.name} turns unevenly: from {slow / mean:.2f} to {fast / mean:.2f} of its mean speed of {mean / RPM:.0f} rpm"
            amount = 100 * swing
        else:
            sentence = f"{track.name} turns with jolts: {100 * shock:.0f} % of its top speed within 5 ms"
            amount = 100 * shock
        at = evidence.degrees
        why = f"Slowest when the handle has turned {at[slowest] % 360:.0f} degrees, fastest at {at[fastest] % 360:.0f}"
        aside = track.channel("contact aside")
        if aside is not None:
            why += f"; the rim touches {abs(aside[slowest]):.1f} mm beside the middle of the cam there, and {abs(aside[fastest]):.1f} mm where it is fastest"
        return evidence.finding(
            "jerk", track.name, track.first, track.last, amount, "%", sentence, why + "."
        )

    def mends(self, evidence: Evidence, finding: Finding) -> Iterable[Candidate]:
        part: Any = evidence.motion.scene.parts[finding.part]
        offset = getattr(part, "offset", 0.0)
        follows = getattr(part, "follows", None)
        if follows is None:
            return
        cam: Any = evidence.motion.scene.parts[follows.part]
        if offset > 0:
            widest = min(WIDEST * offset, 0.45 * getattr(part, "diameter", np.inf))
            yield Candidate(
                f"{part.name}.offset", texts(offset, widest, "length"), "an offset of {text} mm (now {now}) turns it more slowly, but more evenly",
                written(offset, "length"),
            )  # fmt: skip
        egg = getattr(cam, "egg", None)
        if egg is not None:
            least = ROUNDEST * max(egg.radius - egg.nose_radius, 0.1)
            yield Candidate(
                f"{cam.name}.egg.reach", texts(egg.reach, min(least, egg.reach), "length"), "a rounder egg, its nose {text} mm out (now {now})",
                written(egg.reach, "length"),
            )  # fmt: skip
            yield Candidate(
                f"{cam.name}.egg.nose radius", texts(egg.nose_radius, 0.95 * egg.radius, "length"), "a blunter nose of {text} mm (now {now})",
                written(egg.nose_radius, "length"),
            )  # fmt: skip
