"""A drum with raised strips that work switches, each at its time of the turn."""

import itertools
import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import Field, model_validator

from animator import trains
from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Rides, Standing, Weight, Workshop
from animator.parts._fields import TURNING_PART, Angle, PartOf, Ref, Size, Stretch
from animator.parts._profiles import StripProfile, flank
from animator.parts._signals import Sender
from animator.parts._solid import disc, together
from animator.units import Wrong

STRIP = 1.5  # mm; a brass strip 1.5 thick lifts a small switch's lever through its way and a half more
SET_BACK = 1.0  # mm between a ring and the strips of the one behind it
CORE = 3.0  # mm; of a ring at least that much wood stands round the shaft
MOST_TRACKS, MOST_STRIPS = 12, 24
ROUNDING = 1e-9

Strip = Annotated[tuple[float, float], Stretch("angle")]


@PARTS.add("timing drum")
class TimingDrum(Sender):
    """Each of its ``tracks`` is a ring with raised strips, given by the angles at which each begins and ends, in the running direction.

    A switch rides on a track. Rings lie side by side on the shaft, each a little smaller than the one behind it, so that every switch can be seen and
    reached; ``diameter`` is that of the first. The strips are set out so that a switch standing above the shaft (or wherever the first one on the track stands)
    closes at the angles written; their ends are filed round to no more than 35 degrees. A track may be named as a signal itself: closed while the strip passes.
    """

    as_written = "drum: {kind: timing drum, on: camshaft, tracks: {home: [6 to 354], lamp: [120 to 300]}}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "tracks": "name of each ring and the stretches of the turn over which it is raised, in degrees in the running direction",
        "diameter": "of the first ring without its strips",
        "phase": "how far the shaft turns before the tracks begin, in degrees",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "tracks": "{home: [6 to 354], lamp: [120 to 300]}",
    }

    also_called = ("programme drum", "pin drum", "timer", "timing cams", "programme cylinder")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    tracks: Mapping[str, tuple[Strip, ...]] = Field(min_length=1)
    diameter: Size = 40.0
    phase: Angle = 0.0

    @model_validator(mode="after")
    def _can_be_made(self) -> "TimingDrum":
        if len(self.tracks) > MOST_TRACKS:
            raise Wrong(
                f"{len(self.tracks)} tracks are more than a drum is read by",
                f"at most {MOST_TRACKS}, or a second drum",
                key="tracks",
            )
        least = 2 * (CORE + (len(self.tracks) - 1) * (STRIP + SET_BACK))
        if self.diameter <= least:
            raise Wrong(
                f"a drum of {self.diameter:g} has no room for {len(self.tracks)} rings, each {STRIP + SET_BACK:g} lower than the one behind",
                f"a diameter over {least:g}",
                key="diameter",
            )
        for name, strips in self.tracks.items():
            if name == "centre":
                raise Wrong("a track can't be called 'centre'", "another name", key="tracks")
            self._check_track(name, strips)
        return self

    def _check_track(self, name: str, strips: tuple[tuple[float, float], ...]) -> None:
        if not strips:
            raise Wrong(f"track '{name}' has no strip", f"'{name}: [30 to 90]'", key="tracks")
        if len(strips) > MOST_STRIPS:
            raise Wrong(
                f"track '{name}' has {len(strips)} strips",
                f"at most {MOST_STRIPS}",
                key="tracks",
            )
        for start, end in strips:
            told = _told(start, end)
            if start < -ROUNDING or end > math.tau + ROUNDING:
                raise Wrong(
                    f"track '{name}': the strip {told} goes past the turn",
                    _within(start, end),
                    key="tracks",
                )
        ordered = sorted(strips)
        for (a, b), (c, d) in itertools.pairwise(ordered):
            if c < b - ROUNDING:
                raise Wrong(
                    f"track '{name}': the strips {_told(a, b)} and {_told(c, d)} lie over each other",
                    f"'{_told(a, max(b, d))}'",
                    key="tracks",
                )
        self._check_ends(name, self.profile(name))

    def _check_ends(self, name: str, profile: StripProfile) -> None:
        """See that each strip, and each gap, is long enough for its two filed ends."""
        edges = profile.edges
        for i, (angle, way) in enumerate(edges):
            after = edges[(i + 1) % len(edges)][0]
            over = (after - angle) % math.tau
            if over < profile.flank - ROUNDING:
                what = "strip" if way > 0 else "gap"
                least = math.ceil(math.degrees(profile.flank))
                end = math.degrees(angle) + least
                longer = (
                    f"'{_degrees(angle)} to {end:.4g}'"
                    if way > 0 and end <= 360
                    else f"a {what} of {least} degrees"
                )
                raise Wrong(
                    f"track '{name}': the {what} {_told(angle, angle + over)} is shorter than its filed ends, {math.degrees(profile.flank):.1f} degrees on this ring",
                    f"{longer}, or a larger drum",
                    key="tracks",
                )

    def radius(self, track: str) -> float:
        """Radius of a ring without its strips. [mm]"""
        return self.diameter / 2 - list(self.tracks).index(track) * (STRIP + SET_BACK)

    def profile(self, track: str) -> StripProfile:
        """Height of a track over the turn, from its zero."""
        return StripProfile(self.tracks[track], STRIP, flank(STRIP, self.radius(track)))

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0), **dict.fromkeys(self.tracks, (0.0, 0.0))}

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.density(self) * shop.stuff_of(self)[1]
        return together(disc(self.radius(name), thick) for name in self.tracks)

    # ------------------------------------------------------------ as a signal
    def wire(self, point: str) -> str:
        return f"{self.name}.{point}"

    def unnamed(self, point: str) -> Wrong | None:
        if point in self.tracks:
            return None
        said = " or ".join(f"'{self.name}.{track}'" for track in self.tracks)
        return Wrong(f"'{self.name}' has {len(self.tracks)} tracks; which?", said)

    def turned_by(self, parts: Mapping[str, Part]) -> str:
        return self.on.part

    def is_closed_at(self, point: str, piece: Standing) -> bool:
        sense = trains.sense_of(piece.parts, self.name)
        turned = sense * piece.pose(self.name).angle - self.phase
        return self.profile(point).at(turned)[0] > STRIP / 2

    def build(self, shop: Workshop) -> None:
        body = shop.body(self.name)
        sense = trains.sense_of(shop.scene.parts, self.name)
        lead = sense * (shop.pose(self.name).angle - body.angle) - self.phase
        for track in self.tracks:
            profile = self.profile(track)

            def is_raised(profile: StripProfile = profile) -> float:
                return float(profile.at(sense * body.angle + lead)[0] > STRIP / 2)

            shop.channel(self.wire(track), "state", is_raised)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        sense = trains.sense_of(pen.scene.parts, self.name)
        for i, track in enumerate(self.tracks):
            radius, profile = self.radius(track), self.profile(track)
            stands = stands_at(pen.scene.parts, self.name, track)
            pen.disc(
                (0.0, 0.0),
                radius,
                stuff,
                thickness,
                12 if i == 0 else 5,
                0,
                (0.92,),
                sort="drum",
            )
            for outline in _strips(profile, radius, stands, sense, self.phase):
                pen.plate(outline, "brass", 0.0, 3, sort="strip")
        pen.hub((0.0, 0.0), min(6.0, 0.5 * self.radius(list(self.tracks)[-1])))


