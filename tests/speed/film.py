"""A film of 600 pictures, 1080p at 60 a second, against encoding the same pictures from memory: ``python -m tests.speed.film``.

The floor is the time to encode the pictures lying ready in memory as rgba, every one of them, with the same encoder settings, by the quicker
of two plain ways: PyAV in this process, and a pipe into ffmpeg. ``heron`` comes round, so its distinct pictures are drawn once; the
carousel's band slips, so all 600 of its pictures differ.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import imageio_ffmpeg
from av.video.reformatter import VideoReformatter

import animator
from animator.outputs import save
from animator.outputs._video import BT709, KEY_INTERVAL, THREADS
from animator.outputs.mp4 import CRF, ENCODER, FINER_CHROMA, PRESETS
from tests.command.running import command, environment
from tests.speed.films import SCENES, InMemory
from tests.speed.table import keep

SIZE, FPS, COUNT = (1920, 1080), 60, 600
SECONDS = COUNT / FPS
WANTED = {("heron", None): "<= 1.3", ("carousel", "band"): "<= 1.8"}
PRESET, QUALITY = PRESETS[False], str(CRF[False][0])
DRAWN = 60  # pictures drawn to time one


def floor_here(film: InMemory, path: Path) -> float:
    """Encode pictures from memory with PyAV. [s]"""
    start = time.perf_counter()
    reformatter = VideoReformatter()
    with av.open(str(path), "w", options={"movflags": "+faststart"}) as file:
        stream: Any = file.add_stream(ENCODER, rate=FPS)
        stream.width, stream.height, stream.pix_fmt = *SIZE, "yuv420p"
        stream.options = {
            "preset": PRESET,
            "crf": QUALITY,
            "threads": str(THREADS),
            "g": str(KEY_INTERVAL),
            "x264-params": FINER_CHROMA,
        }
        for index in range(COUNT):
            picture = av.VideoFrame.from_numpy_buffer(film.frame(index % film.distinct), "rgba")
            planes = reformatter.reformat(picture, format="yuv420p", dst_colorspace=BT709)
            planes.pts, planes.time_base = index, Fraction(1, FPS)
            file.mux(stream.encode(planes))
        file.mux(stream.encode(None))
    return time.perf_counter() - start


def floor_by_pipe(film: InMemory, path: Path) -> float:
    """Encode pictures from memory with ffmpeg. [s]"""
    words = [
        imageio_ffmpeg.get_ffmpeg_exe(),
        "-y",
        "-loglevel",
        "error",
        "-f",
        "rawvideo",
        "-pix_fmt",
        "rgba",
    ]
    words += [
        "-s",
        "{}x{}".format(*SIZE),
        "-r",
        str(FPS),
        "-i",
        "-",
        "-vf",
        "scale=out_color_matrix=bt709:flags=bilinear",
    ]
    words += [
        "-c:v",
        ENCODER,
        "-pix_fmt",
        "yuv420p",
        "-preset",
        PRESET,
        "-crf",
        QUALITY,
        "-threads",
        str(THREADS),
    ]
    words += [
        "-g",
        str(KEY_INTERVAL),
        "-x264-params",
        FINER_CHROMA,
        "-movflags",
        "+faststart",
        str(path),
    ]
    start = time.perf_counter()
    with subprocess.Popen(words, stdin=subprocess.PIPE, bufsize=0) as process:
        assert process.stdin is not None
        for index in range(COUNT):
            left = memoryview(film.frame(index % film.distinct)).cast("B")
            while left:
                left = left[process.stdin.write(left) :]
    assert process.returncode == 0
    return time.perf_counter() - start


def measure(name: str, variant: str | None) -> None:
    label = f"{name} {variant or ''}".strip()
    scene_path = SCENES / f"{name}.yaml"
    with tempfile.TemporaryDirectory() as folder_name:
        folder = Path(folder_name)
        words = [
            "render",
            scene_path,
            "-o",
            "film.mp4",
            "--quiet",
            "--size",
            "{}x{}".format(*SIZE),
        ]
        words += [
            "--fps",
            FPS,
            "--seconds",
            f"{SECONDS:g}",
            *(["--variant", variant] if variant else []),
        ]
        start = time.perf_counter()
        done = subprocess.run(
            command(*words),
            cwd=folder,
            env=environment(),
            capture_output=True,
            text=True,
            check=False,
        )
        whole = time.perf_counter() - start
        assert done.returncode in (0, 1), done.stderr
        with av.open(str(folder / "film.mp4")) as made:
            assert made.streams.video[0].frames == COUNT
            assert (made.streams.video[0].width, made.streams.video[0].height) == SIZE

        start = time.perf_counter()
        motion = animator.run(animator.read(scene_path, variant))
        running = time.perf_counter() - start
        report = animator.examine(motion)
        film = animator.draw(motion, report, size=SIZE, fps=FPS, seconds=SECONDS)
        start = time.perf_counter()
        save(film, folder / "film.mp4", FPS)
        saving = time.perf_counter() - start
        film.frame(0)
        start = time.perf_counter()
        for index in range(DRAWN):
            film.frame(index * film.distinct // DRAWN)
        drawing = (time.perf_counter() - start) / DRAWN * 1e3

        ready = InMemory.of_film(film)
        floor = min(
            floor_here(ready, folder / "floor.mp4"), floor_by_pipe(ready, folder / "floor.mp4")
        )
    keep("film", label, "distinct pictures", film.distinct, "1")
    keep("film", label, "whole render", whole, "s")
    keep("film", label, "drawing and encoding", saving, "s")
    keep("film", label, "floor", floor, "s")
    keep(
        "film",
        label,
        "whole render / floor",
        whole / floor,
        "1",
        WANTED.get((name, variant), ""),
    )
    keep("film", label, "a picture drawn", drawing, "ms")
    keep("film", label, "run", running, "s")
    keep("film", label, "run / whole render", running / whole, "1", "<= 0.3")


if __name__ == "__main__":
    for demo, demo_variant in WANTED:
        if not sys.argv[1:] or demo in sys.argv[1:]:
            measure(demo, demo_variant)
