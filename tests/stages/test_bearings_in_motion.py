"""Bearings that are too tight, out of line, oiled or pointed, run through the whole program, against plain formulas."""

import math

import pytest

from animator.parts._bearings import edge_torque, film_drag, squeeze_torque
from tests.drawn import refusal
from tests.pieces import GRAVITY, NEWTON_MM, run

SPIN = """
    shaft: {{kind: shaft, at: [60, 60], material: steel 5, bearing: {bearing}}}
    handle: {{kind: handle, on: shaft, speed: 60 rpm}}
    wheel: {{kind: wheel, on: shaft, radius: 30, material: brass 4}}
"""


def torque(bearing: str) -> float:
    """Steady torque at the handle [N mm]."""
    motion = run(SPIN.format(bearing=bearing), turns=1)
    assert abs(motion.trust.residual_percent) < 0.1
    return float(motion.drive.torque[motion.begins :].mean() / NEWTON_MM)


def weight() -> float:
    """What the shaft with its wheel and handle weighs. [g]"""
    from animator.world.assembling import assemble
    from animator.world.building import build
    from tests.pieces import read

    world = build(assemble(read(SPIN.format(bearing="{friction: 0.2}"))))
    return float(world.links[0].weight.mass)


def test_a_journal_drags_with_mu_times_weight_times_its_radius():
    # FR-20: torque = mu W r for small mu (any text on bearings)
    drag = 0.2 * weight() * GRAVITY * 2.5 / NEWTON_MM
    assert torque("{friction: 0.2}") == pytest.approx(drag, rel=0.01)


def test_pointed_screws_rub_near_their_tips():
    assert torque("{friction: 0.2, pointed: yes}") == pytest.approx(
        torque("{friction: 0.2}") * 0.3 / 2.5, rel=0.02
    )


def test_a_hole_too_small_squeezes_its_shaft():
    # press fit: p = E / 1.3 * tight / d, torque mu p 2 pi r^2 l a hole; 0.002 mm in wood of 900 MPa, 9 mm long
    pressure = 900 / 1.3 * 0.002 / 5
    wanted = 2 * 0.2 * pressure * 2 * math.pi * 2.5**2 * 9
    tight = torque("{friction: 0.2, play: -0.002, length: 9}")
    assert tight - torque("{friction: 0.2}") == pytest.approx(wanted, rel=0.01)


def test_no_wall_presses_harder_than_it_bears():
    hard = squeeze_torque(0.2, 2.5, 9, "wood", 0.2)
    assert hard == squeeze_torque(0.1, 2.5, 9, "wood", 0.2)
    assert hard == pytest.approx(0.2 * 8 * 2 * math.pi * 2.5**2 * 9 * NEWTON_MM)


def test_play_lets_a_shaft_lean_before_it_bends():
    lean = 0.1 / 9
    assert edge_torque(lean, 0.1, 2.5, 9, 80, ("metal", "wood"), 0.2) == 0
    bent = edge_torque(lean + 1e-4, 0.1, 2.5, 9, 80, ("metal", "wood"), 0.2)
    moment = (
        3 * 206_000 * math.pi * 2.5**4 / 4 * 1e-4 / 80
    )  # M = 3 E I theta / l (any text on beams)
    assert bent == pytest.approx(0.2 * 2 * moment / 9 * 2.5 * NEWTON_MM)


def test_holes_out_of_line_drag():
    assert torque("{friction: 0.2, out of line: 1}") > 5 * torque("{friction: 0.2}")
    assert torque("{friction: 0.2, play: 0.2, out of line: 1}") == pytest.approx(
        torque("{friction: 0.2, play: 0.2}"), rel=0.02
    )


def test_oil_brakes_in_proportion_to_the_speed():
    film = film_drag(2.5, 30, 0.05) * 2 * math.pi / NEWTON_MM  # at one turn a second
    oiled = torque("{friction: 0.05, play: 0.05, length: 30, oiled tube: yes}")
    assert oiled - torque("{friction: 0.05}") == pytest.approx(film, rel=0.02)


@pytest.mark.parametrize(
    ("bearing", "what"),
    [
        ("{ball: yes, oiled tube: yes}", "a ball bearing has its own 'oiled_tube'"),
        ("{oiled tube: yes}", "oil needs room between the tubes"),
        (
            "{pointed: yes, play: 0.1}",
            "pointed screws are set without play, and find their line",
        ),
        ("{out of line: 20}", "a shaft doesn't go through two holes so far out of line"),
    ],
)
def test_bearings_that_make_no_sense(bearing, what):
    assert what.replace("_", " ") in refusal(
        f"axle: {{kind: shaft, at: [9, 9], bearing: {bearing}}}"
    )[0].replace("_", " ")
