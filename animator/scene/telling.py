"""What pydantic found wrong -> problems with a place, in a maker's words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from animator.parts._contract import Part
from animator.parts._fields import Reader, Words, keys_of
from animator.places import Map, Place, Seq, Text
from animator.problems import Problem
from animator.registry import nearest
from animator.units import Wrong, parse

THE_SCENE = "the scene"
PLACE_WORDS = (
    "at",
    "on",
    "from",
    "to",
    "around",
    "follows",
    "through",
    "by way of",
    "meshes with",
)
"""Words of place; where one is missing and another stands there, the missing one was meant."""
SAME_THING: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("weight", "weighs", "grams"), ("mass",)),
    **dict.fromkeys(("colour", "color", "ink", "painted"), ("paint",)),
    **dict.fromkeys(("stuff", "made from", "made of", "material"), ("material", "made of")),
    **dict.fromkeys(("picture", "drawing", "image", "svg", "shapes", "look"), ("artwork",)),
    **dict.fromkeys(("position", "place", "where", "centre", "pivot"), ("at",)),
    **dict.fromkeys(("rpm", "speed rpm"), ("speed",)),
    **dict.fromkeys(("shaft", "axle", "part", "fixed to"), ("on", "follows")),
    **dict.fromkeys(("cam",), ("follows",)),
    **dict.fromkeys(("between", "pulleys", "sprockets", "wheels"), ("around",)),
    **dict.fromkeys(("torque",), ("strength", "stall torque")),
    **dict.fromkeys(("force", "push"), ("strength", "preload")),
    **dict.fromkeys(("stiffness", "spring rate"), ("rate",)),
    **dict.fromkeys(("direction",), ("slides", "turns")),
    **dict.fromkeys(("stroke",), ("throw", "travel")),
    **dict.fromkeys(("eccentricity", "offset"), ("throw",)),
    **dict.fromkeys(("degrees", "during", "for"), ("over",)),
    **dict.fromkeys(("thickness", "thick"), ("material",)),
    **dict.fromkeys(("start angle", "initial angle"), ("starts at", "angle", "phase")),
    **dict.fromkeys(("comment", "remark", "description"), ("note", "about")),
    **dict.fromkeys(("centre of gravity", "center of mass"), ("centre of mass",)),
    "start": ("from",),
    "end": ("to",),
    "name": ("title",),
}
"""Words of the trade for keys that are called otherwise here: the first of those that the record has is meant."""
MANY_HAVE = ("at", "friction", "kind", "length", "lift", "paint", "radius")
"""Keys of inner records that don't tell which record was meant."""
WANTED: Mapping[str, tuple[str, str]] = {
    "model_type": ("several things in braces", "'{key}: {{...}}'"),
    "model_attributes_type": ("several things in braces", "'{key}: {{...}}'"),
    "dict_type": ("names and values in braces", "'{key}: {{...}}'"),
    "mapping_type": ("names and values in braces", "'{key}: {{...}}'"),
    "tuple_type": ("a list in square brackets", "'{key}: [...]'"),
    "list_type": ("a list in square brackets", "'{key}: [...]'"),
}

SIZES = ("radius", "diameter")
LISTS = ("tuple_type", "list_type")


@cache
def inner_model(model: type[BaseModel] | None, key: str) -> type[Words] | None:
    """Give the record that a key's value (or each of its items) is made of, if it is one."""
    field = keys_of(model).get(key) if model else None
    if model is None or field is None:
        return None
    return next(_records_in(model.model_fields[field].annotation), None)


def _records_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, Words):
        yield annotation
    for inner in get_args(annotation):
        yield from _records_in(inner)


def holders(model: type[BaseModel], path: Sequence[Any]) -> list[type[BaseModel] | None]:
    """Give, for each step of a path, the record in which it is a key (None where there is no record), and last what lies at its end."""
    current: type[BaseModel] | None = model
    is_name = False  # the step names one of several records: a shot, an arm
    found = []
    for step in path:
        found.append(current)
        if isinstance(step, int):
            continue
        if is_name:
            is_name = False
            continue
        field = keys_of(current).get(step) if current else None
        is_name = (
            current is not None
            and field is not None
            and get_origin(current.model_fields[field].annotation) is Mapping
        )
        current = inner_model(current, step)
    return [*found, current]


