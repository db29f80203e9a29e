"""How the elements of an SVG file look: their own words, simple style sheets, and what is handed down from group to group."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from animator.artwork.markup import Element
from animator.artwork.refusal import Unusable

HANDED_DOWN = (
    "fill",
    "fill-opacity",
    "fill-rule",
    "stroke",
    "stroke-width",
    "stroke-opacity",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-miterlimit",
    "stroke-dasharray",
    "color",
    "visibility",
    "marker-start",
    "marker-mid",
    "marker-end",
)
OWN = ("opacity", "display", "stop-color", "stop-opacity", "clip-path", "mask")
MOST_RULES = 2000
START: Mapping[str, str] = {
    "fill": "black",
    "fill-opacity": "1",
    "fill-rule": "nonzero",
    "stroke": "none",
    "stroke-width": "1",
    "stroke-opacity": "1",
    "stroke-linecap": "butt",
    "stroke-linejoin": "miter",
    "stroke-miterlimit": "4",
    "stroke-dasharray": "none",
    "color": "black",
    "visibility": "visible",
    "opacity": "1",
    "display": "inline",
    "stop-color": "black",
    "stop-opacity": "1",
}
"""What holds where nobody says anything (SVG 2, appendix F)."""
_REMARK = re.compile(r"/\*.*?\*/", re.DOTALL)
_PART = re.compile(r"([.#]?)([\w-]+|\*)|:first-child|:root")
_SIMPLE = re.compile(r"(?:[\w-]+|\*)?(?:[.#][\w-]+)*")
Words = dict[str, str]


@dataclass(frozen=True)
class _Rule:
    """One selector's steps, outermost first: (does the step before it stand right above?, names of tag, id and classes)."""

    steps: tuple[tuple[bool, str, frozenset[str], frozenset[str]], ...]
    weight: tuple[int, int, int, int]
    words: Words


@dataclass
class StyleSheet:
    """The style sheets of one file."""

    rules: list[_Rule] = field(default_factory=list)

    def add(self, text: str) -> None:
        """Read a style sheet; rules for other media, fonts and movements are passed over."""
        text = _REMARK.sub(" ", text.replace("<!--", " ").replace("-->", " "))
        for heads, body in _blocks(text):
            for head in heads.split(","):
                words = declared(body)
                if words:
                    self._rule(" ".join(head.split()), words)

    def _rule(self, head: str, words: Words) -> None:
        if ":" in head or "[" in head or "+" in head or "~" in head:
            return  # what depends on the mouse, on other attributes or on neighbours isn't how the thing looks by itself
        steps = []
        is_child = False
        ids = classes = tags = 0
        for word in head.replace(">", " > ").split():
            if word == ">":
                is_child = True
                continue
            if not _SIMPLE.fullmatch(word):
                raise Unusable(
                    f"a style that can't be read: '{head[:40]}'",
                    "write for example '.wing {fill: #64798a}'",
                )
            found = re.findall(r"([.#]?)([\w-]+|\*)", word)
            tag = next((name for mark, name in found if not mark), "*")
            names = frozenset(name for mark, name in found if mark == "#")
            inside = frozenset(name for mark, name in found if mark == ".")
            ids, classes, tags = ids + len(names), classes + len(inside), tags + (tag != "*")
            steps.append((is_child, tag, names, inside))
            is_child = False
        if not steps:
            return
        if len(self.rules) >= MOST_RULES:
            raise Unusable(
                f"more than {MOST_RULES} styles", "put the colours on the shapes themselves"
            )
        self.rules.append(_Rule(tuple(steps), (ids, classes, tags, len(self.rules)), words))

    def of(self, element: Element) -> Words:
        """Give what the sheets say of an element, the weightier rule lying over the lighter."""
        hits = sorted(
            (rule for rule in self.rules if _fits(rule, element)), key=lambda rule: rule.weight
        )
        out: Words = {}
        for rule in hits:
            out |= rule.words
        return out


def _blocks(text: str) -> Iterator[tuple[str, str]]:
    """Part a style sheet into heads and bodies; at-rules are left out with all they hold."""
    at = 0
    while (opens := text.find("{", at)) >= 0:
        head = text[at:opens]
        depth, end = 1, opens + 1
        while end < len(text) and depth:
            depth += {"{": 1, "}": -1}.get(text[end], 0)
            end += 1
        head = head.rpartition(";")[2].strip()
        if not head.startswith("@"):
            yield head, text[opens + 1 : end - 1 if not depth else end]
        at = end


def _fits(rule: _Rule, element: Element) -> bool:
    def has(step: tuple[bool, str, frozenset[str], frozenset[str]], one: Element) -> bool:
        _, tag, names, classes = step
        return tag in ("*", one.tag) and names <= {one.name} and classes <= set(one.classes)

    if not has(rule.steps[-1], element):
        return False
    above, is_child = element.parent, rule.steps[-1][0]
    for step in reversed(rule.steps[:-1]):
        while above is not None and not has(step, above) and not is_child:
            above = above.parent
        if above is None or not has(step, above):
            return False
        above, is_child = above.parent, step[0]
    return True


def declared(text: str) -> Words:
    """Read the inside of a ``style`` attribute: ``fill: red; stroke: none``."""
    out = {}
    for word in text.split(";"):
        key, colon, value = word.partition(":")
        if colon:
            out[key.strip().lower()] = value.replace("!important", "").strip()
    return out


def styled(element: Element, above: Words, sheets: StyleSheet) -> Words:
    """Give how an element looks: handed down, then its attributes, then style sheets, then its own ``style``."""
    out = {key: above[key] for key in HANDED_DOWN if key in above}
    said = {key: element.said[key] for key in (*HANDED_DOWN, *OWN) if key in element.said}
    for words in (said, sheets.of(element), declared(element.said.get("style", ""))):
        for key, value in words.items():
            if key == "transform" and value not in ("", "none"):
                raise Unusable(
                    "a transform said as a style", "say it as the attribute 'transform'"
                )
            if key not in HANDED_DOWN and key not in OWN:
                continue
            if value in ("inherit", "unset") and key in above:
                value = above[key]
            elif value in ("inherit", "initial", "unset"):
                value = START.get(key, "none")
            out[key] = value.strip()
    return out
