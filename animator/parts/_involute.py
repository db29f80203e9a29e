r"""Involute teeth: their sizes, their outlines as a rack-shaped cutter leaves them, and how two wheels stand to each other when they mesh.

Sizes after the basic rack of ISO 53 (pressure angle 20 degrees, addendum 1 module, dedendum 1.25, tip of the cutter rounded by 0.38). Plain floats.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from animator.geometry import Point, Pose

PRESSURE = math.radians(20)
ADDENDUM, DEDENDUM, ROUNDED = 1.0, 1.25, 0.38  # modules
RING_ADDENDUM = 0.85
"""Modules: a ring's tips are turned back so that they clear the feet of the wheel inside (common practice, no source)."""
UNDERCUT = (
    17  # teeth; 2 / sin^2(20 degrees) is 17.1: with fewer the cutter's tip eats into the flank
)
FINE = 14  # points along a flank or a fillet


def involute(angle: float) -> float:
    """Angle by which an involute has turned where its pressure angle is so large: tan a - a. [rad]"""
    return math.tan(angle) - angle


@dataclass(frozen=True)
class Toothing:
    r"""Teeth of one wheel.

    Parameters
    ----------
    teeth, module
        Count, and pitch diameter over count. [mm]
    play
        What its teeth leave in a gap of a like wheel, along the pitch circle: each is half of it thinner than half the pitch. [mm]
    is_inside
        A ring: its teeth point inwards.
    """

    teeth: int
    module: float
    play: float = 0.0
    is_inside: bool = False

    @cached_property
    def radius(self) -> float:
        """Of the pitch circle. [mm]"""
        return self.module * self.teeth / 2

    @cached_property
    def base(self) -> float:
        """Radius of the base circle, from which the flanks unwind. [mm]"""
        return self.radius * math.cos(PRESSURE)

    @cached_property
    def pitch(self) -> float:
        """Distance of teeth along the pitch circle. [mm]"""
        return math.pi * self.module

    @cached_property
    def share(self) -> float:
        """Angle from tooth to tooth. [rad]"""
        return math.tau / self.teeth

    @cached_property
    def tip(self) -> float:
        """Radius to the tips; of a small ring not below the base circle, of a pinion not beyond where its teeth are pointed. [mm]"""
        if self.is_inside:
            return max(self.radius - RING_ADDENDUM * self.module, self.base)
        low, high = self.radius, self.radius + ADDENDUM * self.module
        if self.half_angle(high) > 0:
            return high
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if self.half_angle(middle) > 0 else (low, middle)
        return low

    @property
    def foot(self) -> float:
        """Radius to the bottoms between the teeth. [mm]"""
        deep = DEDENDUM * self.module
        return self.radius + deep if self.is_inside else self.radius - deep

    @cached_property
    def thickness(self) -> float:
        """Of a tooth, along the pitch circle. [mm]"""
        return (self.pitch - self.play) / 2

    @cached_property
    def base_half(self) -> float:
        """Half the angle on the base circle that lies between the two flanks: of a tooth, or of a ring's gap. [rad]"""
        solid = self.pitch - self.thickness if self.is_inside else self.thickness
        return solid / (2 * self.radius) + involute(PRESSURE)

    def half_angle(self, radius: float) -> float:
        """Half the angle between a tooth's (a ring's gap's) flanks at a radius not below the base circle. [rad]"""
        return self.base_half - involute(math.acos(min(self.base / radius, 1.0)))

    @cached_property
    def fillet(self) -> tuple[tuple[float, float], ...]:
        """What the cutter's rounded tip leaves: (radius, half the angle of the gap there), from the bottom outwards. [mm, rad]"""
        m, r = self.module, self.radius
        deep, rounded = DEDENDUM * m, ROUNDED * m
        found: list[tuple[float, float]] = []
        half = (self.pitch - self.thickness) / 2
        while True:
            x = (half * math.cos(PRESSURE) - rounded) / math.cos(PRESSURE) - (
                deep - rounded
            ) * math.tan(PRESSURE)
            if x >= 0 or rounded < 1e-3 * m:
                break
            rounded *= 0.9
        y = deep - rounded
        for i in range(4 * FINE + 1):
            way = math.pi / 2 - (math.pi / 2 - PRESSURE) * i / (4 * FINE)
            px, py = x + rounded * math.cos(way), y + rounded * math.sin(way)
            # the cutter cuts where its own normal passes through the pitch point
            rolled = -(px - py / math.tan(way)) / r
            across, up = px + r * rolled, r - py
            place = math.hypot(across, up), math.atan2(across, up) - rolled
            if found and place[0] <= found[-1][0]:
                break
            found.append(place)
        return tuple(found)

    @cached_property
    def lowest(self) -> float:
        """Radius at which the flank's involute begins: where it meets the fillet, above the base circle if it is undercut. [mm]"""
        if self.is_inside:
            return self.tip
        for radius, gap in reversed(self.fillet):
            if radius <= self.base or math.pi / self.teeth - gap < self.half_angle(radius):
                break  # farther out the cutter's tip passes through the gap that its side has cut
        return max(radius, self.base)

    @property
    def is_undercut(self) -> bool:
        """Whether so few teeth are cut into at their feet."""
        return not self.is_inside and self.teeth < UNDERCUT

    @cached_property
    def _profile(self) -> tuple[tuple[float, float], ...]:
        """Half a tooth from its bottom to its tip: (radius, angle from the tooth's middle). [mm, rad]"""
        middle = math.pi / self.teeth
        if self.is_inside:
            rows = [
                (
                    radius,
                    middle - self.half_angle(radius),
                )
                for radius in (
                    self.foot + (self.tip - self.foot) * i / FINE for i in range(FINE + 1)
                )
            ]
            return tuple((radius, max(angle, 0.0)) for radius, angle in rows)
        rows = [(radius, middle - gap) for radius, gap in self.fillet if radius <= self.lowest]
        start = max(rows[-1][0], self.base) if rows else self.base
        count = FINE
        for i in range(1, count + 1):
            radius = start + (self.tip - start) * i / count
            rows.append((radius, max(self.half_angle(radius), 0.0)))
        return tuple(rows)

    def outline(self, phase: float = 0.0) -> list[Point]:
        """Closed outline of all teeth, the middle of one at the angle ``phase`` [rad]; of a ring its inner edge. [mm]"""
        half = self._profile
        points = []
        for i in range(self.teeth):
            at = phase + i * self.share
            points += [
                (radius * math.cos(at - angle), radius * math.sin(at - angle))
                for radius, angle in half
            ]
            points += [
                (radius * math.cos(at + angle), radius * math.sin(at + angle))
                for radius, angle in reversed(half)
            ]
        return points


