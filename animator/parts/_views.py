"""Views: in which plane of the room a part turns, and how it is seen from another side.

The room has three directions, right, up and back. A part lives in the plane of its view (front: right and up; side, seen from the right: back and up;
top: right and back) and ``along`` counts towards the viewer of that plane. A part that leans (``Part.leans``) turns the plane of all that is on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from animator.geometry import Point, Pose
from animator.parts._contract import Part, Rides, Slides, Still, Turns
from animator.parts._fields import Ref, Where, references

if TYPE_CHECKING:
    from animator.scene.model import Scene

Triple = tuple[float, float, float]
WAYS: Mapping[str, Triple] = {
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "up": (0.0, 1.0, 0.0),
    "down": (0.0, -1.0, 0.0),
    "back": (0.0, 0.0, 1.0),
    "forward": (0.0, 0.0, -1.0),
}
"""Directions of the room as words -> (right, up, back)."""


class Plane(NamedTuple):
    """A plane of the room: where its corner lies and which way its x, its y and its viewer lie, each (right, up, back)."""

    x: Triple
    y: Triple
    near: Triple
    corner: Triple = (0.0, 0.0, 0.0)

    def room(self, point: Point, along: float = 0.0) -> Triple:
        """Take a point of this plane into the room. [mm]"""
        a, b = point
        return (
            self.corner[0] + a * self.x[0] + b * self.y[0] + along * self.near[0],
            self.corner[1] + a * self.x[1] + b * self.y[1] + along * self.near[1],
            self.corner[2] + a * self.x[2] + b * self.y[2] + along * self.near[2],
        )

    def seen(self, place: Triple) -> Triple:
        """See a place of the room in this plane: x, y, and how far towards the viewer. [mm]"""
        d = tuple(a - b for a, b in zip(place, self.corner, strict=True))
        return dot(d, self.x), dot(d, self.y), dot(d, self.near)

    def turned(self, way: Triple) -> Triple:
        """See a direction of the room in this plane."""
        return dot(way, self.x), dot(way, self.y), dot(way, self.near)


VIEWS: Mapping[str, Plane] = {
    "front": Plane((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0)),
    "side": Plane((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
    "top": Plane((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
}


def dot(a: Iterable[float], b: Iterable[float]) -> float:
    """Give the product of two directions."""
    return sum(p * q for p, q in zip(a, b, strict=True))


def stands_on(part: Part) -> Iterable[Ref]:
    """Give the references that decide where a part stands."""
    held = part.held()
    if isinstance(held, Rides):
        yield held.on
    elif isinstance(held, Still | Turns | Slides):
        yield from references(held.at)


def wires_of(part: Part) -> tuple[Ref, ...]:
    """Give the references that are only wires: they go from any view to any other."""
    return tuple(references(getattr(part, "signal", None)))


def view_of(name: str, parts: Mapping[str, Part], seen: frozenset[str] = frozenset()) -> str:
    """Tell the view a part is drawn in: its own, else that of what it stands on, follows or is pinned to, else the front."""
    part = parts[name]
    if part.view is not None:
        return part.view
    held = part.held()
    stands = (
        [held.follows]
        if isinstance(held, Slides) and held.follows
        else list(stands_on(part))
        or [ref for ref in references(part) if ref != part.behind and ref not in wires_of(part)]
    )
    seen = seen | {name}  # two rods may be pinned to each other
    near = next(
        (ref.part for ref in stands if ref.part in parts and ref.part not in seen), None
    )
    return "front" if near is None else view_of(near, parts, seen)


def along_of(name: str, parts: Mapping[str, Part], otherwise: float = 0.0) -> float:
    """How far a part stands towards its viewer: as it says, or as what it is on does; ``otherwise`` where nothing says so. [mm]"""
    own = name
    for _ in parts:
        part = parts[name]
        if name != own and part.leans(parts) is not None:
            break  # on a leaning shaft it is counted from the joint
        if part.along is not None:
            return part.along
        held = part.held()
        if own == name and part.leans(parts) is not None:
            held = Rides(part.on)  # type: ignore[attr-defined]
        if not isinstance(held, Rides) or held.on.part not in parts:
            break
        name = held.on.part
    return otherwise


def joint_along(name: str, parts: Mapping[str, Part]) -> float:
    """Where along the axis of what it is on a part stands from which a leaning axis goes on. [mm]"""
    host: Any = parts[parts[name].on.part]  # type: ignore[attr-defined]
    if host.leans(parts) is not None:
        return float(host.outward(parts) * host.length)
    return along_of(name, parts)


def plane_of(
    name: str, parts: Mapping[str, Part], poses: Mapping[str, Pose] | None = None
) -> Plane:
    """Find the plane a part turns in: that of its view, or a leaning one if it is on something that leans.

    Parameters
    ----------
    poses
        Where parts start; only what leans asks for it, to lean about its own place.
    """
    part = parts[name]
    held = part.held()
    lean = part.leans(parts)
    if lean is not None:
        bend, way = lean
        host = plane_of(part.on.part, parts, poses)  # type: ignore[attr-defined]
        pose = (poses or {}).get(name, Pose())
        return leaning(host, (pose.x, pose.y), joint_along(name, parts), bend, WAYS[way])
    if isinstance(held, Rides) and held.on.part in parts:
        return plane_of(held.on.part, parts, poses)
    return VIEWS[view_of(name, parts)]


def leaning(host: Plane, at: Point, along: float, bend: float, way: Triple) -> Plane:
    """Give a plane leant about a point of another one, so that its viewer lies ``bend`` [rad] nearer to ``way``; ``along`` counts from that point.

    A way that the host's viewer looks along can't be leant to: the plane is then the host's own.
    """
    n = host.near
    off = [w - dot(way, n) * a for w, a in zip(way, n, strict=True)]
    size = math.sqrt(dot(off, off))
    if size < 1e-9:
        return host
    w = [each / size for each in off]
    c, s = math.cos(bend), math.sin(bend)

    def lean(v: Triple) -> Triple:
        along_n, along_w = dot(v, n), dot(v, w)
        a, b, d = (
            v[i] + along_n * ((c - 1) * n[i] + s * w[i]) + along_w * ((c - 1) * w[i] - s * n[i])
            for i in range(3)
        )
        return a, b, d

    x, y, near = lean(host.x), lean(host.y), lean(host.near)
    middle = host.room(at, along)
    a, b, d = (middle[i] - at[0] * x[i] - at[1] * y[i] for i in range(3))
    return Plane(x, y, near, (a, b, d))


def place_across(point: Point, ref: str, name: str, parts: Mapping[str, Part]) -> Point:
    """See a point of one part's view in that of another part, where the other is set out from it. [mm]"""
    here, there = view_of(name, parts), view_of(ref, parts)
    if here == there:
        return point
    return VIEWS[here].seen(VIEWS[there].room(point, along_of(ref, parts)))[:2]


