"""What ``check`` makes a maker mind: from what a piece has and does, with the figure that asks for it."""

import pytest

import animator
from animator.findings._reach import face_of, narrowest
from animator.findings.cautions import FINGER, TOUCHING, cautions_of
from tests.drawn import drawn
from tests.pieces import SCENES, read, run

DOOR = """
    shaft: {kind: shaft, at: [50, 50]}
    handle: {kind: handle, on: shaft, speed: 30 rpm}
    crank: {kind: crank, on: shaft, radius: 20, angle: right}
    rod: {kind: rod, from: crank.pin, to: ram.pin, length: 60}
    ram: {kind: slider, slides: right, guide: {at: [160, 50], length: 16}, length: 80}
    hand: {kind: figure, on: ram.tip, artwork: {shapes: [{block: [10, 10]}]}}
    wall: {kind: figure, on: frame, at: [240, 50], artwork: {shapes: [{block: [10, 40]}]}}
"""


def of(motion):
    return {each.what: each for each in cautions_of(motion)}


@pytest.mark.slow
def test_a_gap_that_closes_is_measured():
    motion = run(DOOR)
    first, second, closed, opened = narrowest(motion, TOUCHING, FINGER)
    assert {first, second} == {"hand", "wall"}
    # faces: hand reaches 5 mm past the ram's tip, the wall begins at 235; the tip comes to 50 + 20 + 60 + 80 = 210 and goes back 40
    assert closed == 20.0 or abs(closed - 20.0) < 0.3
    assert abs(opened - 60.0) < 0.3
    told = of(motion)["Gaps that close"]
    assert told.figure == round(closed, 1)
    assert "ISO 13854" in told.source


@pytest.mark.slow
def test_wide_gaps_are_no_trap():
    motion = run(DOOR.replace("[240, 50]", "[262, 50]"))
    found = narrowest(motion, TOUCHING, FINGER)
    assert found is None or {found[0], found[1]} != {"hand", "wall"}


def test_a_motor_is_told_by_what_it_gives_standing_still():
    motion = run(
        """
        shaft: {kind: shaft, at: [50, 50]}
        motor: {kind: motor, on: shaft, speed: 90 rpm, stall torque: 40 N mm}
        """,
        seconds=0.5,
    )
    told = of(motion)
    assert told["Motor"].figure == 40.0
    assert "2 N on a finger 20 mm from the shaft" in told["Motor"].sentence
    assert told["Turning parts"].figure == 90.0
    assert "Handle" not in told


@pytest.mark.slow
def test_local_rules_come_last_and_always():
    for name in ("heron", "mole"):
        motion = animator.run(animator.read(SCENES / f"{name}.yaml"), turns=1)
        last = cautions_of(motion)[-1]
        assert last.what == "Rules"
        assert "licensed practice" in last.sentence
    report = animator.examine(animator.run(read(DOOR)))
    assert report.cautions[-1].what == "Rules"


def test_faces_follow_artwork_wheels_and_arms():
    parts = drawn(
        "disc: {kind: wheel, on: shaft, radius: 20}\n"
        "beam: {kind: lever, at: [9, 9], arms: {a: 30 right, b: 40 up}}\n"
        "cut: {kind: figure, on: beam.a, artwork: {shapes: [{block: [4, 6], at: [0, 3]}]}}\n"
    )
    assert abs(face_of(parts["disc"])).max() == 20.0
    assert face_of(parts["beam"]).max(0).tolist() == [30.0, 40.0]
    assert face_of(parts["cut"]).min(0).tolist() == [-2.0, 0.0]


def test_what_wears_fastest_is_told_by_its_place():
    parts = """
        shaft: {kind: shaft, at: [50, 50], material: steel 5, bearing: {friction: 0.3, length: 10}}
        handle: {kind: handle, on: shaft, speed: 120 rpm}
        wheel: {kind: wheel, on: shaft, radius: 30, mass: 500 g}
    """
    motion = run(parts, turns=3)
    told = of(motion)["Wear"]
    # Archard: k F s / A; its weight on two holes of 5 x 10 mm, 720 000 turns of 15.7 mm, 1e-4 mm^3/(N m)
    weight = 9.80665e-3 * sum(each.weight.mass for each in animator.build(motion.scene).links)
    wanted = 1e-4 * weight * (720_000 * 15.708e-3) / 100
    assert abs(told.figure / wanted - 1) < 0.02  # it is told with two digits
    assert "bearing of shaft" in told.sentence
    assert "Wear" not in of(run(parts.replace("length: 10", "length: 60"), turns=3))


@pytest.mark.slow
def test_a_coin_machine_and_a_thrown_pea_tell_of_themselves():
    coin = of(animator.run(animator.read(SCENES / "kinds" / "coin-slot.yaml"), seconds=2))
    assert {"Coin-operated machine", "Extra-low voltage", "Motor"} <= set(coin)
    pea = animator.run(animator.read(SCENES / "kinds" / "projectile.yaml"))
    told = of(pea)["Thrown objects"]
    name = next(each for each, part in pea.scene.parts.items() if part.kind == "projectile")
    speed = pea.channels[f"{name}.launch speed"].values.max() / 1000
    mass = (pea.scene.parts[name].mass or 1.0) / 1000
    assert abs(told.figure / (500 * mass * speed**2) - 1) < 0.01
