"""The schema for editors agrees with the reader, and marks slips where they stand."""

import json
import re
from pathlib import Path

import jsonschema
import pytest
import yaml

from animator.parts._contract import PARTS
from animator.scene import read_all
from animator.scene.schema import schema

ROOT = Path(__file__).parents[2]
DEMOS = sorted((ROOT / "scenes").glob("*.yaml"))


class Yaml12(yaml.SafeLoader):
    """What an editor set to YAML 1.2 sees: 'on' and 'no' are texts."""

    yaml_implicit_resolvers = {  # noqa: RUF012 - the base class has it so
        first: [(tag, pattern) for tag, pattern in each if not tag.endswith(":bool")]
        for first, each in yaml.SafeLoader.yaml_implicit_resolvers.items()
    }


Yaml12.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile("^(true|false)$"), list("tf"))


@pytest.fixture(scope="module")
def validator():
    made = schema()
    jsonschema.Draft202012Validator.check_schema(made)
    return jsonschema.Draft202012Validator(made)


def marks(validator, text):
    return {
        ".".join(map(str, each.absolute_path)): each.message
        for each in validator.iter_errors(yaml.load(text, Yaml12))
    }


@pytest.mark.slow
@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_demo_scene_passes(validator, path):
    assert marks(validator, path.read_text(encoding="utf-8")) == {}


@pytest.mark.slow
def test_every_kind_is_offered_with_its_fields(validator):
    definitions = validator.schema["$defs"]
    assert {
        name.removeprefix("kind ") for name in definitions if name.startswith("kind ")
    } == set(PARTS)
    assert set(definitions["kind cam"]["properties"]) >= {
        "base radius",
        "phase",
        "programme",
        "on",
        "material",
    }


def test_nothing_of_the_programs_own_is_offered():
    text = json.dumps(schema())
    for word in ('"name"', "top_height", "top height", "null}", "base_radius"):
        assert word not in text


WHEEL = "title: x\nparts:\n  shaft: {kind: shaft, at: [1, 2]}\n  handle: {kind: handle, on: shaft, speed: 30 rpm}\n  w: {kind: wheel, on: shaft, radius: 30}\n"


@pytest.mark.parametrize(
    ("right", "wrong", "path"),
    [
        ("radius: 30", "raduis: 30", "parts.w"),
        ("kind: wheel", "kind: whele", "parts.w.kind"),
        ("30 rpm", "30", "parts.handle.speed"),
        ("30 rpm", "30 N", "parts.handle.speed"),
        ("radius: 30}", "radius: 30, pins: {a: 20 over}}", "parts.w.pins.a"),
        ("radius: 30}", "radius: 30, material: bras 3}", "parts.w.material"),
        ("title: x", "titel: x", ""),
    ],
)
def test_slip_is_marked_at_its_key(validator, right, wrong, path):
    assert marks(validator, WHEEL) == {}
    assert list(marks(validator, WHEEL.replace(right, wrong))) == [path]


@pytest.mark.slow
def test_what_the_schema_refuses_the_reader_refuses_too(validator):
    from animator.problems import SceneError

    refused = 0
    for path in sorted((ROOT / "tests/wrong").glob("*.yaml")):
        try:
            is_marked = bool(marks(validator, path.read_text(encoding="utf-8")))
        except yaml.YAMLError:
            continue
        refused += is_marked
        with pytest.raises(SceneError):
            read_all(path)
    assert refused > 25


def test_likeness_and_absence_need_no_fields(validator):
    more = "  v: {like: w, radius: 20}\n  u: {like: w, mirrored about: shaft, change: {radius: 3}}\n  t: {kind: wheel, pins: none}\nunless stated: {wheel: {on: shaft, radius: 12}}\n"
    assert marks(validator, WHEEL + more) == {}
