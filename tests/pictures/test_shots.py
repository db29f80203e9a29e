import itertools
import math
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from animator.findings.examining import examine
from animator.motion.looping import find_loop, joins
from animator.pictures.camera import Window, bounds_of, centred, followed, framed
from animator.pictures.film import Film
from animator.pictures.pages.close import ClosePage
from animator.pictures.shot_list import (
    NotShown,
    default_shots,
    plainest,
    shots_of,
    stretch_of,
    stretches_of,
    time_of,
)
from animator.scene import read
from animator.scene.shots import Moment, parse_when
from tests import pieces
from tests.pictures._runs import demo, finding, jam_of_the_mole, report

SMALL = (480, 270)
SCENES = Path(__file__).resolve().parents[2] / "scenes"


def shots(name: str, text: str, variant: str | None = None) -> dict:
    """Shots written for a demo in place of its own."""
    whole = (SCENES / f"{name}.yaml").read_text(encoding="utf-8")
    head, _, _ = whole.partition("\nshots:")
    scene = read(SCENES / f"{name}.yaml", variant, text=f"{head}\nshots:\n{text}\n")
    return dict(scene.shots)


@pytest.fixture(scope="module")
def fast():
    motion = demo("heron", "fast")
    return motion, examine(motion)


@pytest.fixture(scope="module")
def band():
    motion = demo("carousel", None, turns=10.0)
    return motion, examine(motion)


# ---------------------------------------------------------------- moments
def test_a_finding_is_a_moment(fast):
    motion, said = fast
    shot = shots(
        "heron", "  a: {from: 20 before first float of lifter, to: 0.05 s after last float}"
    )["a"]
    found = next(f for f in said.findings if f.code == "float")
    stretch = stretch_of(motion, said, shot)
    angle = np.interp([stretch.start, found.from_s], motion.times, motion.drive.angle)
    assert math.degrees(angle[1] - angle[0]) == pytest.approx(20, abs=0.1)
    assert stretch.stop == pytest.approx(found.from_s + 0.05, abs=1e-9)


def test_a_picture_that_stands_at_a_float_shows_its_widest_gap(fast):
    motion, said = fast
    found = next(f for f in said.findings if f.code == "float")
    contact = next(c for c in motion.contacts.values() if c.is_meant)
    gap = np.interp(plainest(motion, found), motion.times, contact.gap)
    assert gap == pytest.approx(found.amount, abs=1e-3)
    stretch = stretch_of(motion, said, shots("heron", "  a: {at: first float}")["a"])
    assert stretch.start == plainest(motion, found)
    assert stretch.finding == found


@pytest.mark.slow
def test_a_finding_that_this_run_does_not_show_is_told_with_its_place():
    motion = demo("heron")
    shot = shots("heron", "  a: {at: first float of lifter}")["a"]
    with pytest.raises(NotShown) as told:
        stretch_of(motion, examine(motion), shot)
    assert "'first float of lifter': this run shows no float of lifter" in str(told.value)
    assert str(told.value).startswith("heron.yaml:")


def test_of_several_shots_those_that_are_not_shown_are_left_out_and_told():
    motion, said = jam_of_the_mole()
    both = shots(
        "mole",
        "  a: {at: first float}\n  b: {from: 10 before first jam, to: 0.1 s after first jam}",
    )
    kept, left_out = stretches_of(motion, said, both.values())
    assert [stretch.shot.name for stretch in kept] == ["b"]
    assert len(left_out) == 1
    assert left_out[0].startswith("shot 'a' is left out")
    with pytest.raises(NotShown, match="'first float'"):
        stretches_of(motion, said, [both["a"]])


def test_a_mark_of_the_sound_is_a_moment(tmp_path):
    (tmp_path / "round.wav").write_bytes(b"")
    shutil.copytree(SCENES / "art", tmp_path / "art")
    text = (SCENES / "heron.yaml").read_text(encoding="utf-8").partition("\nshots:")[0]
    text += "\nsound: {file: round.wav, starts at: 90, marks: {bell: 0.25 s}}"
    text += "\nshots:\n  a: {from: mark bell, to: 0.5 s after mark bell}\n"
    scene = read(tmp_path / "heron.yaml", text=text)
    motion = demo("heron")
    heard = replace(motion, scene=scene)
    stretch = stretch_of(heard, None, scene.shots["a"])
    assert stretch.start == pytest.approx(time_of(motion, Moment(math.pi / 2)) + 0.25)
    assert stretch.stop - stretch.start == pytest.approx(0.5)


