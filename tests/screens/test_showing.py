"""A programme in a window on a screen that isn't there: keys, sizes, broken files, lost screens."""

from __future__ import annotations

import itertools
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest

import animator
from animator.screens.piece_reel import FPS as PIECE_FPS
from animator.screens.piece_reel import PieceReel
from animator.screens.playing import Show
from animator.screens.programme import Item, items_of
from animator.screens.watched import Tally
from animator.screens.window import Window
from tests.command.running import QUICK
from tests.screens.conftest import COUNT, FPS, MakeFilm, number_of

OpenWindow = Callable[..., Window]
Plan = list[tuple[float, Callable[[], Any]]]


def press(name: str) -> None:
    for kind in (pygame.KEYDOWN, pygame.KEYUP):
        pygame.event.post(pygame.event.Event(kind, key=pygame.key.key_code(name)))


class Stage:
    """A show that is watched, and to which things are done at their time."""

    def __init__(self, window: Window, items: list[Item], plan: Plan, **ways: Any) -> None:
        self.window = window
        self.shown: list[tuple[float, np.ndarray]] = []  # type: ignore[type-arg]
        self.plan = sorted(plan, key=lambda step: step[0])
        self.show = Show(items, window, lambda item: animator.read(item.path), **ways)
        self.began = time.perf_counter()
        self._events = window.events
        window.events = self.events  # type: ignore[method-assign]
        paint = window._paint

        def watched() -> None:
            paint()
            if window._picture is not None:
                self.shown.append((self.now, window._picture.copy()))

        window._paint = watched  # type: ignore[method-assign]

    @property
    def now(self) -> float:
        return time.perf_counter() - self.began

    def events(self, wait: float = 0.0) -> Any:
        while self.plan and self.now >= self.plan[0][0]:
            self.plan.pop(0)[1]()
        return self._events(wait)

    def run(self) -> Tally:
        return self.show.run()

    def numbers(self, after: float = 0.0, before: float = 99.0) -> list[int]:
        found = [number_of(p) for t, p in self.shown if after <= t < before]
        return [n for i, n in enumerate(found) if i == 0 or n != found[i - 1]]


def test_film_goes_round_in_its_time(film: MakeFilm, open_window: OpenWindow) -> None:
    stage = Stage(open_window(), items_of([film()]), [], seconds=1.6)
    tally = stage.run()
    numbers = stage.numbers()
    assert numbers[: 2 * COUNT] == [i % COUNT for i in range(2 * COUNT)][: len(numbers)]
    assert tally.shown == pytest.approx(1.6 * FPS, abs=4)
    assert tally.rounds == 2
    assert tally.first_at is not None


def test_held_film_stands_and_each_step_shows_the_next_picture(
    film: MakeFilm, open_window: OpenWindow
) -> None:
    plan: Plan = [(0.31, lambda: press("space"))]
    plan += [(0.7 + 0.1 * i, lambda: press("right")) for i in range(3)]
    plan += [(1.1, lambda: press("space"))]
    stage = Stage(open_window(), items_of([film()]), plan, seconds=1.3)
    stage.run()
    assert len(stage.numbers(0.4, 0.69)) <= 1
    stood = stage.numbers(0.0, 0.69)[-1]
    assert stage.numbers(0.7, 1.09) == [(stood + 1 + i) % COUNT for i in range(3)]
    assert len(stage.numbers(1.1)) >= 3


def test_slower_film_shows_fewer_pictures(film: MakeFilm, open_window: OpenWindow) -> None:
    plan: Plan = [(0.0, lambda: press("s")), (0.01, lambda: press("s"))]
    stage = Stage(open_window(), items_of([film()]), plan, seconds=1.2)
    tally = stage.run()
    assert tally.shown == pytest.approx(1.2 * FPS / 4, abs=3)


