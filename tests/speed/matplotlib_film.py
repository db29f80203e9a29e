"""The same film by a plain matplotlib script: ``python -m tests.speed.matplotlib_film``.

The script is written as one who knows matplotlib would write it: one patch for every outline, made once; a picture only gives new paths to
those that moved; FuncAnimation saves through its ffmpeg writer with our encoder settings. It draws the outlines of the same pictures in flat
colours, without grain, light, soft shadows and words, and their places are reckoned beforehand. What never moves is either drawn
like the rest or laid as a picture, whichever is quicker.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import imageio_ffmpeg
import matplotlib as mpl
import numpy as np
from matplotlib.animation import FFMpegWriter, FuncAnimation
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as MplPath

import animator
from animator.outputs import save
from animator.outputs.mp4 import CRF, ENCODER, PRESETS
from tests.speed.film import COUNT, DRAWN, FPS, SECONDS, SIZE
from tests.speed.films import SCENES, InMemory
from tests.speed.outlines import Outline, overheard
from tests.speed.table import keep

PRESET, QUALITY = PRESETS[False], str(CRF[False][0])


def path_of(outline: Outline) -> MplPath:
    """Turn an outline into matplotlib's kind."""
    vertices = np.concatenate(outline.contours) if outline.contours else np.zeros((1, 2))
    codes = np.full(len(vertices), MplPath.LINETO, np.uint8)
    starts = (
        np.cumsum([0, *(len(points) for points in outline.contours)])[:-1]
        if outline.contours
        else [0]
    )
    codes[starts] = MplPath.MOVETO
    return MplPath(vertices, codes)


def ways_of(outline: Outline) -> dict[str, Any]:
    """Say how a patch is to look."""
    if outline.width_px:
        return {
            "fill": False,
            "edgecolor": outline.colour,
            "linewidth": outline.width_px * 0.72,
        }
    return {"fill": True, "facecolor": outline.colour, "linewidth": 0}


