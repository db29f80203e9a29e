"""Geometry of a Geneva wheel and its locking disc: slots, locking arcs, the disc's cut-away, all from slots, distance, crank and pin."""

import math
from dataclasses import dataclass
from functools import cached_property

from animator.geometry import Point

EASE = 0.0005  # mm; half a micrometre on each side keeps a pin that fits from chattering
LOCK_EASE = 0.002  # mm; the lock gives way a little more than the slot, so that a pin entering a hair aside isn't pinched between lip and horn
LEAST_HORN = 1.2  # mm of stuff between a slot's mouth and the locking arc
HORN_SHARE = 0.14  # of the crank; common practice, no source
LEAST_BITE = 0.3  # mm by which the locking disc reaches into the wheel's rim
CLEAR = 0.4  # mm between a horn's way and the cut-away of the disc
BOTTOM = 0.5  # mm between the pin at its deepest and the slot's bottom
TRIES = 80  # radii tried for the locking disc
WAY = 60  # places of a horn's way while the wheel turns


@dataclass(frozen=True)
class Maltese:
    r"""A wheel of ``slots`` slots at a ``distance`` from a crank of ``reach`` whose ``pin`` (its radius) runs in them with ``play`` on either side.

    The wheel's own frame has slot 0 along its x axis; the locking arcs lie half way between slots. All lengths in mm.
    """

    slots: int
    distance: float
    reach: float
    pin: float
    play: float

    @property
    def step(self) -> float:
        """Angle from slot to slot. [rad]"""
        return math.tau / self.slots

    @property
    def half_turn(self) -> float:
        """Angle of the crank from the line of centres at which the pin enters and leaves, along the slot. [rad]"""
        return math.acos(min(1.0, self.reach / self.distance))

    @property
    def half_slot(self) -> float:
        """Half a slot's width."""
        return self.pin + self.play + EASE

    @property
    def mouth(self) -> float:
        """From the middle to where the slots' straight sides end: to the pin as it enters."""
        return math.sqrt(max(self.distance**2 - self.reach**2, 0.0))

    @property
    def rim(self) -> float:
        """Outer radius of the wheel."""
        return math.hypot(self.mouth, self.half_slot)

    @property
    def bottom(self) -> float:
        """From the middle to the deepest the slots go."""
        return self.distance - self.reach - self.pin - BOTTOM

    @cached_property
    def lock(self) -> float:
        """Radius of the locking disc; 0 where none fits. As large as the horns leave room for, and as they pass by its cut-away."""
        horn = max(LEAST_HORN, HORN_SHARE * self.reach)
        most = self.reach - self.half_slot - horn
        least = self.distance - self.rim + LEAST_BITE
        if most <= least:
            return 0.0
        for i in range(TRIES + 1):
            radius = most + (least - most) * i / TRIES
            if self._passes(radius):
                return radius
        return 0.0

    def _arc_end(self, lock: float) -> tuple[float, float]:
        """Where a locking arc meets the rim: angle from the arc's middle at the wheel's centre, and at the disc's. [rad]"""
        c, r, d = self.distance, self.rim, lock + self.play + LOCK_EASE
        at_wheel = math.acos(max(-1.0, min(1.0, (c * c + r * r - d * d) / (2 * c * r))))
        at_disc = math.acos(max(-1.0, min(1.0, (c * c + d * d - r * r) / (2 * c * d))))
        return at_wheel, at_disc

    @cached_property
    def horn(self) -> float:
        """Angle at the wheel's centre from the middle of a locking arc to the horn at its end. [rad]"""
        return self._arc_end(self.lock)[0]

    @cached_property
    def bearing(self) -> float:
        """Half the angle, at the disc's middle, over which a locking arc that faces it bears. [rad]"""
        return self._arc_end(self.lock)[1]

    @property
    def cut(self) -> float:
        """Half the angle over which the locking disc is cut away, about the direction of the pin: its edge leaves the line of centres as the pin enters. [rad]"""
        return self.half_turn

    def _way(self, lock: float) -> list[Point]:
        """Way of the stuff between mouth and locking arc as the disc sees it: (angle from the pin, distance from the disc's middle)."""
        horn = self._arc_end(lock)[0]
        lip = math.asin(min(1.0, self.half_slot / self.rim))
        found = []
        for i in range(WAY + 1):
            turned = self.half_turn * (i / WAY)
            slot = self.slot_angle(turned)
            for share in (0.0, 0.5, 1.0):
                off = lip + share * (math.pi / self.slots - horn - lip)
                for side in (-1, 1):
                    angle = math.pi - slot + side * off
                    x = self.distance + self.rim * math.cos(angle)
                    y = self.rim * math.sin(angle)
                    found.append((math.atan2(y, x) - turned, math.hypot(x, y)))
        return found

    def _passes(self, lock: float) -> bool:
        horn, bearing = self._arc_end(lock)
        lip = math.asin(min(1.0, self.half_slot / self.rim))
        if horn >= math.pi / self.slots - lip or bearing >= math.pi / 2:
            return False
        return all(abs(angle) <= self.cut or far > lock for angle, far in self._way(lock))

    def slot_angle(self, crank: float) -> float:
        """Angle of the driven slot from the line of centres, against the crank's sense, at an angle of the crank from that line. [rad]

        Notes
        -----
        atan2(r sin a, C - r cos a), any text on intermittent motion; holds while the pin is in the slot.

        Examples
        --------
        >>> math.degrees(Maltese(4, math.sqrt(2), 1.0, 0.05, 0.0).slot_angle(math.radians(-30)))
        -42.36781
        """
        x = self.distance - self.reach * math.cos(crank)
        return math.atan2(self.reach * math.sin(crank), x)

    def outline(self, count: int = 18) -> list[Point]:
        """Give the wheel as a closed line: rim, slots, locking arcs."""
        found: list[Point] = []
        wide, deep = self.half_slot, self.bottom + self.half_slot
        lock = self.lock + self.play + LOCK_EASE
        centre = self._arc_end(self.lock)[1]
        for k in range(self.slots):
            angle = k * self.step
            c, s = math.cos(angle), math.sin(angle)
            line = [(self.mouth, -wide)]
            line += [
                (deep - wide * math.sin(t), -wide * math.cos(t))
                for t in (math.pi * i / count for i in range(count + 1))
            ]
            line.append((self.mouth, wide))
            found += [(c * x - s * y, s * x + c * y) for x, y in line]
            middle = angle + self.step / 2
            c, s = math.cos(middle), math.sin(middle)
            arc = [
                (
                    self.distance - lock * math.cos(t),
                    lock * math.sin(t),
                )
                for t in (centre * (-1 + 2 * i / count) for i in range(count + 1))
            ]
            found += [(c * x - s * y, s * x + c * y) for x, y in arc]
        return found

    def disc_outline(self, count: int = 90) -> list[Point]:
        """Give the locking disc as a closed line in a frame whose x axis points to the pin: an arc, and the cut-away that clears the horns."""
        cut, lock = self.cut, self.lock
        arc = [
            (lock * math.cos(t), lock * math.sin(t))
            for t in (cut + (math.tau - 2 * cut) * i / count for i in range(count + 1))
        ]
        # the wheel's rim as the disc sees it, mirrored about the pin: what it sweeps is cut out, and a little more
        sectors = 40
        least = [lock] * (sectors + 1)
        for angle, far in self._way(lock):
            at = round((abs(angle) / cut) * sectors / 2)
            for i in (at - 1, at, at + 1):
                if 0 <= i <= sectors // 2:
                    for k in (sectors // 2 - i, sectors // 2 + i):
                        least[k] = min(least[k], far - CLEAR)
        hollow = [
            (far * math.cos(t), far * math.sin(t))
            for far, t in (
                (max(least[i], 0.1), -cut + 2 * cut * i / sectors) for i in range(1, sectors)
            )
        ]
        return [*arc, *hollow]


def reach_for(slots: int, distance: float) -> float:
    """Crank with which the pin enters along the slot: C sin(pi / n) (any text on Geneva wheels). [mm]

    Examples
    --------
    >>> reach_for(6, 80)
    40.0
    """
    return distance * math.sin(math.pi / slots)


def distance_for(slots: int, reach: float) -> float:
    """Distance between the middles at which the pin of a crank enters along the slot. [mm]

    Examples
    --------
    >>> distance_for(6, 40)
    80.0
    """
    return reach / math.sin(math.pi / slots)
