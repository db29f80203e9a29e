"""Springs, bands, snaps and throws against published values; references are closed forms written here, or the source's own figures."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

from tests.drawn import drawn
from tests.pieces import NEWTON, NEWTON_MM, run

MEGAPASCAL = 1e6
INCH = 25.4
POUND_AN_INCH = 4.4482216152605 / INCH  # N/mm
COIL = "post: {{kind: pin, at: [100, 120]}}\ncrank: {{kind: crank, on: shaft, radius: 10}}\ns: {{kind: {}, from: crank.pin, to: post, {}}}"


# ---------------------------------------------------------------- wire
def test_textbook_spring_of_music_wire():
    # Shigley, Mechanical Engineering Design, ch. 10, first example: 0.037 in wire, 0.400 in mean, 10.5 active coils: 4.13 lbf/in, class A 0.5 % (from memory)
    outside = (0.400 + 0.037) * INCH
    spring = drawn(
        COIL.format(
            "compression spring",
            f"wire: {0.037 * INCH}, coil diameter: {outside}, coils: 10.5",
        )
    )["s"]
    assert spring.stiffness() / 1e6 / POUND_AN_INCH == pytest.approx(4.13, rel=0.005)


def test_shear_at_the_inner_side_of_a_coil():
    # 8 F D / (pi d^3) times Wahl's factor, 1.1448 for C = 10 (Shigley; EN 13906-1 uses a form that gives 1.1351 there)
    spring = drawn(COIL.format("extension spring", "wire: 1, coil diameter: 11, coils: 10"))[
        "s"
    ]
    assert spring.stress(1 * NEWTON) == pytest.approx(8 * 10 / math.pi * 1.1448, rel=5e-5)


def test_run_tells_how_far_its_wire_is_strained():
    # 0.4 mm of music wire: 2211 / 0.4^0.145 MPa, of which 0.45 is borne (Shigley's constants)
    motion = run(
        """
        nail: {kind: pin, at: [100, 150]}
        arm: {kind: lever, at: [60, 100], arms: {end: 40 right}, mass: 30 g, bearing: {friction: 0}}
        pull: {kind: extension spring, from: nail, to: arm.end, wire: 0.4, coil diameter: 4.4, coils: 30, free length: 26}
        """,
        seconds=0.3,
    )
    force = motion.channels["pull.force"].values / NEWTON
    index = 10.0
    wahl = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    stress = 8 * force * 4.0 / (math.pi * 0.4**3) * wahl
    share = stress / (0.45 * 2211 / 0.4**0.145)
    assert motion.channels["pull.strain"].values == pytest.approx(share, rel=1e-9)
    assert share.max() > 0.5


# ---------------------------------------------------------------- strips
def test_brass_strip_gives_way_as_a_cantilever():
    # E b h^3 / (4 L^3), E 110 GPa, 10 x 0.5 x 40 mm: 0.5371 N/mm, class A; a peg 0.4 mm into its end, so little that its slope tells nothing
    motion = run(
        """
        shaft: {kind: shaft, at: [60, 100], material: steel 5}
        handle: {kind: handle, on: shaft, radius: 40, speed: 0.2 rpm, starts over: 0.1}
        arm: {kind: crank, on: shaft, radius: 40, angle: 0}
        peg: {kind: pin, on: arm.pin, diameter: 1}
        strip: {kind: leaf spring, at: [139.9, 100.3], points: left, length: 40, width: 10, material: brass 0.5, presses: peg, pushes: down, friction: 0}
        """,
        seconds=0.02,
    )
    force, bend, reach = (
        motion.channels[f"strip.{word}"].values[-1] for word in ("force", "bend", "reach")
    )
    assert reach == pytest.approx(39.9, abs=0.02)
    assert bend == pytest.approx(0.2, abs=0.2)
    assert force / NEWTON / bend * (reach / 40) ** 3 == pytest.approx(0.5371, rel=1e-4)


def test_bent_strip_against_the_exact_curve_of_a_thin_bar():
    """A bar pushed square to itself at (50, -20): EI k' = Rx sin a - Ry cos a along its arc (any text on the elastica), solved here by shooting."""
    length, depth = 50.0, 20.0
    rigidity = 206_000 * 8 * 0.3**3 / 12  # N mm^2
    leaf = drawn(
        "arm: {kind: lever, at: [60, 60], arms: {end: 20 right}}\n"
        "s: {kind: leaf spring, at: [20, 60], points: right, length: 60, width: 8, material: spring steel 0.3, presses: arm.end}"
    )["s"]
    assert leaf.bend() / 1e6 == pytest.approx(rigidity)

    def misses(guess: np.ndarray) -> list[float]:
        push, lean, arc, bend = map(float, guess)
        fx, fy = push * math.sin(lean), -push * math.cos(lean)

        def bar(s: float, state: np.ndarray) -> list[float]:
            angle = state[2]
            return [math.cos(angle), math.sin(angle), state[3], (fx * math.sin(angle) - fy * math.cos(angle)) / rigidity]  # fmt: skip

        x, y, angle, left = solve_ivp(bar, (0, arc), [0, 0, 0, bend], rtol=1e-10).y[:, -1]
        return [x - length, y + depth, angle - lean, 1000 * left]

    light = 3 * rigidity * depth / length**3
    guess = [light, -1.5 * depth / length, 1.01 * length, -light * length / rigidity]
    push = float(fsolve(misses, guess)[0])
    assert push < 0.9 * light  # the plain cantilever is far too stiff here
    assert leaf.push(depth, length) / NEWTON == pytest.approx(push, rel=1e-3)


