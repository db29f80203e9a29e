"""The same film by a plain matplotlib script: ``python -m tests.speed.matplotlib_film``.

The script is written as one who knows matplotlib would write it: patches made once, moved by their transforms, FuncAnimation saved through
its ffmpeg writer with our encoder settings. It draws the outlines of the same pieces in flat colours; no grain, no light, no
shadow, no words.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any
from unittest import mock

import imageio_ffmpeg
import matplotlib as mpl
import numpy as np
from matplotlib.animation import FFMpegWriter, FuncAnimation
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from matplotlib.transforms import Affine2D

import animator
from animator.outputs import save
from animator.outputs.mp4 import ENCODER, PRESETS
from animator.pictures import drawing
from animator.pictures.ink import skia
from animator.pictures.stuff import Stuffs
from tests.speed.film import COUNT, DRAWN, FPS, SECONDS, SIZE
from tests.speed.films import SCENES, InMemory
from tests.speed.table import keep

STEP = 2.0  # design units between points of a curve; finer shows no difference
PRESET, QUALITY = PRESETS[False]
"""The same for both films."""


class Shape:
    """An outline in its own frame, and where that frame is at a time."""

    def __init__(self, outline: Outline, colour: Any, place: Callable[[float], Any]) -> None:
        self.outline, self.colour, self.place = outline, colour, place


def outline_of(path: Any) -> Outline:
    """Turn one of skia's paths into matplotlib's, curves as short straight pieces."""
    points: list[tuple[float, float]] = []
    codes: list[int] = []
    contour = skia.PathMeasure(path, False)
    while True:
        length = contour.getLength()
        count = max(3, int(length / STEP))
        for index in range(count):
            at, _ = contour.getPosTan(length * index / count)
            points.append((at.x(), at.y()))
            codes.append(Outline.LINETO if index else Outline.MOVETO)
        points.append(points[-count])
        codes.append(Outline.CLOSEPOLY)
        if not contour.nextContour():
            break
    return Outline(np.array(points), np.array(codes, np.uint8))


def shapes_of(motion: Any) -> tuple[list[Shape], list[float]]:
    """Give the outlines that the program draws for a motion, and the corners of all they ever cover."""
    kept: list[tuple[str, Any, Any]] = []
    keep_piece = drawing.Pen._keep

    def note(pen: Any, sort: str, piece: Any, at: Any = None, *rest: Any, **more: Any) -> None:
        kept.append((pen.part.name if not pen._is_fixed else "", piece, at))
        keep_piece(pen, sort, piece, at, *rest, **more)

    with mock.patch.object(drawing.Pen, "_keep", note):
        whole = drawing.Drawing(motion, Stuffs())
    shapes = []
    for name, piece, at in kept:
        colour = skia.Color4f(piece.paint.getColor())
        rgb = (colour.fR, colour.fG, colour.fB)
        if name:
            place = partial(_moving, whole, name)
        else:
            x, y, angle = (
                (at.x * whole.k, -at.y * whole.k, -at.angle)
                if at is not None
                else (0.0, 0.0, 0.0)
            )
            place = partial(_fixed, Affine2D().rotate(angle).translate(x, y))
        shapes.append(Shape(outline_of(piece.path), rgb, place))
    (left, low), (right, high) = whole.setting.low, whole.setting.high
    return shapes, [left * whole.k, right * whole.k, -low * whole.k, -high * whole.k]


def _moving(whole: Any, name: str, t: float) -> Any:
    m = whole.moment(t).matrix(name)
    return Affine2D.from_values(
        m.getScaleX(),
        m.getSkewY(),
        m.getSkewX(),
        m.getScaleY(),
        m.getTranslateX(),
        m.getTranslateY(),
    )


def _fixed(place: Any, t: float) -> Any:
    return place


def make(
    shapes: list[Shape], corners: list[float], times: list[float], path: Path | None
) -> float:
    """Draw and, with a path, encode; without one only draw. [s]"""
    mpl.rcParams["animation.ffmpeg_path"] = imageio_ffmpeg.get_ffmpeg_exe()
    start = time.perf_counter()
    figure = Figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100, facecolor="#F4E9D5")
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_aspect("equal")
    axes.set_xlim(corners[0], corners[1])
    axes.set_ylim(corners[2], corners[3])
    patches = [
        axes.add_patch(
            PathPatch(shape.outline, facecolor=shape.colour, edgecolor="#261E1A", linewidth=1.2)
        )
        for shape in shapes
    ]

    def move(index: int) -> list[PathPatch]:
        for shape, patch in zip(shapes, patches, strict=True):
            patch.set_transform(shape.place(times[index]) + axes.transData)
        return patches

    if path is None:
        for index in range(DRAWN):
            move(index * len(times) // DRAWN)
            figure.canvas.draw()
        return (time.perf_counter() - start) / DRAWN
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
    writer = FFMpegWriter(fps=FPS, codec=ENCODER, extra_args=words)
    FuncAnimation(figure, move, frames=len(times), blit=False, cache_frame_data=False).save(
        path, writer=writer
    )
    return time.perf_counter() - start


def measure(name: str, variant: str | None) -> None:
    label = f"{name} {variant or ''}".strip()
    motion = animator.run(animator.read(SCENES / f"{name}.yaml", variant))
    film = animator.draw(motion, animator.examine(motion), size=SIZE, fps=FPS, seconds=SECONDS)
    begins = float(motion.times[motion.begins])
    span = float(motion.times[-1]) - begins
    times = [begins + (index / FPS) % max(span, 1 / FPS) for index in range(COUNT)]
    shapes, corners = shapes_of(motion)
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
        theirs = make(shapes, corners, times, folder / "theirs.mp4")
        their_drawing = make(shapes, corners, times, None)
        if "--keep" in sys.argv:
            (folder / "theirs.mp4").rename(f"{name} by matplotlib.mp4")
    keep("matplotlib", label, "outlines", len(shapes), "1")
    keep("matplotlib", label, "our film whole", ours, "s")
    keep("matplotlib", label, "our encoding, pictures ready", our_encoding, "s")
    keep("matplotlib", label, "its film whole", theirs, "s")
    keep("matplotlib", label, "our drawing", our_drawing * 1e3, "ms")
    keep("matplotlib", label, "its drawing", their_drawing * 1e3, "ms")
    keep("matplotlib", label, "whole, times faster", theirs / ours, "1", ">= 2")
    keep(
        "matplotlib", label, "drawing, times faster", their_drawing / our_drawing, "1", ">= 1.5"
    )


if __name__ == "__main__":
    measure("heron", None)
    measure("carousel", "band")
