"""The measure words: what of a part can be told as a number, and over which moments.

Each word is a function that reads a track and gives its course on the clock and its value, or None where the word doesn't apply.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from animator.findings.report import Measure
from animator.findings.thresholds import LANDING_TIME
from animator.findings.track import Flags, Track
from animator.motion.motion import Floats, Motion
from animator.scene.checking import view_of
from animator.units import UNITS


@dataclass(frozen=True)
class Reading:
    """One measure of one part over a span, in internal units.

    ``series`` : (time_count,), its course; not a number where it doesn't exist (no contact, no pressure angle). ``value``: what the word
    means as one number. ``is_total``: the word means one number for a span (a lift, a slip, the largest force), so a claim is held against ``value``; any
    other (a height, a speed) is held against every moment. ``is_amount``: its sign only tells a direction.
    """

    series: Floats
    value: float
    is_total: bool
    is_amount: bool = False


Word = Callable[[Track, str], Reading | None]
LEVEL = 0.02  # a slide this near to level only rises by its play


@dataclass(frozen=True)
class Entry:
    """How a word is read, what sort of quantity it is, in which unit a maker sees it, and for which parts it stands in the table."""

    read: Word
    sort: str
    unit: str
    is_listed: Callable[[Track], bool]

    @property
    def scale(self) -> float:
        """One of the maker's units in internal units."""
        return UNITS[self.sort].get(self.unit, 1.0)


WORDS: dict[str, Entry] = {}


def word(
    name: str, sort: str, unit: str, is_listed: Callable[[Track], bool] = lambda track: True
) -> Callable[[Word], Word]:
    """Add a measure word."""

    def keep(read: Word) -> Word:
        WORDS[name] = Entry(read, sort, unit, is_listed)
        return read

    return keep


# ---------------------------------------------------------------- ways to sum a course up
def _extent(series: Floats) -> Reading:
    """From lowest to highest; the course is told from its lowest."""
    return Reading(series - series.min(), float(np.ptp(series)), True)


def _largest(series: Floats, is_counted: Flags | None = None) -> Reading | None:
    """The largest amount, whichever way it points; only counted moments count."""
    if is_counted is not None:
        series = np.where(is_counted, series, np.nan)
    amounts = np.abs(series)
    amounts = amounts[np.isfinite(amounts)]
    return Reading(series, float(amounts.max()), True, True) if len(amounts) else None


def _total(series: Floats) -> Reading:
    """What it has come to at the end."""
    return Reading(series, float(series[-1]), True)


# ---------------------------------------------------------------- places
def _rises(track: Track) -> bool:
    """Whether its height is worth telling: it changes place, not on its back, and not only sideways by its guide, nor as a knob in a hand."""
    return (
        track.is_shifting
        and view_of(track.name, track.motion.scene.parts) != "top"
        and not _is_drive(track)
        and (track.slide is None or abs(track.slide[1]) > LEVEL)
    )


@word("lift", "length", "mm", _rises)
def _lift(track: Track, point: str) -> Reading | None:
    """Highest less lowest."""
    return _extent(track.height(point)) if track.is_moving else None


@word("height", "length", "mm", _rises)
def _height(track: Track, point: str) -> Reading | None:
    """Height above the frame's lower edge; its value is the extent."""
    if not track.is_moving:
        return None
    series = track.height(point)
    return Reading(series, float(np.ptp(series)), False)


@word("travel", "length", "mm", lambda track: track.is_shifting and track.slide is not None)
def _travel(track: Track, point: str) -> Reading | None:
    """From one end of its way to the other."""
    return _extent(track.along(point)) if track.is_moving else None


@word("gap", "length", "mm")
def _gap(track: Track, point: str) -> Reading | None:
    """How far it is off what it should touch."""
    contact = track.contact
    return (
        None
        if contact is None or not contact.is_meant
        else _largest(np.maximum(contact.gap[track.span], 0.0))
    )


@word("stretch", "length", "mm")
def _stretch(track: Track, point: str) -> Reading | None:
    """By how much a spring's length changes."""
    length = track.channel("length")
    return None if length is None else _extent(length[track.span])


@word("slack", "length", "mm")
def _slack(track: Track, point: str) -> Reading | None:
    """How much too long something is that should be taut."""
    slack = track.channel("slack")
    return None if slack is None else _largest(slack[track.span])


# ---------------------------------------------------------------- angles
@word(
    "swing", "angle", "deg", lambda track: track.is_swinging and track.name == track.root.name
)
def _swing(track: Track, point: str) -> Reading | None:
    """From one end of its swing to the other."""
    return _extent(track.angle) if track.is_moving else None


