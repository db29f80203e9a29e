"""Which moments a storyboard shows: the stills that the scene's shots name, else the ones that tell most of the motion."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import find_loop, main_angle
from animator.pictures.lettering import sentence
from animator.pictures.moments import STUCK, WORDS, KeyMoment, key_moments, span_of, waits_of
from animator.pictures.readings import actors
from animator.pictures.shot_list import NotShown, time_of

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion

NEAR = 5.0  # degrees of the drive; a still so near a moment that tells something is told by its words
MANY = 24


def panel_moments(motion: Motion, report: Report | None = None) -> list[KeyMoment]:
    """Give the moments of a storyboard, in the order of the turn.

    A shot's first still bears the shot's caption; what else happens at a still is told as it would be without shots. A still that this
    run doesn't have (it jams before, nothing slips) is left out.
    """
    asked = [
        (shot.caption if not n else "", when)
        for shot in motion.scene.shots.values()
        for n, when in enumerate(shot.stills)
    ]
    if not asked:
        return key_moments(motion, report)
    start, stop = span_of(motion)
    goes_round = motion.end not in STUCK and not motion.slips and find_loop(motion).is_closed
    known = key_moments(motion, report, MANY)
    angle = np.degrees(np.maximum.accumulate(main_angle(motion)))
    first, last = (float(np.interp(t, motion.times, angle)) for t in (start, stop))
    moments: dict[float, KeyMoment] = {}
    for caption, when in asked:
        try:
            t = time_of(motion, when, report)
        except NotShown:
            continue
        turned = float(np.interp(t, motion.times, angle))
        if goes_round and last > first and not start - 1e-9 <= t <= stop + 1e-9:
            # where the drive stands so in the round that is shown
            turned = first + (turned - first) % (last - first)
            if last - turned < 0.5:
                turned = first  # the end of a round is its beginning
            t = float(np.interp(turned, angle, motion.times))
        near = min(known, key=lambda m: abs(m.angle_deg - turned), default=None)
        is_near = near is not None and abs(near.angle_deg - turned) <= NEAR
        words = near.caption if near is not None and is_near else ""
        words = sentence(caption) if caption else words
        kind, part = (near.kind, near.part) if near is not None and is_near else ("turned", "")
        key = round(t, 6)
        if key not in moments or caption:
            moments[key] = KeyMoment(t, turned, kind, part, words or _plainly(motion, t))
    if not moments:
        return key_moments(motion, report)
    return [moments[key] for key in sorted(moments)]


def _plainly(motion: Motion, t: float) -> str:
    """Say of a moment what the actor does then."""
    shown = [actor for actor in actors(motion) if actor.word in WORDS]
    if not shown:
        start, stop = span_of(motion)
        share = (t - start) / max(stop - start, 1e-9)
        return "The turn begins." if share <= 0.01 else f"{share:.0%} of the way."
    actor = shown[0]
    if any(wait.from_s <= t <= wait.to_s for wait in waits_of(motion)):
        return f"The {actor.part} waits."
    ahead, back, _, _ = WORDS[actor.word]
    step = 0.01 * (motion.times[-1] - motion.times[0])
    before, after = (
        float(np.interp(at, motion.times, actor.values)) for at in (t - step, t + step)
    )
    way = ahead if after > before else back
    return f"Here the {actor.part} {GOES[way]}."


GOES = {
    "rise": "rises",
    "fall": "comes down",
    "go right": "goes right",
    "go left": "goes left",
    "swing left": "swings left",
    "swing right": "swings right",
}
