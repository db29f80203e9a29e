"""A screen that nobody sees, and hands that nobody moves: Xvfb and xdotool."""

from __future__ import annotations

import ctypes
import ctypes.util
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from PIL import ImageGrab

ROOT = Path(__file__).resolve().parent.parent.parent
IS_THERE = all(shutil.which(name) for name in ("Xvfb", "xdotool"))
Picture = np.ndarray  # type: ignore[type-arg]


class QuickHand:
    """Strikes a mouse button at once, by the X server's own test extension: starting xdotool takes as long as what is to be measured."""

    def __init__(self, display: str) -> None:
        self._x = ctypes.CDLL(ctypes.util.find_library("X11") or "libX11.so.6")
        self._test = ctypes.CDLL(ctypes.util.find_library("Xtst") or "libXtst.so.6")
        self._x.XOpenDisplay.restype = ctypes.c_void_p
        self._x.XFlush.argtypes = [ctypes.c_void_p]
        self._x.XCloseDisplay.argtypes = [ctypes.c_void_p]
        self._test.XTestFakeButtonEvent.argtypes = [
            ctypes.c_void_p, ctypes.c_uint, ctypes.c_int, ctypes.c_ulong,
        ]  # fmt: skip
        self._display = self._x.XOpenDisplay(display.encode())
        assert self._display

    def click(self, button: int) -> None:
        for is_down in (1, 0):
            self._test.XTestFakeButtonEvent(self._display, button, is_down, 0)
        self._x.XFlush(self._display)

    def close(self) -> None:
        self._x.XCloseDisplay(self._display)


class Screen:
    """An X display of its own."""

    def __init__(self, size: tuple[int, int]) -> None:
        read, write = os.pipe()
        self.size = size
        self._server = subprocess.Popen(
            [
                "Xvfb", "-displayfd", str(write), "-screen", "0", f"{size[0]}x{size[1]}x24", "-nolisten", "tcp", "-noreset",
            ],
            pass_fds=(write,),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(write)
        with os.fdopen(read) as told:
            number = told.readline().strip()
        assert number, "Xvfb didn't start"
        self.name = f":{number}"
        self._started: list[subprocess.Popen[str]] = []

    def close(self) -> None:
        for process in self._started:
            with process:  # waits and closes its pipes
                process.kill()
        self._server.terminate()
        self._server.wait(10)

    def grab(self) -> Picture:
        """What is on the screen now, (height, width, 3)."""
        return np.asarray(ImageGrab.grab(xdisplay=self.name).convert("RGB"))

    def hand(self, *words: str | float) -> str:
        """Do something with mouse or keys."""
        done = subprocess.run(
            ["xdotool", *(f"{w:.0f}" if isinstance(w, float) else str(w) for w in words)],
            env={**os.environ, "DISPLAY": self.name},
            check=True,
            capture_output=True,
            text=True,
            timeout=20,
        )
        return done.stdout

    def window_at(self, x: int, y: int) -> str:
        """Number of the window at a place."""
        said = self.hand("mousemove", x, y, "getmouselocation", "--shell")
        return dict(line.split("=") for line in said.split())["WINDOW"]

    def start(self, *words: str | Path, folder: Path) -> subprocess.Popen[str]:
        """Start the program on it."""
        env = {
            **os.environ,
            "DISPLAY": self.name,
            "PYTHONPATH": str(ROOT),
            "SDL_VIDEODRIVER": "x11",
        }
        process = subprocess.Popen(
            [sys.executable, "-m", "animator", *map(str, words)],
            cwd=folder, env=env, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        self._started.append(process)
        return process

    def wait(self, until: Callable[[Picture], bool], most: float = 90.0) -> float:
        """Wait until the screen looks so; how long that took. [s]"""
        start = time.perf_counter()
        while time.perf_counter() - start < most:
            if until(self.grab()):
                return time.perf_counter() - start
            time.sleep(0.02)  # looking takes a core that the program may need
        raise AssertionError(f"not seen on the screen within {most} s")


@contextmanager
def a_screen(size: tuple[int, int] = (1280, 720)) -> Iterator[Screen]:
    screen = Screen(size)
    try:
        yield screen
    finally:
        screen.close()


def is_dark(picture: Picture) -> bool:
    """Nothing has been shown yet."""
    return float(picture.mean()) < 8.0


def end(process: subprocess.Popen[str], code: int = 0) -> str:
    """See the program end by itself; what it said on its error output."""
    _, said = process.communicate(timeout=20)
    assert process.returncode == code, said
    assert "Traceback" not in said, said
    return said


def differ(a: Picture, b: Picture, most: int = 40) -> bool:
    """Whether two pictures differ anywhere by more than so many levels."""
    return bool(np.abs(a.astype(int) - b).max() > most)


def latencies(screen: Screen, count: int) -> list[float]:
    """How long it takes from a notch of the wheel to a picture on the screen in which the handle has moved, several times. [s]

    Looking at the screen takes its time too and is in it.
    """
    hand = QuickHand(screen.name)
    height, width = screen.size[1], screen.size[0]
    room = np.s_[height // 4 : height * 5 // 6, width // 2 : width * 5 // 6]
    spans = []
    try:
        for i in range(count):
            before = screen.grab()[room]
            start = time.perf_counter()
            hand.click(4 if i % 2 == 0 else 5)
            while not differ(before, screen.grab()[room]):
                assert time.perf_counter() - start < 5.0, "the handle doesn't answer"
                time.sleep(0.005)
            spans.append(time.perf_counter() - start)
            time.sleep(0.8)
    finally:
        hand.close()
    return spans
