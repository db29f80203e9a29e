"""A handle that is turned on a screen that isn't there: wheel, drag, finger, keys; what it meets is felt and marked."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pygame
import pytest

import animator
from animator.scene.model import Scene
from animator.screens import turning
from animator.screens.turning import Turn
from animator.screens.window import Window
from animator.screens.workbench import State
from tests.pieces import SCENES, read
from tests.screens.xscreen import differ

OpenWindow = Callable[..., Window]
SIZE = (640, 360)
SOON = 0.1  # s from hand to picture, at most
FREE = """
shaft: {kind: shaft, at: [60, 60], bearing: {ball: yes}}
handle: {kind: handle, on: shaft, radius: 40, speed: 60 rpm}
wheel: {kind: wheel, on: shaft, radius: 30, material: birch ply 6}
"""
MOTOR = """
shaft: {kind: shaft, at: [60, 60], bearing: {ball: yes}, drag torque: 5 N mm}
motor: {kind: motor, on: shaft, speed: 60 rpm, stall torque: 60 N mm}
wheel: {kind: wheel, on: shaft, radius: 30, material: birch ply 6}
"""


class Visitor:
    """Somebody who does things at their time, counted from when the piece can be turned; ``by_piece``: by the piece's own clock, which a busy machine slows."""

    by_piece = False

    def __init__(
        self,
        scene: Scene,
        window: Window,
        plan: list[tuple[float, Callable[[], Any]]],
        **ways: Any,
    ) -> None:
        self.turn = Turn(scene, window, seconds=60.0, **ways)
        self.plan = sorted(plan, key=lambda step: step[0])
        self.states: list[tuple[float, State]] = []
        self.pictures: list[tuple[float, np.ndarray]] = []  # type: ignore[type-arg]
        self.began: float | None = None
        self.keeps_pictures = False
        self.turn.on_shown = self.look

    def look(self, state: State) -> None:
        now = state.time if self.by_piece else time.perf_counter()
        if self.began is None:
            self.began = now
        self.states.append((now - self.began, state))
        if self.keeps_pictures and self.turn.page is not None:
            self.pictures.append((now - self.began, self.turn.page.sheet.array.copy()))
        while self.plan and now - self.began >= self.plan[0][0]:
            self.plan.pop(0)[1]()

    def come(self, seconds: float) -> Visitor:
        self.plan.append((seconds, self.turn.stop))
        self.turn.run()
        return self

    def degrees(self, at: float) -> float:
        """How far the drive had been turned at a time. [deg]"""
        times = [t for t, _ in self.states]
        return float(np.interp(at, times, [math.degrees(s.angle) for _, s in self.states]))


def post(kind: int, **more: Any) -> None:
    pygame.event.post(pygame.event.Event(kind, **more))


def wheel(notches: int) -> None:
    post(pygame.MOUSEWHEEL, x=0, y=notches, precise_y=float(notches), flipped=False)


def key(name: str, is_down: bool) -> None:
    post(pygame.KEYDOWN if is_down else pygame.KEYUP, key=pygame.key.key_code(name))


@pytest.fixture
def free() -> Scene:
    return read(FREE)


@pytest.mark.slow
def test_wheel_turns_by_its_notches_on_and_back(free: Scene, open_window: OpenWindow) -> None:
    visitor = Visitor(
        free, open_window(SIZE), [(0.2, lambda: wheel(3)), (1.0, lambda: wheel(-2))]
    )
    visitor.come(1.8)
    # a hand that lets go leaves the wheel what swing it has
    assert visitor.degrees(0.9) == pytest.approx(45, abs=8)
    assert visitor.degrees(1.7) - visitor.degrees(0.9) == pytest.approx(-30, abs=8)


@pytest.mark.slow
def test_key_turns_as_long_as_it_is_held_at_the_scenes_speed(
    free: Scene, open_window: OpenWindow
) -> None:
    plan = [(0.2, lambda: key("right", True)), (1.7, lambda: key("right", False))]
    visitor = Visitor(free, open_window(SIZE), plan)
    visitor.by_piece = True
    visitor.come(1.9)
    assert visitor.degrees(1.5) - visitor.degrees(0.5) == pytest.approx(360, rel=0.05)
    back = Visitor(free, open_window(SIZE), [(0.2, lambda: key("down", True))]).come(1.0)
    assert back.degrees(0.9) < -150


