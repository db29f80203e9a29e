import math
import re
import shutil
from pathlib import Path

import pytest

from animator import materials
from animator.outlines import (
    FlowingLift,
    PoseLift,
    Stance,
    Tip,
    lift_of,
    outline_in,
)
from animator.problems import SceneError
from animator.scene import read
from animator.world.assembling import assemble
from animator.world.building import Bench
from animator.world.settings import Settings
from tests.drawn import drawn, refusal, scene

CAM = "c: {{kind: cam, on: shaft, {}}}"
PROGRAMME = "programme: [{{rise: 14, over: 120, law: 3-4-5}}, {{dwell: 90}}, {{fall: {}, over: 50}}, {{dwell: {}}}]"


def test_rest_is_what_remains_of_the_turn():
    moves = drawn(CAM.format(PROGRAMME.format(14, "rest")))["c"].moves()
    assert [(move.rise, round(math.degrees(move.over), 9), move.law) for move in moves] == [
        (14, 120, "3-4-5"),
        (0, 90, "cycloidal"),
        (-14, 50, "cycloidal"),
        (0, 100, "cycloidal"),
    ]


def test_programme_covers_a_whole_turn_and_ends_where_it_began():
    assert refusal(CAM.format(PROGRAMME.format(14, 90))) == (
        "'c': the programme covers 350 of 360 degrees",
        "'- {dwell: 10}' more, or '- {dwell: rest}'",
    )
    assert refusal(CAM.format(PROGRAMME.format(12, "rest"))) == (
        "'c': the programme ends 2 mm above where it starts",
        "'fall: 2' more, so that it closes",
    )
    assert drawn(CAM.format(PROGRAMME.format(14, 100)))


@pytest.mark.parametrize(
    "law",
    [
        "straight",
        "parabolic",
        "harmonic",
        "cubic",
        "cycloidal",
        "3-4-5",
        "4-5-6-7",
        "modified sine",
        "modified trapezoid",
    ],
)
def test_nine_laws_are_known(law):
    cam = drawn(
        CAM.format(
            f"programme: [{{rise: 9, over: 90, law: {law}}}, {{fall: 9, over: 90}}, {{dwell: rest}}]"
        )
    )["c"]
    assert cam.moves()[0].law == law


@pytest.mark.parametrize(
    "outline",
    [
        "eccentric: {radius: 20, throw: 5}",
        "egg: {radius: 16, nose radius: 7, reach: 13}",
        "drop: {lift: 8}",
        "poses: {0: 0, 90: 10, 200: 4}",
    ],
)
def test_exactly_one_outline(outline):
    assert drawn(CAM.format(outline))
    assert refusal(CAM.format(f"{outline}, programme: [{{dwell: 360}}]"))[0].startswith(
        "'c' says two of"
    )
    assert refusal(CAM.format("phase: 10"))[0].startswith("'c' says none of")


@pytest.mark.parametrize(
    ("outline", "what"),
    [
        ("eccentric: {radius: 20, throw: 20}", "the shaft lies outside the eccentric"),
        ("egg: {radius: 16, nose radius: 7, reach: 8}", "the nose lies inside the round"),
        (
            "drop: {lift: 8, rise over: 340, fall over: 30}",
            "rise and fall together are more than a turn",
        ),
        ("poses: {0: 0, 90: 10}", "a smooth curve needs three poses or more"),
        ("poses: {0: 0, 90: 10, 360: 4}", "two poses stand at one angle"),
        ("poses: {0: 0, 90: 10, 200: -15}", "a pose lies below the shaft's middle"),
        (
            "programme: [{fall: 20, over: 180}, {rise: 20, over: 180}]",
            "the programme falls 20 mm below a base radius of 15",
        ),
    ],
)
def test_outline_that_can_not_be_cut_is_refused(outline, what):
    assert refusal(CAM.format(outline))[0].endswith(what)


