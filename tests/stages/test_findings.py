"""Findings: what is told of recorded motion, from when on, and that nothing is told from a formula."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import animator
from animator.findings._contract import CHECKS
from animator.findings.examining import ORDER, check_scenes, examine, find, is_passed
from animator.findings.report import Finding, Report
from animator.motion.motion import Channel, Motion
from animator.motion.recording import Recorder
from animator.motion.running import run
from animator.parts._contract import PARTS
from animator.world.building import build
from animator.world.settings import RESIDUAL_LIMIT
from animator.world.stepping import run as step_on
from animator.world.stepping import settle
from tests.pieces import SCENES, run_demo


@functools.cache
def demo(
    name: str, variant: str | None = None, level: float = 0.5, turns: float | None = 1.0
) -> Motion:
    return run_demo(name, variant, level, turns=turns)


def found(motion: Motion, code: str) -> list[Finding]:
    return [finding for finding in find(motion) if finding.code == code]


def only(motion: Motion, code: str) -> Finding:
    findings = found(motion, code)
    assert len(findings) == 1
    return findings[0]


# ---------------------------------------------------------------- jam and stall
@pytest.mark.parametrize(("level", "angle"), [(0.0, 46.2), (0.5, 43.8), (1.0, 42.2)])
def test_the_mole_jams_where_the_rig_did(level: float, angle: float) -> None:
    jam = only(demo("mole", None, level), "jam")
    assert jam.part == "lifter"
    assert jam.amount == pytest.approx(angle, abs=0.5)
    assert jam.unit == "deg"
    assert jam.from_deg == pytest.approx(jam.amount, abs=0.2)
    assert jam.to_s - jam.from_s >= 0.29


@pytest.mark.slow
def test_a_wedge_is_a_jam_and_a_heavy_load_a_stall() -> None:
    wedged, loaded = demo("baker", "hole in the wall"), demo("baker", "stiff dough")
    assert only(wedged, "jam").part == "ram"
    assert not found(wedged, "stall")
    stall = only(loaded, "stall")
    assert stall.part == "crankshaft"
    assert stall.amount == pytest.approx(90, abs=4)
    assert not found(loaded, "jam")


def test_a_jam_that_a_firmer_solver_lets_go_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    # the second run is asked, not a formula: if it doesn't stand, the first is no jam
    free = run_demo("mole", "fixed", turns=0.2)
    monkeypatch.setattr("animator.findings._standing.run", lambda *words, **ways: free)
    motion = demo("mole")
    assert not found(motion, "jam")
    assert only(motion, "stall").part == "camshaft"


def test_a_motor_too_weak_stalls() -> None:
    stall = only(demo("smith", "weak motor"), "stall")
    assert "motor gives all it has" in stall.sentence


@pytest.mark.slow
def test_findings_stay_when_theory_is_taken_away(monkeypatch: pytest.MonkeyPatch) -> None:
    def silent(self: Any, motion: Motion) -> tuple[()]:
        raise AssertionError("a finding asked a formula")

    for kind in PARTS.values():
        monkeypatch.setattr(kind, "predict", silent)
    assert only(demo("mole"), "jam").amount == pytest.approx(43.8, abs=0.5)
    assert only(demo("heron", "fast"), "float").amount == pytest.approx(0.53, abs=0.03)


# ---------------------------------------------------------------- float
def test_the_fast_heron_floats_as_on_the_rig() -> None:
    flight = only(demo("heron", "fast"), "float")
    assert flight.part == "lifter"
    assert flight.amount == pytest.approx(0.53, abs=0.03)
    assert 205 < flight.from_deg % 360 < 222
    assert 236 < flight.to_deg % 360 < 250
    assert "lands" in flight.sentence or "landing" in flight.sentence


@functools.cache
def heron() -> Motion:
    return demo("heron", turns=0.5)


def with_gap(length_ms: int, gap: float) -> Motion:
    """The heron with a made-up gap in the middle of its run."""
    motion = heron()
    course = np.zeros(len(motion.times))
    middle = (motion.begins + len(motion.times)) // 2
    course[middle : middle + length_ms] = gap
    contact = replace(motion.contacts["lifter"], gap=course, hit=np.zeros((0, 2)))
    return replace(motion, contacts={**motion.contacts, "lifter": contact})


@pytest.mark.slow
@pytest.mark.parametrize(
    ("length_ms", "gap", "is_told"),
    [(2, 0.2, False), (3, 0.2, True), (30, 0.049, False), (30, 0.051, True)],
)
def test_a_float_is_more_than_paper_and_longer_than_a_rattle(
    length_ms: int, gap: float, is_told: bool
) -> None:
    # the heron's guide has a clearance of 0.1 mm, of which half is rocking
    assert bool(found(with_gap(length_ms, gap), "float")) is is_told


def test_rocking_in_a_wide_guide_is_no_float() -> None:
    motion = with_gap(30, 0.08)
    lifter: Any = motion.scene.parts["lifter"]
    wide = lifter.model_copy(
        update={"guide": lifter.guide.model_copy(update={"clearance": 0.2})}
    )
    loose = replace(
        motion, scene=replace(motion.scene, parts={**motion.scene.parts, "lifter": wide})
    )
    assert found(motion, "float")
    assert not found(loose, "float")


def test_a_gap_before_the_count_begins_is_not_told() -> None:
    motion = with_gap(30, 0.2)
    late = replace(motion, begins=len(motion.times) - 5)
    assert not found(late, "float")


# ---------------------------------------------------------------- slip
def with_share_lost(lost: float) -> Motion:
    motion = demo("carousel", "chain", turns=2.0)
    slip = motion.slips["loop"]
    return replace(motion, slips={"loop": replace(slip, got=slip.due * (1 - lost))})


@pytest.mark.parametrize(("lost", "is_told"), [(0.009, False), (0.011, True)])
def test_slip_is_told_from_one_in_a_hundred(lost: float, is_told: bool) -> None:
    assert bool(found(with_share_lost(lost), "slip")) is is_told


def test_one_bad_turn_is_slip_even_if_the_others_make_up_for_it() -> None:
    motion = demo("carousel", "chain", turns=2.0)
    slip = motion.slips["loop"]
    middle = (motion.begins + len(motion.times)) // 2
    got = slip.due.copy()
    got[motion.begins : middle] -= np.linspace(
        0, 0.03 * np.ptp(slip.due), middle - motion.begins
    )
    slipped = only(replace(motion, slips={"loop": replace(slip, got=got)}), "slip")
    assert slipped.to_s < motion.times[-1] - 0.5


def test_the_band_creeps_and_does_not_rub() -> None:
    slip = only(demo("carousel", turns=None), "slip")
    assert slip.amount == pytest.approx(8.2, abs=0.2)
    assert "3.67 of the 4.00 turns" in slip.sentence
    assert "0 by rubbing" in slip.why


def test_an_overloaded_band_rubs_through() -> None:
    slip = only(demo("carousel", "overloaded", turns=2.0), "slip")
    assert slip.amount == pytest.approx(100, abs=0.5)
    assert "stands while" in slip.sentence


# ---------------------------------------------------------------- jerk and slack
def turning(course: np.ndarray) -> Motion:
    """The carousel on its chain, its spindle turning with a made-up speed about its mean."""
    motion = demo("carousel", "chain", turns=2.0)
    body = motion.frames["spindle"][0]
    poses = motion.poses.copy()
    speed = 2.5 * (1 + course)
    poses[:, body, 2] = np.cumsum(speed) * 1e-3
    return replace(motion, poses=poses)


def waves(height: float) -> np.ndarray:
    return height * np.sin(2 * np.pi * 1.5 * demo("carousel", "chain", turns=2.0).times)


@pytest.mark.parametrize(("height", "is_told"), [(0.47, False), (0.53, True)])
def test_jerk_is_half_the_mean_speed_up_or_down(height: float, is_told: bool) -> None:
    assert (
        bool([each for each in found(turning(waves(height)), "jerk") if each.part == "spindle"])
        is is_told
    )


def test_a_jolt_is_jerk_though_the_speed_hardly_swings() -> None:
    times = demo("carousel", "chain", turns=2.0).times
    course = np.where((times > 1.2) & (times < 1.25), 0.3, 0.0)
    jerk = next(each for each in found(turning(course), "jerk") if each.part == "spindle")
    assert "jolts" in jerk.sentence


def test_what_stands_for_a_while_goes_by_fits_and_starts() -> None:
    times = demo("carousel", "chain", turns=2.0).times
    jerk = next(
        each
        for each in found(turning(np.where(times % 1 < 0.1, -1.0, 0.0)), "jerk")
        if each.part == "spindle"
    )
    assert "fits and starts" in jerk.sentence
    assert jerk.amount == pytest.approx(10, abs=2)


@pytest.mark.slow
def test_the_skater_jerks_and_the_even_one_does_not() -> None:
    jerk = only(demo("skater"), "jerk")
    assert jerk.part == "ice"
    assert jerk.amount == pytest.approx(65, abs=4)
    assert not found(demo("skater", "even"), "jerk")


def test_what_does_not_turn_at_all_is_not_called_jerky() -> None:
    assert not found(demo("carousel", "overloaded", turns=2.0), "jerk")


@pytest.mark.parametrize(("share", "is_told"), [(0.04, False), (0.07, True)])
def test_slack_is_told_from_a_twentieth_of_the_time(share: float, is_told: bool) -> None:
    motion = demo("carousel", turns=2.0)
    course = np.zeros(len(motion.times))
    course[
        motion.begins : motion.begins + round(share * (len(motion.times) - motion.begins))
    ] = 1.2
    loose = replace(
        motion, channels={**motion.channels, "loop.slack": Channel("length", course)}
    )
    assert bool(found(loose, "slack")) is is_told


@pytest.mark.slow
# ---------------------------------------------------------------- seam
def test_the_seam_of_a_band_is_told_and_a_chain_has_none() -> None:
    seam = only(demo("carousel", turns=None), "seam")
    assert seam.unit == "deg"
    assert seam.amount > 0.5
    assert not found(demo("carousel", "chain", turns=5.0), "seam")
    assert not found(demo("mole"), "seam")


# ---------------------------------------------------------------- all ends together
@functools.cache
def mole_report() -> Report:
    return check_scenes([animator.read(SCENES / "mole.yaml")], with_mends=False)[0]


@pytest.mark.slow
def test_a_finding_says_at_which_end_it_appears() -> None:
    jam = mole_report().findings[0]
    assert jam.at == "all"
    assert "With the least friction 46" in jam.why
    assert "with the most friction 42" in jam.why


@pytest.mark.slow
def test_a_jam_at_one_end_alone_is_told_with_that_end() -> None:
    scene = animator.read(
        SCENES / "mole.yaml", changes={"lifter.guide.friction": "0.02 to 0.3"}
    )
    report = check_scenes([scene], with_mends=False)[0]
    jam = next(finding for finding in report.findings if finding.code == "jam")
    assert "low" not in jam.at
    assert "high" in jam.at
    assert not is_passed(report)


@pytest.mark.slow
def test_a_range_of_speeds_is_run_slow_and_fast() -> None:
    # the heron floats above 130 rpm
    scene = animator.read(SCENES / "heron.yaml", changes={"handle.speed": "60 to 160 rpm"})
    report = check_scenes([scene], with_mends=False)[0]
    flight = next(finding for finding in report.findings if finding.code == "float")
    assert "fast" in flight.at
    assert "slow" not in flight.at


def test_what_stops_a_piece_is_told_first() -> None:
    assert set(ORDER) == set(CHECKS)
    codes = [finding.code for finding in examine(demo("carousel", turns=None)).findings]
    assert codes == sorted(codes, key=ORDER.index)


@pytest.mark.slow
def test_the_books_are_told_in_joules() -> None:
    energy = examine(demo("baker", "dry guide")).energy
    assert sum(energy.heat_J.values()) == pytest.approx(energy.work_in_J, rel=0.02)
    assert energy.heat_J["guide of ram"] > 0.3 * energy.work_in_J
    assert energy.residual_percent < RESIDUAL_LIMIT


@pytest.mark.slow
def test_friction_that_nobody_booked_is_missed() -> None:
    """A second bearing's worth of friction is put on the camshaft behind the ledger's back; the books must show a hole."""
    scene = animator.read(SCENES / "heron.yaml")
    residuals = []
    for has_secret in (False, True):
        world = build(scene)
        if has_secret:
            brake = world.space.static_body, world.links[0].body
            import pymunk

            motor = pymunk.SimpleMotor(*brake, 0.0)
            motor.max_force = 0.5 * 2.5e6  # half a newton of bearing friction at a 5 mm shaft
            motor.collide_bodies = True
            world.space.add(motor)
        settle(world)
        recorder = Recorder(world)
        residuals.append(recorder.motion(step_on(world, recorder, None, 1.0), 0).trust)
    honest, dishonest = residuals
    assert honest.is_ok
    assert not dishonest.is_ok
    assert dishonest.residual_percent > 10 * RESIDUAL_LIMIT


@pytest.mark.slow
def test_assumptions_and_remarks_are_told_once() -> None:
    told = mole_report().assumptions
    assert len(told) == len(set(told))
    assert any("friction of steel" in sentence for sentence in told)


@pytest.mark.slow
def test_half_the_step_tells_the_same() -> None:
    scene = animator.read(SCENES / "baker.yaml", changes={"handle.speed": "80 rpm"})
    report = check_scenes([scene], verify=True, with_mends=False)[0]
    trust = report.trust
    assert trust.verify_percent is not None
    assert trust.verify_percent < 1.0
    assert set(trust.verify_by_measure_percent) == set(report.measures)
    assert trust.ok


@pytest.mark.slow
def test_a_measure_that_hangs_on_the_step_takes_the_trust_away(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def halved(motion: Motion) -> Mapping[str, Any]:
        measures = examining.table(motion)
        name = "ram.travel"
        return {
            **measures,
            name: measures[name].model_copy(update={"value": 1.02 * measures[name].value}),
        }

    from animator.findings import examining

    monkeypatch.setattr(examining, "_half_step", halved)
    report = check_scenes(
        [replace_run(animator.read(SCENES / "baker.yaml"))], verify=True, with_mends=False
    )[0]
    assert report.trust.verify_by_measure_percent["ram.travel"] == pytest.approx(2.0, abs=0.1)
    assert not report.trust.ok
    assert "ram.travel" in report.trust.sentence
    assert not is_passed(report)


def replace_run(scene: Any) -> Any:
    """The same scene, run for a quarter turn: enough where only the telling is tried."""
    from animator.scene.shots import Moment

    return replace(scene, run=Moment(math.pi / 2, None, "90"))


@pytest.mark.slow
def test_run_again_gives_the_same_report() -> None:
    scene = replace_run(animator.read(SCENES / "heron.yaml"))
    assert examine(run(scene)).model_dump_json() == examine(run(scene)).model_dump_json()
