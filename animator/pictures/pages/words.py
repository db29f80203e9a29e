"""Titles and the few words every page says."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import is_show
from animator.pictures import palette
from animator.pictures.ink import (
    Canvas,
    fill,
)
from animator.pictures.lettering import letter, width, wrap
from animator.pictures.palette import INK

if TYPE_CHECKING:
    from animator.motion.motion import Motion

SMALL_COUNTS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def seconds_of(seconds: float) -> str:
    """Write a length of time as a maker would."""
    shown = (
        f"{seconds:.0f}"
        if seconds >= 9.95 or abs(seconds - round(seconds)) < 0.05
        else f"{seconds:.1f}"
    )
    return f"{shown} second{'' if shown == '1' else 's'}"


def turn_seconds(motion: Motion) -> float | None:
    """How long one turn of the first drive takes at the speed it is meant to have. [s]"""
    drive = motion.drive
    due = (
        float(np.max(np.abs(drive.due_speed)))
        if drive is not None and len(drive.due_speed)
        else 0.0
    )
    if drive is not None and motion.begins == 0 and drive.name in motion.scene.parts:
        # it never got through its start-up: what the scene asks for
        speed = getattr(motion.scene.parts[drive.name], "speed", due)
        due = float(speed.at(0.5)) if hasattr(speed, "at") else float(speed)
    return 2 * math.pi / due if due > 1e-9 else None


def turn_words(motion: Motion) -> str:
    """Say how long one turn takes; of a piece that stops by itself, how long it runs."""
    if is_show(motion) and motion.drive is not None:
        runs = motion.drive.due_speed > 0
        return f"It stops itself after {seconds_of(float(runs.sum() * np.diff(motion.times[:2])[0]))}"
    seconds = turn_seconds(motion)
    if seconds is None or motion.drive is None:
        return ""
    what = "the handle" if motion.drive.radius > 0 else f"the {motion.drive.name}"
    return f"One turn of {what}: {seconds_of(seconds)}"


def turns_of(motion: Motion, count: int) -> str:
    """Say so many turns of what is turned."""
    drive = motion.drive
    what = "the handle" if drive is None or drive.radius > 0 else f"the {drive.shaft}"
    return f"one turn of {what}" if count == 1 else f"{count} turns of {what}"


def title_size(text: str, room: float, most: float, least: float, line_count: int = 3) -> float:
    """Choose the size of a title: as few lines as a slightly smaller size allows, then as large as may be, no word broken."""

    def lines(size: float) -> int:
        return len(wrap(text, "title", size, room)) + 9 * any(
            width(word, "title", size) > room for word in text.split()
        )

    sizes = np.arange(most, least - 0.5, -1.0).tolist()
    best = min(lines(size) for size in sizes if size >= 0.84 * most)
    return next((size for size in sizes if lines(size) <= min(best, line_count)), least)


def title(
    c: Canvas,
    text: str,
    x: float,
    y: float,
    room: float,
    size: float,
    hue: str = INK,
    and_hue: str = palette.MADDER,
    least: float = 30.0,
    line_count: int = 3,
) -> tuple[float, float]:
    """Set a title, its ampersand in the printer's second ink; gives the base line of its last line and the size chosen."""
    size = title_size(text, room, size, least, line_count)
    lines = wrap(text, "title", size, room)
    for i, line in enumerate(lines):
        at, base = x, y + i * size * 1.05
        pieces = line.split("&")
        for n, piece in enumerate(pieces):
            if n:
                at = letter(c, "&", at, base, "title-i", size * 0.94, fill(and_hue))
            at = letter(c, piece, at, base, "title", size, fill(hue))
    return y + (len(lines) - 1) * size * 1.05, size
