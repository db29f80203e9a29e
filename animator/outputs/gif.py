"""A film as a thrifty GIF: one palette made for the whole film, and from picture to picture only what moved.

Three things keep it small. Pixels that stay as they are are transparent, which packs to almost nothing. A moving edge passes through
shades that nobody sees singly, so while it moves a pixel may stay a little off; where it comes to rest it is set right. And there are
no more colours than the film needs.

A see-through film can't be written as changes, because a pixel once shown can't be made transparent again: each picture is written whole,
within the box of what it shows, and cleared before the next. A pixel is there or not; one that is half there keeps its own colour, so
that no rim of another backdrop stays round the edges.
"""

from __future__ import annotations

import io
import itertools
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, ClassVar

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from animator.outputs import ahead
from animator.outputs._contract import FORMATS, Format, Frames, Progress, Rung, Ways, is_clear
from animator.outputs.palette import CELL_COUNT, SIZES, Palette, cells_of, choose_palette

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

TOP_RATE = 50.0  # a delay of 1/100 s or none is shown as a tenth of a second by browsers, 2/100 s is honoured
MOVING = 12  # levels of 255 by which a pixel may stay off while it changes: below what shows at a moving edge
RESTING = 4  # the same once it rests; the palette itself is about as coarse
LEAVE, CLEAR = 0x04, 0x08  # what becomes of a picture when the next comes
HALF_THERE = 128  # of 255; a pixel less there than that is transparent
KEPT_BYTES = 400_000_000  # drawn pictures kept in memory; what is beyond is drawn a second time

Cells = NDArray[np.int32]
Indices = NDArray[np.uint8]
Box = tuple[slice, slice]


@FORMATS.add(".gif")
class Gif(Format):
    """GIF film that loops for ever; one round of a film that comes round."""

    top_rate = TOP_RATE
    size = (800, 450)
    fps = 25.0
    is_flat = True
    qualities: ClassVar[tuple[str, ...]] = (
        "",
        "at most 127 colours",
        "at most 63 colours",
        "at most 31 colours",
    )
    ladder: ClassVar[tuple[Rung, ...]] = (
        Rung(),
        Rung(top_rate=25),
        Rung(1, 25, 1),
        Rung(1, 20, 1),
        Rung(0.75, 20, 1),
        Rung(0.625, 20, 1),
        Rung(0.5, 20, 1),
        Rung(0.5, 20, 2),
        Rung(0.5, 12.5, 2),
        Rung(0.375, 12.5, 2),
        Rung(0.375, 10, 3),
        Rung(0.25, 10, 3),
    )

    def picture_count(self, frames: Frames) -> int:
        return min(frames.distinct, frames.frame_count)

    def remarks(self, frames: Frames, ways: Ways) -> tuple[str, ...]:
        found = super().remarks(frames, ways)
        if is_clear(frames):
            found += (
                "in a GIF a pixel is transparent or not: soft shadows end sharply; .webp and .apng keep them",
            )
        return found

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        if not 0 < ways.fps <= TOP_RATE:
            raise ValueError(
                f"a GIF shows up to {TOP_RATE:g} pictures a second, not {ways.fps:g}"
            )
        count = self.picture_count(frames)
        reel = ClearReel() if is_clear(frames) else Reel()
        for done, pixels in enumerate(_seen(frames, range(count)), 1):
            reel.add(pixels)
            progress(done, 2 * count)
        most = SIZES[len(SIZES) - 1 - ways.quality]
        palette = choose_palette(reel.histogram, reel.sums, most)
        delays = delays_in(100, count, ways.fps)
        with path.open("wb") as file:
            kind = ClearWriter if is_clear(frames) else Writer
            writer = kind(file, frames.size, palette, _words(ways))
            for done, (change, delay) in enumerate(
                zip(_again(frames, reel, count), delays, strict=True), 1
            ):
                writer.add(change, delay)
                progress(count + done, 2 * count)
            file.write(b";")


def delays_in(units: int, count: int, fps: float) -> list[int]:
    """Give how long each picture stands, in whole units that add up to the whole.

    Parameters
    ----------
    units
        Units a second: 100 for GIF, 1000 for others.
    count
        Pictures.
    fps
        Pictures a second, at most half as many as units.

    Examples
    --------
    >>> delays_in(100, 6, 30)
    [3, 4, 3, 3, 4, 3]
    """
    ends = [round(units * index / fps) for index in range(count + 1)]
    return [after - before for before, after in itertools.pairwise(ends)]


def _words(ways: Ways) -> str:
    return "\n".join(text for text in (ways.title, ways.scene) if text)


# ---------------------------------------------------------------- pass one: see every picture
@dataclass
class Change:
    """What is different from the picture before: a box and the colour cells in it."""

    box: Box
    cells: Cells


