"""Four-bar linkages against published and derived values, and against reckonings of their own that don't know the program.

Closed-form geometry (class A): angle 1e-4 degrees. Runs (class B): angle 0.05 degrees, velocity 0.5 %, acceleration 2 % of the peak.
Forces (class C): 0.5 %. The linkage is 30/100/60/90: crank, coupler, rocker, ground.
"""

import math
import textwrap

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from animator.scene import read as read_drawn
from animator.world.linkage import Linkage
from animator.world.proportions import grashof
from tests.pieces import GRAVITY, against_angle, read, run

A, B, C, D = 30.0, 100.0, 60.0, 90.0


def piece(a=A, b=B, c=C, d=D, angle=0.0, drive="speed: 60 rpm", more=""):
    """Parts of a four-bar; its coupler closes upwards."""
    return f"""
        shaft: {{kind: shaft, at: [100, 100], material: steel 5, bearing: {{friction: 0}}}}
        handle: {{kind: handle, on: shaft, {drive}, strength: 50 N m}}
        crank: {{kind: crank, on: shaft, radius: {a}, angle: {angle}, mass: 20 g}}
        rocker: {{kind: lever, at: {d} right of shaft, arms: {{end: {c} up}}, mass: 30 g, bearing: {{friction: 0}}}}
        coupler: {{kind: rod, from: crank.pin, to: rocker.end, length: {b}, knee: up, mass: 10 g}}
        {more}
        """


def drawn(parts):
    """Read parts without putting them together."""
    return read_drawn(
        "trial.yaml",
        text="title: Trial\nparts:\n" + textwrap.indent(textwrap.dedent(parts), "  "),
    )


def angles(theta2, a=A, b=B, c=C, d=D):
    """Angles of coupler and rocker by the cosine rule, nothing of the program's (any text). [rad]"""
    x, y = a * math.cos(theta2) - d, a * math.sin(theta2)
    far = math.hypot(x, y)
    inside = math.acos((far * far + c * c - b * b) / (2 * far * c))
    theta4 = (math.atan2(y, x) - inside) % math.tau
    theta3 = math.atan2(
        c * math.sin(theta4) - a * math.sin(theta2),
        d + c * math.cos(theta4) - a * math.cos(theta2),
    )
    return theta3, theta4


def on_the_board(**lengths):
    """Angles of crank, coupler and rocker at every position of the trial turn. [rad]"""
    linkage = Linkage(read(piece(**lengths)).parts)
    assert linkage.start() is None
    found = []
    assert (
        linkage.go_round(
            lambda turned: found.append(
                (
                    turned,
                    linkage.pose("coupler").angle,
                    linkage.pose("rocker").angle + math.pi / 2,
                )
            )
        )
        is None
    )
    return np.array(found)


# ---------------------------------------------------------------- FB-05, FB-06, FB-07, FB-08 (derived; the formulas in any text)
FB_05 = {
    0: (33.5573, 67.1146), 45: (19.3022, 64.7522), 90: (17.3075, 84.7672), 135: (21.1270, 107.3924),
    180: (29.9264, 123.7490), 225: (42.7251, 128.9905), 270: (54.1774, 121.6371), 315: (53.5808, 99.0308),
}  # fmt: skip


def test_drawing_board_stands_where_the_table_says():
    board = on_the_board()
    for crank, (coupler, rocker) in FB_05.items():
        assert np.degrees(angles(math.radians(crank))) == pytest.approx(
            (coupler, rocker), abs=6e-5
        )  # the table itself, recomputed
        here = board[np.argmin(abs(board[:, 0] - math.radians(crank)))]
        assert np.degrees(here[1:]) == pytest.approx((coupler, rocker), abs=1e-4)


@pytest.fixture(scope="module")
def motion():
    return run(piece(), turns=1.3)


@pytest.fixture(scope="module")
def rocker(motion):
    """Angle of the rocker over that of the crank. [rad]"""
    return against_angle(motion, motion.frame("rocker")[:, 2] + math.pi / 2)


def test_run_stands_where_the_table_says(motion, rocker):
    coupler = against_angle(motion, motion.frame("coupler")[:, 2])
    for crank, (rod, arm) in FB_05.items():
        at = math.radians(crank + 360 if crank < 90 else crank)
        assert math.degrees(coupler(at)) == pytest.approx(rod, abs=0.005)  # 0.05 is asked for
        assert math.degrees(rocker(at)) == pytest.approx(arm, abs=0.005)


def test_rocker_is_as_fast_as_the_table_says(rocker):
    table = {
        0: (-0.5, 1.13067),
        90: (0.51684, 0.05177),
        180: (0.25, -0.32572),
        270: (-0.31684, -0.42823),
    }
    for crank, (speed, gain) in table.items():
        at = math.radians(crank + 360 if crank < 90 else crank)
        assert rocker(at, 1) == pytest.approx(speed, abs=0.005 * 0.55)
        assert rocker(at, 2) == pytest.approx(gain, abs=0.02 * 1.14)