@word(
    "turns",
    "angle",
    "turns",
    lambda track: (
        track.is_turning
        and track.part.turns_freely
        and not track.is_swinging
        and not track.is_spinning
    ),
)
def _turns(track: Track, point: str) -> Reading | None:
    """How far it has turned, either way."""
    if not track.is_moving:
        return None
    turned = track.angle - track.angle[0]
    return _total(turned if turned[-1] >= 0 else -turned)


@word("spin", "angle", "turns", lambda track: track.is_spinning)
def _spin(track: Track, point: str) -> Reading | None:
    """Turns about its own axis for each turn of the main shaft."""
    if not track.is_turning or track.turn_count <= 0:
        return None
    turned = (track.angle - track.angle[0]) / track.turn_count
    return _total(turned if turned[-1] >= 0 else -turned)


@word("pressure angle", "angle", "deg")
def _pressure_angle(track: Track, point: str) -> Reading | None:
    """Angle between the push on it and the way it can slide."""
    contact = track.contact
    if contact is None or track.slide is None:
        return None
    along = np.clip(contact.direction[track.span] @ np.array(track.slide), -1.0, 1.0)
    touching = contact.normal[track.span] > 0
    return _largest(np.where(touching, np.arccos(along), np.nan))


# ---------------------------------------------------------------- speeds
@word(
    "speed",
    "turning speed",
    "rpm",
    lambda track: track.is_turning and (track.name == track.root.name or track.is_spinning),
)
def _speed(track: Track, point: str) -> Reading | None:
    """Turning speed."""
    return (
        Reading(track.turning_speed, float(track.turning_speed.max()), False)
        if track.is_moving
        else None
    )


@word("hit speed", "speed", "mm/s")
def _hit_speed(track: Track, point: str) -> Reading | None:
    """How fast it lands after a gap."""
    hits = _hits(track)
    if hits is None:
        return None
    series = np.zeros(len(track.times))
    for moment, speed in hits:
        at = int(np.argmin(np.abs(track.times - moment)))
        series[at] = max(series[at], speed)
    return Reading(series, float(series.max()), True)


@word("hits", "count", "")
def _hit_count(track: Track, point: str) -> Reading | None:
    """Landings in each turn of the main shaft."""
    hits = _hits(track)
    if hits is None:
        return None
    series = (
        np.searchsorted(hits[:, 0], track.times, side="right") / max(track.turn_count, 1e-9)
        if track.turn_count > 0
        else np.zeros(len(track.times))
    )
    return _total(series)


def _hits(track: Track) -> Floats | None:
    contact = track.contact
    if contact is None or not contact.is_meant:
        return None
    hit = contact.hit
    return np.asarray(hit[(hit[:, 0] >= track.times[0]) & (hit[:, 0] <= track.times[-1])])


# ---------------------------------------------------------------- forces
@word("contact force", "force", "N")
def _contact_force(track: Track, point: str) -> Reading | None:
    """Force where it touches what it follows, landings left out: their force depends on the step of the reckoning, their speed doesn't."""
    contact = track.contact
    if contact is None or not contact.is_meant:
        return None
    steady = track.is_determined
    for moment, _ in contact.hit:
        steady[
            (track.times >= moment - LANDING_TIME / 2) & (track.times <= moment + LANDING_TIME)
        ] = False
    return _largest(track.felt(contact.normal), steady)


@word("side force", "force", "N")
def _side_force(track: Track, point: str) -> Reading | None:
    """Sum of the forces with which a stem bears on the sides of its guide."""
    guide = track.guide
    return None if guide is None else _largest(track.felt(guide.normal), track.is_determined)


@word("tension", "force", "N")
def _tension(track: Track, point: str) -> Reading | None:
    """Pull in the tight side of a belt or chain."""
    for name in ("tension", "pull"):
        pull = track.channel(name)
        if pull is not None:
            return _largest(track.felt(pull))
    return None


@word("force", "force", "N")
def _force(track: Track, point: str) -> Reading | None:
    """Force at the knob; of a spring, its push or pull."""
    if track.drive is not None and track.drive.name == track.name:
        return (
            _largest(track.felt(track.drive.torque / track.drive.radius))
            if track.drive.radius
            else None
        )
    force = track.channel("force")
    return None if force is None else _largest(track.felt(force))


def _is_drive(track: Track) -> bool:
    return track.drive is not None and track.drive.name == track.name