def stand_of(name: str, parts: Mapping[str, Part]) -> Point | None:
    """Where a part's middle stands as far as its places alone say it, without solving anything; None if something moves it. [mm]"""
    for _ in range(len(parts) + 1):
        held = parts[name].held()
        if isinstance(held, Turns | Still):
            return _place(held.at, name, parts)
        if not isinstance(held, Rides) or held.on.part not in parts:
            return None
        points = parts[held.on.part].points()
        x, y = points[held.on.point] if held.on.point else next(iter(points.values()))
        if math.hypot(x + held.offset[0], y + held.offset[1]) > 1e-9:
            return None
        name = held.on.part
    return None


def _place(at: Where, name: str, parts: Mapping[str, Part], depth: int = 0) -> Point | None:
    if at.ref is None or at.ref.part not in parts:
        return at.offset
    if depth > len(parts):
        return None
    other = at.ref.part
    held = parts[other].held()
    for _ in range(len(parts)):  # down to what stands by a place of its own
        if isinstance(held, Turns | Still):
            break
        if not isinstance(held, Rides) or held.on.part not in parts:
            return None
        other = held.on.part
        held = parts[other].held()
    if not isinstance(held, Turns | Still):
        return None
    points = parts[at.ref.part].points()
    local = points[at.ref.point] if at.ref.point else next(iter(points.values()))
    if math.hypot(*local) > 1e-9:
        return None
    found = _place(held.at, other, parts, depth + 1)
    if found is None:
        return None
    x, y = place_across(found, at.ref.part, name, parts)
    return x + at.offset[0], y + at.offset[1]


def picture_view(scene: Scene) -> str:
    """Tell from which side a piece is drawn: from above where it lies or all of it turns in that view, else from the front."""
    if scene.frame.is_lying:
        return "top"
    views = {view_of(name, scene.parts) for name in scene.parts}
    return "top" if views == {"top"} else "front"


def riders(name: str, parts: Mapping[str, Part]) -> list[str]:
    """Names of all that is on a part and moves as one with it, itself first."""
    found = [name]
    for other, part in parts.items():
        held: Any = part.held()
        if isinstance(held, Rides) and held.on.part in found and other not in found:
            found.append(other)
    return found
