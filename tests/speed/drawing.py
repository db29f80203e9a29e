"""What a picture costs, 1080p in the client's look: ``python -m tests.speed.drawing``.

Two cabinets of thirty parts, both run with real forces: in one ten parts move, in the other all but a sill do. Each is drawn in this process, one
picture after the other, every one at another moment. Then 600 pictures of the busier one, all different, are drawn and encoded, and
compared with encoding the same pictures from memory (the run before it is a benchmark of its own). Last, a single 4K picture.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

import animator
from animator.outputs import save
from tests.speed.film import floor_by_pipe, floor_here
from tests.speed.films import InMemory
from tests.speed.table import keep

SIZE, FPS, COUNT = (1920, 1080), 60, 600
DRAWN = 60  # pictures drawn to time one
BIRD = "{shapes: [{outline: [[-9, 6], [-6, 14], [2, 17], [9, 13], [12, 5], [4, 1]], paint: PAINT}, {disc: 8, at: [9, 18], paint: PAINT}, {outline: [[12, 19], [18, 17], [12, 16]], paint: ochre}]}"
PAINTS = ("rose", "slate", "ochre", "cream", "reed", "pond")


def cabinet(lifts: int, standing: int) -> str:
    """Write a scene: one shaft, ``lifts`` cams with their followers and birds, ``standing`` birds on the lid."""
    lines = [
        "title: A flight of birds",
        "about: Many lifts on one shaft.",
        f"frame: {{width: {60 + 44 * max(lifts, 8)}, height: 200}}",
        "parts:",
        "  camshaft: {kind: shaft, at: [40, 60], material: steel 5}",
        "  handle: {kind: handle, on: camshaft, radius: 40, speed: 6 rpm, strength: 40 N}",
    ]
    for i in range(lifts):
        paint = PAINTS[i % len(PAINTS)]
        lines += [
            f"  cam {i}: {{kind: cam, on: camshaft, base radius: 16, phase: {i * 37 % 360}, programme: [{{rise: 10, over: 150}}, {{dwell: 30}}, {{fall: 10, over: 150}}, {{dwell: rest}}]}}",
            f"  lift {i}: {{kind: follower, follows: cam {i}, tip: {{roller diameter: 8}}, length: 90, guide: {{at: 60 above camshaft, length: 30, ideal: yes}}}}",
            f"  bird {i}: {{kind: figure, on: lift {i}.top, artwork: {BIRD.replace('PAINT', paint)}}}",
        ]
    for i in range(standing):
        paint = PAINTS[i % len(PAINTS)]
        at = 20 + i * (20 + 44 * max(lifts, 8)) / max(standing, 1)
        lines.append(
            f"  sill {i}: {{kind: figure, on: frame, at: [{at:.0f}, 128], artwork: {BIRD.replace('PAINT', paint)}}}"
        )
    return "\n".join([*lines, "run: 1.2 turns", ""])


def film_of(text: str, folder: Path, **ways: object) -> animator.pictures.film.Film:  # type: ignore[name-defined]
    """Run a scene and give its film in the client's look."""
    path = folder / "cabinet.yaml"
    path.write_text(text, encoding="utf-8")
    motion = animator.run(animator.read(path))
    return animator.draw(motion, None, look="client", **ways)


def a_picture(film: object) -> float:
    """Median of pictures drawn one after the other, at moments spread over the film. [ms]"""
    spans = []
    film.frame(0)  # type: ignore[attr-defined]
    for index in range(DRAWN):
        start = time.perf_counter()
        film.frame(1 + index * (film.distinct - 2) // DRAWN)  # type: ignore[attr-defined]
        spans.append((time.perf_counter() - start) * 1e3)
    return statistics.median(spans)


def main() -> None:
    """Measure and keep."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        few = film_of(cabinet(3, 19), folder, size=SIZE, fps=FPS, seconds=10.0)
        keep("drawing", "30 parts, 11 move", "a picture", a_picture(few), "ms", "<= 10")
        film = film_of(cabinet(9, 1), folder, size=SIZE, fps=FPS, seconds=10.0)
        keep("drawing", "30 parts, 29 move", "a picture", a_picture(film), "ms", "<= 26")
        assert film.distinct >= COUNT, film.distinct
        start = time.perf_counter()
        save(film, folder / "film.mp4", FPS)
        whole = time.perf_counter() - start
        ready = InMemory.of_film(film)
        floor = min(
            floor_here(ready, folder / "floor.mp4"), floor_by_pipe(ready, folder / "floor.mp4")
        )
        keep("drawing", "30 parts, 29 move", "drawing and encoding 600 pictures", whole, "s")
        keep(
            "drawing",
            "30 parts, 29 move",
            "drawing and encoding / floor",
            whole / floor,
            "1",
            "<= 2.2",
        )
        del ready
        large = film_of(cabinet(3, 19), folder, size=(3840, 2160), fps=FPS)
        start = time.perf_counter()
        large.frame(0)
        keep(
            "drawing", "30 parts, 11 move", "first 4K picture", time.perf_counter() - start, "s"
        )


if __name__ == "__main__":
    main()
