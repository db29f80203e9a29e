"""Pieces are put together from their dimensions, exactly, and what can't be is told with the dimension that would mend it."""

import math
import re

import numpy as np
import pytest
from scipy.optimize import least_squares, minimize_scalar

from animator.problems import SceneError
from animator.scene import read
from animator.world.assembling import assemble
from animator.world.fitting import Course
from animator.world.linkage import Linkage, meet_circles, meet_line

HEAD = """title: trial
parts:
  main: {kind: shaft, at: [60, 60]}
  handle: {kind: handle, on: main, radius: 45, speed: 40 rpm%s}
"""


def scene_of(parts, drive=""):
    return read(
        "trial.yaml",
        text=HEAD % drive + "".join(f"  {line}\n" for line in parts.strip().splitlines()),
    )


def put_together(parts, drive=""):
    return assemble(scene_of(parts, drive))


def report_of(parts, drive=""):
    with pytest.raises(SceneError) as caught:
        put_together(parts, drive)
    return str(caught.value)


def swing(parts, name, turned):
    """Angle of a part when the handle has turned, loops closed on the way. [rad]"""
    linkage = Linkage(put_together(parts).parts)
    assert linkage.start() is None
    found = []
    linkage.go_round(lambda at: found.append((at, linkage.pose(name).angle)))
    return found


# ---------------------------------------------------------------- published positions, class A (1e-4 degrees, 1e-6 of the largest link)
FOUR_BAR = """
crank: {kind: crank, on: main, radius: 30, angle: %s}
coupler: {kind: rod, from: crank.pin, to: rocker.end, length: 100}
rocker: {kind: lever, at: 90 right of main, arms: {end: 60 up}}
"""


@pytest.mark.parametrize(
    ("crank", "coupler", "rocker"),
    # FB-05, crank-rocker 30/100/60/90, derived and recomputed (Freudenstein)
    [
        (0, 33.5573, 67.1146),
        (45, 19.3022, 64.7522),
        (90, 17.3075, 84.7672),
        (135, 21.1270, 107.3924),
        (180, 29.9264, 123.7490),
        (225, 42.7251, 128.9905),
        (270, 54.1774, 121.6371),
        (315, 53.5808, 99.0308),
    ],
)
def test_four_bar_starts_at_the_published_angles(crank, coupler, rocker):
    starts = put_together(FOUR_BAR % crank).starts
    assert math.degrees(starts["coupler"].angle) == pytest.approx(coupler, abs=1e-4)
    assert math.degrees(starts["rocker"].angle) + 90 == pytest.approx(rocker, abs=1e-4)


def test_four_bar_swings_as_published():
    # FB-07: rocker 61.2178 to 129.0228 degrees; the turn is tried in steps of 5 degrees, so the ends are met within a hundredth
    angles = [90 + math.degrees(angle) for _, angle in swing(FOUR_BAR % 0, "rocker", None)]
    assert min(angles) == pytest.approx(61.2178, abs=0.02)
    assert max(angles) == pytest.approx(129.0228, abs=0.02)


def slider_crank(radius, length, offset, angle=0):
    return f"""
crank: {{kind: crank, on: main, radius: {radius}, angle: {angle}}}
rod: {{kind: rod, from: crank.pin, to: ram.pin, length: {length}}}
ram: {{kind: slider, slides: right, length: 360, guide: {{at: 300 right and {offset} above main, length: 20}}}}
"""


@pytest.mark.parametrize(
    ("angle", "travel"),
    # SC-01: r 40, l 120, from top dead centre; any text, from memory, recomputed
    [
        (30, 7.03739),
        (45, 15.09669),
        (60, 25.10875),
        (90, 46.86292),
        (120, 65.10875),
        (150, 76.31942),
        (180, 80),
    ],
)
def test_slider_crank_stands_at_the_published_travel(angle, travel):
    top = 60 + 40 + 120
    assert top - put_together(slider_crank(40, 120, 0, angle)).starts["ram"].x == pytest.approx(
        travel, abs=6e-6
    )


