"""Said once, meant many times: defaults, likenesses, groups with copies, mirrors and variants."""

import math

import pytest

from animator.problems import SceneError
from animator.scene import read_all

HEAD = """title: A piece
frame: {width: 300, height: 200}
"""
SHAFT = """  shaft: {kind: shaft, at: [100, 60]}
  handle: {kind: handle, on: shaft, speed: 30 rpm}
"""


def scenes(parts, more="", top=""):
    return read_all("piece.yaml", text=f"{HEAD}{top}parts:\n{SHAFT}{parts}{more}")


def scene(parts, more="", top=""):
    return scenes(parts, more, top)[None]


def problems(parts, more="", top=""):
    with pytest.raises(SceneError) as caught:
        scenes(parts, more, top)
    return [(each.what, each.write) for each in caught.value.problems]


# ---------------------------------------------------------------- defaults
def test_default_holds_where_a_part_says_nothing():
    made = scene(
        "  a: {kind: crank, on: shaft}\n  b: {kind: crank, on: shaft, radius: 9}\n",
        top="unless stated: {crank: {radius: 20, material: brass 3}}\n",
    )
    assert (made.parts["a"].radius, made.parts["b"].radius) == (20, 9)
    assert made.parts["b"].material.name == "brass"


def test_default_outline_gives_way_to_an_own_one():
    made = scene(
        "  a: {kind: cam, on: shaft, drop: {lift: 8}}\n  b: {kind: cam, on: shaft}\n",
        top="unless stated: {cam: {eccentric: {radius: 20, throw: 5}}}\n",
    )
    assert made.parts["a"].eccentric is None
    assert made.parts["a"].drop.lift == 8
    assert made.parts["b"].eccentric.throw == 5


def test_records_are_laid_over_each_other_key_by_key():
    made = scene(
        "  r: {kind: slider, slides: right, guide: {at: [200, 60], length: 12}}\n",
        top="unless stated: {slider: {guide: {clearance: 0.4, length: 30}}}\n",
    )
    guide = made.parts["r"].guide
    assert (guide.length, guide.clearance) == (12, 0.4)


# ---------------------------------------------------------------- likenesses
def test_part_is_like_another_but_for_its_own_words():
    made = scene(
        "  a: {kind: crank, on: shaft, radius: 20, angle: up, note: first}\n  b: {like: a, angle: down, note: none}\n"
    )
    assert made.parts["b"].radius == 20
    assert made.parts["b"].angle == pytest.approx(1.5 * math.pi)
    assert made.parts["b"].note is None
    assert made.parts["a"].note == "first"


def test_likeness_may_come_before_its_model():
    assert (
        scene("  b: {like: a, radius: 9}\n  a: {kind: crank, on: shaft, radius: 20}\n")
        .parts["b"]
        .radius
        == 9
    )


def test_change_reaches_into_a_group():
    made = scene(
        "  near: {kind: group, parts: {crank: {kind: crank, on: shaft, radius: 8}, bar: {kind: rod, from: crank.pin, to: ram.pin, length: 60}}}\n"
        "  far: {like: near, change: {crank.angle: 180, bar.length: 61}}\n"
        "  ram: {kind: slider, slides: right, guide: {at: [180, 60]}}\n"
    )
    assert made.parts["far.crank"].angle == pytest.approx(math.pi)
    assert (made.parts["near.bar"].length, made.parts["far.bar"].length) == (60, 61)
    assert made.parts["far.bar"].from_.part == "far.crank"


def test_likeness_of_itself_is_refused():
    assert [what for what, _ in problems("  a: {like: b}\n  b: {like: a}\n")] == [
        "'b' is like itself"
    ]


# ---------------------------------------------------------------- groups and copies
FROGS = """  frogs:
    kind: group
    copies: [ada, bea, cleo]
    vary: {along: from 50 by 45, cam.phase: [0, 90, 200]}
    parts:
      cam: {kind: cam, on: shaft, eccentric: {radius: 20, throw: 5}}
      lifter: {kind: follower, follows: cam, guide: {at: 70 above shaft}}
"""


def test_copies_each_get_their_own_value():
    parts = scene(FROGS).parts
    assert [name for name in parts if name.endswith(".cam")] == [
        "ada.cam",
        "bea.cam",
        "cleo.cam",
    ]
    assert [
        round(math.degrees(parts[f"{name}.cam"].phase)) for name in ("ada", "bea", "cleo")
    ] == [0, 90, 200]
    assert [parts[f"{name}.lifter"].along for name in ("ada", "bea", "cleo")] == [50, 95, 140]


