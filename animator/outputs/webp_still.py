"""One picture as WebP, a tenth of a PNG's bytes where there is grain and soft shadow: for pages that travel as one file."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

FINE = 84  # of 100; by eye, no source
EFFORT = 4  # 0 to 6


def webp_bytes(picture: Pixels, quality: int = FINE) -> bytes:
    """Give a picture as the bytes of a WebP file; what is clear stays clear."""
    from PIL import Image

    image = Image.fromarray(picture, "RGBA")
    if picture[..., 3].min() == 255:
        image = image.convert("RGB")
    out = io.BytesIO()
    image.save(out, "WEBP", quality=quality, method=EFFORT)
    return out.getvalue()
