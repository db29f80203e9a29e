"""Which shots a motion is shown in, and when each of them is: the scene's own, else a list made from the motion.

Film and storyboard both ask here: ``shots_of`` gives the list, ``stretch_of`` the times of one shot on the recorded clock.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import find_loop, main_angle
from animator.pictures.pages.told import by_weight
from animator.places import Place
from animator.problems import RunError
from animator.scene.shots import HOLD, Event, Moment, Shot, When

if TYPE_CHECKING:
    from animator.findings.report import Finding, Report
    from animator.motion.motion import Motion

ENDS = ("jammed", "stalled")
LEAD = 1.6  # s of film shown before the moment of a finding, and after it
SEEN = 0.5  # s of film for which a finding is to be seen; a shorter one is slowed,
SLOWEST = 1 / 16  # but no more than this
PLAIN_LAG = math.radians(40)  # a wheel that lags by so much is seen to lag
NEARER = 2.6  # times the picture comes nearer to a finding where the scene doesn't say how shots are taken
WORDS = {
    "float": "Here it floats.",
    "slip": "Here it slips.",
    "jam": "Here it jams.",
    "stall": "Here it stalls.",
    "jerk": "Here it jerks.",
    "slack": "Here it hangs loose.",
    "buckle": "Here it buckles.",
    "strain": "Here it is strained too far.",
}


class NotShown(RunError):
    """A shot names a moment that this run doesn't have; the message says which, and what it has."""


@dataclass(frozen=True)
class Stretch:
    """A shot on the recorded clock.

    Attributes
    ----------
    shot
        What the scene says of it.
    start, stop
        First and last moment; the same where it shows one moment only. [s]
    freeze
        Moment at which the picture stands on the way, or None. [s]
    hold
        For how long it stands there, or at its one moment. [s of film]
    finding
        The finding that the shot names, or None.
    stills
        Moments for the storyboard, in order: those the shot names, else its freeze, else its start and end. [s]
    """

    shot: Shot
    start: float
    stop: float
    freeze: float | None
    hold: float
    finding: Finding | None
    stills: tuple[float, ...]

    @property
    def caption(self) -> str:
        """Words beneath it; '' for none."""
        return self.shot.caption

    @property
    def is_moment(self) -> bool:
        """It shows one moment only."""
        return self.stop <= self.start


# ---------------------------------------------------------------- moments
def time_of(
    motion: Motion, when: When, report: Report | None = None, at_plainest: bool = False
) -> float:
    """Time of a moment that a scene names. [s]

    By the clock, by the main shaft's turning, or by what happens: then the moment at which it begins, or (``at_plainest``, for one picture)
    at which it is seen most plainly.

    Raises
    ------
    NotShown
        The run shows nothing of the kind.
    """
    if isinstance(when, Event):
        return _event_time(motion, when, report, at_plainest)
    if when.time is not None:
        return min(when.time, float(motion.times[-1]))
    return _turned_to(motion, when.angle or 0.0)


def _turned_to(motion: Motion, turned: float) -> float:
    angle = np.maximum.accumulate(main_angle(motion))
    i = int(np.searchsorted(angle, turned - 1e-9))
    if i == 0 or i >= len(angle):
        return float(motion.times[min(i, len(angle) - 1)])
    low, high = angle[i - 1], angle[i]
    share = (turned - low) / (high - low) if high > low else 0.0
    return float(motion.times[i - 1] + share * (motion.times[i] - motion.times[i - 1]))


def _event_time(
    motion: Motion, event: Event, report: Report | None, at_plainest: bool = False
) -> float:
    if event.mark:
        t = _mark_time(motion, event)
    else:
        found = found_of(motion, event, report)
        is_there = at_plainest and event.offset is None
        t = plainest(motion, found) if is_there else found.from_s
    first, last = float(motion.times[0]), float(motion.times[-1])
    if event.offset is not None:
        sense = -1 if event.is_before else 1
        if event.offset.time is not None:
            t += sense * event.offset.time
        else:
            angle = np.maximum.accumulate(main_angle(motion))
            here = float(np.interp(t, motion.times, angle))
            t = _turned_to(motion, here + sense * (event.offset.angle or 0.0))
    return min(max(t, first), last)


