"""What can be shown: something that gives the picture of each moment."""

from __future__ import annotations

from typing import Protocol

from animator.screens.window import Pixels


class Reel(Protocol):
    """Pictures of a showing.

    ``rounds``: how often what was shown has begun anew. ``dropped``: pictures left out because their time had passed.
    ``looks``: whether it has more than one look.
    """

    rounds: int
    dropped: int
    has_looks: bool

    def fit(self, size: tuple[int, int], at: float) -> None:
        """Make pictures for a window of another size from a moment of the showing on. [px, s]"""

    def picture(self, at: float) -> Pixels | None:
        """Give the picture of a moment [s], or None while the one before still holds; good until the next is asked for."""
        ...

    def next_at(self) -> float | None:
        """When the next picture is due [s]; None if nobody knows yet."""
        ...

    def is_at_seam(self, at: float) -> bool:
        """Whether the next picture begins a new round."""
        ...

    def switch_look(self, at: float) -> None:
        """Show the other look."""

    def close(self) -> None:
        """Let go of everything."""
