"""Outlines as an SVG file writes them: path data and the simple shapes -> courses of straight lines and cubic curves.

The grammar is that of SVG 2, chapter 9 (Paths) and chapter 10 (Basic Shapes); a quadratic curve becomes the same cubic exactly, an arc one for
each 45 degrees (farther than 1e-6 of its radius from the true one nowhere).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from animator.artwork.numerals import NUMERAL, length, numeral, numerals
from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Course, Segment
from animator.geometry import Point

MOST_SEGMENTS = 60_000
"""Of one outline; a hand-drawn figure has a few hundred."""
_SPACE = re.compile(r"[ \t\r\n\f]*")
_GAP = re.compile(r"[ \t\r\n\f]*,?[ \t\r\n\f]*")
_NUMBER = re.compile(NUMERAL)
_WANTS = {"m": 2, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7, "z": 0}


def courses(text: str) -> tuple[Course, ...]:
    """Read path data.

    Examples
    --------
    >>> [course] = courses("M0 0h4v3z")
    >>> course.segments
    (((0.0, 0.0), (4.0, 0.0)), ((4.0, 0.0), (4.0, 3.0)), ((4.0, 3.0), (0.0, 0.0)))
    >>> course.is_closed
    True
    """
    return _Reading(text).read()


class _Reading:
    """One piece of path data on its way to courses."""

    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.done: list[Course] = []
        self.open: list[Segment] = []
        self.here: Point = (0.0, 0.0)
        self.start: Point = (0.0, 0.0)
        self.handle: tuple[str, Point] | None = None  # of the last curve, for s and t
        self.count = 0

    def read(self) -> tuple[Course, ...]:
        self._skip(_SPACE)
        if self.text[self.at : self.at + 4] == "none":
            return ()
        while self.at < len(self.text):
            letter = self.text[self.at]
            if letter.lower() not in _WANTS:
                raise Unusable(
                    f"path data that can't be read: '{self.text[self.at : self.at + 30]}'",
                    "draw the outline anew, or save it as plain SVG",
                )
            if not self.done and not self.open and not self.count and letter.lower() != "m":
                raise Unusable(
                    "path data that doesn't begin with M", "begin with 'M' and a place"
                )
            self.at += 1
            self._skip(_SPACE)
            self._command(letter)
            self._skip(_SPACE)
        self._finish(is_closed=False)
        return tuple(self.done)

    def _skip(self, what: re.Pattern[str]) -> None:
        found = what.match(self.text, self.at)
        self.at = found.end() if found else self.at

    def _command(self, letter: str) -> None:
        wants = _WANTS[letter.lower()]
        is_first = True
        while True:
            self.count += 1
            if self.count > MOST_SEGMENTS:
                raise Unusable(
                    f"an outline of more than {MOST_SEGMENTS} strokes of the pen",
                    "simplify it",
                )
            values = self._values(letter.lower(), wants)
            self._do(letter, values, is_first)
            is_first = False
            self._skip(_GAP)
            if not wants or not _NUMBER.match(self.text, self.at):
                return

    def _values(self, letter: str, wants: int) -> list[float]:
        out = []
        for i in range(wants):
            if i:
                self._skip(_GAP)
            if letter == "a" and i in (
                3,
                4,
            ):  # a flag is one figure, and the next may stand right behind it
                flag = self.text[self.at : self.at + 1]
                if flag not in ("0", "1"):
                    raise Unusable(f"an arc whose flag is '{flag}'", "a flag is 0 or 1")
                self.at += 1
                out.append(float(flag))
                continue
            found = _NUMBER.match(self.text, self.at)
            if not found:
                rest = self.text[self.at : self.at + 30]
                raise Unusable(
                    f"path data that can't be read: '{rest}'"
                    if rest
                    else "path data that breaks off",
                    f"{wants} numbers come after '{letter}'",
                )
            out.append(numeral(found[0]))
            self.at = found.end()
        return out

    def _do(self, letter: str, v: list[float], is_first: bool) -> None:
        kind = letter.lower()
        ox, oy = self.here if letter.islower() else (0.0, 0.0)
        handle, self.handle = self.handle, None
        if kind == "z":
            self._finish(is_closed=True)
            self.here = self.start
        elif kind == "m" and is_first:
            self._finish(is_closed=False)
            self.here = self.start = (v[0] + ox, v[1] + oy)
        elif kind in "mlt" and kind != "t":
            self._line((v[0] + ox, v[1] + oy))
        elif kind == "h":
            self._line((v[0] + ox, self.here[1]))
        elif kind == "v":
            self._line((self.here[0], v[0] + oy))
        elif kind == "a":
            self._arc(v, (v[5] + ox, v[6] + oy))
        else:
            points = [(x + ox, y + oy) for x, y in zip(v[::2], v[1::2], strict=True)]
            if kind in "st":
                family = "c" if kind == "s" else "q"
                old = handle[1] if handle and handle[0] == family else self.here
                points.insert(0, (2 * self.here[0] - old[0], 2 * self.here[1] - old[1]))
            if kind in "cs":
                self.handle = ("c", points[1])
                self._curve(points[0], points[1], points[2])
            else:
                self.handle = ("q", points[0])
                (ax, ay), (bx, by), (cx, cy) = self.here, points[0], points[1]
                self._curve(
                    (ax + (bx - ax) * 2 / 3, ay + (by - ay) * 2 / 3),
                    (cx + (bx - cx) * 2 / 3, cy + (by - cy) * 2 / 3),
                    points[1],
                )

    def _line(self, to: Point) -> None:
        self.open.append((self.here, to))
        self.here = to

    def _curve(self, a: Point, b: Point, to: Point) -> None:
        self.open.append((self.here, a, b, to))
        self.here = to

    def _arc(self, v: list[float], to: Point) -> None:
        if abs(v[0]) < 1e-9 or abs(v[1]) < 1e-9:
            self._line(to)
        elif to != self.here:
            for a, b, end in arc(
                self.here, to, abs(v[0]), abs(v[1]), math.radians(v[2]), bool(v[3]), bool(v[4])
            ):
                self._curve(a, b, end)

    def _finish(self, *, is_closed: bool) -> None:
        if self.open:
            if is_closed and self.here != self.start:
                self._line(self.start)
            self.done.append(Course(tuple(self.open), is_closed))
            self.open = []


def arc(
    start: Point,
    to: Point,
    rx: float,
    ry: float,
    turn: float,
    is_large: bool,
    is_clockwise: bool,
) -> list[tuple[Point, Point, Point]]:
    """Give the cubics of an elliptical arc: SVG 2, B.2.4 (endpoint to centre) and B.2.5 (radii too small are enlarged)."""
    c, s = math.cos(turn), math.sin(turn)
    dx, dy = (start[0] - to[0]) / 2, (start[1] - to[1]) / 2
    x, y = c * dx + s * dy, -s * dx + c * dy
    over = (x / rx) ** 2 + (y / ry) ** 2
    if over > 1:
        rx, ry = rx * math.sqrt(over), ry * math.sqrt(over)
    below = (rx * y) ** 2 + (ry * x) ** 2
    share = math.sqrt(max(0.0, ((rx * ry) ** 2 - below) / below)) if below > 0 else 0.0
    if is_large == is_clockwise:
        share = -share
    mx, my = share * rx * y / ry, -share * ry * x / rx
    cx, cy = c * mx - s * my + (start[0] + to[0]) / 2, s * mx + c * my + (start[1] + to[1]) / 2
    first = math.atan2((y - my) / ry, (x - mx) / rx)
    way = math.atan2((-y - my) / ry, (-x - mx) / rx) - first
    if is_clockwise and way < 0:
        way += math.tau
    elif not is_clockwise and way > 0:
        way -= math.tau
    steps = max(1, math.ceil(abs(way) / (math.pi / 4) - 1e-9))
    k = 4 / 3 * math.tan(way / steps / 4)

    def at(p: float, q: float) -> Point:
        return cx + c * rx * p - s * ry * q, cy + s * rx * p + c * ry * q

    out = []
    for i in range(steps):
        t, u = first + way * i / steps, first + way * (i + 1) / steps
        ct, st, cu, su = math.cos(t), math.sin(t), math.cos(u), math.sin(u)
        end = to if i == steps - 1 else at(cu, su)
        out.append((at(ct - k * st, st + k * ct), at(cu + k * su, su - k * cu), end))
    return out


# ---------------------------------------------------------------- simple shapes
def basic(tag: str, said: Mapping[str, str], width: float, height: float) -> tuple[Course, ...]:
    """Read a basic shape: rect, circle, ellipse, line, polyline or polygon.

    ``width`` and ``height`` are what 100 % of a length is.
    """
    across = math.hypot(width, height) / math.sqrt(2)

    def size(key: str, whole: float, otherwise: float = 0.0) -> float:
        return length(said[key], whole) if key in said else otherwise

    if tag in ("polyline", "polygon"):
        flat = numerals(said.get("points", ""))
        if len(flat) > 2 * MOST_SEGMENTS:
            raise Unusable(f"an outline of more than {MOST_SEGMENTS} points", "simplify it")
        points = list(zip(flat[::2], flat[1::2], strict=False))
        if len(points) < 2:
            return ()
        ends = [*points[1:], points[0]] if tag == "polygon" else points[1:]
        return (Course(tuple(zip(points, ends, strict=False)), tag == "polygon"),)
    if tag == "line":
        a = size("x1", width), size("y1", height)
        b = size("x2", width), size("y2", height)
        return (Course(((a, b),)),)
    if tag == "circle":
        r = size("r", across)
        return _oval(size("cx", width), size("cy", height), r, r)
    if tag == "ellipse":
        rx, ry = _radii(said, size("rx", width), size("ry", height))
        return _oval(size("cx", width), size("cy", height), rx, ry)
    x, y, w, h = (
        size("x", width),
        size("y", height),
        size("width", width),
        size("height", height),
    )
    rx, ry = _radii(said, size("rx", width), size("ry", height))
    return _box(x, y, w, h, min(rx, w / 2), min(ry, h / 2))


def _radii(said: Mapping[str, str], rx: float, ry: float) -> tuple[float, float]:
    """Let one radius stand for both where only one is said."""
    says_x, says_y = (said.get(key, "auto") != "auto" for key in ("rx", "ry"))
    return (rx if says_x else ry, ry if says_y else rx)


def _oval(cx: float, cy: float, rx: float, ry: float) -> tuple[Course, ...]:
    if rx <= 0 or ry <= 0:
        return ()
    segments: list[Segment] = []
    here = (cx + rx, cy)
    for to in ((cx - rx, cy), (cx + rx, cy)):
        for a, b, end in arc(here, to, rx, ry, 0.0, False, True):
            segments.append((here, a, b, end))
            here = end
    return (Course(tuple(segments), True),)


def _box(x: float, y: float, w: float, h: float, rx: float, ry: float) -> tuple[Course, ...]:
    if w <= 0 or h <= 0:
        return ()
    if rx <= 0 or ry <= 0:
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        return (Course(tuple(zip(corners, [*corners[1:], corners[0]], strict=True)), True),)
    segments: list[Segment] = []
    here = (x + rx, y)
    for line, corner in (
        ((x + w - rx, y), (x + w, y + ry)),
        ((x + w, y + h - ry), (x + w - rx, y + h)),
        ((x + rx, y + h), (x, y + h - ry)),
        ((x, y + ry), (x + rx, y)),
    ):
        if line != here:
            segments.append((here, line))
        here = line
        for a, b, end in arc(line, corner, rx, ry, 0.0, False, True):
            segments.append((here, a, b, end))
            here = end
    return (Course(tuple(segments), True),)
