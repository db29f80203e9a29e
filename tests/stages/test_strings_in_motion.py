"""Strings, drums and wires at work in small pieces."""

import math

import numpy as np
import pytest

import animator
from animator.findings._contract import CHECKS, Evidence
from animator.world.ropes import let_through
from tests.pieces import GRAVITY, NEWTON, read, run

HAND = """
    shaft: {kind: shaft, at: [60, 60], material: steel 5, bearing: {friction: 0}}
    handle: {kind: handle, on: shaft, radius: 40, speed: 40 rpm, starts over: 20, turns: WAY}
    drum: {kind: drum, on: shaft, diameter: 20, winds: anticlockwise, wound angle: WOUND}
"""


def hoist(over, way="anticlockwise", wound=0, turns=0.25):
    parts = HAND.replace("WAY", way).replace("WOUND", str(wound))
    parts += (
        f"    top: {over}\n    bob: {{kind: weight, mass: 60 g, hangs: 150}}\n"
        "    line: {kind: string, from: drum, by way of: [top], to: bob}\n"
    )
    return run(parts, turns=turns)


@pytest.mark.parametrize(
    ("over", "journal"),
    [
        # a sleeve of 1.6 on a pin of 6, the string on 3 + 1.6 + 0.4; a pulley of 40 on its pin of 4
        ("{kind: pin, at: [100, 220], diameter: 6, turns: yes, friction: 0.2, material: steel}", 0.2 * 3 / 5),
        ("{kind: pulley, at: [100, 220], diameter: 40, material: brass 4, mass: 5 g}", None),
    ],
    ids=["sleeve", "pulley"],
)  # fmt: skip
def test_over_what_turns_a_string_only_pays_for_the_bearing(over, journal):
    motion = hoist(over)
    pull = motion.drive.torque[motion.begins + 60 :].mean() / 10.4
    bend = motion.channels["line.bend 1"].values[motion.begins :].mean()
    if journal is None:  # what the table says of brass on the frame's ply, in the middle
        heat = motion.ledger.heat["bearing of top"]
        turned = np.abs(motion.frame("top")[:, 2])
        span = slice(motion.begins + 60, None)
        drag = np.ptp(heat[span]) / np.ptp(turned[span])
        assert (pull - 60 * GRAVITY) * 20 == pytest.approx(drag, rel=0.01)
        assert motion.ledger.heat["line over top"][-1] == 0  # it turns with the string
        return
    # balance about the pin: (T1 - T2) R = mu r F, F the sum of both pulls
    both = math.sqrt(pull**2 + (60 * GRAVITY) ** 2 - 2 * pull * 60 * GRAVITY * math.cos(bend))
    assert pull - 60 * GRAVITY == pytest.approx(journal * both, rel=2e-3)


def test_drum_paid_out_to_its_nail_winds_up_the_other_way_round():
    motion = hoist(
        "{kind: pin, at: [120, 220], friction: 0}", "clockwise", wound=180, turns=1.5
    )
    height = motion.frame("bob")[:, 1]
    wound = motion.channels["line.wound 0"].values
    lowest = int(np.argmin(height))
    assert wound[0] == pytest.approx(math.pi, abs=0.2)
    assert np.all(np.diff(height[100:lowest]) < 0.01)
    assert wound[-1] < -math.pi
    assert height[-1] > height[lowest] + 20


LIMB = """
    shaft: {kind: shaft, at: [60, 60], material: steel 5, bearing: {friction: 0}}
    handle: {kind: handle, on: shaft, radius: 40, speed: 40 rpm}
    crank: {kind: crank, on: shaft, radius: 8, angle: down}
    wing: {kind: lever, at: [120, 130], arms: {tip: 50 left, pull: 25 left}, mass: MASS g, bearing: {friction: 0}, stops: {anticlockwise: 0.5}}
    cord: {kind: string, from: crank.pin, by way of: [top], to: wing.pull, slack: SLACK}
    top: {kind: eyelet, at: [95, 190], friction: 0.1}
"""


def test_limb_follows_a_taut_string_and_lies_still_under_a_slack_one():
    motion = run(
        LIMB.replace("MASS", "20").replace("SLACK", "0").replace("angle: down", "angle: up"),
        turns=1,
    )
    slack = motion.channels["cord.slack"].values[motion.begins :]
    pull = motion.channels["cord.tension"].values[motion.begins :]
    turned = motion.frame("wing")[motion.begins :, 2]
    assert np.all(pull[slack > 0.01] == 0)
    assert np.ptp(turned[pull > 0.01 * NEWTON]) > math.radians(20)
    loose = slack > 1
    if loose.any():
        assert np.ptp(turned[loose]) < math.radians(1.5)


@pytest.mark.slow
def test_loose_string_is_found_and_a_shorter_one_proposed():
    scene = read(
        LIMB.replace("MASS", "20").replace("SLACK", "20").replace("angle: down", "angle: 60")
    )
    (found,) = CHECKS["slack"]().find(Evidence(animator.run(scene, turns=1)))
    assert found.part == "cord"
    assert "hangs loose" in found.sentence
    assert "too light" in found.why


