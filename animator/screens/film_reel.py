"""A film file, read by a thread ahead of its time; it goes round without a seam.

The thread reads, scales and turns pictures into the screen's colours (its libraries let go of Python's lock meanwhile) and keeps a few
ready. Which is shown is chosen by the clock: a picture whose time has passed is left out. All memory is taken once.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

import av
import numpy as np
from PIL import Image, UnidentifiedImageError

from animator.problems import RunError
from animator.screens.window import Pixels

QUEUE = 6  # pictures ready ahead
SPARE = 2  # the one on the screen, and the one being made
MOST_LEFT_OUT = 6  # pictures in a row; then one is shown though it is late, or a slow machine would show none at all
TOO_LATE = 1.0  # s; a film that lags more than this goes on from where it is
WAIT = 0.05  # s between looks whether it is over
UNSAID = 0.1  # s a picture stands whose file doesn't tell; as most that show GIF do
STILL = 2.0  # s; a file of one picture is looked at again after that
LARGEST = 16384 * 16384  # px; more is a mistake or malice
UNDER_CLEAR = (244, 234, 213)  # the sheet that is seen where a film is clear
Put = Callable[[Pixels], None]


@dataclass(frozen=True)
class Ready:
    """A picture ready to be shown: when [s], in which round, where it lies."""

    due: float
    round: int
    slot: int


class FilmReel:
    """A film that goes round.

    Parameters
    ----------
    path
        Of the file.

    Raises
    ------
    RunError
        It can't be read as a film.
    """

    has_looks = False

    def __init__(self, path: Path) -> None:
        self.path = path
        self.rounds = self.dropped = 0
        self.trouble: RunError | None = None
        self._open: Callable[[tuple[int, int]], Iterator[tuple[float, float, Put]]]
        if path.suffix.lower() == ".webp":
            self.film_size, self._open = _size_by_pillow(path), self._by_pillow
        else:
            self.film_size, self._open = _size_by_av(path), self._by_av
        self._wanted = 0.0
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self._ready: deque[Ready] = deque()
        self._free: SimpleQueue[int] = SimpleQueue()
        self._current: Ready | None = None
        self._pool: Pixels | None = None

    # ------------------------------------------------------------ the window's side
    def fit(self, size: tuple[int, int], at: float) -> None:
        """Make pictures of the largest size that fits a window, from the film's beginning on."""
        w, h = self.film_size
        k = min(size[0] / w, size[1] / h)
        shape = max(1, min(round(h * k), size[1])), max(1, min(round(w * k), size[0]))
        if self._pool is not None and shape == self._pool.shape[1:3]:
            return
        self._end_thread()
        self._pool = np.zeros((QUEUE + SPARE, *shape, 4), np.uint8)
        self._ready, self._free, self._current = deque(), SimpleQueue(), None
        for slot in range(QUEUE + SPARE):
            self._free.put(slot)
        self._wanted = at
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self._work, args=(self._stop, at), name="film", daemon=True
        )
        self._thread.start()

    def picture(self, at: float) -> Pixels | None:
        """Give the last picture whose time has come, or None where that one is shown already."""
        self._wanted = at
        if self.trouble is not None:
            raise self.trouble
        before = self._current
        while self._ready and self._ready[0].due <= at + 1e-6:
            if self._current is not None:
                if self._current is not before:
                    self.dropped += 1
                self._free.put(self._current.slot)
            self._current = self._ready.popleft()
        if self._current is before or self._current is None or self._pool is None:
            return None
        self.rounds = self._current.round
        picture: Pixels = self._pool[self._current.slot]
        return picture

    def next_at(self) -> float | None:
        """When the next picture is due. [s]"""
        return self._ready[0].due if self._ready else None

    def is_at_seam(self, at: float) -> bool:
        """Whether the next picture is due and the first of a new round."""
        if not self._ready or self._current is None:
            return False
        return self._ready[0].due <= at and self._ready[0].round > self._current.round

    def switch_look(self, at: float) -> None:
        """A film looks as it was made."""

    def close(self) -> None:
        """Let go of the file."""
        self._end_thread()
        self._pool = None

    def _end_thread(self) -> None:
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    # ------------------------------------------------------------ the thread's side
    def _work(self, stop: threading.Event, at: float) -> None:
        try:
            self._go_round(stop, at)
        except RunError as trouble:
            self.trouble = trouble
        except Exception as trouble:  # a broken file makes its library say almost anything
            self.trouble = RunError(f"{self.path}: can't be read to its end ({_said(trouble)})")

    def _go_round(self, stop: threading.Event, base: float) -> None:
        assert self._pool is not None
        shape = self._pool.shape[1:3]
        number = 0
        while not stop.is_set():
            end, count, left_out = 0.0, 0, 0
            for t, lasts, put in self._open((shape[1], shape[0])):
                count, end = count + 1, t + lasts
                if base + end <= self._wanted and left_out < MOST_LEFT_OUT:
                    left_out += 1
                    self.dropped += 1
                    continue
                left_out = 0
                slot = self._slot(stop)
                if slot is None:
                    return
                put(self._pool[slot])
                self._ready.append(Ready(base + t, number, slot))
            if not count:
                raise RunError(f"{self.path}: there are no pictures in it")
            base += end if count > 1 else max(end, STILL)
            number += 1
            if self._wanted - base > TOO_LATE:
                base = self._wanted

    def _slot(self, stop: threading.Event) -> int | None:
        """Wait for a free place; None if it is over."""
        while not stop.is_set():
            try:
                return self._free.get(timeout=WAIT)
            except Empty:
                continue
        return None

    def _by_av(self, size: tuple[int, int]) -> Iterator[tuple[float, float, Put]]:
        """Read the film once through: start and length of each picture [s], and how to put it somewhere."""
        with av.open(str(self.path)) as film:
            stream = film.streams.video[0]
            stream.thread_type = "AUTO"
            stream.codec_context.thread_count = 2
            scaler = av.video.reformatter.VideoReformatter()
            usual = float(1 / stream.average_rate) if stream.average_rate else UNSAID
            first: float | None = None
            held: tuple[float, Put] | None = None
            lasts = usual
            for packet in film.demux(stream):
                if packet.duration and packet.time_base:
                    lasts = float(packet.duration * packet.time_base)
                for frame in packet.decode():
                    start = float(frame.time) if frame.time is not None else None
                    if start is None:
                        start = (held[0] + usual if held else 0.0) + (first or 0.0)
                    first = start if first is None else first
                    at = max(start - first, 0.0)
                    if held is not None:
                        yield held[0], max(at - held[0], 0.0), held[1]
                    held = at, _put_frame(frame, size, scaler)
            if held is not None:
                yield held[0], lasts if lasts > 0 else UNSAID, held[1]

    def _by_pillow(self, size: tuple[int, int]) -> Iterator[tuple[float, float, Put]]:
        """Read an animated WebP, which the other library can't."""
        with Image.open(self.path) as film:
            at = 0.0
            for number in range(getattr(film, "n_frames", 1)):
                film.seek(number)
                film.load()
                lasts = film.info.get("duration", 0) / 1000 or UNSAID

                def put(place: Pixels) -> None:
                    shown = film.convert("RGBA")
                    if shown.size != size:
                        shown = shown.resize(size, Image.Resampling.BILINEAR, reducing_gap=2.0)
                    np.copyto(place, np.asarray(shown))
                    _on_paper(place)

                yield at, lasts, put
                at += lasts