def drag(visitor: Visitor, send: Callable[[str, float, float], None]) -> list[Any]:
    """Lead the knob a quarter round the shaft, anticlockwise as one looks at it, in half a second."""

    def step(i: int, word: str) -> Callable[[], None]:
        def do() -> None:
            page = visitor.turn.page
            assert page is not None
            x, y = page.middle
            if i == 0:
                visitor.radius = math.dist(page.knob, page.middle)  # type: ignore[attr-defined]
            a = math.radians(90 + 90 * i / 20)
            r = visitor.radius  # type: ignore[attr-defined]
            send(word, x + r * math.cos(a), y - r * math.sin(a))

        return do

    words = ["down", *["move"] * 20, "up"]
    return [(0.3 + 0.025 * n, step(min(n, 20), word)) for n, word in enumerate(words)]


def by_mouse(word: str, x: float, y: float) -> None:
    at = round(x), round(y)
    if word == "move":
        post(pygame.MOUSEMOTION, pos=at, rel=(1, 1), buttons=(1, 0, 0), touch=False)
    else:
        kind = pygame.MOUSEBUTTONDOWN if word == "down" else pygame.MOUSEBUTTONUP
        post(kind, pos=at, button=1, touch=False)


def by_finger(word: str, x: float, y: float) -> None:
    kinds = {"down": pygame.FINGERDOWN, "move": pygame.FINGERMOTION, "up": pygame.FINGERUP}
    share = {"x": x / SIZE[0], "y": y / SIZE[1], "dx": 0.0, "dy": 0.0}
    post(kinds[word], touch_id=1, finger_id=7, pressure=1.0, **share)
    # a second finger on the screen is nobody's hand
    post(kinds[word], touch_id=1, finger_id=8, pressure=1.0, x=0.1, y=0.1, dx=0.0, dy=0.0)


@pytest.mark.parametrize("send", [by_mouse, by_finger])
@pytest.mark.parametrize("quarters", [0, 1])
def test_knob_follows_mouse_and_finger_round_the_shaft(
    free: Scene,
    open_window: OpenWindow,
    send: Callable[[str, float, float], None],
    quarters: int,
) -> None:
    window = open_window(SIZE, quarters=quarters)

    def turned(word: str, x: float, y: float) -> None:
        # where a place of the picture lies in a window whose picture is turned
        send(word, *((x, y) if not quarters else (SIZE[0] - y, x)))

    visitor = Visitor(free, window, [])
    visitor.plan = drag(visitor, turned)
    visitor.come(1.0)
    assert visitor.degrees(0.3 + 0.025 * 21) == pytest.approx(90, abs=8)


def test_mole_sticks_and_says_so_until_it_is_turned_back(open_window: OpenWindow) -> None:
    scene = animator.read(SCENES / "mole.yaml")
    seen: list[tuple[str, set[str]]] = []
    visitor = Visitor(scene, open_window(SIZE), [])
    visitor.by_piece = True

    def note() -> None:
        page = visitor.turn.page
        assert page is not None
        seen.append((page._card_code, {sign.code for sign in page.signs}))

    visitor.plan = [
        (0.1, lambda: key("right", True)),
        (1.4, note),
        (1.5, lambda: key("right", False)),
        (1.6, lambda: key("left", True)),
        (2.4, note),
        (2.5, lambda: key("left", False)),
    ]
    visitor.come(2.6)
    assert seen[0] == ("stuck", {"jam"})
    assert "jam" not in seen[1][1]
    assert seen[1][0] != "stuck"
    assert visitor.degrees(1.4) == pytest.approx(43.9, abs=0.6)
    efforts = [s.effort / 45 / 1e6 for t, s in visitor.states if 1.0 < t < 1.4]
    assert efforts[-1] == pytest.approx(10.0, rel=0.01)


