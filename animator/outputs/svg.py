"""A picture as SVG: lines and flat inks, true to scale, letters as shapes.

The library's own SVG canvas drops soft edges, layers and filters without a word, and tells neither millimetres nor a view box. So the picture
is drawn flat (hatching, hard shadows: nothing soft to lose), layers become groups with their opacity,
and the root says its true size. Letters are outlines: the reader's machine needn't have our faces, and nothing shifts in the print shop.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape

from animator.problems import RunError

OUTLINED = 1  # the library's flag: text as paths
DIGITS = 2  # after the point, of design units: a four hundredth of a millimetre


def svg_bytes(
    draw: Callable[[Any], None],
    w: float,
    h: float,
    unit: float,
    title: str = "",
    words: str = "",
) -> bytes:
    """Give a picture as the bytes of an SVG file; the same picture gives the same bytes.

    Parameters
    ----------
    draw
        Draws on the canvas it is given, flat inks only.
    w, h
        Size of the picture, in the units of ``draw``.
    unit
        Size of a unit on paper. [mm]
    title, words
        What it is called, and what it shows: read aloud to those who don't see it.

    Raises
    ------
    RunError
        The drawing library isn't there.
    """
    try:
        canvas = Canvas(w, h)
    except ImportError as trouble:
        raise RunError(
            f"the drawing library can't start ({trouble}); on Debian or Ubuntu this mends it: apt-get install libegl1 libgl1"
        ) from trouble
    draw(canvas)
    about = "".join(
        f"<{tag}>{escape(_printable(text))}</{tag}>"
        for tag, text in (("title", title), ("desc", words))
        if text
    )
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" role="img" '
        f'width="{w * unit:.4f}mm" height="{h * unit:.4f}mm" viewBox="0 0 {_number(w)} {_number(h)}">'
    )
    return f"{head}{about}\n{canvas.text()}</svg>\n".encode()


def _printable(text: str) -> str:
    """Leave out what XML can't hold."""
    return re.sub(r"[^\t\n\r\x20-\uD7FF\uE000-\uFFFD\U00010000-\U0010FFFF]", "", text)


class Canvas:
    """A canvas that writes SVG, with layers.

    Everything goes to a canvas of the library until a layer begins or ends; then that one is closed, its lines are taken over, and a new one
    goes on in the same frame of reference and clip.
    """

    def __init__(self, w: float, h: float) -> None:
        import skia

        self._skia, self._size = skia, (w, h)
        self._done: list[str] = []
        self._part = 0
        # each frame: what it did to matrix and clip, whether it is a group
        self._frames: list[tuple[list[tuple[str, tuple[Any, ...]]], bool]] = [([], False)]
        self._open()

    def __getattr__(self, name: str) -> Callable[..., Any]:
        if name.startswith("_"):
            raise AttributeError(name)
        inner = getattr(self._inner, name)
        if name.startswith(("translate", "scale", "rotate", "skew", "concat", "clip")):

            def shape(*args: Any) -> None:
                self._frames[-1][0].append((name, args))
                getattr(self._inner, name)(*args)

            return shape
        found: Callable[..., Any] = inner
        return found

    # ------------------------------------------------------------ state
    def save(self) -> None:
        """Keep matrix and clip."""
        self._frames.append(([], False))
        self._inner.save()

    def saveLayerAlpha(self, bounds: Any, alpha: int) -> None:
        """Begin a layer that is laid down pale."""
        self._layer(alpha / 255)

    def saveLayer(self, bounds: Any = None, paint: Any = None, *more: Any) -> None:
        """Begin a layer: its paint may make it pale; what it does to colours must be in the inks already."""
        if paint is not None and paint.getColorFilter() is not None:
            raise ValueError("a layer that changes colours can't be told in SVG; mix its inks")
        self._layer(1.0 if paint is None else paint.getAlpha() / 255)

    def _layer(self, opacity: float) -> None:
        is_group = opacity < 1
        if is_group:
            self._close()
            self._done.append(f'<g opacity="{_number(opacity)}">')
        self._frames.append(([], is_group))
        if is_group:
            self._open()
        else:
            self._inner.save()

    def restore(self) -> None:
        """Go back to the matrix and clip before, and end a layer."""
        _, is_group = self._frames.pop()
        if not is_group:
            self._inner.restore()
            return
        self._close()
        self._done.append("</g>")
        self._open()

    # ------------------------------------------------------------ parts
    def _open(self) -> None:
        self._stream = self._skia.DynamicMemoryWStream()
        self._inner = self._skia.SVGCanvas.Make(
            self._skia.Rect.MakeWH(*self._size), self._stream, OUTLINED
        )
        for n, (calls, _) in enumerate(self._frames):
            if n:
                self._inner.save()
            for name, args in calls:
                getattr(self._inner, name)(*args)

    def _close(self) -> None:
        self._inner = None  # the library writes the end when the canvas goes
        self._stream.flush()
        text = bytes(self._stream.detachAsData()).decode("utf-8")
        body = text[text.index("<svg") :]
        body = body[body.index(">") + 1 :] if not body.split(">", 1)[0].endswith("/") else ""
        body = body.rpartition("</svg>")[0]
        self._part += 1
        self._done.append(tidied(body, f"p{self._part}"))

    def text(self) -> str:
        """End the drawing, and give all that was drawn."""
        self._close()
        return "".join(self._done)

    def __del__(self) -> None:
        # the library's canvas writes its end into the stream, so it must go first
        self._inner = None


def _number(value: float) -> str:
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _short(found: re.Match[str]) -> str:
    return _number(float(found[0]))


def tidied(body: str, mark: str) -> str:
    """Shorten numbers to what can be seen, and make names of one part of a file unlike those of the others.

    Examples
    --------
    >>> tidied('<clipPath id="cl_7"/><path d="M33.00012 20.25901L1 2Z" clip-path="url(#cl_7)"/>', "p2")
    '<clipPath id="p2-1"/><path d="M33 20.26L1 2Z" clip-path="url(#p2-1)"/>'
    """
    body = re.sub(r' d="([^"]*)"', lambda d: f' d="{re.sub(NUMBER, _short, d[1])}"', body)
    # the library counts its names on through the program's life: here they count from 1 in each part
    names: dict[str, str] = {}
    for name in re.findall(r'\bid="([^"]*)"', body):
        names.setdefault(name, f"{mark}-{len(names) + 1}")

    def renamed(found: re.Match[str]) -> str:
        return f"{found[1]}{names.get(found[2], found[2])}{found[3]}"

    body = re.sub(r'(\bid=")([^"]*)(")', renamed, body)
    body = re.sub(r"(url\(#)([^)]*)(\))", renamed, body)
    return re.sub(r'(href="#)([^"]*)(")', renamed, body).replace("\n\t", "\n")


NUMBER = r"-?\d*\.?\d+(?:e[-+]?\d+)?"
