"""Two promises about every picture: its words can be read, and nothing flashes. Measured on the finished pixels.

Both follow WCAG 2.2: success criteria 1.4.3 (contrast) and 2.3.1 (three flashes), with its definitions of relative
luminance, contrast ratio and general and red flash.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from animator.pictures import palette
from animator.pictures.lettering import Words

Picture = NDArray[np.uint8]
Floats = NDArray[np.float64]

TEXT_LEAST = 4.5
FLASHES_MOST = 3
FIELD = (
    341 / 1024,
    256 / 768,
)  # any 10 degree field of the definition, as shares of the picture
FLASH_AREA = 0.25  # of such a field: less is too small to matter

WORDS_ON: tuple[tuple[str, str, str], ...] = (
    ("words on paper", palette.INK, palette.PAPER),
    ("words on a card", palette.INK, palette.PAPER_LIT),
    ("words on a tag", palette.INK, palette.TAG),
    ("words on kraft", palette.INK, palette.KRAFT),
    ("soft words on paper", palette.INK_SOFT, palette.PAPER),
    ("soft words on a card", palette.INK_SOFT, palette.PAPER_LIT),
    ("words on walnut", palette.PAPER_LIT, palette.WALNUT),
    ("words on the night", palette.TAG, palette.NIGHT),
    ("soft words on the night", palette.STRING, palette.NIGHT),
    ("ampersand on the night", palette.OCHRE, palette.NIGHT),
    ("words on a boxwood rule", palette.INK, palette.BIRCH_LIT),
    ("you push, on a card", palette.PUSH, palette.PAPER_LIT),
    ("it pulls, on a card", palette.PULL, palette.PAPER_LIT),
    ("you push, on paper", palette.PUSH, palette.PAPER),
    ("it pulls, on paper", palette.PULL, palette.PAPER),
    ("number in its badge", palette.PAPER_LIT, palette.INK),
    *(
        (f"{code} on {name}", hue, ground)
        for code, hue in palette.MARKS.items()
        for name, ground in (
            ("paper", palette.PAPER),
            ("a card", palette.PAPER_LIT),
            ("a tag", palette.TAG),
        )
    ),
)
"""Every pair of ink and ground that carries words."""


def luminances(picture: Picture) -> Floats:
    """Relative luminance of each pixel, (height, width)."""
    c = picture[..., :3] / 255.0
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def words_contrast(picture: Picture, box_px: tuple[int, int, int, int]) -> float:
    """Contrast ratio of the words in a box of a finished picture: the darkest or the lightest two percent in it against the middle of what lies round it.

    ``box_px`` is (left, top, right, bottom). The ground is taken from a narrow rim round the box, since bold letters fill most of the box itself.
    """
    left, top, right, bottom = box_px
    rim = max(2, round(0.2 * (bottom - top)))
    wide = luminances(
        picture[max(0, top - rim) : bottom + rim, max(0, left - rim) : right + rim]
    )
    inner = np.zeros(wide.shape, bool)
    y, x = min(top, rim), min(left, rim)
    inner[y : y + bottom - top, x : x + right - left] = True
    ground = float(np.median(wide[~inner]))
    light = np.sort(wide[inner])
    dark, bright = float(light[len(light) // 50]), float(light[-1 - len(light) // 50])
    return max((ground + 0.05) / (dark + 0.05), (bright + 0.05) / (ground + 0.05))


def unreadable(
    picture: Picture, words: Iterable[Words], least: float = TEXT_LEAST
) -> list[tuple[str, float]]:
    """Lines of text on a finished picture whose contrast is under what the guideline asks, each with its ratio.

    ``words``: as noted while the picture was drawn (``lettering.listening``). Lines cut off by the picture's edge aren't judged.
    """
    high, wide = picture.shape[:2]
    weak = []
    for line in words:
        left, top, right, foot = line.box_px
        if not line.text.strip() or left < 0 or top < 0 or right > wide or foot > high:
            continue
        ratio = words_contrast(picture, line.box_px)
        if ratio < least:
            weak.append((line.text, round(ratio, 2)))
    return weak


def laid_on(picture: Picture, hue: str) -> Picture:
    """Lay a picture that is clear in places on a flat ground."""
    share = picture[..., 3:].astype(float) / 255
    ground = np.array(palette.channels(hue), float)
    rgb = picture[..., :3] * share + ground * (1 - share)
    return np.dstack([rgb.round(), np.full(picture.shape[:2], 255)]).astype(np.uint8)


@dataclass(frozen=True)
class Flashing:
    """Most flashes in any one second over an area large enough to matter: general and red; and the largest share of the picture that turned red."""

    general: int
    red: int

    @property
    def is_safe(self) -> bool:
        """True if neither count passes three."""
        return self.general <= FLASHES_MOST and self.red <= FLASHES_MOST


def flashing(pictures: Iterable[Picture], rate_hz: float, step: int = 6) -> Flashing:
    """Count flashes in a film.

    A flash is a pair of opposite changes of relative luminance of 10 % of the maximum or more where the darker is under
    0.80; a red one a pair of opposite changes to or from saturated red (R / (R + G + B) >= 0.8). A pixel of every ``step``-th row and
    column is watched. Changes are counted where a quarter of some
    10 degree field (a third of the picture wide and high) makes them within the same second.

    Parameters
    ----------
    pictures
        Frames in order; looked at one by one.
    rate_hz
        Frames a second.
    step
        How coarsely the picture is watched. [px]
    """
    light: list[Floats] = []
    red: list[NDArray[np.bool_]] = []
    for picture in pictures:
        seen = picture[::step, ::step]
        light.append(luminances(seen))
        rgb = seen[..., :3].astype(float)
        red.append(rgb[..., 0] / np.maximum(rgb.sum(-1), 1) >= 0.8)
    general_turns = _turns(np.stack(light))
    red_turns = np.diff(np.stack(red).astype(np.int8), axis=0) != 0
    return Flashing(_most(general_turns, rate_hz), _most(red_turns, rate_hz))


def _turns(light: Floats) -> NDArray[np.bool_]:
    """Where each pixel completes a change of a tenth or more opposite to the one before, (frame_count - 1, rows, columns)."""
    low, high = light[0].copy(), light[0].copy()
    way = np.zeros(light.shape[1:], np.int8)
    out = np.zeros((len(light) - 1, *light.shape[1:]), bool)
    for i in range(1, len(light)):
        now = light[i]
        low, high = np.minimum(low, now), np.maximum(high, now)
        rose = (now - low >= 0.1) & (low < 0.8) & (way <= 0)
        fell = (high - now >= 0.1) & (now < 0.8) & (way >= 0)
        turn = rose | fell
        out[i - 1] = turn
        way = np.where(rose, 1, np.where(fell, -1, way)).astype(np.int8)
        low, high = np.where(turn, now, low), np.where(turn, now, high)
    return out


def _most(turns: NDArray[np.bool_], rate_hz: float) -> int:
    """Most flashes (pairs of changes) that a quarter of some field makes within one second."""
    window = max(1, round(rate_hz))
    most = 0
    start = np.zeros((1, *turns.shape[1:]), np.int32)
    sums = np.cumsum(np.concatenate([start, turns.astype(np.int32)]), axis=0)
    for i in range(1, len(sums)):
        counts = (sums[i] - sums[max(0, i - window)]) // 2
        for flashes in range(int(counts.max()), most, -1):
            if _largest_share(counts >= flashes) >= FLASH_AREA:
                most = flashes
                break
    return most


def _largest_share(mask: NDArray[np.bool_]) -> float:
    """Largest share of any field that is marked."""
    rows, columns = mask.shape
    high, wide = max(1, round(rows * FIELD[1])), max(1, round(columns * FIELD[0]))
    sums = np.zeros((rows + 1, columns + 1))
    sums[1:, 1:] = mask.cumsum(0).cumsum(1)
    inside = (
        sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
    )
    return float(inside.max() / (high * wide))
