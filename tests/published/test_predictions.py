"""What each kind's ``predict`` says beside the run, against the recorded motion of its demo. The run never uses it."""

import math

import numpy as np
import pytest

from tests.pieces import run, run_demo


def predicted(motion, part):
    (found,) = motion.scene.parts[part].predict(motion)
    assert len(found.source) > 20
    return found.measure, found.value


def test_stroke_of_the_bakers_ram():
    motion = run_demo("baker", turns=1)
    measure, value = predicted(motion, "ram")
    assert measure == "ram.travel"
    assert np.ptp(motion.point("ram", "pin")[motion.begins :, 0]) == pytest.approx(
        value, abs=0.04
    )  # 0.1 %


@pytest.mark.parametrize("variant", ["band", "spring belt"])
def test_creep_of_the_carousels_belts(variant):
    motion = run_demo("carousel", variant, turns=5)
    measure, value = predicted(motion, "loop")
    assert measure == "loop.slip"
    slip, begins = motion.slips["loop"], motion.begins
    lost = 1 - (slip.got[-1] - slip.got[begins]) / (slip.due[-1] - slip.due[begins])
    # the formula takes mean tensions; the belt still swings a little after the start
    assert lost == pytest.approx(value, rel=0.03)


def test_ripple_of_the_carousels_chain():
    motion = run_demo("carousel", "chain", turns=1)
    measure, value = predicted(motion, "loop")
    assert measure == "loop.ripple"
    speed = motion.channels["loop.speed"].values[motion.begins :]
    assert 1 - speed.min() / speed.max() == pytest.approx(value, rel=0.02)


@pytest.mark.slow
def test_spin_of_the_skater_on_a_round_cam():
    motion = run_demo("skater", "even", turns=1)
    measure, value = predicted(motion, "ice")
    assert measure == "ice.spin"
    spin = motion.channels["ice.spin"].values
    turned = motion.drive.angle[-1] - motion.drive.angle[motion.begins]
    got = spin[-1] - spin[motion.begins]
    assert got == pytest.approx(turned * 18 / 6, rel=1e-3)
    assert value in (
        pytest.approx(got, rel=0.01),
        pytest.approx(got / turned * math.tau, rel=0.01),
    )


def test_speed_of_a_loaded_motor():
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], material: steel 4, bearing: {friction: 0}, drag torque: 20 N mm}
        motor: {kind: motor, on: shaft, speed: 130 rpm, stall torque: 0.74 kg cm}
        """,
        seconds=2,
    )
    measure, value = predicted(motion, "motor")
    assert measure == "shaft.speed"
    # at the mean torque, which still holds something of the start
    assert motion.drive.speed[-1] == pytest.approx(value, rel=5e-3)