def test_short_name_means_the_part_of_ones_own_copy():
    parts = scene(FROGS).parts
    assert [parts[f"{name}.lifter"].follows.part for name in ("ada", "bea", "cleo")] == [
        "ada.cam",
        "bea.cam",
        "cleo.cam",
    ]
    assert parts["bea.cam"].on.part == "shaft"


def test_slip_in_a_group_is_told_once():
    assert len(problems(FROGS.replace("throw: 5", "throe: 5"))) == 1


def test_values_for_the_copies_are_counted():
    assert problems(FROGS.replace(", 200]", "]")) == [
        ("2 values for 3 copies", "one value for each copy, or 'from 0 by 90'")
    ]


# ---------------------------------------------------------------- variants
def test_variant_reaches_all_copies_or_one():
    made = scenes(
        FROGS,
        "variants:\n  all: {frogs.cam.phase: 45}\n  one: {bea.cam.phase: 45}\n  both: {frogs.cam.phase: 10, bea.cam.phase: 45}\n",
    )
    degrees = {
        name: [
            round(math.degrees(each.parts[f"{copy}.cam"].phase))
            for copy in ("ada", "bea", "cleo")
        ]
        for name, each in made.items()
    }
    assert degrees == {
        None: [0, 90, 200],
        "all": [45, 45, 45],
        "one": [0, 45, 200],
        "both": [10, 45, 10],
    }


def test_variant_wins_against_like_and_change():
    text = "  a: {kind: crank, on: shaft, radius: 20}\n  b: {like: a, radius: 9}\n"
    made = scenes(text, "variants: {x: {a.angle: up, b.radius: 5}}\n")["x"].parts
    assert made["b"].angle == pytest.approx(math.pi / 2), (
        "what is like a changed part changes with it"
    )
    assert (made["a"].radius, made["b"].radius) == (20, 5)


def test_map_with_a_kind_replaces_the_part():
    made = scenes(
        "  w: {kind: wheel, on: shaft, radius: 30, note: big}\n",
        "variants: {x: {w: {kind: crank, on: shaft, radius: 12}}}\n",
    )["x"]
    assert (made.parts["w"].kind, made.parts["w"].note) == ("crank", None)


def test_map_without_a_kind_is_laid_over_it():
    made = scenes(
        "  w: {kind: wheel, on: shaft, radius: 30, note: big}\n",
        "variants: {x: {w: {radius: 12}}}\n",
    )["x"]
    assert (made.parts["w"].radius, made.parts["w"].note) == (12, "big")


def test_none_takes_a_part_or_a_field_away():
    made = scenes(
        "  w: {kind: wheel, on: shaft, radius: 30, note: big}\n",
        "variants: {x: {w.note: none}, y: {w: none}}\n",
    )
    assert made["x"].parts["w"].note is None
    assert "w" not in made["y"].parts


def test_another_outline_puts_out_the_first():
    made = scenes(
        "  c: {kind: cam, on: shaft, eccentric: {radius: 20, throw: 5}}\n",
        "variants: {x: {c.drop: {lift: 9}}, y: {c.drop.lift: 9}}\n",
    )
    for name in ("x", "y"):
        assert made[name].parts["c"].eccentric is None
        assert made[name].parts["c"].drop.lift == 9


def test_number_in_a_path_counts_from_one():
    text = "  c: {kind: cam, on: shaft, programme: [{rise: 14, over: 120}, {dwell: 60}, {fall: 14, over: 120}, {dwell: rest}]}\n"
    made = scenes(
        text,
        "variants: {x: {c.programme.1.rise: 9, c.programme.3.fall: 9, c.programme.2: {dwell: 30}}}\n",
    )["x"]
    assert [
        (move.rise, round(math.degrees(move.over))) for move in made.parts["c"].moves()
    ] == [(9, 120), (0, 30), (-9, 120), (0, 90)]


def test_short_form_can_be_reached_into():
    text = "  c: {kind: cam, on: shaft, eccentric: {radius: 20, throw: 5}}\n  f: {kind: follower, follows: c, tip: knife, guide: {at: 70 above shaft}}\n"
    made = scenes(text, "variants: {x: {f.tip.roller diameter: 8}}\n")["x"]
    assert made.parts["f"].tip.roller_diameter == 8
    assert made.parts["f"].tip.kind is None


