"""Thrifty GIF of each demo against the best that ffmpeg's palette filters make of the same film drawn richly: ``python -m tests.speed.gif``.

Both films show the client's look of the same motion, picture by picture; each file is judged against its own true colours. The routes differ in
how the palette is counted (all pixels, or those that move) and in dither; each is given 256 colours and told to write only the changed
rectangle. The best is the one with the fewest bytes of those that look like their pictures. The same is asked of the thrifty pictures too, which
tells the writer's share from the drawing's.
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
from tests.speed.films import EVERY, InMemory, film_of
from tests.speed.table import keep

FPS = 25.0
SIZE = (800, 450)
ROUTES = [
    (stats, dither)
    for stats in ("full", "diff")
    for dither in ("none", "bayer:bayer_scale=5", "sierra2_4a")
]
LOOK_EVERY = 7  # pictures
LIKE = 0.99  # SSIM that both must have
MOST = 100  # pictures of a film that are compared


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


def best_of_ffmpeg(pictures: list[Any], folder: Path) -> tuple[int, float, str]:
    """Bytes, likeness and route of the smallest file that looks like its pictures."""
    found = []
    for stats, dither in ROUTES:
        path = folder / f"{stats} {dither.partition(':')[0]}.gif"
        by_ffmpeg(pictures, path, stats, dither)
        found.append((path.stat().st_size, likeness(path, pictures), path.stem))
    alike = [row for row in found if row[1] >= LIKE]
    return min(alike or found)


def compare(name: str, variant: str | None) -> str:
    label = f"{name} {variant or ''}".strip()
    rich, thrifty = (
        film_of(name, variant, SIZE, FPS, style=style, look="client")
        for style in ("rich", "thrifty")
    )
    count = min(rich.distinct, MOST)
    with tempfile.TemporaryDirectory() as folder_name:
        folder = Path(folder_name)
        pictures = [thrifty.frame(index).copy() for index in range(count)]
        ours = folder / "ours.gif"
        start = time.perf_counter()
        save(InMemory(pictures, count, FPS), ours, FPS)
        taken = time.perf_counter() - start
        size, alike = ours.stat().st_size, likeness(ours, pictures)
        same, same_alike, _ = best_of_ffmpeg(pictures, folder)
        pictures = [rich.frame(index).copy() for index in range(count)]
        theirs, theirs_alike, route = best_of_ffmpeg(pictures, folder)
    keep("gif", label, "time without drawing", taken, "s")
    keep("gif", label, "size", size / 1000, "kB")
    keep("gif", label, "SSIM", alike, "1", f">= {LIKE}")
    keep("gif", label, f"rich, best palette route ({route})", theirs / 1000, "kB")
    keep("gif", label, "rich, SSIM", theirs_alike, "1")
    keep("gif", label, "size / rich", size / theirs, "1", "<= 0.667")
    keep("gif", label, "size / best route on the thrifty pictures", size / same, "1", "<= 0.95")
    return (
        f"| {label} | {count} | {size / 1000:.0f} | {alike:.4f} | {theirs / 1000:.0f} | {theirs_alike:.4f} "
        f"| {size / theirs:.2f} | {same / 1000:.0f} | {same_alike:.4f} | {size / same:.2f} |"
    )


HEAD = """
| film | pictures | thrifty kB | SSIM | rich by ffmpeg kB | SSIM | ratio | thrifty by ffmpeg kB | SSIM | ratio |
|---|---|---|---|---|---|---|---|---|---|"""

if __name__ == "__main__":
    wanted = sys.argv[1:]
    rows = [compare(*demo) for demo in EVERY if not wanted or demo[0] in wanted]
    print("\n".join([HEAD, *rows]))
