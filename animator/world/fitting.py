"""What gets in the way of what: guides, knuckles, wheels, chains, springs, cams that can't be cut. And what assembly fills in.

Checks go by what a part has (a guide, a cam it follows, wheels it runs round), never by its kind.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from animator import outlines, trains
from animator.geometry import Point, distance
from animator.parts._contract import Part, Slides, Spans, Turns
from animator.problems import Problem
from animator.world.cutting import half_up as half_up
from animator.world.cutting import lost_at_corners, uncuttable
from animator.world.cutting import plain as plain
from animator.world.linkage import End

if TYPE_CHECKING:
    from animator.parts._fields import Where
    from animator.scene.model import Scene
    from animator.world.linkage import Linkage

THICKNESS = 4.0  # mm; a part whose material says no thickness
ABOVE_GUIDE = (
    4.0  # mm; a figure on a spindle clears the guide's upper end by so much at its lowest
)
YOKE_BAR = 6.0  # mm; what a yoke's frame is thick above its flat
APART = 1e-6  # mm; nearer is the same place
LOOSEST = 0.5  # pitches; a chain that hangs looser jumps its teeth


class Course:
    """How far every sliding part goes during the turn, along its slide from the middle of its guide [mm], and when [rad]."""

    def __init__(self, linkage: Linkage) -> None:
        self._linkage = linkage
        self._sliding = [
            (name, held) for name, held in linkage.held.items() if isinstance(held, Slides)
        ]
        self._bands = [
            name
            for name, part in linkage.parts.items()
            if getattr(part, "slack_length", None) is not None
        ]
        self.longest: dict[str, float] = {}
        """Farthest that the ends of each band ever stand apart. [mm]"""
        self.first: dict[str, float] = {}
        self.low: dict[str, tuple[float, float]] = {}
        self.high: dict[str, tuple[float, float]] = {}

    def visit(self, turned: float) -> None:
        """Note where everything slides to now."""
        for name, held in self._sliding:
            pose, (x, y) = self._linkage.pose(name), self._linkage.place(name)
            along = (pose.x - x) * math.cos(held.direction) + (pose.y - y) * math.sin(
                held.direction
            )
            if name not in self.low:
                self.first[name] = along
                self.low[name] = self.high[name] = (along, turned)
            elif along < self.low[name][0]:
                self.low[name] = (along, turned)
            elif along > self.high[name][0]:
                self.high[name] = (along, turned)
        for name in self._bands:
            part: Any = self._linkage.parts[name]
            ends = [self._linkage.point(ref.part, ref.point) for ref in (part.from_, part.to)]
            self.longest[name] = max(self.longest.get(name, 0.0), distance(*ends))


def steps_of(where: Where, right: float, up: float) -> str:
    """Write a place moved by so much, the way it was written. [mm]"""
    x, y = where.offset[0] + right, where.offset[1] + up
    if where.ref is None:
        return f"[{plain(x)}, {plain(y)}]"
    steps = []
    if abs(x) > 1e-6:
        steps.append(f"{plain(abs(x))} {'right' if x > 0 else 'left'}")
    if abs(y) > 1e-6:
        steps.append(f"{plain(abs(y))} {'above' if y > 0 else 'below'}")
    if not steps:
        return where.ref.text
    of = "" if abs(y) > 1e-6 else "of "
    return f"{' and '.join(steps)} {of}{where.ref.text}"


def thickness(part: Part) -> float:
    """Thickness of a sheet or diameter of a rod. [mm]"""
    return (part.material.size if part.material is not None else 0.0) or THICKNESS


def moment(parts: Mapping[str, Part], turned: float) -> str:
    """Write when something happens: at the start, or how far the first drive has turned [rad]."""
    drive = next((part.kind for part in parts.values() if part.is_drive), "drive")
    return (
        f"when the {drive} has turned {math.degrees(turned):.0f} degrees"
        if turned
        else "at the start"
    )


def misfits(scene: Scene, linkage: Linkage, course: Course) -> list[Problem]:
    """Find everything that can't be made as drawn, with the assembled piece and its turn at hand."""
    found = list(_wrongly_spaced(scene, linkage))
    for name, part in linkage.parts.items():
        held = linkage.held[name]
        if isinstance(held, Slides) and held.follows is not None:
            found += _lifted(scene, linkage, course, name, held)
            found += uncuttable(scene, linkage, name)
        elif isinstance(held, Slides) and hasattr(part, "length"):
            found += _sliding(scene, course, name, part, held)
        elif isinstance(held, Turns):
            found += _stopped(scene, linkage, name, held)
            found += uncuttable(scene, linkage, name)
        elif isinstance(held, Spans):
            found += _spanned(scene, linkage, name, part)
            found += _never_taut(scene, linkage, course, name, part)
    return found