def test_variant_adds_its_claims_and_replaces_run_and_shots():
    text = "  w: {kind: wheel, on: shaft, radius: 30}\n"
    made = scenes(
        text,
        "expect: [no jam]\nrun: 2 turns\nshots: {a: {from: 0, to: 90}}\nvariants: {x: {expect: [no stall], run: 3 s, shots: {b: {at: 90}}}}\n",
    )
    assert [claim.finding for claim in made["x"].claims] == ["jam", "stall"]
    assert [claim.finding for claim in made[None].claims] == ["jam"]
    assert made["x"].run.time == 3
    assert list(made["x"].shots) == ["b"]


def test_empty_variant_is_the_piece_as_drawn():
    made = scenes(
        "  w: {kind: wheel, on: shaft, radius: 30}\n", "variants: {as drawn: , too: {}}\n"
    )
    assert made["as drawn"].parts == made["too"].parts == made[None].parts


def test_variant_may_widen_the_frame():
    assert (
        scenes(
            "  w: {kind: wheel, on: shaft, radius: 30}\n", "variants: {x: {frame.width: 500}}\n"
        )["x"].frame.width
        == 500
    )


def test_slip_in_any_variant_shows_before_it_is_asked_for():
    found = problems(
        "  wheel: {kind: wheel, on: shaft, radius: 30}\n",
        "variants: {x: {wheel.radus: 12}, y: {whel.radius: 3}}\n",
    )
    assert found == [
        ("'wheel' has no 'radus'", "'radius'"),
        ("no part is called 'whel'", "'wheel.radius'"),
    ]


# ---------------------------------------------------------------- mirrors
def test_mirror_turns_places_arms_and_senses():
    text = """  hip: {kind: pin, at: [150, 60]}
  near: {kind: lever, at: 30 right and 8 above hip, arms: {foot: 20 at 300, hook: 10 up}, stops: {clockwise: 60, anticlockwise: 10}}
  far: {like: near, mirrored about: hip}
"""
    far = scene(text).parts["far"]
    assert far.at.offset == (-30, 8)
    assert math.degrees(far.arms["foot"][1]) == pytest.approx(240)
    assert math.degrees(far.arms["hook"][1]) == pytest.approx(90)
    assert [round(math.degrees(limit)) for limit in far.stops.limits()] == [-10, 60]


def test_place_measured_from_elsewhere_lands_on_the_other_side():
    text = """  hip: {kind: pin, at: [150, 60]}
  near: {kind: pin, at: 80 right and 5 above shaft}
  far: {like: near, mirrored about: hip}
"""
    made = scene(text).parts["far"]
    assert made.at.ref.part == "hip"
    assert made.at.offset == (-30, 5), "near stands at 180, the mirror at 150"


def test_words_said_beside_a_mirror_stay_as_written():
    text = """  hip: {kind: pin, at: [150, 60]}
  near: {kind: crank, on: shaft, radius: 20, angle: 30}
  far: {like: near, angle: 40, mirrored about: hip}
  other: {like: near, mirrored about: hip}
"""
    parts = scene(text).parts
    assert math.degrees(parts["far"].angle) == pytest.approx(40)
    assert math.degrees(parts["other"].angle) == pytest.approx(150)


def test_mirrored_cam_looks_mirrored_and_keeps_its_phase():
    text = """  near: {kind: cam, on: shaft, phase: 20, programme: [{rise: 14, over: 120}, {dwell: 60}, {fall: 14, over: 90}, {dwell: rest}]}
  far: {like: near, mirrored about: shaft}
"""
    far = scene(text).parts["far"]
    assert [(move.rise, round(math.degrees(move.over))) for move in far.moves()] == [
        (0, 90),
        (14, 90),
        (0, 60),
        (-14, 120),
    ]
    assert math.degrees(far.phase) == pytest.approx(20)


def test_mirror_of_a_mirror_is_the_first_again():
    text = """  hip: {kind: pin, at: [150, 60]}
  a: {kind: lever, at: 30 right and 8 above hip, arms: {foot: 20 at 300}}
  b: {like: a, mirrored about: hip}
  c: {like: b, mirrored about: hip}
"""
    parts = scene(text).parts
    assert parts["c"].at.offset == parts["a"].at.offset
    assert parts["c"].arms["foot"] == pytest.approx(parts["a"].arms["foot"])
