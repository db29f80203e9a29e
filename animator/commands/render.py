"""The command ``render``: a film."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

import animator
from animator.commands._common import (
    DRAFT,
    FPS,
    LOOK,
    OUT,
    PICTURE_SIZE,
    QUIET,
    SCENE,
    SECONDS,
    VARIANT,
    default_name,
    drawing_library,
    examined,
    example,
    film_ways,
    options,
    progress_bar,
    read_piece,
    span_of,
    told,
)
from animator.problems import RunError
from animator.registry import nearest

if TYPE_CHECKING:
    from animator.pictures.film import Look
    from animator.scene.model import Scene


@click.command(short_help="Make a film.")
@options(
    SCENE,
    OUT,
    VARIANT,
    PICTURE_SIZE,
    FPS,
    SECONDS,
    DRAFT,
    LOOK,
    click.option(
        "--shot", metavar="NAME", help="One of the scene's shots; left out, the whole run."
    ),
    QUIET,
)
@example(
    "  animator render scenes/heron.yaml --variant fast -o heron.mp4 --size 1920x1080 --fps 60"
)
def render(
    scene: Path,
    output: Path | None,
    variant: str | None,
    size: tuple[int, int] | None,
    fps: float | None,
    seconds: float | None,
    draft: bool,
    look: Look | None,
    shot: str | None,
    quiet: bool,
) -> int:
    """Make a film: .gif, .mp4, or a folder of numbered pictures.

    It goes round and round where the piece does. Marks show where it slips, jams, floats or stalls.
    """
    piece = read_piece(scene, variant)
    path = output or default_name(piece, ".gif")
    size, fps, is_gif = film_ways(path, size, fps, draft)
    chosen = _shot(piece, shot)
    with drawing_library():
        from animator.pictures.film import Film
    motion = animator.run(piece, **span_of(piece, draft))
    report = examined(motion, draft)
    film = Film(
        motion, piece, report, look, size, fps, seconds, "thrifty" if is_gif else "rich", chosen
    )
    with progress_bar(path.name, quiet) as progress:
        animator.save(film, path, fps=fps, draft=draft, progress=progress)
    return told(path, [report], quiet)


def _shot(scene: Scene, name: str | None) -> Any:
    if name is None:
        return None
    if name not in scene.shots:
        meant = nearest(name, scene.shots)
        known = ", ".join(f"'{each}'" for each in scene.shots) or "none"
        raise RunError(
            f"{scene.file} has no shot '{name}'; "
            + (f"did you mean '{meant}'?" if meant else f"it has {known}")
        )
    return scene.shots[name]
