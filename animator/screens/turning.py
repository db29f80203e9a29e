"""A handle that whoever stands before the screen can turn: hand -> world stepped live -> poses -> picture."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from animator.geometry import Point
from animator.motion.motion import Motion
from animator.screens import cards
from animator.screens.aside import aside
from animator.screens.errand import Errand
from animator.screens.hand import Hand
from animator.screens.keys import BESIDES, TURNING, act_of, lines
from animator.screens.live import LiveMotion
from animator.screens.piece_reel import Look, first_pose
from animator.screens.playing import SETTLED
from animator.screens.rig import Wish, driven_by, hand_speed, tried
from animator.screens.turn_page import TurnPage
from animator.screens.watched import Tally, Watched
from animator.screens.window import Event, Pixels, Window
from animator.screens.workbench import State, Workbench

if TYPE_CHECKING:
    from animator.scene.model import Scene

RATE = 60.0  # pictures a second while something moves
FOLLOW = 0.018  # s that a hand's first move is waited for: a picture drawn at once would only show what was before
AT_REST = 10.0  # pictures a second while nothing does
UNTOUCHED = 6.0  # s after which a card says how it is turned
ALONE = 60.0  # s after which a piece nobody touches is put as it was
SHARE_A_NOTCH = 0.1  # of a motor's full speed
MOVES = 1e-3  # rad/s


class Turn(Watched):
    """A piece in a window, to be turned.

    Parameters
    ----------
    scene
        Assembled.
    window
        Where.
    look, backdrop
        How it is drawn.
    seconds
        End after so long; None never. [s]
    is_locked
        Keys can't end it or leave the whole screen.
    apart
        Run the piece in a process of its own; None: where there is more than one core.
    clock
        What time it is. [s]
    """

    def __init__(
        self,
        scene: Scene,
        window: Window,
        look: Look | None = None,
        backdrop: str | None = None,
        seconds: float | None = None,
        is_locked: bool = False,
        apart: bool | None = None,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        self.scene, self.window, self.backdrop = scene, window, backdrop
        self.look: Look = look or "client"
        self.seconds, self.is_locked, self.clock, self.apart = seconds, is_locked, clock, apart
        self.name = driven_by(scene)
        self.is_motor = not hasattr(scene.parts[self.name], "strength")
        speed, most = hand_speed(scene, self.name)
        self.usual = speed
        sense = scene.parts[self.name].sense  # type: ignore[attr-defined]
        self.hand = Hand(most, sense)
        self.tally = Tally()
        self.is_over = False
        self.state: State | None = None
        self.page: TurnPage | None = None
        self.on_shown: Callable[[State], None] | None = None
        self._share, self._is_running = 1.0, True
        self._restarts = 0
        self._began = self._touched = clock()
        self._is_pristine = True
        self._resized: float | None = None
        self._card: Pixels | None = None
        self._has_to_repaint = True
        self._drawn_at = -1.0
        self._live: LiveMotion | None = None
        self._bench: Workbench | None = None
        self._errand: Errand | None = None
        self._keys: list[tuple[str, float]] = []

    # ------------------------------------------------------------ the loop
    def _begin(self) -> None:
        # sent out before anything is drawn: both take their time, and each has a core
        self._errand = Errand(partial(_tried, self.scene))
        self._show_first()

    def _close(self) -> None:
        if self._errand is not None:
            self._errand.stop()
        if self._bench is not None:
            self._bench.close()
            self._bench = None

    def _show_first(self) -> None:
        """Show the piece as it stands while it is tried out."""
        pose = LiveMotion(first_pose(self.scene))
        page = TurnPage(pose, self.name, self.window.size, self.look, self.backdrop)
        page.sheet.fresh()
        page.stand.moving(page.sheet.canvas, page.stand.moment(pose.now))
        self._show(page.sheet.array)

    def _show(self, picture: Pixels | None) -> None:
        self.window.show(picture, self._card)
        self._has_to_repaint = False
        if picture is not None:
            self.tally.shown += 1
            if self.tally.first_at is None:
                self.tally.first_at = self.clock() - self._began

    def _nap(self) -> float:
        rate = RATE if self._is_lively() else AT_REST
        return min(max(1 / rate - (self.clock() - self._drawn_at), 0.001), 0.05)

    def _is_lively(self) -> bool:
        if self.state is None or self.hand.is_on or self.page is None:
            return True
        idle = self.clock() - self._touched
        if idle < 1.0 or abs(idle - UNTOUCHED - 0.4) < 0.6:  # the card comes and goes gently
            return True
        return abs(self.state.turning) > MOVES or bool(self.page.signs)

    def _go_on(self) -> None:
        now = self.clock()
        if self.seconds is not None and now - self._began >= self.seconds:
            self.is_over = True
            return
        if self._errand is not None:
            if not self._errand.is_done():
                if self._has_to_repaint:
                    self._show(None)
                return
            self._start(self._errand.answer())
        if self._resized is not None and now - self._resized > SETTLED:
            self._resized = None
            self._make_page()
        assert self._bench is not None
        self._bench.check()
        state = self._bench.state()
        if state is None or self.page is None:
            return
        if self.state is not None and state.mishaps > self.state.mishaps:
            aside("the piece lost its grip and was put together again")
        self.state = state
        self.hand.tick(state.angle, now)
        self._tell()
        idle = now - self._touched
        if idle > ALONE and not self._is_pristine and not self.is_motor:
            self._as_at_start()
        rate = RATE if self._is_lively() else AT_REST
        if now - self._drawn_at >= 0.9 / rate or self._has_to_repaint:
            self._drawn_at = now
            self._show(self.page.draw(state, idle - UNTOUCHED, now))
            if self.on_shown is not None:
                self.on_shown(state)

    def _start(self, recorded: Motion) -> None:
        self._errand = None
        self._live = LiveMotion(replace(recorded, scene=self.scene))
        self._bench = Workbench(self.scene, self._live.row_length, self.apart)
        self._make_page()
        self._touched = self.clock() - UNTOUCHED  # nobody has: say how

    def _make_page(self) -> None:
        if self._live is not None:
            self.page = TurnPage(
                self._live, self.name, self.window.size, self.look, self.backdrop
            )
            if self._card is not None:
                self._card = self._key_card()
        self._has_to_repaint = True

    # ------------------------------------------------------------ the hand
    def _tell(self) -> None:
        """Tell the piece what the hand wants."""
        assert self._bench is not None
        if self.is_motor:
            wish = Wish(self._is_running and self._share > 0, share=self._share)
        else:
            wish = Wish(self.hand.is_on, self.hand.target, self.hand.speed)
        self._bench.wish(wish, self._restarts, False)

    def _as_at_start(self) -> None:
        self._restarts += 1
        self._is_pristine = True

    def _touch(self) -> None:
        now = self.clock()
        if not self.hand.is_on:
            self._drawn_at = now + FOLLOW - 0.9 / RATE
        self._touched, self._is_pristine = now, False

    def _meet(self, event: Event) -> None:
        now = self.clock()
        if event.what == "leave":
            self.is_over = True
        elif event.what == "size":
            self._resized = now
            self._has_to_repaint = True
        elif event.what == "key":
            act = act_of(TURNING, event.key)
            if act is not None:
                self._do(act, event.key)
        elif event.what == "key up":
            self._let_go_of(event.key)
        elif self.state is not None and self.page is not None:
            if event.what == "wheel":
                self._touch()
                self._wheel(event.notches, self.state.angle)
            elif not self.is_motor:
                self._point(event, self.page.middle, self.state.angle)
            elif event.what == "down":
                self._touch()
                self._is_running = not self._is_running
            self._tell()

    def _wheel(self, notches: float, angle: float) -> None:
        if self.is_motor:
            self._share = min(max(self._share + SHARE_A_NOTCH * notches, 0.0), 1.0)
            self._is_running = True
        else:
            self.hand.nudge(notches, angle, self.clock())

    def _point(self, event: Event, middle: Point, angle: float) -> None:
        now = self.clock()
        if event.what == "down":
            self._touch()
            self.hand.take(middle, event.at, angle, now)
        elif event.what == "move":
            if self.hand.is_leading:
                self._touch()
            self.hand.lead(middle, event.at, angle, now)
        elif event.what == "up":
            self.hand.leave(now)
            self._touch()

    def _do(self, act: str, key: str) -> None:
        now = self.clock()
        if act in ("on", "back"):
            self._touch()
            way = 1 if act == "on" else -1
            if self.is_motor:
                self._wheel(way, 0.0)
            else:
                self._keys = [pair for pair in self._keys if pair[0] != key] + [(key, way)]
                self.hand.press(way * self.usual, now)
            if self._bench is not None:
                self._tell()
        elif act == "switch":
            if self.is_motor:
                self._touch()
                self._is_running = not self._is_running
        elif act == "start":
            self._as_at_start()
        elif act == "look":
            self.look = "bench" if self.look == "client" else "client"
            self._make_page()
        elif act == "turn picture":
            self.window.turn()
            self._make_page()
        elif act == "whole screen":
            if not self.is_locked:
                self.window.toggle_whole()
                self._make_page()
        elif act == "card":
            self._card = None if self._card is not None else self._key_card()
            self._has_to_repaint = True
        elif act == "leave":
            self.is_over = not self.is_locked

    def _let_go_of(self, key: str) -> None:
        """A key comes up: another that is still down goes on leading."""
        if not any(pair[0] == key for pair in self._keys):
            return
        self._keys = [pair for pair in self._keys if pair[0] != key]
        self._touch()
        if self._keys:
            self.hand.press(self._keys[-1][1] * self.usual, self.clock())
        else:
            self.hand.release(self.clock())
        if self._bench is not None:
            self._tell()

    def _key_card(self) -> Pixels:
        shown = [key for key in TURNING if (key.act != "switch" or self.is_motor)]
        besides = BESIDES[1:] if self.is_motor else BESIDES
        return cards.over(self.window.size, lines(shown, besides), "Keys and hands")


def _tried(scene: Scene) -> Motion:
    return replace(tried(scene), scene=None)  # type: ignore[arg-type]