@pytest.mark.parametrize("text", ["first", "first seam", "first jm", "last", "20 before"])
def test_what_names_no_moment_is_refused(text):
    from animator.units import Wrong

    with pytest.raises(Wrong):
        parse_when(text)


# ---------------------------------------------------------------- framing
def test_framed_parts_lie_wholly_inside_the_picture_with_their_margin_all_the_time():
    motion = demo("heron")
    shot = shots(
        "heron", "  a: {from: 0, to: 360, look: bench, on: [lift cam, lifter], margin: 6 mm}"
    )["a"]
    film = Film(motion, None, report(), size=SMALL, fps=20, shot=shot)
    clip = film.clips[0]
    page = clip.close
    left, top, right, foot = page.free
    scale = page.sheet.h / clip.windows[0].high
    w, h = page.sheet.w, page.sheet.h
    closest = math.inf
    for shown, window in zip(clip.pictures, clip.windows, strict=True):
        low_x, low_y, high_x, high_y = bounds_of(
            page.stand, ["lift cam", "lifter"], [page.stand.moment(shown.t)]
        )
        sides = (
            w / 2 + (low_x - window.x) * scale - left,
            h / 2 - (high_y - window.y) * scale - top,
            right - w / 2 - (high_x - window.x) * scale,
            foot - h / 2 + (low_y - window.y) * scale,
        )
        closest = min(closest, *sides)
    assert closest >= 6 * scale - 0.5
    assert closest <= 6 * scale + 2  # as near as the margin allows
    assert len(set(clip.windows)) == 1  # the camera stands


def test_what_is_framed_is_seen_larger():
    motion = demo("heron")
    near = shots("heron", "  a: {from: 0, to: 90, on: [lift cam]}")["a"]
    clip = Film(motion, None, report(), size=SMALL, fps=20, shot=near).clips[0]
    assert clip.windows[0].high < 0.5 * clip.close.home.high


def test_a_followed_part_stays_near_the_middle():
    motion = demo("heron", "fast")
    shot = shots("heron", "  a: {from: 0, to: 720, follow: handle.knob, speed: 1/4}")["a"]
    film = Film(motion, None, report(), size=SMALL, fps=20, shot=shot)
    clip = film.clips[0]
    part, point = shot.follow
    away = []
    for shown, window in zip(clip.pictures, clip.windows, strict=True):
        x, y = clip.close.stand.moment(shown.t).point(part, point)
        middle = centred((x, y), window.high, clip.close.free, clip.close.sheet.h)
        away.append(max(abs(middle.x - window.x), abs(middle.y - window.y)) / window.high)
    assert max(away) <= 0.22 + 1e-9
    assert len(set(clip.windows)) > 5


def test_a_camera_that_follows_does_not_shake_with_what_rattles():
    t = np.arange(200) / 25
    path = np.stack([20 * t, 0.6 * np.sin(2 * np.pi * 8 * t)], 1)
    way = followed(path, 25, 100)
    assert np.ptp(way[25:-25, 1]) < 0.1
    assert np.abs(way - path).max() <= 22


def test_a_window_is_the_same_thing_looked_at_from_between():
    a, b = Window(0, 0, 200), Window(50, 20, 50)
    assert a.mixed(b, 0) == a
    there = a.mixed(b, 1)
    assert (there.x, there.y, there.high) == pytest.approx((50, 20, 50))
    half = a.mixed(b, 0.5)
    assert half.high == pytest.approx(100)  # by even ratios
    fit = framed((0, 0, 10, 10), (0, 0, 1280, 720), 720, 3.0, 0)
    assert fit.high == pytest.approx(720 / 18)  # six times as near as the whole, and no nearer


# ---------------------------------------------------------------- freeze, slow motion
def test_slow_motion_goes_by_the_recorded_clock(fast):
    motion, said = fast
    shot = shots("heron", "  a: {from: 0.3 s, to: 0.9 s, speed: 1/8, look: bench}")["a"]
    film = Film(motion, None, said, size=SMALL, fps=20, shot=shot)
    times = [film.moment_of(i)[0] for i in range(film.frame_count)]
    assert film.frame_count == round(0.6 * 8 * 20)
    assert np.diff(times) == pytest.approx(1 / 8 / 20)


