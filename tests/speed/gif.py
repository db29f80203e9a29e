"""Thrifty GIF against the best that ffmpeg's palette filters make of the same pictures: ``python -m tests.speed.gif``.

The routes differ in how the palette is counted (all pixels, or those that move) and in dither; each is given 256 colours and told to
write only the changed rectangle. The best is the one with the fewest bytes.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import imageio_ffmpeg
import numpy as np
from PIL import Image, ImageSequence

from animator.outputs import save
from tests.films import structural_similarity
from tests.speed.films import DEMOS, film_of
from tests.speed.table import keep

FPS = 25.0
SIZE = (800, 450)
ROUTES = [
    (stats, dither)
    for stats in ("full", "diff")
    for dither in ("none", "bayer:bayer_scale=5", "sierra2_4a")
]
LOOK_EVERY = 7  # pictures


def by_ffmpeg(pictures: list[Any], path: Path, stats: str, dither: str) -> None:
    height, width = pictures[0].shape[:2]
    filters = f"split[a][b];[a]palettegen=max_colors=256:stats_mode={stats}[p];[b][p]paletteuse=dither={dither}:diff_mode=rectangle"
    command = [
        imageio_ffmpeg.get_ffmpeg_exe(),
        "-loglevel",
        "error",
        "-y",
        "-f",
        "rawvideo",
        "-pix_fmt",
        "rgba",
    ]
    command += [
        "-s",
        f"{width}x{height}",
        "-r",
        f"{FPS:g}",
        "-i",
        "-",
        "-vf",
        filters,
        "-loop",
        "0",
        str(path),
    ]
    with subprocess.Popen(command, stdin=subprocess.PIPE) as process:
        assert process.stdin is not None
        for picture in pictures:
            process.stdin.write(np.ascontiguousarray(picture).data)
    assert process.returncode == 0


def likeness(path: Path, pictures: list[Any]) -> float:
    """Mean SSIM over some of the pictures."""
    with Image.open(path) as film:
        shown = [np.array(picture.convert("RGB")) for picture in ImageSequence.Iterator(film)]
    assert len(shown) == len(pictures)
    return float(
        np.mean(
            [
                structural_similarity(shown[i], pictures[i])
                for i in range(0, len(shown), LOOK_EVERY)
            ]
        )
    )


def compare(name: str, variant: str | None) -> None:
    film = film_of(name, variant, SIZE, FPS, style="thrifty")
    label = f"{name} {variant or ''}".strip()
    pictures = [film.frame(index).copy() for index in range(film.distinct)]
    with tempfile.TemporaryDirectory() as folder:
        ours = Path(folder) / "ours.gif"
        start = time.perf_counter()
        save(film, ours, FPS)
        keep("gif", label, "time", time.perf_counter() - start, "s")
        found = []
        for stats, dither in ROUTES:
            path = Path(folder) / f"{stats} {dither.partition(':')[0]}.gif"
            by_ffmpeg(pictures, path, stats, dither)
            found.append((path.stat().st_size, likeness(path, pictures), path.stem))
            print(
                f"    {path.stem}: {found[-1][0] / 1000:.0f} kB, SSIM {found[-1][1]:.5f}",
                flush=True,
            )
        size, alike, route = min(found)
        keep("gif", label, "size", ours.stat().st_size / 1000, "kB")
        keep("gif", label, f"size by the best palette route ({route})", size / 1000, "kB")
        keep("gif", label, "size ratio", ours.stat().st_size / size, "1", "<= 0.95")
        keep(
            "gif",
            label,
            "SSIM less than the best route's",
            alike - likeness(ours, pictures),
            "1",
            "<= 0.005",
        )


if __name__ == "__main__":
    wanted = sys.argv[1:]
    for demo, variant in DEMOS:
        if not wanted or demo in wanted:
            compare(demo, variant)
