"""What one kind of part can say, as text for a terminal; from the same models that read a scene."""

from __future__ import annotations

import functools
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from animator.parts._contract import PARTS, Part
from animator.parts._fields import Amount, Words, spelt
from animator.scene.schema import schema
from animator.units import show

MOST_WORDS = 12  # of a choice; longer ones are told by their first few


def tell_kind(kind: str, width: int = 96) -> Iterator[str]:
    """Give the lines that explain a kind: what it is, its own words, and those that every part has."""
    definitions: Mapping[str, Any] = _definitions()
    cls, properties = PARTS[kind], definitions[f"kind {kind}"]["properties"]
    yield kind
    paragraph = " ".join((cls.__doc__ or "").replace("``", "").split())
    yield from textwrap.wrap(paragraph, width, initial_indent="  ", subsequent_indent="  ")
    if cls.also_called:
        yield from textwrap.wrap(
            f"Other words for it: {', '.join(cls.also_called)}.",
            width,
            initial_indent="  ",
            subsequent_indent="  ",
        )
    yield ""
    own = [
        name
        for name in cls.model_fields
        if name not in Part.model_fields and spelt(name) in properties
    ]
    column = max((len(_key(cls, name)) for name in own), default=0) + 4
    for name in own:
        key = _key(cls, name)
        star = "*" if cls.model_fields[name].is_required() else ""
        text = _description(properties[key], definitions) + _default(cls, name)
        yield from textwrap.wrap(
            text,
            width,
            initial_indent=f"  {key}{star}".ljust(column) + " ",
            subsequent_indent=" " * (column + 1),
        )
    shared = [spelt(name) for name in Part.model_fields if name not in ("kind", "name")]
    yield ""
    if any(cls.model_fields[name].is_required() for name in own):
        yield "  * needed"
    yield from textwrap.wrap(
        f"Every part may also say {', '.join(shared)}.",
        width,
        initial_indent="  ",
        subsequent_indent="  ",
    )


@functools.cache
def _definitions() -> Mapping[str, Any]:
    found: Mapping[str, Any] = schema()["$defs"]
    return found


def _key(cls: type[Words], name: str) -> str:
    return cls.model_fields[name].alias or spelt(name)


def _default(cls: type[Words], name: str) -> str:
    info = cls.model_fields[name]
    amount = next((mark for mark in info.metadata if isinstance(mark, Amount)), None)
    if info.is_required() or amount is None or not isinstance(info.default, float):
        return ""
    sort = amount.sorts[0]
    unit = "mm" if sort == "length" else None
    return f"; left out, {show(info.default, sort, unit)}"


def _description(node: Mapping[str, Any], definitions: Mapping[str, Any]) -> str:
    """Say in words what may stand there."""
    if (
        "if" in node and "else" in node
    ):  # 'none' takes a thing away, and short forms stand for one field
        node = node["else"]
    if "$ref" in node:
        name = node["$ref"].rpartition("/")[2]
        inner = definitions[name]
        inner = inner.get("else", inner)
        return f"{{{', '.join(inner.get('properties', {}))}}}"
    if "enum" in node:
        return _choice(node["enum"])
    for way in node.get("anyOf", ()):
        if "enum" in way:
            return _choice(way["enum"]) + (
                " or degrees" if len(node["anyOf"]) > 1 and "description" not in node else ""
            )
    if node.get("type") == "array" and "$ref" in str(node.get("items", "")):
        return f"a list of {_description(node['items'], definitions)}"
    text = str(
        node.get(
            "description",
            {
                "boolean": "yes or no",
                "object": "names and values in braces",
                "array": "a list",
            }.get(str(node.get("type")), "a text"),
        )
    )
    examples = node.get("examples", ())
    first = examples[0] if examples else ""
    if isinstance(first, list):
        first = f"[{', '.join(map(str, first))}]"
    return text + (f", for example {first}" if first and str(first) not in text else "")


def _choice(words: list[str]) -> str:
    shown = [str(word) for word in words[:MOST_WORDS]]
    return f"one of {', '.join(shown)}" + (" ..." if len(words) > MOST_WORDS else "")
