"""What a follower should do: its lift over the angle a cam has turned, with two derivatives."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from animator.outlines.laws import LAWS, TURN, Rise
from animator.outlines.loudness import Hearing, listen


class Stretch(NamedTuple):
    """A piece of a programme: it begins at angle ``start`` [rad], lasts ``over`` [rad], and goes from height ``low`` by ``rise`` [mm]."""

    start: float
    over: float
    low: float
    rise: float
    law: str


class Lift:
    """How far the follower should stand above its lowest seat, over the cam's angle. Plain floats.

    Parameters
    ----------
    stretches
        The programme, in order, covering a whole turn.
    phase
        How far the shaft turns in the running direction before the programme begins. [rad]
    """

    def __init__(self, stretches: Sequence[Stretch], phase: float = 0.0) -> None:
        self.stretches = tuple(stretches)
        self.phase = phase

    def at(self, angle: float) -> Rise:
        """Lift [mm] and its first two derivatives over the angle [mm/rad, mm/rad^2] at a programme angle [rad]."""
        angle %= TURN
        for stretch in self.stretches:
            if angle < stretch.start + stretch.over:
                break
        start, over, low, rise, law = stretch
        if not rise:
            return low, 0.0, 0.0
        s, v, a = LAWS[law](min(1.0, max(0.0, (angle - start) / over)))
        return low + rise * s, rise * v / over, rise * a / over**2

    def turned(self, turned: float) -> Rise:
        """Lift and derivatives when the shaft has turned so far in its running direction [rad]."""
        return self.at(turned - self.phase)

    @property
    def corners(self) -> list[float]:
        """Programme angles at which the speed jumps (ends of straight steps) [rad]."""
        found = []
        for i, here in enumerate(self.stretches):
            before = self.stretches[i - 1]
            if abs(_slope(before, 1.0) - _slope(here, 0.0)) > 1e-9:
                found.append(here.start)
        return found

    def samples(self) -> list[tuple[float, Rise]]:
        """Programme angles with lift and derivatives, from edge to edge of every moving stretch: both sides of every jump are in it."""
        found: list[tuple[float, Rise]] = []
        for start, over, low, rise, law in self.stretches:
            count = 90 if rise else 1
            for i in range(count + 1):
                s, v, a = LAWS[law](i / count)
                found.append(
                    (
                        start + over * i / count,
                        (low + rise * s, rise * v / over, rise * a / over**2)
                        if rise
                        else (low, 0.0, 0.0),
                    )
                )
        return found


def _slope(stretch: Stretch, x: float) -> float:
    return stretch.rise * LAWS[stretch.law](x)[1] / stretch.over if stretch.rise else 0.0


class PoseLift(Lift):
    """A lift that runs smoothly through given heights: a periodic cubic spline over the programme angle.

    Parameters
    ----------
    heights
        Programme angle [rad] -> lift [mm]; two or more.
    phase
        As in ``Lift``. [rad]
    """

    def __init__(self, heights: Mapping[float, float], phase: float = 0.0) -> None:
        super().__init__((), phase)
        within = {
            round(angle % TURN, 12) % TURN: height for angle, height in heights.items()
        }  # 360 degrees is 0 again
        if len(within) < 2:
            raise ValueError(f"a smooth curve needs two heights or more, not {len(within)}")
        self.angles, self.heights = zip(*sorted(within.items()), strict=True)
        self._bends = _periodic_bends(self.angles, self.heights)

    def at(self, angle: float) -> Rise:
        angle = (angle - self.angles[0]) % TURN + self.angles[0]
        count = len(self.angles)
        i = max(bisect_right(self.angles, angle) - 1, 0)
        j = (i + 1) % count
        span = self.angles[j] - self.angles[i] + (TURN if j <= i else 0.0)
        x = angle - self.angles[i]
        low, high, bend, end = self.heights[i], self.heights[j], self._bends[i], self._bends[j]
        slope = (high - low) / span - span * (2 * bend + end) / 6
        jerk = (end - bend) / span
        return (
            low + x * (slope + x * (bend / 2 + x * jerk / 6)),
            slope + x * (bend + x * jerk / 2),
            bend + x * jerk,
        )

    @property
    def corners(self) -> list[float]:
        return []

    def samples(self) -> list[tuple[float, Rise]]:
        count = max(720, 4 * len(self.angles))
        return [(TURN * i / count, self.at(TURN * i / count)) for i in range(count)]

    @property
    def overshoot(self) -> float:
        """How far it goes beyond the two heights it passes between, at worst. [mm]"""
        worst = 0.0
        for angle, rise in self.samples():
            i = bisect_right(self.angles, (angle - self.angles[0]) % TURN + self.angles[0]) - 1
            low, high = sorted((self.heights[i], self.heights[(i + 1) % len(self.heights)]))
            worst = max(worst, low - rise[0], rise[0] - high)
        return worst


class FlowingLift(PoseLift):
    """A lift that runs smoothly through given heights and never beyond them: a quintic from each to the next.

    It stands still for a moment where the heights turn round, passes others at the harmonic mean of the slopes before and after (the limiter of Fritsch and Butland, "A
    method for constructing local monotone piecewise cubic interpolants", SIAM Journal on Scientific and Statistical Computing 5 (1984) 300-304), and has no
    acceleration at any of them. From rest to rest it is the 3-4-5 law.
    """

    def __init__(self, heights: Mapping[float, float], phase: float = 0.0) -> None:
        super().__init__(heights, phase)
        count = len(self.angles)
        spans = [(self.angles[(i + 1) % count] - self.angles[i]) % TURN for i in range(count)]
        steps = [
            (self.heights[(i + 1) % count] - self.heights[i]) / spans[i] for i in range(count)
        ]
        self._spans = spans
        self._slopes = [
            2 * steps[i - 1] * steps[i] / (steps[i - 1] + steps[i])
            if steps[i - 1] * steps[i] > 0
            else 0.0
            for i in range(count)
        ]

    def at(self, angle: float) -> Rise:
        angle = (angle - self.angles[0]) % TURN + self.angles[0]
        i = max(bisect_right(self.angles, angle) - 1, 0)
        j = (i + 1) % len(self.angles)
        span, low = self._spans[i], self.heights[i]
        x = (angle - self.angles[i]) / span
        v0, v1, rise = self._slopes[i] * span, self._slopes[j] * span, self.heights[j] - low
        # quintic from (0, v0, 0) to (rise, v1, 0)
        c3 = 10 * rise - 6 * v0 - 4 * v1
        c4 = -15 * rise + 8 * v0 + 7 * v1
        c5 = 6 * rise - 3 * v0 - 3 * v1
        return (
            low + x * (v0 + x * x * (c3 + x * (c4 + x * c5))),
            (v0 + x * x * (3 * c3 + x * (4 * c4 + x * 5 * c5))) / span,
            x * (6 * c3 + x * (12 * c4 + x * 20 * c5)) / span**2,
        )


SPLINE, FLOWING = "spline", "flowing"
JOINS = (SPLINE, FLOWING, *LAWS)
"""How poses can be joined: a smooth curve that may swing beyond them, one that never does, or a law from rest to rest."""
BEYOND = 0.02  # of the whole lift; a spline that swings farther beyond its poses isn't what the maker drew


def joined(heights: Mapping[float, float], how: str | None, phase: float) -> Lift:
    """Join poses; ``how`` None chooses: the spline, which has the least acceleration, unless it swings too far beyond them."""
    if how in LAWS:
        return _from_rest_to_rest(heights, str(how), phase)
    if how == FLOWING:
        return FlowingLift(heights, phase)
    spline = PoseLift(heights, phase)
    most = BEYOND * (max(spline.heights) - min(spline.heights))
    return spline if how == SPLINE or spline.overshoot <= most else FlowingLift(heights, phase)


def _from_rest_to_rest(heights: Mapping[float, float], law: str, phase: float) -> Lift:
    """Go from pose to pose by one law, resting for a moment at each."""
    angles, lifts = zip(
        *sorted({angle % TURN: height for angle, height in heights.items()}.items()),
        strict=True,
    )
    count = len(angles)
    stretches = []
    for i in range(count):
        span = (angles[(i + 1) % count] - angles[i]) % TURN or TURN
        stretches.append(
            Stretch(
                angles[i] - angles[0], span, lifts[i], lifts[(i + 1) % count] - lifts[i], law
            )
        )
    return Lift(stretches, phase + angles[0])


def _periodic_bends(angles: Sequence[float], heights: Sequence[float]) -> list[float]:
    """Second derivatives at the knots of the periodic cubic spline, by elimination (knots are few)."""
    count = len(angles)
    spans = [(angles[(i + 1) % count] - angles[i]) % TURN for i in range(count)]
    rows = []
    for i in range(count):
        row = [0.0] * (count + 1)
        j, k, before, after = i - 1, (i + 1) % count, spans[i - 1], spans[i]
        row[j % count] += before / 6
        row[i] += (before + after) / 3
        row[k] += after / 6
        row[count] = (heights[k] - heights[i]) / after - (heights[i] - heights[j]) / before
        rows.append(row)
    for i in range(count):
        best = max(range(i, count), key=lambda r: abs(rows[r][i]))
        rows[i], rows[best] = rows[best], rows[i]
        for r in range(i + 1, count):
            factor = rows[r][i] / rows[i][i]
            if factor:
                rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i], strict=True)]
    bends = [0.0] * count
    for i in reversed(range(count)):
        bends[i] = (
            rows[i][count] - sum(rows[i][k] * bends[k] for k in range(i + 1, count))
        ) / rows[i][i]
    return bends


@lru_cache(maxsize=128)
def _joined(heights: tuple[tuple[float, float], ...], how: str | None, phase: float) -> Lift:
    return joined(dict(heights), how, phase)


@lru_cache(maxsize=64)
def _loud(hearing: Hearing, lift: float, phase: float) -> Lift:
    """Lift by loudness; a silent sound lifts nothing."""
    shares = listen(hearing).shares or ((0.0, 0.0), (TURN / 2, 0.0))
    return PoseLift({angle: lift * share for angle, share in shares}, phase)


def lift_of(cam: Any) -> Lift | None:
    """Read the wanted lift of a cam part; None for outlines that are drawn, not reckoned from a lift (eccentric, egg, traced).

    A drop's lift is what a knife edge would do on it: an even rise, level to the edge, then the fall.
    """
    if cam.programme:
        stretches: list[Stretch] = []
        angle = low = 0.0
        for rise, over, law in cam.moves():
            if over > 0:
                stretches.append(Stretch(angle, over, low, rise, law))
            angle, low = angle + over, low + rise
        return Lift(stretches, cam.phase)
    if cam.poses:
        return _joined(tuple(cam.poses.items()), cam.joined, cam.phase)
    if cam.loudness:
        return _loud(cam.loudness.hearing, cam.loudness.lift, cam.phase)
    if cam.drop:
        up, down = cam.drop.rise_over, cam.drop.fall_over
        level = max(TURN - up - down, 0.0)
        steps = [
            (up, 0.0, cam.drop.lift),
            (level, cam.drop.lift, 0.0),
            (down, cam.drop.lift, -cam.drop.lift),
        ]
        angle, stretches = 0.0, []
        for over, low, rise in steps:
            if over > 1e-9:
                stretches.append(Stretch(angle, over, low, rise, "straight"))
            angle += over
        return Lift(stretches, cam.phase)
    return None