def test_rocker_turns_back_at_the_dead_centres(motion, rocker):
    # dead centres: crank and coupler in one line, inner 100 - 30 and outer 100 + 30
    first, last = (math.acos((far**2 + D**2 - C**2) / (2 * far * D)) for far in (B + A, B - A))
    assert math.degrees(first) == pytest.approx(23.8609, abs=6e-5)
    assert math.degrees(last) + 180 == pytest.approx(221.7522, abs=6e-5)
    turns = [
        brentq(lambda at: rocker(at, 1), math.radians(low), math.radians(high))
        for low, high in ((370, 400), (205, 240))
    ]
    # speed is small near a dead centre: a tenth of a degree of the crank is 0.001 degrees of the rocker
    assert np.degrees(turns) == pytest.approx([383.8609, 221.7522], abs=0.1)
    low, high = (math.degrees(rocker(at)) for at in turns)
    assert (low, high) == pytest.approx((61.2178, 129.0228), abs=0.005)
    from animator.findings.measures import read as measure

    assert math.degrees(measure(motion, "rocker", "swing").value) == pytest.approx(
        67.8050, abs=0.005
    )
    whole = run(piece(), turns=3)
    assert measure(whole, "rocker", "time ratio").value == pytest.approx(1.2207, abs=0.005)


def test_transmission_angle_is_read_and_warned_of(motion):
    from animator.findings.measures import read as measure

    course = measure(motion, "coupler", "transmission angle")
    closed = [
        math.degrees(math.acos((B * B + C * C - (D + s * A) ** 2) / (2 * B * C)))
        for s in (-1, 1)
    ]
    assert closed == pytest.approx([33.5573, 93.8226], abs=6e-5)
    assert np.degrees([course.series.min(), course.series.max()]) == pytest.approx(
        closed, abs=0.005
    )
    notes = read(piece()).assumptions
    assert any("meets rocker at 34 degrees" in note for note in notes)
    # 20/80/70/75 keeps to 40..140 all round: nothing to say
    assert not any("transmission" in note for note in read(piece(20, 80, 70, 75)).assumptions)


# ---------------------------------------------------------------- FB-01: Grashof
def test_a_linkage_goes_round_exactly_when_grashof_says_so():
    import itertools

    sizes = (30, 45, 62, 85, 110)
    seen = set()
    for a, b, c, d in itertools.permutations(sizes, 4):
        links = sorted((a, b, c, d))
        goes = links[0] + links[3] < links[1] + links[2] and links[0] in (a, d)
        linkage = Linkage(drawn(piece(a, b, c, d)).parts)
        closes = linkage.start() is None and linkage.go_round() is None
        assert closes == goes, (a, b, c, d)
        seen.add(grashof(d, a, b, c))
        assert goes == (grashof(d, a, b, c) in ("crank-rocker", "double crank"))
    assert seen == {
        "crank-rocker",
        "double crank",
        "double rocker",
        "rocker-crank",
        "triple rocker",
    }


def test_change_point_is_warned_of():
    notes = read(piece(40, 90, 40, 90)).assumptions
    assert any("change point: 40 + 90 = 40 + 90 mm" in note for note in notes)
    assert not any("change point" in note for note in read(piece(40, 90, 44, 90)).assumptions)


# ---------------------------------------------------------------- FB-02, FB-03: Freudenstein, Trans. ASME 77 (1955) 853
def test_three_read_off_positions_give_the_lengths_back():
    board = on_the_board()
    rows, right = [], []
    for crank in (0, 90, 180):
        _, _, theta4 = board[np.argmin(abs(board[:, 0] - math.radians(crank)))]
        theta2 = math.radians(crank)
        rows.append([math.cos(theta4), -math.cos(theta2), 1.0])
        right.append(math.cos(theta2 - theta4))
    found = np.linalg.solve(rows, right)
    assert found == pytest.approx(
        [D / A, D / C, (A * A - B * B + C * C + D * D) / (2 * A * C)], abs=1e-9
    )
    assert found == pytest.approx([3, 1.5, 0.7222222], abs=1e-7)


def test_three_positions_asked_for_are_met():
    pairs = np.radians([(30, 50), (60, 72), (90, 100)])
    rows = [[math.cos(out), -math.cos(into), 1.0] for into, out in pairs]
    k1, k2, k3 = np.linalg.solve(rows, [math.cos(into - out) for into, out in pairs])
    assert (k1, k2, k3) == pytest.approx((1.716316, 1.670133, 1.282843), abs=6e-7)
    a, c = 1 / k1, 1 / k2
    b = math.sqrt(a * a + c * c + 1 - 2 * a * c * k3)
    assert (a, b, c) == pytest.approx((0.582643, 0.896055, 0.598755), abs=6e-7)
    for into, out in pairs:
        linkage = Linkage(
            drawn(piece(100 * a, 100 * b, 100 * c, 100, math.degrees(into))).parts
        )
        assert linkage.start() is None
        assert math.degrees(linkage.pose("rocker").angle) + 90 == pytest.approx(
            math.degrees(out), abs=1e-4
        )


