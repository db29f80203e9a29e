"""Drawing ahead: pictures are drawn by helper processes while the ones before them are being written.

Drawing holds Python's lock, so threads would wait for each other; processes don't. Each helper is a fork of this process
with the film already in its memory, and hands its pictures over in memory that both share.
"""

from __future__ import annotations

import contextlib
import math
import mmap
import multiprocessing
import os
import signal
import sys
import traceback
import warnings
from collections.abc import Callable, Iterator, Sequence
from multiprocessing.connection import Connection
from multiprocessing.context import ForkProcess
from typing import TYPE_CHECKING

import numpy as np

from animator.outputs._contract import Frames
from animator.problems import RunError

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

    Convert = Callable[[Pixels], Pixels]

SLOTS = 3  # pictures a helper may be ahead: one being drawn, one waiting, one being written
FEWEST = 8  # pictures below which starting a helper costs more than it saves
MOST_HELPERS = 4  # beyond that the encoder is the slower side


@contextlib.contextmanager
def drawn(
    frames: Frames, order: Sequence[int], convert: Convert, shape: tuple[int, ...]
) -> Iterator[Iterator[Pixels]]:
    """Give an iterator over pictures drawn and converted, in the order asked for.

    Parameters
    ----------
    frames
        The film.
    order
        Numbers of the pictures.
    convert
        What to make of each picture, done by the helper.
    shape
        Shape of what ``convert`` gives (bytes).

    Yields
    ------
    Iterator
        Each array is good until the next is asked for.
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1
    # Only Linux forks safely with drawing libraries loaded.
    if sys.platform != "linux" or cores < 2 or len(order) < FEWEST:
        yield (convert(frames.frame(index)) for index in order)
        return
    helpers = [Helper(shape) for _ in range(min(cores, MOST_HELPERS))]
    try:
        for number, helper in enumerate(helpers):
            helper.start(frames, order[number :: len(helpers)], convert, helpers)
        yield _in_turn(helpers, len(order))
    finally:
        for helper in helpers:
            helper.stop()


def _in_turn(helpers: Sequence[Helper], count: int) -> Iterator[Pixels]:
    for index in range(count):
        helper = helpers[index % len(helpers)]
        slot = helper.take()
        yield helper.slots[slot]
        helper.give_back(slot)


class Helper:
    """One forked process and the memory it shares with us."""

    def __init__(self, shape: tuple[int, ...]) -> None:
        self.ours, self.theirs = multiprocessing.Pipe()
        memory = mmap.mmap(
            -1, SLOTS * math.prod(shape)
        )  # without a name: nothing to clean up after a kill
        self.slots: Pixels = np.frombuffer(memory, np.uint8).reshape(SLOTS, *shape)
        self.process: ForkProcess | None = None

    def start(
        self,
        frames: Frames,
        order: Sequence[int],
        convert: Convert,
        all_helpers: Sequence[Helper],
    ) -> None:
        """Fork."""
        self.process = multiprocessing.get_context("fork").Process(
            target=self._work, args=(frames, order, convert, all_helpers), daemon=True
        )
        with warnings.catch_warnings():
            # From Python 3.12 on a fork beside threads is warned of. The other threads (of the array library, of a progress
            # line) hold nothing that drawing needs.
            warnings.simplefilter("ignore", DeprecationWarning)
            self.process.start()
        self.theirs.close()
        for slot in range(SLOTS):
            self.ours.send(slot)

    def take(self) -> int:
        """Wait for the next picture; the slot it lies in."""
        try:
            answer = self.ours.recv()
        except (EOFError, ConnectionResetError):
            assert self.process is not None
            self.process.join()
            raise RunError(
                f"drawing stopped in the middle (a helper ended with code {self.process.exitcode}); "
                "if memory is short, a smaller --size needs less"
            ) from None
        if isinstance(answer, BaseException):
            raise answer
        return int(answer)

    def give_back(self, slot: int) -> None:
        """Let the helper draw over a slot."""
        with contextlib.suppress(BrokenPipeError):  # it has drawn its last
            self.ours.send(slot)

    def stop(self) -> None:
        """Let go of the helper; it ends when it finds nobody listening."""
        self.ours.close()
        self.theirs.close()
        if self.process is not None:
            self.process.join()

    def _work(
        self,
        frames: Frames,
        order: Sequence[int],
        convert: Convert,
        all_helpers: Sequence[Helper],
    ) -> None:
        signal.signal(
            signal.SIGINT, signal.SIG_IGN
        )  # the parent decides what an interruption means
        for helper in all_helpers:
            # While a copy of the parent's end is open here, the parent's death would go unnoticed.
            helper.ours.close()
        try:
            for index in order:
                slot = self.theirs.recv()
                np.copyto(self.slots[slot], convert(frames.frame(index)))
                self.theirs.send(slot)
        except (EOFError, BrokenPipeError, ConnectionResetError):
            pass  # the parent has gone or has enough
        except BaseException as trouble:  # raised again where the film is asked for
            trouble.add_note("drawn by a helper:\n" + traceback.format_exc())
            _send(self.theirs, trouble)
        finally:
            # Nothing of what the parent registered for its end is ours to do.
            os._exit(0)


def _send(connection: Connection, trouble: BaseException) -> None:
    try:
        connection.send(trouble)
    except Exception:  # one that can't be pickled is told in words
        connection.send(RuntimeError("".join(traceback.format_exception(trouble))))
