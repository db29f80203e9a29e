"""Coins, switches and the motors they run, through the whole program."""

import numpy as np
import pytest

import animator
from animator.findings.examining import find
from animator.findings.measures import read as measure
from animator.motion.looping import find_loop
from animator.outputs.sound import SOUND_RATE, Score
from animator.pictures.film import Film
from animator.pictures.sequence import lanes_of
from tests.pieces import read, run

COIN = """
coin slot: {{kind: coin slot, coin at: [{coins}], pulse time: 0.3 s}}
shaft: {{kind: shaft, at: [60, 60], material: steel 4, bearing: {{ball: yes}}, drag torque: 6 N mm}}
motor: {{kind: motor, on: shaft, speed: 40 rpm, stall torque: 0.6 kg cm, runs while: coin slot or home switch}}
drum: {{kind: timing drum, on: shaft, diameter: 60, tracks: {{home: [{home}], lamp: [120 to 300]}}}}
home switch: {{kind: switch, rides on: drum.home, angle: left}}
lamp: {{kind: lamp, lit while: drum.lamp, at: [100, 100]}}
"""


@pytest.fixture(scope="module")
def show():
    return run(COIN.format(coins="0.2 s", home="10 to 320"))


def test_a_coin_starts_a_motor_that_stops_itself_at_home(show):
    assert (show.end, show.sentence) == ("finished", "came to rest by itself, every motor off")
    (drive,) = show.drives
    running = show.channels["motor.running"].values > 0.5
    assert not running[0]
    assert running[250]
    assert not running[-1]
    switched_off = int(np.flatnonzero(running)[-1])
    assert np.degrees(drive.angle[switched_off]) == pytest.approx(
        321, abs=1
    )  # with 1 degree of differential
    assert 321 < np.degrees(drive.angle[-1]) < 365  # it runs out before it is switched on again
    assert abs(drive.speed[-1]) < 0.01
    assert show.trust.residual_percent <= 0.5


def test_a_switched_off_motor_isnt_stalled(show):
    assert not [finding for finding in find(show) if finding.code in ("stall", "jam")]


def test_how_long_it_ran_and_how_far_it_ran_on(show):
    running = show.channels["motor.running"].values > 0.5
    assert measure(show, "motor", "running time").value == pytest.approx(
        running.sum() * 1e-3, abs=2e-3
    )
    (drive,) = show.drives
    last = int(np.flatnonzero(running)[-1])
    assert measure(show, "motor", "overrun").value == pytest.approx(
        drive.angle[-1] - drive.angle[last], abs=1e-6
    )
    # its start, when every motor takes all its current, is left out
    assert 0.05 < measure(show, "motor", "current share").value < 0.4


def test_a_lamp_is_lit_while_its_strip_passes_and_never_flashes(show):
    angle = np.degrees(show.drives[0].angle)
    lit = show.channels["lamp.lit"].values > 0.5
    assert angle[lit].min() == pytest.approx(120, abs=0.5)
    assert angle[lit].max() == pytest.approx(300, abs=0.5)
    glow = show.channels["lamp.glow"].values
    assert (
        np.abs(np.diff(glow)).max() * 1000 <= 1 / 0.2 + 1e-6
    )  # per second: from dark to bright and back in 0.4 s


def test_a_show_is_shown_whole_and_begins_anew(show):
    loop = find_loop(show)
    assert loop.is_show
    assert (loop.start_s, loop.period_s) == pytest.approx((0.0, float(show.times[-1])))
    assert not Film(show, size=(160, 90), fps=10).is_loop


def test_what_happens_when_is_told_in_the_order_in_which_one_works_the_next(show):
    lanes = lanes_of(show)
    assert [(lane.name, lane.sort) for lane in lanes] == [
        ("coin slot", "coin"),
        ("home", "track"),
        ("lamp", "track"),
        ("motor", "motor"),
        ("lamp", "lamp"),
    ]
    home = lanes[1]
    assert len(home.spans) == len(home.closed) == 1
    assert home.closed[0][1] > home.spans[0][1]  # the switch lets go a degree later


def test_a_second_coin_starts_it_again():
    motion = run(COIN.format(coins="0.2 s, 3.5 s", home="10 to 320"))
    running = motion.channels["motor.running"].values > 0.5
    assert (np.diff(running.astype(int)) == 1).sum() == 2
    assert np.degrees(motion.drives[0].angle[-1]) > 640