# ---------------------------------------------------------------- rubber
STRETCHED = """
    shaft: {kind: shaft, at: [60, 60], material: steel 5, bearing: {friction: 0}}
    handle: {kind: handle, on: shaft, radius: 60, speed: 60 rpm, strength: 100 N}
    crank: {kind: crank, on: shaft, radius: 35, angle: right}
    rod: {kind: rod, from: crank.pin, to: ram.pin, length: 80}
    ram: {kind: slider, slides: right, length: 121, guide: {at: 155 right of shaft, ideal: yes}, mass: 30 g}
    hook: {kind: pin, at: [314, 60]}
    band: {kind: rubber band, from: ram.tip, to: hook, length: 20, width: 2, thickness: 1}
"""


@pytest.mark.parametrize("level", [0.0, 1.0])
def test_rubber_band_pulls_as_treloar_says_and_costs_a_share_of_each_cycle(level):
    """L. R. G. Treloar, The Physics of Rubber Elasticity: G (l - 1/l^2) of the slack section; bands lose 5 to 15 % of the work of a cycle."""
    motion = run(STRETCHED, level=level, turns=2.1)
    b = motion.begins
    length, force = (motion.channels[f"band.{word}"].values[b:] for word in ("length", "force"))
    assert force.min() == 0.0  # never pushes
    assert force[length < 20].max(initial=0.0) == 0.0
    growing = np.gradient(length) > 0
    section = 2 * 2 * 1  # two strands of 2 x 1 mm
    shear = 0.5  # MPa: a third of 1.5
    for ratio, of_04 in ((1.5, 0.4222), (2.0, 0.7000), (3.5, 0.4 * (3.5 - 1 / 3.5**2))):
        ways = [
            np.interp(
                ratio * 20,
                *(values[np.argsort(length[way])] for values in (length[way], force[way])),
            )
            for way in (growing, ~growing)
        ]
        # loading and letting go lie as much above the elastic pull as below it
        elastic = sum(ways) / 2 / section / MEGAPASCAL
        assert elastic == pytest.approx(of_04 / 0.4 * shear, rel=2e-3)
        assert ways[0] > ways[1]
    # one cycle from longest to longest
    peaks = np.flatnonzero(np.diff(np.sign(np.diff(length))) < 0) + 1
    first, last = peaks[0], peaks[-1]
    assert last - first == pytest.approx(1000, abs=5)  # ms, a turn of the crank
    way = np.diff(length[first : last + 1])
    mean = (force[first:last] + force[first + 1 : last + 1]) / 2
    put_in = (mean * way)[way > 0].sum()
    lost = (mean * way).sum() / put_in
    heat = motion.ledger.heat["stretching of band"][b:]
    assert heat[last] - heat[first] == pytest.approx((mean * way).sum(), rel=0.02)
    assert lost == pytest.approx(0.05 if level == 0 else 0.15, abs=0.005)


# ---------------------------------------------------------------- throws
THROWN = """
    shaft: {{kind: shaft, at: [200, {height}], material: steel 5, bearing: {{friction: 0}}}}
    handle: {{kind: handle, on: shaft, radius: 60, speed: 400 rpm, strength: 300 N, starts over: 180}}
    arm: {{kind: crank, on: shaft, radius: 95.493, angle: {angle}, material: balsa 4}}
    stone: {{kind: projectile, rests in: arm.pin, released at: 720, diameter: 6, mass: 2 g, lands at: {ground}}}
"""