class Script:
    """What the matplotlib user writes."""

    def __init__(
        self,
        still: Sequence[Outline],
        pictures: Sequence[Sequence[Outline]],
        is_background_laid: bool,
    ) -> None:
        self.figure = Figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100)
        FigureCanvasAgg(self.figure)
        self.axes = self.figure.add_axes((0, 0, 1, 1), xlim=(0, SIZE[0]), ylim=(SIZE[1], 0))
        self.axes.set_axis_off()
        for outline in still:
            self._patch(outline)
        if is_background_laid:
            self.figure.canvas.draw()
            background = np.asarray(self.figure.canvas.buffer_rgba()).copy()
            self.axes.clear()
            self.axes.set_axis_off()
            self.axes.set(xlim=(0, SIZE[0]), ylim=(SIZE[1], 0))
            self.figure.figimage(background)
        self.paths = [[path_of(outline) for outline in picture] for picture in pictures]
        self.pictures = pictures
        self.patches = [self._patch(outline) for outline in max(pictures, key=len)]

    def _patch(self, outline: Outline) -> PathPatch:
        ways = ways_of(outline)
        return self.axes.add_patch(PathPatch(path_of(outline), **ways))

    def move(self, index: int) -> list[PathPatch]:
        number = index % len(self.paths)
        for place, patch in enumerate(self.patches):
            if place >= len(self.paths[number]):
                patch.set_visible(False)
            elif patch.get_path() is not self.paths[number][place]:
                outline = self.pictures[number][place]
                patch.set_path(self.paths[number][place])
                patch.set(visible=True, **ways_of(outline))
        return self.patches

    def draw(self) -> float:
        """Time a picture drawn. [s]"""
        start = time.perf_counter()
        for index in range(DRAWN):
            self.move(index * len(self.paths) // DRAWN)
            self.figure.canvas.draw()
        return (time.perf_counter() - start) / DRAWN

    def film(self, path: Path) -> float:
        """Draw and encode the whole. [s]"""
        start = time.perf_counter()
        words = [
            "-preset",
            PRESET,
            "-crf",
            QUALITY,
            "-pix_fmt",
            "yuv420p",
            "-movflags",
            "+faststart",
        ]
        mpl.rcParams["animation.ffmpeg_path"] = imageio_ffmpeg.get_ffmpeg_exe()
        writer = FFMpegWriter(fps=FPS, codec=ENCODER, extra_args=words)
        FuncAnimation(self.figure, self.move, frames=COUNT, cache_frame_data=False).save(
            path, writer=writer
        )
        return time.perf_counter() - start


def outlines_of(motion: Any, report: Any) -> tuple[list[Outline], list[list[Outline]]]:
    """Give the outlines that lie still and those of each distinct picture; one that doesn't change is the same object in all."""
    with overheard() as made:
        film = animator.draw(motion, report, size=SIZE, fps=FPS, seconds=SECONDS)
        canvas = made[0]
        still = canvas.take()
        pictures: list[list[Outline]] = []
        for index in range(film.distinct):
            film.frame(index)
            picture = canvas.take()
            if pictures:
                picture = [
                    old if is_same(old, new) else new
                    for old, new in zip(pictures[-1], picture, strict=False)
                ]
            pictures.append(picture)
    return still, pictures


def is_same(a: Outline, b: Outline) -> bool:
    return len(a.contours) == len(b.contours) and all(
        np.array_equal(p, q) for p, q in zip(a.contours, b.contours, strict=True)
    )


def measure(name: str, variant: str | None) -> None:
    label = f"{name} {variant or ''}".strip()
    motion = animator.run(animator.read(SCENES / f"{name}.yaml", variant))
    report = animator.examine(motion)
    still, pictures = outlines_of(motion, report)
    scripts = [
        Script(still, pictures, is_background_laid) for is_background_laid in (False, True)
    ]
    their_drawing, script = min(
        ((script.draw(), script) for script in scripts), key=lambda pair: pair[0]
    )
    film = animator.draw(motion, report, size=SIZE, fps=FPS, seconds=SECONDS)
    with tempfile.TemporaryDirectory() as folder_name:
        folder = Path(folder_name)
        start = time.perf_counter()
        save(film, folder / "ours.mp4", FPS)
        ours = time.perf_counter() - start
        film.frame(0)
        start = time.perf_counter()
        for index in range(DRAWN):
            film.frame(index * film.distinct // DRAWN)
        our_drawing = (time.perf_counter() - start) / DRAWN
        start = time.perf_counter()
        save(InMemory.of_film(film), folder / "ours.mp4", FPS)
        our_encoding = time.perf_counter() - start
        theirs = script.film(folder / "theirs.mp4")
        if "--keep" in sys.argv:
            Path(f"{name} by matplotlib.mp4").write_bytes((folder / "theirs.mp4").read_bytes())
    keep("matplotlib", label, "outlines that lie still", len(still), "1")
    keep("matplotlib", label, "outlines drawn each time", len(pictures[0]), "1")
    keep("matplotlib", label, "our film whole", ours, "s")
    keep("matplotlib", label, "our encoding, pictures ready", our_encoding, "s")
    keep("matplotlib", label, "its film whole", theirs, "s")
    keep(
        "matplotlib",
        label,
        "its encoding and handing over",
        theirs - COUNT * their_drawing,
        "s",
    )
    keep("matplotlib", label, "our drawing", our_drawing * 1e3, "ms")
    keep("matplotlib", label, "its drawing", their_drawing * 1e3, "ms")
    keep("matplotlib", label, "whole, times faster", theirs / ours, "1", ">= 2")
    keep(
        "matplotlib", label, "drawing, times faster", their_drawing / our_drawing, "1", ">= 1.5"
    )


if __name__ == "__main__":
    measure("heron", None)
    measure("carousel", "band")