def rack_outline(module: float, play: float, teeth: int) -> list[Point]:
    """Upper edge of a rack's teeth from left to right, its pitch line y = 0, the first tooth's middle at half a pitch from the left end. [mm]"""
    pitch = math.pi * module
    half = (pitch - play) / 4
    lean = math.tan(PRESSURE)
    top, low = ADDENDUM * module, -DEDENDUM * module
    points: list[Point] = [(-pitch * teeth / 2, low)]
    for i in range(teeth):
        x = (i - (teeth - 1) / 2) * pitch
        points += [
            (x - half + low * lean, low),
            (x - half + top * lean, top),
            (x + half - top * lean, top),
            (x + half - low * lean, low),
        ]
    points.append((pitch * teeth / 2, low))
    return points


def contact_path(
    first: Toothing, second: Toothing | None, distance: float
) -> tuple[float, float]:
    """How far the teeth touch along the line of action before and after the pitch point, as ``first`` drives. [mm]

    Parameters
    ----------
    second
        None for a rack.
    distance
        Of the middles; that of the pitch circles leaves the pressure angle at 20 degrees. [mm]

    Notes
    -----
    From where the second's tip meets the first's flank to where the first's tip leaves; cut short where a flank is undercut. The sum over the base pitch
    is the contact ratio (Sarkar, chapter 4; Niemann, volume 2).

    Examples
    --------
    >>> before, after = contact_path(Toothing(20, 1.0), Toothing(40, 1.0), 30.0)
    >>> round((before + after) / (math.pi * math.cos(PRESSURE)), 4)
    1.6352
    """
    if second is None:
        slope = math.sin(PRESSURE)
        before = ADDENDUM * first.module / slope
        return (
            min(before, first.radius * slope - _reach(first.lowest, first.base)),
            _reach(first.tip, first.base) - first.radius * slope,
        )
    if second.is_inside:
        angle = math.acos(min((second.base - first.base) / max(distance, 1e-9), 1.0))
        inner, outer = first.base * math.tan(angle), second.base * math.tan(angle)
        return inner - max(
            _reach(first.lowest, first.base), inner - (outer - _reach(second.tip, second.base))
        ), min(
            _reach(first.tip, first.base), inner + _reach(second.foot, second.base) - outer
        ) - inner
    angle = math.acos(min((first.base + second.base) / distance, 1.0))
    inner, outer = first.base * math.tan(angle), second.base * math.tan(angle)
    before = min(
        _reach(second.tip, second.base) - outer, inner - _reach(first.lowest, first.base)
    )
    after = min(
        _reach(first.tip, first.base) - inner, outer - _reach(second.lowest, second.base)
    )
    return before, after


