"""What one kind of part can say, as text for a terminal; from the same models that read a scene."""

from __future__ import annotations

import functools
import sys
import textwrap
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, get_origin

from animator.parts._contract import PARTS, Part
from animator.parts._fields import Amount, Words, keys_of, meaning_of, spelt
from animator.scene.schema import said, schema
from animator.scene.telling import inner_model
from animator.units import show

MOST_WORDS = 12  # of a choice; longer ones are told by their first few


def tell_kind(kind: str, width: int = 96) -> Iterator[str]:
    """Give the lines that explain a kind: what it is, its own words, and those that every part has."""
    definitions: Mapping[str, Any] = _definitions()
    cls, properties = PARTS[kind], definitions[f"kind {kind}"]["properties"]
    yield kind
    yield from textwrap.wrap(
        first_line(cls), width, initial_indent="  ", subsequent_indent="  "
    )
    paragraph = " ".join((cls.__doc__ or "").replace("``", "").split())
    yield from textwrap.wrap(paragraph, width, initial_indent="  ", subsequent_indent="  ")
    yield ""
    yield f"    {cls.as_written}"
    yield ""
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
        for name, info in cls.model_fields.items()
        if spelt(name) in properties or info.alias in properties
        if name not in Part.model_fields or (info.is_required() and name != "kind")
    ]
    yield from _fields(cls, own, properties, width)
    shared = [spelt(name) for name in Part.model_fields if name not in ("kind", "name", *own)]
    yield ""
    if any(cls.model_fields[name].is_required() for name in own):
        yield "  * needed"
    if cls.one_of:
        yield f"  Exactly one of {', '.join(map(spelt, cls.one_of))} is said."
    yield from textwrap.wrap(
        f"Every part may also say {', '.join(shared)}: 'animator parts shared' tells about them.",
        width,
        initial_indent="  ",
        subsequent_indent="  ",
    )


def tell_record(cls: type[Words], width: int = 96, only: Collection[str] = ()) -> Iterator[str]:
    """Give one line for each field of a record, or for ``only`` some of them."""
    made = cls.model_json_schema(by_alias=True, ref_template="#/$defs/{model}")
    made = made.get("else", made)
    names = [name for name in keys_of(cls).values() if not only or name in only]
    yield from _fields(cls, names, made["properties"], width, made.get("$defs", {}))


def _fields(
    cls: type[Words],
    names: Sequence[str],
    properties: Mapping[str, Any],
    width: int,
    definitions: dict[str, Any] | None = None,
) -> Iterator[str]:
    column = max((len(_key(cls, name)) for name in names), default=0) + 4
    for name in names:
        key = _key(cls, name)
        star = "*" if cls.model_fields[name].is_required() else ""
        text = _description(properties[key], _definitions() | (definitions or {}))
        sample = cls.examples.get(name) or _sample_of(cls, name)
        if name in cls.examples and text.startswith(("a list", "a text", "names and values")):
            text = f"for example {sample}"
        elif sample and sample not in text:
            text += f", for example {sample}"
        said = [part for part in (meaning_of(cls, name), text) if part]
        yield from textwrap.wrap(
            "; ".join(said) + _default(cls, name),
            width,
            initial_indent=f"  {key}{star}".ljust(column) + " ",
            subsequent_indent=" " * (column + 1),
        )


def first_line(cls: type[Words]) -> str:
    """Say in one sentence what a kind is: the first line of its file."""
    return (sys.modules[cls.__module__].__doc__ or "").strip().partition("\n")[0]


@functools.cache
def _definitions() -> dict[str, Any]:
    found: dict[str, Any] = schema()["$defs"]
    return found


def _sample_of(cls: type[Words], name: str) -> str:
    """Give what a record could say, where the field is one."""
    key = _key(cls, name)
    inner = inner_model(cls, key)
    is_list = get_origin(cls.model_fields[name].annotation) in (tuple, Mapping)
    return "" if inner is None or is_list else inner.sample_text


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
    ways = [way for way in node.get("anyOf", ()) if way != {"type": "null"}]
    if len(ways) == 1:
        node = {**ways[0], **{key: each for key, each in node.items() if key != "anyOf"}}
    if "$ref" in node:
        name = node["$ref"].rpartition("/")[2]
        inner = definitions[name]
        inner = inner.get("else", inner)
        return f"{{{', '.join(said(inner.get('properties', {})))}}}"
    if "enum" in node:
        return _choice(node["enum"])
    for way in node.get("anyOf", ()):
        if "enum" in way:
            others = [each for each in node["anyOf"] if "enum" not in each]
            is_angle = any(each.get("type") == "number" for each in others)
            return _choice(way["enum"]) + (
                " or degrees" if is_angle else ' or "#c0392b" in quotes' if others else ""
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


def _choice(words: list[Any]) -> str:
    words = [word for word in words if not isinstance(word, bool)]
    shown = [str(word) for word in words[:MOST_WORDS]]
    return f"one of {', '.join(shown)}" + (" ..." if len(words) > MOST_WORDS else "")
