"""Single pictures as PNG, and a film as a folder of numbered ones."""

from __future__ import annotations

import io
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

from animator.outputs import ahead
from animator.outputs._contract import FORMATS, Format, Frames, Progress

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

PIXELS_PER_INCH = 96.0  # what a screen is taken for where nothing is said
QUICK, SMALL = (
    1,
    6,
)  # zlib levels: a folder of a film is scratch for other programs, a single picture is kept


def picture_bytes(
    pixels: Pixels, dots_per_inch: float = PIXELS_PER_INCH, level: int = SMALL
) -> bytes:
    """Give a picture as the bytes of a PNG file.

    Parameters
    ----------
    pixels
        (height, width, 4), opaque.
    dots_per_inch
        What to print it at.
    level
        0 to 9, how hard to squeeze.
    """
    buffer = io.BytesIO()
    picture = Image.fromarray(np.ascontiguousarray(pixels[..., :3]))
    picture.save(buffer, "PNG", dpi=(dots_per_inch, dots_per_inch), compress_level=level)
    return buffer.getvalue()


@FORMATS.add("folder")
class Folder(Format):
    """Folder of numbered pictures, ``0001.png`` on, one for each picture of the film."""

    is_folder = True

    def save(
        self, frames: Frames, path: Path, fps: float, is_draft: bool, progress: Progress
    ) -> None:
        count, distinct = frames.frame_count, min(frames.distinct, frames.frame_count)
        digits = max(4, len(str(count)))
        names = [path / f"{number:0{digits}}.png" for number in range(1, count + 1)]
        width, height = frames.size
        with ahead.drawn(frames, range(distinct), np.asarray, (height, width, 4)) as pictures:
            for index, pixels in enumerate(pictures):
                names[index].write_bytes(picture_bytes(pixels, level=QUICK))
                progress(index + 1, count)
        for index in range(distinct, count):
            shutil.copyfile(names[index % distinct], names[index])
            progress(index + 1, count)
