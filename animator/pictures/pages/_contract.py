"""What a page is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from animator.pictures.ink import (
    Sheet,
)

if TYPE_CHECKING:
    pass


class Page(Protocol):
    """What a film is made of."""

    sheet: Sheet

    def draw(self, t: float, held: float) -> None:
        """Draw the page at a moment of the motion [s]; ``held``: for how long the film has stood at its end. [s]"""