@pytest.mark.parametrize(
    ("radius", "length", "offset", "stroke", "ratio"),
    # SC-07 (Norton; Shigley), SC-08 (derived)
    [
        (40, 120, 30, 83.0004, 1.13292),
        (50, 150, 30, 102.3433, 1.10318),
        (25, 100, 20, 51.1055, 1.07205),
    ],
)
def test_offset_slider_crank_has_the_published_stroke_and_time_ratio(
    radius, length, offset, stroke, ratio
):
    def place(angle):
        return (
            put_together(slider_crank(radius, length, offset, math.degrees(angle) % 360))
            .starts["ram"]
            .x
        )

    far = minimize_scalar(
        lambda a: -place(a), bounds=(-1, 2), method="bounded", options={"xatol": 1e-9}
    )
    near = minimize_scalar(place, bounds=(2, 5), method="bounded", options={"xatol": 1e-9})
    assert -far.fun - near.fun == pytest.approx(stroke, abs=1e-4)
    forth = (near.x - far.x) % (2 * math.pi)
    assert max(forth, 2 * math.pi - forth) / min(forth, 2 * math.pi - forth) == pytest.approx(
        ratio, abs=2e-5
    )


def test_large_blocks_agree_with_an_independent_solver():
    # a knot held by three rods, two of them on levers that a fourth rod joins: no closed form
    parts = """
crank: {kind: crank, on: main, radius: 15}
knot: {kind: weight, mass: 5 g}
a: {kind: rod, from: crank.pin, to: knot, length: 80}
b: {kind: rod, from: knot, to: l.x, length: 60}
l: {kind: lever, at: 100 right of main, arms: {x: 45 up, y: 45 down}}
c: {kind: rod, from: knot, to: m.x, length: 70}
m: {kind: lever, at: 30 right and 80 above main, arms: {x: 50 right, y: 50 left}}
d: {kind: rod, from: l.y, to: m.y, length: fitted}
"""
    whole = put_together(parts)
    strut = whole.parts["d"].length
    linkage = Linkage(whole.parts)
    assert linkage.start() is None
    states = []

    def note(turned):
        states.append(
            (turned, *linkage.joints["knot"], linkage.pose("l").angle, linkage.pose("m").angle)
        )

    assert linkage.go_round(note) is None

    def gaps(unknowns, turned):
        x, y, left, right = unknowns
        pin = 60 + 15 * math.cos(turned), 60 + 15 * math.sin(turned)
        lx, ly = 160 - 45 * math.sin(left), 60 + 45 * math.cos(left)
        mx, my = 90 + 50 * math.cos(right), 140 + 50 * math.sin(right)
        return [
            math.hypot(x - pin[0], y - pin[1]) - 80,
            math.hypot(x - lx, y - ly) - 60,
            math.hypot(x - mx, y - my) - 70,
            math.hypot((320 - lx) - (180 - mx), (120 - ly) - (280 - my)) - strut,
        ]

    for turned, *state in states[::8]:
        found = least_squares(
            gaps, np.array(state) + 0.01, args=(turned,), xtol=1e-14, ftol=1e-14, gtol=1e-14
        )
        assert np.abs(found.fun).max() < 1e-9
        assert found.x == pytest.approx(state, abs=1e-5)


# ---------------------------------------------------------------- how it starts
def test_everything_stands_where_it_is_put():
    starts = put_together(
        """
peg: {kind: pin, at: 30 left and 12 above main}
arm: {kind: lever, at: 10 below peg, arms: {hand: 40 at 30}}
bob: {kind: weight, mass: 10 g, on: arm.hand}
idler: {kind: pulley, at: arm.hand, diameter: 20}
"""
    ).starts
    assert starts["peg"] == pytest.approx((30, 72, 0))
    assert starts["arm"] == pytest.approx((30, 62, 0))
    assert starts["bob"][:2] == pytest.approx((30 + 40 * math.cos(math.pi / 6), 62 + 20))
    assert starts["idler"][:2] == starts["bob"][:2]


