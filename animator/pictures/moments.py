"""Moments worth a picture, chosen from the motion itself: where the actor turns back, where a wait begins and ends, where something is found.

Nothing is read from the scene's programme: move a dwell in the scene and its moment follows because the motion does.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import find_loop, main_angle
from animator.parts._contract import Rides
from animator.pictures import roundabout
from animator.pictures.lettering import sentence
from animator.pictures.readings import Actor, Series, actors, count, effort, meant, smooth

if TYPE_CHECKING:
    from animator.findings.report import Finding, Report
    from animator.motion.motion import Motion

MOST = 6  # panels on a sheet
STILL = 0.015  # of the actor's greatest speed; slower is a wait
STUCK = ("jammed", "stalled")
WAIT = 12.0  # degrees of the drive; a shorter stand is a turning point
APART = 9.0  # degrees of the drive; nearer moments are one


@dataclass(frozen=True)
class KeyMoment:
    """One moment: time [s], the main shaft's angle since the start [degrees], what it is, whose, and a caption in words.

    ``kind``: ``start``, ``lowest``, ``highest``, ``wait begins``, ``wait ends``, ``on the way``, ``turned``, or the code of a finding with
    ``begins`` or ``ends``.
    """

    t: float
    angle_deg: float
    kind: str
    part: str
    caption: str


@dataclass(frozen=True)
class _Candidate:
    i: int
    kind: str
    part: str
    caption: str
    weight: float


def span_of(motion: Motion) -> tuple[float, float]:
    """Stretch of a motion that a sheet shows: one round; a piece that stops: all of it. Start and end. [s]"""
    if motion.end in ("jammed", "stalled"):
        return float(motion.times[0]), float(motion.times[-1])
    if motion.slips:
        return float(motion.times[motion.begins]), float(motion.times[-1])
    loop = find_loop(motion)
    start = loop.start_s
    # any start of a loop that closes is as good: begin where the handle stands as it did at first, if the run is long enough
    angle = np.maximum.accumulate(main_angle(motion))
    whole = math.ceil(float(np.interp(start, motion.times, angle)) / math.tau - 1e-6) * math.tau
    if loop.is_closed and angle[-1] >= whole:
        later = float(np.interp(whole, angle, motion.times))
        if later + loop.period_s <= float(motion.times[-1]) + 1e-6:
            start = later
    return start, min(start + loop.period_s, float(motion.times[-1]))


def key_moments(
    motion: Motion, report: Report | None = None, most: int = MOST
) -> list[KeyMoment]:
    """Choose the moments of a motion to show, in order.

    Parameters
    ----------
    motion
        What was recorded.
    report
        What was found; its findings become moments.
    most
        Most moments.
    """
    start, stop = span_of(motion)
    first, last = (int(np.searchsorted(motion.times, t - 1e-9)) for t in (start, stop))
    last = min(last, len(motion.times) - 1)
    angle = np.degrees(main_angle(motion))
    candidates: list[_Candidate] = []
    if report is not None:
        candidates += _found(
            motion,
            [f for f in report.findings if f.at in ("middle", "all")] or list(report.findings),
            first,
            last,
        )
    if motion.slips:
        candidates += _counted(motion, first, last)
    else:
        shown = [actor for actor in actors(motion) if actor.word != "turn"][:2]
        for n, actor in enumerate(shown):
            if n == 0 or not _moves_alike(shown[0], actor, first, last):
                candidates += _turning_points(motion, actor, first, last, 1.0 - 0.4 * n)
    if motion.end not in ("jammed", "stalled") and not motion.slips:
        candidates += _hardest(motion, first, last)
    if motion.end in ("jammed", "stalled"):
        candidates += _before_the_end(motion, first, last)
    candidates += _spun(motion, first, last)
    if len(candidates) < 3 and motion.end not in ("jammed", "stalled"):
        candidates += _quarters(motion, angle, first, last)
    chosen: list[_Candidate] = []
    goes_round = motion.end not in ("jammed", "stalled") and not motion.slips
    period = float(angle[last] - angle[first]) if goes_round else math.inf
    for candidate in sorted(candidates, key=lambda c: (-c.weight, c.i)):
        if all(_apart(angle[candidate.i] - angle[other.i], period) > APART for other in chosen):
            chosen.append(candidate)
        if len(chosen) == most:
            break
    chosen.sort(key=lambda c: c.i)
    return [
        KeyMoment(float(motion.times[c.i]), float(angle[c.i]), c.kind, c.part, c.caption)
        for c in chosen
    ]


def _apart(degrees: float, period: float) -> float:
    """How far two moments of a round are apart; its end is its beginning. [degrees]"""
    return (
        abs(math.remainder(degrees, period))
        if math.isfinite(period) and period > 0
        else abs(degrees)
    )


def _moves_alike(a: Actor, b: Actor, first: int, last: int) -> bool:
    """True if two movements say the same."""
    x, y = a.values[first : last + 1], b.values[first : last + 1]
    if np.ptp(x) < 1e-9 or np.ptp(y) < 1e-9:
        return True
    return abs(float(np.corrcoef(x, y)[0, 1])) > 0.95


# ---------------------------------------------------------------- what was found
def _found(motion: Motion, findings: list[Finding], first: int, last: int) -> list[_Candidate]:
    out = []
    period = motion.times[last] - motion.times[first]
    for f in findings:
        if f.code == "seam" or (f.code == "slip" and motion.slips):
            continue
        begin, end = (f.from_s, f.to_s)
        if begin < motion.times[first] - 1e-6 or begin > motion.times[last]:
            # the same thing in another round: bring it into the one shown
            shift = (
                math.floor((begin - motion.times[first]) / period) * period
                if period > 0
                else 0.0
            )
            begin, end = begin - shift, end - shift
        i = min(max(int(np.searchsorted(motion.times, begin)), first), last)
        j = min(max(int(np.searchsorted(motion.times, end)), first), last)
        caption = _shortened(sentence(f.sentence))
        out.append(_Candidate(i, f"{f.code} begins", f.part, caption, 5.0))
        after = {
            "float": f"The {f.part} lands again.",
            "slack": f"The {f.part} is taut again.",
            "buckle": f"The {f.part} is straight again.",
            "strain": f"The {f.part} is let go again.",
        }.get(f.code)
        if after and j > i + 5:
            out.append(_Candidate(j, f"{f.code} ends", f.part, after, 4.0))
    return out


def _shortened(sentence: str, most: int = 96) -> str:
    """Cut a long sentence where it pauses."""
    if len(sentence) <= most:
        return sentence
    for pause in (": ", "; ", ", "):
        head = sentence[:most].rpartition(pause)[0]
        if len(head) > 30:
            return head + "."
    return sentence[: most - 2].rpartition(" ")[0] + " …"


def _counted(motion: Motion, first: int, last: int) -> list[_Candidate]:
    """Moments of a drive that may slip: the start, and after whole turns of what is due, growing."""
    tally = count(motion)
    lag = tally.due - tally.got
    name = _carrier(motion, tally.part)
    drive = motion.drive
    driver = (
        "Handle"
        if drive is None or drive.radius > 0
        else drive.name[:1].upper() + drive.name[1:]
    )
    out = [_Candidate(first, "start", name, f"{driver} and {name} start together.", 3.0)]
    whole = int(tally.due[last] + 0.02)
    names = (
        "one turn is",
        "two turns are",
        "three turns are",
        "four turns are",
        "five turns are",
    )
    wanted = sorted({1, 2, 3, whole} if whole <= 4 else {1, 2, round(whole / 2), whole})
    for turns in (0.25, *wanted) if whole else (0.1,):
        i = int(np.searchsorted(tally.due, turns - 1e-4))
        if not first < i <= last:
            continue
        due = (
            "a quarter of a turn is"
            if turns < 1
            else names[int(turns) - 1]
            if int(turns) <= len(names)
            else f"{turns:g} turns are"
        )
        lost = 360 * lag[i]
        if tally.got[i] < 0.02:
            caption = f"{due.capitalize()} due; the {name} stands still."
        elif lost < 2:
            caption = f"{due.capitalize()} due and all got: in step."
        else:
            caption = f"{due.capitalize()} due; the {name} lags {lost:.0f}° behind."
        out.append(_Candidate(i, "turned", name, caption, 2.0 + (turns >= 1) * 0.5))
    return out


def _carrier(motion: Motion, part: str) -> str:
    """Name of what a driven wheel turns and the eye follows: the platform on its shaft, if there is one."""
    found = roundabout.find(motion.scene)
    if found is not None and motion.frames[found.wheel][0] == motion.frames[part][0]:
        return found.wheel
    return part


def _before_the_end(motion: Motion, first: int, last: int) -> list[_Candidate]:
    """For a piece that stops: how it went half way there."""
    angle = np.degrees(main_angle(motion))
    i = first + int(
        np.searchsorted(
            angle[first : last + 1], angle[first] + 0.5 * (angle[last] - angle[first])
        )
    )
    given = effort(motion)
    if given is None or not first < i < last:
        return []
    value = float(given.values[i])
    where = "handle" if given.unit == "N" else "motor"
    # what is a hundredth of the end's effort isn't felt at all
    felt = 0.01 * float(np.abs(given.values[first : last + 1]).max())
    how = (
        f"turns freely, hardly any effort at the {where}"
        if abs(value) < max(felt, 0.05)
        else f"goes: {abs(value):.1f} {given.unit} at the {where}"
    )
    name = motion.drive.name if motion.drive else ""
    return [
        _Candidate(first, "start", name, "The turn begins.", 1.4),
        _Candidate(
            i,
            "on the way",
            name,
            f"At {angle[i]:.0f}° it still {how}.",
            1.5,
        ),
    ]


def _spun(motion: Motion, first: int, last: int) -> list[_Candidate]:
    """Where a figure that turns about its own upright has come half round, and once round."""
    out: list[_Candidate] = []
    for name, part in motion.scene.parts.items():
        held = part.held()
        channel = (
            motion.channels.get(f"{held.on.part}.spin")
            if isinstance(held, Rides) and part.artwork is not None
            else None
        )
        if channel is None:
            continue
        spin = np.abs(channel.values - channel.values[first]) / math.tau
        spin[:first] = 0.0
        for n, turns in enumerate((0.5, 1.0, 1.5, 2.0)):
            i = int(np.searchsorted(np.maximum.accumulate(spin), turns))
            if first < i < last and spin[last] >= turns:
                said = (
                    "half round",
                    "once round",
                    "one and a half times round",
                    "twice round",
                )[n]
                out.append(
                    _Candidate(
                        i,
                        "turned",
                        name,
                        f"The {name} has spun {said}.",
                        1.9 if turns == 1.0 else 0.95 - 0.05 * n,
                    )
                )
    return out


def _hardest(motion: Motion, first: int, last: int) -> list[_Candidate]:
    """Where the drive must give most, and where the piece gives most back."""
    given = effort(motion)
    if given is None or motion.drive is None:
        return []
    values = given.values[first : last + 1]
    peak, dip = int(values.argmax()) + first, int(values.argmin()) + first
    hand = given.unit == "N"
    out = []
    if given.values[peak] > 0.05:
        words = (
            f"Here the hand must push most: {given.values[peak]:.1f} N."
            if hand
            else f"Here the motor must give most: {given.values[peak]:.0f} N mm."
        )
        out.append(_Candidate(peak, "hardest", motion.drive.name, words, 0.9))
    if given.values[dip] < -max(0.05, 0.2 * abs(float(given.values[peak]))):
        words = (
            f"Here the piece pulls the handle on: {-given.values[dip]:.1f} N."
            if hand
            else f"Here the piece drives the motor: {-given.values[dip]:.0f} N mm."
        )
        out.append(_Candidate(dip, "pulls", motion.drive.name, words, 0.8))
    return out


# ---------------------------------------------------------------- what the actor does
WORDS = {
    "height": ("rise", "fall", "lowest", "top"),
    "way": ("go right", "go left", "left end", "right end"),
    "swing": ("swing left", "swing right", "right end", "left end"),
}
"""How a movement is told: growing, shrinking, its least and its greatest. A figure that stands up from its pivot and turns anticlockwise leans left."""


@dataclass(frozen=True)
class Wait:
    """A stretch in which the actor stands still while the drive goes on: from, to [s], and how far the drive turns meanwhile [degrees]."""

    from_s: float
    to_s: float
    degrees: float


def waits_of(motion: Motion) -> list[Wait]:
    """Waits of the first actor in the stretch a sheet shows.

    A wait that goes on over the join of a loop is told once, at its longer end, with all its degrees.
    """
    shown = [actor for actor in actors(motion) if actor.word != "turn"]
    if not shown or motion.slips:
        return []
    start, stop = span_of(motion)
    first, last = (int(np.searchsorted(motion.times, t - 1e-9)) for t in (start, stop))
    last = min(last, len(motion.times) - 1)
    _, stretches = _stretches(motion, shown[0], first, last)
    angle = np.degrees(main_angle(motion))
    waits = [
        Wait(
            float(motion.times[a]),
            float(motion.times[min(b, last)]),
            float(angle[min(b, last)] - angle[a]),
        )
        for a, b, still in stretches
        if still
    ]
    goes_round = motion.end not in STUCK and find_loop(motion).is_closed
    if goes_round and len(stretches) > 2 and stretches[0][2] and stretches[-1][2]:
        head, tail = waits[0], waits[-1]
        whole = head.degrees + tail.degrees
        longer = head if head.degrees >= tail.degrees else tail
        middle = [wait for wait in waits if wait not in (head, tail)]
        waits = sorted(
            [*middle, Wait(longer.from_s, longer.to_s, whole)], key=lambda wait: wait.from_s
        )
    return [wait for wait in waits if wait.degrees >= WAIT]


def _stretches(
    motion: Motion, actor: Actor, first: int, last: int
) -> tuple[Series, list[tuple[int, int, bool]]]:
    """Speed of an actor, and the stretches in which it moves or stands: (from, to, it stands); none if it hardly stirs."""
    values = np.asarray(actor.values, float)
    moved = float(np.ptp(values[first : last + 1]))
    if last - first < 20 or moved < (0.5 if actor.unit == "mm" else 1.0):
        return np.zeros(0), []
    if motion.end in STUCK and moved < 0.25 * meant(motion, actor):
        return np.zeros(
            0
        ), []  # what hardly stirred before the piece stopped neither waits nor turns back
    step = motion.times[1] - motion.times[0]
    speed = np.gradient(smooth(values, 9), step)
    peak = float(np.abs(speed[first : last + 1]).max())
    # a sudden fall must not make a slow rise a wait
    even = 2 * moved / max(float(motion.times[last] - motion.times[first]), 1e-9)
    is_still = np.abs(speed) < min(STILL * peak, 0.05 * even)
    edges = np.flatnonzero(np.diff(is_still[first : last + 1].astype(int))) + first
    bounds = [first, *(edges + 1).tolist(), last + 1]
    return speed, [(a, b, bool(is_still[a])) for a, b in itertools.pairwise(bounds) if b > a]


def _turning_points(
    motion: Motion, actor: Actor, first: int, last: int, weight: float
) -> list[_Candidate]:
    """Where the actor turns back, and where its waits begin and end."""
    values = np.asarray(actor.values, float)
    moved = float(np.ptp(values[first : last + 1]))
    speed, stretches = _stretches(motion, actor, first, last)
    if not stretches:
        return []
    angle = np.degrees(main_angle(motion))
    span = moved
    ahead, back, low, high = WORDS[actor.word]
    name = actor.part
    middle = float(values[first : last + 1].min()) + span / 2
    out: list[_Candidate] = []
    for n, (a, b, still) in enumerate(stretches):
        here = float(values[(a + b) // 2])
        is_high = here > middle
        where = high if is_high else low
        if still:
            turned = angle[min(b, last)] - angle[a]
            if turned < WAIT:
                if 0 < n < len(stretches) - 1 and (speed[a - 1] > 0) != (
                    speed[min(b, last)] > 0
                ):
                    i = (
                        int(
                            np.argmax(values[a:b])
                            if speed[a - 1] > 0
                            else np.argmin(values[a:b])
                        )
                        + a
                    )
                    out.append(
                        _Candidate(
                            i,
                            "highest" if is_high else "lowest",
                            name,
                            _turns_back(name, actor.word, is_high),
                            2.0 * weight,
                        )
                    )
                continue
            waits = float(motion.times[min(b, last)] - motion.times[a])
            spins = _is_spun(motion, name, a, min(b, last))
            if n > 0:
                out.append(
                    _Candidate(
                        a,
                        "wait begins",
                        name,
                        f"The {name} has come to its {where}, and {'spins on' if spins else 'waits'} {_seconds(waits)}.",
                        2.4 * weight,
                    )
                )
            if n < len(stretches) - 1:
                way = ahead if speed[min(b + 3, last)] > 0 else back
                out.append(
                    _Candidate(
                        b - 1,
                        "wait ends",
                        name,
                        f"{'Spinning on,' if spins else 'The wait is over:'} the {name} begins to {way}.",
                        2.2 * weight,
                    )
                )
            if n == 0:
                out.append(
                    _Candidate(a, "start", name, f"The {name} at its {where}.", 1.6 * weight)
                )
        else:
            # a reversal without any stand shows as a change of sign inside a moving stretch
            part = speed[a:b]
            for flip in np.flatnonzero(np.diff(np.signbit(part).astype(int))).tolist():
                i = a + flip
                is_top = bool(values[i] > middle)
                out.append(
                    _Candidate(
                        i,
                        "highest" if is_top else "lowest",
                        name,
                        _turns_back(name, actor.word, is_top),
                        2.0 * weight,
                    )
                )
            if b - a > 10:
                i = a + int(np.argmax(np.abs(part)))
                rising = speed[i] > 0
                verb = {
                    "height": ("on its way up", "on its way down"),
                    "way": ("on its way right", "on its way left"),
                    "swing": ("swinging left", "swinging right"),
                }[actor.word]
                out.append(
                    _Candidate(
                        i,
                        "on the way",
                        name,
                        f"The {name} {verb[0] if rising else verb[1]}, at its fastest.",
                        1.0 * weight,
                    )
                )
    if not any(c.i - first < 8 for c in out):
        out.append(
            _Candidate(
                first,
                "start",
                name,
                f"The turn begins; the {name} {_standing(values[first], middle, span, actor.word)}.",
                1.2 * weight,
            )
        )
    return out


def _is_spun(motion: Motion, name: str, a: int, b: int) -> bool:
    """True if a figure is turned about its own upright meanwhile."""
    held = motion.scene.parts[name].held()
    channel = motion.channels.get(f"{held.on.part}.spin") if isinstance(held, Rides) else None
    return channel is not None and abs(float(channel.values[b] - channel.values[a])) > 0.3


def _turns_back(name: str, word: str, is_high: bool) -> str:
    if word == "height":
        return (
            f"The {name} at its top, and down again."
            if is_high
            else f"The {name} at its lowest, and up again."
        )
    if word == "way":
        return (
            f"The {name} farthest right, and back."
            if is_high
            else f"The {name} farthest left, and back."
        )
    return (
        f"The {name} leans farthest left, and turns back."
        if is_high
        else f"The {name} leans farthest right, and turns back."
    )


def _standing(value: float, middle: float, span: float, word: str) -> str:
    share = (value - middle) / span
    if word == "height":
        return (
            "stands low" if share < -0.3 else "stands high" if share > 0.3 else "is half way up"
        )
    if word == "way":
        return (
            "is at the left"
            if share < -0.3
            else "is at the right"
            if share > 0.3
            else "is half way"
        )
    return "leans right" if share < -0.3 else "leans left" if share > 0.3 else "is upright"


def _seconds(seconds: float) -> str:
    if seconds < 0.35:
        return "a moment"
    return "half a second" if abs(seconds - 0.5) < 0.1 else f"{seconds:.1f} seconds"


def _quarters(motion: Motion, angle: Series, first: int, last: int) -> list[_Candidate]:
    """Evenly over the stretch, where nothing else tells one moment from another."""
    out = []
    shown = actors(motion)
    name = (
        shown[0].part
        if shown
        else (motion.drive.shaft if motion.drive is not None else "piece")
    )
    for n in range(4):
        i = first + round((last - first) * n / 4)
        turned = angle[i] - angle[first]
        out.append(
            _Candidate(
                i,
                "turned" if n else "start",
                name,
                f"The {name} after {turned:.0f}° of the drive."
                if n
                else f"The {name} as the turn begins.",
                1.0,
            )
        )
    return out