def _mark_time(motion: Motion, event: Event) -> float:
    sound = motion.scene.sound
    assert sound is not None  # the scene was checked for it
    starts = 0.0 if sound.starts is None else time_of(motion, sound.starts)
    return starts + float(sound.marks[event.mark])


def found_of(motion: Motion, event: Event, report: Report | None) -> Finding:
    """Give the finding that an event names.

    Raises
    ------
    NotShown
        The run shows no such finding.
    """
    there = here(report)
    fitting = [f for f in there if f.code == event.code and event.part in ("", f.part)]
    if not fitting:
        of = f" of {event.part}" if event.part else ""
        told = list(dict.fromkeys(f"{f.code} of {f.part}" for f in there if f.code != "seam"))
        shows = f"; it shows {' and '.join(told)}" if told else ""
        place = event.place
        at = f"{place.file}:{place.line}:{place.column}: " if place is not None else ""
        name = f", variant {motion.scene.variant}" if motion.scene.variant else ""
        raise NotShown(f"{at}'{event.text}': this run{name} shows no {event.code}{of}{shows}")
    return sorted(fitting, key=lambda f: f.from_s)[-1 if event.is_last else 0]


def here(report: Report | None) -> list[Finding]:
    """Give the findings of the run that is drawn: those at middling friction."""
    if report is None:
        return []
    return [f for f in report.findings if f.at in ("", "middle", "all")] or list(
        report.findings
    )


def plainest(motion: Motion, finding: Finding) -> float:
    """Moment within a finding at which it is seen most plainly. [s]

    The widest gap; the moment at which a wheel lags so far that nobody doubts it; else its beginning.
    """
    times = motion.times
    first = int(np.searchsorted(times, finding.from_s - 1e-9))
    last = max(first, min(int(np.searchsorted(times, finding.to_s)), len(times) - 1))
    if finding.code == "float":
        for contact in motion.contacts.values():
            if contact.is_meant and finding.part in (contact.first, contact.second):
                return float(times[first + int(np.argmax(contact.gap[first : last + 1]))])
    slip = motion.slips.get(finding.part)
    if finding.code == "slip" and slip is not None:
        lag = np.abs(slip.due - slip.got - (slip.due - slip.got)[motion.begins]) / slip.radii[1]
        plain = np.flatnonzero(lag[first : last + 1] >= PLAIN_LAG)
        return float(times[first + int(plain[0])]) if len(plain) else float(times[last])
    return float(times[min(first, len(times) - 1)])


# ---------------------------------------------------------------- shots on the clock
def stretch_of(motion: Motion, report: Report | None, shot: Shot) -> Stretch:
    """Put a shot on the recorded clock.

    Raises
    ------
    NotShown
        It names a finding that the run doesn't show, or its moments come in the wrong order there.
    """

    def at(when: When) -> float:
        if isinstance(when, Event):
            return _event_time(motion, when, report, True)
        return time_of(motion, when)

    named = next(
        (w for w in (shot.freeze, shot.start, shot.end) if isinstance(w, Event) and w.code),
        None,
    )
    finding = None if named is None else found_of(motion, named, report)
    stills = tuple(sorted(at(when) for when in shot.stills))
    if shot.end is None:
        start = at(shot.start)
        return Stretch(shot, start, start, None, shot.hold, finding, stills or (start,))
    start, stop = (time_of(motion, when, report) for when in (shot.start, shot.end))
    freeze = None if shot.freeze is None else at(shot.freeze)
    for a, b, words in (
        (start, stop, "ends before it begins"),
        (start, freeze, "freezes before it begins"),
        (freeze, stop, "ends before it freezes"),
    ):
        if a is not None and b is not None and b < a - 1e-9:
            raise NotShown(
                f"{_place(shot)}shot '{shot.name}' {words}: in this run that is {a:.2f} s and {b:.2f} s"
            )
    # a stretch that the run never comes to stands at its end
    stop = max(stop, min(start + 1e-3, float(motion.times[-1])))
    if stop <= start:
        return Stretch(shot, stop, stop, None, shot.hold or HOLD, finding, stills or (stop,))
    if not stills:
        stills = (freeze,) if freeze is not None else (start, stop)
    return Stretch(shot, start, stop, freeze, shot.hold, finding, stills)


