"""The few colours of a GIF, chosen from how often each is seen in the whole film.

Colours are counted in cells of 4 × 4 × 4 levels (6 bits a channel). The cells are split into boxes, always where the weighted variance is
largest, and the colours settled by a few rounds of nearest means.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

CELL_COUNT = 1 << 18
SIZES = (
    31,
    63,
    127,
    255,
)  # one index is left for transparent; a power of two less one packs best
ENOUGH = 6.0  # error [levels of 255] of a colour, root mean square by weight, at which more colours don't show
EVENNESS = 0.75  # counts count with this power, so that a small red knob keeps its red beside much paper
ROUNDS = 4  # of nearest means; more change nothing that shows
CHUNK = 4096  # colours compared with the whole palette at a time, for the memory's sake

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Palette:
    """Colours and what they stand for.

    ``colours`` : (colour_count, 3). ``index_by_cell`` : (CELL_COUNT,) nearest colour, for the cells that are seen. ``distances`` : (colour_count, colour_count), largest
    difference in any channel [levels of 255].
    """

    colours: NDArray[np.uint8]
    index_by_cell: NDArray[np.uint8]
    distances: NDArray[np.uint8]


def cells_of(pixels: NDArray[np.uint32]) -> NDArray[np.int32]:
    """Give the cell of each pixel; pixels are four bytes in one number, red lowest."""
    red, green, blue = (pixels & 0xFC) << 10, (pixels & 0xFC00) >> 4, (pixels >> 18) & 0x3F
    return (red | green | blue).astype(np.int32)


def choose_palette(
    histogram: NDArray[np.int64], sums: Floats, most: int = SIZES[-1]
) -> Palette:
    """Choose as few colours as the film needs.

    Parameters
    ----------
    histogram
        (CELL_COUNT,) how many pixels of the film fall into each cell.
    sums
        (CELL_COUNT, 4) sums of red, green, blue and number of pixels whose true colours are known; elsewhere the middle of the cell counts.
    most
        Colours at most, one of ``SIZES``.
    """
    cells = np.flatnonzero(histogram)
    colours = np.stack([cells >> 12, (cells >> 6) & 63, cells & 63], 1) * 4.0 + 1.5
    known = sums[cells, 3] > 0
    colours[known] = sums[cells[known], :3] / sums[cells[known], 3:]
    weights: Floats = histogram[cells].astype(np.float64) ** EVENNESS
    chosen = _settle(_split(colours, weights, most), colours, weights)
    table = np.clip(np.rint(chosen), 0, 255).astype(np.uint8)
    index_by_cell = np.zeros(CELL_COUNT, np.uint8)
    index_by_cell[cells] = _nearest(colours, table.astype(np.float64))
    levels = table.astype(np.int16)
    distances = np.abs(levels[:, None] - levels[None]).max(2).astype(np.uint8)
    return Palette(table, index_by_cell, distances)


@dataclass
class Box:
    """Some of the colours: ``members`` are their numbers, ``spread`` their weighted sum of squares about the mean, channel by channel."""

    members: NDArray[np.int64]
    mean: Floats
    spread: Floats

    @classmethod
    def of(cls, members: NDArray[np.int64], colours: Floats, weights: Floats) -> Box:
        """Put colours into a box."""
        inside, weight = colours[members], weights[members]
        mean = np.average(inside, axis=0, weights=weight)
        return cls(members, mean, weight @ (inside - mean) ** 2)


def _split(colours: Floats, weights: Floats, most: int) -> Floats:
    """Split the colours at the mean of the widest channel of the widest box, until that is fine enough; give the boxes' means."""
    boxes = [Box.of(np.arange(len(colours)), colours, weights)]
    while True:
        widest = max(range(len(boxes)), key=lambda number: boxes[number].spread.max())
        box = boxes[widest]
        error = np.sqrt(sum(each.spread.sum() for each in boxes) / weights.sum())
        if (
            box.spread.max() < 1e-9
            or len(boxes) == most
            or (error <= ENOUGH and len(boxes) in SIZES)
        ):
            return np.array([each.mean for each in boxes])
        channel = int(np.argmax(box.spread))
        is_high = colours[box.members, channel] > box.mean[channel]
        boxes[widest] = Box.of(box.members[~is_high], colours, weights)
        boxes.append(Box.of(box.members[is_high], colours, weights))


def _settle(chosen: Floats, colours: Floats, weights: Floats) -> Floats:
    """Move each chosen colour to the mean of those nearest to it, a few times."""
    for _ in range(ROUNDS):
        nearest = _nearest(colours, chosen)
        shares = np.bincount(nearest, weights, len(chosen))[:, None]
        sums = np.stack(
            [np.bincount(nearest, weights * channel, len(chosen)) for channel in colours.T], 1
        )
        chosen = np.where(shares > 0, sums / np.maximum(shares, 1e-12), chosen)
    return chosen


def _nearest(colours: Floats, chosen: Floats) -> NDArray[np.int64]:
    """Give the number of the chosen colour that is nearest to each colour."""
    lengths = (chosen**2).sum(1)
    return np.concatenate(
        [
            np.argmin(lengths - 2 * part @ chosen.T, 1)
            for part in np.array_split(colours, -(-len(colours) // CHUNK))
        ]
    )