@word("torque", "torque", "N mm", _is_drive)
def _torque(track: Track, point: str) -> Reading | None:
    """Torque of the drive."""
    return None if track.drive is None else _largest(track.felt(track.drive.torque))


@word("start torque", "torque", "N mm", _is_drive)
def _start_torque(track: Track, point: str) -> Reading | None:
    """Largest torque of the drive until it is up to speed."""
    if track.drive is None:
        return None
    begins = track.motion.begins or len(track.motion.times) - 1
    start = Track(track.motion, track.name, 0, begins)
    series = start.felt(track.drive.torque)
    return Reading(series, float(series.max()), True)


# ---------------------------------------------------------------- shares
@word("slip", "share", "%")
def _slip(track: Track, point: str) -> Reading | None:
    """Length lost of the length due, whatever lost it."""
    slip = track.motion.slips.get(track.name)
    if slip is None:
        return None
    due, got = slip.due[track.span], slip.got[track.span]
    owed = due[-1] - due[0]
    if abs(owed) < 1e-6:
        return _total(np.zeros(len(due)))
    return _total(((due - due[0]) - (got - got[0])) / owed)


@word(
    "standstill",
    "share",
    "%",
    lambda track: (
        track.is_turning
        and not track.is_swinging
        and (track.name == track.root.name or track.is_spinning)
    ),
)
def _standstill(track: Track, point: str) -> Reading | None:
    """Share of the time that it stands."""
    if not track.is_moving:
        return None
    standing = track.is_standing.astype(np.float64)
    return Reading(standing, float(standing.mean()), True)


@word("running time", "time", "s", lambda track: False)
def _running_time(track: Track, point: str) -> Reading | None:
    """How long it runs."""
    if not track.is_moving:
        return None
    step = float(track.times[1] - track.times[0]) if len(track.times) > 1 else 0.0
    return _total(np.asarray(np.cumsum(~track.is_standing) * step, np.float64))


# ---------------------------------------------------------------- from outside
def read(
    motion: Motion,
    part: str,
    name: str,
    point: str = "",
    first: int | None = None,
    last: int | None = None,
) -> Reading | None:
    """Read one measure.

    Parameters
    ----------
    motion
        The run.
    part
        Name of a part, or ``drive`` for the first drive.
    name
        The measure word.
    point
        Point of the part, '' for its main one.
    first, last
        Samples of the span; left out, the counted run.

    Returns
    -------
    Reading or None
        In internal units; None where the word doesn't apply to the part, or a span without any time.
    """
    if part == "drive":
        if motion.drive is None:
            return None
        part = motion.drive.name
    track = Track(motion, part, first, last)
    return WORDS[name].read(track, point) if len(track.times) else None


def table(motion: Motion) -> Mapping[str, Measure]:
    """Read every measure that tells something of every part, in the units of a maker: ``part.word`` -> measure."""
    found = {}
    for part, name, entry, track in _listed(motion):
        reading = entry.read(track, "")
        if reading is not None:
            found[f"{part}.{name}"] = shown(reading, entry)
    return found


def columns(motion: Motion) -> Mapping[str, Floats]:
    """Give the course of every measure over the whole run, start-up and all: ``part.word [unit]`` -> (time_count,) values."""
    found = {}
    for part, name, entry, _ in _listed(motion):
        reading = entry.read(Track(motion, part, 0), "")
        if reading is not None and len(reading.series) == len(motion.times):
            found[f"{part}.{name} [{entry.unit}]" if entry.unit else f"{part}.{name}"] = (
                reading.series / entry.scale
            )
    return found


def _listed(motion: Motion) -> Iterator[tuple[str, str, Entry, Track]]:
    for part in motion.scene.parts:
        track = Track(motion, part)
        for name, entry in WORDS.items():
            if entry.is_listed(track):
                yield part, name, entry, track


def shown(reading: Reading, entry: Entry) -> Measure:
    """Put a reading into a maker's unit."""
    series = reading.series[np.isfinite(reading.series)] / entry.scale
    if not len(series):
        series = np.zeros(1)
    numbers = (
        reading.value / entry.scale,
        series.min(),
        series.max(),
        series.mean(),
        series[-1],
    )
    value, low, high, mean, end = (_rounded(float(number)) for number in numbers)
    return Measure(value=value, unit=entry.unit, min=low, max=high, mean=mean, end=end)


def _rounded(number: float) -> float:
    """Six figures: finer than any measure can be trusted.

    Examples
    --------
    >>> _rounded(13.9999999), _rounded(0.0)
    (14.0, 0.0)
    """
    return float(f"{number:.6g}") if math.isfinite(number) else 0.0
