"""The loop: it repeats to the last bit, agrees with a finer run, and says so when it can't be trusted."""

import hashlib
import subprocess
import sys

import numpy as np
import pytest

import animator
from animator.world.building import build
from animator.world.settings import Settings
from tests.pieces import NEWTON, SCENES, read, run, run_demo, smoothed

HASH = """
import hashlib, animator
motion = animator.run(animator.read({path!r}, {variant!r}), turns=1)
print(hashlib.sha256(motion.poses.tobytes() + motion.ledger.residual.tobytes()).hexdigest())
"""


def fingerprint(motion):
    return hashlib.sha256(motion.poses.tobytes() + motion.ledger.residual.tobytes()).hexdigest()


@pytest.mark.parametrize(
    ("name", "variant"), [("heron", "fast"), ("carousel", "band"), ("baker", "dry guide")]
)
def test_same_scene_moves_the_same_to_the_last_bit(name, variant):
    first, second = (run_demo(name, variant, turns=0.3) for _ in range(2))
    assert np.array_equal(first.poses, second.poses)
    for key, contact in first.contacts.items():
        assert np.array_equal(contact.normal, second.contacts[key].normal)
    for key, channel in first.channels.items():
        assert np.array_equal(channel.values, second.channels[key].values)
    assert np.array_equal(first.ledger.residual, second.ledger.residual)
    assert np.array_equal(first.drive.torque, second.drive.torque)


@pytest.mark.slow
def test_another_process_moves_it_the_same_to_the_last_bit():
    code = HASH.format(path=str(SCENES / "heron.yaml"), variant="fast")
    other = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert other.stdout.strip() == fingerprint(run_demo("heron", "fast", turns=1))


def knob(motion):
    """Largest 5 ms mean of the force at the knob after the start-up. [N]"""
    torque = smoothed(motion.drive.torque[motion.begins + 5 : -5])
    return np.abs(torque).max() / motion.drive.radius / NEWTON


MEASURES = {
    ("baker", "dry guide"): {
        "travel": lambda m: np.ptp(m.point("ram", "pin")[m.begins :, 0]),
        "force at the knob": knob,
        "swing": lambda m: np.ptp(m.frame("baker")[m.begins :, 2]),
        "work": lambda m: sum(m.ledger.work_in.values())[-1],
    },
    ("heron", "fast"): {
        "lift": lambda m: np.ptp(m.point("heron", "foot")[m.begins :, 1]),
        "hit speed": lambda m: m.contacts["lifter"].hit[:, 1].max(),
    },
    ("mole", None): {"stands at": lambda m: m.drive.angle[-1]},
    ("skater", "as drawn"): {
        "lift": lambda m: np.ptp(m.point("ice", "top")[m.begins :, 1]),
        "spin": lambda m: (
            m.channels["ice.spin"].values[-1] - m.channels["ice.spin"].values[m.begins]
        ),
    },
    ("carousel", "band"): {
        "turns": lambda m: m.frame("carousel")[-1, 2] - m.frame("carousel")[m.begins, 2],
        "tension": lambda m: m.channels["loop.tension"].values[m.begins :].mean(),
    },
    ("carousel", "chain"): {"turns": lambda m: m.frame("carousel")[-1, 2]},
}


@pytest.mark.slow
@pytest.mark.parametrize(("name", "variant"), MEASURES)
def test_half_the_step_changes_no_measure_by_a_hundredth(name, variant):
    scene = animator.read(SCENES / f"{name}.yaml", variant)
    whole = animator.run(scene, turns=1)
    half = animator.run(scene, turns=1, settings=build(scene).settings.halved())
    assert half.trust.dt == pytest.approx(
        whole.trust.dt / 2, rel=0.21
    )  # steps divide a millisecond
    for measure, of in MEASURES[name, variant].items():
        assert of(half) == pytest.approx(of(whole), rel=0.01), measure


# ---------------------------------------------------------------- ends
TURNING = """
    shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {friction: 0}, drag torque: DRAG}
    handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm, strength: 1 N}
"""


def test_a_hand_that_is_too_weak_stands_still_and_says_where():
    motion = run(TURNING.replace("DRAG", "60 N mm"), turns=1)
    assert motion.end == "stalled"
    assert motion.sentence == "shaft stands still at 0 degrees"
    assert motion.drive.torque[-100:] / NEWTON == pytest.approx(
        40
    )  # all that 1 N at 40 mm can give


def test_a_piece_that_comes_back_to_itself_stops_by_itself():
    motion = run(TURNING.replace("DRAG", "10 N mm"))
    assert motion.end == "repeats"
    assert motion.drive.angle[-1] < 30


