"""Scene -> World: bodies, joints, weights, frictions, and the step that is chosen from them."""

import math

import numpy as np
import pytest

from animator.parts._contract import Weight
from animator.problems import SceneError
from animator.world.building import build
from animator.world.contacts import BoreTouch
from animator.world.settings import Settings, choose
from animator.world.touches import HullRollerTouch
from tests.pieces import NEWTON, NEWTON_MM, read, run

SHAFT = """
    shaft: {kind: shaft, at: [100, 100], material: steel 6}
    handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm}
"""


def link_of(world, part):
    return world.links[world.frames[part][0]]


# ---------------------------------------------------------------- bodies
def test_parts_that_move_as_one_are_one_body():
    world = build(
        read(
            SHAFT
            + """
    wheel: {kind: wheel, on: shaft, radius: 30, material: beech 10, pins: {rim: 25 up}}
    bird: {kind: figure, on: wheel.rim, mass: 12 g, artwork: {shapes: [{disc: 10}]}}
"""
        )
    )
    assert len(world.links) == 1
    assert set(world.links[0].members) == {"shaft", "handle", "wheel", "bird"}
    # steel bar of 6 x 80, handle 0.4 g/mm x 40 + 8, beech at 680 kg/m3, the bird as weighed
    exact = 7.855e-3 * math.pi * 9 * 80 + 24 + 680e-6 * math.pi * 900 * 10 + 12
    assert world.links[0].weight.mass == pytest.approx(exact, rel=1e-3)
    # only the bird hangs beside the axis
    assert world.links[0].weight.centre == pytest.approx((0, 12 * 25 / exact), abs=1e-3)


def test_what_the_maker_weighed_stands_over_what_the_drawing_says():
    world = build(
        read(
            SHAFT
            + "    wheel: {kind: wheel, on: shaft, radius: 30, mass: 100 g}\n    bar: {kind: lever, at: [30, 30], arms: {end: 40 right}, mass: 7 g, centre of mass: [10, 3], inertia: 500 g mm2}\n"
        )
    )
    assert link_of(world, "bar").weight == Weight(7.0, (10.0, 3.0), 500.0)
    drawn = build(read(SHAFT + "    wheel: {kind: wheel, on: shaft, radius: 30, mass: 50 g}\n"))
    more = link_of(world, "wheel").weight
    less = link_of(drawn, "wheel").weight
    assert more.mass - less.mass == pytest.approx(50)
    assert more.inertia - less.inertia == pytest.approx(50 * 30**2 / 2)  # a disc's


def test_a_part_that_hangs_on_a_moving_one_is_carried_by_it():
    # a lever pivoted on the arm of another: a double pendulum, its lower pivot moves
    motion = run(
        """
        upper: {kind: lever, at: [200, 300], arms: {end: 80 right}, material: steel 2, bearing: {friction: 0}}
        lower: {kind: lever, at: upper.end, arms: {end: 60 down}, material: steel 2, bearing: {friction: 0}}
        """,
        seconds=0.5,
    )
    apart = motion.point("upper", "end") - motion.point("lower", "pivot")
    assert np.hypot(*apart.T).max() < 0.03
    assert motion.point("upper", "end")[:, 1].min() < 250
    # nothing drives or brakes it: what it falls is what it gains
    books = motion.ledger
    gained = books.kinetic + books.potential
    assert np.abs(gained).max() < 0.01 * books.kinetic.max()


def test_what_lies_flat_does_not_fall():
    hanging = "arm: {kind: lever, VIEW at: [100, 100], arms: {end: 50 right}, material: steel 2, bearing: {friction: 0}}"
    assert np.ptp(run(hanging.replace("VIEW", ""), seconds=0.3).frame("arm")[:, 2]) > 1
    assert (
        np.ptp(run(hanging.replace("VIEW", "view: top,"), seconds=0.3).frame("arm")[:, 2])
        < 1e-9
    )