def tell(
    error: ValidationError,
    model: type[BaseModel],
    tree: Map,
    place: Place,
    who: str,
    *,
    skip_missing: bool = False,
) -> list[Problem]:
    """Turn every complaint about one record into a problem.

    Parameters
    ----------
    error
        What pydantic said.
    model, tree
        The record that was tried, and the text it was read from.
    place
        Where to point if the record itself is meant (its name).
    who
        What the record is called in the sentence.
    skip_missing
        True where something that failed before may be why a field is missing.
    """
    errors = error.errors()
    meant = _meant_keys(errors, model)
    said: dict[Any, Problem] = {}
    for each in errors:
        loc = each["loc"]
        if each["type"] == "missing" and (
            skip_missing or loc in meant.values() or loc[:-1] in meant
        ):
            continue  # one slip, one message: the key is there, but misspelt, or what stands in its place comes later
        problem = _tell_one(each, model, tree, place, who, meant)
        is_later = problem.what.startswith("not yet: ")
        said.setdefault((loc[:-1], problem.what) if is_later else (loc, problem.what), problem)
    return list(said.values())


def _meant_keys(
    errors: Sequence[Any], model: type[BaseModel]
) -> dict[tuple[Any, ...], tuple[Any, ...]]:
    """Match unknown keys with missing ones: path of the one -> path of the other; a key that comes later -> the path of its record."""
    meant: dict[tuple[Any, ...], tuple[Any, ...]] = {}
    missing = [each["loc"] for each in errors if each["type"] == "missing"]
    for each in errors:
        if each["type"] != "extra_forbidden":
            continue
        path, key = each["loc"][:-1], str(each["loc"][-1])
        there = [loc[-1] for loc in missing if loc[:-1] == path]
        holder = holders(model, path)[-1]
        if key in getattr(holder, "later", {}):
            meant[path] = ()
        mend = nearest(_plain(key), there) or _same_thing(_plain(key), holder)
        mend = mend or _outer_key(_plain(key), holder)
        if mend is None and key in PLACE_WORDS:
            mend = next((word for word in there if word in PLACE_WORDS), None)
        if mend is not None:
            meant[each["loc"]] = (*path, mend)
    return meant


def _same_thing(plain: str, cls: type[BaseModel] | None) -> str | None:
    """Find the key that another word of the trade stands for; a radius may be a diameter here, and the other way round."""
    words = keys_of(cls) if cls else {}
    meant = next((word for word in SAME_THING.get(plain, ()) if word in words), None)
    return meant or next(
        (
            word
            for each in SIZES
            if plain.endswith(each)
            for word in words
            if word.endswith(_turned(plain))
        ),
        None,
    )


def own_keys(cls: type[BaseModel]) -> list[str]:
    """Give what a record can say besides what every part can."""
    keys = keys_of(cls)
    return [key for key in keys if not issubclass(cls, Part) or key not in keys_of(Part)]


def _outer_key(plain: str, cls: type[BaseModel] | None) -> str | None:
    """Give the key in whose record, or in a record of that, an unknown key belongs: 'shapes' for 'disc'."""
    if cls is None or plain in MANY_HAVE or nearest(plain, own_keys(cls)):
        return None
    for key in keys_of(cls):
        inner = inner_model(cls, key)
        if inner is not None and (plain in keys_of(inner) or _outer_key(plain, inner)):
            return key
    return None


def _put_inside(cls: type[BaseModel], outer: str, key: str, value: Any) -> str:
    """Write an entry inside the record it belongs to: 'shapes: [{disc: 40}]'."""
    inner = inner_model(cls, outer)
    said = (
        f"[{', '.join(value)}]"
        if isinstance(value, Seq) and all(isinstance(each, str) for each in value)
        else value
    )
    if inner is None or not isinstance(said, str):
        return f"'{outer}'"
    deeper = "" if key in keys_of(inner) else _outer_key(key, inner) or ""
    entry = _put_inside(inner, deeper, key, value).strip("'") if deeper else f"{key}: {said}"
    is_list = "tuple" in str(cls.model_fields[keys_of(cls)[outer]].annotation)
    return f"'{outer}: [{{{entry}}}]'" if is_list else f"'{outer}: {{{entry}}}'"


def _turned(key: str) -> str:
    """Call a radius a diameter and a diameter a radius."""
    head, _, last = key.rpartition(" ")
    return f"{head} {'diameter' if last == 'radius' else 'radius'}".strip()


