"""Work sent out to a process of its own, so that the window goes on answering meanwhile."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import traceback
import warnings
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from animator.problems import RunError, SceneError

CAN_FORK = sys.platform == "linux"  # elsewhere forking with drawing libraries loaded isn't safe
YIELDING = 5  # what is on the screen comes first, where there are too few cores for both
Work = Callable[[Connection], None]


def cores() -> int:
    """How many cores we may use."""
    return (
        len(os.sched_getaffinity(0))
        if hasattr(os, "sched_getaffinity")
        else os.cpu_count() or 1
    )


class Helper:
    """A forked process that does ``work`` with its end of a pipe.

    It ends when the work is done, or when it finds that nobody listens any more.
    """

    def __init__(self, work: Work) -> None:
        self.pipe, theirs = multiprocessing.Pipe()
        self._process = multiprocessing.get_context("fork").Process(
            target=self._run, args=(work, theirs), daemon=True
        )
        with warnings.catch_warnings():
            # From Python 3.12 on a fork beside threads is warned of; ours hold nothing that the helper needs.
            warnings.simplefilter("ignore", DeprecationWarning)
            self._process.start()
        theirs.close()

    def _run(self, work: Work, pipe: Connection) -> None:
        for number in (signal.SIGINT, signal.SIGTERM):
            # the window decides when to leave; the helper hears of it through its pipe
            signal.signal(number, signal.SIG_IGN)
        self.pipe.close()
        try:
            work(pipe)
        except (EOFError, BrokenPipeError, ConnectionResetError):
            pass  # nobody listens any more
        except BaseException as trouble:
            _tell(pipe, trouble)
        finally:
            os._exit(
                0
            )  # nothing of what the window's process registered for its end is ours to do

    @property
    def is_alive(self) -> bool:
        """Whether it still works."""
        return self._process.is_alive()

    def stop(self) -> None:
        """Let go of it; one that is deep in its work is stopped."""
        self.pipe.close()
        self._process.join(0.3)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        self._process.close()


def _tell(pipe: Connection, trouble: BaseException) -> None:
    if isinstance(trouble, SceneError | RunError):
        pipe.send(RunError(str(trouble)))
    else:
        pipe.send(
            RuntimeError("".join(traceback.format_exception(trouble)))
        )  # it may be one that can't be sent as it is


class Errand:
    """A call whose answer is fetched later; where nothing can be forked, it is made when the answer is first asked for."""

    def __init__(self, call: Callable[[], Any]) -> None:
        self._call = call
        self._helper = Helper(self._work) if CAN_FORK else None

    def _work(self, pipe: Connection) -> None:
        os.nice(YIELDING)
        pipe.send(self._call())

    def is_done(self) -> bool:
        """Whether the answer can be had without waiting for it."""
        if self._helper is None:
            return True
        return self._helper.pipe.poll(0)

    def answer(self) -> Any:
        """Give the answer; raises what went wrong."""
        if self._helper is None:
            return self._call()
        try:
            answer = self._helper.pipe.recv()
        except EOFError:
            raise RunError(
                "a helper ended in the middle of its work; is the memory short?"
            ) from None
        finally:
            self.stop()
        if isinstance(answer, BaseException):
            raise answer
        return answer

    def stop(self) -> None:
        """Let go of it."""
        if self._helper is not None:
            self._helper.stop()
            self._helper = None
            self._call = _gone


def _gone() -> None:
    raise RuntimeError("this errand has been stopped")
