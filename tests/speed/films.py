"""Films for the benchmarks: the demos as the program draws them, and pictures that lie ready in memory."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageSequence

import animator
from tests.command.running import SCENES

__all__ = ["DEMOS", "EVERY", "SCENES", "InMemory", "film_of"]

DEMOS: list[tuple[str, str | None]] = [
    ("baker", None),
    ("heron", None),
    ("mole", None),
    ("skater", None),
    ("carousel", "band"),
]

EVERY: list[tuple[str, str | None]] = [
    *DEMOS,
    *(
        (path.stem, None)
        for path in sorted(SCENES.glob("*.yaml"))
        if path.stem not in {name for name, _ in DEMOS}
    ),
]
"""Every demo once."""


def film_of(
    name: str, variant: str | None, size: tuple[int, int], fps: float, **ways: Any
) -> Any:
    """Run a demo and give its film."""
    motion = animator.run(animator.read(SCENES / f"{name}.yaml", variant))
    report = animator.examine(motion)
    return animator.draw(motion, report, size=size, fps=fps, **ways)


class InMemory:
    """Pictures that need no drawing."""

    def __init__(self, pictures: list[Any], frame_count: int, fps: float) -> None:
        self.pictures, self.frame_count, self.fps = pictures, frame_count, fps
        self.distinct = len(pictures)
        height, width = pictures[0].shape[:2]
        self.size = width, height

    @classmethod
    def of_film(cls, film: Any) -> InMemory:
        """Draw all distinct pictures of a film."""
        return cls(
            [film.frame(index).copy() for index in range(film.distinct)],
            film.frame_count,
            film.fps,
        )

    @classmethod
    def of_gif(cls, path: Path) -> InMemory:
        """Read a GIF's pictures."""
        with Image.open(path) as film:
            pictures = [
                np.array(picture.convert("RGBA")) for picture in ImageSequence.Iterator(film)
            ]
            delay = film.info["duration"]
        return cls(pictures, len(pictures), 1000 / delay)

    def frame(self, index: int) -> Any:
        """Give a picture."""
        return self.pictures[index]