def _value_for(mend: str, key: str, value: Any, cls: type[BaseModel] | None) -> str:
    """Write the maker's own value as it would stand after another key; '' where that isn't told in a line."""
    if not isinstance(value, Text) or not value:
        return ""
    for was, turned, factor in (("radius", "diameter", 2.0), ("diameter", "radius", 0.5)):
        if key.endswith(was) and mend.endswith(turned):
            try:
                return f"{parse(value, 'length') * factor:.6g}"
            except Wrong:
                return ""
    if key.startswith("thick"):
        return f"birch ply {value}"
    field = keys_of(cls).get(mend) if cls else None
    reader = _reader_in(cls.model_fields[field]) if cls and field else None
    try:
        if reader is not None:
            reader.read(value)
    except Wrong as wrong:  # told in one go: what is wrong with the value as well
        found = re.fullmatch(r"'(.+)'", wrong.write)
        return found[1] if found else ""
    return str(value)


def _reader_in(hint: Any) -> Reader | None:
    """Find the reader of a field or of its annotation."""
    marks = (*getattr(hint, "metadata", ()), *getattr(hint, "__metadata__", ()))
    found = next((mark for mark in marks if isinstance(mark, Reader)), None)
    inner = getattr(hint, "annotation", None)
    return found or next(
        filter(None, map(_reader_in, (inner, *get_args(hint)) if inner else get_args(hint))),
        None,
    )


def _called(owner: str) -> str:
    return owner if owner == THE_SCENE else f"'{owner}'"


def _plain(key: str) -> str:
    """Write a key as the language does: small letters, spaces."""
    return " ".join(key.lower().replace("_", " ").replace("-", " ").split())


def _tell_one(
    error: Any,
    model: type[BaseModel],
    tree: Map,
    place: Place,
    who: str,
    meant: Mapping[tuple[Any, ...], tuple[Any, ...]],
) -> Problem:
    node: Any = tree
    owner, owners = who, [who]
    path, kind = error["loc"], error["type"]
    cls = holders(model, path)[len(path) - 1] if path else model
    wrong = error.get("ctx", {}).get("error")
    value: Any = None  # of a key that doesn't exist
    beside: Map | None = None  # what stands with it
    is_unknown = kind == "extra_forbidden" or (
        isinstance(wrong, Wrong) and wrong.code == "unknown"
    )
    for depth, step in enumerate(path):
        is_last = depth == len(path) - 1
        if isinstance(node, Map) and step in node:
            if is_last and is_unknown:
                place, value, beside = node.key_places[step], node[step], node
                break
            inner = node[step]
            has_place = isinstance(inner, Seq) or (isinstance(inner, Text) and inner)
            place = inner.place if has_place else node.key_places[step]
            node, owner = inner, str(step)
        elif isinstance(node, Seq) and isinstance(step, int) and step < len(node):
            node = node[step]
            place = node.place
        elif is_last:
            break
        else:
            continue
        if not is_last:
            owners.append(owner)
    last = str(path[-1]) if path else ""
    if is_unknown:
        return _unknown_key(
            last, cls, place, owners[-1], (meant.get(path) or ("",))[-1], value, beside or Map()
        )
    if kind == "missing":
        return _missing_key(last, cls, place, owner)
    if isinstance(node, Text) and not node:
        return Problem(
            place, f"'{owner}' is left empty", f"a value after '{owner}:', or take the line out"
        )
    if isinstance(wrong, Wrong):
        return _wrong_value(wrong, node, place, owner)
    if kind in WANTED:
        what, write = WANTED[kind]
        field = keys_of(cls).get(last) if cls else None
        sample = _listed(node) if kind in LISTS else ""
        sample = sample or _opened(node, inner_model(cls, last))
        sample = sample or (_sample(cls, field) if cls and field else "")
        if sample and not sample.startswith(write.partition(": ")[2][0]):
            sample = ""  # a sample of the short form
        write = f"'{owner}: {sample}'" if sample else write.format(key=owner)
        return Problem(place, f"'{owner}' wants {what}", write)
    return Problem(place, f"'{owner}': {error['msg']}")


def _opened(node: Any, inner: type[Words] | None) -> str:
    """Make a record of what was meant by one word: '{ball: yes}' of 'ball', '{at: 60 above camshaft, ...}' of a place."""
    words = keys_of(inner) if inner else {}
    if inner is None or not isinstance(node, Text):
        return ""
    if node in words and inner.model_fields[words[node]].default is False:
        return f"{{{node}: yes}}"
    if "at" in words and re.search(r"\d.* (above|below|left|right)\b", node):
        return re.sub(r"\bat: [^,}]+", f"at: {node}", inner.sample_text)
    return ""


