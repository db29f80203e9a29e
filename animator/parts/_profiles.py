"""How high a switch's roller stands while what it rides on turns: over the strips of a drum in closed form, over a cam by a table."""

import bisect
import math
from collections.abc import Callable, Sequence
from typing import Protocol

TABLE = 1440  # places of a turn at which a cam's table is taken: a quarter of a degree apart
SCAN = 3600  # places of a turn at which crossings are looked for
STEEPEST = math.radians(
    35
)  # of a strip's filed end, as the roller climbs it; steeper it would rather be pushed aside than lifted


class Profile(Protocol):
    """Height of a roller over a turn."""

    def at(self, turned: float) -> tuple[float, float]:
        """Height over the lowest place [mm] and its slope [mm/rad] where so much has been turned in the running direction [rad]."""
        ...


def flank(height: float, radius: float) -> float:
    """Angle over which a strip's filed end lifts the roller: half a cosine no steeper than 35 degrees. [rad]

    Examples
    --------
    >>> round(math.degrees(flank(1.5, 20.0)), 2)
    9.64
    """
    return math.pi * height / (2 * math.tan(STEEPEST) * radius)


class StripProfile:
    """Strips of one height on a round drum; each rises and falls over a ``flank`` [rad] about the angles it is set to.

    A roller stands at half the height exactly where a strip is said to begin and to end.
    """

    def __init__(
        self, strips: Sequence[tuple[float, float]], height: float, flank: float
    ) -> None:
        self.height, self.flank = height, flank
        edges = [(start, 1) for start, _ in strips] + [(end, -1) for _, end in strips]
        kept: dict[float, tuple[float, int]] = {}
        for angle, way in edges:
            place = round(angle % math.tau, 9) % round(math.tau, 9)
            kept[place] = angle % math.tau, kept.get(place, (0.0, 0))[1] + way
        # where one strip ends as another begins there is no edge: across the turn's end they are one strip
        self.edges = sorted(edge for edge in kept.values() if edge[1])
        self._angles = [angle for angle, _ in self.edges]

    @property
    def is_even(self) -> bool:
        """Whether the whole ring is raised, or none of it."""
        return not self.edges

    def at(self, turned: float) -> tuple[float, float]:
        if not self.edges:
            return self.height, 0.0
        angle = turned % math.tau
        i = bisect.bisect_right(self._angles, angle)
        half = self.flank / 2
        for place, way in (self.edges[i - 1], self.edges[i % len(self.edges)]):
            off = (angle - place + math.pi) % math.tau - math.pi
            if abs(off) < half:
                turn = math.pi * off / self.flank
                slope = way * self.height * math.pi / (2 * self.flank) * math.cos(turn)
                return self.height * (1 + way * math.sin(turn)) / 2, slope
        return (self.height if self.edges[i - 1][1] > 0 else 0.0), 0.0


class TableProfile:
    """Any closed profile, given at so many places of a turn; between them a smooth curve (Catmull and Rom's)."""

    def __init__(self, height_at: Callable[[float], float], count: int = TABLE) -> None:
        heights = [height_at(math.tau * i / count) for i in range(count)]
        lowest = min(heights)
        self._heights = [height - lowest for height in heights]
        self._count = count
        self.height = max(self._heights)

    def at(self, turned: float) -> tuple[float, float]:
        count, heights = self._count, self._heights
        place = (turned % math.tau) * count / math.tau
        i = int(place)
        x = place - i
        p, q, r, s = (heights[(i + k) % count] for k in (-1, 0, 1, 2))
        a, b, c = (s - p) / 2 + 1.5 * (q - r), p - 2.5 * q + 2 * r - s / 2, (r - p) / 2
        return ((a * x + b) * x + c) * x + q, ((3 * a * x + 2 * b) * x + c) * count / math.tau


def crossings(profile: Profile, height: float) -> list[tuple[float, int]]:
    """Find where a profile passes a height [mm]: angle [rad] and +1 where it rises through it, -1 where it falls; in order over a turn."""
    found = []
    before = profile.at(0.0)[0] - height
    for i in range(1, SCAN + 1):
        here = profile.at(math.tau * i / SCAN)[0] - height
        if (before < 0) != (here < 0):
            low, high = math.tau * (i - 1) / SCAN, math.tau * i / SCAN
            for _ in range(50):
                middle = (low + high) / 2
                if (profile.at(middle)[0] - height < 0) == (before < 0):
                    low = middle
                else:
                    high = middle
            found.append(((low + high) / 2, 1 if before < 0 else -1))
        before = here
    return found
