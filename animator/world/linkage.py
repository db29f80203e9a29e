"""The piece as pure geometry: where every part stands when the drives have turned so far, its loops closed by solving.

Parts that turn or slide freely have one unknown each, loose joints two; every rod of given length takes one away, every further pin of a
plate two. Loops are closed smallest first. Blocks of one or two rods are closed exactly (circle and circle, circle and line), larger ones by damped least squares.
Nothing heavy is imported: a turn of 73 positions of a small piece takes a few milliseconds in plain floats.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

from animator import outlines, trains
from animator.geometry import Point, Pose, distance, unit
from animator.outlines import Stance, Tip
from animator.parts._contract import Floats, Held, Part, Rides, Slides, Still, Turns
from animator.parts._views import place_across
from animator.units import Wrong

CLOSED = 1e-6  # mm; a closed loop is closed to rounding
ROUNDED = 0.02  # mm; how far a rod may be off that only repeats what others say: makers write two digits
LARGEST_BLOCK = 5  # rods that close one another; more are solved together as one
NEARLY_STRAIGHT = 0.05  # of the shorter link; nearer to its dead point a joint follows its own swing, not its side
SWINGS = tuple(
    map(math.radians, (0, 40, -40, 80, -80, 130, -130, 180))
)  # attitudes a large block is tried from
WAYS: Mapping[str, Point] = {"right": (1, 0), "up": (0, 1), "left": (-1, 0), "down": (0, -1)}


class Tangle(Exception):
    """Parts that stand on each other in a ring."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


class Exhausted(Exception):
    """Too much trying: the dimensions tried for advice are left as they are."""


class Unled(Exception):
    """A part that can't follow what leads it (a pin that leaves its slot)."""

    def __init__(self, name: str, wrong: Wrong) -> None:
        super().__init__(wrong.what)
        self.name, self.wrong = name, wrong


