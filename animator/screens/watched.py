"""The loop of everything that is shown in a window: meet what happens, go on, until it is over."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from animator.screens.window import Window


@dataclass
class Tally:
    """What a showing came to: pictures shown and left out, rounds gone, things that couldn't be shown, screens lost; when the first picture was there. [s]"""

    shown: int = 0
    dropped: int = 0
    rounds: int = 0
    skipped: int = 0
    lost: int = 0
    first_at: float | None = None
    seconds: float = 0.0


class Watched(ABC):
    """Something shown in a window until it is over.

    Attributes
    ----------
    window, clock
        Where it is shown, and what tells the time. [s]
    tally
        What was shown.
    is_over
        It ends after the picture that is being shown.
    """

    window: Window
    clock: Callable[[], float]
    tally: Tally
    is_over: bool
    _began: float

    def run(self) -> Tally:
        """Show until it is over."""
        try:
            self._begin()
            while not self.is_over:
                for event in self.window.events(self._nap()):
                    self._meet(event)
                self._go_on()
        finally:
            self._close()
            self.tally.lost = self.window.lost
            self.tally.seconds = self.clock() - self._began
        return self.tally

    def stop(self) -> None:
        """End after the picture that is being shown."""
        self.is_over = True

    @abstractmethod
    def _begin(self) -> None: ...

    @abstractmethod
    def _nap(self) -> float:
        """How long there is nothing to do but to wait for something to be done. [s]"""

    @abstractmethod
    def _meet(self, event: Any) -> None: ...

    @abstractmethod
    def _go_on(self) -> None: ...

    @abstractmethod
    def _close(self) -> None: ...
