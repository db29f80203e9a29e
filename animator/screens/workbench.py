"""The piece that is being turned, in a process of its own: what is wanted goes in, poses come out, both through shared memory.

Drawing holds Python's lock, so a thread would make the piece stutter with every picture. There is one writer of each half of the
memory. Rows lie in two places in turn; a reader that was overtaken while it read finds it out and reads again.
"""

from __future__ import annotations

import mmap
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.motion import Floats
from animator.screens.errand import CAN_FORK, Helper, cores
from animator.screens.live import row_of
from animator.screens.rig import Rig, Wish
from animator.world.settings import SAMPLE

if TYPE_CHECKING:
    from animator.scene.model import Scene

AT_ONCE = (
    8  # samples stepped between two looks at what is wanted: a hand's wish waits 8 ms at most
)
NAP = 0.002  # s
BEHIND = (
    0.1  # s; farther behind, the piece's clock runs slower than ours and the picture says so
)
PACE_TIME = 1.0  # s over which the clock's pace is taken
IS_ON, TARGET, SPEED, SHARE, RESTARTS, HOLD, WISHES = range(7)
(
    SEQUENCE, TIME, ANGLE, EFFORT, TURNING, STUCK, PUSH, MISHAPS, PACE, MADE, STARTED, HEAD,
) = range(12)  # fmt: skip


@dataclass(frozen=True)
class State:
    """How the piece stands.

    ``angle`` of the drive in its running direction [rad], ``effort`` on it [g mm^2/s^2] and ``turning`` [rad/s]; ``stuck_for`` [s] and which
    way it is pushed then (``push``, +1 in the running direction); ``pace``: seconds of the piece in a second; ``row``: everything else, for the drawing;
    ``restarts``: how often it has been put as at the start.
    """

    time: float
    angle: float
    effort: float
    turning: float
    stuck_for: float
    push: int
    mishaps: int
    pace: float
    restarts: int
    row: Floats


class Workbench:
    """A rig that runs by itself.

    Parameters
    ----------
    scene
        Assembled.
    row_length
        Numbers in a row.
    apart
        In a process of its own; None: where there is more than one core.
    """

    def __init__(self, scene: Scene, row_length: int, apart: bool | None = None) -> None:
        self._wishes = np.frombuffer(mmap.mmap(-1, 8 * WISHES), np.float64)
        self._wishes[SPEED], self._wishes[SHARE] = np.nan, 1.0
        self._rows = np.frombuffer(
            mmap.mmap(-1, 2 * 8 * (HEAD + row_length)), np.float64
        ).reshape(2, -1)
        self._rows[:, SEQUENCE] = -1.0
        self._latest = np.frombuffer(mmap.mmap(-1, 8), np.float64)
        self._latest[0] = -1.0
        self._stop = threading.Event()
        self.trouble: BaseException | None = None
        self._helper: Helper | None = None
        self._thread: threading.Thread | None = None
        if (CAN_FORK and cores() > 1) if apart is None else apart:
            self._helper = Helper(lambda pipe: self._run(scene, lambda: _is_over(pipe)))
        else:
            self._thread = threading.Thread(
                target=self._run_here, args=(scene,), name="rig", daemon=True
            )
            self._thread.start()

    # ------------------------------------------------------------ the window's side
    def wish(self, wish: Wish, restarts: int, is_held: bool) -> None:
        """Say what is wanted now."""
        w = self._wishes
        w[TARGET], w[SPEED] = wish.target, np.nan if wish.speed is None else wish.speed
        w[SHARE], w[RESTARTS], w[HOLD] = wish.share, restarts, is_held
        w[IS_ON] = wish.is_on

    def state(self) -> State | None:
        """How the piece stands; None before it is put together."""
        while True:
            sequence = float(self._latest[0])
            if sequence < 0:
                return None
            place = self._rows[int(sequence) % 2]
            row = place.copy()
            if place[SEQUENCE] == sequence:  # else it was written over while we read
                return State(
                    row[TIME], row[ANGLE], row[EFFORT], row[TURNING], row[STUCK], int(row[PUSH]), int(row[MISHAPS]), row[PACE], int(row[STARTED]), row[HEAD:],
                )  # fmt: skip

    def check(self) -> None:
        """Raise what has gone wrong on the other side, if anything has."""
        if self._helper is not None and self._helper.pipe.poll(0):
            try:
                self.trouble = self._helper.pipe.recv()
            except EOFError:
                self.trouble = RuntimeError("the process that runs the piece has ended")
        if self.trouble is not None:
            raise self.trouble

    def close(self) -> None:
        """Let go of it."""
        self._stop.set()
        if self._helper is not None:
            self._helper.stop()
            self._helper = None
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    # ------------------------------------------------------------ the piece's side
    def _run_here(self, scene: Scene) -> None:
        try:
            self._run(scene, self._stop.is_set)
        except BaseException as trouble:
            self.trouble = trouble

    def _run(self, scene: Scene, is_over: Callable[[], bool]) -> None:
        rig, restarts = Rig(scene), 0
        debt_from = time.perf_counter()
        stepped = 0.0  # s of the piece since then
        paces = [(debt_from, 0.0)]
        total = 0.0
        self._put(rig, 1.0, restarts)
        while not is_over():
            w = self._wishes
            if int(w[RESTARTS]) != restarts:
                restarts = int(w[RESTARTS])
                rig.put_together()
            now = time.perf_counter()
            due = now - debt_from - stepped
            if w[HOLD]:
                debt_from, stepped, due = now, 0.0, 0.0
            if due < SAMPLE:
                time.sleep(NAP)
                continue
            if due > BEHIND:  # we can't catch up: the piece's own clock is slower
                debt_from, stepped, due = now - BEHIND / 2, 0.0, BEHIND / 2
            count = min(AT_ONCE, int(due / SAMPLE))
            speed = float(w[SPEED])
            rig.advance(
                count,
                Wish(bool(w[IS_ON]), float(w[TARGET]), None if speed != speed else speed, float(w[SHARE])),
            )  # fmt: skip
            stepped += count * SAMPLE
            total += count * SAMPLE
            if now - paces[-1][0] > PACE_TIME / 8:
                paces = [*paces[-8:], (now, total)]
            since, before = paces[0]
            pace = (total - before) / (now - since) if now - since > 0.3 else 1.0
            self._put(rig, min(pace, 1.0), restarts)

    def _put(self, rig: Rig, pace: float, restarts: int) -> None:
        row = row_of(rig.moment())
        sequence = float(self._latest[0]) + 1
        place = self._rows[int(sequence) % 2]
        place[SEQUENCE] = -1.0
        place[TIME], place[ANGLE], place[EFFORT] = rig.time, rig.angle, rig.effort
        place[TURNING] = rig.drive.sense * rig.drive.body.angular_velocity
        place[STUCK], place[PUSH] = rig.stuck_for, rig.push
        place[MISHAPS], place[PACE], place[MADE] = rig.mishaps, pace, time.perf_counter()
        place[STARTED] = restarts
        place[HEAD:] = row
        place[SEQUENCE] = sequence
        self._latest[0] = sequence


def _is_over(pipe: Connection) -> bool:
    """Whether the window has closed its end, or is gone altogether."""
    if not pipe.poll(0):
        return False
    try:
        pipe.recv()
    except (EOFError, ConnectionResetError):
        return True
    return False