def test_neighbours_of_too_unlike_masses_are_refused_with_their_place():
    scene = read(
        SHAFT
        + """
    crank: {kind: crank, on: shaft, radius: 20, mass: 5 kg}
    rod: {kind: rod, from: crank.pin, to: ram.pin, length: 80, mass: 1 g}
    ram: {kind: slider, slides: right, length: 90, mass: 50 g, guide: {at: 130 right of shaft, ideal: yes}}
"""
    )
    with pytest.raises(SceneError, match="'rod' weighs 1 g and is pinned to 'shaft'") as caught:
        build(scene)
    (problem,) = caught.value.problems
    assert problem.place.source.strip().startswith("rod:")
    assert "mass: " in problem.write


# ---------------------------------------------------------------- friction
def test_friction_runs_over_the_range_that_is_written():
    piece = SHAFT.replace("steel 6", "steel 6, bearing: {friction: 0.1 to 0.3}") + (
        "    wheel: {kind: wheel, on: shaft, radius: 30, mass: 400 g}\n"
    )
    torques = []
    for level in (0, 0.5, 1):
        motion = run(piece, level=level, turns=0.3)
        torques.append(motion.drive.torque[motion.begins :].mean())
    assert torques[1] / torques[0] == pytest.approx(2, rel=1e-3)
    assert torques[2] / torques[0] == pytest.approx(3, rel=1e-3)


def test_friction_left_out_is_the_dry_pair_of_the_stuffs_and_is_told():
    world = build(
        read(
            SHAFT
            + "    crank: {kind: crank, on: shaft, radius: 20}\n    rod: {kind: rod, from: crank.pin, to: ram.pin, length: 80}\n"
            "    ram: {kind: slider, slides: right, length: 90, material: brass 8, guide: {at: 130 right of shaft}}\n"
        ),
        level=1,
    )
    assert world.contacts["ram.guide"].coefficient == pytest.approx(
        0.75
    )  # wood and metal, dry, the highest
    assert any("brass on birch ply" in sentence for sentence in world.remarks)


def test_ball_bearing_hardly_drags():
    torques = []
    for bearing in ("{ball: yes}", "{friction: 0.3}"):
        motion = run(
            f"shaft: {{kind: shaft, at: [100, 100], material: steel 6, bearing: {bearing}}}\n"
            "handle: {kind: handle, on: shaft, speed: 60 rpm}\nwheel: {kind: wheel, on: shaft, radius: 30, mass: 400 g}\n",
            turns=0.3,
        )
        torques.append(motion.drive.torque[motion.begins :].mean())
    assert torques[0] / torques[1] == pytest.approx(0.00325 / 0.3, rel=0.01)


