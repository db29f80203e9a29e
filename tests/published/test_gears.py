"""Gears against textbooks and against teeth cut anew: contact ratios, trains, planets, the cross of a universal joint, lost motion, loss.

Counting is exact; geometry agrees to the digits printed; loss in the teeth, whose share among the pairs that touch nobody knows, to 5 %. What is cut anew
here (polygons of a rack-shaped cutter swept round a blank) doesn't import ``animator`` for its reference.
"""

import math

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from animator.geometry import Pose
from animator.parts import _involute
from animator.parts._involute import (
    PRESSURE,
    UNDERCUT,
    Toothing,
    contact_path,
    meshing_phase,
    rack_outline,
)
from animator.world.meshing import PairTouch, RackTouch, RingTouch
from tests.pieces import NEWTON_MM, read, run

FREE = "bearing: {friction: 0}, material: steel 5"


# ---------------------------------------------------------------- GR-01, GR-02, GR-03, GR-05: teeth
def test_basic_rack():
    """ISO 53: p = pi m, addendum m, dedendum 1.25 m, tip diameter m (z + 2); middles m (z1 + z2) / 2 (GR-01)."""
    gear = Toothing(20, 2.5)
    assert gear.pitch == pytest.approx(math.pi * 2.5)
    assert 2 * gear.tip == pytest.approx(2.5 * 22)
    assert 2 * gear.foot == pytest.approx(2.5 * (20 - 2.5))
    parts = read(
        """
        one: {kind: shaft, at: [50, 60]}
        handle: {kind: handle, on: one, speed: 30 rpm}
        a: {kind: gear, on: one, teeth: 12, module: 2}
        two: {kind: shaft, at: right of one}
        b: {kind: gear, on: two, teeth: 36, module: 2, meshes with: a}
        """
    )
    from animator.world.assembling import assemble

    starts = assemble(parts).starts
    assert starts["two"].x - starts["one"].x == pytest.approx(2 * (12 + 36) / 2)


@pytest.mark.parametrize(
    ("teeth", "module", "ratio"),
    [((30, 48), 5.0, 1.7005), ((20, 40), 1.0, 1.6352), ((18, 18), 1.0, 1.5298)],
)
def test_contact_ratio(teeth, module, ratio):
    """Sarkar, chapter 4, illustration 1 (GR-02: 48 and 30 teeth, path 25.101, arc 26.712); derived (GR-03)."""
    first, second = (Toothing(count, module) for count in teeth)
    path = sum(contact_path(first, second, first.radius + second.radius))
    assert path / (math.pi * module * math.cos(PRESSURE)) == pytest.approx(ratio, abs=1e-4)
    if module == 5.0:
        assert path == pytest.approx(25.101, abs=1e-3)
        assert path / math.cos(PRESSURE) == pytest.approx(26.712, abs=1e-3)


def test_contact_ratio_counted_on_the_outlines(monkeypatch):
    """GR-02 again, counted: over a pitch, how many pairs of the drawn teeth lie within a hair of each other when their play is taken up."""
    monkeypatch.setattr(_involute, "FINE", 120)  # chords of a tenth of a micrometre
    first, second = Toothing(30, 5.0, 0.1), Toothing(48, 5.0, 0.1)
    apart = first.radius + second.radius
    phase = meshing_phase(second, Pose(apart, 0.0), first, Pose(), 0.0)
    one, two = (Polygon(each.outline()) for each in (first, second))
    about = box(first.radius - 14, -30, first.radius + 14, 30)
    counts = []
    for i in range(30):
        turned = first.share * (i + 0.5) / 30
        back = 0.09999 / second.radius  # the second hangs back by its play, all but a hair
        a = affinity.rotate(one, turned, (0, 0), use_radians=True)
        b = affinity.rotate(two, phase - turned * 30 / 48 + back / 2, (0, 0), use_radians=True)
        b = affinity.translate(b, apart, 0.0)
        near = (
            a.intersection(about).buffer(2e-4).intersection(b.intersection(about).buffer(2e-4))
        )
        shapes = getattr(near, "geoms", [near])
        counts.append(sum(1 for shape in shapes if not shape.is_empty))
    assert np.mean(counts) == pytest.approx(1.7005, abs=0.06)