def test_broken_and_missing_entries_are_passed_over_with_a_line_and_a_card(
    film: MakeFilm,
    open_window: OpenWindow,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("animator.screens.playing.STANDING", 0.2)
    film()
    (tmp_path / "broken.webm").write_bytes(b"nothing of the kind")
    (tmp_path / "wrong.yaml").write_text("title: Wrong\nparts: {a: {kind: wheeel}}\n", "utf-8")
    listed = tmp_path / "list.txt"
    listed.write_text("gone.mp4\nbroken.webm\nwrong.yaml\nfilm.mp4\n", "utf-8")
    stage = Stage(open_window(), items_of([listed]), [], is_once=True, each=0.1, seconds=9)
    tally = stage.run()
    assert (tally.skipped, tally.rounds) == (3, 0)
    assert set(range(COUNT)) <= set(stage.numbers(0.6))
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 3
    assert said[0].startswith(f"skipped {tmp_path / 'gone.mp4'}: ")
    assert "there is no such file" in said[0]
    assert "wheeel" in said[2]
    # the cards are paper with a few words: neither black nor a film's grey
    first = stage.shown[0][1]
    assert first[..., :3].mean() > 120
    assert first[..., :3].std() > 8


def test_alone_a_film_that_is_gone_is_tried_again(
    film: MakeFilm,
    open_window: OpenWindow,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("animator.screens.playing.RETRY", (0.2, 0.2))
    path = tmp_path / "late.mp4"
    made = film()
    stage = Stage(
        open_window(), [Item(path, "film")], [(0.5, lambda: made.rename(path))], seconds=1.5
    )
    tally = stage.run()
    assert tally.skipped >= 2
    assert len(stage.numbers(0.9)) > 5


def test_several_are_each_shown_to_the_end_of_a_round(
    film: MakeFilm, open_window: OpenWindow
) -> None:
    items = items_of([film("a.mp4"), film("b.gif")])
    stage = Stage(open_window(), items, [], each=0.1, is_once=True, seconds=9)
    tally = stage.run()
    assert stage.numbers() == [*range(COUNT), *range(COUNT)]
    assert tally.seconds == pytest.approx(2 * COUNT / FPS, abs=0.6)


def test_next_goes_on_at_once(film: MakeFilm, open_window: OpenWindow) -> None:
    items = items_of([film("a.mp4"), film("b.gif")])
    plan: Plan = [(0.3, lambda: press("n"))]
    stage = Stage(open_window(), items, plan, seconds=0.6)
    stage.run()
    assert stage.show._number == 1
    assert stage.numbers(0.3)[-1] < COUNT


def test_picture_follows_the_window_and_is_turned_by_quarters(
    film: MakeFilm, open_window: OpenWindow
) -> None:
    window = open_window((320, 180))
    shapes = []

    def note() -> None:
        assert window._picture is not None
        shapes.append(window._picture.shape[:2])

    def resize(size: tuple[int, int]) -> None:
        pygame.display.set_mode(size, pygame.RESIZABLE)
        pygame.event.post(
            pygame.event.Event(pygame.VIDEORESIZE, size=size, w=size[0], h=size[1])
        )

    plan: Plan = [
        (0.3, note),
        (0.31, lambda: resize((240, 240))),
        (0.9, note),
        (0.91, lambda: press("r")),
        (1.3, note),
        (1.31, lambda: press("f1")),
    ]
    stage = Stage(window, items_of([film()]), plan, seconds=1.6)
    stage.run()
    assert shapes == [(180, 300), (144, 240), (144, 240)]
    # turned, the picture stands upright in the window, with free stripes left and right
    grey = pygame.surfarray.array3d(pygame.display.get_surface())
    assert grey[5, 120].tolist() == [20, 16, 13]
    assert window._card is not None


def test_lost_screen_is_opened_again(
    film: MakeFilm, open_window: OpenWindow, capsys: pytest.CaptureFixture[str]
) -> None:
    plan: Plan = [(0.3, pygame.display.quit), (0.7, pygame.display.quit)]
    stage = Stage(open_window(), items_of([film()]), plan, seconds=1.2)
    tally = stage.run()
    assert tally.lost == 2
    assert len(stage.numbers(0.8)) >= 4
    assert "opened again" in capsys.readouterr().err


def test_locked_show_is_left_by_no_key(film: MakeFilm, open_window: OpenWindow) -> None:
    plan: Plan = [(0.1, lambda: press("q")), (0.2, lambda: press("escape"))]
    locked = Stage(open_window(), items_of([film()]), plan, seconds=0.8, is_locked=True)
    assert locked.run().seconds >= 0.8
    free = Stage(open_window(), items_of([film()]), [(0.1, lambda: press("q"))], seconds=5)
    assert free.run().seconds < 2


def test_pointer_is_hidden(film: MakeFilm, open_window: OpenWindow) -> None:
    seen = []
    plan: Plan = [(0.2, lambda: seen.append(pygame.mouse.get_visible()))]
    Stage(open_window(), items_of([film()]), plan, seconds=0.3).run()
    assert seen == [False]


def test_piece_is_first_shown_as_it_stands_then_runs_in_both_looks(
    open_window: OpenWindow, tmp_path: Path
) -> None:
    path = tmp_path / "quick.yaml"
    path.write_text(QUICK, "utf-8")
    stage = Stage(open_window((480, 270)), items_of([path]), [], look="client", seconds=20)
    looks: list[str] = []
    rounds: list[int] = []

    def watch(at: float) -> None:
        reel: Any = stage.show._reel
        if not reel.is_running or reel._painter.look is None:
            return
        looks.append(reel._painter.look)
        rounds.append(reel.rounds)
        if len(looks) == 40:
            press("l")
        if looks[-1] == "bench" and looks.count("bench") > 20:
            stage.show.stop()

    stage.show.on_shown = watch
    tally = stage.run()
    assert tally.seconds < 20
    assert looks.count("client") >= 40
    assert max(rounds[:40]) >= 1  # a turn of this piece takes a quarter of a second
    pictures = [p for _, p in stage.shown]
    moved = [np.abs(a.astype(int) - b).max() > 30 for a, b in itertools.pairwise(pictures)]
    assert np.mean(moved) > 0.8


def test_pictures_of_a_piece_are_those_of_its_film(tmp_path: Path) -> None:
    """What the helpers draw is what the film itself draws, to the last pixel."""
    path = tmp_path / "quick.yaml"
    path.write_text(QUICK, "utf-8")
    reel = PieceReel(animator.read(path), "client")
    reel.fit((320, 180), 0.0)
    try:
        assert reel.picture(0.0) is not None  # as it stands
        picture, until = None, time.monotonic() + 30
        while picture is None and time.monotonic() < until:
            picture = reel.picture(1.0)
            time.sleep(0.005)
        assert picture is not None
        film: Any = reel._film()
        number = reel._shown
        assert number is not None
        assert np.array_equal(picture, film.frame(number % film.distinct))
        assert film.fps == PIECE_FPS
    finally:
        reel.close()


def resident(process: int) -> float:
    """Memory of a process [MB]."""
    pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_piece_drawn_for_ten_thousand_rounds_grows_neither_here_nor_in_its_helper(
    tmp_path: Path,
) -> None:
    path = tmp_path / "quick.yaml"
    path.write_text(QUICK, "utf-8")
    reel: Any = PieceReel(animator.read(path), "client")
    reel.fit((64, 36), 0.0)
    at, readings = 0.0, []
    try:
        while reel.rounds < 10_000:
            shown = reel.picture(at) is not None
            if not reel.is_running or reel._painter.distinct is None:
                time.sleep(0.01)
                continue
            if shown:
                at += 0.9 * reel._painter.distinct / PIECE_FPS  # nearly a round is left out
            else:
                at += 1e-4
            if shown and reel.rounds % 500 == 0:
                helper = reel._painter._helper
                pids = [os.getpid(), *([helper._process.pid] if helper is not None else [])]
                readings.append([resident(pid) for pid in pids])
    finally:
        reel.close()
    settled = np.array(readings[len(readings) // 4 :])
    assert len(settled) > 10
    assert np.ptp(settled, axis=0).max() < 4.0, settled
