"""A film as animated PNG: every colour as drawn, transparency at full fineness, for ever round; from picture to picture only what changed.

Each changed rectangle is packed two ways, and the smaller is kept: as it is, or with the pixels that stay made transparent and laid
over what is there (only where the film is opaque: what is see-through can't be covered by something that isn't).
"""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

import numpy as np
from PIL import Image

from animator.outputs import ahead
from animator.outputs._contract import FORMATS, Format, Frames, Progress, Rung, Ways, is_clear
from animator.outputs.gif import box_of, delays_in
from animator.outputs.png import text_chunks

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

SIGNATURE = b"\x89PNG\r\n\x1a\n"
LEVELS = {False: 6, True: 1}  # of zlib
LEAVE, REPLACE, OVER = 0, 0, 1  # disposal "none"; blending "source" and "over"
COARSE = (1, 4, 8, 16)  # levels of 255 to which colours are rounded, by quality


@FORMATS.add(".apng")
class Apng(Format):
    """Animated PNG that loops for ever; one round of a film that comes round."""

    size = (800, 450)
    fps = 25.0
    is_flat = True
    qualities: ClassVar[tuple[str, ...]] = (
        "",
        "64 shades a channel",
        "32 shades a channel",
        "16 shades a channel",
    )
    ladder: ClassVar[tuple[Rung, ...]] = (
        Rung(),
        Rung(top_rate=25),
        Rung(top_rate=20),
        Rung(1, 20, 1),
        Rung(0.75, 20, 1),
        Rung(0.75, 12.5, 1),
        Rung(0.625, 12.5, 2),
        Rung(0.5, 12.5, 2),
        Rung(0.375, 10, 3),
        Rung(0.25, 10, 3),
    )

    def picture_count(self, frames: Frames) -> int:
        return min(frames.distinct, frames.frame_count)

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        count = self.picture_count(frames)
        width, height = frames.size
        rounded = Rounded(COARSE[ways.quality])
        with (
            path.open("wb") as file,
            ahead.drawn(frames, range(count), rounded, (height, width, 4)) as pictures,
        ):
            writer = Writer(is_clear(frames), LEVELS[ways.is_draft])
            head = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
            file.write(SIGNATURE + chunk(b"IHDR", head))
            file.write(chunk(b"acTL", struct.pack(">II", count, 0)))  # 0: for ever
            file.write(text_chunks(ways))
            delays = delays_in(1000, count, ways.fps)
            for done, (picture, delay) in enumerate(zip(pictures, delays, strict=True), 1):
                file.write(writer.add(picture, delay))
                progress(done, count)
            file.write(chunk(b"IEND", b""))


class Rounded:
    """Rounds colours to every so many levels; 1 leaves them as they are."""

    def __init__(self, step: int) -> None:
        top = 255 // step * step
        levels = np.clip(np.rint(np.arange(256) / step) * step, 0, top) * 255 / top
        self.table = np.rint(levels).astype(np.uint8)
        self.is_plain = step == 1

    def __call__(self, pixels: Pixels) -> Pixels:
        """Round one picture."""
        return pixels if self.is_plain else self.table[pixels]


class Writer:
    """Makes the chunks of one picture after the other."""

    def __init__(self, is_clear: bool, level: int) -> None:
        self.is_clear, self.level = is_clear, level
        self.last: Pixels | None = None
        self.number = 0

    def add(self, pixels: Pixels, delay_ms: int) -> bytes:
        """Give the chunks of a picture as its difference from the one before."""
        if self.last is None:
            self.last = pixels.copy()
            return self._control(0, 0, pixels, delay_ms, REPLACE) + chunk(
                b"IDAT", packed(pixels, self.level)
            )
        differs = (pixels.view("<u4") != self.last.view("<u4"))[..., 0]
        box = box_of(differs)
        part = pixels[box]
        how, data = REPLACE, packed(part, self.level)
        if not self.is_clear:
            thin = part.copy()
            thin[~differs[box]] = 0
            other = packed(thin, self.level)
            if len(other) < len(data):
                how, data = OVER, other
        self.last[box] = part
        control = self._control(box[1].start, box[0].start, part, delay_ms, how)
        self.number += 1
        return control + chunk(b"fdAT", struct.pack(">I", self.number - 1) + data)

    def _control(self, left: int, top: int, part: Pixels, delay_ms: int, how: int) -> bytes:
        height, width = part.shape[:2]
        self.number += 1
        return chunk(
            b"fcTL",
            struct.pack(
                ">IIIIIHHBB",
                self.number - 1,
                width,
                height,
                left,
                top,
                delay_ms,
                1000,
                LEAVE,
                how,
            ),
        )


def chunk(name: bytes, contents: bytes) -> bytes:
    """Give a PNG chunk: length, name, contents, check sum."""
    return (
        struct.pack(">I", len(contents))
        + name
        + contents
        + struct.pack(">I", zlib.crc32(name + contents))
    )


def packed(pixels: Pixels, level: int) -> bytes:
    """Pack pixels as PNG image data; Pillow chooses the filters, and we take the data out of the file it makes."""
    buffer = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(pixels)).save(buffer, "PNG", compress_level=level)
    whole, found, at = buffer.getvalue(), [], len(SIGNATURE)
    while at < len(whole):
        length = struct.unpack(">I", whole[at : at + 4])[0]
        if whole[at + 4 : at + 8] == b"IDAT":
            found.append(whole[at + 8 : at + 8 + length])
        at += 12 + length
    return b"".join(found)