class Beside(Exception):
    """A follower whose line passes beside its cam."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


@dataclass(frozen=True)
class End:
    """Where a rod is pinned: a point of a part, or a loose joint (``point`` is '' then)."""

    part: str
    point: str


@dataclass(frozen=True)
class Tie:
    """What takes one freedom away: the distance between the two pins a floating part hangs on, or one coordinate of a further pin of it.

    ``axis`` is None for the distance; else the pin's place in the part (``hole``) must meet the place ``at`` along that axis of the plane.
    """

    part: str
    near: End
    tip: End
    hole: str = ""
    at: End | None = None
    axis: Point | None = None


@dataclass
class Block:
    """Ties (by name) and unknowns that close one another. ``side`` remembers which of two ways it closed; ``swing`` where its unknown was."""

    ties: tuple[str, ...]
    unknowns: tuple[str, ...]
    side: int = 0
    swing: list[float] = field(default_factory=list)
    was_dead: bool = False
    """Whether it stood near a dead point where it was closed before."""
    choices: int = 1
    """Ways to close at the start that lie near the drawing."""


class Linkage:
    """Poses of all parts over the turn of the first drive.

    Parameters
    ----------
    parts
        The scene's parts; lengths may still be ``fitted``.
    effort
        Counts down the large blocks closed, and stops at nought; None: as many as it takes.
    """

    def __init__(self, parts: Mapping[str, Part], effort: list[int] | None = None) -> None:
        self.parts = dict(parts)
        self._effort = effort
        self.held = upright({name: part.held() for name, part in self.parts.items()})
        self.points = {name: part.points() for name, part in self.parts.items()}
        self.turned = 0.0
        self.driven = trains.running_senses(self.parts)
        self.values: dict[str, float] = {}
        self.joints: dict[str, Point] = {}
        self.fitted: dict[str, float] = {}
        self._standing: dict[str, Point] = {}
        self._cache: dict[str, Pose] = {}
        self._visiting: list[str] = []
        self._stances: dict[str, tuple[Stance, Tip, Any]] = {}
        self._needs: dict[End, frozenset[str]] = {}
        self.started: list[Block] = []
        self.drawn = {
            name: self._drawn(name)
            for name, held in self.held.items()
            if isinstance(held, (Turns, Slides))
        }
        self.coupled = self._couple()
        self.led = dict(self._leading())
        self.bases = {
            name: _base(part)
            for name, part in self.parts.items()
            if any(True for _ in part.pinned())
        }
        self.rods = {name: self._ends(name) for name in self.bases}
        self.threaded = {
            pin.to.part: name
            for name in self.rods
            for pin in self.parts[name].pinned()
            if pin.slides
        }
        self.ties = dict(self._tie())
        self._hang()

    # ------------------------------------------------------------ what is unknown
    def _leading(self) -> Iterator[tuple[str, str]]:
        """Parts whose turning or sliding another thing decides, and the part that tells how: itself, or a wheel fixed to it."""
        for name, part in self.parts.items():
            if any(True for _ in part.led_by()):
                root = part.leads() or name
                if isinstance(self.held[root], Rides):
                    root = trains.turning_part(self.parts, root)
                if isinstance(self.held[root], (Turns, Slides)):
                    yield root, name

    def _drawn(self, name: str) -> float:
        held = self.held[name]
        assert isinstance(held, (Turns, Slides))
        return held.drawn

    def _couple(self) -> dict[str, tuple[str, float]]:
        """Undriven parts that a belt turns with another undriven one: name -> (the other, turns for one of it)."""
        found: dict[str, tuple[str, float]] = {}
        for first, second, ratio in trains.couplings(self.parts):
            if first in self.driven or second in self.driven or first == second:
                continue
            root, times = found.get(first, (first, 1.0))
            if second not in found and root != second:
                found[second] = root, times * ratio
        return found

    def _ends(self, rod: str) -> tuple[End, End]:
        """Where the two points lie on which a floating part hangs."""
        near, tip = (self._chase(rod, point) for point in self.bases[rod])
        return near, tip

    def _tie(self) -> Iterator[tuple[str, Tie]]:
        """Find what every floating part takes away from the freedom of the others, by name."""
        for name, (near, tip) in self.rods.items():
            pins = list(self.parts[name].pinned())
            if not any(pin.slides for pin in pins):
                yield name, Tie(name, near, tip)
            for pin in pins:
                if pin.point not in self.bases[name]:
                    at = self._chase(name, pin.point)
                    for letter, axis in (("x", (1.0, 0.0)), ("y", (0.0, 1.0))):
                        yield (
                            f"{name}.{pin.point}.{letter}",
                            Tie(name, near, tip, pin.point, at, axis),
                        )

    def _chase(self, part: str, point: str) -> End:
        """Follow a pin through the ends of floating parts to whatever carries it."""
        seen: list[tuple[str, str]] = []
        while part in self.parts and (
            part in self.bases or isinstance(self.held[part], Floats)
        ):
            pins = {pin.point: pin.to for pin in self.parts[part].pinned()}
            if not pins:
                return End(part, "")
            if (
                (part, point) in seen
            ):  # pinned to each other only: a loose joint, called after the first of them
                order = list(self.parts)
                ring = seen[seen.index((part, point)) :]
                first = min(ring, key=lambda pair: (order.index(pair[0]), pair[1]))
                return End(".".join(first), "")
            seen.append((part, point))
            if point not in pins:
                if point in self.bases[part]:
                    return End(f"{part}.{point}", "")
                break
            part, point = pins[point].part, pins[point].point
            if part in self.parts:
                point = point or next(iter(self.points[part]))
        return End(part, point)

    def _hang(self) -> None:
        for ends in self.rods.values():
            for end in ends:
                if not end.point:
                    self.joints.setdefault(end.part, (0.0, 0.0))
        for name, held in self.held.items():
            if isinstance(held, Floats) and name not in self.rods:
                self.joints.setdefault(name, (0.0, 0.0))

    def loose(self) -> list[str]:
        """Names of the parts that no rod holds and nothing else either."""
        pinned = {end.part for ends in self.rods.values() for end in ends}
        pinned |= {tie.at.part for tie in self.ties.values() if tie.at is not None}
        return [name for name in self.joints if name in self.parts and name not in pinned]

    def length(self, rod: str) -> float | None:
        """Length between the two pins a floating part hangs on, None while it is to be fitted. [mm]"""
        length = getattr(self.parts[rod], "length", None)
        if length is None:
            near, tip = (self.points[rod][point] for point in self.bases[rod])
            return distance(near, tip)
        return self.fitted.get(rod) if length == "fitted" else float(length)

    def members(self, block: Block) -> list[str]:
        """Names of the rods and plates whose ties a block closes."""
        return list(dict.fromkeys(self.ties[tie].part for tie in block.ties))

    # ------------------------------------------------------------ poses
    def turn(self, turned: float) -> None:
        """Let the first drive stand at an angle [rad] in its running direction; loops must be closed anew."""
        self.turned = turned
        self._cache = {}

    def angle(self, name: str) -> float:
        """Angle of a part that turns about its own place. [rad]"""
        return self._way(name)

    def _way(self, name: str) -> float:
        """How far a part is turned [rad] or slid [mm]."""
        if name in self.led:
            return self._lead(name)
        if name in self.threaded:
            before = self.values.get(name, self.drawn[name])
            self.values[name] = before + wrap(self.pose(self.threaded[name]).angle - before)
            return self.values[name]
        if name in self.driven:
            return self.drawn[name] + self.driven[name] * self.turned
        if name in self.coupled:
            root, times = self.coupled[name]
            return self.drawn[name] + times * (self._way(root) - self.drawn[root])
        return self.values.get(name, self.drawn[name])

    def _lead(self, name: str) -> float:
        """Let a part follow what leads it, and remember where it stood."""
        leader = self.led[name]
        try:
            value = self.parts[leader].led(self, self.values.get(name, self.drawn[name]))
        except Wrong as wrong:
            raise Unled(leader, wrong) from None
        self.values[name] = value
        return value

    def place(self, name: str) -> Point:
        """Where a part stands by its ``at``."""
        where = self.held[name].at  # type: ignore[union-attr]
        right, up = where.offset
        if where.ref is None:
            return float(right), float(up)
        if name in self._standing:
            return self._standing[name]
        x, y = place_across(
            self.point(where.ref.part, where.ref.point), where.ref.part, name, self.parts
        )
        return x + right, y + up

    def stand(self) -> None:
        """Hold fast what is set out from a point without lying on it: from now on it is a place of the frame."""
        for name, held in self.held.items():
            if (
                isinstance(held, (Still, Turns, Slides))
                and held.at.ref is not None
                and tuple(held.at.offset) != (0.0, 0.0)
            ):
                self._standing[name] = self.place(name)

    def point(self, part: str, point: str) -> Point:
        """Place of a part's named point."""
        if part in self.joints:
            return self.joints[part]
        if part not in self.parts:
            return 0.0, 0.0
        return self.pose(part).place(self.local(part, point))

    def local(self, part: str, point: str) -> Point:
        """Give a named point in its part's own frame; a rod that is still to be cut is as long as its pins stand apart."""
        points = self.points[part]
        if part in self.rods and self.length(part) is None and point not in ("", "near"):
            near, tip = (self.point(end.part, end.point) for end in self.rods[part])
            points = self.parts[part].with_dimension("length", distance(near, tip)).points()
        return points[point] if point else next(iter(points.values()))

    def pose(self, name: str) -> Pose:
        """Pose of a part's own frame."""
        found = self._cache.get(name)
        if found is None:
            if name in self._visiting:
                raise Tangle(name)
            self._visiting.append(name)
            try:
                found = self._pose(name)
            finally:
                self._visiting.pop()
            self._cache[name] = found
        return found

    def _pose(self, name: str) -> Pose:
        held = self.held[name]
        if isinstance(held, Rides):
            on = held.on
            if on.part not in self.parts:
                return Pose(held.offset[0], held.offset[1], held.angle)
            if on.part in self.joints:
                return Pose(*self.joints[on.part], held.angle)
            x, y = self.local(on.part, on.point)
            return self.pose(on.part).compose(
                Pose(x + held.offset[0], y + held.offset[1], held.angle)
            )
        if isinstance(held, Turns):
            return Pose(*self.place(name), self.angle(name))
        if isinstance(held, Slides):
            x, y = self.place(name)
            c, s = unit(held.direction)
            x, y = x + held.offset * s, y - held.offset * c
            if held.follows is not None:
                return self._lifted(name, (x, y), held)
            along = self._way(name)
            return Pose(x + along * c, y + along * s, held.direction)
        if isinstance(held, Floats):
            if name in self.joints:
                return Pose(*self.joints[name], 0.0)
            (ax, ay), (bx, by) = (self._stand_of(end) for end in self.rods[name])
            px, py, way = self._foot(name)
            angle = wrap(math.atan2(by - ay, bx - ax) - way)
            c, s = unit(angle)
            return Pose(ax - c * px + s * py, ay - s * px - c * py, angle)
        if isinstance(held, Still):
            return Pose(*self.place(name), 0.0)
        return Pose()

    def _stand_of(self, end: End) -> Point:
        """Place of a pin; of what turns about it, without asking how far it is turned."""
        held = self.held.get(end.part)
        if isinstance(held, Turns) and math.hypot(*self.local(end.part, end.point)) < 1e-9:
            return self.place(end.part)
        return self.point(end.part, end.point)

    def _foot(self, name: str) -> tuple[float, float, float]:
        """First of the two points a floating part hangs on, and the way to the second, in its own frame. [mm, mm, rad]"""
        (px, py), (qx, qy) = (self.points[name][point] for point in self.bases[name])
        return (
            px,
            py,
            math.atan2(qy - py, qx - px),
        )  # of a rod still to be cut, 0: it lies along its own x axis

    def _lifted(self, name: str, foot: Point, held: Slides) -> Pose:
        assert held.follows is not None
        cam = held.follows.part
        axis = self.pose(cam)
        c, s = unit(held.direction)
        aside = (foot[0] - axis.x) * s - (foot[1] - axis.y) * c
        stance, tip, outline = self._stance(name, cam, aside)
        turned = stance.sense * axis.angle
        try:
            if outline is None:
                reach = outlines.start_reach(self.parts[cam], tip, turned, stance)
            else:
                reach = outline.reach(tip, stance, turned)
        except ValueError:
            raise Beside(name) from None
        return Pose(
            axis.x + aside * s + reach * c, axis.y - aside * c + reach * s, held.direction
        )

    def stance(self, follower: str) -> tuple[Stance, Tip, Any]:
        """How a follower that has been placed stands to its cam, and its tip."""
        return self._stances[follower]

    def _stance(self, name: str, cam: str, aside: float) -> tuple[Stance, Tip, Any]:
        """How a follower stands to its cam, its tip, and the cam's outline if it can't be reckoned in closed form for this follower."""
        if name not in self._stances:
            held = self.held[name]
            assert isinstance(held, Slides)
            stance, tip = (
                Stance(held.direction, aside, trains.sense_of(self.parts, cam)),
                outlines.tip_of(self.parts[name]),
            )
            # a drop or a traced edge must be felt, and so must a cam that was laid out for another follower
            is_own = outlines.laid_out_for(self.parts, cam) == name
            outline = None if is_own else outlines.laid_out(self, cam)
            self._stances[name] = stance, tip, outline
        return self._stances[name]

    # ------------------------------------------------------------ loops
    def needs(self, end: End) -> frozenset[str]:
        """Unknowns on which a place depends."""
        if end not in self._needs:
            self._needs[end] = frozenset()  # a ring of parts is told elsewhere
            self._needs[end] = frozenset(self._reckon_needs(end))
        return self._needs[end]

    def _reckon_needs(self, end: End) -> set[str]:
        if end.part in self.joints:
            return {end.part}
        if end.part not in self.parts:
            return set()
        held = self.held[end.part]
        if isinstance(held, Rides):
            root, local = self.carrier(end)
            if root == end.part:  # rides on the frame
                return set()
            return self._own_needs(root, local)
        if isinstance(held, Floats):
            return self._hanging_needs(end.part)
        points = self.points[end.part]
        return self._own_needs(
            end.part, points[end.point] if end.point else next(iter(points.values()))
        )

    def _own_needs(self, name: str, local: Point) -> set[str]:
        held = self.held[name]
        found: set[str] = set()
        if isinstance(held, (Still, Turns, Slides)) and held.at.ref is not None:
            found |= self.needs(End(held.at.ref.part, held.at.ref.point))
        if name in self.led:
            if not isinstance(held, Turns) or math.hypot(*local) > 1e-9:
                for ref in self.parts[self.led[name]].led_by():
                    found |= self.needs(End(ref.part, ref.point)) | self._turning_needs(
                        ref.part
                    )
            return found
        if name in self.threaded:
            if math.hypot(*local) > 1e-9:
                found |= self._hanging_needs(self.threaded[name])
            return found
        if isinstance(held, Turns) and name not in self.driven and math.hypot(*local) > 1e-9:
            found.add(self.coupled[name][0] if name in self.coupled else name)
        if isinstance(held, Slides):
            if held.follows is None:
                if name not in self.driven:
                    found.add(self.coupled[name][0] if name in self.coupled else name)
            else:
                shaft = trains.turning_part(self.parts, held.follows.part)
                if shaft not in self.driven:
                    found.add(self.coupled[shaft][0] if shaft in self.coupled else shaft)
        if isinstance(held, Floats):
            found |= self.needs(End(name, ""))
        return found

    def _hanging_needs(self, name: str) -> set[str]:
        """Unknowns on which a floating part depends."""
        near, tip = self.rods[name]
        return set(self.needs(near) | self.needs(tip))

    def _turning_needs(self, name: str) -> frozenset[str]:
        """Unknowns on which the attitude of a part depends."""
        shaft = trains.turning_part(self.parts, name)
        held = self.held.get(shaft)
        if isinstance(held, Turns):
            return frozenset(self._own_needs(shaft, (1.0, 0.0)))
        return self.needs(End(shaft, ""))

    def carrier(self, end: End) -> tuple[str, Point]:
        """Part that finally carries a point, and the point in that part's frame."""
        name = end.part
        points = self.points[name]
        inner = Pose(*(points[end.point] if end.point else next(iter(points.values()))))
        while isinstance(held := self.held[name], Rides) and held.on.part in self.parts:
            outer = self.points[held.on.part]
            x, y = outer[held.on.point] if held.on.point else next(iter(outer.values()))
            inner = Pose(x + held.offset[0], y + held.offset[1], held.angle).compose(inner)
            name = held.on.part
        return name, (inner.x, inner.y)

    def blocks(self, is_start: bool) -> list[Block]:
        """Order the ties into blocks that close one after another, smallest first; what is left over hangs and makes the last ones."""
        left = [
            tie
            for tie, of in self.ties.items()
            if not (is_start and (self.length(of.part) is None or self._loose_crank(of.part)))
        ]
        # both coordinates of a pin go together: one of them alone may have no slope
        groups: dict[tuple[str, str], list[str]] = {}
        for tie in left:
            groups.setdefault((self.ties[tie].part, self.ties[tie].hole), []).append(tie)
        together = [tuple(group) for group in groups.values()]
        known: set[str] = set()
        found: list[Block] = []
        while left:
            block = self._next_block(together, known)
            if block is None:
                break
            found.append(block)
            known |= set(block.unknowns)
            left = [tie for tie in left if tie not in block.ties]
            together = [group for group in together if group[0] in left]
        while (
            left
        ):  # hangs: all ties that share unknowns are closed together, nearest to the drawing
            ties, wanted = [left[0]], self.wants(left[0]) - known
            while more := [
                tie for tie in left if tie not in ties and (self.wants(tie) - known) & wanted
            ]:
                ties += more
                for tie in more:
                    wanted |= self.wants(tie) - known
            found.append(Block(tuple(ties), tuple(self._sorted(wanted))))
            known |= wanted
            left = [tie for tie in left if tie not in ties]
        return found

    def _next_block(self, left: Sequence[tuple[str, ...]], known: set[str]) -> Block | None:
        wants = [self.wants(group[0]) - known for group in left]
        for size in range(1, min(LARGEST_BLOCK, len(left)) + 1):
            if size > 2 and len(left) > 14:  # a piece with so many open ties hangs anyway
                return None
            for chosen in combinations(range(len(left)), size):
                wanted: set[str] = set().union(*(wants[i] for i in chosen))
                ties = tuple(tie for i in chosen for tie in left[i])
                if sum(2 if name in self.joints else 1 for name in wanted) <= len(ties):
                    return Block(ties, tuple(self._sorted(wanted)))
        return None

    def _sorted(self, names: set[str]) -> list[str]:
        order = [*self.parts, *(name for name in self.joints if name not in self.parts)]
        return sorted(names, key=order.index)

    def wants(self, tie: str) -> set[str]:
        """Unknowns that a tie has a say in."""
        of = self.ties[tie]
        found = self._hanging_needs(of.part)
        return found if of.at is None else found | self.needs(of.at)

    def _loose_crank(self, rod: str) -> str | None:
        """Name of the crank of still unknown radius that a rod hangs on."""
        for end in self.rods[rod]:
            if (
                getattr(self.parts.get(end.part), "radius", None) == "fitted"
                and end.part not in self.fitted
            ):
                return end.part
        return None

    def gap(self, tie: str) -> float:
        """How much two pins stand farther apart than their part allows, or how far a further pin is off along its axis. [mm]"""
        of = self.ties[tie]
        if of.at is not None and of.axis is not None:
            x, y = self.pose(of.part).place(self.points[of.part][of.hole])
            ax, ay = self.point(of.at.part, of.at.point)
            return (x - ax) * of.axis[0] + (y - ay) * of.axis[1]
        length = self.length(of.part)
        assert length is not None
        return (
            distance(
                self.point(of.near.part, of.near.point), self.point(of.tip.part, of.tip.point)
            )
            - length
        )

    # ------------------------------------------------------------ closing one block
    def close(self, block: Block, is_start: bool = False) -> float:
        """Close a block where the drives stand now. Gives what stays open [mm]: 0 when it closes."""
        if not block.unknowns:
            worst = max(abs(self.gap(tie)) for tie in block.ties)
            return 0.0 if worst <= ROUNDED else worst
        if len(block.unknowns) == 1 and all(self.ties[tie].at is None for tie in block.ties):
            if block.unknowns[0] in self.joints:
                if len(block.ties) == 2:
                    return self._close_joint(block, is_start)
            elif len(block.ties) == 1:
                open_by = self._close_single(block, is_start)
                if open_by is not None:
                    return open_by
        return self._close_any(block, is_start)

    def _close_single(self, block: Block, is_start: bool) -> float | None:
        """One rod, one part that turns or slides: circle and circle, or circle and line. None if the block is of another sort."""
        rod, name = self.ties[block.ties[0]].part, block.unknowns[0]
        near, tip = self.rods[rod]
        moving = [end for end in (near, tip) if name in self.needs(end)]
        if len(moving) != 1 or moving[0].part not in self.parts:
            return None
        own, local = self.carrier(moving[0])
        if own != name:
            return None
        held, length = self.held[name], self.length(rod)
        assert length is not None
        fixed = tip if moving[0] is near else near
        other = self.point(fixed.part, fixed.point)
        if isinstance(held, Turns):
            pivot, arm = self.place(name), math.hypot(*local)
            found, open_by = meet_circles(pivot, arm, other, length)
            turn = math.atan2(local[1], local[0])
            values = [math.atan2(y - pivot[1], x - pivot[0]) - turn for x, y in found]
        elif isinstance(held, Slides):
            x, y = self.place(name)
            c, s = unit(held.direction)
            foot = (
                x + held.offset * s + c * local[0] - s * local[1],
                y - held.offset * c + s * local[0] + c * local[1],
            )
            values, open_by = meet_line(foot, (c, s), other, length)
        else:
            return None
        spread = (
            abs(wrap(values[1] - values[0])) * math.hypot(*local)
            if isinstance(held, Turns)
            else abs(values[1] - values[0])
        )
        self.values[name] = self._choose(
            block,
            name,
            values,
            spread / 2 < NEARLY_STRAIGHT * length,
            is_start,
            isinstance(held, Turns),
        )
        self._cache = {}
        return open_by

    def _choose(
        self,
        block: Block,
        name: str,
        values: Sequence[float],
        is_dead: bool,
        is_start: bool,
        is_angle: bool,
    ) -> float:
        """Take one of two ways to close: at the start by knee or nearest to the drawing, then the same side all the way round."""
        drawn = self.drawn[name] if is_start else self.values.get(name, self.drawn[name])
        if is_start or not block.side:
            if is_angle:
                values = [drawn + wrap(value - drawn) for value in values]
            order = sorted((0, 1), key=lambda i: abs(values[i] - drawn))
            pick = (
                next((i for i in order if self._knee(block, name, values[i])), order[0])
                if is_start
                else order[0]
            )
            block.side = 1 if pick == 0 else -1
            block.swing = [values[pick], values[pick]]
            block.choices = (
                sum(abs(value - drawn) < math.radians(100) for value in values)
                if is_angle and not is_dead
                else 1
            )
            return values[pick]
        before, last = block.swing
        expected = 2 * last - before
        if is_angle:
            values = [expected + wrap(value - expected) for value in values]
        pick = 0 if block.side > 0 else 1
        if is_dead or block.was_dead:  # just past a dead point too: in it both ways are one
            pick = min((0, 1), key=lambda i: abs(values[i] - expected))
            block.side = 1 if pick == 0 else -1
        block.swing = [last, values[pick]]
        block.was_dead = is_dead
        return values[pick]

    def _knee(self, block: Block, name: str, value: float) -> bool:
        """Tell whether the joint lies on the side its rod's ``knee`` asks for."""
        was = self.values.get(name)
        for rod in self.members(block):
            knee = getattr(self.parts[rod], "knee", None)
            if knee is None:
                continue
            self.values[name] = value
            self._cache = {}
            off = self._off_line(rod, name)
            if off[0] * WAYS[knee][0] + off[1] * WAYS[knee][1] < -1e-9:
                if was is not None:
                    self.values[name] = was
                self._cache = {}
                return False
        return True

    def _off_line(self, rod: str, name: str) -> Point:
        """How far a rod's far joint lies off the line between its neighbours: its first pin and the next part's pivot."""
        near, tip = self.rods[rod]
        ax, ay = self.point(near.part, near.point)
        jx, jy = self.point(tip.part, tip.point)
        if name in self.needs(near) and name not in self.needs(tip):
            ax, ay, jx, jy = jx, jy, ax, ay
        dx, dy = jx - ax, jy - ay
        if isinstance(self.held.get(name), Turns):
            bx, by = self.place(name)
            square = (bx - ax) ** 2 + (by - ay) ** 2
            if square > 1e-12:
                along = (dx * (bx - ax) + dy * (by - ay)) / square
                return dx - along * (bx - ax), dy - along * (by - ay)
        return dx, dy

    def _close_joint(self, block: Block, is_start: bool) -> float:
        """Two rods that meet in a loose joint: circle and circle."""
        name = block.unknowns[0]
        centres = []
        for rod in self.members(block):
            near, tip = self.rods[rod]
            if (near.part == name) == (tip.part == name):
                return self._close_any(block, is_start)
            fixed = tip if near.part == name else near
            if name in self.needs(fixed):
                return self._close_any(block, is_start)
            centres.append((self.point(fixed.part, fixed.point), self.length(rod) or 0.0))
        found, open_by = meet_circles(*centres[0], *centres[1])
        if is_start:
            knees = [getattr(self.parts[rod], "knee", None) for rod in self.members(block)]
            way = WAYS[next((knee for knee in knees if knee), "down")]  # what hangs, hangs down
            block.side = (
                1
                if (found[0][0] - found[1][0]) * way[0] + (found[0][1] - found[1][1]) * way[1]
                >= 0
                else -1
            )
        elif not block.side:
            block.side = (
                1
                if distance(found[0], self.joints[name])
                <= distance(found[1], self.joints[name])
                else -1
            )
        self.joints[name] = found[0 if block.side > 0 else 1]
        self._cache = {}
        return open_by

    # ------------------------------------------------------------ larger blocks
    def _close_any(self, block: Block, is_start: bool) -> float:
        """Close a block of any size by damped least squares: from where it stands, or at the start from the drawing and seven attitudes more."""
        self._cache = {}
        if not is_start:
            return self._descend(block)
        best: tuple[tuple[bool, bool, float], float, list[float]] | None = None
        for swing in SWINGS:
            for name in block.unknowns:
                if name in self.joints:
                    self.joints[name] = self._guess(name, block)
                else:
                    self.values[name] = self.drawn[name] + (
                        swing if isinstance(self.held[name], Turns) else 0.0
                    )
            self._cache = {}
            open_by = self._descend(block)
            here = self._read(block)
            far = sum(
                abs(wrap(self.values[n] - self.drawn[n]))
                for n in block.unknowns
                if isinstance(self.held.get(n), Turns)
            )
            is_off = any(
                not self._knee(Block((tie,), ()), name, self.values[name])
                for tie in block.ties
                for name in block.unknowns
                if name in self.values and name in self.wants(tie)
            )
            self._write(block, here)
            score = (open_by > CLOSED, is_off, far if open_by <= CLOSED else open_by)
            if best is None or score < best[0]:
                best = score, open_by, here
            if score[:2] == (False, False) and not swing:
                break
        assert best is not None
        self._write(block, best[2])
        return best[1]

    def _guess(self, name: str, block: Block) -> Point:
        """Somewhere to begin for a loose joint: below the middle of what its rods hang on."""
        others = [
            end
            for rod in self.members(block)
            for end in self.rods[rod]
            if end.part != name and name in {e.part for e in self.rods[rod]}
        ]
        places = [self.point(end.part, end.point) for end in others] or [(0.0, 0.0)]
        return sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(
            places
        ) - 30.0

    def _read(self, block: Block) -> list[float]:
        found: list[float] = []
        for name in block.unknowns:
            found += (
                self.joints[name]
                if name in self.joints
                else (self.values.get(name, self.drawn.get(name, 0.0)),)
            )
        return found

    def _write(self, block: Block, values: Sequence[float]) -> None:
        numbers = iter(values)
        for name in block.unknowns:
            if name in self.joints:
                self.joints[name] = next(numbers), next(numbers)
            else:
                self.values[name] = next(numbers)
        self._cache = {}

    def _descend(self, block: Block) -> float:
        """Levenberg and Marquardt's damped least squares with differences for slopes; gives the worst gap left. [mm]"""
        if self._effort is not None:
            self._effort[0] -= 1
            if self._effort[0] < 0:
                raise Exhausted

        def gaps(values: Sequence[float]) -> list[float]:
            self._write(block, values)
            return [self.gap(tie) for tie in block.ties]

        here = self._read(block)
        open_now = gaps(here)
        is_loose = [
            name in self.joints
            for name in block.unknowns
            for _ in range(2 if name in self.joints else 1)
        ]
        owner = [
            name for name in block.unknowns for _ in range(2 if name in self.joints else 1)
        ]
        scale = [
            1.0 if loose or isinstance(self.held[name], Slides) else 0.03
            for name, loose in zip(owner, is_loose, strict=True)
        ]
        damping, best = 1e-3, math.inf
        for step in range(60):
            square = sum(gap * gap for gap in open_now)
            if max(map(abs, open_now)) < CLOSED / 100 or (step % 6 == 5 and square > best / 2):
                break  # closed, or getting nowhere
            if step % 6 == 5:
                best = square
            slopes = []
            for i, size in enumerate(scale):
                moved = gaps(
                    [value + (1e-5 * size if k == i else 0.0) for k, value in enumerate(here)]
                )
                slopes.append([(b - a) / 1e-5 for a, b in zip(open_now, moved, strict=True)])
            for _ in range(14):
                move = solve_damped(slopes, open_now, damping)
                there = [
                    value - size * part
                    for value, size, part in zip(here, scale, move, strict=True)
                ]
                open_there = gaps(there)
                if sum(gap * gap for gap in open_there) < square:
                    here, open_now, damping = there, open_there, max(damping / 10, 1e-10)
                    break
                damping = max(damping * 10, 1e-4)
            else:
                break
        self._write(block, here)
        worst = max(map(abs, open_now))
        free = sum(2 if name in self.joints else 1 for name in block.unknowns)
        limit = ROUNDED if free < len(block.ties) else CLOSED
        return 0.0 if worst <= limit else worst

    # ------------------------------------------------------------ the start and the turn
    def start(self) -> tuple[Block, float] | None:
        """Stand everything at the start and measure what is fitted. Gives the first block that can't close, and by how much."""
        self.turn(0.0)
        for part in list(self.parts.values()):
            for name, path, length in part.fits(self):
                self.alter(name, self.parts[name].with_dimension(path, length))
                self.fitted[name] = length
        self.started = self.blocks(True)
        for block in self.started:
            open_by = self.close(block, True)
            if open_by:
                return block, open_by
        for tie, of in self.ties.items():
            crank = self._loose_crank(of.part)
            if crank is not None and self.length(of.part) is not None:
                open_by = self._fit_crank(of.part, crank)
                if open_by:
                    return Block((tie,), (crank,)), open_by
        for rod, (near, tip) in self.rods.items():
            if self.length(rod) is None:
                cut = distance(
                    self.point(near.part, near.point), self.point(tip.part, tip.point)
                )
                self.fitted[rod] = cut
                self.alter(rod, self.parts[rod].with_dimension("length", cut))
        self.stand()
        return None

    def _fit_crank(self, rod: str, crank: str) -> float:
        """Make a crank as long as its rod asks for, everything else standing as drawn."""
        near, tip = self.rods[rod]
        fixed = tip if near.part == crank else near
        pose = self.pose(crank)
        way = unit(pose.angle + self.parts[crank].angle)  # type: ignore[attr-defined]
        found, open_by = meet_line(
            (pose.x, pose.y), way, self.point(fixed.part, fixed.point), self.length(rod) or 0.0
        )
        lengths = [value for value in found if value > 0]
        if open_by or not lengths:
            return open_by or -max(found) or 1.0
        self.alter(crank, self.parts[crank].with_dimension("radius", min(lengths)))
        self.fitted[crank] = min(lengths)
        return 0.0

    def alter(self, name: str, part: Part) -> None:
        """Put a part in the place of one of the same name and hold."""
        self.parts[name] = part
        self.points[name] = part.points()
        self._cache = {}

    def positions(self, step: float = math.radians(5)) -> Iterator[float]:
        """Angles of the first drive to try: a turn of its shaft, or more if a slower shaft then has made one, at most ten."""
        speeds = [abs(speed) for name, speed in self.driven.items() if speed] or [1.0]
        turns = min(10, max(1, math.ceil(1 / min(speeds) - 1e-9)))
        pace = step / max(1.0, min(6.0, max(speeds)))
        count = math.ceil(turns * math.tau / pace - 1e-9)
        for i in range(count + 1):
            yield turns * math.tau * i / count

    def go_round(
        self,
        visit: Callable[[float], None] | None = None,
        step: float = math.radians(5),
        only: Sequence[Block] | None = None,
    ) -> tuple[Block, float, float] | None:
        """Turn the first drive round. Gives the first block that can't close, by how much [mm], and the angle [rad]; leaves the drives at 0."""
        blocks = self.blocks(False) if only is None else only
        keep = dict(self.values), dict(self.joints)
        failed = None
        for block in blocks:
            block.side, block.was_dead = 0, False
        for turned in self.positions(step):
            self.turn(turned)
            for block in blocks:
                open_by = self.close(block)
                if open_by:
                    failed = block, open_by, turned
                    break
            if failed:
                break
            if visit is not None:
                visit(turned)
        self.values, self.joints = keep
        self.turn(0.0)
        return failed


