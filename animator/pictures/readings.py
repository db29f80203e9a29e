"""What the instruments of a page show: effort over the turn, who the actor is, what was got and what was due. From recorded arrays only."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from animator.motion.looping import main_angle
from animator.outlines import lift_of
from animator.parts._contract import Rides, Slides
from animator.pictures import roundabout

if TYPE_CHECKING:
    from animator.motion.motion import Motion
    from animator.parts._contract import Part

Series = NDArray[np.float64]
NEWTON = 1e6  # g mm/s^2
FELT = 5  # samples of 1 ms over which a hand feels a force
LEAST_SHOWN = {"mm": 4.0, "°": 5.0, "turns": 0.25}
"""The least way that fills a chart; what moves less is drawn as small as it is."""


def smooth(values: Series, width: int = FELT) -> Series:
    """Mean over a few samples, same length."""
    if len(values) < width:
        return np.asarray(values, float)
    padded = np.concatenate(
        [np.full(width // 2, values[0]), values, np.full(width - 1 - width // 2, values[-1])]
    )
    return np.convolve(padded, np.full(width, 1 / width), "valid")


@dataclass(frozen=True)
class Effort:
    """What the drive gives: ``values`` on the clock in ``unit`` (N at the knob, N mm at a motor), and the most it can give (None: no limit told)."""

    values: Series
    unit: str
    most: float | None


def effort(motion: Motion) -> Effort | None:
    """Read the effort of the first drive."""
    drive = motion.drive
    if drive is None:
        return None
    by = NEWTON * (drive.radius if drive.radius > 0 else 1.0)
    most = float(np.max(drive.ceiling)) / by if len(drive.ceiling) else None
    return Effort(smooth(drive.torque) / by, "N" if drive.radius > 0 else "N mm", most)


def over_turn(motion: Motion, values: Series, start: float, stop: float) -> Series:
    """Mean of a quantity at each degree of the drive's turn within a stretch of time, (361,); degrees never reached give 0."""
    angle = np.degrees(main_angle(motion))
    keep = (motion.times >= start) & (motion.times <= stop)
    bins = np.floor(angle[keep]).astype(int) % 360
    total, count = np.bincount(bins, values[keep], 360), np.bincount(bins, minlength=360)
    known = np.flatnonzero(count)
    out = np.zeros(361)
    if len(known):
        mean = total[known] / count[known]
        out[known] = mean
        gaps = np.flatnonzero(count == 0)
        near = np.array([np.min(np.abs(known - g)) for g in gaps]) if len(gaps) else np.zeros(0)
        out[gaps[near <= 4]] = np.interp(gaps[near <= 4], known, mean)
    out[360] = out[0]
    return out


@dataclass(frozen=True)
class Actor:
    """The part the piece is about, and the one movement of it that says most.

    ``values`` : (time_count,) on the clock, in ``unit`` (mm, or degrees); ``word``: height, way, swing, turn.
    """

    part: str
    word: str
    unit: str
    values: Series


def actors(motion: Motion) -> list[Actor]:
    """Movements of the figures, the largest first; of the other parts where no figure moves."""
    scene = motion.scene
    found = [
        (shown, size)
        for name, part in scene.parts.items()
        if part.artwork is not None and name in motion.frames
        for shown, size in [_movement(motion, name)]
        if size > 0.001
    ]
    if not found:
        driven = {
            part.name for part in scene.parts.values() if getattr(part, "is_drive", False)
        }
        # what turns with the drive tells no more than the drive
        turning = {
            frame[0]
            for name, frame in motion.frames.items()
            if name in driven and frame[0] >= 0
        }
        if motion.drive is not None and motion.drive.shaft in motion.frames:
            turning.add(motion.frames[motion.drive.shaft][0])
        driven |= {name for name, frame in motion.frames.items() if frame[0] in turning}
        found = [
            (shown, size)
            for name in motion.frames
            if name not in driven
            for shown, size in [_movement(motion, name)]
            if size > 0.02
        ]
    found.sort(key=lambda row: -row[1])
    round_about = roundabout.find(scene)
    riders = {name for name, _ in round_about.riders} if round_about is not None else set()
    shown = [actor for actor, _ in found if actor.part not in riders]
    if round_about is not None and round_about.wheel in motion.frames:
        # riders go round with their platform: it is what the eye follows
        shown.insert(0, _movement(motion, round_about.wheel)[0])
    return shown