def swept(teeth: int, module: float, play: float) -> Polygon:
    """Gap of a wheel, cut by a rack-shaped tooth (ISO 53: dedendum 1.25, tip rounded by 0.38) that rolls past the blank."""
    pitch, lean = math.pi * module, math.tan(math.radians(20))
    half, deep, rounded = (pitch + play) / 4, 1.25 * module, 0.38 * module
    tooth = (
        Polygon(
            [
                (-half - 3 * module * lean, -3 * module),
                (half + 3 * module * lean, -3 * module),
                (half - deep * lean, deep),
                (-half + deep * lean, deep),
            ]
        )
        .buffer(-rounded)
        .buffer(rounded, quad_segs=32)
    )
    radius, cuts = module * teeth / 2, []
    for rolled in np.linspace(-1.2, 1.2, 121) * pitch / radius:
        here = affinity.affine_transform(tooth, [0, -1, 1, 0, radius, radius * rolled])
        cuts.append(affinity.rotate(here, -rolled, (0, 0), use_radians=True))
    return unary_union(cuts)


@pytest.mark.parametrize("teeth", [10, 12, 20])
def test_teeth_are_those_that_a_cutter_leaves(teeth):
    """Cut anew, undercut ones too: the drawn flank nowhere strays by more than 0.02 mm from the swept one."""
    made, gap = Toothing(teeth, 2.0, 0.1), swept(teeth, 2.0, 0.1)
    wheel = Polygon(made.outline(math.pi / teeth))  # a gap at the right
    for radius in np.linspace(made.foot + 0.05, made.tip - 0.05, 12):
        arc = LineString(
            [
                (radius * math.cos(a), radius * math.sin(a))
                for a in np.linspace(0, math.pi / teeth, 1500)
            ]
        )
        assert arc.intersection(gap).length == pytest.approx(
            arc.difference(wheel).length, abs=0.02
        )


def test_undercut_begins_where_the_textbook_says():
    """z >= 2 / sin^2 phi: 17.097 at 20 degrees (GR-05); whole wheels of 17 may still just be cut, 16 are told."""
    limit = 2 / math.sin(PRESSURE) ** 2
    assert limit == pytest.approx(17.097, abs=1e-3)
    assert math.floor(limit) == UNDERCUT
    for teeth in (12, 30):
        motion = run(
            f"""
            one: {{kind: shaft, at: [50, 60], {FREE}}}
            handle: {{kind: handle, on: one, speed: 60 rpm}}
            a: {{kind: gear, on: one, teeth: {teeth}, module: 2, friction: 0.2}}
            """,
            turns=0.1,
        )
        told = any("cutter eats" in each for each in motion.remarks)
        assert told == (teeth < limit)


@pytest.mark.parametrize("teeth", [(20, 33), (12, 36), (9, 40), (17, 17)])
def test_meshing_teeth_never_overlap_over_a_pitch(teeth):
    first, second = (Toothing(count, 2.0, 0.1) for count in teeth)
    apart = first.radius + second.radius
    phase = meshing_phase(second, Pose(apart, 0.0, 0.3), first, Pose(0, 0, 0.1), 0.0)
    one, two = (Polygon(each.outline()) for each in (first, second))
    assert one.is_valid
    assert two.is_valid
    for i in range(12):
        turned = first.share * i / 12
        a = affinity.rotate(one, 0.1 + turned, (0, 0), use_radians=True)
        b = affinity.rotate(
            two, 0.3 + phase - turned * teeth[0] / teeth[1], (0, 0), use_radians=True
        )
        # amid the play: half of it on either side, measured square to the flanks
        gap = a.distance(affinity.translate(b, apart, 0.0))
        assert gap == pytest.approx(0.05 * math.cos(PRESSURE), abs=2e-3)