@pytest.mark.slow
def test_a_notch_shorter_than_the_run_out_never_stops_it():
    motion = run(COIN.format(coins="0.2 s", home="6 to 350"))
    assert motion.sentence.endswith("motor didn't stop by itself")


def test_two_coins_worth_of_the_same_run_are_the_same():
    first, second = (run(COIN.format(coins="0.2 s", home="10 to 320")) for _ in range(2))
    assert np.array_equal(first.drives[0].angle, second.drives[0].angle)


TWO = """
button: {{kind: coin slot, coin at: [0 s], pulse time: 2 s}}
first shaft: {{kind: shaft, at: [40, 40], bearing: {{ball: yes}}}}
second shaft: {{kind: shaft, at: [140, 40], bearing: {{ball: yes}}, drag torque: {drag} N mm}}
first motor: {{kind: motor, on: first shaft, speed: 30 rpm, stall torque: 0.5 kg cm, runs while: button}}
second motor: {{kind: motor, on: second shaft, speed: 30 rpm, stall torque: 0.5 kg cm, runs while: {signal}}}
"""


def test_a_second_motor_that_cant_turn_is_found_though_the_first_one_runs():
    motion = run(TWO.format(drag=80, signal="button"))
    assert motion.end == "stalled"
    assert motion.sentence.startswith("second shaft stands still")
    assert [(each.code, each.part) for each in find(motion)] == [("stall", "second shaft")]


def test_a_second_motor_that_is_off_only_rests():
    motion = run(TWO.format(drag=80, signal="button and not button"))
    assert motion.end == "finished"
    assert not find(motion)


def test_a_handle_beside_a_motor_counts_the_turns():
    motion = run(
        """
        shaft: {kind: shaft, at: [60, 60], bearing: {ball: yes}}
        handle: {kind: handle, on: shaft, speed: 60 rpm}
        drum: {kind: timing drum, on: shaft, diameter: 60, tracks: {fan: [90 to 180]}}
        fan shaft: {kind: shaft, at: [160, 60], bearing: {ball: yes}}
        fan motor: {kind: motor, on: fan shaft, speed: 60 rpm, stall torque: 0.2 kg cm, runs while: drum.fan}
        """,
        turns=2.0,
    )
    assert motion.sentence == "ran its turns"
    running = motion.channels["fan motor.running"].values
    assert running[motion.begins :].mean() == pytest.approx(0.25, abs=0.01)


def test_a_claim_takes_a_mark_of_the_sound_as_its_moment(tmp_path):
    import wave

    with wave.open(str(tmp_path / "bell.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8000)
        file.writeframes(b"\0\0" * 16000)
    path = tmp_path / "piece.yaml"
    parts = "".join(
        f"  {line}\n"
        for line in COIN.format(coins="0.2 s", home="10 to 320").strip().splitlines()
    )
    path.write_text(
        f"title: T\nparts:\n{parts}"
        "sound: {file: bell.wav, starts at: 0.2 s, marks: {light: 1.1 s, night: 1.9 s}}\n"
        "expect: [lamp is lit from mark light to 1.4 s, lamp is dark at mark night]\n"
    )
    report = animator.examine(animator.run(animator.read(path)))
    assert [claim.met for claim in report.expectations] == [True, True]


def test_a_shows_sound_is_heard_once_from_its_moment_on(show):
    film = Film(show, size=(160, 90), fps=25)
    tone = np.ones((SOUND_RATE // 2, 2), np.float32)
    heard = Score(tone, 0.2).laid_on(film, film.fps)
    loud = np.flatnonzero(np.abs(heard[:, 0]) > 0.5) / SOUND_RATE
    assert loud[0] == pytest.approx(0.2, abs=0.01)
    assert loud[-1] == pytest.approx(
        0.7, abs=0.01
    )  # a piece that goes round would let it begin again


def test_switches_cross_views_by_their_wires_alone():
    motion_scene = read(
        """
        coin slot: {kind: coin slot}
        worm shaft: {kind: shaft, view: side, at: [60, 50]}
        shaft: {kind: shaft, at: [160, 60]}
        drum: {kind: timing drum, on: shaft, tracks: {home: [10 to 320]}}
        home switch: {kind: switch, rides on: drum.home}
        motor: {kind: motor, on: shaft, speed: 6 rpm, stall torque: 1 kg cm, runs while: coin slot or home switch}
        fan: {kind: motor, on: worm shaft, speed: 6 rpm, stall torque: 1 kg cm, runs while: home switch}
        """
    )
    assert motion_scene.parts["fan"].runs_while.terms[0].part == "home switch"
