"""Windows nobody sees, and small films."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from animator.screens.window import Window

SIZE = (160, 96)
COUNT, FPS = 12, 20
MakeFilm = Callable[..., Path]


def picture(index: int, count: int = COUNT, size: tuple[int, int] = SIZE) -> np.ndarray:  # type: ignore[type-arg]
    """A grey picture whose brightness tells its number."""
    out = np.full((size[1], size[0], 4), 255, np.uint8)
    out[..., :3] = 20 + 200 * index // count
    return out


def number_of(shown: np.ndarray, count: int = COUNT) -> int:  # type: ignore[type-arg]
    """Which picture it is."""
    grey = float(shown[..., :3].mean())
    return min(range(count), key=lambda i: abs(20 + 200 * i // count - grey))


def write_mp4(path: Path, count: int = COUNT, size: tuple[int, int] = SIZE) -> Path:
    with av.open(str(path), "w") as film:
        stream = film.add_stream(
            "libx264", rate=FPS, options={"crf": "5", "preset": "ultrafast"}
        )
        stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
        stream.time_base = Fraction(1, FPS)
        for i in range(count):
            frame = av.VideoFrame.from_ndarray(picture(i, count, size), "rgba")
            film.mux(stream.encode(frame))
        film.mux(stream.encode(None))
    return path


def write_by_pillow(path: Path, **more: object) -> Path:
    first, *others = [Image.fromarray(picture(i)) for i in range(COUNT)]
    form = "PNG" if path.suffix == ".apng" else None
    first.save(
        path, form, save_all=True, append_images=others, duration=1000 // FPS, loop=0, **more
    )
    return path


@pytest.fixture
def film(tmp_path: Path) -> MakeFilm:
    def make(name: str = "film.mp4") -> Path:
        path = tmp_path / name
        if path.suffix == ".mp4":
            return write_mp4(path)
        return write_by_pillow(path, **({"lossless": True} if path.suffix == ".webp" else {}))

    return make


@pytest.fixture
def open_window(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., Window]]:
    """Open windows on a screen that isn't there."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    opened: list[Window] = []

    def make(size: tuple[int, int] | None = (320, 180), **ways: object) -> Window:
        window = Window("trial", size, **ways)  # type: ignore[arg-type]
        opened.append(window)
        return window

    yield make
    for window in opened:
        window.close()