def _listed(node: Any) -> str:
    """Make a list of 'small pulley and big pulley'."""
    words = re.split(r"\s*(?:,|\+|&|\band\b|\bto\b)\s*", node) if isinstance(node, Text) else []
    return f"[{', '.join(words)}]" if len(words) > 1 and all(words) else ""


def _unknown_key(
    key: str,
    cls: type[BaseModel] | None,
    place: Place,
    owner: str,
    meant: str,
    value: Any,
    beside: Map,
) -> Problem:
    later = getattr(cls, "later", {})
    if key in later:
        sentence, _, instead = later[key].partition("; ")
        return Problem(place, f"not yet: {sentence}", more=instead)
    words = keys_of(cls) if cls else {}
    plain = _plain(key)
    what = f"{_called(owner)} has no '{key}'"
    if isinstance(value, Text) and value in words and cls is not None:  # 'shape: eccentric'
        return Problem(place, what, f"'{value}: {_sample(cls, words[value])}'")
    if meant in beside and plain.startswith("thick") and isinstance(value, Text):
        stuff = re.sub(r"( [0-9.]+.*)?$", "", str(beside[meant]))
        return Problem(place, what, f"'{meant}: {stuff} {value}'")
    if meant and cls is not None and meant == _outer_key(plain, cls):
        if meant in beside:
            inside = f"'{plain}: {value}'" if isinstance(value, Text) else f"'{plain}'"
            return Problem(place, what, f"{inside} inside the braces of '{meant}'")
        return Problem(place, what, _put_inside(cls, meant, plain, value))
    is_turned = meant != plain and meant.endswith(_turned(plain)) and plain.endswith(SIZES)
    if meant and (is_turned or nearest(plain, [meant]) is None) and meant not in PLACE_WORDS:
        # another word, not a misspelling: the whole entry is told, with the maker's own value
        said = _value_for(meant, plain, value, cls)
        if not isinstance(value, Text) or inner_model(cls, meant) is not None:
            said = _sample(cls, words[meant]) if cls else ""
        return Problem(place, what, f"'{meant}: {said}'" if said else f"'{meant}'")
    longer = (
        word for word in words if word.startswith(f"{plain} ") or word.endswith(f" {plain}")
    )
    mend = meant or nearest(plain, words) or next(longer, None)  # 'drag' for 'drag torque'
    shared = [word for word in keys_of(Part) if word != "kind"]
    own = [word for word in words if word not in keys_of(Part)]
    every = f"; every part also: {', '.join(shared)}" if len(own) < len(words) else ""
    return Problem(
        place,
        what,
        f"'{mend}'" if mend else f"one of: {', '.join(own)}{every}" if own else "",
    )


def _missing_key(key: str, cls: type[BaseModel] | None, place: Place, owner: str) -> Problem:
    field = keys_of(cls).get(key) if cls else None
    sample = _sample(cls, field) if cls and field else ""
    return Problem(
        place,
        f"{_called(owner)} doesn't say '{key}'",
        f"for example '{key}: {sample}'" if sample else f"'{key}: ...'",
    )


def _sample(cls: type[BaseModel], name: str) -> str:
    """Make up a value that could stand in a field."""
    if issubclass(cls, Words) and name in cls.examples:
        return str(cls.examples[name])
    field = cls.model_fields[name]
    said = next((mark.sample() for mark in field.metadata if isinstance(mark, Reader)), "")
    return said or _sample_of(field.annotation)


def _sample_of(annotation: Any) -> str:
    if isinstance(annotation, type) and issubclass(annotation, Words):
        return annotation.sample_text
    inner = next(
        (
            mark.sample()
            for mark in getattr(annotation, "__metadata__", ())
            if isinstance(mark, Reader)
        ),
        "",
    )
    inner = inner or next(filter(None, (_sample_of(each) for each in get_args(annotation))), "")
    origin = get_origin(annotation)
    if inner and origin is Mapping:
        return f"{{hand: {inner}}}"
    return f"[{inner}]" if inner and origin is tuple else inner


def _wrong_value(wrong: Wrong, node: Any, place: Place, owner: str) -> Problem:
    if isinstance(node, Map) and wrong.key in node:
        place = node.key_places[wrong.key]
    elif isinstance(node, Text) and wrong.length and wrong.start + wrong.length <= place.length:
        place = replace(place, column=place.column + wrong.start, length=wrong.length)
    what = (
        wrong.what
        if wrong.code == "later"
        else f"'{owner}' {wrong.what}"
        if wrong.what.startswith(("can't be ", "says ", "neither "))
        else f"'{owner}': {wrong.what}"
    )
    return Problem(place, what, wrong.write, wrong.more)
