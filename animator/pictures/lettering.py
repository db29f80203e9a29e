"""Three faces and how they are set: titles, sentences, labels. Loaded by path from packages we depend on, never from the machine."""

from __future__ import annotations

import importlib.util
import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path as FilePath
from typing import Any, Literal

from fontTools.ttLib import TTFont, TTLibError

from animator.pictures.ink import Canvas, Paint, Path, fill, skia
from animator.pictures.palette import INK
from animator.problems import RunError

Face = Literal["title", "title-i", "text", "text-i", "label", "label-b"]

FILES: dict[str, tuple[str, str]] = {
    "title": ("fontpkg_fraunces", "Fraunces[SOFT,WONK,opsz,wght].ttf"),
    "title-i": ("fontpkg_fraunces", "Fraunces-Italic[SOFT,WONK,opsz,wght].ttf"),
    "text": ("fontpkg_literata", "Literata[opsz,wght].ttf"),
    "text-i": ("fontpkg_literata", "Literata-Italic[opsz,wght].ttf"),
    "label": ("fontpkg_alegreya_sans", "AlegreyaSans-Medium.ttf"),
    "label-b": ("fontpkg_alegreya_sans", "AlegreyaSans-Bold.ttf"),
}
OTHERS: dict[str, tuple[Face, ...]] = {  # where a letter is looked for that a face lacks
    face: tuple(other for other in ("text", "label", "title") if other != face)
    for face in FILES
}
MISSING = "\N{WHITE SQUARE}"


def _file(face: str) -> FilePath:
    package, name = FILES[face]
    spec = importlib.util.find_spec(package)
    if spec is None or spec.origin is None:
        raise RunError(
            f"the letters of {name!r} are missing; this mends it: pip install {package.replace('_', '-')}"
        )
    return FilePath(spec.origin).parent / "files" / name


VARYING = ("fvar", "gvar", "avar", "cvar", "HVAR", "VVAR", "MVAR", "STAT")
"""Tables that let a face vary; without them it is what it is by default."""


BLANK = 0.2  # of a letter's size; narrowest blank between words


def _still(face: str) -> bytes:
    """Give a face as a plain font: it no longer varies, and the label faces' figures are the lining ones of one width, ``.tf``, so that running numbers don't shiver.

    Paper keeps a plain font as one, a varying one only as loose drawings; and figures that are the font's own, rather than put in place of
    them when a line is set, are still figures when they are marked and copied out of a file.
    """
    font = TTFont(io.BytesIO(_file(face).read_bytes()), lazy=True)
    for table in VARYING:
        if table in font:
            del font[table]
    if face.startswith("label"):
        names = dict(font.getBestCmap())
        for table in font["cmap"].tables:
            for digit in map(ord, "0123456789"):
                if digit in table.cmap:
                    table.cmap[digit] = names[digit] + ".tf"
        # their blanks are 0.15 and 0.16 of a letter's size, and readers of paper run words together at that
        wide, edge = font["hmtx"]["space"]
        font["hmtx"]["space"] = (max(wide, round(BLANK * font["head"].unitsPerEm)), edge)
    out = io.BytesIO()
    font.save(out, reorderTables=None)
    return out.getvalue()


def face_bytes(face: Face) -> bytes:
    """Give a face as a plain font file, as every picture sets it, for files that carry their letters with them.

    Raises
    ------
    RunError
        The letters are missing or can't be read.
    """
    path = _file(face)
    try:
        return _still(face)
    except (OSError, KeyError, TTLibError) as trouble:
        raise _unreadable(face, path) from trouble


@cache
def _typeface(face: str) -> Any:
    path = _file(face)
    try:
        letters = _still(face)
    except (OSError, KeyError, TTLibError) as trouble:
        raise _unreadable(face, path) from trouble
    # a manager of its own: the system's would look through every font of the machine first, and complain of its settings
    made = skia.FontMgr.New_Custom_Empty().makeFromData(skia.Data.MakeWithCopy(letters))
    if made is None:
        raise _unreadable(face, path)
    return made


def _unreadable(face: str, path: FilePath) -> RunError:
    return RunError(
        f"the letters in {path} can't be read; this mends it: pip install --force-reinstall {FILES[face][0].replace('_', '-')}"
    )


@cache
def _font(face: str, size: float) -> Any:
    font = skia.Font(_typeface(face), size)
    font.setSubpixel(True)
    font.setHinting(skia.FontHinting.kNone)  # equal pictures on every machine
    font.setEdging(skia.Font.Edging.kAntiAlias)
    return font


@cache
def _has(face: str, letter: str) -> bool:
    return bool(_typeface(face).unicharToGlyph(ord(letter)))


def _stretches(text: str, face: str) -> list[tuple[str, str]]:
    """Split a text into (face, letters): a letter the face lacks is taken from another; one that none has becomes a small square."""
    out: list[tuple[str, str]] = []
    for letter in text:
        home = (
            face
            if _has(face, letter)
            else next((f for f in OTHERS[face] if _has(f, letter)), None)
        )
        if home is None:
            letter = MISSING if _has(face, MISSING) else "?"
            home = face
        if out and out[-1][0] == home:
            out[-1] = (home, out[-1][1] + letter)
        else:
            out.append((home, letter))
    return out