class Eye:
    """Sees what is different from the picture before."""

    def __init__(self) -> None:
        self.last: NDArray[np.uint32] | None = None

    def look(self, pixels: Pixels) -> Change:
        """Give the difference; the whole picture the first time, one pixel where nothing moved."""
        now = np.ascontiguousarray(pixels).view("<u4")[..., 0]
        if self.last is None:
            self.last = now.copy()
            return Change(np.s_[0 : now.shape[0], 0 : now.shape[1]], cells_of(now))
        box = box_of(now != self.last)
        self.last[box] = now[box]
        return Change(box, cells_of(now[box]))


class ClearEye(Eye):
    """Sees what a see-through picture shows."""

    def look(self, pixels: Pixels) -> Change:
        """Give the box of all that isn't transparent; inside, ``CELL_COUNT`` stands for transparent."""
        is_there = pixels[..., 3] >= HALF_THERE
        box = box_of(is_there)
        now = np.ascontiguousarray(pixels[box]).view("<u4")[..., 0]
        return Change(box, np.where(is_there[box], cells_of(now), CELL_COUNT))


class Reel:
    """The film as changes from picture to picture, and how often each colour is seen.

    ``changes`` as far as there is room for them. ``histogram`` : (CELL_COUNT,) pixels over all pictures. ``sums`` : (CELL_COUNT, 4) red, green, blue and
    number of the pixels looked at closely.
    """

    def __init__(self) -> None:
        self.changes: list[Change] = []
        self.histogram = np.zeros(CELL_COUNT, np.int64)
        self.sums = np.zeros((CELL_COUNT, 4))
        self.eye = self.new_eye()
        self._cells: Cells = np.zeros((0, 0), np.int32)
        self._counts = np.zeros(CELL_COUNT, np.int64)
        self._room = KEPT_BYTES

    def new_eye(self) -> Eye:
        """Give an eye that hasn't seen anything."""
        return Eye()

    def add(self, pixels: Pixels) -> None:
        """Take up one picture."""
        change = self.eye.look(pixels)
        if not self._cells.size:
            self._cells = change.cells.copy()
            self._look_closely(pixels)
        else:
            self._counts -= np.bincount(self._cells[change.box].ravel(), minlength=CELL_COUNT)
            self._cells[change.box] = change.cells
        self._counts += np.bincount(change.cells.ravel(), minlength=CELL_COUNT)
        self.histogram += self._counts
        self.keep(change)

    def keep(self, change: Change) -> None:
        """Keep a change while there is room."""
        self._room -= change.cells.nbytes
        if self._room >= 0:
            self.changes.append(change)

    def _look_closely(self, pixels: Pixels) -> None:
        """Learn the true colours inside the cells, so that flat paper comes out as it is and not as the middle of its cell."""
        cells = self._cells.ravel()
        for channel in range(3):
            self.sums[:, channel] = np.bincount(cells, pixels[..., channel].ravel(), CELL_COUNT)
        self.sums[:, 3] = np.bincount(cells, minlength=CELL_COUNT)


class ClearReel(Reel):
    """A see-through film as the whole of every picture."""

    def new_eye(self) -> Eye:
        return ClearEye()

    def add(self, pixels: Pixels) -> None:
        change = self.eye.look(pixels)
        cells = change.cells.ravel()
        self.histogram += np.bincount(cells, minlength=CELL_COUNT + 1)[:CELL_COUNT]
        if not self.sums.any():
            for channel in range(3):
                seen = pixels[change.box][..., channel].ravel()
                self.sums[:, channel] = np.bincount(cells, seen, CELL_COUNT + 1)[:CELL_COUNT]
            self.sums[:, 3] = np.bincount(cells, minlength=CELL_COUNT + 1)[:CELL_COUNT]
        self.keep(change)


def box_of(differs: NDArray[np.bool_]) -> Box:
    """Give the smallest box round what is true; the first pixel if nothing is."""
    rows, columns = np.flatnonzero(differs.any(1)), np.flatnonzero(differs.any(0))
    if not len(rows):
        return np.s_[0:1, 0:1]
    return np.s_[int(rows[0]) : int(rows[-1]) + 1, int(columns[0]) : int(columns[-1]) + 1]


def _seen(frames: Frames, order: range) -> Iterator[Pixels]:
    width, height = frames.size
    with ahead.drawn(frames, order, np.asarray, (height, width, 4)) as pictures:
        yield from pictures


def _again(frames: Frames, reel: Reel, count: int) -> Iterator[Change]:
    """Give the changes once more: from memory as far as they are kept, the rest drawn anew."""
    kept = len(reel.changes)
    yield from reel.changes
    if kept < count:
        eye = reel.new_eye()
        known = max(
            kept - 1, 0
        )  # the last one kept is looked at again, to tell the next from it
        for index, pixels in enumerate(_seen(frames, range(known, count)), known):
            change = eye.look(pixels)
            if index >= kept:
                yield change


