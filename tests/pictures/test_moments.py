import textwrap

import numpy as np
import pytest

from animator.pictures.moments import key_moments, span_of
from tests import pieces
from tests.pictures._runs import demo, jam_of_the_mole

CAM = """
    shaft: {{kind: shaft, at: [100, 50], material: steel 5}}
    handle: {{kind: handle, on: shaft, speed: 30 rpm}}
    cam: {{kind: cam, on: shaft, base radius: 20, programme: [{{dwell: {wait}}}, {{rise: 12, over: 100}}, {{dwell: 60}}, {{fall: 12, over: 100}}, {{dwell: rest}}]}}
    lifter: {{kind: follower, follows: cam, tip: {{roller diameter: 10}}, length: 80, mass: 20 g, guide: {{at: 60 above shaft, ideal: yes}}}}
    bird: {{kind: figure, on: lifter.top, mass: 10 g, artwork: {{shapes: [{{disc: 20, paint: rose}}]}}}}
"""


def moments_of(wait: int) -> dict[str, float]:
    motion = pieces.run(textwrap.dedent(CAM.format(wait=wait)), turns=2.5)
    found = {}
    for moment in key_moments(motion):
        found.setdefault(moment.kind, []).append(moment.angle_deg % 360)
    return found


@pytest.mark.slow
def test_panel_follows_a_dwell_that_is_moved():
    early, late = moments_of(20), moments_of(60)
    for kind in ("wait begins", "wait ends"):
        assert len(early[kind]) == len(late[kind]) >= 1
        moved = [
            (b - a) % 360 for a, b in zip(sorted(early[kind]), sorted(late[kind]), strict=True)
        ]
        assert moved == pytest.approx([40] * len(moved), abs=1.5)


@pytest.mark.slow
def test_waits_begin_and_end_where_the_motion_does():
    # rise 20..120, wait, fall 180..280: the cycloidal law creeps at its ends, so a wait seems some degrees longer
    found = moments_of(20)
    assert any(abs(deg - 120) < 9 for deg in found["wait begins"])
    assert any(abs(deg - 180) < 9 for deg in found["wait ends"])


def test_a_turning_back_without_a_wait_is_a_moment():
    motion = demo("baker")
    leaning = [m for m in key_moments(motion) if m.kind == "highest"]
    assert len(leaning) == 1
    start, stop = span_of(motion)
    keep = (motion.times >= start) & (motion.times <= stop)
    angle = motion.frame("baker")[:, 2]
    assert leaning[0].t == pytest.approx(
        float(motion.times[keep][np.argmax(angle[keep])]), abs=0.01
    )
    assert "leans farthest left" in leaning[0].caption  # anticlockwise, head up


def test_a_jam_is_the_last_moment_and_says_what_was_found():
    motion, report = jam_of_the_mole()
    last = key_moments(motion, report)[-1]
    assert last.kind == "jam begins"
    assert last.caption == "The stem wedges in its guide at 44°."


def test_a_slipping_drive_is_counted():
    captions = [m.caption for m in key_moments(demo("carousel", "band", 10.0))]
    assert captions[0] == "Handle and carousel start together."
    assert captions[-1].startswith("Four turns are due; the carousel lags 11")
    assert [m.caption for m in key_moments(demo("carousel", "chain", 10.0))][
        -1
    ] == "Four turns are due and all got: in step."


def test_moments_are_in_order_and_never_twice_the_same():
    for name in ("heron", "baker", "skater"):
        moments = key_moments(demo(name))
        times = [m.t for m in moments]
        assert 3 <= len(times) <= 6
        assert times == sorted(times)
        assert min(np.diff(times)) > 0.01


def test_what_jams_neither_waits_nor_goes_with_an_effort_of_nothing():
    motion, said = jam_of_the_mole()
    captions = " ".join(moment.caption for moment in key_moments(motion, said))
    assert "waits" not in captions
    assert "0.0 N" not in captions


def test_who_spins_does_not_wait():
    captions = " ".join(moment.caption for moment in key_moments(demo("skater")))
    assert "waits" not in captions
    assert "spins on" in captions


@pytest.mark.slow
def test_a_motor_is_no_subject_and_has_no_handle():
    moments = key_moments(demo("smith"))
    assert {moment.part for moment in moments} <= {"head", "hammer", "spring", "motor"}
    assert "andle" not in " ".join(moment.caption for moment in moments)