def test_poses_are_joined_by_the_spline_where_it_keeps_within_them_else_flowing():
    wave = drawn(CAM.format("poses: {0: 0, 60: 4, 120: 8, 180: 9, 240: 8, 300: 4}"))["c"]
    assert type(lift_of(wave)) is PoseLift
    steps = drawn(CAM.format("poses: {0: 0, 90: 0, 120: 10, 210: 10}"))["c"]
    assert isinstance(lift_of(steps), FlowingLift)
    said = drawn(CAM.format("poses: {0: 0, 90: 0, 120: 10, 210: 10}, joined: spline"))["c"]
    assert type(lift_of(said)) is PoseLift
    law = lift_of(drawn(CAM.format("poses: {30: 0, 90: 6, 200: 10}, joined: cycloidal"))["c"])
    for angle, height in ((30, 0), (90, 6), (200, 10), (60, 3)):
        assert law.turned(math.radians(angle))[0] == pytest.approx(height, abs=1e-9)
    assert law.turned(math.radians(90))[1:] == pytest.approx((0, 0), abs=1e-6)


def test_poses_by_the_clock_are_poses_of_a_turn_that_the_last_closes():
    cam = drawn(CAM.format("poses: {0 s: 0, 500 ms: 8, 1.5 s: 2, 2 s: 0}"))["c"]
    assert cam.turn_time == 2
    lift = lift_of(cam)
    for degrees, height in ((0, 0), (90, 8), (270, 2)):
        assert lift.at(math.radians(degrees))[0] == pytest.approx(height, abs=1e-9)


def test_a_turn_that_is_not_in_time_is_told_with_the_speed_that_is():
    piece = CAM.format("poses: {0 s: 0, 1 s: 8, 3 s: 2, 4 s: 0}")
    follower = "f: {kind: follower, follows: c, tip: {roller diameter: 8}, guide: {at: 60 above shaft}, length: 80}"
    notes = assemble(scene(piece + "\n" + follower)).assumptions
    (told,) = [note for note in notes if "timed" in note]
    assert told == (
        "c is timed for a turn in 4 s, and its shaft takes 2 s; with 'handle.speed: 15 rpm' it is in time"
    )


@pytest.mark.parametrize(
    ("outline", "what"),
    [
        (
            "poses: {0 s: 0, 90: 8, 2 s: 0}",
            "some poses are told by the clock, others by degrees",
        ),
        (
            "poses: {1 s: 0, 1.5 s: 8, 2 s: 0}",
            "nothing says where it is when the turn begins; the first pose comes at 1 s",
        ),
        (
            "joined: spline, drop: {lift: 8}",
            "'joined' tells how poses are joined; there are none",
        ),
        ("groove: 8.2, drop: {lift: 8}", "a groove can't follow a drop"),
        (
            "loudness: {of: hill.wav, lift: 4, gate: 95 %}",
            "a gate that lets almost nothing through",
        ),
        (
            "loudness: {of: hill.wav, lift: 4, smooth: 5 ms}",
            "a lift that changes faster than any cam can be filed",
        ),
        (
            "loudness: {of: hill.wav, lift: 4, from: 2 s, to: 1 s}",
            "the stretch is over before it begins",
        ),
        ("traced: hill.png", "hill.png: 'hill.png' is neither SVG nor CSV"),
        ("loudness: {of: hill.doc, lift: 4}", "'hill.doc' is no sound file"),
    ],
)
def test_performance_that_can_not_be_cut_is_refused(outline, what):
    assert refusal(CAM.format(outline))[0].endswith(what)


def round_of(count, name, folder, turned=0.0):
    """Write a cam's outline as a list of points."""
    rows = []
    for i in range(count):
        a = math.tau * i / count
        r = 20 + 4 * math.cos(a - turned)
        rows.append(f"{r * math.cos(a):.4f};{r * math.sin(a):.4f}")
    (folder / name).write_text("right;up\n" + "\n".join(rows))


TRACED = """title: Trial
parts:
  shaft: {kind: shaft, at: [100, 60]}
  handle: {kind: handle, on: shaft, speed: 30 rpm}
  c: {kind: cam, on: shaft, traced: %s}
  f: {kind: follower, follows: c, tip: {roller diameter: 8}, guide: {at: 60 above shaft, ideal: yes}, length: 80}
"""