def test_what_rides_on_a_sliding_part_stands_as_drawn():
    starts = put_together(
        """
cam: {kind: cam, on: main, eccentric: {radius: 20, throw: 5}}
lifter: {kind: follower, follows: cam, guide: {at: 60 above main}, length: 90}
bird: {kind: figure, on: lifter.top, artwork: {shapes: [{disc: 20}]}}
"""
    ).starts
    assert starts["lifter"] == pytest.approx((60, 75, math.pi / 2))
    assert starts["bird"] == pytest.approx((60, 165, 0))


def test_free_parts_keep_their_drawn_attitude():
    starts = put_together(
        """
arm: {kind: lever, at: [100, 100], arms: {hand: 40 right}, starts at: 25}
tray: {kind: slider, slides: up, length: 60, guide: {at: [150, 80], length: 20}, starts at: 5}
"""
    ).starts
    assert math.degrees(starts["arm"].angle) == pytest.approx(25)
    assert starts["tray"] == pytest.approx((150, 80 + 5 - 30, math.pi / 2))


def test_fitted_rods_and_cranks_are_measured_at_the_start():
    scene = put_together(
        """
crank: {kind: crank, on: main, radius: fitted, angle: up}
rod: {kind: rod, from: crank.pin, to: arm.end, length: 100}
arm: {kind: lever, at: 96 right of main, arms: {end: 40 up, wire: 30 left}}
wire: {kind: rod, from: arm.wire, to: flap.end, length: fitted}
flap: {kind: lever, at: 66 right and 70 above main, arms: {end: 30 left}}
"""
    )
    assert scene.parts["crank"].radius == pytest.approx(
        40 - 28
    )  # 96, 28, 100 is a right triangle
    assert scene.parts["wire"].length == pytest.approx(math.hypot(30, 70))
    assert any("wire is cut to 76.16 mm" in note for note in scene.assumptions)


def test_knee_chooses_the_way_a_loop_closes():
    parts = """
crank: {kind: crank, on: main, radius: 10}
rod: {kind: rod, from: crank.pin, to: arm.end, length: 60, knee: %s}
arm: {kind: lever, at: 70 right of main, arms: {end: 40 %s}}
"""
    for drawn in ("up", "down", "right"):
        for knee, sign in (("up", 1), ("down", -1)):
            start = put_together(parts % (knee, drawn)).starts["arm"]
            way = start.angle + {"up": 90, "down": 270, "right": 0}[drawn] * math.pi / 180
            assert math.sin(way) * sign > 0
    assert (
        math.sin(
            put_together(parts.replace(", knee: %s", "") % "up").starts["arm"].angle
            + math.pi / 2
        )
        > 0
    )


def test_two_ways_to_close_are_named():
    near = put_together(
        """
crank: {kind: crank, on: main, radius: 10}
rod: {kind: rod, from: crank.pin, to: arm.end, length: 60}
arm: {kind: lever, at: 70 right of main, arms: {end: 40 left}}
"""
    )
    assert any("two ways" in note for note in near.assumptions)


def test_a_weight_between_two_rods_hangs_below_them():
    starts = put_together(
        """
left: {kind: pin, at: [100, 200]}
right: {kind: pin, at: [160, 200]}
bob: {kind: weight, mass: 20 g}
a: {kind: rod, from: left, to: bob, length: 50}
b: {kind: rod, from: right, to: bob, length: 50}
"""
    ).starts
    assert starts["bob"][:2] == pytest.approx((130, 160))


def test_a_weight_on_a_spring_hangs_its_free_length_below():
    starts = put_together(
        """
hook: {kind: pin, at: [100, 200]}
bob: {kind: weight, mass: 20 g}
coil: {kind: extension spring, from: hook, to: bob, rate: 0.05 N/mm, free length: 40}
"""
    ).starts
    assert starts["bob"][:2] == pytest.approx((100, 160))


def test_rods_pinned_to_each_others_ends_meet_in_one_joint():
    starts = put_together(
        """
left: {kind: pin, at: [100, 200]}
right: {kind: pin, at: [160, 200]}
a: {kind: rod, from: left, to: b.tip, length: 50}
b: {kind: rod, from: right, to: a.tip, length: 50}
"""
    ).starts
    assert starts["a"].place((50, 0)) == pytest.approx((130, 160))
    assert starts["b"].place((50, 0)) == pytest.approx((130, 160))