# ---------------------------------------------------------------- guides
def _lifted(
    scene: Scene, linkage: Linkage, course: Course, name: str, held: Slides
) -> Iterator[Problem]:
    """Insist that a follower's tip stays below its guide and its top above, and that a disc stays below."""
    part: Any = linkage.parts[name]
    assert held.follows is not None
    guide = part.guide
    half = guide.length / 2
    tip = outlines.tip_of(part)
    is_disc = hasattr(part, "top_height")
    above = thickness(part) if is_disc else YOKE_BAR if tip.opening else tip.radius
    word = "disc" if is_disc else "roller" if tip.radius else "tip"
    top, when = course.high[name]
    low, when_low = course.low[name]
    rests = getattr(part, "rests", None) or 0.0
    place = guide.at.place or scene.place_of(name, "guide.at")
    clash = max(top, low + rests) + above + half
    if clash > 0:
        way = math.cos(held.direction), math.sin(held.direction)
        lift = half_up(clash + 1)
        more = "" if is_disc else _longer(part, lift + half - low)
        yield Problem(
            place,
            f"the {word} of '{name}' strikes its guide {moment(linkage.parts, when)}",
            f"'{name}.guide.at: {steps_of(guide.at, lift * way[0], lift * way[1])}'{more}",
            f"it comes up to {plain(clash)} mm inside the guide of {plain(guide.length)} mm",
        )
    elif not is_disc and low + part.length < half:
        yield Problem(
            scene.place_of(name, "length"),
            f"the stem of '{name}' comes out of its guide {moment(linkage.parts, when_low)}",
            f"'{name}.length: {plain(half_up(half - low + 2))}'",
            f"its top is then {plain(half - low - part.length)} mm below the guide's upper end",
        )


def _longer(part: Any, needed: float) -> str:
    return (
        f" and '{part.name}.length: {plain(half_up(needed + 2))}'"
        if part.length < needed
        else ""
    )


def _sliding(
    scene: Scene, course: Course, name: str, part: Any, held: Slides
) -> Iterator[Problem]:
    """Insist that a slider's pin stays before its guide and its tip beyond; the knuckle round the pin is as thick as the bar."""
    guide = part.guide
    half, knuckle = guide.length / 2, getattr(part, "knuckle", thickness(part) / 2)
    (low, when_low), (high, when_high) = course.low[name], course.high[name]
    struck, lost = high + knuckle + half, half - (low + part.length)
    way = math.cos(held.direction), math.sin(held.direction)
    place = guide.at.place or scene.place_of(name, "guide.at")
    if struck > 0:
        move = half_up(struck + 1)
        needed = half - low + move
        more = f" and '{name}.length: {plain(half_up(needed))}'" if part.length < needed else ""
        yield Problem(
            place,
            f"the pin of '{name}' strikes its guide {moment(scene.parts, when_high)}",
            f"'{name}.guide.at: {steps_of(guide.at, move * way[0], move * way[1])}'{more}",
            f"pin and knuckle come {plain(struck)} mm too far; the guide begins {plain(half)} mm before its middle",
        )
    elif lost > 0:
        yield Problem(
            scene.place_of(name, "length"),
            f"the tip of '{name}' slips into its guide {moment(scene.parts, when_low)}",
            f"'{name}.length: {plain(half_up(part.length + lost + 1))}'",
            f"it is then {plain(lost)} mm short of the guide's far end",
        )


def _stopped(scene: Scene, linkage: Linkage, name: str, held: Turns) -> Iterator[Problem]:
    if held.limits is None:
        return
    angle = linkage.angle(name)
    low, high = held.limits
    if not low - 1e-6 <= angle <= high + 1e-6:
        word = "clockwise" if angle < low else "anticlockwise"
        yield Problem(
            scene.place_of(name, f"stops.{word}"),
            f"'{name}' starts {abs(math.degrees(angle)):.1f} degrees {word}, beyond its stop",
            f"'{name}.stops.{word}: {math.ceil(abs(math.degrees(angle))) + 1}'",
        )


# ---------------------------------------------------------------- belts, chains, springs
def _spanned(scene: Scene, linkage: Linkage, name: str, part: Any) -> Iterator[Problem]:
    if getattr(part, "around", None):
        yield from _looped(scene, linkage, name, part)
    elif getattr(part, "from_", None) is not None:
        ends = [linkage.point(ref.part, ref.point) for ref in (part.from_, part.to)]
        if distance(*ends) < APART:
            yield Problem(
                scene.place_of(name, "to"),
                f"'{name}' begins and ends at one place",
                "another point, so that it has a length",
            )