def test_a_drive_starts_gently_over_a_quarter_turn():
    motion = run(TURNING.replace("DRAG", "10 N mm"), turns=0.5)
    begins = motion.begins
    assert motion.drive.angle[begins] == pytest.approx(np.pi / 2, rel=0.01)
    assert motion.drive.speed[begins] == pytest.approx(2 * np.pi, rel=0.01)
    share = motion.times[: begins + 1] / motion.times[begins]
    law = share**3 * (10 - 15 * share + 6 * share**2)
    assert motion.drive.speed[: begins + 1] == pytest.approx(2 * np.pi * law, abs=0.03)


# ---------------------------------------------------------------- what can't be trusted
def crank_slider(light="30 g", settings=None):
    return animator.run(
        read(
            f"""
            shaft: {{kind: shaft, at: [60, 100], material: steel 5}}
            handle: {{kind: handle, on: shaft, speed: 300 rpm, strength: 50 N m}}
            crank: {{kind: crank, on: shaft, radius: 40, mass: 30 g}}
            rod: {{kind: rod, from: crank.pin, to: ram.pin, length: 120, mass: {light}}}
            ram: {{kind: slider, slides: right, length: 140, mass: 900 g, material: birch 10, guide: {{at: 190 right of shaft, length: 20, clearance: 0.2, friction: 0.3}}}}
            """
        ),
        settings=settings,
        turns=2,
    )


def test_a_run_with_absurd_settings_is_mended_or_not_trusted_and_never_wrong():
    # one iteration a step cannot hold a crank of 900 g on a rod of 2 g: tries get safer; what is kept holds its joints, or says that it doesn't
    motion = crank_slider("2 g", Settings(1e-3, 1))
    assert motion.trust.retries > 0
    if motion.trust.is_ok:
        assert motion.trust.joint_error <= 0.05
        pin, rod = motion.point("crank", "pin"), motion.point("rod", "near")
        assert np.hypot(*(pin - rod).T).max() < 0.06
    else:
        assert motion.end == "not trusted"


def test_a_run_that_flies_apart_ends_as_not_trusted(monkeypatch):
    from animator.motion import running

    monkeypatch.setattr(running, "MOST_TRIES", 1)
    motion = crank_slider("2 g", Settings(1e-3, 1))
    assert motion.end == "not trusted"
    assert not motion.trust.is_ok
    assert motion.trust.sentence == "the joints came apart, so the run can't be trusted"


def test_a_joint_torn_in_mid_run_ends_it(monkeypatch):
    # as if the solver lost its grip: from the third tenth of a second on, a body is shifted a little every step
    from animator.world import building

    laid = building.Bench._lay_out

    def torn(self):
        laid(self)

        def shift(t):
            if t > 0.3:
                body = self.body("ram")
                x, y = body.position
                body.position = x + 0.05, y

        self.world.before.append(shift)

    monkeypatch.setattr(building.Bench, "_lay_out", torn)
    motion = crank_slider()
    assert motion.end == "not trusted"
    assert motion.trust.retries == 2


@pytest.mark.slow
def test_a_stem_forced_through_its_wedge_is_not_trusted():
    # a wire of 1 g, wedged at 24 degrees, under a hand of 3 N m: no iterations hold that, and it must not be shown sliding through
    motion = animator.run(
        read(
            """
            camshaft: {kind: shaft, at: [100, 60], material: steel 6, bearing: {friction: 0}}
            handle: {kind: handle, on: camshaft, speed: 20 rpm, strength: 3 N m, starts over: 20}
            hill: {kind: cam, on: camshaft, base radius: 46, material: birch ply 6, programme: [{dwell: 40}, {rise: 20, over: 80}, {dwell: 40}, {fall: 20, over: 120}, {dwell: rest}]}
            lifter:
              kind: follower
              follows: hill
              tip: {roller diameter: 12}
              length: 240
              material: steel 0.5
              mass: 1 g
              guide: {at: 132 above camshaft, length: 20, clearance: 0.02, friction: 0.3}
            """
        ),
        turns=0.3,
        settings=Settings(1e-4, 30),
    )
    stood = motion.end == "stalled" and np.degrees(motion.drive.angle[-1]) < 75
    assert stood or motion.end == "not trusted"
    if not stood:
        assert (
            motion.trust.sentence
            == "a stem was forced through where it should have wedged, so the run can't be trusted"
        )


def test_safer_settings_hold_more_and_finer():
    first = Settings(1e-4, 120)
    second = first.safer()
    third = second.safer()
    assert second.iterations > first.iterations
    assert second.correction < first.correction
    assert third.iterations > second.iterations
    assert third.dt < second.dt
    assert (1e-3 / third.dt) == pytest.approx(round(1e-3 / third.dt))