@pytest.mark.parametrize("kind", ["pair", "ring", "rack"])
def test_touch_is_the_distance_of_the_outlines(kind):
    """The contact's gap against the distance of polygons (shapely), wheels turned and set apart at random."""
    rng = np.random.default_rng(3)
    wheel = Toothing(20, 2.0, 0.1)
    for _ in range(8):
        way, off = rng.uniform(-3, 3), rng.uniform(-0.03, 0.03)
        if kind == "rack":
            x, y = rng.uniform(-20, 20), wheel.radius + rng.uniform(0, 0.1)
            face = -math.pi / 2 + wheel.share / 2 - x / wheel.radius + off / wheel.radius
            edge = rack_outline(2.0, 0.1, 21)
            other = Polygon([*edge, (edge[-1][0], -10), (edge[0][0], -10)]).exterior
            gap = RackTouch(2.0, 0.1, wheel).nearest(x, y, face)[0]
        else:
            mate = Toothing(72 if kind == "ring" else 33, 2.0, 0.1, kind == "ring")
            apart = (
                mate.radius - wheel.radius - rng.uniform(0, 0.1)
                if kind == "ring"
                else mate.radius + wheel.radius + rng.uniform(0, 0.1)
            )
            x, y = apart * math.cos(way), apart * math.sin(way)
            face = meshing_phase(wheel, Pose(x, y), mate, Pose(), 0.0) + off / wheel.radius
            other = Polygon(mate.outline()).exterior
            touch = (RingTouch if kind == "ring" else PairTouch)(mate, wheel)
            gap = touch.nearest(x, y, face)[0]
        drawn = Polygon(wheel.outline(face))
        assert gap == pytest.approx(affinity.translate(drawn, x, y).distance(other), abs=3e-3)


# ---------------------------------------------------------------- GR-06: an exercise solved end to end
def test_two_wheels_for_a_given_distance():
    """Sarkar, chapter 4, illustration 5 (GR-06): shafts about 600 mm apart, circular pitch 30 mm, 3 to 1: 32 and 96 teeth, exact distance 611.155 mm."""
    pitch, about, ratio = 30.0, 600.0, 3
    pinion = round(2 * math.pi * about / pitch / (1 + ratio) + 0.499)
    motion = run(
        f"""
        one: {{kind: shaft, at: [300, 400], {FREE}}}
        handle: {{kind: handle, on: one, radius: 200, speed: 30 rpm, strength: 100 N}}
        a: {{kind: gear, on: one, teeth: {pinion}, module: {pitch / math.pi:.6f}, material: steel 30, friction: 0.1}}
        two: {{kind: shaft, at: right of one, {FREE}}}
        b: {{kind: gear, on: two, teeth: {ratio * pinion}, module: {pitch / math.pi:.6f}, material: steel 30, friction: 0.1, meshes with: a}}
        """,
        turns=0.3,
    )
    assert (pinion, ratio * pinion) == (32, 96)
    starts = motion.scene.starts
    assert starts["two"].x - starts["one"].x == pytest.approx(611.155, abs=1e-3)
    turned = motion.frame("two")[motion.begins :, 2]
    assert (turned[-1] - turned[0]) / (
        motion.drive.angle[-1] - motion.drive.angle[motion.begins]
    ) == pytest.approx(-1 / 3, abs=2e-4)


