"""An SVG file -> a sheet: its shapes with all their transforms done, flat paints, and its named points."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from animator.artwork import affine, markup, pathdata
from animator.artwork.affine import Affine
from animator.artwork.colours import Colour, blended, colour
from animator.artwork.markup import Element
from animator.artwork.numerals import UNITS, length, numeral, numerals, parted
from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Course, Cut, Line, Mark, Sheet, extent
from animator.artwork.styles import START, StyleSheet, Words, styled
from animator.geometry import Point

MOST_CUTS = 3000
MOST_SEGMENTS = 100_000
DEEPEST_USE = 20
POINT = "point"
"""The class of an element that only names a place."""

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
GROUPS = ("g", "svg", "a", "switch")
SILENT = (
    "defs", "symbol", "title", "desc", "metadata", "style", "linearGradient", "radialGradient", "pattern", "marker", "clipPath", "mask",
    "filter", "view", "cursor", "font", "font-face", "color-profile", "solidcolor", "meshgradient",
)  # fmt: skip
TRUE_UNITS = tuple(unit for unit in UNITS if unit not in ("px", ""))
_NAME = re.compile(r"[^\W\d_](?:[\w'-]*\w)?")
_URL = re.compile(r"url\(\s*['\"]?#([^)'\"]*)['\"]?\s*\)\s*(.*)", re.DOTALL)


def read(raw: bytes, name: str) -> Sheet:
    """Read a file's bytes; ``name`` is what the file is called."""
    root = markup.read(raw)
    return _Drawing(root, name).sheet()