@pytest.mark.slow
def test_overloaded_carousel_is_marked_as_slipping(open_window: OpenWindow) -> None:
    scene = animator.read(SCENES / "carousel.yaml", "overloaded")
    codes: set[str] = set()
    visitor = Visitor(scene, open_window(SIZE), [(0.1, lambda: key("up", True))])
    visitor.by_piece = True

    def note() -> None:
        assert visitor.turn.page is not None
        codes.update(sign.code for sign in visitor.turn.page.signs)

    visitor.plan.append((1.6, note))
    visitor.come(1.7)
    assert codes == {"slip"}


@pytest.mark.slow
def test_motor_runs_by_itself_and_the_wheel_slows_and_stops_it(open_window: OpenWindow) -> None:
    plan = [
        (0.8, lambda: wheel(-5)),
        (1.6, lambda: key("o", True)),
    ]
    visitor = Visitor(read(MOTOR), open_window(SIZE), plan)
    visitor.by_piece = True
    visitor.come(2.6)

    def speed(at: float) -> float:
        return min(visitor.states, key=lambda row: abs(row[0] - at))[1].turning

    full = math.tau * (1 - 5 / 60)
    assert speed(0.7) == pytest.approx(full, rel=0.03)
    assert speed(1.55) == pytest.approx(full - math.tau / 2, rel=0.05)
    assert speed(2.5) == pytest.approx(0.0, abs=0.01)


@pytest.mark.slow
def test_card_tells_how_to_turn_and_goes_when_somebody_does(
    free: Scene, open_window: OpenWindow
) -> None:
    seen: list[float] = []
    visitor = Visitor(free, open_window(SIZE), [])

    def note() -> None:
        page = visitor.turn.page
        assert page is not None
        seen.append(page._card_share if page._card_code == "how" else 0.0)

    visitor.plan = [(0.9, note), (1.0, lambda: key("right", True)), (1.8, note)]
    visitor.come(1.9)
    assert seen == [1.0, 0.0]


@pytest.mark.slow
def test_piece_left_alone_is_put_as_it_was(
    free: Scene, open_window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(turning, "ALONE", 0.6)
    visitor = Visitor(free, open_window(SIZE), [(0.2, lambda: wheel(3))]).come(1.6)
    assert visitor.degrees(0.6) > 30
    assert visitor.degrees(1.5) == pytest.approx(0.0, abs=1e-6)
    assert visitor.states[-1][1].restarts == 1


@pytest.mark.slow
def test_where_nothing_can_be_forked_the_piece_runs_beside(
    free: Scene, open_window: OpenWindow
) -> None:
    plan = [(0.2, lambda: key("right", True))]
    visitor = Visitor(free, open_window(SIZE), plan, apart=False).come(1.4)
    assert visitor.degrees(1.3) > 200


@pytest.mark.slow
@pytest.mark.skipif(
    os.getloadavg()[0] > 2 * (os.cpu_count() or 1), reason="others are at work on this machine"
)
def test_hand_is_seen_in_the_picture_soon(free: Scene, open_window: OpenWindow) -> None:
    """From the event to a picture whose knob has moved; the screen's own time is measured on a real one."""
    at: list[float] = []
    visitor = Visitor(free, open_window(SIZE), [])
    visitor.keeps_pictures = True

    def strike(notches: int) -> None:
        assert visitor.began is not None
        at.append(time.perf_counter() - visitor.began)
        wheel(notches)

    visitor.plan = [(1.5 + i, lambda i=i: strike(1 if i % 2 else -1)) for i in range(3)]  # type: ignore[misc]
    visitor.come(4.5)
    page = visitor.turn.page
    assert page is not None
    x, y = (round(v) for v in page.middle)
    room = np.s_[max(y - 90, 0) : y + 90, max(x - 90, 0) : x + 90, :3]
    spans = []
    for struck in at:
        before = next(p for t, p in reversed(visitor.pictures) if t <= struck)[room]
        spans.append(
            next(t for t, p in visitor.pictures if t > struck and differ(p[room], before))
            - struck
        )
    # other tests run beside this one, so not every time
    assert min(spans) < SOON, spans