# ---------------------------------------------------------------- GR-07, GR-08: trains
def test_train_value_and_sense():
    """20 to 60, then 15 to 45: nine to one; every mesh turns the sense round (GR-07)."""
    motion = run(
        f"""
        one: {{kind: shaft, at: [50, 60], {FREE}}}
        handle: {{kind: handle, on: one, speed: 120 rpm}}
        a: {{kind: gear, on: one, teeth: 20, module: 1.5, friction: 0.2}}
        two: {{kind: shaft, at: right of one, {FREE}}}
        b: {{kind: gear, on: two, teeth: 60, module: 1.5, friction: 0.2, meshes with: a}}
        c: {{kind: gear, on: two, teeth: 15, module: 1.5, friction: 0.2}}
        three: {{kind: shaft, at: right of two, {FREE}, drag torque: 5 N mm}}
        d: {{kind: gear, on: three, teeth: 45, module: 1.5, friction: 0.2, meshes with: c}}
        """,
        turns=1.5,
    )
    begin = motion.begins
    driven = motion.drive.angle[-1] - motion.drive.angle[begin]
    turned = {name: motion.frame(name)[[begin, -1], 2] @ (-1, 1) for name in ("two", "three")}
    assert turned["two"] / driven == pytest.approx(-1 / 3, abs=1e-4)
    assert turned["three"] / driven == pytest.approx(1 / 9, abs=1e-4)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("held", "ratio"), [("ring", 1 / 4), ("carrier", -1 / 3), ("sun", 3 / 4)]
)
def test_planets(held, ratio):
    """Willis: sun 24, ring 72 (GR-08). Ring held, sun in: carrier out at 4; carrier held: ring at -3; sun held, ring in: carrier at 4/3."""
    drives, out = {
        "ring": ("sun", "carrier"),
        "carrier": ("sun", "ring"),
        "sun": ("ring", "carrier"),
    }[held]
    at = "at: [90, 80], held: yes"
    parts = {
        name: at if name == held and name != "carrier" else f"on: {name} shaft"
        for name in ("sun", "ring")
    }
    shafts = "\n".join(
        f"{name} shaft: {{kind: shaft, at: [90, 80], {FREE}{', drag torque: 2 N mm' if name == out else ''}}}"
        for name in ("sun", "ring", "carrier")
        if name != held
    )
    carrier = (
        "carrier: {kind: lever, at: [90, 80], arms: {a: 36 up, b: 36 at 210, c: 36 at 330}, stops: {clockwise: 0, anticlockwise: 0}}"
        if held == "carrier"
        else "carrier: {kind: wheel, on: carrier shaft, radius: 40, pins: {a: 36 up, b: 36 at 210, c: 36 at 330}}"
    )
    motion = run(
        f"""
{shafts}
handle: {{kind: handle, on: {drives} shaft, speed: 60 rpm}}
sun: {{kind: gear, {parts["sun"]}, teeth: 24, module: 1.5, friction: 0.1}}
ring: {{kind: ring gear, {parts["ring"]}, teeth: 72, module: 1.5, friction: 0.1}}
{carrier}
p: {{kind: gear, at: carrier.a, teeth: 24, module: 1.5, meshes with: [sun, ring], friction: 0.1}}
q: {{kind: gear, at: carrier.b, teeth: 24, module: 1.5, meshes with: [sun, ring], friction: 0.1}}
r: {{kind: gear, at: carrier.c, teeth: 24, module: 1.5, meshes with: [sun, ring], friction: 0.1}}
        """,
        turns=0.75,
    )
    begin = motion.begins
    driven = motion.drive.angle[-1] - motion.drive.angle[begin]
    turned = motion.frame(out)[[begin, -1], 2] @ (-1, 1)
    assert turned / driven == pytest.approx(ratio, abs=2e-3)
    assert abs(motion.trust.residual_percent) < 0.5


# ---------------------------------------------------------------- LV-03: the cross
def test_universal_joint():
    """tan(out) = tan(in) / cos b; the ratio swings between cos b and 1 / cos b: 0.86603 and 1.15470 at 30 degrees (LV-03)."""
    motion = run(
        f"""
        one: {{kind: shaft, view: side, at: [30, 60], {FREE}}}
        handle: {{kind: handle, on: one, speed: 60 rpm}}
        joint: {{kind: universal joint, on: one, along: 120, bend: 30, friction: 0.1, bearing: {{friction: 0}}}}
        disc: {{kind: wheel, on: joint, radius: 25, material: beech 10}}
        """,
        turns=1.25,
    )
    begin = motion.begins
    inward, outward = (motion.frame(name)[:, 2] for name in ("one", "joint"))
    due = np.unwrap(np.arctan2(np.sin(inward), np.cos(inward) * math.cos(math.pi / 6)))
    assert np.degrees(np.abs(outward - due)).max() < 1e-3
    ratio = np.gradient(outward[begin:]) / np.gradient(inward[begin:])
    assert ratio.min() == pytest.approx(0.86603, abs=1e-4)
    assert ratio.max() == pytest.approx(1.15470, abs=1e-4)
    assert motion.channels["joint.ratio"].values[begin:].max() == pytest.approx(
        1.15470, abs=1e-4
    )


# ---------------------------------------------------------------- play and loss
PAIR = f"""
one: {{kind: shaft, at: [50, 60], {FREE}}}
handle: {{kind: handle, on: one, speed: 60 rpm}}
a: {{kind: gear, on: one, teeth: 20, module: 2, friction: FRICTION, play: PLAY}}
two: {{kind: shaft, at: right of one, {FREE}, drag torque: 40 N mm}}
b: {{kind: gear, on: two, teeth: 40, module: 2, friction: FRICTION, meshes with: a, play: PLAY}}
"""


