"""A film within so many bytes: what is least missed is given up first, and what is written is counted, not guessed.

How many bytes a step down would take is estimated from a part of the pictures, which is quick; the first step that should do is written whole and
counted. If it is too large after all, the next ones are tried, by the estimates put right with what was counted.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from animator.outputs._contract import Format, Frames, Rung, Ways, is_clear
from animator.problems import RunError

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

Again = Callable[[tuple[int, int], float], Frames]
"""Draws a film anew: (width and height, pictures a second) -> film."""
Write = Callable[[Path, Frames, Ways], None]

FEW = 30  # pictures a film may have to be tried whole; a part of so few tells nothing
PARTS = 2  # stretches looked at; a motion is not equally lively everywhere
SHARE = 6  # a stretch is a sixth of the pictures long
SAFE = 0.97  # of the bytes allowed; an estimate is within about 5 percent
HOPED = 1.3  # the film as asked for is tried whole even if the estimate is that much over
LEAST_SIDE = 120  # px; smaller, nobody sees what moves


def byte_count(path: Path) -> int:
    """Bytes of a file, or of all files in a folder."""
    if path.is_dir():
        return sum(inside.stat().st_size for inside in path.iterdir())
    return path.stat().st_size


def said_bytes(count: int) -> str:
    """Say a number of bytes.

    Examples
    --------
    >>> said_bytes(4_870_000), said_bytes(41_300), said_bytes(1_234_567, ), said_bytes(800)
    ('4.9 MB', '42 kB', '1.3 MB', '1 kB')
    """
    # Rounded up: what is told as the smallest must do when it is asked for.
    return f"{-(-count // 100_000) / 10:g} MB" if count > 999_000 else f"{-(-count // 1000)} kB"


class Fitting:
    """Looks for the best film within so many bytes.

    Parameters
    ----------
    kind
        The format.
    frames
        The film as asked for.
    ways
        How it would be written.
    most
        Bytes allowed.
    again
        Draws it anew at another size and rate; None makes its pictures smaller.
    name
        What the file is called.
    """

    def __init__(
        self,
        kind: Format,
        frames: Frames,
        ways: Ways,
        most: int,
        again: Again | None,
        name: str,
    ) -> None:
        self.kind, self.frames, self.ways, self.most = kind, frames, ways, most
        self.again, self.name = again, name
        self.rungs = _usable(kind, frames.size, ways.fps)
        self._films: dict[int, tuple[Frames, Ways]] = {}
        self._estimates: dict[int, float] = {}

    def meet(self, part: Path, write: Write) -> tuple[Frames, Ways, tuple[str, ...]]:
        """Write the best film that fits to ``part``; give it, how it was written, and what was given up."""
        step = self._first_likely()
        correction = 1.0
        counted = 0
        while step < len(self.rungs):
            film, ways = self._film(step)
            _empty(part)
            write(part, film, ways)
            counted = byte_count(part)
            if counted <= self.most:
                return film, ways, self._given_up(step, film, ways)
            correction = counted / self._estimate(step)
            step += 1
            while (
                step < len(self.rungs) - 1
                and self._estimate(step) * correction > SAFE * self.most
            ):
                step += 1
        film, ways = self._film(len(self.rungs) - 1)
        width, height = film.size
        raise RunError(
            f"{self.name}: {said_bytes(self.most)} can't be met; the smallest this film gets is {said_bytes(counted)}, "
            f"at {width} × {height} and {ways.fps:g} pictures a second: "
            f"give --max-size {said_bytes(counted).replace(' ', '')}, or fewer --seconds"
        )

    # ------------------------------------------------------------ how large
    def _first_likely(self) -> int:
        """Find the first step that should fit, taking it that every step is smaller than the one before."""
        low, high = 0, len(self.rungs) - 1
        while low < high:
            middle = (low + high) // 2
            # Most films fit as they are, so that is asked first.
            middle = 0 if (low, high) == (0, len(self.rungs) - 1) else middle
            if self._estimate(middle) <= (SAFE if middle else HOPED) * self.most:
                high = middle
            else:
                low = middle + 1
        return low

    def _film(self, step: int) -> tuple[Frames, Ways]:
        """Give the film of a step."""
        if step not in self._films:
            rung = self.rungs[step]
            size, fps = _measures(rung, self.frames.size, self.ways.fps)
            if (size, fps) == (self.frames.size, self.ways.fps):
                film = self.frames
            elif self.again is not None:
                film = self.again(size, fps)
            else:
                film = Reduced(self.frames, size, fps / self.ways.fps)
                fps = self.ways.fps * film.frame_count / self.frames.frame_count
            self._films[step] = film, replace(self.ways, fps=fps, quality=rung.quality)
        return self._films[step]

    def _estimate(self, step: int) -> float:
        """Estimate the bytes of a step."""
        if step not in self._estimates:
            film, ways = self._film(step)
            self._estimates[step] = max(1.0, self._part_by_part(film, ways))
        return self._estimates[step]

    def _part_by_part(self, film: Frames, ways: Ways) -> float:
        count = self.kind.picture_count(film)
        distinct = min(film.distinct, count)
        if distinct <= FEW:
            return float(self._bytes_of(film, ways))
        length = max(FEW // PARTS, distinct // SHARE // PARTS) * 2
        starts = [round(i * (distinct - length) / (PARTS - 1)) for i in range(PARTS)]
        wholes = sum(self._bytes_of(Stretch(film, start, length), ways) for start in starts)
        halves = sum(
            self._bytes_of(Stretch(film, start, length // 2), ways) for start in starts
        )
        # The first pictures of a stretch cost more than those further on, so what a picture adds is read off its second half.
        change = (wholes - halves) / (PARTS * (length - length // 2))
        return halves / PARTS + change * (count - length // 2)

    def _bytes_of(self, film: Frames, ways: Ways) -> int:
        with tempfile.TemporaryDirectory() as folder:
            place = Path(folder) / "part"
            if self.kind.is_folder:
                place.mkdir()
            self.kind.save(film, place, ways, lambda done, total: None)
            return byte_count(place)

    # ------------------------------------------------------------ what it cost
    def _given_up(self, step: int, film: Frames, ways: Ways) -> tuple[str, ...]:
        lost = []
        (width, height), (full_width, full_height) = film.size, self.frames.size
        if film.size != self.frames.size:
            lost.append(f"{width} × {height} instead of {full_width} × {full_height}")
        if abs(ways.fps - self.ways.fps) > 1e-6:
            lost.append(f"{ways.fps:.3g} pictures a second instead of {self.ways.fps:.3g}")
        if self.kind.qualities[ways.quality]:
            lost.append(self.kind.qualities[ways.quality])
        return (f"to stay within {said_bytes(self.most)}: {', '.join(lost)}",) if lost else ()


def _usable(kind: Format, size: tuple[int, int], fps: float) -> list[Rung]:
    """Give the steps of the ladder that change anything for a film and leave it large enough to see."""
    seen, rungs = set(), []
    for rung in kind.ladder:
        measures = (*_measures(rung, size, fps), rung.quality)
        if measures not in seen and (rung.share == 1 or min(measures[0]) >= LEAST_SIDE):
            seen.add(measures)
            rungs.append(rung)
    return rungs


def _measures(rung: Rung, size: tuple[int, int], fps: float) -> tuple[tuple[int, int], float]:
    """Give width and height (even, for the encoders' sake) and rate of a step."""
    if rung.share < 1:
        width, height = (max(2, round(side * rung.share / 2) * 2) for side in size)
        size = width, height
    return size, min(fps, rung.top_rate)


def _empty(part: Path) -> None:
    """Take away what the last try has written."""
    if part.is_dir():
        for inside in part.iterdir():
            inside.unlink()
    elif part.exists():
        with part.open("wb"):
            pass


class Stretch:
    """Some pictures of a film that follow each other."""

    def __init__(self, film: Frames, start: int, length: int) -> None:
        self.film, self.start = film, start
        self.frame_count = self.distinct = length
        self.size, self.fps = film.size, film.fps
        self.has_alpha = is_clear(film)

    def frame(self, index: int) -> Pixels:
        """Draw a picture of the stretch."""
        return self.film.frame((self.start + index) % self.film.distinct)


class Reduced:
    """A film with smaller or fewer pictures, made from those of another."""

    def __init__(self, film: Frames, size: tuple[int, int], share: float) -> None:
        self.film, self.size = film, size
        self.distinct = max(1, round(film.distinct * share))
        self.frame_count = max(1, round(film.frame_count * self.distinct / film.distinct))
        self.fps = film.fps * self.distinct / film.distinct
        self.has_alpha = is_clear(film)

    def frame(self, index: int) -> Pixels:
        """Draw a picture of the other and make it smaller."""
        import numpy as np
        from PIL import Image

        of = index % self.distinct * self.film.distinct // self.distinct
        picture = Image.fromarray(self.film.frame(of))
        if not self.has_alpha:
            smaller = picture.resize(self.size, Image.Resampling.LANCZOS)
        else:  # what is transparent has no say in the colours
            smaller = (
                picture.convert("RGBa").resize(self.size, Image.Resampling.BOX).convert("RGBA")
            )
        return np.asarray(smaller).copy()