# ---------------------------------------------------------------- pass two: write what moved
class Writer:
    """Writes a GIF picture by picture; never holds more than the one on the screen."""

    def __init__(
        self, file: BinaryIO, size: tuple[int, int], palette: Palette, words: str = ""
    ) -> None:
        self.file, self.palette = file, palette
        width, height = size
        self.is_blank = True
        self.wanted: Indices = np.zeros((height, width), np.uint8)
        self.shown: Indices = np.zeros((height, width), np.uint8)
        # round the pixels that were left off while they moved and must be set right when they rest
        self.loose_box: Box = np.s_[0:1, 0:1]
        self.transparent = len(palette.colours)
        bits = max(1, self.transparent.bit_length())
        table = np.zeros((1 << bits, 3), np.uint8)
        table[: self.transparent] = palette.colours
        file.write(
            b"GIF89a"
            + struct.pack("<HHBBB", width, height, 0xF0 | (bits - 1), 0, 0)
            + table.tobytes()
        )
        file.write(b"\x21\xff\x0bNETSCAPE2.0\x03\x01\x00\x00\x00")  # loops for ever
        if words:
            said = words.encode()[:255].decode(errors="ignore").encode()  # one block
            file.write(b"\x21\xfe" + bytes([len(said)]) + said + b"\0")  # a remark

    def add(self, change: Change, delay_cs: int) -> None:
        """Write one picture as its difference from what is on the screen.

        Parameters
        ----------
        change
            What is different from the picture before.
        delay_cs
            How long it stands. [1/100 s]
        """
        if self.is_blank:
            self.is_blank = False
            self.wanted[:] = self.shown[:] = self.palette.index_by_cell[change.cells]
            self._write((0, 0), self.shown, delay_cs, is_partial=False)
            return
        # Pixels at rest that are still a little off may lie outside the box, from the picture before.
        box = _join(change.box, self.loose_box)
        before = self.wanted[box].copy()
        self.wanted[change.box] = self.palette.index_by_cell[change.cells]
        wanted, shown = self.wanted[box], self.shown[box]
        off = self.palette.distances[wanted, shown]
        is_resting = wanted == before
        is_written = off > np.where(is_resting, RESTING, MOVING)
        self.loose_box = _inside(box, box_of(~is_written & (off > RESTING)))
        inner = box_of(is_written)
        picture = np.where(is_written[inner], wanted[inner], self.transparent).astype(np.uint8)
        shown[is_written] = wanted[is_written]
        place = (box[0].start + inner[0].start, box[1].start + inner[1].start)
        self._write(place, picture, delay_cs, is_partial=True)

    def _write(
        self,
        place: tuple[int, int],
        picture: Indices,
        delay_cs: int,
        is_partial: bool,
        disposal: int = LEAVE,
    ) -> None:
        flags = disposal | is_partial  # the lowest bit: one index is transparent
        transparent = self.transparent if is_partial else 0
        self.file.write(
            b"\x21\xf9\x04" + struct.pack("<BHB", flags, delay_cs, transparent) + b"\0"
        )
        top, left = place
        height, width = picture.shape
        self.file.write(b"\x2c" + struct.pack("<HHHHB", left, top, width, height, 0))
        self.file.write(packed(picture))


class ClearWriter(Writer):
    """Writes a see-through GIF: every picture whole, cleared before the next."""

    def add(self, change: Change, delay_cs: int) -> None:
        table = np.append(self.palette.index_by_cell, np.uint8(self.transparent))
        place = (change.box[0].start, change.box[1].start)
        self._write(place, table[change.cells], delay_cs, is_partial=True, disposal=CLEAR)


def _join(a: Box, b: Box) -> Box:
    return (
        slice(min(a[0].start, b[0].start), max(a[0].stop, b[0].stop)),
        slice(min(a[1].start, b[1].start), max(a[1].stop, b[1].stop)),
    )


def _inside(outer: Box, inner: Box) -> Box:
    down, across = outer[0].start, outer[1].start
    return (
        slice(down + inner[0].start, down + inner[0].stop),
        slice(across + inner[1].start, across + inner[1].stop),
    )


def packed(picture: Indices) -> bytes:
    """Pack palette indices as GIF image data (LZW in blocks, with the code size in front).

    Pillow does the packing: it writes a whole GIF of one picture, and we take the data out of it.
    """
    buffer = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(picture)).save(
        buffer, "GIF", optimize=False, interlace=False
    )
    whole = buffer.getvalue()
    at = 13 + (3 << ((whole[10] & 7) + 1) if whole[10] & 0x80 else 0)
    while whole[at] == 0x21:  # extensions: introducer, label, blocks up to an empty one
        at += 2
        while whole[at]:
            at += whole[at] + 1
        at += 1
    assert whole[at] == 0x2C
    flags = whole[at + 9]
    at += 10 + (3 << ((flags & 7) + 1) if flags & 0x80 else 0)
    return whole[at:-1]  # the last byte closes the file
