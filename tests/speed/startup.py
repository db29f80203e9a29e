"""What a cold start costs: ``python -m tests.speed.startup``.

A first draft GIF of the baker by the command, against a process that only imports the same libraries and then writes the same pictures,
ready in memory, to the same GIF. And ``--help``, which should cost next to nothing. Each is timed several times; the middle counts.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from importlib.util import find_spec
from pathlib import Path

import animator
from animator.outputs import save
from tests.command.running import SCENES, command, environment
from tests.speed.films import InMemory
from tests.speed.table import keep

ROUNDS = 5
SCENE = SCENES / "baker.yaml"


def timed(words: list[str], folder: Path) -> float:
    """Middle of several timings of a command. [s]"""
    spans = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        done = subprocess.run(
            words, cwd=folder, env=environment(), capture_output=True, text=True, check=False
        )
        spans.append(time.perf_counter() - start)
        assert done.returncode in (0, 1), done.stderr
        assert "Traceback" not in done.stderr, done.stderr
    return statistics.median(spans)


def libraries_of(words: list[str], folder: Path) -> list[str]:
    """Names of the libraries that a run of the program loads, other than Python's own and ours."""
    code = (
        "import sys, runpy\n"
        f"sys.argv = {words!r}\n"
        "try:\n    runpy.run_module('animator', run_name='__main__')\n"
        "except SystemExit:\n    pass\n"
        "print('LOADED', *(name for name, module in sys.modules.items() if getattr(module, '__spec__', None) is not None))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        env=environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    last = [line for line in done.stdout.splitlines() if line.startswith("LOADED")][-1]
    others = [
        name
        for name in last.split()[1:]
        if name.split(".")[0] not in {"animator", *sys.stdlib_module_names}
    ]
    # What is made by a library as it loads can't be asked for by name.
    return [name for name in others if find_spec(name.split(".")[0]) is not None]


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        words = ["render", str(SCENE), "--draft", "--quiet", "-o", "baker.gif"]
        whole = timed(command(*words), folder)
        libraries = libraries_of(["animator", *words], folder)
        loading = (
            "import importlib, contextlib\n"
            f"for name in {libraries!r}:\n"
            "    with contextlib.suppress(ModuleNotFoundError):\n"
            "        importlib.import_module(name)\n"
        )
        imports = timed([sys.executable, "-c", loading], folder)
        # The encode: the pictures of that very GIF, written once more from memory.
        film = InMemory.of_gif(folder / "baker.gif")
        spans = []
        for _ in range(ROUNDS):
            start = time.perf_counter()
            save(film, folder / "again.gif", film.fps, draft=True)
            spans.append(time.perf_counter() - start)
        encode = statistics.median(spans)
        keep("startup", "baker", "first draft GIF", whole, "s")
        keep("startup", "baker", "importing the same libraries", imports, "s")
        keep("startup", "baker", "encoding the same pictures", encode, "s")
        keep("startup", "baker", "ratio", whole / (imports + encode), "1", "<= 2")
        keep("startup", "", "--help", timed(command("--help"), folder), "s")
        keep("startup", "", "python alone", timed([sys.executable, "-c", "pass"], folder), "s")
        print("libraries:", *sorted({name.split(".")[0] for name in libraries}))
        print("version:", animator.__version__)


if __name__ == "__main__":
    main()