def test_a_rod_may_hang_on_a_hole_of_another():
    scene = put_together(
        """
crank: {kind: crank, on: main, radius: 20}
a: {kind: rod, from: crank.pin, to: l.x, length: 90, holes: {h: 40}}
l: {kind: lever, at: 100 right of main, arms: {x: 45 up}}
b: {kind: rod, from: a.h, to: m.x, length: 70}
m: {kind: lever, at: 30 right and 80 above main, arms: {x: 50 right}}
"""
    )
    here, there = scene.starts["a"].place((40, 0)), scene.starts["m"].place((50, 0))
    assert math.dist(here, there) == pytest.approx(70, abs=1e-6)


def test_what_hangs_on_a_rod_cut_to_suit_hangs_where_it_is_cut():
    scene = put_together(
        """
peg: {kind: pin, at: [60, 20]}
arm: {kind: lever, at: 96 right of main, arms: {end: 40 up}}
lamp: {kind: weight, mass: 5 g, on: wire.tip}
wire: {kind: rod, from: peg, to: arm.end, length: fitted}
second: {kind: rod, from: wire.middle, to: flap.end, length: fitted}
flap: {kind: lever, at: 48 right and 90 above main, arms: {end: 30 right}}
"""
    )
    assert scene.starts["lamp"][:2] == pytest.approx((156, 100))
    assert scene.parts["second"].length == pytest.approx(math.dist((108, 60), (138, 150)))


# ---------------------------------------------------------------- cams, discs, chains
CAM = """
cam: {kind: cam, on: main, base radius: 18, phase: 30, programme: [{rise: 14, over: 120}, {dwell: 60}, {fall: 14, over: 120}, {dwell: rest}]}
lifter: {kind: follower, follows: cam, tip: {roller diameter: 10}, length: 90, slides: %s, offset: %s, guide: {at: %s, length: 30}}
"""


@pytest.mark.parametrize(
    ("slides", "at"),
    [
        ("up", "60 above main"),
        ("left", "60 left of main"),
        ("210", "51.96 left and 30 below main"),
    ],
)
@pytest.mark.parametrize("offset", [0, 6, -6])
@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_follower_goes_its_programme_whichever_way_it_stands(slides, at, offset, turns):
    linkage = Linkage(put_together(CAM % (slides, offset, at), f", turns: {turns}").parts)
    linkage.start()
    course = {}
    way = {"up": 90, "left": 180, "210": 210}[slides] * math.pi / 180

    def note(turned):
        pose = linkage.pose("lifter")
        course[round(math.degrees(turned))] = (pose.x - 60) * math.cos(way) + (
            pose.y - 60
        ) * math.sin(way)

    linkage.go_round(note)
    low = math.sqrt(23**2 - offset**2)
    assert course[0] == course[30] == pytest.approx(low, abs=1e-3)
    assert course[90] == pytest.approx(low + 7, abs=1e-3)
    assert course[150] == course[200] == pytest.approx(low + 14, abs=1e-3)
    assert course[270] == pytest.approx(low + 7, abs=1e-3)


def test_a_cam_behind_a_crossed_belt_is_laid_out_for_the_way_it_runs():
    parts = """
lay: {kind: shaft, at: 100 right of main}
a: {kind: pulley, on: main, diameter: 20}
b: {kind: pulley, on: lay, diameter: 40}
belt: {kind: belt, around: [a, b], made of: rubber band 3, stretched: 10 %, crossed: yes}
cam: {kind: cam, on: lay, base radius: 18, programme: [{rise: 14, over: 120}, {dwell: 60}, {fall: 14, over: 120}, {dwell: rest}]}
lifter: {kind: follower, follows: cam, length: 90, guide: {at: 60 above lay, length: 20}}
"""
    linkage = Linkage(put_together(parts).parts)
    linkage.start()
    course = {}
    linkage.go_round(
        lambda turned: course.__setitem__(
            round(math.degrees(turned)), (linkage.pose("lay").angle, linkage.pose("lifter").y)
        )
    )
    assert (
        max(course) == 720
    )  # the layshaft turns half as fast: two turns of the handle are tried
    assert course[240][0] == pytest.approx(-math.radians(120))
    assert course[120][1] == pytest.approx(60 + 18 + 7, abs=1e-6)
    assert course[240][1] == pytest.approx(60 + 32, abs=1e-6)


