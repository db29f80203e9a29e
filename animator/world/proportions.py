"""Proportions of the loops of four links: whether they can go round (Grashof), where they could fold over, at what angle a rod meets what it moves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from animator.geometry import Point, Pose, unit
from animator.parts._contract import Part, Slides, Turns
from animator.world.fitting import moment, plain
from animator.world.linkage import Block, End, Linkage, Tangle, Unled

if TYPE_CHECKING:
    from animator.scene.model import Scene

LEAST_ANGLE = math.radians(
    40
)  # Norton, Design of Machinery; VDI 2127 says the same (from memory)
CHANGE_POINT = 0.05  # mm; links whose sums agree this well can lie in one line: a saw's width


def grashof(ground: float, crank: float, coupler: float, rocker: float) -> str:
    """Tell which link of a four-bar can go right round.

    Parameters
    ----------
    ground, crank, coupler, rocker
        Distance of the fixed pivots, the driven arm, the bar between, the other arm. [mm]

    Returns
    -------
    str
        ``crank-rocker``, ``rocker-crank`` (the other arm goes round), ``double crank``, ``double rocker`` (only the coupler goes round),
        ``change point`` (the links can lie in one line), ``triple rocker`` (nothing goes round).

    Notes
    -----
    Grashof: the shortest and the longest link together no longer than the other two (any text on mechanisms).

    Examples
    --------
    >>> grashof(90, 30, 100, 60), grashof(30, 90, 60, 100), grashof(60, 30, 60, 30), grashof(90, 60, 30, 100)
    ('crank-rocker', 'double crank', 'change point', 'double rocker')
    >>> grashof(100, 40, 60, 40)
    'triple rocker'
    """
    links = sorted((ground, crank, coupler, rocker))
    spare = links[1] + links[2] - links[0] - links[3]
    if abs(spare) <= CHANGE_POINT:
        return "change point"
    if spare < 0:
        return "triple rocker"
    shortest = links[0]
    if crank == shortest:
        return "crank-rocker"
    if rocker == shortest:
        return "rocker-crank"
    return "double crank" if ground == shortest else "double rocker"


@dataclass(frozen=True)
class Meeting:
    """A rod or plate that moves a part: ``end`` is its pin at that part, ``member`` what turns or slides, ``other`` its pin on the driving side.

    ``hole`` and ``other_hole`` are the rod's own names for the two.
    """

    rod: str
    end: End
    member: str
    other: End
    hole: str
    other_hole: str

    def angle(self, at: Point, other: Point, member: Pose, direction: float | None) -> float:
        """Transmission angle: between the rod and the arm it moves, or the normal of a slide (Norton, *Design of Machinery*). [rad]

        Parameters
        ----------
        at, other
            Places of the two pins. [mm]
        member
            Where the moved part's own pivot stands.
        direction
            The way it slides; None for what turns. [rad]
        """
        rx, ry = other[0] - at[0], other[1] - at[1]
        if direction is None:
            ax, ay = member.x - at[0], member.y - at[1]
        else:
            c, s = unit(direction)
            ax, ay = -s, c
            if rx * ax + ry * ay < 0:  # a slide has no side: the smaller angle counts
                ax, ay = s, -c
        return math.atan2(abs(rx * ay - ry * ax), rx * ax + ry * ay)


def meetings(linkage: Linkage) -> list[Meeting]:
    """Find every rod or plate that alone closes the loop of one part that turns or slides.

    What a further rod binds as well is left out: two pairs of cranks at a right angle carry each other over their dead points.
    """
    found = []
    blocks = linkage.blocks(False)
    bound = {
        name
        for block in blocks
        if not block.unknowns
        for tie in block.ties
        for name in linkage.wants(tie)
    }
    for block in blocks:
        rods = linkage.members(block)
        if len(block.ties) != 1 or len(block.unknowns) != 1:
            continue
        name = block.unknowns[0]
        if name not in linkage.parts or not isinstance(linkage.held[name], (Turns, Slides)):
            continue
        if name in bound:
            continue
        near, tip = linkage.rods[rods[0]]
        moving = [end for end in (near, tip) if name in linkage.needs(end)]
        if len(moving) == 1 and linkage.carrier(moving[0])[0] == name:
            is_near = moving[0] is near
            holes = linkage.bases[rods[0]][:: 1 if is_near else -1]
            found.append(Meeting(rods[0], moving[0], name, tip if is_near else near, *holes))
    return found


class Meets:
    """The least and greatest angle at which each rod meets what it moves, and when."""

    def __init__(self, linkage: Linkage) -> None:
        self._linkage = linkage
        self.meetings = meetings(linkage) if linkage.driven else []
        self.low: dict[str, tuple[float, float]] = {}
        self.high: dict[str, tuple[float, float]] = {}

    def visit(self, turned: float) -> None:
        """Note the angles as everything stands now."""
        linkage = self._linkage
        for each in self.meetings:
            held = linkage.held[each.member]
            angle = each.angle(
                linkage.point(each.end.part, each.end.point),
                linkage.point(each.other.part, each.other.point),
                Pose(*linkage.place(each.member)),
                held.direction if isinstance(held, Slides) else None,
            )
            if each.rod not in self.low or angle < self.low[each.rod][0]:
                self.low[each.rod] = angle, turned
            if each.rod not in self.high or angle > self.high[each.rod][0]:
                self.high[each.rod] = angle, turned

    def notes(self) -> Iterator[str]:
        """Warn where a rod meets what it moves too flatly to carry well, and where a loop can lie in one line."""
        parts = self._linkage.parts
        for each in self.meetings:
            (low, when_low), (high, when_high) = self.low[each.rod], self.high[each.rod]
            worst, when = (low, when_low) if low <= math.pi - high else (high, when_high)
            if min(worst, math.pi - worst) < LEAST_ANGLE:
                yield (
                    f"{each.rod} meets {each.member} at {math.degrees(worst):.0f} degrees {moment(parts, when)}: a transmission angle outside 40 to 140 carries badly "
                    "and may bind with play and rubbing"
                )
            links = four_bar(self._linkage, each)
            if links is not None and grashof(*links) == "change point":
                yield (
                    f"{each.rod}, {each.member} and their crank can lie in one line (change point: {_sums(links)}); there {each.member} may go on or turn back; "
                    "stops short of the line, or a second pair of cranks a quarter turn on, make it sure"
                )


def four_bar(linkage: Linkage, meeting: Meeting) -> tuple[float, float, float, float] | None:
    """Lengths of ground, driven arm, coupler and moved arm, if a meeting closes a four-bar on two fixed pivots. [mm]"""
    driver, local = (
        linkage.carrier(meeting.other)
        if meeting.other.part in linkage.parts
        else ("", (0.0, 0.0))
    )
    if not driver or meeting.other.part not in linkage.parts:
        return None
    here, there = linkage.held[driver], linkage.held[meeting.member]
    if (
        not isinstance(here, Turns)
        or not isinstance(there, Turns)
        or driver not in linkage.driven
    ):
        return None
    arm = linkage.carrier(meeting.end)[1]
    length = linkage.length(meeting.rod)
    if length is None:
        return None
    ground = math.dist(linkage.place(driver), linkage.place(meeting.member))
    return ground, math.hypot(*local), length, math.hypot(*arm)


def _sums(links: tuple[float, float, float, float]) -> str:
    order = sorted(links)
    return f"{plain(order[0])} + {plain(order[3])} = {plain(order[1])} + {plain(order[2])} mm"


def why_not_round(linkage: Linkage, block: Block) -> str:
    """Say in the trade's terms why the loop of four links can't go round, '' where it is another sort of loop."""
    if len(block.ties) != 1 or len(block.unknowns) != 1:
        return ""
    found = next(
        (each for each in meetings(linkage) if each.rod in linkage.members(block)), None
    )
    if found is None:
        return ""
    links = four_bar(linkage, found)
    if links is not None:
        order = sorted(links)
        if order[0] + order[3] > order[1] + order[2]:
            return (
                f"shortest and longest link, {plain(order[0])} + {plain(order[3])}, are more than the other two, "
                f"{plain(order[1])} + {plain(order[2])} mm: no link of it goes right round (Grashof)"
            )
        names = (
            "the distance of the pivots",
            "the crank",
            f"'{found.rod}'",
            f"the arm of '{found.member}'",
        )
        shortest = names[links.index(order[0])]
        return f"to go round, the crank or the distance of the pivots would have to be the shortest link; that is {shortest}, {plain(order[0])} mm (Grashof)"
    held = linkage.held[found.member]
    if isinstance(held, Slides) and found.other.part in linkage.parts:
        driver, local = linkage.carrier(found.other)
        length = linkage.length(found.rod)
        if (
            driver in linkage.driven
            and length is not None
            and isinstance(linkage.held[driver], Turns)
        ):
            (x, y), (ax, ay) = linkage.place(found.member), linkage.place(driver)
            c, s = unit(held.direction)
            py = linkage.carrier(found.end)[1][1]
            offset = abs((y - ay) * c - (x - ax) * s + py)
            crank = math.hypot(*local)
            if length < crank + offset:
                more = f" + {plain(offset)} mm" if offset > 1e-6 else " mm"
                return f"a slider's rod is at least as long as crank and offset together: {plain(crank)}{more}"
    return ""


_KEPT: list[tuple[Mapping[str, Part], dict[str, Meeting]]] = []


def meetings_of(scene: Scene) -> Mapping[str, Meeting]:
    """Meetings of an assembled scene, by rod; the last few scenes' are kept."""
    for parts, found in _KEPT:
        if parts is scene.parts:
            return found
    linkage = Linkage(scene.parts)
    try:
        found = {each.rod: each for each in meetings(linkage)} if linkage.driven else {}
    except (Tangle, Unled):
        found = {}
    _KEPT.insert(0, (scene.parts, found))
    del _KEPT[4:]
    return found
