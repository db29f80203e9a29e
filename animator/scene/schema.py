"""JSON Schema (draft 2020-12) of the scene language for editors, from the same models that read it.

It offers fields by kind and marks misspelt keys, kinds and units where they stand. It can't know a scene's names; and it
asks for no field, because ``like`` and ``unless stated`` may supply any.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from animator.parts._contract import PARTS
from animator.parts._fields import Words, keys_of, meaning_of, spelt
from animator.scene.checking import Top
from animator.scene.expanding import SHARED, TAKEN

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]


def schema() -> Schema:
    """Describe a whole scene."""
    definitions: dict[str, Any] = {}
    cases: list[Schema] = []
    for kind, cls in PARTS.items():
        one = _record(cls, definitions)
        one["properties"] |= {
            "kind": {"const": kind},
            "like": {"type": "string"},
            "change": {"type": "object"},
            "mirrored about": {"type": "string"},
        }
        one["description"] = _first_line(cls)
        definitions[f"kind {kind}"] = one
        cases.append(_if_kind(kind, {"$ref": f"#/$defs/kind {kind}"}))
    cases.append(_if_kind("group", _group()))
    definitions["part"] = {
        "type": "object",
        "properties": {"kind": {"enum": [*PARTS, "group"]}, "like": {"type": "string"}},
        "anyOf": [{"required": ["kind"]}, {"required": ["like"]}],
        "allOf": cases,
    }
    definitions["parts"] = {
        "type": "object",
        "propertyNames": {"not": {"enum": list(TAKEN)}},
        "additionalProperties": {"$ref": "#/$defs/part"},
    }
    top = _record(Top, definitions)
    definitions["variant"] = {
        "type": ["object", "null"],
        "properties": {key: top["properties"][key] for key in ("expect", "run", "shots")},
        "additionalProperties": True,
    }
    top["properties"] |= {
        "parts": {"$ref": "#/$defs/parts"},
        "unless stated": {
            "type": "object",
            "properties": {kind: {"$ref": f"#/$defs/kind {kind}"} for kind in PARTS},
            "additionalProperties": False,
        },
        "expect": {"type": "array", "items": {"type": "string"}},
        "variants": {"type": "object", "additionalProperties": {"$ref": "#/$defs/variant"}},
    }
    top["required"] = ["title", "parts"]
    for kind, cls in PARTS.items():
        one = definitions[f"kind {kind}"]
        _let_go(one)
        for key, field in keys_of(cls).items():
            if meaning := meaning_of(cls, field):
                one["properties"][key] = {**one["properties"][key], "description": meaning}
    return {
        "$schema": DRAFT,
        "title": "A scene of a moving figure",
        **top,
        "$defs": dict(sorted(definitions.items())),
    }


def _record(cls: type[Words], definitions: dict[str, Any]) -> Schema:
    """Describe one record; what it is made of goes into the definitions, and nothing is required."""
    one: Schema = cls.model_json_schema(by_alias=True, ref_template="#/$defs/{model}")
    for name, inner in one.pop("$defs", {}).items():
        inner.pop("required", None)
        for whole in (inner, inner.get("else", {})):
            if "properties" in whole:
                whole["properties"] = said(whole["properties"])
        definitions[name] = _tidied(inner)
    one.pop("required", None)
    one.pop("title", None)
    one["properties"] = {
        key: _described(_tidied(each)) for key, each in said(one["properties"]).items()
    }
    one["additionalProperties"] = False
    return one


def said(properties: Mapping[str, Any]) -> Schema:
    """Leave out the fields that only the program fills in."""
    return {
        key: each
        for key, each in properties.items()
        if each.get("not") != {} and {"not": {}} not in each.get("anyOf", ())
    }


def _described(field: Schema) -> Schema:
    """Leave out what only the program reads: titles, and defaults in its own units."""
    return {key: each for key, each in field.items() if key not in ("title", "default")}


def _let_go(one: Schema) -> None:
    """Let every field of a kind also be taken away; as a case, so that other slips are still told at the field itself."""
    for key, each in one["properties"].items():
        if "const" not in each:
            one["properties"][key] = {"if": {"const": "none"}, "else": each}


def _tidied(node: Any) -> Any:
    """Leave out the choices that only the program has: a field that isn't there is left out, never null."""
    if isinstance(node, list):
        return [_tidied(each) for each in node]
    if not isinstance(node, dict):
        return node
    out = {key: _tidied(each) for key, each in node.items()}
    ways = [each for each in out.get("anyOf", ()) if each != {"type": "null"}]
    if len(ways) == 1 and isinstance(ways[0], dict):
        del out["anyOf"]
        return {**ways[0], **out}
    if ways:
        out["anyOf"] = ways
    return out


def _if_kind(kind: str, then: Mapping[str, Any]) -> Schema:
    return {
        "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
        "then": dict(then),
    }


def _group() -> Schema:
    return {
        "properties": {
            "kind": {"const": "group"},
            "parts": {"$ref": "#/$defs/parts"},
            "copies": {"type": "array", "items": {"type": "string"}},
            "vary": {"type": "object"},
            "note": {"type": "string"},
            "like": {"type": "string"},
            "change": {"type": "object"},
            "mirrored about": {"type": "string"},
            **{key: {} for key in SHARED},
        },
        "additionalProperties": False,
    }


def _first_line(cls: type[Words]) -> str:
    return (cls.__doc__ or spelt(cls.__name__)).strip().partition("\n")[0]
