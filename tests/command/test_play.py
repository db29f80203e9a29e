"""The command ``play``, as it is typed."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from pathlib import Path

import pytest

from tests.command.running import ROOT, SCENES, command, environment, run

FILM = ROOT / "renders" / "heron.gif"


@pytest.fixture(autouse=True)
def no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")


@pytest.mark.slow
def test_film_is_shown_for_so_long(tmp_path: Path) -> None:
    done = run(tmp_path, "play", FILM, "--size", "160x90", "--seconds", "1")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.slow
def test_handle_can_be_turned_for_so_long(tmp_path: Path) -> None:
    scene = SCENES / "carousel.yaml"
    done = run(tmp_path, "play", scene, "--turn", "--size", "160x90", "--seconds", "2")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_help_lists_every_key(tmp_path: Path) -> None:
    from animator.screens.keys import PLAYING, TURNING

    done = run(tmp_path, "play", "--help")
    assert done.returncode == 0
    for key in (*PLAYING, *TURNING):
        assert key.said in done.stdout
        assert key.does in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nowhere.mp4"], "nowhere.mp4: there is no such file or folder"),
        ([FILM, "--turn"], "--turn wants one scene"),
        (["."], "no films in this folder"),
        ([FILM, "--each", "0"], "more than 0"),
    ],
)
def test_what_cannot_be_shown_is_refused(
    tmp_path: Path, words: list[str | Path], said: str
) -> None:
    done = run(tmp_path, "play", *words)
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_wrong_scene_is_reported_before_the_screen_goes_dark(tmp_path: Path) -> None:
    (tmp_path / "wrong.yaml").write_text("title: Wrong\nparts: {a: {kind: wheeel}}\n", "utf-8")
    done = run(tmp_path, "play", "wrong.yaml")
    assert done.returncode == 2
    assert "wrong.yaml:2:" in done.stderr


@pytest.mark.slow
def test_piece_that_nothing_turns_is_refused_by_turn(tmp_path: Path) -> None:
    (tmp_path / "still.yaml").write_text(
        "title: Still\nparts:\n  weight: {kind: weight, mass: 5 g, at: [10, 10]}\n", "utf-8"
    )
    done = run(tmp_path, "play", "still.yaml", "--turn")
    assert done.returncode == 2
    assert "nothing turns this piece" in done.stderr


@pytest.mark.parametrize("display", [":4242", None])
def test_without_a_screen_it_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, display: str | None
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "x11")
    if display is None:
        for name in ("SDL_VIDEODRIVER", "DISPLAY", "WAYLAND_DISPLAY"):
            monkeypatch.delenv(name, raising=False)
    else:
        monkeypatch.setenv("DISPLAY", display)
    done = run(tmp_path, "play", FILM, "--seconds", "1")
    assert done.returncode == 2
    assert "no screen can be opened here" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.slow
def test_once_ends_by_itself_and_tells_by_its_code_what_was_left_out(tmp_path: Path) -> None:
    (tmp_path / "list.txt").write_text(f"gone.mp4\n{FILM}\n", "utf-8")
    done = run(tmp_path, "play", "list.txt", "--once", "--each", "0.1", "--size", "160x90")
    assert done.returncode == 1
    assert done.stderr.startswith("skipped gone.mp4: ")
    assert done.stderr.count("\n") == 1


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_systems_word_to_end_leaves_in_order_and_no_helper_behind(tmp_path: Path) -> None:
    process = subprocess.Popen(
        command("play", SCENES / "heron.yaml", "--size", "160x90"),
        cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    time.sleep(4.0)
    process.send_signal(signal.SIGTERM)
    _, said = process.communicate(timeout=20)
    assert (process.returncode, said) == (0, "")
    with pytest.raises(ProcessLookupError):  # nobody is left of its group
        os.killpg(process.pid, 0)