def _never_taut(
    scene: Scene, linkage: Linkage, course: Course, name: str, part: Any
) -> Iterator[Problem]:
    """Tell a band whose ends never stand as far apart as it is long. Where forces decide how far, the run will tell."""
    length = getattr(part, "slack_length", None)
    if length is None or course.longest.get(name, math.inf) > length:
        return
    wanted = {
        need
        for ref in (part.from_, part.to)
        for need in linkage.needs(End(ref.part, ref.point))
    }
    led = {unknown for block in linkage.blocks(False) for unknown in block.unknowns}
    if wanted - led:
        return
    far = course.longest[name]
    yield Problem(
        scene.place_of(name, "length"),
        f"'{name}' never pulls: it is {plain(length)} mm long slack, and its ends stand at most {plain(far)} mm apart",
        f"'{name}.length: {plain(max(1.0, math.floor(far / 2)))}'",
    )


def _looped(scene: Scene, linkage: Linkage, name: str, part: Any) -> Iterator[Problem]:
    if len(part.around) > 2:
        return  # the belt itself tells what overlaps
    first, second = (ref.part for ref in part.around)
    if trains.turning_part(linkage.parts, first) == trains.turning_part(linkage.parts, second):
        yield Problem(
            scene.place_of(name, "around"),
            f"both wheels of '{name}' turn as one",
            "wheels on two shafts",
        )
        return
    radii = wheel_radii(linkage.parts, part)
    a, b = (linkage.pose(wheel) for wheel in (first, second))
    apart = math.hypot(b.x - a.x, b.y - a.y)
    pitch = getattr(part, "pitch", None)
    if apart <= sum(radii):
        wanted = half_up(sum(radii) + 2)
        if pitch is not None:
            links = chain_links(linkage.parts, part, wanted)[0]
            wanted = math.floor(chain_distance(linkage.parts, part, links) * 10 + 1e-6) / 10
        yield _spaced(
            scene, linkage, second, a[:2], wanted,
            f"'{first}' and '{second}' overlap: they stand {plain(apart)} mm apart and reach {plain(radii[0])} and {plain(radii[1])} mm",
        )  # fmt: skip
        return
    if pitch is None:
        return
    links, slack = chain_links(linkage.parts, part, apart)
    if abs(slack - (part.slack or 0.0)) > LOOSEST * pitch:
        choices = sorted(
            (abs(chain_distance(linkage.parts, part, count) - apart), count)
            for count in (links - 2, links, links + 2)
            if count > 0
        )
        best = next(
            count
            for _, count in choices
            if chain_distance(linkage.parts, part, count) > sum(radii)
        )
        wanted = math.floor(chain_distance(linkage.parts, part, best) * 10 + 1e-6) / 10
        yield _spaced(
            scene, linkage, second, a[:2], wanted,
            f"'{name}' doesn't fit: at {plain(apart)} mm it is {chain_pitches(linkage.parts, part, apart):.2f} links round, and links go in pairs",
            f"{best} links of {plain(pitch)} mm fit at {plain(wanted)} mm",
        )  # fmt: skip


def _wrongly_spaced(scene: Scene, linkage: Linkage) -> Iterator[Problem]:
    """Tell wheels that stand nearer or farther than their teeth ask for."""
    for part in linkage.parts.values():
        for asked in part.spaces(linkage.parts):
            a, b = (
                linkage.pose(trains.turning_part(linkage.parts, name))
                for name in (asked.first, asked.second)
            )
            apart = math.hypot(b.x - a.x, b.y - a.y)
            if abs(apart - asked.distance) > asked.slack:
                first, second = (
                    trains.turning_part(linkage.parts, name)
                    for name in (asked.first, asked.second)
                )
                yield _spaced(
                    scene, linkage, asked.second, a[:2], asked.distance,
                    f"'{second}' stands {plain(apart)} mm from '{first}', but {asked.why} {asked.verb} at {plain(asked.distance)} mm",
                )  # fmt: skip


