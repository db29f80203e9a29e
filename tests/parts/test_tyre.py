import pytest

from tests.drawn import drawn, refusal, scene
from tests.pieces import NEWTON, NEWTON_MM, run

SHAFTS = "far: {kind: shaft, at: right of shaft}\nbig: {kind: wheel, on: far, radius: 30}\n"
TYRE = "tyre: {kind: tyre, on: shaft, diameter: 20, runs on: big, pressed: 2 N}\n"
PRESSED = """
    near: {{kind: shaft, at: [60, 60], bearing: {{ball: yes}}}}
    handle: {{kind: handle, on: near, speed: 60 rpm}}
    tyre: {{kind: tyre, on: near, diameter: 50, runs on: small, pressed: 5 N, friction: 0.6}}
    far: {{kind: shaft, at: right of near, bearing: {{ball: yes}}, drag torque: {drag} N mm}}
    small: {{kind: wheel, on: far, radius: 15}}
"""


def test_a_tyre_stands_as_far_off_as_both_wheels_reach():
    parts = drawn(SHAFTS + TYRE)
    (spacing,) = parts["tyre"].spaces(parts)
    assert spacing.distance == pytest.approx(40.0)
    (coupling,) = parts["tyre"].couples(parts)
    assert coupling.ratio == pytest.approx(-1 / 3)


def test_a_tyre_runs_on_a_wheel():
    assert (
        refusal("tyre: {kind: tyre, on: shaft, diameter: 20, runs on: handle}\n")[0]
        == "'handle' is a handle; here belongs a wheel or a pulley or a tyre"
    )


def test_wheels_on_one_axis_can_not_roll_on_each_other():
    from animator.problems import SceneError
    from animator.world.assembling import assemble

    same = "big: {kind: wheel, on: shaft, radius: 30}\n" + TYRE
    with pytest.raises(SceneError, match="turn about one axis"):
        assemble(scene(same))


@pytest.mark.parametrize(("drag", "slips"), [(43.8, False), (46.0, True)])
def test_a_tyre_hands_over_no_more_than_its_grip(drag, slips):
    # BELT-12: mu 0.6, N 5 N, r 15 mm -> 45 N mm less what the ball bearing takes (any text on friction wheels)
    motion = run(PRESSED.format(drag=drag), turns=2)
    slip = motion.slips["tyre"]
    lost = 1 - slip.got[-1] / slip.due[-1]
    assert (lost > 0.5) if slips else (abs(lost) < 1e-3)
    assert motion.channels["tyre.grip"].values[-1] <= 3.0 * NEWTON * (1 + 1e-9)


def test_a_slipping_tyre_turns_what_it_loses_into_heat():
    motion = run(PRESSED.format(drag=60), turns=2)
    slip = motion.slips["tyre"]
    rubbed = motion.ledger.heat["tyre rubbing"][-1]
    assert rubbed == pytest.approx(0.6 * 5 * NEWTON * slip.rubbed[-1], rel=2e-3)
    assert abs(motion.trust.residual_percent) < 0.1


@pytest.mark.slow
def test_a_weight_presses_a_tyre_on():
    """On a lever nothing is set: the wheel's grip comes from the weight alone, and holds up to mu N (exact contact)."""
    motion = run(
        """
        arm: {kind: lever, at: [20, 100], arms: {axle: 60 right}, mass: 1 g}
        load: {kind: weight, on: arm.axle, mass: 200 g}
        axle: {kind: shaft, at: arm.axle, bearing: {ball: yes}}
        tyre: {kind: tyre, on: axle, diameter: 30, runs on: drum, friction: 0.7}
        near: {kind: shaft, at: [80, 65], bearing: {ball: yes}}
        handle: {kind: handle, on: near, speed: 30 rpm}
        drum: {kind: wheel, on: near, radius: 20}
        """,
        turns=2,
    )
    slip = motion.slips["tyre"]
    assert abs(1 - slip.got[-1] / slip.due[-1]) < 5e-3
    pressed = motion.contacts["tyre"].normal[len(motion.times) // 2 :].mean()
    assert pressed == pytest.approx(0.2 * 9.80665 * NEWTON, rel=0.12)  # and a little of the arm
    assert motion.ledger.work_in["handle"][-1] < 30 * NEWTON_MM