@pytest.mark.slow
@pytest.mark.parametrize("play", [0.1, 0.4])
def test_reversal_loses_the_play(play):
    """A crank drives a rocker with a gear segment to and fro: the driven wheel stands while the teeth cross their play, along the pitch circle."""
    motion = run(
        f"""
        hand: {{kind: shaft, at: [30, 30], {FREE}}}
        handle: {{kind: handle, on: hand, speed: 30 rpm}}
        crank: {{kind: crank, on: hand, radius: 10, angle: up}}
        rod: {{kind: rod, from: crank.pin, to: beam.arm, length: 70, material: steel 4}}
        beam: {{kind: lever, at: [100, 60], arms: {{arm: 30 down}}, bearing: {{friction: 0}}}}
        a: {{kind: gear, on: beam, teeth: 30, module: 2, friction: 0.1, play: {play}}}
        two: {{kind: shaft, at: right of beam, {FREE}, drag torque: 10 N mm}}
        b: {{kind: gear, on: two, teeth: 20, module: 2, friction: 0.1, meshes with: a, play: {play}}}
        """,
        turns=2,
    )
    begin = motion.begins
    one, two = (motion.frame(name)[begin:, 2] for name in ("beam", "two"))
    # along the pitch circles: the first less what it was turned further than the second followed
    off = one * 30.0 + two * 20.0
    assert np.ptp(off) == pytest.approx(play, rel=0.02, abs=2e-3)


@pytest.mark.slow
def test_loss_in_the_teeth():
    """Mean loss pi mu (1/z1 + 1/z2) (1 - e + e1^2 + e2^2) of the power (Niemann, volume 2), with the load shared evenly by the pairs that touch."""
    mu = 0.2
    motion = run(PAIR.replace("FRICTION", str(mu)).replace("PLAY", "0.1"), turns=2)
    begin = motion.begins
    lost = motion.ledger.heat["teeth of b"]
    done = motion.ledger.work_in["handle"]
    share = (lost[-1] - lost[begin]) / (done[-1] - done[begin])
    # recomputed: mean over a pitch of the distance from the pitch point, evenly shared
    m, z1, z2, phi = 2.0, 20, 40, math.radians(20)
    r1, r2 = m * z1 / 2, m * z2 / 2
    pitch = math.pi * m * math.cos(phi)
    after = math.sqrt((r1 + m) ** 2 - (r1 * math.cos(phi)) ** 2) - r1 * math.sin(phi)
    before = math.sqrt((r2 + m) ** 2 - (r2 * math.cos(phi)) ** 2) - r2 * math.sin(phi)
    arms = []
    for at in np.linspace(-before, -before + pitch, 400, endpoint=False):
        arms.append(np.mean([abs(s) for s in np.arange(at, after, pitch)]))
    loss = mu * np.mean(arms) * (1 / r1 + 1 / r2) / math.cos(phi)
    e1, e2 = after / pitch, before / pitch
    niemann = math.pi * mu * (1 / z1 + 1 / z2) * (1 - e1 - e2 + e1**2 + e2**2)
    assert share == pytest.approx(loss, rel=0.03)
    assert share == pytest.approx(niemann, rel=0.2)
    assert abs(motion.trust.residual_percent) < 0.1


def test_teeth_push_by_torque_over_base_radius():
    motion = run(PAIR.replace("FRICTION", "0").replace("PLAY", "0.1"), turns=0.6)
    push = motion.channels["b.tooth force"].values[motion.begins :]
    base = 40.0 * math.cos(math.radians(20))
    assert push.mean() == pytest.approx(40 * NEWTON_MM / base, rel=2e-3)


@pytest.mark.slow
def test_flywheel_evens_out_a_jerky_drive():
    """A small motor works against a crank's lifting load: behind a geared flywheel its shaft runs the more evenly the heavier the wheel (swing of speed ~ 1 / inertia)."""
    swings = {}
    for thick in (5, 40):
        motion = run(
            f"""
            slow: {{kind: shaft, at: [60, 60], {FREE}}}
            motor: {{kind: motor, on: slow, speed: 90 rpm, stall torque: 120 N mm}}
            crank: {{kind: crank, on: slow, radius: 20, angle: right, material: steel 4, mass: 150 g, centre of mass: [20, 0]}}
            big: {{kind: gear, on: slow, teeth: 48, module: 1.5, friction: 0.1}}
            quick: {{kind: shaft, at: right of slow, {FREE}}}
            small: {{kind: gear, on: quick, teeth: 16, module: 1.5, friction: 0.1, meshes with: big}}
            fly: {{kind: wheel, on: quick, radius: 40, material: steel {thick}}}
            """,
            turns=7,
        )
        last = motion.drive.angle > motion.drive.angle[-1] - 2 * math.tau
        speed = np.gradient(motion.frame("slow")[:, 2], motion.times)[last]
        swings[thick] = np.ptp(speed) / speed.mean()
    assert swings[40] < 0.35 * swings[5]