def _spaced(
    scene: Scene,
    linkage: Linkage,
    wheel: str,
    centre: Point,
    wanted: float,
    what: str,
    more: str = "",
) -> Problem:
    """Tell two wheels at a wrong distance, and where the second one would stand right."""
    owner = trains.turning_part(linkage.parts, wheel)
    held = linkage.held[owner]
    here = linkage.pose(wheel)
    apart = math.hypot(here.x - centre[0], here.y - centre[1])
    dx, dy = (
        ((here.x - centre[0]) / apart, (here.y - centre[1]) / apart)
        if apart > 1e-9
        else (1.0, 0.0)
    )
    if not isinstance(held, Turns):
        return Problem(scene.place_of(wheel), what, f"places {plain(wanted)} mm apart", more)
    move = wanted - apart
    return Problem(
        held.at.place or scene.place_of(owner, "at"),
        what,
        f"'{owner}.at: {steps_of(held.at, move * dx, move * dy)}'",
        more,
    )


def wheel_radii(parts: Mapping[str, Any], loop: Any) -> tuple[float, float]:
    """Radii of a belt's centre line on its pulleys, or of a chain's pitch circles p / (2 sin(pi / z)) (ISO 606). [mm]"""
    first, second = (
        wheel.diameter / 2
        if hasattr(wheel, "diameter")
        else loop.pitch / (2 * math.sin(math.pi / wheel.teeth))
        for wheel in (parts[ref.part] for ref in loop.around)
    )
    return first, second


def chain_pitches(parts: Mapping[str, Any], chain: Any, apart: float) -> float:
    r"""Length of a taut chain round two sprockets, in links.

    Notes
    -----
    The usual formula 2 C + (z1 + z2)/2 + ((z2 - z1)/2 pi)^2 / C, C in pitches (Mott, *Machine Elements in Mechanical Design*;
    within 0.01 links of the exact length for the sizes at hand).
    """
    small, large = sorted(parts[ref.part].teeth for ref in chain.around)
    centres = apart / chain.pitch
    return float(
        2 * centres + (small + large) / 2 + ((large - small) / math.tau) ** 2 / centres
    )


def chain_distance(parts: Mapping[str, Any], chain: Any, links: int) -> float:
    """Distance of the shafts at which so many links are taut, the inverse of ``chain_pitches``. [mm]"""
    small, large = sorted(parts[ref.part].teeth for ref in chain.around)
    rest, lean = links - (small + large) / 2, ((large - small) / math.tau) ** 2
    return float(chain.pitch * (rest + math.sqrt(max(rest * rest - 8 * lean, 0.0))) / 4)


def chain_links(parts: Mapping[str, Any], chain: Any, apart: float) -> tuple[int, float]:
    """Count the links, always even, that go round with the least slack, and that slack [mm]."""
    pitches = chain_pitches(parts, chain, apart) + (chain.slack or 0.0) / chain.pitch
    links = 2 * round(pitches / 2) if chain.slack else 2 * math.ceil(pitches / 2 - 1e-3)
    return links, (links - chain_pitches(parts, chain, apart)) * chain.pitch


# ---------------------------------------------------------------- what assembly fills in
def outfit(scene: Scene, linkage: Linkage, course: Course) -> tuple[str, ...]:
    """Fill in what only the assembled piece can say: how tall a spindle is, how slack a chain hangs; with a sentence each."""
    notes = []
    for name, part in list(linkage.parts.items()):
        held = linkage.held[name]
        if isinstance(held, Slides) and hasattr(part, "top_height"):
            guide, rests = part.guide, getattr(part, "rests", None) or 0.0  # type: ignore[attr-defined]
            height = (
                max(guide.length / 2 - course.low[name][0] - rests, thickness(part))
                + ABOVE_GUIDE
            )
            linkage.alter(name, part.model_copy(update={"top_height": height}))
            notes.append(
                f"the spindle of {name} is {height:.1f} mm tall, so that its top clears the guide by {ABOVE_GUIDE:g} mm"
            )
        elif getattr(part, "pitch", None) is not None and getattr(part, "around", None):
            a, b = (linkage.pose(ref.part) for ref in part.around)  # type: ignore[attr-defined]
            links, slack = chain_links(linkage.parts, part, math.hypot(b.x - a.x, b.y - a.y))
            linkage.alter(name, part.model_copy(update={"slack": max(slack, 0.0)}))
            notes.append(
                f"{name} has {links} links and hangs {max(slack, 0.0):.2f} mm too long"
            )
    for cam in dict.fromkeys(
        follows.part
        for part in linkage.parts.values()
        if (follows := getattr(part, "follows", None)) is not None
    ):
        lost = lost_at_corners(linkage, cam)
        if lost > 0.05:
            notes.append(
                f"{cam} lifts up to {lost:.1f} mm less than written at the ends of its straight steps, where its follower cuts the corner"
            )
    return tuple(notes)
