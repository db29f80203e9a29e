"""What a film format is, and what it is handed: ``Format`` and ``Frames``.

A format is one file in this folder, known by its ending. It draws each different picture once and writes to the path it is given, which
is a temporary one: putting the finished file in place is the business of ``writing.py``.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Protocol

from animator.registry import Registry

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]
    """(height, width, 4), red, green, blue, alpha; the pictures are opaque."""

Progress = Callable[[int, int], None]
"""Told (done, total) as the work goes on."""


class Frames(Protocol):
    """A film to be: pictures that can be asked for in any order, alike for the same number."""

    @property
    def frame_count(self) -> int:
        """How many pictures the film shows."""
        ...

    @property
    def distinct(self) -> int:
        """After how many pictures they come round again; ``frame_count`` or more if they never do."""
        ...

    @property
    def size(self) -> tuple[int, int]:
        """Width and height. [px]"""
        ...

    @property
    def fps(self) -> float:
        """Pictures a second."""
        ...

    def frame(self, index: int) -> Pixels:
        """Draw picture ``index``. The array may be drawn over by the next call."""
        ...


class Format:
    """One kind of film file."""

    is_folder: ClassVar[bool] = False
    """True where the film is a folder of files."""

    top_rate: ClassVar[float | None] = None
    """Most pictures a second that the format can show, or None."""

    def check(self) -> None:
        """Raise a RunError if something that the format needs is missing."""

    def save(
        self, frames: Frames, path: Path, fps: float, is_draft: bool, progress: Progress
    ) -> None:
        """Write the film to ``path`` (its name has any ending).

        Parameters
        ----------
        frames
            The pictures.
        path
            Where to write.
        fps
            Pictures a second, > 0.
        is_draft
            Quick rather than small and fine.
        progress
            Told how far it is.
        """
        raise NotImplementedError


FORMATS: Registry[Format] = Registry("animator.outputs")
