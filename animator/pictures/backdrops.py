"""What a picture stands on: the bench by day, the bench in the evening, paper alone, or nothing at all.

A backdrop chooses the wall, the ground under the piece, the inks that can be read there, and the lamp. What stands before it is the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from animator.pictures import palette, plate
from animator.pictures.ink import Canvas, fill, skia
from animator.pictures.palette import INK, INK_SOFT
from animator.pictures.stuff import Stuffs
from animator.scene.shots import BACKDROPS

Backdrop = Literal["bench", "evening", "plain", "transparent"]
NAMES = BACKDROPS

LAMP = (
    *(1.0, 0.02, 0.0, 0.0, 0.0),
    *(0.01, 0.90, 0.0, 0.0, 0.0),
    *(0.0, 0.02, 0.76, 0.0, 0.0),
    *(0.0, 0.0, 0.0, 1.0, 0.0),
)  # an oil lamp's light: red as it was, a tenth less green, a quarter less blue
FARTHER = 0.82  # what lies on the bench gets that much of the lamp's light


@dataclass(frozen=True)
class Ground:
    """A backdrop's inks and what it has.

    ``words``, ``soft``: ink of words on the wall; ``on_bench``: of words below the piece; ``ampersand``: the second ink, on the wall and below;
    ``disc``: the printed disc behind the figure, and its paper.
    """

    name: Backdrop
    words: str
    soft: str
    on_bench: str
    ampersand: tuple[str, str]
    disc: tuple[str, str] | None
    has_wall: bool = True
    has_bench: bool = True
    is_lit: bool = False

    # ------------------------------------------------------------ drawn
    def wall(
        self,
        c: Canvas,
        w: float,
        h: float,
        stuffs: Stuffs,
        base: str,
        has_border: bool,
        pool: tuple[float, float, float] | None = None,
    ) -> None:
        """Draw the wall: ``base`` is its colour by day; ``pool`` (x, y, radius): where the lamp's light falls on it in the evening."""
        if not self.has_wall:
            return
        if self.is_lit:
            plate.night(c, w, h, stuffs, has_border, pool)
        elif self.has_bench:
            plate.wall(c, w, h, stuffs, base, has_border)
        else:
            plate.wall(c, w, h, stuffs, palette.PAPER, False)

    def bench(self, c: Canvas, w: float, h: float, horizon: float, stuffs: Stuffs) -> None:
        """Draw the bench from a line downwards."""
        if not self.has_bench:
            return
        plate.bench(c, w, h, horizon, stuffs)
        if self.is_lit:
            # the lamp stands behind us: the bench lies in the dark
            c.drawRect(skia.Rect.MakeLTRB(0, horizon + 1, w, h), fill("#0C1420", 0.45))

    @contextmanager
    def lamp(
        self,
        c: Canvas,
        share: float = 1.0,
        bounds: tuple[float, float, float, float] | None = None,
    ) -> Iterator[None]:
        """Draw in lamp light what is drawn inside; ``bounds`` (left, top, right, foot) keeps the layer small."""
        if not self.is_lit:
            yield
            return
        matrix = [v * share if i % 5 < 3 and i < 15 else v for i, v in enumerate(LAMP)]
        light = skia.Paint(ColorFilter=skia.ColorFilters.Matrix(matrix))
        c.saveLayer(None if bounds is None else skia.Rect.MakeLTRB(*bounds), light)
        yield
        c.restore()

    def lit(self, c: Canvas, draw: Callable[[Canvas], None], share: float = FARTHER) -> None:
        """Draw one thing in the lamp's light."""
        with self.lamp(c, share):
            draw(c)


GROUNDS: dict[str, Ground] = {
    "bench": Ground(
        "bench",
        INK,
        INK_SOFT,
        palette.PAPER_LIT,
        (palette.MADDER, palette.OCHRE),
        (palette.SUN, palette.PAPER),
    ),
    "evening": Ground(
        "evening",
        palette.TAG,
        palette.STRING,
        palette.TAG,
        (palette.OCHRE, palette.OCHRE),
        (palette.MOON, palette.NIGHT),
        is_lit=True,
    ),
    "plain": Ground(
        "plain", INK, INK_SOFT, INK, (palette.MADDER, palette.MADDER), None, has_bench=False
    ),
    "transparent": Ground(
        "transparent",
        INK,
        INK_SOFT,
        INK,
        (palette.MADDER, palette.MADDER),
        None,
        has_wall=False,
        has_bench=False,
    ),
}


def ground_of(name: str) -> Ground:
    """Give the backdrop of a name.

    Raises
    ------
    ValueError
        There is none of that name; the message lists them.
    """
    if name not in GROUNDS:
        raise ValueError(f"no backdrop '{name}'; there are {', '.join(NAMES)}")
    return GROUNDS[name]
