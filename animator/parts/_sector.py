"""Geometry of a wheel with teeth on part of its rim, and of the plates that lock its mate in between: a disc, and a star with a hollow for each station."""

import math
from dataclasses import dataclass
from functools import cached_property

from animator.geometry import Point
from animator.parts._involute import Toothing

LOCK_EASE = 0.002  # mm; what the lock gives way besides its play
POINTED = (
    0.86  # of half a station that a hollow of the star takes; the rest is the horn between two
)
CLEAR = 0.4  # mm between a horn's way and the cut-away of the disc
PASSING = 0.02  # modules between a filed tip and the corner it passes
WAY = 60  # places of a horn's way while the star turns


@dataclass(frozen=True)
class Sector:
    r"""A wheel of which ``left`` neighbouring teeth are left of a whole rim, and a mate that it turns by one tooth more than so many each time round.

    The first tooth comes into a gap of the mate that stands a whole pitch before the line of centres, clear of the tooth behind it, and the last leaves one a whole
    pitch beyond; so the way is one pitch more than there are teeth.

    In its own frame the middle of what is left lies along x. ``own`` and ``mate`` are whole rims of teeth; ``play`` of the locking plates on either side [mm].
    """

    own: Toothing
    mate: Toothing
    left: int
    play: float

    @property
    def distance(self) -> float:
        """Between the middles. [mm]"""
        return self.own.radius + self.mate.radius

    @property
    def cut(self) -> float:
        """Half the angle over which teeth are at work, and over which the locking disc is cut away. [rad]"""
        return (self.left + 1) * self.own.share / 2

    @property
    def step(self) -> float:
        """Angle by which the mate goes on each time. [rad]"""
        return (self.left + 1) * self.mate.share

    @property
    def lock(self) -> float:
        """Radius of the locking disc: it rolls where the pitch circle does. [mm]"""
        return self.own.radius

    @cached_property
    def hollow(self) -> float:
        """Half the angle, at the star's middle, that a hollow takes. [rad]"""
        most = math.asin(min(1.0, 0.9 * self.lock / self.distance))
        return min(POINTED * self.step / 2, most)

    @cached_property
    def rim(self) -> float:
        """Outer radius of the star. [mm]"""
        c, s = math.cos(self.hollow), math.sin(self.hollow)
        radius = self.lock + self.play + LOCK_EASE
        return self.distance * c - math.sqrt(max(radius**2 - (self.distance * s) ** 2, 0.0))

    @property
    def bearing(self) -> float:
        """Half the angle, at the disc's middle, over which a hollow that faces it bears. [rad]"""
        return math.atan2(
            self.rim * math.sin(self.hollow),
            self.distance - self.rim * math.cos(self.hollow),
        )

    @cached_property
    def end_tip(self) -> float:
        """Radius to which the first and the last tooth are filed down: they pass by the tooth of the mate that stands beside them while it waits. [mm]"""
        mate = self.mate
        angle = 1.5 * mate.share - mate.half_angle(mate.tip)
        corner = math.hypot(
            self.distance - mate.tip * math.cos(angle), mate.tip * math.sin(angle)
        )
        return min(self.own.tip, corner - PASSING * self.own.module)

    def tip_of(self, tooth: int) -> float:
        """Radius to the tip of a tooth that is left. [mm]"""
        is_inner = self.has(tooth - 1) and self.has(tooth + 1)
        return self.own.tip if is_inner else self.end_tip

    def phase(self) -> float:
        """Angle of the middle of a tooth in its own frame. [rad]"""
        return 0.0 if self.left % 2 else self.own.share / 2

    def has(self, tooth: int) -> bool:
        """Whether a tooth is left, counted from the one at ``phase``."""
        teeth = self.own.teeth
        at = (tooth + teeth // 2) % teeth - teeth // 2
        middle = at + (0.0 if self.left % 2 else 0.5)
        return abs(middle) < self.left / 2

    def outline(self) -> list[Point]:
        """Give the wheel as a closed line: teeth, and the rest of the rim at their feet. [mm]"""
        whole = self.own.outline(self.phase())
        each = len(whole) // self.own.teeth
        found: list[Point] = []
        for tooth in range(self.own.teeth):
            rows = whole[tooth * each : (tooth + 1) * each]
            if self.has(tooth):
                tip = self.tip_of(tooth)
                for x, y in rows:
                    cut = min(1.0, tip / math.hypot(x, y))
                    found.append((x * cut, y * cut))
            else:
                at = self.phase() + tooth * self.own.share
                for i in range(6):
                    angle = at + (i / 5 - 0.5) * self.own.share
                    found.append(
                        (self.own.foot * math.cos(angle), self.own.foot * math.sin(angle))
                    )
        return found

    def star_outline(self, stations: int, count: int = 14) -> list[Point]:
        """Give the star as a closed line; a hollow lies half way between the multiples of a step from its x axis. [mm]"""
        found: list[Point] = []
        radius = self.lock + self.play + LOCK_EASE
        for k in range(stations):
            middle = (k + 0.5) * self.step
            c, s = math.cos(middle), math.sin(middle)
            for i in range(count + 1):
                t = self.bearing * (-1 + 2 * i / count)
                x, y = self.distance - radius * math.cos(t), radius * math.sin(t)
                found.append((c * x - s * y, s * x + c * y))
        return found

    def disc_outline(self, count: int = 90) -> list[Point]:
        """Give the locking disc as a closed line in the wheel's own frame: an arc, and a cut-away that clears the star's horns. [mm]"""
        arc = [
            (self.lock * math.cos(t), self.lock * math.sin(t))
            for t in (
                self.cut + (math.tau - 2 * self.cut) * i / count for i in range(count + 1)
            )
        ]
        sectors = 40
        least = [self.lock] * (sectors + 1)
        ratio = self.own.teeth / self.mate.teeth
        for i in range(-WAY, WAY + 1):
            turned = self.cut * i / WAY
            for share in (-1.0, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0):
                off = share * (self.step / 2 - self.hollow)
                angle = math.pi - ratio * turned + off
                x = self.distance + self.rim * math.cos(angle)
                y = self.rim * math.sin(angle)
                at = math.atan2(y, x) - turned
                if abs(at) < self.cut:
                    k = round((at / self.cut + 1) * sectors / 2)
                    for j in (k - 1, k, k + 1):
                        if 0 <= j <= sectors:
                            least[j] = min(least[j], math.hypot(x, y) - CLEAR)
        hollow = [
            (least[i] * math.cos(t), least[i] * math.sin(t))
            for i, t in ((i, -self.cut + 2 * self.cut * i / sectors) for i in range(1, sectors))
        ]
        return [*arc, *hollow]
