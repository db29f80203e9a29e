"""The stall screen: a programme of films and pieces, one after the other, for a minute or for months."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from animator.problems import RunError, SceneError
from animator.screens import cards
from animator.screens.aside import aside
from animator.screens.keys import PLAYING, act_of, lines
from animator.screens.pace import Pace
from animator.screens.piece_reel import Look, PieceReel
from animator.screens.programme import Item
from animator.screens.watched import Tally, Watched
from animator.screens.window import Event, Pixels, Window

if TYPE_CHECKING:
    from animator.scene.model import Scene
    from animator.screens.reel import Reel

EACH = 20.0  # s that one of several is shown at least; then to the end of its round
STANDING = 4.0  # s that a card stands for something that can't be shown
RETRY = (4.0, 60.0)  # s between tries when nothing at all can be shown: first, at most
NOTE = 1.6  # s a note stays
NAP = 0.02  # s to wait at most for something to be done
SETTLED = 0.25  # s after the last change of size a picture is made for the new one
STEP = 1 / 30  # s that one step goes on where nobody knows when the next picture is due


class Show(Watched):
    """A programme in a window.

    Parameters
    ----------
    items
        What to show, in order.
    window
        Where.
    read
        Reads a scene.
    look, backdrop, is_draft
        For pieces.
    each
        How long each is shown at least, where there are several. [s]
    is_once
        End after the last.
    seconds
        End after so long; None never. [s]
    is_locked
        Keys can't end it or leave the whole screen.
    clock
        What time it is. [s]
    """

    def __init__(
        self,
        items: Sequence[Item],
        window: Window,
        read: Callable[[Item], Scene],
        look: Look | None = None,
        backdrop: str | None = None,
        is_draft: bool = False,
        each: float = EACH,
        is_once: bool = False,
        seconds: float | None = None,
        is_locked: bool = False,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        self.items, self.window, self.read = items, window, read
        self.look, self.backdrop, self.is_draft = look, backdrop, is_draft
        self.each, self.is_once, self.seconds, self.is_locked = (
            each,
            is_once,
            seconds,
            is_locked,
        )
        self.clock = clock
        self.pace = Pace(clock)
        self.tally = Tally()
        self.is_over = False
        self.on_shown: Callable[[float], None] | None = None
        self._reel: Reel | None = None
        self._number = -1
        self._began = self._item_began = clock()
        self._rounds_before = self._dropped_before = 0
        self._card: Pixels | None = None
        self._is_card_kept = False
        self._card_until = 0.0
        self._resized: float | None = None
        self._standing: tuple[str, str] | None = None
        self._standing_until = 0.0
        self._in_vain = 0  # things tried in a row that couldn't be shown
        self._has_to_repaint = False

    # ------------------------------------------------------------ the loop
    def _begin(self) -> None:
        self._next()

    def _nap(self) -> float:
        """How long there is nothing to do but to wait for something to be done. [s]"""
        due = self._reel.next_at() if self._reel is not None else None
        if due is None or self.pace.is_held:
            return NAP / 4 if not self.pace.is_held else NAP
        return min(max((due - self.pace.at()) / self.pace.speed, 0.001), NAP)

    def _go_on(self) -> None:
        now = self.clock()
        if self.seconds is not None and now - self._began >= self.seconds:
            self.is_over = True
            return
        if self._card is not None and not self._is_card_kept and now > self._card_until:
            self._lay(None)
        if self._resized is not None and now - self._resized > SETTLED:
            self._resized = None
            self._fit()
        if self._reel is None:
            if now >= self._standing_until:
                self._next()
            elif self._has_to_repaint:
                self._paint(None)
            return
        try:
            at = self.pace.at()
            is_alone = len(self.items) == 1 and not self.is_once
            if (
                not is_alone
                and now - self._item_began >= self._least()
                and (self._reel.is_at_seam(at))
            ):
                self._next()
                return
            picture = self._reel.picture(at)
        except (RunError, SceneError) as trouble:
            self._cannot(trouble)
            return
        if picture is not None:
            self._in_vain = 0
            self._paint(picture)
            if self.tally.first_at is None:
                self.tally.first_at = now - self._began
        elif self._has_to_repaint:
            self._paint(None)

    def _least(self) -> float:
        return 0.0 if len(self.items) == 1 else self.each

    def _paint(self, picture: Pixels | None) -> None:
        self._has_to_repaint = False
        self.window.show(picture, self._card)
        if picture is not None:
            self.tally.shown += 1
            if self.on_shown is not None:
                self.on_shown(self.pace.at())

    # ------------------------------------------------------------ from one to the next
    def _next(self) -> None:
        self._close()
        self._number += 1
        if self._number >= len(self.items):
            if self.is_once:
                self.is_over = True
                return
            self._number = 0
        item = self.items[self._number]
        self._standing = None
        self._item_began = self.clock()
        self.pace.jump(0.0)
        self.pace.hold(False)
        try:
            if item.kind == "film":
                from animator.screens.film_reel import FilmReel  # a piece needs no film reader

                self._reel = FilmReel(item.path)
            else:
                self._reel = PieceReel(self.read(item), self.look, self.is_draft, self.backdrop)
            self._fit()
        except (RunError, SceneError, OSError) as trouble:
            self._cannot(trouble)

    def _cannot(self, trouble: Exception) -> None:
        """Say that something can't be shown: a line for whoever runs the stall, a quiet card for the visitors."""
        item = self.items[self._number]
        said = str(trouble).strip()
        first = said.splitlines()[0] if said else "nothing is known"
        aside(f"skipped {item.path}: {first}")
        self._close()
        self.tally.skipped += 1
        self._in_vain += 1
        wait = STANDING
        if self._in_vain >= len(self.items):  # a whole round in vain: a disk may come back
            wait = min(RETRY[0] * 2 ** (self._in_vain - len(self.items)), RETRY[1])
        self._standing_until = self.clock() + wait
        self._standing = ("A short pause", f"“{item.path.stem}” can't be shown just now.")
        self._draw_standing()

    def _draw_standing(self) -> None:
        if self._standing is not None:
            self._paint(cards.quiet(self.window.size, *self._standing))

    def _close(self) -> None:
        if self._reel is not None:
            self._count()
            self._reel.close()
            self._reel = None
        self._rounds_before, self._dropped_before = self.tally.rounds, self.tally.dropped

    def _count(self) -> None:
        assert self._reel is not None
        self.tally.rounds = self._rounds_before + self._reel.rounds
        self.tally.dropped = self._dropped_before + self._reel.dropped

    def _fit(self) -> None:
        if self._reel is not None:
            self._reel.fit(self.window.size, self.pace.at())
        else:
            self._draw_standing()
        if self._is_card_kept:
            self._lay(self._key_card(), is_kept=True)

    # ------------------------------------------------------------ what is done to it
    def _meet(self, event: Event) -> None:
        if event.what == "leave":
            self.is_over = True
        elif event.what == "size":
            self._resized = self.clock()
            self._has_to_repaint = True
        elif event.what == "key":
            act = act_of(PLAYING, event.key)
            if act is not None:
                self._do(act)

    def _do(self, act: str) -> None:
        if act == "leave":
            self.is_over = not self.is_locked
        elif act == "hold":
            self.pace.hold(not self.pace.is_held)
        elif act == "step":
            self._step()
        elif act == "slow":
            self.pace.slower()
            words = {1.0: "as it is", 0.5: "half as fast", 0.25: "a quarter as fast"}
            self._say(words.get(self.pace.speed, "an eighth as fast"))
        elif act == "next":
            self._next()
        elif act == "look":
            if self._reel is not None and self._reel.has_looks:
                self._reel.switch_look(self.pace.at())
            else:
                self._say("a film has only the look it was made in")
        elif act == "turn picture":
            self.window.turn()
            self._fit()
            self._has_to_repaint = True
        elif act == "whole screen":
            if not self.is_locked:
                self.window.toggle_whole()
                self._fit()
                self._has_to_repaint = True
        elif act == "card":
            if self._is_card_kept:
                self._lay(None)
            else:
                self._lay(self._key_card(), is_kept=True)

    def _step(self) -> None:
        if not self.pace.is_held:
            self.pace.hold(True)
        due = self._reel.next_at() if self._reel is not None else None
        self.pace.jump(due if due is not None else self.pace.at() + STEP)

    def _key_card(self) -> Pixels:
        return cards.over(self.window.size, lines(PLAYING), "Keys")

    def _say(self, words: str) -> None:
        self._lay(cards.note(self.window.size, words))
        self._card_until = self.clock() + NOTE

    def _lay(self, card: Pixels | None, is_kept: bool = False) -> None:
        self._card, self._is_card_kept = card, is_kept
        self._has_to_repaint = True