def _base(part: Part) -> tuple[str, str]:
    """Name the two points a floating part hangs on: its first two pins, or else points of it that others are pinned to."""
    pins = [pin.point for pin in part.pinned()]
    names = pins + [name for name in part.points() if name not in pins]
    return names[0], names[1]


def wrap(angle: float) -> float:
    """Bring an angle between -pi and pi [rad]."""
    return (angle + math.pi) % math.tau - math.pi


def meet_circles(a: Point, radius: float, b: Point, other: float) -> tuple[list[Point], float]:
    """Points that lie ``radius`` from ``a`` and ``other`` from ``b``, left of the line a-b first, and what is missing for them to be any [mm].

    If the circles don't meet, the two points are one: the nearest there is.
    """
    dx, dy = b[0] - a[0], b[1] - a[1]
    apart = math.hypot(dx, dy)
    if apart < 1e-12:
        return [(a[0] + radius, a[1])] * 2, abs(radius - other)
    along = (apart * apart + radius * radius - other * other) / (2 * apart)
    square = radius * radius - along * along
    ux, uy = dx / apart, dy / apart
    missing = max(0.0, apart - radius - other, abs(radius - other) - apart)
    if square <= 0:
        along = math.copysign(radius, along)
        square = 0.0
    off = math.sqrt(square)
    x, y = a[0] + along * ux, a[1] + along * uy
    return [
        (x - off * uy, y + off * ux),
        (x + off * uy, y - off * ux),
    ], missing if missing > CLOSED else 0.0