def _movement(motion: Motion, name: str) -> tuple[Actor, float]:
    """Movement of one part that says most, and how much it is as a share of the piece's size (a turn: of a half turn)."""
    frame = motion.frame(name)
    b = motion.begins
    x, y, angle = frame[:, 0], frame[:, 1], np.degrees(frame[:, 2] - frame[0, 2])
    piece = max(motion.scene.frame.width, motion.scene.frame.height)
    swing = float(np.ptp(angle[b:]))
    spin = motion.channels.get(f"{name}.spin")
    if swing > 200:
        sense = 1.0 if angle[-1] >= 0 else -1.0
        size = 1.0 if spin is None else 0.5
        if swing > 800:
            return Actor(name, "turn", "turns", sense * (angle - angle[b]) / 360), size
        return Actor(name, "turn", "°", sense * angle), size
    ways = {"height": y, "way": x}
    held = _root(motion, name).held()
    if isinstance(held, Slides):
        # what slides in a guide has one way; its play sideways is no movement
        word = "height" if abs(math.sin(held.direction)) > 0.5 else "way"
        along = x * math.cos(held.direction) + y * math.sin(held.direction)
        sense = 1.0 if max(math.cos(held.direction), math.sin(held.direction)) > 0.5 else -1.0
        values, swing = sense * along, 0.0
    else:
        word, values = max(ways.items(), key=lambda row: float(np.ptp(row[1][b:])))
    if swing / 180 > float(np.ptp(values[b:])) / piece:
        return Actor(name, "swing", "°", angle - angle[b:].min()), swing / 90
    return Actor(name, word, "mm", values - values[b:].min()), float(
        np.ptp(values[b:])
    ) / piece * 2


def meant(motion: Motion, actor: Actor) -> float:
    """How far an actor is meant to go: as far as it went, as its cam lifts it, or a few millimetres, whichever is most. [unit of the actor]

    A chart scaled by it shows a piece that jams as low as it stayed.
    """
    most = max(float(np.ptp(actor.values[motion.begins :])), LEAST_SHOWN.get(actor.unit, 1.0))
    follows = getattr(_root(motion, actor.part), "follows", None)
    lift = lift_of(motion.scene.parts[follows.part]) if follows is not None else None
    if lift is None or actor.unit != "mm":
        return most
    heights = [lift.at(angle)[0] for angle in np.linspace(0.0, math.tau, 361).tolist()]
    return max(most, max(heights) - min(heights))


def _root(motion: Motion, name: str) -> Part:
    """Part that holds the body a part belongs to."""
    parts = motion.scene.parts
    part = parts[name]
    held = part.held()
    while isinstance(held, Rides) and held.on.part in parts:
        part = parts[held.on.part]
        held = part.held()
    return part


@dataclass(frozen=True)
class Count:
    """Turns got and due of what the drive ends in, on the clock. ``part`` is what turns."""

    part: str
    due: Series
    got: Series

    def lost_in_hundred(self, i: int = -1) -> float:
        """Turns lost of a hundred due, up to a sample."""
        return 100 * (1 - self.got[i] / self.due[i]) if self.due[i] > 1e-6 else 0.0


def spins(motion: Motion) -> Count | None:
    """Count how often the first figure that is turned about its own upright has spun, since the end of the start-up; None where none is."""
    b = motion.begins
    for part in motion.scene.parts.values():
        held = part.held()
        if part.artwork is None or not isinstance(held, Rides):
            continue
        channel = motion.channels.get(f"{held.on.part}.spin")
        if channel is not None:
            got = np.abs(channel.values - channel.values[b]) / (2 * math.pi)
            return Count(held.on.part, got, got)
    return None


def count(motion: Motion) -> Count:
    """Count turns got and due from the end of the start-up.

    Where a belt or chain drives something, of what it drives; else of the main shaft, whose due is what the drive is set to.
    """
    b = motion.begins
    if motion.slips:
        slip = list(motion.slips.values())[-1]
        sense = 1.0 if slip.due[-1] >= slip.due[0] else -1.0
        per = 2 * math.pi * slip.radii[1] * sense
        due, run = (slip.due - slip.due[b]) / per, (slip.got - slip.got[b]) / per
        angle = motion.frame(slip.driven)[:, 2]
        got = (angle - angle[b]) / (2 * math.pi)
        got = (
            got if abs(got[-1] - run[-1]) < abs(got[-1] + run[-1]) else -got
        )  # a crossed belt turns its wheel back
        # a chain's line is a polygon, a little shorter than the circle through its pins: the wheels count teeth, not millimetres
        if run[-1] > 0.2:
            due = due * (got[-1] / run[-1])
        return Count(slip.driven, due, got)
    drive = motion.drive
    got = main_angle(motion) / (2 * math.pi)
    if drive is None:
        return Count("", got, got)
    step = np.diff(motion.times, prepend=motion.times[0])
    due = np.cumsum(np.abs(drive.due_speed) * step) / (2 * math.pi)
    return Count(drive.shaft, due - due[b], got - got[b])
