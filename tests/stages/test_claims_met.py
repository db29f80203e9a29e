"""Expectations held against recorded motion: met or not, at which end, and what was measured."""

from __future__ import annotations

import functools
import math
from dataclasses import replace

import numpy as np
import pytest

from animator.findings.claims import Verdict, judge, worst
from animator.findings.examining import find
from animator.motion.motion import Motion
from animator.scene import read as read_text
from animator.scene.claims import Claim
from animator.scene.model import Scene
from animator.world.assembling import assemble
from tests.pieces import run_demo

PIECE = """
title: Trial
parts:
  shaft: {kind: shaft, at: [100, 60], material: steel 5, bearing: {ball: yes}}
  handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm}
  cam: {kind: cam, on: shaft, base radius: 20, programme: [{rise: 10, over: 90, law: cycloidal}, {dwell: 90}, {fall: 10, over: 90, law: cycloidal}, {dwell: rest}]}
  lifter: {kind: follower, follows: cam, tip: {roller diameter: 10}, length: 60, mass: 40 g, guide: {at: 60 above shaft, ideal: yes}}
  bird: {kind: figure, on: lifter.top, mass: 10 g, artwork: {shapes: [{disc: 20}]}}
run: 1 turns
"""


def scene_with(*claims: str) -> Scene:
    lines = "".join(f"  - {claim}\n" for claim in claims)
    return assemble(read_text("trial.yaml", text=f"{PIECE}expect:\n{lines}"))


@functools.cache
def motion() -> Motion:
    import animator

    return animator.run(scene_with("no jam"))


def held(text: str, run: Motion | None = None) -> Verdict:
    run = run or motion()
    claim: Claim = scene_with(text).claims[0]
    return judge(claim, run, find(run))


# ---------------------------------------------------------------- one number for the span
@pytest.mark.parametrize(
    ("text", "is_met"),
    [
        ("bird.lift >= 9.9 mm", True),
        ("bird.lift >= 10.1 mm", False),
        ("bird.lift = 10 mm within 0.1 mm", True),
        ("bird.lift = 10.5 mm within 0.1 mm", False),
        ("bird.lift between 9 mm and 11 mm", True),
        ("bird.lift between 11 mm and 12 mm", False),
        ("shaft.turns = 1 turns within 2 deg", True),
        ("lifter.hits = 0", True),
        ("lifter.hits = 1", False),
        ("drive.force <= 10 N", True),
        ("bird.lift <= lifter.lift", True),
        ("bird.lift > lifter.gap", True),
        ("bird.lift < lifter.gap", False),
    ],
)
def test_measures(text: str, is_met: bool) -> None:
    assert held(text).is_met is is_met


def test_the_largest_force_is_meant_not_the_force_at_every_moment() -> None:
    largest = held("drive.force >= 0 N").measured
    assert largest is not None
    assert largest > 0.05
    assert held(f"drive.force between {0.9 * largest:.3f} N and {1.1 * largest:.3f} N").is_met


def test_what_was_measured_is_told_in_a_makers_unit() -> None:
    verdict = held("bird.lift >= 20 mm")
    assert verdict.measured == pytest.approx(10, abs=0.05)
    assert verdict.unit == "mm"
    assert verdict.margin == pytest.approx(-10, abs=0.05)


# ---------------------------------------------------------------- moments and spans
def low() -> float:
    return float(motion().point("bird", "foot")[:, 1].min())


@pytest.mark.parametrize(
    ("words", "is_met"),
    [
        (">= {high} at 135", True),
        (">= {high} from 95 to 175", True),
        (">= {high} from 95 to 260", False),
        (">= {high}", False),
        (">= {high} at least once", True),
        (">= {higher} at least once", False),
        ("<= {low} at 0.05 s", True),
        (">= {high} at least once from 275 to 355", False),
    ],
)
def test_a_height_holds_at_every_moment_of_its_span(words: str, is_met: bool) -> None:
    # it is up from 90 to 180 degrees of the handle
    heights = {
        "high": f"{low() + 9.9:.2f} mm",
        "higher": f"{low() + 10.2:.2f} mm",
        "low": f"{low() + 0.1:.2f} mm",
    }
    assert held(f"bird.height {words.format(**heights)}").is_met is is_met


def test_a_lift_within_a_span_is_the_lift_of_that_span() -> None:
    assert held("bird.lift <= 0.1 mm from 95 to 175").is_met
    assert not held("bird.lift <= 0.1 mm from 95 to 260").is_met


def test_a_moment_that_never_comes_is_not_met() -> None:
    verdict = held("bird.height >= 0 mm at 20 turns")
    assert not verdict.is_met
    assert verdict.measured is None


# ---------------------------------------------------------------- findings and states
@functools.cache
def stuck() -> Motion:
    return run_demo("mole")


def of_mole(text: str) -> bool:
    from animator.scene.checking import Names
    from animator.scene.claims import parse_claim

    scene = stuck().scene
    word = scene.tree["title"]
    claim_text = type(word)(text)
    claim_text.place = word.place
    claim = parse_claim(claim_text, Names(scene.parts, {}))
    assert isinstance(claim, Claim)
    return judge(claim, stuck(), find(stuck())).is_met


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "is_met"),
    [
        ("no jam", False),
        ("jam", True),
        ("jam of lifter", True),
        ("jam of mole", True),  # it stands on the lifter and shares its lot
        ("jam of hill cam", False),
        ("no jam of hill cam", True),
        ("no stall", True),
        ("stall", False),
        ("no jam from 0 to 20", True),
        ("camshaft is stopped at least once", True),
        ("camshaft is stopped", False),
        ("camshaft is running", False),
        ("camshaft is running from 5 to 30", True),
        ("drive is stopped at least once", True),
    ],
)
def test_findings_and_states_of_a_jam(text: str, is_met: bool) -> None:
    assert of_mole(text) is is_met


def test_slack_is_a_state_of_what_pulls() -> None:
    from animator.motion.motion import Channel

    course = np.zeros(len(motion().times))
    loose = replace(motion(), channels={"lifter.slack": Channel("length", course)})
    assert held("lifter is taut", loose).is_met
    assert not held("lifter is slack at least once", loose).is_met
    course[-100:] = 1.0
    assert not held("lifter is taut", loose).is_met
    assert held("lifter is slack at least once", loose).is_met
    assert not held("lifter is taut").is_met  # nothing recorded: nothing claimed can be true


# ---------------------------------------------------------------- all ends
def test_a_claim_is_met_only_if_it_is_met_at_every_end() -> None:
    claim = scene_with("bird.lift >= 9 mm").claims[0]
    verdicts = {
        "low": Verdict(1.0, 10.0, "mm"),
        "middle": Verdict(0.5, 9.5, "mm"),
        "high": Verdict(-0.2, 8.8, "mm"),
    }
    told = worst(claim, verdicts)
    assert not told.met
    assert told.at == "high"
    assert told.measured == 8.8
    met = worst(claim, {**verdicts, "high": Verdict(0.1, 9.1, "mm")})
    assert met.met
    assert met.measured == 9.1


def test_what_is_the_same_at_every_end_is_told_for_all() -> None:
    claim = scene_with("bird.lift >= 9 mm").claims[0]
    assert (
        worst(claim, dict.fromkeys(("low", "middle", "high"), Verdict(1.0, 10.0, "mm"))).at
        == "all"
    )


def test_a_claim_that_cannot_be_measured_is_not_met() -> None:
    assert held("bird.pressure angle <= 30 deg").margin == -math.inf