# ---------------------------------------------------------------- bearings with play, springs
def test_a_shaft_with_play_turns_on_the_wall_of_its_hole():
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], material: steel 6, bearing: {play: 0.3, friction: 0.1}}
        handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm}
        wheel: {kind: wheel, on: shaft, radius: 30, mass: 300 g}
        """,
        turns=1,
    )
    away = np.hypot(*(motion.frame("shaft")[motion.begins :, :2] - [100, 100]).T)
    assert away.mean() == pytest.approx(0.15, abs=0.005)
    contact = motion.contacts["shaft.bearing"]
    weight = link_of(build(motion.scene), "shaft").weight.mass * 9806.65 / NEWTON
    assert contact.normal[motion.begins :].mean() / NEWTON == pytest.approx(
        weight * math.cos(math.atan(0.1)), rel=0.01
    )


def test_a_spring_between_two_moving_parts_pulls_on_both():
    motion = run(
        """
        one: {kind: lever, view: top, at: [60, 100], arms: {end: 50 up}, material: steel 3, bearing: {friction: 0}}
        other: {kind: lever, view: top, at: [160, 100], arms: {end: 50 up}, material: steel 3, bearing: {friction: 0}}
        spring: {kind: extension spring, view: top, from: one.end, to: other.end, rate: 0.05 N/mm, free length: 98}
        """,
        seconds=0.1,
    )
    first, second = motion.frame("one")[:, 2], motion.frame("other")[:, 2]
    assert first[-1] < -0.01
    assert second == pytest.approx(-first, abs=1e-9)


# ---------------------------------------------------------------- the choice of the step
def test_step_follows_from_the_fastest_and_the_stiffest():
    assert choose(3, False, False, 6.3, 0.0).dt == 2.5e-4
    assert choose(3, True, False, 6.3, 0.0).dt == 1e-4
    assert choose(3, False, False, 100.0, 0.0).dt == 4e-5  # a quarter of a degree a step
    # k = 100 N/mm on 1 g: stable up to 2 / sqrt(k/m) = 0.2 ms; half of k dt^2 / m is allowed
    stiff = choose(3, False, False, 1.0, math.sqrt(1e8 / 1.0))
    assert stiff.dt * 1e4 < math.sqrt(2)
    assert choose(3, False, True, 6.3, 0.0).iterations == 120
    for settings in (
        choose(n, c, g, f, s)
        for n in (1, 60)
        for c in (0, 1)
        for g in (0, 1)
        for f in (1, 300)
        for s in (0, 1e5)
    ):
        assert settings.steps_a_sample * settings.dt == pytest.approx(1e-3)


def test_a_stiff_spring_on_a_light_part_shortens_the_step_and_stays_calm():
    motion = run(
        """
        hook: {kind: pin, at: [100, 300]}
        ram: {kind: slider, slides: down, length: 60, mass: 1 g, material: steel 6, guide: {at: [100, 200], ideal: yes}}
        spring: {kind: extension spring, from: hook.centre, to: ram.pin, rate: 50 N/mm}
        """,
        seconds=0.2,
    )
    assert motion.trust.dt < 2.5e-4
    length = motion.channels["spring.length"].values
    assert (
        np.abs(length - length[0]).max() < 3 * 9806.65 / 50e6
    )  # twice the hang of 0.2 micrometres


# ---------------------------------------------------------------- shapes of contact
def test_pin_in_a_hole_touches_where_it_leans():
    bore = BoreTouch(3.0, 0.1)
    gap, nx, ny, px, py = bore.nearest(0.0, -0.08, 0.0)
    assert gap == pytest.approx(0.0205)
    assert (nx, ny) == pytest.approx((0, 1))  # from the wall inwards
    assert (px, py) == pytest.approx((0, -3.1005))


def test_roller_on_an_egg_touches_round_flank_and_nose():
    from animator.outlines import Circle

    egg = HullRollerTouch([Circle(0, 0, 16), Circle(0, 13, 7)], 5)
    assert egg.nearest(0, -25, 0)[:3] == pytest.approx((4, 0, -1))
    assert egg.nearest(0, 30, 0)[:3] == pytest.approx((5, 0, 1))
    # the flank's normal leans up by asin((16 - 7) / 13); a roller 4 mm off the middle of the flank
    up, aside = 9 / 13, math.sqrt(1 - (9 / 13) ** 2)
    along = 13 * aside / 2
    x, y = (16 + 5 + 4) * aside - along * up, (16 + 5 + 4) * up + along * aside
    assert egg.nearest(x, y, 0)[:3] == pytest.approx((4, aside, up))


def test_hand_can_not_push_harder_than_its_strength():
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], material: steel 6, bearing: {friction: 0}, drag torque: 0.2 N m}
        handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm, strength: 0.1 N m}
        """,
        turns=1,
    )
    assert motion.drive.torque.max() / NEWTON_MM == pytest.approx(100, rel=1e-6)
    assert motion.end == "stalled"


def test_settings_tell_pymunk_what_is_left_of_an_error_after_a_second():
    settings = Settings(1e-4, 30)
    assert settings.joint_bias == pytest.approx(0.97**10000)
    assert settings.joint_bias > 0  # 0.0 would mean: all at once, and chatter
