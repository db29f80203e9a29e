"""What a film format is, and what it is handed: ``Format``, ``Frames`` and ``Ways``.

A format is one file in this folder, known by its ending. It draws each different picture once and writes to the path it is given, which
is a temporary one: putting the finished file in place is the business of ``writing.py``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Protocol

from animator.registry import Registry

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]
    """(height, width, 4), red, green, blue, alpha, not premultiplied; alpha is 255 all over unless the film is see-through."""
    Samples = NDArray[np.float32]
    """(sample_count, 2), left and right, -1 to 1, at ``SOUND_RATE`` a second."""

Progress = Callable[[int, int], None]
"""Told (done, total) as the work goes on."""

SOUND_RATE = 48_000  # samples a second; the one rate that both sound encoders take as it is
ANY_SIDE = 65_535  # px; no format counts further in two bytes


class Frames(Protocol):
    """A film to be: pictures that can be asked for in any order, alike for the same number.

    A film may have ``has_alpha``, true where its backdrop is transparent; without it, it is opaque.
    """

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


def is_clear(frames: Frames) -> bool:
    """Tell whether a film's backdrop is transparent."""
    return bool(getattr(frames, "has_alpha", False))


@dataclass(frozen=True)
class Ways:
    """How a film is written.

    Parameters
    ----------
    fps
        Pictures a second, > 0.
    is_draft
        Quick rather than small and fine.
    quality
        Which of the format's ``qualities``; 0 is the best.
    title, scene
        What the file says of itself; empty says nothing.
    samples
        Sound of the whole film, or None. Formats without sound leave it out.
    """

    fps: float
    is_draft: bool = False
    quality: int = 0
    title: str = ""
    scene: str = ""
    samples: Samples | None = None


@dataclass(frozen=True)
class Rung:
    """One step down the ladder to fewer bytes: share of the width and height, most pictures a second, number of the quality."""

    share: float = 1.0
    top_rate: float = 240.0
    quality: int = 0


class Format:
    """One kind of film file."""

    is_folder: ClassVar[bool] = False
    """True where the film is a folder of files."""

    top_rate: ClassVar[float | None] = None
    """Most pictures a second that the format can show, or None."""

    largest_side: ClassVar[int] = ANY_SIDE
    """Most pixels a side."""

    can_be_clear: ClassVar[bool] = True
    """Whether a transparent backdrop stays transparent; where not, the film is laid on paper."""

    has_sound: ClassVar[bool] = False
    """Whether the film can be heard."""

    size: ClassVar[tuple[int, int]] = (1280, 720)
    """Width and height where nothing is asked for. [px]"""

    fps: ClassVar[float] = 30.0
    """Pictures a second where nothing is asked for."""

    is_flat: ClassVar[bool] = False
    """True where flat inks and few shades make a much smaller file, so that the film is drawn that way."""

    qualities: ClassVar[tuple[str, ...]] = ("",)
    """What each quality after the first gives up, in plain words; the first gives up nothing."""

    ladder: ClassVar[tuple[Rung, ...]] = (Rung(),)
    """Steps to fewer bytes, in the order in which they are least missed; the first is the film as asked for."""

    def check(self) -> None:
        """Raise a RunError if something that the format needs is missing."""

    def remarks(self, frames: Frames, ways: Ways) -> tuple[str, ...]:
        """Give sentences about what the format can't do for this film."""
        found = []
        if is_clear(frames) and not self.can_be_clear:
            found.append("this format knows no transparency: the piece is laid on paper")
        if ways.samples is not None and not self.has_sound:
            found.append(
                "this format knows no sound: the film is silent; .mp4 and .webm can be heard"
            )
        return tuple(found)

    def picture_count(self, frames: Frames) -> int:
        """How many pictures the file holds; a format that loops by itself holds one round."""
        return frames.frame_count

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        """Write the film to ``path`` (its name has any ending)."""
        raise NotImplementedError


FORMATS: Registry[Format] = Registry("animator.outputs")