def test_a_list_of_points_becomes_an_outline_and_says_how_far_it_was_smoothed(tmp_path):
    round_of(72, "hill.csv", tmp_path)
    path = tmp_path / "piece.yaml"
    path.write_text(TRACED % "hill.csv")
    piece = assemble(read(path))
    (told,) = [note for note in piece.assumptions if "smoothed" in note]
    assert re.fullmatch(
        r"c is smoothed: its outline of hill.csv moved by at most 0\.0\d\d mm \(at \d+ degrees\) and by 0\.00\d mm on average",
        told,
    )
    top = outline_in(piece, "c").reach(Tip(4.0), Stance(), math.pi / 2)
    assert top == pytest.approx(28, abs=0.02)  # its farthest point, a quarter turn later


def test_a_drawing_becomes_an_outline_about_its_centre(tmp_path):
    (tmp_path / "hill.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
        '<circle class="point" id="centre" cx="30" cy="34" r="1"/>'
        '<circle cx="30" cy="30" r="20" fill="#888"/></svg>'
    )
    path = tmp_path / "piece.yaml"
    path.write_text(TRACED % "hill.svg")
    outline = outline_in(assemble(read(path)), "c")
    reach = [outline.reach(Tip(4.0), Stance(), math.radians(a)) for a in (0, 180)]
    # drawn 4 mm below the round's middle (SVG counts downwards): 28 above it, 20 below
    assert reach == pytest.approx([28, 20], abs=0.01)


SPOKEN = Path(__file__).parents[2] / "scenes" / "sounds" / "ferryman.wav"


def test_a_cam_from_a_sound_lifts_most_where_it_is_loudest(tmp_path):
    shutil.copy(SPOKEN, tmp_path / "call.wav")
    path = tmp_path / "piece.yaml"
    path.write_text(
        TRACED.replace(
            "traced: %s", "base radius: 40, loudness: {of: call.wav, lift: 5}"
        ).replace("60 above shaft", "90 above shaft")
    )
    piece = assemble(read(path))
    lift = lift_of(piece.parts["c"])
    heights = {t: lift.at(math.tau * t / 5.007)[0] for t in (0.15, 0.45, 1.6, 2.35, 4.4)}
    assert heights[0.15] < 0.4  # before the first word, the last one dying away
    assert heights[1.6] < 0.4  # between the sentences
    assert min(heights[t] for t in (0.45, 2.35, 4.4)) > 3  # all, last, now
    assert max(rise[0] for _, rise in lift.samples()) == pytest.approx(5, abs=0.02)
    assert any(note.startswith("c opens ") for note in piece.assumptions)


def test_a_sound_too_quick_for_its_cam_is_told_with_what_works(tmp_path):
    shutil.copy(SPOKEN, tmp_path / "call.wav")
    path = tmp_path / "piece.yaml"
    path.write_text(
        TRACED.replace("traced: %s", "loudness: {of: call.wav, lift: 9}")
        .replace("60 above shaft", "120 above shaft")
        .replace("length: 80", "length: 150")
    )
    with pytest.raises(SceneError) as caught:
        assemble(read(path))
    (problem,) = caught.value.problems
    assert "more sharply than the roller itself" in problem.what
    mends = re.findall(r"'c\.([\w ]+(?:\.\w+)?): ([^']+)'", problem.write)
    assert [field for field, _ in mends] == ["base radius", "loudness.smooth", "loudness.to"]
    for field, value in mends:  # each by itself is a cam that can be cut
        assemble(read(path, changes={f"c.{field}": value}))


def test_a_groove_is_cut_half_through_its_disc():
    piece = CAM.format("groove: 8.2, eccentric: {radius: 20, throw: 6}, material: brass 4")
    follower = "f: {kind: follower, follows: c, tip: {roller diameter: 8}, guide: {at: 60 above shaft}, length: 80}"
    whole = assemble(scene(piece + "\n" + follower))
    groove = outline_in(whole, "c")
    # the roller's middle goes round a circle of 24 mm; area of a ring of mean radius 24
    disc, ring = math.pi * groove.rim**2, math.tau * 24 * 8.2
    assert groove.rim == pytest.approx(30 + 2.2 * 4.1, abs=1e-3)
    weight = whole.parts["c"].weigh(Bench(whole, 0.5, Settings(1e-4, 30)))
    density = materials.stuff("brass").density.at(0.5)
    assert weight.mass == pytest.approx((disc * 4 - ring * 2) * density, rel=1e-3)