@dataclass
class _Drawing:
    """One file on its way from elements to cuts."""

    root: Element
    name: str
    sheets: StyleSheet = field(default_factory=StyleSheet)
    known: dict[str, Element] = field(default_factory=dict)
    cuts: list[Cut] = field(default_factory=list)
    marks: dict[str, Mark] = field(default_factory=dict)
    segments: int = 0
    uses: int = 0
    using: list[Element] = field(default_factory=list)
    view: tuple[float, float] = (100.0, 100.0)

    def sheet(self) -> Sheet:
        waiting = [self.root]
        while waiting:
            one = waiting.pop()
            if one.name:
                self.known.setdefault(one.name, one)
            if one.tag == "style":
                self._told_at(one, self.sheets.add, one.text)
            waiting.extend(reversed(one.inner))
        size, is_true, to_page = self._told_at(self.root, self._page)
        self._inside(self.root, dict(START), to_page, (), 1.0)
        if not self.cuts:
            raise Unusable("nothing is drawn in it", "draw filled shapes")
        return Sheet(self.name, tuple(self.cuts), self.marks, size, is_true)

    def _told_at(self, element: Element, do, *words):  # type: ignore[no-untyped-def]
        """Run something, so that what is wrong is told with the element's line."""
        try:
            return do(*words)
        except Unusable as wrong:
            if not wrong.line:
                raise Unusable(wrong.what, wrong.write, element.line, wrong.key) from None
            raise

    # ------------------------------------------------------------ the page
    def _page(self) -> tuple[tuple[float, float], bool, Affine]:
        """Size of the page, whether that is its true size, and the map from the file's units to the page, y up."""
        said = self.root.said
        box = numerals(said["viewBox"]) if said.get("viewBox", "").strip() else None
        if box is not None and (len(box) != 4 or min(box[2:]) <= 0):
            raise Unusable(
                "a viewBox that encloses nothing", "put 'viewBox=\"0 0 WIDTH HEIGHT\"' there"
            )
        sizes = [self._side(said.get(key, "")) for key in ("width", "height")]
        is_true = any(unit in TRUE_UNITS for size, unit in sizes if size)
        wide, high = (
            size * UNITS[unit] / (1.0 if is_true else UNITS[""]) if size else None
            for size, unit in sizes
        )
        if box is None:
            box = [0.0, 0.0, wide or 100.0, high or 100.0]
            if is_true:  # without a viewBox the drawing's own numbers are px
                box = [0.0, 0.0, (wide or 100.0) / UNITS[""], (high or 100.0) / UNITS[""]]
        if wide is None and high is None:
            wide, high = box[2], box[3]
        wide = wide if wide is not None else (high or 0.0) * box[2] / box[3]
        high = high if high is not None else wide * box[3] / box[2]
        if not min(wide, high) > 1e-6 or max(wide, high) > 1e6:
            raise Unusable("a page of no size", "give its width and height in mm")
        self.view = box[2], box[3]
        fit = _fitted(box, wide, high, said.get("preserveAspectRatio", ""))
        return (wide, high), is_true, affine.after((1.0, 0.0, 0.0, -1.0, 0.0, high), fit)

    @staticmethod
    def _side(text: str) -> tuple[float, str]:
        text = text.strip()
        if text in ("", "auto"):
            return 0.0, ""
        value, unit = parted(text)
        if unit == "%":
            return 0.0, ""
        if unit not in UNITS or value <= 0:
            raise Unusable(f"a page {text[:20]} large", "give its width and height in mm")
        return value, unit

    # ------------------------------------------------------------ walking
    def _inside(
        self, element: Element, look: Words, at: Affine, groups: tuple[str, ...], alpha: float
    ) -> None:
        for one in element.inner:
            self._told_at(one, self._one, one, look, at, groups, alpha)

    def _one(
        self, one: Element, above: Words, at: Affine, groups: tuple[str, ...], alpha: float
    ) -> None:
        if one.tag in SILENT:
            return
        look = styled(one, above, self.sheets)
        if look.get("display") == "none":
            return
        if one.said.get("transform", "").strip():
            at = affine.after(at, affine.transform(one.said["transform"]))
        if POINT in one.classes:
            self._mark(one, at, groups)
            return
        if one.name:
            groups = (one.name, *groups)
        alpha *= _share(look.get("opacity", "1"))
        for word in ("clip-path", "mask"):
            if look.get(word, "none") != "none":
                raise Unusable(
                    f"a {word.replace('-path', 'ping path')}, which can't be cut out",
                    "cut the shape itself to its outline",
                )
        if one.tag in GROUPS:
            if one.tag == "svg":
                at = affine.after(at, self._port(one))
            self._inside(one, look, at, groups, alpha)
        elif one.tag == "use":
            self._use(one, look, at, groups, alpha)
        elif one.tag in SHAPES:
            if look.get("visibility") not in ("hidden", "collapse") and alpha > 0:
                self._cut(one, look, at, groups, alpha)
        elif one.tag in ("text", "tspan", "textPath", "tref", "flowRoot"):
            raise Unusable(
                "it holds letters, which can't be cut out", "turn the letters into outlines"
            )
        elif one.tag == "image":
            raise Unusable(
                "it holds a picture", "name the picture itself as the artwork, a PNG or JPEG"
            )
        else:
            raise Unusable(
                f"no element of a drawing is called '{one.tag[:30]}'",
                "save it as plain SVG, with nothing in it but shapes",
            )

    def _port(self, one: Element, width: str = "", height: str = "") -> Affine:
        """Give the map into an inner ``svg`` or ``symbol``."""
        said = one.said
        x, y = (
            length(said.get("x", "0"), self.view[0]),
            length(said.get("y", "0"), self.view[1]),
        )
        place: Affine = (1.0, 0.0, 0.0, 1.0, x, y) if one.tag == "svg" else affine.SAME
        if not said.get("viewBox", "").strip():
            return place
        box = numerals(said["viewBox"])
        if len(box) != 4 or min(box[2:]) <= 0:
            raise Unusable(
                "a viewBox that encloses nothing", "put 'viewBox=\"0 0 WIDTH HEIGHT\"' there"
            )
        w = length(width or said.get("width", "100%"), self.view[0])
        h = length(height or said.get("height", "100%"), self.view[1])
        return affine.after(place, _fitted(box, w, h, said.get("preserveAspectRatio", "")))

    def _use(
        self, one: Element, look: Words, at: Affine, groups: tuple[str, ...], alpha: float
    ) -> None:
        found = self.known.get(one.link)
        if found is None:
            raise Unusable(
                f"it uses '{one.link[:40]}', which isn't there", "let it use the id of a shape"
            )
        above: Element | None = one
        while above is not None and above is not found:
            above = above.parent
        self.uses += 1
        if above is not None or found in self.using:
            raise Unusable(
                f"'{one.link[:40]}' is used inside itself", "put a copy of it there instead"
            )
        if len(self.using) >= DEEPEST_USE or self.uses > MOST_CUTS:
            raise Unusable("copies of copies without end", "put plain shapes in their place")
        x = length(one.said.get("x", "0"), self.view[0])
        y = length(one.said.get("y", "0"), self.view[1])
        at = affine.after(at, (1.0, 0.0, 0.0, 1.0, x, y))
        self.using.append(found)
        if found.tag == "symbol":
            port = self._port(found, one.said.get("width", ""), one.said.get("height", ""))
            inner = styled(found, look, self.sheets)
            self._inside(found, inner, affine.after(at, port), groups, alpha)
        else:
            self._told_at(found, self._one, found, look, at, groups, alpha)
        self.using.pop()

    # ------------------------------------------------------------ shapes and points
    def _courses(self, one: Element, at: Affine) -> tuple[Course, ...]:
        if one.tag == "path":
            drawn = pathdata.courses(one.said.get("d", ""))
        else:
            drawn = pathdata.basic(one.tag, one.said, *self.view)
        self.segments += sum(len(course.segments) for course in drawn)
        if self.segments > MOST_SEGMENTS:
            raise Unusable(
                f"more than {MOST_SEGMENTS} strokes of the pen in all", "simplify the drawing"
            )
        return tuple(
            Course(
                tuple(tuple(affine.moved(at, p) for p in each) for each in course.segments),
                course.is_closed,
            )
            for course in drawn
        )

    def _cut(
        self, one: Element, look: Words, at: Affine, groups: tuple[str, ...], alpha: float
    ) -> None:
        if len(self.cuts) >= MOST_CUTS:
            raise Unusable(f"more than {MOST_CUTS} shapes", "simplify the drawing")
        drawn = self._courses(one, at)
        if not drawn:
            return
        fill = self._paint(look["fill"], look) if one.tag != "line" else None
        cover = alpha * _share(look["fill-opacity"])
        if fill is not None and fill[1] * cover <= 0.004:
            fill = None
        line = self._line(look, at, alpha)
        if fill is None and line is None:
            return
        self.cuts.append(
            Cut(
                drawn,
                fill[0] if fill else None,
                fill[1] * cover if fill else 1.0,
                look["fill-rule"] == "evenodd",
                line,
                None,
                groups,
            )
        )

    def _line(self, look: Words, at: Affine, alpha: float) -> Line | None:
        paint = self._paint(look["stroke"], look)
        width = length(look["stroke-width"], sum(self.view) / 2) * affine.stretch(at)
        cover = alpha * _share(look["stroke-opacity"]) * (paint[1] if paint else 0.0)
        if paint is None or width <= 0 or cover <= 0.004:
            return None
        dashes: tuple[float, ...] = ()
        if look["stroke-dasharray"] not in ("none", ""):
            whole = sum(self.view) / 2
            told = [
                length(word, whole)
                for word in look["stroke-dasharray"].replace(",", " ").split()[:32]
            ]
            if min(told) >= 0 and sum(told) > 0:
                dashes = tuple(each * affine.stretch(at) for each in told * (1 + len(told) % 2))
        return Line(
            paint[0],
            width,
            cover,
            look["stroke-linecap"],
            look["stroke-linejoin"],
            max(numeral(look["stroke-miterlimit"]), 1.0),
            dashes,
        )

    def _mark(self, one: Element, at: Affine, groups: tuple[str, ...]) -> None:
        name = one.name
        owner, dot, short = name.rpartition(".")
        if not name:
            raise Unusable(
                "a point without a name", "put 'id=\"pivot\"' beside 'class=\"point\"'"
            )
        if not _NAME.fullmatch(short) or (dot and not owner):
            raise Unusable(
                f"a point can't be called '{name[:40]}'",
                "give it a name of letters, figures and hyphens",
            )
        if name in self.marks:
            raise Unusable(f"two points are called '{name[:40]}'", "rename one of them")
        self.marks[name] = Mark(self._middle(one, at), groups)

    def _middle(self, one: Element, at: Affine) -> Point:
        """Middle of what a point's element covers."""
        if one.tag in ("circle", "ellipse"):
            x = length(one.said.get("cx", "0"), self.view[0])
            return affine.moved(at, (x, length(one.said.get("cy", "0"), self.view[1])))
        if one.tag in SHAPES:
            drawn = self._courses(one, at)
            if drawn:
                left, low, right, high = extent([Cut(drawn, None)], 1e-3)
                return (left + right) / 2, (low + high) / 2
        trial = replace(self, cuts=[], marks={}, segments=0, uses=0, using=[])
        if one.tag in GROUPS:
            trial._inside(one, dict(START), at, (), 1.0)
        elif one.tag == "use":
            trial._use(one, dict(START), at, (), 1.0)
        if not trial.cuts:
            raise Unusable(
                f"the point '{one.name[:40]}' lies nowhere", "draw a small circle there"
            )
        left, low, right, high = extent(trial.cuts, 1e-3)
        return (left + right) / 2, (low + high) / 2

    # ------------------------------------------------------------ paints
    def _paint(self, text: str, look: Words) -> Colour | None:
        """Flat colour of a fill or a line; None for none."""
        text = text.strip()
        found = _URL.fullmatch(text)
        if found:
            server = self.known.get(found[1].strip())
            if server is not None and server.tag in ("linearGradient", "radialGradient"):
                return self._told_at(server, self._gradient, server)  # type: ignore[no-any-return]
            if server is not None and server.tag == "pattern":
                raise Unusable("a patterned fill", "fill it with a flat colour")
            if not found[2].strip():
                return None  # SVG 2, 13.2: a paint that isn't there is none
            text = found[2].strip()
        if text in ("none", ""):
            return None
        if text.lower() in ("currentcolor", "context-fill", "context-stroke"):
            own = look["color"]
            return colour("black" if own.lower() == "currentcolor" else own)
        return colour(text)

    def _gradient(self, server: Element) -> Colour | None:
        """Give the flat colour a gradient comes to."""
        seen = [server]
        while not any(one.tag == "stop" for one in seen[-1].inner):
            following = self.known.get(seen[-1].link)
            if following is None or following in seen or following.tag[-8:] != "Gradient":
                return None
            seen.append(following)
        stops: list[tuple[float, Colour]] = []
        for one in seen[-1].inner:
            if one.tag != "stop":
                continue
            look = styled(one, dict(START), self.sheets)
            value, unit = parted(one.said.get("offset", "0"))
            place = min(max(value / (100 if unit == "%" else 1), 0.0), 1.0)
            place = max(place, stops[-1][0]) if stops else place
            told = look.get("stop-color", "black")
            hue, alpha = colour(look["color"] if told.lower() == "currentcolor" else told)
            stops.append((place, (hue, alpha * _share(look.get("stop-opacity", "1")))))
        return blended(stops)


def _share(text: str) -> float:
    text = text.strip()
    value = numeral(text.removesuffix("%").strip()) / (100 if text.endswith("%") else 1)
    return min(max(value, 0.0), 1.0)


def _fitted(box: list[float], wide: float, high: float, how: str) -> Affine:
    """Give the map of a viewBox onto a page: SVG 2, 8.6 (preserveAspectRatio)."""
    sx, sy = wide / box[2], high / box[3]
    words = how.split() or ["xMidYMid", "meet"]
    if words[0] == "none":
        return sx, 0.0, 0.0, sy, -box[0] * sx, -box[1] * sy
    scale = max(sx, sy) if "slice" in words else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    ax = share.get(words[0][1:4], 0.5)
    ay = share.get(words[0][5:8], 0.5)
    dx, dy = (wide - box[2] * scale) * ax, (high - box[3] * scale) * ay
    return scale, 0.0, 0.0, scale, dx - box[0] * scale, dy - box[1] * scale
