"""How far colours lie apart for the eye, and the inks the program draws with."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from animator import materials
from animator.pictures import palette


def lab(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE L*a*b* of sRGB, 0 to 255 (IEC 61966-2-1; CIE 15, white D65, 2 degrees)."""
    value = np.asarray(rgb, float) / 255
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    share = linear @ to_xyz.T / to_xyz.sum(1)
    f = np.where(share > 216 / 24389, np.cbrt(share), (24389 / 27 * share + 16) / 116)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], -1)


def difference(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Colour difference of sRGB colours, CIE 1976 (CIE 15): straight distance in L*a*b*; 2.3 is just noticeable."""
    apart: NDArray[np.float64] = np.linalg.norm(lab(a) - lab(b), axis=-1)
    return apart


def inks() -> list[tuple[int, int, int]]:
    """All colours that the palette and the paint table name."""
    text = Path(palette.__file__).read_text("utf-8")
    named = re.findall(r"#[0-9A-Fa-f]{6}", text) + list(materials.paints().values())
    return sorted({palette.channels(colour) for colour in named})
