"""What the stall screen can do: ``python -m tests.speed.stall_screen``; ``--soak`` adds the twenty minutes.

On a screen that nobody sees (Xvfb), as the whole program sees it:

* a 480p, 720p and 1080p film shown by the clock: pictures a second, left out, longest gap, memory; against the film's own rate;
* pieces drawn live at 720p and 1080p in both looks;
* a handle that is turned at 720p: pictures a second, and from a notch of the wheel to the screen;
* the first picture of a draft after a cold start, against importing the same libraries.

The soak shows a 480p film for twenty minutes at its true speed and tells its memory every minute.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

import animator
from animator.outputs import save
from animator.screens.piece_reel import Look
from animator.screens.playing import Show
from animator.screens.programme import items_of
from animator.screens.turning import Turn
from animator.screens.window import Window
from tests.command.running import SCENES
from tests.screens.xscreen import Screen, a_screen, end, is_dark, latencies
from tests.speed.startup import libraries_of, timed
from tests.speed.table import keep

SECONDS = 8.0
SOAK = 20 * 60.0
FPS = 30
ROUNDS = 5


def resident() -> float:
    """Memory of this process [MB]."""
    return (
        int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
    )


def film_of(name: str, size: tuple[int, int], folder: Path) -> Path:
    path = folder / f"{name}-{size[1]}.mp4"
    if not path.exists():
        motion = animator.run(animator.read(SCENES / f"{name}.yaml"), turns=1.0)
        film = animator.draw(motion, None, look="client", size=size, fps=FPS)
        save(film, path, fps=FPS)
    return path


def shown(
    path: Path,
    size: tuple[int, int],
    seconds: float,
    look: Look | None = None,
    each_minute: Callable[[float, float], None] | None = None,
) -> tuple[Any, list[float]]:
    """Show something for a while: what it came to, and when each picture of what moves was there. [s]"""
    window = Window("speed", size)
    times: list[float] = []
    minute = [0.0]
    try:
        show = Show(
            items_of([path]),
            window,
            lambda item: animator.read(item.path),
            look=look,
            is_draft=False,
            seconds=None,
        )

        def note(at: float) -> None:
            now = time.perf_counter()
            reel: Any = show._reel
            if getattr(reel, "is_running", True):
                if not times and show.seconds is None:
                    show.seconds = now - show._began + seconds
                times.append(now)
                if each_minute is not None and now - times[0] >= minute[0]:
                    each_minute(now - times[0], resident())
                    minute[0] += 60.0
                    del times[1:-1]

        show.on_shown = note
        return show.run(), times
    finally:
        window.close()


def rates(times: list[float]) -> tuple[float, float]:
    """Pictures a second, and the longest gap [s], once it has come into its stride."""
    gaps = np.diff(times[5:])
    return float(1 / gaps.mean()), float(gaps.max())


def films_and_pieces(folder: Path) -> None:
    for size in ((854, 480), (1280, 720), (1920, 1080)):
        what = f"film {size[1]}p"
        tally, times = shown(film_of("heron", size, folder), size, SECONDS)
        rate, gap = rates(times)
        keep("stall screen", what, "share of its rate shown", rate / FPS, "1", ">= 0.98")
        keep("stall screen", what, "pictures left out", tally.dropped, "1")
        keep("stall screen", what, "longest gap", gap * FPS, "pictures", "<= 2")
        keep("stall screen", what, "memory", resident(), "MB")
    for size in ((1280, 720), (1920, 1080)):
        for look in ("client", "bench"):
            what = f"heron live, {look}, {size[1]}p"
            tally, times = shown(SCENES / "heron.yaml", size, SECONDS, look)  # type: ignore[arg-type]
            rate, gap = rates(times)
            keep("stall screen", what, "pictures a second", rate, "1/s", ">= 25")
            keep("stall screen", what, "longest gap", 1000 * gap, "ms")


def turned() -> None:
    """Turn pieces at 720p by a held key, without an outside hand."""
    for name in ("heron", "carousel", "smith"):
        window = Window("speed", (1280, 720))
        times: list[float] = []
        paces: list[float] = []
        try:
            turn = Turn(animator.read(SCENES / f"{name}.yaml"), window, seconds=60.0)

            def note(
                state: Any,
                turn: Turn = turn,
                times: list[float] = times,
                paces: list[float] = paces,
            ) -> None:
                if not times:
                    turn._do("on", "right")
                times.append(time.perf_counter())
                paces.append(state.pace)
                if times[-1] - times[0] > SECONDS:
                    turn.stop()

            turn.on_shown = note
            turn.run()
        finally:
            window.close()
        rate, gap = rates(times)
        what = f"{name} turned, 720p"
        keep("stall screen", what, "pictures a second", rate, "1/s", ">= 25")
        keep("stall screen", what, "longest gap", 1000 * gap, "ms")
        keep(
            "stall screen",
            what,
            "pace of the piece",
            statistics.mean(paces[30:]),
            "1",
            ">= 0.95",
        )


def hand_to_picture(screen: Screen, folder: Path) -> None:
    process = screen.start(
        "play", SCENES / "heron.yaml", "--turn", "--size", "1280x720", folder=folder
    )
    screen.wait(lambda p: not is_dark(p[400:600, 700:1200]))
    time.sleep(5.0)
    spans = latencies(screen, 15)
    screen.hand("key", "q")
    end(process)
    looks = []
    for _ in range(15):
        start = time.perf_counter()
        screen.grab()
        looks.append(time.perf_counter() - start)
    keep(
        "stall screen",
        "heron turned, 720p",
        "hand to picture",
        1000 * statistics.median(spans),
        "ms",
        "<= 100",
    )
    keep(
        "stall screen",
        "heron turned, 720p",
        "of it looking at the screen",
        1000 * statistics.median(looks),
        "ms",
    )


def first_picture(screen: Screen, folder: Path) -> None:
    """From starting the command to the piece on the screen, as it stands in its recorded pose."""
    words = ["play", str(SCENES / "heron.yaml"), "--draft", "--size", "1280x720"]
    spans = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        process = screen.start(*words, folder=folder)
        screen.wait(lambda p: not is_dark(p[200:500, 400:900]))
        spans.append(time.perf_counter() - start)
        process.terminate()
        end(process)
        time.sleep(0.3)
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    libraries = libraries_of(["animator", *words, "--seconds", "6"], folder)
    del os.environ["SDL_VIDEODRIVER"]
    loading = (
        "import importlib, contextlib\n"
        f"for name in {libraries!r}:\n"
        "    with contextlib.suppress(ImportError):  # some can only be had through another\n"
        "        importlib.import_module(name)\n"
    )
    imports = timed([sys.executable, "-c", loading], folder)
    first = statistics.median(spans)
    keep("stall screen", "heron", "first pose after a cold start, draft", first, "s", "<= 2")
    keep("stall screen", "heron", "of it importing the libraries", imports, "s")
    keep(
        "stall screen",
        "heron",
        "first pose less imports",
        first - imports,
        "s",
        "<= 0.8, or the first <= 2",
    )


def soak(folder: Path, seconds: float = SOAK) -> None:
    readings: list[tuple[float, float]] = []

    def note(at: float, memory: float) -> None:
        readings.append((at, memory))
        print(f"after {at / 60:4.1f} min: {memory:.1f} MB", flush=True)

    tally, _ = shown(film_of("heron", (854, 480), folder), (854, 480), seconds, None, note)
    settled = [memory for at, memory in readings if at >= 60] or [readings[-1][1]]
    keep("stall screen", "soak, film 480p", "minutes", tally.seconds / 60, "min")
    keep("stall screen", "soak, film 480p", "rounds", tally.rounds, "1")
    keep("stall screen", "soak, film 480p", "pictures left out", tally.dropped, "1")
    keep(
        "stall screen",
        "soak, film 480p",
        "memory grown after the first minute",
        max(settled) - settled[0],
        "MB",
        "<= 4",
    )


def main() -> None:
    with tempfile.TemporaryDirectory() as name, a_screen((1920, 1080)) as screen:
        folder = Path(name)
        os.environ["DISPLAY"] = screen.name
        if "--soak-only" not in sys.argv:
            first_picture(screen, folder)
            with a_screen((1280, 720)) as small:
                hand_to_picture(small, folder)
            films_and_pieces(folder)
            turned()
        if any(word.startswith("--soak") for word in sys.argv):
            soak(folder)


if __name__ == "__main__":
    main()
