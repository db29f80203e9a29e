"""The example of every kind, as ``animator parts`` shows it, is one that the kind itself reads."""

import pytest

from animator.parts._contract import PARTS
from animator.scene.reading import read_text


@pytest.mark.parametrize("kind", PARTS)
def test_the_example_of_a_kind_reads(kind):
    line = PARTS[kind].as_written
    assert "\n" not in line
    tree = read_text(line, "example.yaml")
    (name,) = tree
    if "artwork" not in line:  # which names a file beside the scene
        part = PARTS[kind].model_validate(tree[name])
        assert part.kind == kind
    assert tree[name]["kind"] == kind
