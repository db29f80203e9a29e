"""Trains: what turns (or slides) what, at which ratio, and how far apart the wheels must then stand.

Read from what each part says of itself (``Part.couples``, ``Part.spaces``); the run never uses it, only the drawing board does:
where everything stands while the drives turn, which way cams run, how far from each other shafts are set.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple


class Coupling(NamedTuple):
    """Two parts that move in a fixed ratio.

    ``first``, ``second``: parts that turn (or slide). ``ratio``: what the second does while the first turns by one radian [rad, or mm of a slide]; below 0: the
    other way round.
    """

    first: str
    second: str
    ratio: float


class Spacing(NamedTuple):
    """Two parts whose middles must stand so far apart [mm], and in words what asks for it (``12 and 36 teeth of module 2``).

    ``slack``: how much a place that is written may differ before it is refused [mm]; infinite where a wrong distance only works badly.
    """

    first: str
    second: str
    distance: float
    why: str = ""
    slack: float = 0.5
    verb: str = "mesh"


def turning_part(parts: Mapping[str, Any], name: str) -> str:
    """Follow ``on`` from a part to what it finally turns with (a shaft, a lever, a pulley that runs free)."""
    for _ in parts:
        on = getattr(parts[name], "on", None)
        if on is None or on.part not in parts:
            break
        name = on.part
    return name


def couplings(parts: Mapping[str, Any]) -> list[Coupling]:
    """Find everything that is coupled at a fixed ratio, each end told by what it finally turns with."""
    return [
        Coupling(turning_part(parts, each.first), turning_part(parts, each.second), each.ratio)
        for part in parts.values()
        for each in part.couples(parts)
    ]


def spacing(parts: Mapping[str, Any], first: str, second: str) -> Spacing | None:
    """Find how far apart what turns with one part and what turns with another must stand, if anything asks for it."""
    ends = {turning_part(parts, first), turning_part(parts, second)}
    asked: list[Spacing] = [each for part in parts.values() for each in part.spaces(parts)]
    return next(
        (
            each
            for each in asked
            if {turning_part(parts, each.first), turning_part(parts, each.second)} == ends
        ),
        None,
    )


def drive_speed(drive: Any) -> float:
    """Speed of a drive, the middle of its range [rad/s]."""
    return sum(drive.speed) / 2 if isinstance(drive.speed, tuple) else float(drive.speed)


def running_senses(parts: Mapping[str, Any]) -> dict[str, float]:
    """Find every part that a drive moves at a fixed ratio, straight or through belts, chains and gears.

    Returns
    -------
    dict
        Name of the part -> its turns while the first drive makes one (of a slide: millimetres while it turns by one radian); above 0 anticlockwise, below 0
        clockwise.
    """
    found: dict[str, float] = {}
    first = 0.0
    for name, part in parts.items():
        if part.is_drive:
            first = first or drive_speed(part)
            found.setdefault(turning_part(parts, name), part.sense * drive_speed(part) / first)
    links = couplings(parts)
    for _ in links:
        for driving, driven, ratio in links:
            if driving in found:
                found.setdefault(driven, found[driving] * ratio)
            elif driven in found and ratio:
                found[driving] = found[driven] / ratio
    return found


def steps_from_a_drive(parts: Mapping[str, Any]) -> dict[str, int]:
    """Count through how many couplings a drive reaches each part: 0 for what it turns itself; what it doesn't reach is left out."""
    found = {turning_part(parts, name): 0 for name, part in parts.items() if part.is_drive}
    links, now = couplings(parts), list(found)
    while now:
        following = []
        for name in now:
            for first, second, _ in links:
                other = second if first == name else first if second == name else name
                if other not in found:
                    found[other] = found[name] + 1
                    following.append(other)
        now = following
    return found


def sense_of(parts: Mapping[str, Any], name: str) -> int:
    """Which way a part runs: +1 anticlockwise (also if nothing drives it), -1 clockwise."""
    return -1 if running_senses(parts).get(turning_part(parts, name), 1.0) < 0 else 1