def test_a_spindle_is_made_tall_enough_for_its_guide():
    scene = put_together(
        """
egg: {kind: cam, on: main, egg: {radius: 16, nose radius: 7, reach: 13}}
ice: {kind: friction disc, follows: egg, offset: 6, diameter: 60, material: birch ply 6, guide: {at: 42 above main, length: 20}}
skater: {kind: figure, on: ice.top, artwork: {shapes: [{disc: 20}]}}
"""
    )
    assert scene.starts["ice"][:2] == pytest.approx((60, 76))
    assert scene.starts["skater"].y == pytest.approx(
        60 + 42 + 10 + 4
    )  # 4 mm above the guide where the disc is lowest


def test_a_collar_carries_its_disc_at_the_start():
    parts = """
egg: {kind: cam, on: main, phase: %s, egg: {radius: 16, nose radius: 7, reach: 13}}
ice: {kind: friction disc, follows: egg, offset: 6, diameter: 60, material: birch ply 6, rests: 0.5, guide: {at: 42 above main, length: 20}}
skater: {kind: figure, on: ice.top, artwork: {shapes: [{disc: 20}]}}
"""
    low, high = put_together(parts % 0), put_together(parts % 180)
    assert low.starts["ice"].y == pytest.approx(60 + 16.5)
    assert high.starts["ice"].y == pytest.approx(60 + 20)
    assert low.starts["skater"].y - low.starts["ice"].y == pytest.approx(
        low.parts["ice"].top_height
    )


def test_chain_links_are_counted_in_pairs():
    # CH-07: z 17/34, 40 pitches apart -> 105.683, rounded to 106; the shafts then stand 40.1589 pitches apart
    parts = """
far: {kind: shaft, at: %s right of main}
a: {kind: sprocket, on: main, teeth: 17}
b: {kind: sprocket, on: far, teeth: 34}
loop: {kind: chain, around: [a, b], pitch: 8}
"""
    scene = put_together(parts % (40 * 8))
    assert any("106 links" in note for note in scene.assumptions)
    assert scene.parts["loop"].slack == pytest.approx((106 - 105.683) * 8, abs=5e-3)
    assert put_together(parts % (40.1589 * 8)).parts["loop"].slack == pytest.approx(0, abs=1e-3)
    report = report_of(parts % (40.5 * 8))
    assert f"far.at: {math.floor(40.1589 * 80) / 10:g} right of main" in report
    assert "106 links" in report


# ---------------------------------------------------------------- advice
def closes(parts):
    linkage = Linkage(scene_of(parts).parts)
    return linkage.start() is None and linkage.go_round(step=math.radians(2)) is None


@pytest.mark.parametrize(
    ("field", "written", "least"),
    # a crank-rocker needs shortest + longest <= the other two (Grashof): with 30, b, c, 90 the crank goes round for
    # b >= 120 - c and b <= 60 + c; the advice is on half millimetres and half a millimetre clear at most
    [("coupler", 60, 80), ("rocker", 40, 60)],
)
def test_the_nearest_dimension_that_closes_is_advised(field, written, least):
    parts = """
crank: {kind: crank, on: main, radius: 30}
coupler: {kind: rod, from: crank.pin, to: rocker.end, length: 60}
rocker: {kind: lever, at: 90 right of main, arms: {end: 40 up}}
"""
    report = report_of(parts)
    assert "'coupler' can't close when the handle has turned" in report
    path = {"coupler": "coupler.length", "rocker": "rocker.arms.end"}[field]
    value = float(re.search(f"'{path}: ([0-9.]+)", report)[1])
    assert least < value <= least + 1
    assert closes(
        parts.replace(
            "length: 60" if field == "coupler" else "end: 40",
            f"length: {value}" if field == "coupler" else f"end: {value}",
        )
    )
    assert (
        not closes(parts.replace("length: 60", f"length: {least - 0.5}")) or field != "coupler"
    )


