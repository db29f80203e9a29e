"""Drawing kept as what was drawn, to be drawn again on paper: a canvas that notes its calls.

Pages draw on a ``Sheet``; inside ``ink.on_tape()`` its canvas is a ``Tape``, and what a film keeps as layers of pixels is drawn as it comes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import skia

Call = tuple[str, tuple[Any, ...], dict[str, Any]]
SHAPING = frozenset(
    [
        "save",
        "saveLayer",
        "saveLayerAlpha",
        "restore",
        "translate",
        "scale",
        "rotate",
        "skew",
        "concat",
        "clipRect",
        "clipRRect",
        "clipPath",
    ]
)
"""Calls that say where and how the next ones draw."""


def _kept(thing: Any) -> Any:
    """Copy what a caller may change after the call."""
    if isinstance(thing, skia.Path | skia.Paint):
        return type(thing)(thing)
    if isinstance(thing, skia.Matrix):
        return skia.Matrix.MakeAll(*(thing.get(i) for i in range(9)))
    return thing


class Tape:
    """A canvas that notes what is drawn.

    Parameters
    ----------
    width, height
        Size of what is drawn on. [canvas units]
    """

    def __init__(self, width: float, height: float) -> None:
        self.calls: list[Call] = []
        self._kept = 0
        self._size = int(width) + 1, int(height) + 1
        self._follower = skia.Canvas(*self._size)  # draws nothing; knows matrix and clip

    def __getattr__(self, name: str) -> Callable[..., Any]:
        if name.startswith("_") or not hasattr(skia.Canvas, name):
            raise AttributeError(name)
        if name.startswith("get") or name == "quickReject":
            found: Callable[..., Any] = getattr(self._follower, name)
            return found

        def note(*args: Any, **kwargs: Any) -> Any:
            kept = tuple(map(_kept, args))
            self.calls.append((name, kept, {key: _kept(arg) for key, arg in kwargs.items()}))
            if name in SHAPING:
                return getattr(self._follower, name)(*args, **kwargs)
            return None

        return note

    def resetMatrix(self) -> None:
        """Go back to the frame of reference that the tape is played in, which isn't the other canvas's own."""
        back = skia.Matrix()
        if self._follower.getTotalMatrix().invert(back):
            self.concat(back)

    def keep(self) -> None:
        """Keep what is drawn so far as what never moves."""
        self._kept = len(self.calls)

    def rewind(self, whole: bool = False) -> None:
        """Begin again after what never moves, or from nothing."""
        del self.calls[0 if whole else self._kept :]

    @property
    def has_filters(self) -> bool:
        """True if a layer changes the colours of what is drawn in it: grey print, lamp light."""
        return any(
            name == "saveLayer" and _filter_of(args) is not None for name, args, _ in self.calls
        )

    def play(self, canvas: Any, are_inks_mixed: bool = False) -> None:
        """Draw it all on another canvas, which keeps its own frame of reference.

        ``are_inks_mixed``: what layers do to colours is worked into the inks themselves, exact for flat ones; a page would else make a picture
        of the whole layer.
        """
        filters: list[Any] = []
        for name, args, kwargs in self.calls:
            if not are_inks_mixed:
                getattr(canvas, name)(*args, **kwargs)
                continue
            if name.startswith("save"):
                colours = _filter_of(args) if name == "saveLayer" else None
                filters.append(colours)
                if colours is not None:
                    args = (args[0], skia.Paint(Alpha=args[1].getAlpha()))
            elif name == "restore":
                filters.pop()
            elif name.startswith("draw"):
                used = [colours for colours in reversed(filters) if colours is not None]
                if used:
                    args = tuple(_mixed(arg, used) for arg in args)
            getattr(canvas, name)(*args, **kwargs)


def _filter_of(args: tuple[Any, ...]) -> Any:
    paint = args[1] if len(args) > 1 else None
    return paint.getColorFilter() if isinstance(paint, skia.Paint) else None


def _mixed(thing: Any, filters: Sequence[Any]) -> Any:
    if not isinstance(thing, skia.Paint):
        return thing
    paint = skia.Paint(thing)
    for colours in filters:
        paint.setColor(colours.filterColor(paint.getColor()))
        if paint.getShader() is not None:
            paint.setShader(paint.getShader().makeWithColorFilter(colours))
    return paint
