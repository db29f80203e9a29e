"""What loads a bearing, what a body weighs where it is pushed, when a run ends and whether it may be believed."""

import math

import numpy as np
import pytest

import animator
from animator.motion import recording
from animator.problems import SceneError
from animator.world.building import build
from animator.world.stepping import settle
from tests.pieces import NEWTON, NEWTON_MM, read, run

SHAFT = """
    shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {ball: yes}}
    handle: {kind: handle, on: shaft, speed: 130 rpm}
"""


# ---------------------------------------------------------------- ends of a run
@pytest.mark.slow
def test_a_run_by_the_clock_lasts_as_long_as_it_says():
    motion = run(SHAFT, seconds=13)
    assert motion.times[-1] - motion.times[motion.begins] == pytest.approx(13, abs=2e-3)
    assert motion.sentence == "ran its time"


def test_turns_that_are_no_whole_number_of_samples_repeat_too():
    motion = run(SHAFT)  # 461.5 samples a turn
    assert motion.end == "repeats"
    assert motion.drive.angle[-1] < 3 * math.tau


def test_turns_of_what_nothing_turns_don_t_run_for_ever():
    motion = run(
        "arm: {kind: lever, at: [100, 100], arms: {end: 50 down}, material: steel 3}", turns=2
    )
    assert motion.times[-1] == pytest.approx(5)


def test_a_record_that_is_full_ends_the_run_and_says_so(monkeypatch):
    monkeypatch.setattr(recording, "MOST_BYTES", 100_000)
    motion = run(SHAFT, seconds=20)
    assert motion.times[-1] < 2
    assert motion.sentence.endswith("no more can be recorded")


def test_counts_start_when_the_drive_does():
    # the shaft drops through its play while the piece settles
    world = build(
        read(
            """
    shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {play: 0.4, friction: 0.2}}
    handle: {kind: handle, on: shaft, speed: 60 rpm}
    big: {kind: pulley, on: shaft, diameter: 40}
    free: {kind: pulley, at: [200, 100], diameter: 20, material: steel 6}
    loop: {kind: belt, around: [big, free], made of: rubber band 3, tension: 1 N}
"""
        )
    )
    settle(world)
    assert [entry.unit.hits for entry in world.contacts.values()] == [[]]
    slip = world.slips["loop"]
    assert (slip.due, slip.got, slip.rubbed) == (0, 0, 0)


def test_an_undriven_piece_whose_books_don_t_balance_is_not_trusted():
    # 5 N/mm on an arm of card: it whirls at over two thousand radians a second
    motion = animator.run(
        read(
            """
    shaft: {kind: shaft, at: [100, 100], material: steel 12, bearing: {friction: 0}}
    arm: {kind: crank, on: shaft, radius: 30, angle: up, material: card 1}
    post: {kind: pin, at: [140, 130]}
    pull: {kind: extension spring, from: arm.pin, to: post.centre, rate: 5 N/mm, free length: 20}
"""
        ),
        seconds=0.5,
    )
    assert not motion.trust.is_ok
    assert "can't be accounted for" in motion.trust.sentence


@pytest.mark.slow
def test_an_undriven_piece_is_run_finer_until_its_books_balance():
    motion = run(
        """
    bob: {kind: lever, at: [100, 100], arms: {end: 60 right}, material: beech 6}
    post: {kind: pin, at: [160, 160]}
    pull: {kind: extension spring, from: bob.end, to: post.centre, rate: 0.02 N/mm, free length: 30}
""",
        seconds=5,
    )
    assert motion.trust.residual_percent < 0.5


# ---------------------------------------------------------------- loads
DRIVES = """
    first: {kind: shaft, at: [50, 100], material: steel 5, bearing: {friction: 0.2}}
    handle: {kind: handle, on: first, speed: 60 rpm}
    second: {kind: shaft, at: [150, 100], material: steel 5, bearing: {friction: 0.2}, drag torque: %s}
"""