def test_a_freeze_stands_really_still_and_goes_on_where_it_stood(fast):
    motion, said = fast
    text = "  a: {from: 0.1 s before first float, to: 0.1 s after last float, freeze: first float, hold: 1.5 s, speed: 1/8, look: bench}"
    film = Film(motion, None, said, size=SMALL, fps=20, shot=shots("heron", text)["a"])
    clip = film.clips[0]
    still = [i for i, shown in enumerate(clip.pictures) if shown.frozen is not None]
    assert len(still) == 30
    assert still == list(range(still[0], still[0] + 30))
    assert len({clip.pictures[i].t for i in still}) == 1
    moving = [shown.t for shown in clip.pictures if shown.frozen is None]
    assert clip.pictures[still[-1] + 1].t - clip.pictures[still[0]].t == pytest.approx(1 / 160)
    assert all(b > a for a, b in itertools.pairwise(moving))
    # once the camera has come near, nothing in the picture changes any more
    last = [film.frame(i).copy() for i in still[-12:]]
    assert all(np.array_equal(last[0], picture) for picture in last)
    assert clip.windows[still[-1]].high == pytest.approx(clip.windows[0].high / 2)
    assert clip.told[still[0] - 1] == 0
    assert clip.told[still[-1]] == 1


def test_figures_beside_a_shot_change_at_most_five_times_a_second(fast):
    motion, said = fast
    film = Film(motion, None, said, size=SMALL, fps=24, shot=default_shots(motion, said)[1])
    clip = film.clips[0]
    told = [clip._calm(i) for i in range(len(clip.pictures))]
    changes = [i for i in range(1, len(told)) if told[i] != told[i - 1]]
    still = next(i for i, shown in enumerate(clip.pictures) if shown.frozen is not None)
    assert min(np.diff(changes)) >= 24 / 5
    assert told[still] == clip.pictures[still].t


def test_pictures_of_a_shot_are_alike_in_whatever_order_they_are_asked_for(fast):
    motion, said = fast
    one, other = (
        Film(motion, None, said, size=SMALL, fps=10, shot=default_shots(motion, said))
        for _ in range(2)
    )
    numbers = list(range(one.starts[1], one.frame_count, 7))
    forward = {i: one.frame(i).copy() for i in numbers}
    for i in reversed(numbers):
        assert np.array_equal(other.frame(i), forward[i])


# ---------------------------------------------------------------- one shot after another
def test_shots_follow_each_other_and_cut_on_the_right_picture():
    motion = demo("heron")
    text = "  a: {from: 0, to: 360}\n  b: {from: 90, to: 180, on: [lifter], speed: 1/8}\n  c: {at: 90, hold: 1 s}"
    named = shots("heron", text)
    film = Film(motion, None, report(), size=SMALL, fps=20, shot=list(named.values()))
    lengths = [len(clip.pictures) for clip in film.clips]
    assert film.frame_count == film.distinct == sum(lengths)
    assert lengths[2] == 20
    assert film.starts == [0, lengths[0], lengths[0] + lengths[1], sum(lengths)]
    alone = Film(motion, None, report(), size=SMALL, fps=20, shot=named["b"])
    assert np.array_equal(film.frame(lengths[0]), alone.frame(0))
    assert film.moment_of(lengths[0])[0] == pytest.approx(time_of(motion, Moment(math.pi / 2)))
    assert not film.is_loop


def test_a_glide_goes_on_where_the_piece_stands_as_it_did_and_is_a_cut_elsewhere():
    motion = demo("heron")
    text = "  a: {from: 0.9 s, to: 1.9 s, speed: 1/3}\n  b: {from: 1.9 s, to: 3 s, on: [lifter], move: glide, speed: 1/3}\n  c: {from: 1.2 s, to: 2 s, move: glide, speed: 1/3}"
    film = Film(
        motion, None, report(), size=SMALL, fps=20, shot=list(shots("heron", text).values())
    )
    b, c = film.clips[1:]
    assert len(b._glide) == 24
    assert c._glide == []
    highs = [window.high for window in b._glide]
    assert all(y < x for x, y in itertools.pairwise(highs))
    # by the 3-4-5 law: slow at both ends
    steps = -np.diff(np.log(highs))
    assert steps[0] < 0.15 * steps.max()
    assert steps[-1] < 0.15 * steps.max()
    # no jump in the picture at either end of the glide
    first = film.starts[1]
    pictures = [film.frame(i).astype(int).copy() for i in range(first - 2, first + 30)]
    changes = [np.abs(y - x).mean() for x, y in itertools.pairwise(pictures)]
    assert changes[1] < 0.5 * max(changes)