@cache
def _set(
    text: str, face: str, size: float, track: float
) -> tuple[float, list[tuple[float, Any]]]:
    """Set a line: its width and the pieces (x, blob) it is made of."""
    at, blobs = 0.0, []
    for home, letters in _stretches(text, face):
        font = _font(home, size)
        glyphs = font.textToGlyphs(letters)
        if 0 in glyphs:
            raise ValueError(f"the face {home!r} has no letter for one in {letters!r}")
        xs, x = [], 0.0
        for width in font.getWidths(glyphs):
            xs.append(x)
            x += width + track
        builder = skia.TextBlobBuilder()
        builder.allocRunPosH(font, glyphs, xs, 0.0)
        blobs.append((at, builder.make()))
        at += x
    return max(0.0, at - track), blobs


@dataclass(frozen=True)
class Words:
    """A line of text that was drawn, and where: left, top, right and foot of its letters. [px]"""

    text: str
    box_px: tuple[int, int, int, int]


_listeners: list[list[Words]] = []


@contextmanager
def listening() -> Iterator[list[Words]]:
    """Note every line of text that is drawn inside, so that a finished picture can be asked whether it can be read."""
    heard: list[Words] = []
    _listeners.append(heard)
    yield heard
    _listeners.remove(heard)


def _heard(c: Canvas, text: str, x: float, y: float, wide: float, size: float) -> Words:
    corners = [
        skia.Point(x + sx * wide, y - sy * size) for sx in (0, 1) for sy in (-0.02, 0.70)
    ]
    placed = c.getTotalMatrix().mapPoints(corners)
    xs, ys = [p.x() for p in placed], [p.y() for p in placed]
    return Words(text, (int(min(xs)), int(min(ys)), int(max(xs)) + 1, int(max(ys)) + 1))


def width(text: str, face: Face, size: float, track: float = 0.0) -> float:
    """Width of a line of text."""
    return _set(text, face, round(size, 2), track)[0] if text else 0.0


def letter(
    c: Canvas,
    text: str,
    x: float,
    y: float,
    face: Face = "label",
    size: float = 20,
    paint: Paint | None = None,
    align: Literal["l", "c", "r"] = "l",
    track: float = 0.0,
) -> float:
    """Draw a line of text on its base line and return where it ends."""
    if not text:
        return x
    total, blobs = _set(text, face, round(size, 2), track)
    x -= {"l": 0.0, "c": total / 2, "r": total}[align]
    for heard in _listeners:
        heard.append(_heard(c, text, x, y, total, size))
    for dx, blob in blobs:
        c.drawTextBlob(blob, x + dx, y, paint or fill(INK))
    return x + total


def outline(
    text: str, x: float, y: float, face: Face, size: float, align: Literal["l", "c", "r"] = "l"
) -> Path:
    """Give a line of text as a shape: for a rim of paper round words, which must not be words a second time in a file."""
    total, made = width(text, face, size), skia.Path()
    at = x - {"l": 0.0, "c": total / 2, "r": total}[align]
    for home, letters in _stretches(text, face):
        font = _font(home, round(size, 2))
        glyphs = font.textToGlyphs(letters)
        for glyph, wide in zip(glyphs, font.getWidths(glyphs), strict=True):
            shape = font.getPath(glyph)
            if shape is not None:
                made.addPath(shape, at, y)
            at += wide
    return made


def wrap(text: str, face: Face, size: float, room: float) -> list[str]:
    """Break a text into lines that fit a width."""
    lines: list[str] = []
    line = ""
    for word in text.replace("\n", " ").split(
        " "
    ):  # a no-break space keeps figure and unit together
        probe = f"{line} {word}".strip()
        if line and width(probe, face, size) > room:
            lines.append(line)
            line = word
        else:
            line = probe
    return [*lines, line] if line else lines


def fit(
    text: str, face: Face, size: float, room: float, line_count: int, least: float
) -> float:
    """Give the largest size, from ``size`` down to ``least``, at which a text takes at most so many lines."""
    while size > least and len(wrap(text, face, size, room)) > line_count:
        size -= 0.5
    return size


def block(
    c: Canvas,
    text: str,
    x: float,
    y: float,
    room: float,
    face: Face = "text",
    size: float = 20,
    lead: float = 1.32,
    paint: Paint | None = None,
    line_count: int | None = None,
) -> float:
    """Draw a paragraph and return the base line that would come next; what doesn't fit ends in an ellipsis."""
    lines = wrap(text, face, size, room)
    if line_count is not None and len(lines) > line_count:
        lines = lines[:line_count]
        while width(lines[-1] + " …", face, size) > room and " " in lines[-1]:
            lines[-1] = lines[-1].rpartition(" ")[0]
        lines[-1] = lines[-1].rstrip(",;.") + " …"
    for line in lines:
        letter(c, line, x, y, face, size, paint)
        y += size * lead
    return y


def sentence(text: str) -> str:
    """Set a sentence of the report as one stands on a card: a capital before, a stop after."""
    text = text.strip()
    return text[:1].upper() + text[1:] + ("" if text[-1:] in ".!?…" else ".")
