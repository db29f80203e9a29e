"""Every kind has a small scene named after it, which says in a sentence what it teaches and holds what it claims."""

from pathlib import Path

import pytest

import animator
from animator.findings.examining import check_scenes
from animator.parts._contract import PARTS
from animator.world.assembling import assemble

KINDS = Path(__file__).resolve().parent.parent / "scenes" / "kinds"
LARGEST_RESIDUAL = 0.5  # % of the work put in


def scene_of(kind: str) -> Path:
    return KINDS / f"{kind.replace(' ', '-')}.yaml"


def test_no_scene_there_is_of_no_kind():
    assert {path.stem.replace("-", " ") for path in KINDS.glob("*.yaml")} <= set(PARTS)


@pytest.mark.parametrize("kind", PARTS)
def test_kind_has_a_scene_that_teaches_and_claims(kind):
    path = scene_of(kind)
    assert path.exists()
    scene = animator.read(path)
    assert any(part.kind == kind for part in scene.parts.values())
    assert scene.about.endswith((".", "!", "?"))
    assert scene.claims
    assemble(scene)


@pytest.mark.slow
@pytest.mark.parametrize("kind", PARTS)
def test_scene_of_a_kind_holds_its_claims_and_its_books(kind):
    scene = animator.read(scene_of(kind))
    report = check_scenes([scene], with_mends=False)[0]
    missed = [claim for claim in report.expectations if not claim.met]
    assert not missed
    motion = animator.run(scene)
    assert motion.trust.is_ok, motion.trust.sentence
    assert abs(motion.trust.residual_percent) <= LARGEST_RESIDUAL