def meet_line(
    foot: Point, way: Point, centre: Point, radius: float
) -> tuple[list[float], float]:
    """Distances along a line at which it is ``radius`` from ``centre``, the farther one first, and what is missing for there to be any [mm]."""
    dx, dy = centre[0] - foot[0], centre[1] - foot[1]
    along, off = dx * way[0] + dy * way[1], dy * way[0] - dx * way[1]
    square = radius * radius - off * off
    half = math.sqrt(max(square, 0.0))
    missing = abs(off) - radius
    return [along + half, along - half], missing if missing > CLOSED else 0.0


def solve_damped(
    slopes: Sequence[Sequence[float]], gaps: Sequence[float], damping: float
) -> list[float]:
    """Solve (J J' + damping) m = J gaps for the move ``m``; ``slopes`` are the rows of J, one an unknown."""
    count = len(slopes)
    rows = []
    for i in range(count):
        row = [
            sum(a * b for a, b in zip(slopes[i], slopes[k], strict=True)) for k in range(count)
        ]
        row[i] += damping
        rows.append([*row, sum(a * b for a, b in zip(slopes[i], gaps, strict=True))])
    for i in range(count):
        best = max(range(i, count), key=lambda r: abs(rows[r][i]))
        rows[i], rows[best] = rows[best], rows[i]
        if abs(rows[i][i]) < 1e-300:
            continue
        for r in range(i + 1, count):
            factor = rows[r][i] / rows[i][i]
            rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i], strict=True)]
    found = [0.0] * count
    for i in reversed(range(count)):
        if abs(rows[i][i]) > 1e-300:
            found[i] = (
                rows[i][count] - sum(rows[i][k] * found[k] for k in range(i + 1, count))
            ) / rows[i][i]
    return found


def upright(held: Mapping[str, Held]) -> dict[str, Held]:
    """Stand what rides on a sliding part as it was drawn: the slide's own x axis points along its way, a figure on it does not lie down."""
    found = dict(held)
    for name, how in held.items():
        on = held.get(how.on.part) if isinstance(how, Rides) else None
        if isinstance(how, Rides) and isinstance(on, Slides):
            found[name] = Rides(how.on, how.angle - on.direction, how.offset)
    return found