@pytest.mark.slow
# ---------------------------------------------------------------- shots made from the motion
@pytest.mark.parametrize(
    ("name", "variant"),
    [
        ("baker", None),
        ("carousel", None),
        ("heron", None),
        ("heron", "fast"),
        ("mole", None),
        ("skater", None),
        ("smith", None),
    ],
)
def test_every_demo_has_shots_of_its_own_motion(name, variant):
    motion = demo(name, variant)
    said = examine(motion)
    made = default_shots(motion, said)
    kept, left_out = stretches_of(motion, said, made)
    assert not left_out
    assert kept[0].stop - kept[0].start > 0.3
    grave = [f for f in said.findings if f.code != "seam"]
    assert len(made) == (2 if grave else 1)
    if grave:
        close = kept[1]
        assert close.shot.look == "bench"
        assert close.shot.name in {f.code for f in grave}
        film = Film(motion, None, said, size=SMALL, fps=10, shot=made[1])
        assert isinstance(film.page, ClosePage)
        assert film.page.finding is not None
        assert max(film.clips[0].told) == 1


def test_a_scene_s_own_shots_come_before_any_that_are_made():
    motion = demo("heron")
    assert [shot.name for shot in shots_of(motion)] == list(motion.scene.shots)


@pytest.mark.slow
# ---------------------------------------------------------------- loops
@pytest.mark.parametrize("name", ["baker", "heron", "smith"])
def test_a_loop_s_last_picture_is_one_step_before_its_first(name):
    motion = pieces.run_demo(name, "fixed" if name == "mole" else None, turns=2.0)
    loop = find_loop(motion)
    assert loop.join == "closes"
    film = Film(motion, None, report(), size=SMALL, fps=25)
    step = film.take.stop - film.take.start
    last, first = film.moment_of(film.distinct - 1)[0], film.moment_of(0)[0]
    assert last + step / film.distinct == pytest.approx(first + step)
    assert joins(motion, first, first + step)


def test_a_band_that_slips_passes_softly_from_its_end_into_its_beginning(band):
    motion, said = band
    loop = find_loop(motion)
    assert loop.join == said.loop.join == "fades"
    assert "passes softly" in said.loop.sentence
    film = Film(motion, None, said, size=SMALL, fps=20, look="client")
    n = round(loop.fade_s * 20)
    count = film.distinct
    shown = [film.frame(i % count).astype(int).copy() for i in range(count - n - 4, count + 4)]
    steps = [np.abs(b - a).mean() for a, b in itertools.pairwise(shown)]
    hard = np.abs(
        film.clips[0]._drawn(film.take.stop - 1e-6, 0).astype(int)
        - film.clips[0]._drawn(film.take.start, 0).astype(int)
    ).mean()
    usual = np.median(steps[:3])
    assert hard > 1.5 * usual  # it would jump
    assert max(steps) < 0.8 * hard
    assert abs(steps[n + 3] - usual) < 0.6 * usual


def test_a_drive_that_does_not_slip_never_fades():
    motion = demo("carousel", "chain", turns=5.0)
    assert find_loop(motion).join == "closes"
    assert find_loop(motion).fade_s == 0
    assert examine(motion).loop.sentence.startswith("As a film it goes round without a seam")


@pytest.mark.slow
def test_a_piece_that_stands_has_nothing_to_join():
    motion, _ = jam_of_the_mole()
    assert examine(motion).loop is None


def test_a_finding_outside_a_shot_is_not_told_in_it():
    motion = demo("heron")
    shot = shots("heron", "  a: {from: 0, to: 90, on: [lifter], look: bench}")["a"]
    late = finding("float", "lifter", 3.0, 3.1, 200, "It floats.")
    film = Film(motion, None, report(late), size=SMALL, fps=10, shot=shot)
    assert film.page.finding is None


def test_what_happens_in_one_round_is_told_in_a_shot_of_another(fast):
    motion, said = fast
    text = "  a: {from: 205, to: 265, look: bench, speed: 1/4, on: [lift cam, lifter]}"
    film = Film(motion, None, said, size=SMALL, fps=20, shot=shots("heron", text)["a"])
    found = next(f for f in said.findings if f.code == "float")
    told = film.page.finding
    assert told.code == "float"
    rounds = (found.from_s - told.from_s) / find_loop(motion).period_s
    assert rounds == pytest.approx(round(rounds), abs=1e-6)
    assert film.take.start <= told.from_s <= film.take.stop
    assert max(film.clips[0].told) == 1