def _put_frame(frame: Any, size: tuple[int, int], scaler: Any) -> Put:
    """Tell how a decoded picture gets somewhere, scaled and in the screen's colours."""

    def put(place: Pixels) -> None:
        shown = scaler.reformat(frame, width=size[0], height=size[1], format="rgba")
        plane = shown.planes[0]
        rows = np.frombuffer(plane, np.uint8).reshape(plane.height, plane.line_size)
        np.copyto(place, rows[: size[1], : size[0] * 4].reshape(size[1], size[0], 4))
        if any(component.is_alpha for component in frame.format.components):
            _on_paper(place)

    return put


def _on_paper(picture: Pixels) -> None:
    """Lay a picture on paper where it is clear."""
    alpha = picture[..., 3:]
    if alpha.min() == 255:
        return
    share = alpha.astype(np.uint16)
    for i, paper in enumerate(UNDER_CLEAR):
        channel = picture[..., i]
        channel[...] = (channel * share[..., 0] + paper * (255 - share[..., 0]) + 127) // 255
    picture[..., 3] = 255


def _size_by_av(path: Path) -> tuple[int, int]:
    try:
        with av.open(str(path)) as film:
            if not film.streams.video:
                raise RunError(f"{path}: there are no pictures in it")
            stream = film.streams.video[0]
            return _sane(path, stream.codec_context.width, stream.codec_context.height)
    except FileNotFoundError:
        raise RunError(f"{path}: there is no such file") from None
    except (OSError, ValueError, av.error.FFmpegError) as trouble:
        raise RunError(f"{path}: no film that can be read ({_said(trouble)})") from trouble


def _size_by_pillow(path: Path) -> tuple[int, int]:
    try:
        with Image.open(path) as film:
            return _sane(path, *film.size)
    except FileNotFoundError:
        raise RunError(f"{path}: there is no such file") from None
    except (
        OSError,
        ValueError,
        UnidentifiedImageError,
        Image.DecompressionBombError,
    ) as trouble:
        raise RunError(f"{path}: no film that can be read ({_said(trouble)})") from trouble


def _sane(path: Path, width: int, height: int) -> tuple[int, int]:
    if width <= 0 or height <= 0 or width * height > LARGEST:
        raise RunError(f"{path}: pictures of {width} x {height} can't be shown")
    return width, height


def _said(trouble: BaseException) -> str:
    """What a library says, without the path it repeats."""
    words = getattr(trouble, "strerror", None) or str(trouble) or type(trouble).__name__
    return str(words).splitlines()[0][:120]
