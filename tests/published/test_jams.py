"""When a follower's stem wedges in its guide, from contact forces alone.

CAM-20, Rothbart, Cam Design Handbook, section on follower forces (from memory; derived anew here): a push at the tip, leaning by alpha
from the stem, ``a`` before a guide of length ``b`` with friction mu, wedges at tan alpha = b / (mu (2 a + b)). The formula neglects
the stem's thickness, its play and the load. So the stem here is a wire of half a millimetre with 0.02 mm of play that carries 10 g, which a hand of
0.5 N m could lift a hundred times over. Tolerance 2 % (threshold with Coulomb friction).

A roller turns on a pin, whose friction leans the push a little further; the recorded force at the rim is taken as it is.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from tests.pieces import run

LIFT = 20.0
PIN_FRICTION, PIN_RADIUS = (
    0.2,
    1.5,
)  # a roller's pin: 3 mm, greased; smaller rollers have a pin of half their size


def lean(base, roller, over, share):
    """Lean of the push [rad] and lift [mm] of a roller at a share of a cycloidal rise, pin friction included."""
    slope = LIFT / math.radians(over) * (1 - np.cos(2 * math.pi * share))
    rise = LIFT * (share - np.sin(2 * math.pi * share) / (2 * math.pi))
    pin = math.atan(PIN_FRICTION * min(PIN_RADIUS, roller / 2) / roller)
    return np.arctan(slope / (base + roller + rise)) + pin, rise


def base_for(closeness, overhang, bearing, friction, roller, over):
    """Base radius with which the push comes this close to wedging: 1 just wedges. The overhang is given at mid-lift and shortens as the tip rises."""
    share = np.linspace(0, 1, 4001)

    def nearest(base):
        angle, rise = lean(base, roller, over, share)
        now = overhang + LIFT / 2 - rise
        return (np.tan(angle) * friction * (2 * now + bearing) / bearing).max()

    return brentq(lambda base: nearest(base) - closeness, 8, 150)


def push_through(base, overhang, bearing, friction, roller, over):
    middle = base + roller + LIFT / 2 + overhang + bearing / 2
    return run(
        f"""
        camshaft: {{kind: shaft, at: [100, 60], material: steel 6, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: camshaft, speed: 20 rpm, strength: 0.5 N m, starts over: 20}}
        hill: {{kind: cam, on: camshaft, base radius: {base:.4f}, material: birch ply 6, programme: [{{dwell: 40}}, {{rise: {LIFT}, over: {over}, law: cycloidal}}, {{dwell: 40}}, {{fall: {LIFT}, over: 120}}, {{dwell: rest}}]}}
        lifter:
          kind: follower
          follows: hill
          tip: {{roller diameter: {2 * roller}}}
          length: {middle + 80:.4f}
          material: steel 0.5
          mass: 10 g
          guide: {{at: {middle:.4f} above camshaft, length: {bearing}, clearance: 0.02, friction: {friction}}}
        """,
        turns=(over + 30) / 360,
    )


CASES = [
    # overhang, bearing, friction, wedges at (degrees), roller radius, rise over
    (30, 40, 0.3, 53.13, 3, 50),
    (30, 40, 0.5, 38.66, 6, 60),
    (60, 20, 0.3, 25.46, 6, 80),
]


@pytest.mark.parametrize(("overhang", "bearing", "friction", "limit", "roller", "over"), CASES)
def test_stem_stands_at_the_handbook_angle(overhang, bearing, friction, limit, roller, over):
    table = math.atan(bearing / (friction * (2 * overhang + bearing)))
    assert math.degrees(table) == pytest.approx(limit, abs=0.005)
    # the overhang is as in the table where it wedges: the guide is set so that it does so at that height
    share = 0.4
    _, rise = lean(30, roller, over, share)
    at_middle = overhang + rise - LIFT / 2

    def wedges(base):
        return lean(base, roller, over, share)[0] - table

    base = brentq(wedges, 5, 150)
    motion = push_through(base, at_middle, bearing, friction, roller, over)
    assert motion.end == "stalled"
    contact = motion.contacts["lifter"]
    (x, y), normal, rub = contact.direction[-1], contact.normal[-1], contact.friction[-1]
    push = math.atan2(-x, y) + math.atan2(rub, normal)
    now = at_middle + LIFT / 2 - (motion.point("lifter", "tip")[-1, 1] - 60 - base - roller)
    assert now == pytest.approx(overhang, abs=0.02 * overhang)
    assert math.degrees(push) == pytest.approx(limit, rel=0.02)
    # with the overhang as it was then, the formula holds closer still; the load of 10 g stands for half a per cent
    exact = math.atan(bearing / (friction * (2 * now + bearing)))
    assert push == pytest.approx(exact, rel=0.012)


@pytest.mark.slow
@pytest.mark.parametrize(("overhang", "bearing", "friction", "limit", "roller", "over"), CASES)
def test_stem_runs_just_under_the_handbook_angle_and_stands_just_over_it(
    overhang, bearing, friction, limit, roller, over
):
    ends = []
    for closeness in (0.98, 1.02):
        base = base_for(closeness, overhang, bearing, friction, roller, over)
        motion = push_through(base, overhang, bearing, friction, roller, over)
        ends.append(motion.end)
        if closeness < 1:
            lifted = motion.point("lifter", "tip")[:, 1]
            assert lifted[-1] - lifted[0] == pytest.approx(LIFT, abs=0.05)
    assert ends == ["finished", "stalled"]