def test_rods_are_proposed_first():
    report = report_of(
        "crank: {kind: crank, on: main, radius: 30}\ncoupler: {kind: rod, from: crank.pin, to: rocker.end, length: 60}\nrocker: {kind: lever, at: 90 right of main, arms: {end: 40 up}}"
    )
    line = next(line for line in report.splitlines() if "write" in line)
    assert (
        line.index("coupler.length")
        < line.index("rocker.arms.end")
        < line.index("crank.radius")
    )
    assert "the loop: coupler, rocker" in report
    assert report.startswith("trial.yaml:6:")


def test_a_crank_longer_than_its_rod_is_told():
    report = report_of(slider_crank(40, 35, 0))
    assert "'rod' can't close" in report
    assert "'rod.length: 40.5'" in report


def test_a_rod_between_fixed_places_is_told():
    report = report_of(
        "p: {kind: pin, at: [0, 0]}\nq: {kind: pin, at: [50, 0]}\nrod: {kind: rod, from: p, to: q, length: 40}"
    )
    assert "its ends stand 50.00 mm apart" in report
    assert "'rod.length: 50'" in report


def test_every_problem_of_the_shapes_comes_in_one_report():
    report = report_of(
        """
far: {kind: shaft, at: 30 right of main}
a: {kind: pulley, on: main, diameter: 24}
b: {kind: pulley, on: far, diameter: 60}
loop: {kind: belt, around: [a, b], made of: rubber band 3, stretched: 10 %}
tray: {kind: slider, slides: up, length: 30, guide: {at: [150, 80], length: 40}}
"""
    )
    assert "overlap" in report
    assert "strikes its guide" in report


@pytest.mark.parametrize("piece", ["baker", "heron", "mole", "skater", "carousel"])
def test_demo_pieces_go_together_in_every_variant(piece):
    from animator.scene import read_all

    for scene in read_all(f"scenes/{piece}.yaml").values():
        whole = assemble(scene)
        spans = {
            name for name, part in whole.parts.items() if type(part.held()).__name__ == "Spans"
        }
        assert set(whole.starts) == set(whole.parts) - spans
        assert all(math.isfinite(number) for pose in whole.starts.values() for number in pose)


def test_the_baker_leans_once_and_his_ram_goes_two_cranks():
    scene = assemble(read("scenes/baker.yaml"))
    linkage = Linkage(scene.parts)
    linkage.start()
    course = Course(linkage)
    lean = []
    linkage.go_round(
        lambda turned: (course.visit(turned), lean.append(linkage.pose("baker").angle))
    )
    assert course.high["ram"][0] - course.low["ram"][0] == pytest.approx(36, abs=1e-9)
    assert math.degrees(max(lean) - min(lean)) == pytest.approx(36.8, abs=0.1)


# ---------------------------------------------------------------- the closed forms
def test_circles_that_meet_meet_at_both_distances():
    rng = np.random.default_rng(1)
    for _ in range(200):
        a, b, point = rng.uniform(-50, 50, (3, 2))
        found, missing = meet_circles(
            tuple(a), math.dist(a, point), tuple(b), math.dist(b, point)
        )
        assert missing == 0
        for here in found:
            assert math.dist(a, here) == pytest.approx(math.dist(a, point), abs=1e-6)
            assert math.dist(b, here) == pytest.approx(math.dist(b, point), abs=1e-6)
        assert min(math.dist(here, point) for here in found) < 1e-4


def test_circles_that_miss_say_by_how_much():
    assert meet_circles((0, 0), 10, (50, 0), 30)[1] == pytest.approx(10)
    assert meet_circles((0, 0), 10, (5, 0), 30)[1] == pytest.approx(15)
    assert meet_circles((0, 0), 30, (5, 0), 10)[1] == pytest.approx(15)
    assert meet_line((0, 0), (1, 0), (20, 12), 10)[1] == pytest.approx(2)
    assert meet_line((0, 0), (1, 0), (20, 6), 10)[0] == pytest.approx([28, 12])
