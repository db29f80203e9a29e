"""Films for tests that need no scene: a still plate with a part that goes round on it."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

PAPER, BRASS, INK = (244, 233, 213), (198, 158, 74), (38, 30, 26)


class Roundabout:
    """A brass disc on an ink-ruled plate goes once round in ``distinct`` pictures."""

    def __init__(
        self,
        count: int,
        distinct: int | None = None,
        size: tuple[int, int] = (160, 96),
        fps: float = 25.0,
    ) -> None:
        self.frame_count, self.distinct, self.size, self.fps = (
            count,
            distinct or count,
            size,
            fps,
        )
        width, height = size
        self.y, self.x = np.mgrid[0:height, 0:width].astype(np.float64)
        self.plate = np.empty((height, width, 4), np.uint8)
        self.plate[:] = (*PAPER, 255)
        self.plate[::24, :, :3] = INK
        self.calls: list[int] = []

    def place(self, index: int) -> tuple[float, float]:
        width, height = self.size
        turn = 2 * math.pi * index / self.distinct
        return width / 2 + height / 4 * math.cos(turn), height / 2 - height / 4 * math.sin(turn)

    def frame(self, index: int) -> NDArray[np.uint8]:
        assert 0 <= index < self.distinct
        self.calls.append(index)
        x, y = self.place(index)
        inside = np.clip(self.size[1] / 8 + 0.5 - np.hypot(self.x - x, self.y - y), 0, 1)[
            ..., None
        ]
        picture = self.plate.copy()
        picture[..., :3] = np.rint(
            self.plate[..., :3] * (1 - inside) + np.array(BRASS) * inside
        )
        return picture


def names_in(folder: Path) -> list[str]:
    """Names of everything in a folder, hidden things too."""
    return sorted(path.name for path in folder.iterdir())


def structural_similarity(a: NDArray[np.uint8], b: NDArray[np.uint8]) -> float:
    """Mean SSIM of the lightness of two pictures (Wang and others 2004, Gaussian window of 1.5 px, K = 0.01 and 0.03)."""
    from scipy.ndimage import gaussian_filter

    def smooth(values: NDArray[np.float64]) -> NDArray[np.float64]:
        smoothed: NDArray[np.float64] = gaussian_filter(values, 1.5, truncate=3.5)
        return smoothed

    lightness = np.array([0.299, 0.587, 0.114])
    first, second = a[..., :3] @ lightness, b[..., :3] @ lightness
    mean_a, mean_b = smooth(first), smooth(second)
    spread_a = smooth(first**2) - mean_a**2
    spread_b = smooth(second**2) - mean_b**2
    common = smooth(first * second) - mean_a * mean_b
    c1, c2 = (0.01 * 255) ** 2, (0.03 * 255) ** 2
    likeness = (2 * mean_a * mean_b + c1) * (2 * common + c2)
    likeness /= (mean_a**2 + mean_b**2 + c1) * (spread_a + spread_b + c2)
    return float(likeness[5:-5, 5:-5].mean())


class Ghostly(Roundabout):
    """The same disc without a plate: nothing round it, and its edge half there."""

    has_alpha = True

    def frame(self, index: int) -> NDArray[np.uint8]:
        x, y = self.place(index)
        inside = np.clip(self.size[1] / 8 + 0.5 - np.hypot(self.x - x, self.y - y), 0, 1)
        picture = np.zeros_like(self.plate)
        picture[..., 3] = np.rint(255 * inside)
        picture[picture[..., 3] > 0, :3] = BRASS
        return picture
