"""Running the program as a maker does: in a folder of its own, as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
SCENES = ROOT / "scenes"


def command(*words: str | Path) -> list[str]:
    return [sys.executable, "-m", "animator", *map(str, words)]


def environment(*first_on_path: Path) -> dict[str, str]:
    """What the program runs with; folders named here are searched for modules before all others."""
    return {**os.environ, "PYTHONPATH": os.pathsep.join(map(str, [*first_on_path, ROOT]))}


def run(
    folder: Path, *words: str | Path, first_on_path: tuple[Path, ...] = ()
) -> subprocess.CompletedProcess[str]:
    """Run the program to its end in a folder."""
    return subprocess.run(
        command(*words),
        cwd=folder,
        env=environment(*first_on_path),
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