@pytest.mark.parametrize("crossed", ["no", "yes"])
def test_bearings_rub_under_the_pull_of_a_belt(crossed):
    motion = run(
        DRIVES % "0 N mm"
        + f"""
    a: {{kind: pulley, on: first, diameter: 20, material: beech 8}}
    b: {{kind: pulley, on: second, diameter: 20, material: beech 8}}
    loop: {{kind: belt, around: [a, b], made of: rubber band 3, tension: 5 N, crossed: {crossed}}}
""",
        turns=1,
    )
    # two shafts, each drawn aside by both spans; the weight hangs square to it and hardly counts
    across = math.sqrt(1 - 0.2**2) if crossed == "yes" else 1
    torque = 2 * (2 * 5 * across) * 0.2 * 2.5
    assert motion.drive.torque[motion.begins :].mean() / NEWTON_MM == pytest.approx(
        torque, rel=0.02
    )


def test_bearings_rub_under_the_pull_of_a_chain():
    motion = run(
        DRIVES % "50 N mm"
        + """
    a: {kind: sprocket, on: first, teeth: 20, material: beech 4}
    b: {kind: sprocket, on: second, teeth: 20, material: beech 4}
    loop: {kind: chain, around: [a, b], pitch: 5}
""",
        turns=1,
    )
    radius = 2.5 / math.sin(math.pi / 20)
    rub = 0.2 * 2.5 / radius  # of a shaft, for each N mm in the chain
    chain = 50 / (1 - rub)
    assert motion.drive.torque[motion.begins :].mean() / NEWTON_MM == pytest.approx(
        chain * (1 + rub), rel=0.02
    )


def test_a_belt_slips_first_on_the_wheel_of_the_slippery_stuff():
    def limit(first, second):
        motion = animator.run(
            read(
                DRIVES % "500 N mm"
                + f"""
    a: {{kind: pulley, on: first, diameter: 20, material: {first} 8}}
    b: {{kind: pulley, on: second, diameter: 20, material: {second} 8}}
    loop: {{kind: belt, around: [a, b], made of: round leather 3, tension: 5 N}}
"""
            ),
            turns=0.5,
        )
        return (
            motion.channels["loop.tension"].values[-1]
            / motion.channels["loop.slack tension"].values[-1]
        )

    weakest = min(limit("beech", "beech"), limit("steel", "steel"))
    assert limit("beech", "steel") == pytest.approx(weakest, rel=1e-3)
    assert limit("steel", "beech") == pytest.approx(weakest, rel=1e-3)


@pytest.mark.parametrize("order", ["[c, d]", "[d, c]"])
def test_what_drives_a_later_belt_is_nearer_to_the_hand(order):
    world = build(
        read(
            DRIVES % "0 N mm"
            + f"""
    third: {{kind: shaft, at: [250, 100], material: steel 5}}
    later: {{kind: belt, around: {order}, made of: rubber band 3, tension: 1 N}}
    a: {{kind: pulley, on: first, diameter: 20}}
    b: {{kind: pulley, on: second, diameter: 20}}
    c: {{kind: pulley, on: second, diameter: 30}}
    d: {{kind: pulley, on: third, diameter: 20}}
    loop: {{kind: belt, around: [a, b], made of: rubber band 3, tension: 1 N}}
"""
        )
    )
    assert (world.slips["later"].driver, world.slips["later"].driven) == ("c", "d")


def test_wheels_of_a_belt_may_not_move_about():
    with pytest.raises(SceneError, match="the wheels of 'loop' stand in the frame"):
        read(
            """
    first: {kind: shaft, at: [50, 100], material: steel 5}
    a: {kind: pulley, on: first, diameter: 20}
    beam: {kind: lever, at: [150, 200], arms: {end: 80 down}}
    second: {kind: shaft, at: beam.end, material: steel 5}
    b: {kind: pulley, on: second, diameter: 20}
    loop: {kind: belt, around: [a, b], made of: rubber band 3, tension: 1 N}
"""
        )


# ---------------------------------------------------------------- weights
def test_a_motor_runs_up_alike_whatever_its_housing_weighs():
    def at(weighed):
        motion = run(
            f"""
    shaft: {{kind: shaft, at: [100, 100], material: steel 5, bearing: {{ball: yes}}}}
    motor: {{kind: motor, on: shaft, speed: 60 rpm, stall torque: 100 N mm{weighed}}}
""",
            seconds=0.3,
        )
        return motion.drive.angle[-1]

    assert at(", mass: 120 g") == pytest.approx(at(""))