def _reach(radius: float, base: float) -> float:
    """How far from the base circle's touching point along the line of action a radius lies. [mm]"""
    return math.sqrt(max(radius * radius - base * base, 0.0))


def meshing_phase(
    own: Toothing, pose: Pose, other: Toothing, other_pose: Pose, other_phase: float
) -> float:
    """How a wheel's teeth must stand in its own frame so that one of them lies in the middle of the other's gap. [rad]

    ``other_phase``: angle of a tooth's middle in the other's frame [rad]. Either may be a ring.
    """
    if own.is_inside or other.is_inside:
        ring, wheel = (pose, other_pose) if own.is_inside else (other_pose, pose)
        way = math.atan2(wheel.y - ring.y, wheel.x - ring.x)
        at = (way - other_pose.angle - other_phase) / other.share
        return way - pose.angle - (at - 0.5) * own.share
    way = math.atan2(other_pose.y - pose.y, other_pose.x - pose.x)
    at = (way + math.pi - other_pose.angle - other_phase) / other.share
    return way - pose.angle - (0.5 - at) * own.share


def phases_of(
    parts: Mapping[str, Any], poses: Mapping[str, Pose]
) -> tuple[dict[str, float], dict[tuple[str, str], float]]:
    """Set the teeth of all wheels of a piece so that they mesh.

    Parameters
    ----------
    parts
        All parts; those with a ``toothing`` count, their ``mates`` say what they mesh with in their own plane.
    poses
        Where they stand.

    Returns
    -------
    tuple
        Angle of the middle of one tooth in each wheel's own frame [rad]; and for each pair that closes a ring of wheels, how far its teeth are then off,
        along the pitch circle [mm].
    """
    wheels = {name: part for name, part in parts.items() if hasattr(part, "toothing")}
    edges = [
        (name, ref.part)
        for name, part in wheels.items()
        for ref in part.mates
        if ref.part in wheels and name in poses and ref.part in poses
    ]
    phases: dict[str, float] = {}
    off: dict[tuple[str, str], float] = {}
    used: set[tuple[str, str]] = set()

    def meshing(name: str, other: str) -> float:
        return meshing_phase(
            wheels[name].toothing,
            poses[name],
            wheels[other].toothing,
            poses[other],
            phases[other],
        )

    for start in wheels:
        if start in phases or any(start == name for name, _ in edges):
            continue  # what says it meshes with something follows from that
        phases[start] = 0.0
    for start in ("", *wheels):
        if start and start not in phases:
            phases[start] = 0.0
        grown = True
        while grown:
            grown = False
            for edge in edges:
                if edge in used:
                    continue
                for name, other in (edge, edge[::-1]):
                    if other in phases and name not in phases:
                        phases[name] = meshing(name, other)
                        used.add(edge)
                        grown = True
    for name, other in edges:
        if (name, other) not in used:
            share = wheels[name].toothing.share
            error = (phases[name] - meshing(name, other) + share / 2) % share - share / 2
            off[name, other] = error * wheels[name].toothing.radius
    return phases, off