# ---------------------------------------------------------------- FB-10, and a run with a load: scipy, from Lagrange's equation
MASSES = {
    "crank": (30.0, 15.0, 4000.0),
    "coupler": (40.0, 50.0, 33000.0),
    "rocker": (60.0, 30.0, 15000.0),
}
SHAFT_INERTIA = 500.0


def loaded(drive):
    """The linkage with everything weighed by hand."""
    said = {
        name: f"mass: {mass} g, centre of mass: {[0, far] if name == 'rocker' else [far, 0]}, inertia: {inertia} g mm2"
        for name, (mass, far, inertia) in MASSES.items()
    }
    return f"""
        shaft: {{kind: shaft, at: [100, 100], material: steel 5, inertia: {SHAFT_INERTIA} g mm2, bearing: {{friction: 0}}}}
        {drive}
        crank: {{kind: crank, on: shaft, radius: {A}, {said["crank"]}}}
        rocker: {{kind: lever, at: {D} right of shaft, arms: {{end: {C} up}}, bearing: {{friction: 0}}, {said["rocker"]}}}
        coupler: {{kind: rod, from: crank.pin, to: rocker.end, length: {B}, knee: up, {said["coupler"]}}}
        """


def inertia_and_height(theta2):
    """Inertia felt at the crank [g mm^2] and potential energy [g mm^2/s^2], slopes of the angles by the velocity loop."""
    theta3, theta4 = angles(theta2)
    w3 = A * math.sin(theta4 - theta2) / (B * math.sin(theta3 - theta4))
    w4 = A * math.sin(theta2 - theta3) / (C * math.sin(theta4 - theta3))
    (m2, r2, i2), (m3, r3, i3), (m4, r4, i4) = MASSES.values()
    vx = -A * math.sin(theta2) - r3 * w3 * math.sin(theta3)
    vy = A * math.cos(theta2) + r3 * w3 * math.cos(theta3)
    felt = (
        SHAFT_INERTIA
        + i2
        + m2 * r2**2
        + i3 * w3**2
        + m3 * (vx**2 + vy**2)
        + (i4 + m4 * r4**2) * w4**2
    )
    heights = (
        m2 * r2 * math.sin(theta2)
        + m3 * (A * math.sin(theta2) + r3 * math.sin(theta3))
        + m4 * r4 * math.sin(theta4)
    )
    return felt, GRAVITY * heights


def slopes(theta2, h=1e-5):
    low, high = inertia_and_height(theta2 - h), inertia_and_height(theta2 + h)
    return (high[0] - low[0]) / (2 * h), (high[1] - low[1]) / (2 * h)


def test_hand_gives_what_virtual_power_asks():
    """FB-10: lossless, so the torque at the crank is the slope of the potential energy, -w4/w2 times each load's own; 4 rpm, inertia 0.1 %."""
    handle = "handle: {kind: handle, on: shaft, speed: 4 rpm, strength: 50 N m, starts over: 5}"
    motion = run(loaded(handle), turns=0.5)
    counted = slice(motion.begins + 50, None, 50)
    got = motion.drive.torque[counted]
    due = np.array([slopes(at)[1] for at in motion.drive.angle[counted]])
    assert np.abs(got - due).max() < 0.005 * np.abs(due).max()


def test_hand_feels_the_inertia_that_lagrange_gives():
    handle = "handle: {kind: handle, on: shaft, speed: 150 rpm, strength: 50 N m, radius: 10}"
    motion = run(loaded(handle), turns=1.0)
    counted = slice(motion.begins + 20, None)
    speed = 150 * math.pi / 30
    due = []
    for at in motion.drive.angle[counted]:
        felt, push = slopes(at)
        due.append(0.5 * felt * speed**2 + push)
    got, due = motion.drive.torque[counted], np.array(due)
    # each recorded torque is the mean over the millisecond before, in which the crank turns by 0.9 degrees
    middle = np.interp(motion.times[counted] - 0.5e-3, motion.times[counted], due)
    assert np.abs(got - middle)[5:].max() < 0.01 * np.abs(due).max()


def test_linkage_let_go_swings_as_scipy_integrates_it():
    motion = run(loaded(""), seconds=1.5)
    times = motion.times
    theta = motion.frame("crank")[:, 2]

    def swing(t, state):
        felt, push = slopes(state[0])
        return state[1], -(push + 0.5 * felt * state[1] ** 2) / inertia_and_height(state[0])[0]

    found = solve_ivp(
        swing, (0, 1.5), (theta[0], 0.0), t_eval=times[::20], rtol=1e-9, atol=1e-9
    )
    assert np.ptp(theta) > 1.0
    assert np.abs(found.y[0] - theta[::20]).max() < 0.003 * np.ptp(theta)
