"""Colours of flat areas through the films that lose something, by formulas of their own: Rec. ITU-R BT.709-6 (decoding), IEC 61966-2-1 and CIE 15 (colour difference).

What a colour comes out as is the mean over the area less two pixels at its edges, where half-size chroma mixes neighbours.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from animator.outputs import save
from tests import pieces
from tests.colour import difference, inks, lab

SIDE, EDGE = 16, 2  # px


class Chart:
    """Every ink as a square of 16 px on dark ground."""

    fps = 25.0
    frame_count = distinct = 6

    def __init__(self, gap: int) -> None:
        self.inks, across, step = inks(), 12, SIDE + gap
        self.size = (across * step, math.ceil(len(self.inks) / across) * step)
        self.picture = np.full((self.size[1], self.size[0], 4), 255, np.uint8)
        self.picture[..., :3] = (42, 33, 27)
        self.places = []
        for number, ink in enumerate(self.inks):
            y, x = (place * step + gap // 2 for place in divmod(number, across))
            self.picture[y : y + SIDE, x : x + SIDE, :3] = ink
            self.places.append((y, x))

    def frame(self, index: int) -> NDArray[np.uint8]:
        return self.picture


def decoded(path: Path) -> list[NDArray[np.float64]]:
    """Red, green and blue of every picture, by the formulas of BT.709, 8-bit narrow range."""
    pictures = []
    with av.open(str(path)) as film:
        for picture in film.decode(video=0):
            luma, blue, red = (plane_of(plane) for plane in picture.planes[:3])
            blue, red = (part.repeat(2, 0).repeat(2, 1) for part in (blue, red))
            luma, blue, red = (luma - 16) / 219, (blue - 128) / 224, (red - 128) / 224
            r, b = luma + 1.5748 * red, luma + 1.8556 * blue
            g = (luma - 0.2126 * r - 0.0722 * b) / 0.7152
            pictures.append(np.clip(np.stack([r, g, b], -1) * 255, 0, 255))
    return pictures


def plane_of(plane: Any) -> NDArray[np.float64]:
    lines = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)
    return lines[:, : plane.width].astype(float)


def test_colour_difference_is_the_standard_one() -> None:
    # White, middle grey and the primaries of sRGB in L*a*b*, as published in many tables; from memory.
    assert np.allclose(lab(np.array([255, 255, 255])), (100, 0, 0), atol=0.02)
    assert np.allclose(lab(np.array([255, 0, 0])), (53.24, 80.09, 67.20), atol=0.05)
    assert np.allclose(lab(np.array([0, 0, 255])), (32.30, 79.19, -107.86), atol=0.05)


@pytest.mark.parametrize("ending", [".mp4", ".webm"])
@pytest.mark.parametrize("gap", [0, 5, 8])
def test_every_ink_comes_out_as_drawn(ending: str, gap: int, tmp_path: Path) -> None:
    chart = Chart(gap)
    save(chart, tmp_path / f"chart{ending}")
    seen = decoded(tmp_path / f"chart{ending}")[-1]
    for ink, (y, x) in zip(chart.inks, chart.places, strict=True):
        inner = seen[y + EDGE : y + SIDE - EDGE, x + EDGE : x + SIDE - EDGE]
        assert difference(inner.mean((0, 1)), np.array(ink)) < 2, ink


@pytest.mark.slow
@pytest.mark.parametrize("ending", [".mp4", ".webm"])
def test_flat_areas_of_a_moving_film_keep_their_colour(ending: str, tmp_path: Path) -> None:
    from animator.pictures.film import Film

    motion = pieces.run_demo("mole", None, turns=1.0)
    film = Film(motion, look="client", size=(640, 360), fps=25, style="thrifty", seconds=0.4)
    save(film, tmp_path / f"film{ending}")
    seen = decoded(tmp_path / f"film{ending}")
    count = 0
    for index in range(0, film.frame_count, 3):
        drawn = film.frame(index)[..., :3].astype(float)
        for y in range(0, 360 - SIDE, SIDE):
            for x in range(0, 640 - SIDE, SIDE):
                part = drawn[y : y + SIDE, x : x + SIDE]
                if (part == part[0, 0]).all():
                    inner = seen[index][y + EDGE : y + SIDE - EDGE, x + EDGE : x + SIDE - EDGE]
                    assert difference(inner.mean((0, 1)), part[0, 0]) < 2
                    count += 1
    assert count > 100
