"""A run that is killed, at whatever moment, leaves the old film whole."""

from __future__ import annotations

import subprocess
import time
from pathlib import Path

import numpy as np
import pytest

from tests.command.running import SCENES, command, environment, run
from tests.films import names_in

KILL_COUNT = 20
MOST_TRIES = 60


@pytest.mark.slow
@pytest.mark.parametrize(("name", "seed"), [("film.gif", 1), ("film.mp4", 2)])
def test_twenty_kills_leave_no_half_film(name: str, seed: int, tmp_path: Path) -> None:
    words = ("render", SCENES / "baker.yaml", "--draft", "--quiet", "-o", name)
    whole_folder, folder = tmp_path / "whole", tmp_path / "killed"
    whole_folder.mkdir()
    folder.mkdir()
    start = time.monotonic()
    done = run(whole_folder, *words)
    span = time.monotonic() - start
    assert done.returncode in (0, 1), done.stderr
    whole = (whole_folder / name).read_bytes()

    film = folder / name
    film.write_bytes(b"the old film")
    killed_count = 0
    # Half of the kills fall into the last third, where the film is written.
    generator = np.random.default_rng(seed)
    shares = np.concatenate(
        [
            generator.uniform(0.05, 1, KILL_COUNT // 2),
            generator.uniform(0.65, 1.02, KILL_COUNT // 2),
        ]
    )
    for turn in range(MOST_TRIES):
        if killed_count == KILL_COUNT:
            break
        moment = span * float(shares[turn % KILL_COUNT])
        start = time.monotonic()
        with subprocess.Popen(
            command(*words),
            cwd=folder,
            env=environment(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        ) as process:
            try:
                process.wait(moment)
                span = time.monotonic() - start  # the machine has become quicker
            except subprocess.TimeoutExpired:
                process.kill()
                killed_count += 1
        assert film.read_bytes() in (b"the old film", whole), (
            f"half a film after {moment:.2f} s"
        )
        # On a disk without nameless files a hidden remnant may wait for the next run's broom, never another visible file.
        assert [found for found in names_in(folder) if not found.startswith(".")] == [name]
    assert killed_count == KILL_COUNT, "most runs were over before the kill"

    done = run(folder, *words)
    assert done.returncode in (0, 1), done.stderr
    assert film.read_bytes() == whole
    assert names_in(folder) == [name]
