"""Single pictures as PNG, and a film as a folder of numbered ones."""

from __future__ import annotations

import io
import shutil
import struct
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

import numpy as np
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from animator.outputs import ahead
from animator.outputs._contract import FORMATS, Format, Frames, Progress, Rung, Ways, is_clear

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

PIXELS_PER_INCH = 96.0  # what a screen is taken for where nothing is said
QUICK, SMALL = (
    1,
    6,
)  # zlib levels: a folder of a film is scratch for other programs, a single picture is kept


def picture_bytes(
    pixels: Pixels,
    dots_per_inch: float = PIXELS_PER_INCH,
    level: int = SMALL,
    *,
    is_clear: bool = False,
    title: str = "",
    scene: str = "",
) -> bytes:
    """Give a picture as the bytes of a PNG file.

    Parameters
    ----------
    pixels
        (height, width, 4).
    dots_per_inch
        What to print it at.
    level
        0 to 9, how hard to squeeze.
    is_clear
        Keep what is transparent; otherwise the picture is opaque.
    title, scene
        What the file says of itself; empty says nothing.
    """
    buffer = io.BytesIO()
    picture = Image.fromarray(np.ascontiguousarray(pixels if is_clear else pixels[..., :3]))
    about = PngInfo()
    for key, text in (("Title", title), ("Description", scene)):
        if text:
            about.add_itxt(key, text)
    picture.save(
        buffer, "PNG", dpi=(dots_per_inch, dots_per_inch), compress_level=level, pnginfo=about
    )
    return buffer.getvalue()


def text_chunks(ways: Ways) -> bytes:
    """Give what a PNG file says of itself as chunks (iTXt, so that any letter can stand in it)."""
    made = b""
    for key, text in (("Title", ways.title), ("Description", ways.scene)):
        if text:
            contents = b"iTXt" + key.encode() + b"\0\0\0\0\0" + text.encode()
            made += (
                struct.pack(">I", len(contents) - 4)
                + contents
                + struct.pack(">I", zlib.crc32(contents))
            )
    return made


@FORMATS.add("folder")
class Folder(Format):
    """Folder of numbered pictures, ``0001.png`` on, one for each picture of the film."""

    is_folder = True
    qualities: ClassVar[tuple[str, ...]] = ("", "")  # the second only squeezes harder
    ladder: ClassVar[tuple[Rung, ...]] = (
        Rung(),
        Rung(quality=1),
        Rung(1, 25, 1),
        Rung(0.75, 25, 1),
        Rung(0.625, 20, 1),
        Rung(0.5, 20, 1),
        Rung(0.375, 12.5, 1),
        Rung(0.25, 10, 1),
    )

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        count, distinct = frames.frame_count, min(frames.distinct, frames.frame_count)
        digits = max(4, len(str(count)))
        names = [path / f"{number:0{digits}}.png" for number in range(1, count + 1)]
        level = SMALL if ways.quality else QUICK
        width, height = frames.size
        with ahead.drawn(frames, range(distinct), np.asarray, (height, width, 4)) as pictures:
            for index, pixels in enumerate(pictures):
                names[index].write_bytes(
                    picture_bytes(
                        pixels,
                        level=level,
                        is_clear=is_clear(frames),
                        title=ways.title,
                        scene=ways.scene,
                    )
                )
                progress(index + 1, count)
        for index in range(distinct, count):
            shutil.copyfile(names[index % distinct], names[index])
            progress(index + 1, count)