@pytest.mark.parametrize(
    ("lean", "drop", "far"),
    [(45, 0, 1630.99), (45, 1000, 2330.76), (35, 1000, 2432.46)],
    ids=["45 from the ground", "45 from 1 m up", "35 from 1 m up"],
)
def test_stone_flies_as_far_as_a_book_says(lean, drop, far):
    """Thrown at 4 m/s: 1.63099 m, 2.33076 m and 2.43246 m, so 45 degrees is not best from a height; class B 0.1 %.

    The figures take 9.81 m/s^2, the program 9.80665; and the catch opens within a step, so speed and angle are those with which it really left.
    """
    up = -95.493 * math.cos(math.radians(lean))
    height = 1200.0
    text = THROWN.format(height=height, angle=lean - 90, ground=height + up - 3 - drop)
    motion = run(text, seconds=1.3)
    speed, angle, down = (
        motion.channels[f"stone.{word}"].values
        for word in ("launch speed", "launch angle", "landed")
    )
    assert speed[-1] == pytest.approx(4000, rel=2e-3)
    assert math.degrees(angle[-1]) == pytest.approx(lean, abs=0.3)
    assert down[-1]
    measured = motion.channels["stone.range"].values[-1]
    v, a, g = speed[-1], angle[-1], 9806.65
    ground = height + up - drop  # for its middle
    fallen = height + 95.493 * math.sin(a - math.pi / 2) - ground
    exact = (
        v
        * math.cos(a)
        / g
        * (v * math.sin(a) + math.sqrt((v * math.sin(a)) ** 2 + 2 * g * fallen))
    )
    assert measured == pytest.approx(exact, rel=1e-3)
    # and the book's own figure, as far as the release allows: 0.2 % of the speed, 0.3 degrees
    assert measured == pytest.approx(far, rel=5e-3)


def test_spring_throws_no_faster_than_its_energy():
    """Half k x^2 is half m v^2: 100 N/m pressed by 50 mm throws 5 g at 7.0711 m/s at most (class B 0.5 %); the plunger's mass goes along and lowers it."""
    motion = run(
        """
        wall: {kind: pin, at: [20, 60], view: top}
        plunger: {kind: slider, slides: right, view: top, length: 40, guide: {at: [100, 60], ideal: yes}, mass: 0.1 g, starts at: -10}
        push: {kind: compression spring, from: wall, to: plunger.pin, rate: 0.1 N/mm, preload: 5 N}
        stop: {kind: pin, at: [10, 60], view: top}
        catch: {kind: extension spring, from: stop, to: plunger.pin, rate: 0.5 N/mm, free length: 112}
        ball: {kind: projectile, rests in: plunger.tip, opens: right, view: top, diameter: 10, mass: 5 g, friction: 0, lands at: -5000}
        """,
        seconds=0.05,
    )
    thrown = motion.channels["ball.launch speed"].values[-1]
    assert thrown < 7071.1
    assert thrown == pytest.approx(7071.1 * math.sqrt(5 / 5.1), rel=5e-3)


# ---------------------------------------------------------------- snaps
def test_detent_holds_as_statics_says():
    """Frictionless V flanks: the nose's middle goes along a line p from the axis; torque = push times lift a radian, largest where the flank ends."""
    radius, depth, half, nose, preload, rate = 30.0, 3.0, math.radians(45), 3.0, 2.0, 0.5
    motion = run(
        """
        shaft: {kind: shaft, at: [100, 100], material: steel 5, bearing: {friction: 0}}
        handle: {kind: handle, on: shaft, radius: 40, speed: 6 rpm, starts over: 4}
        click: {kind: detent, on: shaft, radius: 30, notches: 8, depth: 3, nose diameter: 6, spring: {preload: 2 N, rate: 0.5 N/mm}, friction: 0, material: brass 3}
        """,
        seconds=0.5,
    )
    floor = radius - depth
    p = floor * math.sin(half) + nose
    along = math.sqrt(radius**2 - (floor * math.sin(half)) ** 2)
    far, seat = math.hypot(p, along), floor + nose / math.sin(half)
    statics = (preload + rate * (far - seat)) * far * along / p
    torque = np.abs(motion.channels["click.torque"].values) / NEWTON_MM
    nose_at = motion.channels["click.nose"].values
    rising = nose_at <= nose_at.max() - 1e-3
    before = torque[: int(np.argmax(nose_at > 0.999 * nose_at.max()))]
    assert rising.any()
    assert before.max() == pytest.approx(statics, rel=0.02)
    assert motion.scene.parts["click"].statics(0.0) / NEWTON_MM == pytest.approx(statics)