def _place(shot: Shot) -> str:
    at = shot.place
    return f"{at.file}:{at.line}:{at.column}: " if at.line else ""


def shots_of(motion: Motion, report: Report | None = None) -> list[Shot]:
    """Give the scene's own shots in their order; else a list made from the motion."""
    return list(motion.scene.shots.values()) or default_shots(motion, report)


def stretches_of(
    motion: Motion, report: Report | None, shots: Iterable[Shot]
) -> tuple[list[Stretch], list[str]]:
    """Put several shots on the clock; those that name what this run doesn't show are left out, each with a sentence.

    Raises
    ------
    NotShown
        None of them is left.
    """
    made, left_out = [], []
    for shot in shots:
        try:
            made.append(stretch_of(motion, report, shot))
        except NotShown as trouble:
            left_out.append(f"shot '{shot.name}' is left out: {trouble}")
    if not made:
        raise NotShown("; ".join(left_out) or "there is nothing to show: no shots")
    return made, left_out


# ---------------------------------------------------------------- shots made from the motion
def default_shots(motion: Motion, report: Report | None = None) -> list[Shot]:
    """Make a list of shots from the motion: the whole of it, then the gravest finding slowed, closer, and held."""
    place = Place(motion.scene.file, 0, 0)
    ends = motion.end in ENDS
    loop = find_loop(motion)
    start, stop = loop.start_s, loop.start_s + loop.period_s

    def made(name: str, first: float, last: float, **more: object) -> Shot:
        shot = Shot(
            name, _clock(first), _clock(last), 0.0, 1.0, "front", "client", (), (), "", place
        )
        return _with(shot, **more)

    grave = [f for f in by_weight(here(report)) if f.code in WORDS]
    whole = made("whole run" if ends else "whole turn", start, stop)
    if not grave:
        return [whole]
    worst = found_first(report, grave[0])
    words = WORDS[worst.code]
    if ends and worst.code in ("jam", "stall"):
        first = max(start, worst.from_s - LEAD / 2)
        close = made(worst.code, first, stop, speed=0.5)
        return [whole, _with(close, look="bench", on=parts_of(motion, worst), caption=words)]
    at = plainest(motion, worst)
    lasts = max(worst.to_s - worst.from_s, 1e-3)
    speed = 1.0 if worst.code in ("slip", "slack") else 0.5
    while lasts / speed < SEEN and speed > SLOWEST:
        speed /= 2
    first = max(float(motion.times[0]), at - LEAD * speed)
    last = min(float(motion.times[-1]), at + LEAD * speed)
    return [
        whole,
        made(
            worst.code,
            first,
            last,
            look="bench",
            speed=speed,
            freeze=Event(
                worst.code, part=worst.part, text=f"first {worst.code} of {worst.part}"
            ),
            hold=HOLD,
            closer=NEARER,
            caption=words,
        ),
    ]


def found_first(report: Report | None, like: Finding) -> Finding:
    """Give the first finding of the same sort and part."""
    same = [f for f in here(report) if (f.code, f.part) == (like.code, like.part)]
    return min(same, key=lambda f: f.from_s)


def parts_of(motion: Motion, finding: Finding) -> tuple[str, ...]:
    """Parts at which a finding is seen: its own, and what it touches or drives."""
    names = [finding.part]
    for contact in motion.contacts.values():
        if finding.part in (contact.first, contact.second):
            names += [contact.first, contact.second]
    slip = motion.slips.get(finding.part)
    if slip is not None:
        names += [slip.driver, slip.driven]
    if finding.code == "stall" and motion.drive is not None:
        names.append(motion.drive.name)
    return tuple(name for name in dict.fromkeys(names) if name in motion.scene.parts)


def _clock(t: float) -> Moment:
    return Moment(None, t, f"{t:.3f} s")


def _with(shot: Shot, **more: object) -> Shot:
    return replace(shot, **more)  # type: ignore[arg-type]