def test_a_weight_is_as_small_as_lead():
    world = build(read(f"lump: {{kind: weight, on: arm.end, mass: 200 g}}\n{ARM}"))
    radius = (3 * 200 / (4 * math.pi * 11.3e-3)) ** (1 / 3)
    alone = build(read(ARM)).links[0].weight
    link = world.links[0].weight
    own = link.inertia - alone.inertia
    apart = math.dist(alone.centre, (50, 0))
    shared = alone.mass * 200 / (alone.mass + 200) * apart**2
    assert own - shared == pytest.approx(0.4 * 200 * radius**2, rel=1e-6)


ARM = "arm: {kind: lever, at: [100, 100], arms: {end: 50 right}, material: steel 3}"


def test_what_stands_on_a_disc_s_rim_turns_heavily():
    def spin(extra):
        world = build(
            read(
                f"""
    shaft: {{kind: shaft, at: [100, 100], material: steel 5}}
    handle: {{kind: handle, on: shaft, speed: 40 rpm}}
    egg: {{kind: cam, on: shaft, eccentric: {{radius: 20, throw: 0}}, material: beech 6}}
    ice: {{kind: friction disc, follows: egg, offset: 20, diameter: 80, material: beech 6, friction: 0.3, guide: {{at: 60 above shaft, length: 30}}}}
    {extra}
"""
            )
        )
        return next(link.weight.inertia for link in world.links if link.name == "ice turning")

    drawn = "lump: {kind: figure, on: ice.rim, mass: 20 g, artwork: {shapes: [{disc: 10}]}}"
    assert spin(drawn) - spin("") == pytest.approx(20 * (40**2 + 5**2 / 4))
    plain = "lump: {kind: weight, on: ice.rim, mass: 20 g}"
    assert spin(plain) - spin("") == pytest.approx(20 * 40**2, rel=0.02)


def test_a_spring_on_a_long_light_arm_shortens_the_step():
    # the shaft weighs 71 g, but at the arm's end no more than 1.4 g is felt
    world = build(
        read(
            """
    shaft: {kind: shaft, at: [100, 100], material: steel 12}
    arm: {kind: crank, on: shaft, radius: 30, angle: up, material: card 1}
    post: {kind: pin, at: [140, 130]}
    pull: {kind: extension spring, from: arm.pin, to: post.centre, rate: 200 N/mm}
"""
        )
    )
    link = world.links[0]
    about_axis = link.weight.inertia + link.weight.mass * math.hypot(*link.centre) ** 2
    assert world.stiffest == pytest.approx(math.sqrt(200 * NEWTON / (about_axis / 900)))
    assert world.settings.dt <= math.sqrt(2) / world.stiffest


def test_the_step_minds_a_shaft_that_a_chain_turns_faster():
    scene = """
    first: {kind: shaft, at: [50, 100], material: steel 5}
    handle: {kind: handle, on: first, speed: 60 rpm}
    a: {kind: sprocket, on: first, teeth: 60}
    second: {kind: shaft, at: [248.7, 100], material: steel 5}
    b: {kind: sprocket, on: second, teeth: 12}
    loop: {kind: chain, around: [a, b], pitch: 6}
"""
    assert build(read(scene)).fastest == pytest.approx(5 * math.tau)


# ---------------------------------------------------------------- stops
def test_stops_of_a_jaw_sit_on_what_carries_it():
    motion = run(
        """
    shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {ball: yes}}
    handle: {kind: handle, on: shaft, speed: 60 rpm}
    flick: {kind: crank, on: shaft, radius: 20, angle: right}
    rod: {kind: rod, from: flick.pin, to: head.tail, length: 100}
    head: {kind: lever, at: [200, 120], arms: {end: 60 right, tail: 40 left}, material: beech 6}
    jaw: {kind: lever, at: head.end, arms: {lip: 30 right}, material: beech 4, stops: {clockwise: 10, anticlockwise: 10}}
""",
        turns=1,
    )
    head, jaw = motion.frame("head")[:, 2], motion.frame("jaw")[:, 2]
    assert np.degrees(np.ptp(head)) > 50
    assert np.degrees(np.ptp(jaw - head)) < 21
