"""How far a showing has got: a clock that can be held, slowed and stepped."""

from __future__ import annotations

from collections.abc import Callable

SLOWER = (1.0, 0.5, 0.25, 0.125)


class Pace:
    """Time of a showing [s], from a clock of the world.

    Examples
    --------
    >>> now = [10.0]
    >>> pace = Pace(lambda: now[0])
    >>> now[0] = 12.0; pace.slower(); now[0] = 14.0
    >>> pace.at()
    3.0
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock, self._since, self._at = clock, clock(), 0.0
        self.speed, self.is_held = 1.0, False

    def at(self) -> float:
        """Tell how far it has got. [s]"""
        passed = 0.0 if self.is_held else (self._clock() - self._since) * self.speed
        return self._at + passed

    def jump(self, at: float) -> None:
        """Go on from another moment. [s]"""
        self._at, self._since = at, self._clock()

    def hold(self, is_held: bool) -> None:
        """Stand still, or go on."""
        self.jump(self.at())
        self.is_held = is_held

    def slower(self) -> None:
        """Run at the next slower speed, after the slowest at the full one again."""
        self.jump(self.at())
        self.speed = SLOWER[(SLOWER.index(self.speed) + 1) % len(SLOWER)]