@pytest.mark.slow
def test_string_over_eyelets_that_move_keeps_its_books_and_its_length():
    motion = run(
        """
        shaft: {kind: shaft, at: [60, 60], material: steel 5, bearing: {friction: 0}}
        handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm}
        crank: {kind: crank, on: shaft, radius: 12}
        rod: {kind: rod, from: crank.pin, to: beam.tail, length: 70}
        beam: {kind: lever, at: [120, 130], arms: {tail: 50 left, mid: 30 right, tip: 60 right}, mass: 30 g, bearing: {friction: 0}}
        ring: {kind: eyelet, on: beam.mid, friction: 0.2}
        peg: {kind: pin, on: beam.tip, diameter: 6, friction: 0.2}
        nail: {kind: pin, at: [120, 60]}
        bob: {kind: weight, mass: 40 g, hangs: 60}
        line: {kind: string, from: nail, by way of: [ring, peg], to: bob}
        """,
        turns=1,
    )  # fmt: skip
    assert abs(motion.trust.residual_percent) < 0.1
    assert np.all(motion.channels["line.tension"].values[200:] > 0)
    beam = motion.frame("beam")
    assert np.ptp(beam[:, 2]) > math.radians(20)
    # what it is long, reckoned from where everything was: straight to the ring, to and over the peg (r 3.4), down to the bob
    lengths = []
    for at in range(200, len(motion.times), 100):
        x, y, angle = beam[at]
        ring, peg = (
            np.array([x + r * math.cos(angle), y + r * math.sin(angle)]) for r in (30, 60)
        )
        reach = math.dist(ring, peg)
        there = math.sqrt(reach**2 - 3.4**2)
        bob = motion.frame("bob")[at, :2]
        fall = math.dist(bob, peg)
        down = math.sqrt(fall**2 - 3.4**2)
        onto = math.atan2(*(peg - ring)[::-1]) + math.asin(3.4 / reach)
        off = math.atan2(*(bob - peg)[::-1]) - math.asin(3.4 / fall)
        lengths.append(math.dist((120, 60), ring) + there + down + 3.4 * (onto - off))
    assert np.ptp(lengths) < 0.05


WIRE = """
    shaft: {kind: shaft, at: [50, 110], bearing: {friction: 0}}
    handle: {kind: handle, on: shaft, speed: 30 rpm}
    crank: {kind: crank, on: shaft, radius: 10}
    link: {kind: wire, from: crank.pin, to: arm.foot, material: STUFF}
    arm: {kind: lever, at: [170, 150], arms: {foot: 40 down, load: 40 right}, bearing: {friction: 0}, stops: {clockwise: 25}}
    load: {kind: weight, on: arm.load, mass: 100 g}
"""


def test_stout_wire_moves_a_lever_as_a_rod_would():
    motion = run(
        WIRE.replace("STUFF", "steel 1").replace("clockwise: 25", "clockwise: 60"), turns=1
    )
    length = motion.scene.parts["link"].length
    crank, foot = motion.point("crank", "pin"), motion.point("arm", "foot")
    assert np.abs(np.hypot(*(foot - crank).T) - length).max() < 0.05
    assert motion.channels["link.bow"].values.max() == 0
    assert motion.channels["link.push"].values.max() > 0.9 * NEWTON


def test_wire_too_thin_for_its_push_is_found_to_buckle():
    scene = read(WIRE.replace("STUFF", "steel 0.5"))
    (found,) = CHECKS["buckle"]().find(Evidence(animator.run(scene, turns=1)))
    assert found.part == "link"
    assert found.amount > 5
    assert "four times as much" in found.why


def test_report_says_where_a_string_is_reckoned_softer_than_it_is():
    motion = run(
        """
        wheel: {kind: pulley, at: [100, 200], diameter: 40, mass: 0.1 g, inertia: 0.1 g mm2}
        heavy: {kind: weight, mass: 20 g, hangs: 60}
        light: {kind: weight, mass: 19 g, hangs: 100}
        line: {kind: string, from: heavy, by way of: [wheel], to: light}
        """,
        seconds=0.02,
    )
    assert any("line is reckoned to give way" in each for each in motion.remarks)


def test_sliding_leaves_no_guide_pulled_harder_than_it_holds_and_keeps_all_string():
    """Spans pulled and loose at random, over two to five guides: what any text on belts asks of each guide, wherever one starts."""
    chance = np.random.default_rng(7)
    for _ in range(2000):
        count = int(chance.integers(2, 6))
        start = [chance.uniform(-3, 6) for _ in range(count + 1)]
        gives = [chance.uniform(0.5, 2) for _ in range(count + 1)]
        holds = [chance.uniform(1.05, 2.5) for _ in range(count)]
        pulls = list(start)
        over = let_through(pulls, gives, holds, chance.integers(-1, 2, count).tolist())
        for k, give in enumerate(gives):
            came = (over[k] if k < count else 0.0) - (over[k - 1] if k else 0.0)
            assert pulls[k] == pytest.approx(start[k] - give * came, abs=1e-9)
        near = 0.05 * max(
            max(start), 1e-6
        )  # what has nearly gone slack drains over several steps
        for k, hold in enumerate(holds):
            a, b = max(pulls[k], 0.0), max(pulls[k + 1], 0.0)
            assert a <= hold * b + near
            assert b <= hold * a + near