def stands_at(parts: Mapping[str, Part], drum: str, track: str) -> float:
    """Where the first switch on a track stands, as a direction from the shaft; above it where there is none. [rad]"""
    for part in parts.values():
        rides = getattr(part, "rides_on", None)
        if rides is not None and rides.part == drum and rides.point in (track, "centre"):
            return float(part.angle)  # type: ignore[attr-defined]
    return math.pi / 2


def _strips(
    profile: StripProfile, radius: float, stands: float, sense: int, phase: float
) -> list[list[Point]]:
    """Outlines of a ring's strips in the drum's own frame."""

    def place(turned: float, r: float) -> Point:
        angle = stands - sense * (turned + phase)
        return r * math.cos(angle), r * math.sin(angle)

    if profile.is_even:
        raised = [place(math.tau * i / 180, radius + STRIP) for i in range(180)]
        return [raised]
    found = []
    edges = profile.edges
    half = profile.flank / 2
    for i, (start, way) in enumerate(edges):
        if way < 0:
            continue
        over = (edges[(i + 1) % len(edges)][0] - start) % math.tau
        count = max(8, math.ceil(math.degrees(over + 2 * half)))
        angles = [start - half + (over + 2 * half) * k / count for k in range(count + 1)]
        outer = [place(a, radius + profile.at(a)[0]) for a in angles]
        inner = [place(a, radius - 0.9) for a in reversed(angles)]
        found.append(outer + inner)
    return found


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.4g}"


def _told(start: float, end: float) -> str:
    return f"{_degrees(start)} to {_degrees(end)}"


def _within(start: float, end: float) -> str:
    """Write a strip that goes past the turn as one or two that don't."""
    if end - start >= math.tau:
        return "'0 to 360'"
    a, b = start % math.tau, end % math.tau
    if a < b or b < ROUNDING:
        return f"'{_told(a, b or math.tau)}'"
    return f"'{_told(a, math.tau)}' and '{_told(0.0, b)}'"
