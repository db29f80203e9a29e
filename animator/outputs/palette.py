"""The few colours of a GIF, chosen from how often each is seen in the whole film.

Colours are counted in cells of 4 × 4 × 4 levels (6 bits a channel). The cells are split into boxes, always where the weighted variance is
largest, and the colours settled by a few rounds of nearest means.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels


CELL_COUNT = 1 << 18
SIZES = (
    31,
    63,
    127,
    255,
)  # one index is left for transparent; a power of two less one packs best
ENOUGH = 5.0  # error [levels of 255] of a colour, root mean square by weight, at which more colours don't show
EVENNESS = 0.75  # counts count with this power, so that a small red knob keeps its red beside much paper
ROUNDS = 4  # of nearest means; more change nothing that shows

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Palette:
    """Colours and what they stand for.

    ``colours`` : (colour_count, 3). ``index_by_cell`` : (CELL_COUNT,) nearest colour. ``distances`` : (colour_count, colour_count), largest
    difference in any channel [levels of 255].
    """

    colours: NDArray[np.uint8]
    index_by_cell: NDArray[np.uint8]
    distances: NDArray[np.uint8]


def cells_of(pixels: Pixels) -> NDArray[np.int32]:
    """Give the cell of each pixel, (height, width)."""
    coarse = pixels[..., :3].astype(np.int32) >> 2
    cells: NDArray[np.int32] = (coarse[..., 0] << 12) | (coarse[..., 1] << 6) | coarse[..., 2]
    return cells


def choose_palette(histogram: NDArray[np.int64], sums: Floats) -> Palette:
    """Choose as few colours as the film needs.

    Parameters
    ----------
    histogram
        (CELL_COUNT,) how many pixels of the film fall into each cell.
    sums
        (CELL_COUNT, 4) sums of red, green, blue and number of pixels whose true colours are known; elsewhere the middle of the cell counts.
    """
    cells = np.flatnonzero(histogram)
    counts = histogram[cells].astype(np.float64)
    colours = _middles(cells)
    known = sums[cells, 3] > 0
    colours[known] = sums[cells[known], :3] / sums[cells[known], 3:]
    weights = counts**EVENNESS
    chosen = colours
    for size in SIZES:
        chosen = _settle(_split(colours, weights, size), colours, weights)
        errors, _ = cKDTree(chosen).query(colours)
        if np.sqrt(np.average(errors**2, weights=weights)) <= ENOUGH:
            break
    table = np.clip(np.rint(chosen), 0, 255).astype(np.uint8)
    nearest = cKDTree(table.astype(np.float64))
    index_by_cell = nearest.query(_middles(np.arange(CELL_COUNT)))[1].astype(np.uint8)
    index_by_cell[cells] = nearest.query(colours)[1]
    levels = table.astype(np.int16)
    distances = np.abs(levels[:, None] - levels[None]).max(2).astype(np.uint8)
    return Palette(table, index_by_cell, distances)


def _middles(cells: NDArray[np.int64]) -> Floats:
    channels = np.stack([cells >> 12, (cells >> 6) & 63, cells & 63], 1)
    return channels * 4.0 + 1.5


def _split(colours: Floats, weights: Floats, size: int) -> Floats:
    """Split the colours into boxes at the mean of their widest channel and give the boxes' means."""
    boxes = [np.arange(len(colours))]
    spreads = [_spread(colours, weights)]
    while len(boxes) < min(size, len(colours)):
        largest = int(np.argmax([spread.max() for spread in spreads]))
        if spreads[largest].max() <= 0:
            break
        box, channel = boxes[largest], int(np.argmax(spreads[largest]))
        values = colours[box, channel]
        is_high = values > np.average(values, weights=weights[box])
        for place, part in ((largest, box[~is_high]), (len(boxes), box[is_high])):
            boxes[place : place + 1] = [part]
            spreads[place : place + 1] = [_spread(colours[part], weights[part])]
    return np.array([np.average(colours[box], axis=0, weights=weights[box]) for box in boxes])


def _spread(colours: Floats, weights: Floats) -> Floats:
    """Weighted sum of squares about the mean, channel by channel."""
    spread: Floats = weights @ (colours - np.average(colours, axis=0, weights=weights)) ** 2
    return spread


def _settle(chosen: Floats, colours: Floats, weights: Floats) -> Floats:
    """Move each chosen colour to the mean of those nearest to it, a few times."""
    for _ in range(ROUNDS):
        nearest = cKDTree(chosen).query(colours)[1]
        shares = np.bincount(nearest, weights, len(chosen))
        means = np.stack(
            [np.bincount(nearest, weights * colours[:, c], len(chosen)) for c in range(3)], 1
        )
        chosen = np.where(
            shares[:, None] > 0, means / np.maximum(shares, 1e-12)[:, None], chosen
        )
    return chosen
