"""An SVG file's text -> its elements, each knowing its line; what has no business in a drawing is refused before anything is understood.

The parser is the one in Python's own library. It declares nothing and fetches nothing: a file that declares entities, links to anything
outside itself, holds another file or would run, move or answer to the mouse is not read at all.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import NoReturn
from xml.parsers import expat

from animator.artwork.refusal import Unusable

LARGEST = 8_000_000  # bytes; a figure drawn by hand has a hundredth of that
MOST_ELEMENTS = 40_000
DEEPEST = 60
LONGEST_STYLE = 200_000  # characters of CSS

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
RUNS = (
    "script",
    "handler",
    "foreignObject",
    "iframe",
    "object",
    "embed",
    "audio",
    "video",
    "canvas",
)
MOVES = ("animate", "animateTransform", "animateMotion", "animateColor", "set", "discard")
_PLAIN = "save it as plain SVG, with nothing in it but shapes"
_URL = re.compile(r"url\(\s*['\"]?\s*([^)'\"]*)", re.IGNORECASE)


@dataclass
class Element:
    """One element of the SVG namespace: its name, what it says, what lies in it, and the line it begins on."""

    tag: str
    said: dict[str, str]
    line: int
    parent: Element | None = None
    inner: list[Element] = field(default_factory=list)
    text: str = ""

    @property
    def name(self) -> str:
        """Its id, '' without one."""
        return self.said.get("id", "").strip()

    @property
    def classes(self) -> list[str]:
        """The classes it is in."""
        return self.said.get("class", "").split()

    @property
    def link(self) -> str:
        """The id it refers to by ``href``, '' without one."""
        return self.said.get("href", "").strip().removeprefix("#")


def read(raw: bytes) -> Element:
    """Read a file's bytes and give its root element."""
    if len(raw) > LARGEST:
        raise Unusable(
            f"the file is larger than {LARGEST // 1_000_000} MB", "simplify the drawing"
        )
    if raw[:2] == b"\x1f\x8b":
        raise Unusable("the file is compressed", "save it as plain SVG, not svgz")
    return _Reading().read(raw)


class _Reading:
    """One file on its way through the parser."""

    def __init__(self) -> None:
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._entity
        self.parser.ProcessingInstructionHandler = self._instruction
        self.root: Element | None = None
        self.open: Element | None = None
        self.foreign = 0  # how deep inside elements that aren't SVG
        self.depth = self.count = self.style = 0

    def read(self, raw: bytes) -> Element:
        try:
            self.parser.Parse(raw, True)
        except expat.ExpatError as error:
            said = expat.ErrorString(error.code)
            raise Unusable(f"it isn't sound XML ({said})", _PLAIN, error.lineno) from None
        except (LookupError, UnicodeError, ValueError) as error:
            if isinstance(error, Unusable):
                raise
            raise Unusable(
                "it is in a script that can't be read", "save it as UTF-8", 1
            ) from None
        if self.root is None or self.root.tag != "svg":
            raise Unusable("it is no SVG file", _PLAIN, 1)
        return self.root

    def _refuse(self, what: str, write: str = _PLAIN) -> NoReturn:
        raise Unusable(what, write, self.parser.CurrentLineNumber)

    # ------------------------------------------------------------ what the parser meets
    def _doctype(self, name: str, system: str | None, public: str | None, inside: int) -> None:
        if inside:
            self._refuse("it declares words of its own (a DOCTYPE in square brackets)")

    def _entity(self, *_: object) -> None:
        self._refuse("it declares an entity")

    def _instruction(self, target: str, data: str) -> None:
        if target.lower() == "xml-stylesheet":
            self._refuse("it takes its colours from another file")

    def _start(self, full: str, said: dict[str, str]) -> None:
        space, _, tag = full.rpartition(" ")
        self.count += 1
        self.depth += 1
        if self.count > MOST_ELEMENTS:
            self._refuse(f"more than {MOST_ELEMENTS} elements", "simplify the drawing")
        if self.depth > DEEPEST:
            self._refuse(f"groups nested deeper than {DEEPEST}", "ungroup some of them")
        if tag.casefold() in map(str.casefold, RUNS):
            self._refuse(f"it holds '{tag}', which is no part of a drawing")
        if self.foreign or space not in (SVG, ""):
            self.foreign += 1
            return
        if tag in MOVES:
            self._refuse(
                "it moves by itself", "save it as a still drawing; the mechanism moves it"
            )
        plain: dict[str, str] = {}
        for key, value in said.items():
            outer, _, local = key.rpartition(" ")
            self._check(tag, local, value)
            if outer in ("", XLINK):
                plain[local] = value if local not in plain or not outer else plain[local]
        element = Element(tag, plain, self.parser.CurrentLineNumber, self.open)
        if self.open is None:
            self.root = element
        else:
            self.open.inner.append(element)
        self.open = element

    def _check(self, tag: str, key: str, value: str) -> None:
        if key.lower().startswith("on") and key.isalpha():
            self._refuse(f"it answers to '{key}', which would run a script")
        if key == "href" and not value.strip().startswith("#"):
            self._outside(tag, value.strip())
        for found in _URL.finditer(value):
            if not found[1].startswith("#"):
                self._outside(tag, found[1])

    def _outside(self, tag: str, where: str) -> NoReturn:
        head = re.match(r"[A-Za-z][A-Za-z0-9+.-]*(?=:)", where)
        sort = head[0].lower() if head else ""
        if sort == "javascript":
            self._refuse("it links to a script")
        if tag == "image" or where.startswith("data:image/"):
            self._refuse(
                "it holds a picture",
                "name the picture itself as the artwork, a PNG or JPEG",
            )
        if sort == "data":
            self._refuse("it holds another file")
        self._refuse(f"it links to something outside itself: '{where[:60]}'")

    def _end(self, full: str) -> None:
        self.depth -= 1
        if self.foreign:
            self.foreign -= 1
        elif self.open is not None:
            self.open = self.open.parent

    def _text(self, text: str) -> None:
        if self.foreign or self.open is None or self.open.tag != "style":
            return
        self.style += len(text)
        if self.style > LONGEST_STYLE:
            self._refuse(
                "a style sheet longer than a book", "put the colours on the shapes themselves"
            )
        self.open.text += text
        if "@import" in text.lower():
            self._refuse("it takes its colours from another file")
        self._check("style", "", text)
