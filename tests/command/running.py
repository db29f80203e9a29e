"""Running the program as a maker does: in a folder of its own, as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from animator import cli

ROOT = Path(__file__).resolve().parent.parent.parent
SCENES = ROOT / "scenes"
QUICK = """
title: A quick piece
parts:
  shaft: {kind: shaft, at: [60, 50], material: steel 5, bearing: {ball: yes}}
  handle: {kind: handle, on: shaft, radius: 40, speed: 240 rpm}
  crank: {kind: crank, on: shaft, radius: 18, material: brass 3}
  rod: {kind: rod, from: crank.pin, to: ram.pin, length: 70, material: brass 3}
  ram: {kind: slider, slides: right, length: 70, material: birch 10, guide: {at: 110 right of shaft, ideal: yes}}
run: 1 turns
"""
CLAIMS = """
variants:
  right: {expect: [ram.travel = 36 mm within 0.1 mm, no jam]}
  wrong: {expect: [ram.travel >= 50 mm]}
"""


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


def call(*words: str | Path) -> int:
    """Run the command within this process: its exit code."""
    return cli._run([str(word) for word in words])
