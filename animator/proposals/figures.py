"""The numbers that matter before a piece is ordered: how large it is, how long a turn takes, what the hand feels, how far things go."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import find_loop, main_angle
from animator.pictures.drawing import Drawing
from animator.pictures.pages.words import seconds_of, turn_seconds
from animator.pictures.readings import actors, count, effort, meant, spins
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.examining import Checked
    from animator.motion.motion import Motion

NEWTON_AS_GRAMS = 101.97  # weight of 1 N, by standard gravity of 9.80665 m/s^2
MOST_ACTORS = 4
STUCK = ("jammed", "stalled")
NO_BREAK = "\N{NO-BREAK SPACE}"
VERBS = {"height": "rises", "way": "goes to and fro", "swing": "swings", "turn": "turns"}


@dataclass(frozen=True)
class Row:
    """One number: what it is, its value with its unit, and a remark that makes it plain ('' for none)."""

    what: str
    value: str
    remark: str = ""


def rows_of(checked: Checked) -> tuple[Row, ...]:
    """Give the rows of the table."""
    motion = checked.motion
    rows = [*_size(motion), *_turn(motion), *_effort(checked), *_ways(motion)]
    return tuple(row for row in rows if row.value)


def _size(motion: Motion) -> list[Row]:
    frame = motion.scene.frame
    drawing = Drawing(motion, Stuffs(True))
    (left, low), (right, high) = drawing.sweep(drawing.marks)
    across, tall = (
        max(right, frame.width) - min(left, 0.0),
        max(high, frame.height if drawing.setting.kind == "box" else 0.0) - min(low, 0.0),
    )
    word = "deep" if drawing.setting.kind == "board" else "high"
    return [
        Row(
            "Frame",
            f"{frame.width:.0f} × {frame.height:.0f}{NO_BREAK}mm",
            f"wide and {word}; {frame.stuff}, {frame.thickness:g}{NO_BREAK}mm",
        ),
        Row(
            "Room it needs",
            f"{across:.0f} × {tall:.0f}{NO_BREAK}mm",
            "with everything that moves, handle and figures, wherever they go",
        ),
    ]


def _turn(motion: Motion) -> list[Row]:
    seconds = turn_seconds(motion)
    if seconds is None or motion.drive is None:
        return []
    what = "the handle" if motion.drive.radius > 0 else f"the {motion.drive.name}"
    rpm = f"{60 / seconds:.3g} turns a minute"
    if motion.end in STUCK:
        degrees = math.degrees(float(main_angle(motion)[-1]))
        return [
            Row(f"One turn of {what}", seconds_of(seconds), f"as it is meant to be; {rpm}"),
            Row(
                "It comes as far as",
                f"{degrees:.0f}°",
                f"of one turn of {what}, then it stands",
            ),
        ]
    loop = find_loop(motion)
    turns = float(np.interp(loop.start_s + loop.period_s, motion.times, main_angle(motion)))
    turns = (
        turns - float(np.interp(loop.start_s, motion.times, main_angle(motion)))
    ) / math.tau
    round_ = (
        ""
        if not loop.is_closed
        else f"; it all comes round after {turns:.3g} turn{'' if round(turns) == 1 else 's'}"
    )
    return [Row(f"One turn of {what}", seconds_of(seconds), rpm + round_)]


def _effort(checked: Checked) -> list[Row]:
    motion = checked.motion
    rows = []
    peaks = {name: _peak(run) for name, run in checked.ends.items()}
    known = {name: peak for name, peak in peaks.items() if peak is not None}
    given = effort(motion)
    middle = _peak(motion)
    if not known or given is None or middle is None or motion.drive is None:
        return []
    unit = given.unit
    low, high = min(known.values()), max(known.values())
    where = (
        f"at the knob, {motion.drive.radius:.0f}{NO_BREAK}mm from the axis"
        if motion.drive.radius > 0
        else "at the motor's shaft"
    )
    plain = f", as if it lifted {_grams(high)}" if motion.drive.radius > 0 else ""
    if high - low > 0.02 * high:
        value = f"{_figure(low)} to {_figure(high)}{NO_BREAK}{unit}"
        remark = f"{where}{plain}; least to most friction"
    else:
        value, remark = f"{_figure(high)}{NO_BREAK}{unit}", where + plain
    if motion.end in STUCK:
        remark = f"{where}; all there is, and it stands"
    what = (
        "Most that the hand gives" if motion.drive.radius > 0 else "Most that the motor gives"
    )
    rows.append(Row(what, value, remark))
    least = float(np.min(given.values[motion.begins :])) if motion.end not in STUCK else 0.0
    if least < -0.05 * middle:
        rows.append(
            Row(
                "It pulls the hand along with"
                if motion.drive.radius > 0
                else "It drives the motor with",
                f"{_figure(-least)}{NO_BREAK}{unit}",
                "at most, where what was lifted comes down again",
            )
        )
    if given.most is not None:
        rows.append(
            Row(
                "The hand's strength" if motion.drive.radius > 0 else "The motor's strength",
                f"{_figure(given.most)}{NO_BREAK}{unit}",
                "the most a hand is taken to give"
                if motion.drive.radius > 0
                else "before the motor stands still",
            )
        )
    return rows


def _peak(motion: Motion) -> float | None:
    """Largest effort of a run, from the end of its start-up; of one that stops, of all of it. [N, or N mm]"""
    given = effort(motion)
    if given is None or not len(given.values):
        return None
    first = 0 if motion.end in STUCK else motion.begins
    return float(np.max(given.values[first:]))


def hardest(motion: Motion) -> str:
    """Say the largest effort of a run, with its unit; '' where nothing drives."""
    peak, given = _peak(motion), effort(motion)
    return "" if peak is None or given is None else f"{_figure(peak)}{NO_BREAK}{given.unit}"


def _figure(value: float) -> str:
    """Write an amount with as many figures as a maker can use.

    Examples
    --------
    >>> _figure(0.4412), _figure(13.07), _figure(450.2)
    ('0.44', '13.1', '450')
    """
    return f"{float(f'{value:.2g}'):g}" if abs(value) < 10 else f"{value:.3g}"


def _grams(newton: float) -> str:
    grams = newton * NEWTON_AS_GRAMS
    if grams >= 1000:
        return f"{grams / 1000:.1f}{NO_BREAK}kg"
    return f"{float(f'{grams:.2g}'):g}{NO_BREAK}g"


def _ways(motion: Motion) -> list[Row]:
    """How far the figures go, and how many turns arrive where a drive may lose some."""
    rows = []
    first = motion.begins if motion.end not in STUCK else 0
    told = spins(motion)
    if told is not None:
        turned = float(main_angle(motion)[-1] - main_angle(motion)[motion.begins]) / math.tau
        rows.append(
            Row(
                _name(told.part) + " spins",
                f"{told.got[-1]:.2f} times",
                f"in {turned:.3g} turns of the drive",
            )
        )
    if motion.slips:
        tally = count(motion)
        rows.append(
            Row(
                _name(tally.part) + " turns",
                f"{tally.got[-1]:.2f} times",
                f"of the {tally.due[-1]:.2f} it is due"
                if tally.lost_in_hundred() > 0.5
                else "all that it is due",
            )
        )
    for actor in actors(motion)[:MOST_ACTORS]:
        if actor.word == "turn" and motion.slips:
            continue
        span = float(np.ptp(actor.values[first:]))
        unit = "°" if actor.unit == "°" else f"{NO_BREAK}{actor.unit}"
        most = meant(motion, actor) if motion.end in STUCK and actor.unit == "mm" else span
        remark = f"of the {most:.3g}{unit} it is meant to" if span < 0.95 * most else ""
        rows.append(
            Row(f"{_name(actor.part)} {VERBS[actor.word]}", f"{_figure(span)}{unit}", remark)
        )
    return rows


def _name(part: str) -> str:
    return f"The {part}" if part[:1].islower() else part
