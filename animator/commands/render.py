"""The command ``render``: a film."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

import animator
from animator.commands._common import (
    BACKDROP,
    DRAFT,
    FOR,
    FPS,
    LOOK,
    MAX_SIZE,
    OUT,
    PICTURE_SIZE,
    QUIET,
    SCALE_BAR,
    SCENE,
    SECONDS,
    VARIANT,
    check_picture,
    default_name,
    drawing_library,
    examined,
    example,
    film_ways,
    options,
    read_piece,
    save_poster,
    score_of,
    sound_of,
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
    BACKDROP,
    SCALE_BAR,
    click.option(
        "--shot", metavar="NAME", help="One of the scene's shots; left out, the whole run."
    ),
    click.option(
        "--shots",
        "is_all",
        is_flag=True,
        help="All the scene's shots, one after another; a scene without any gets some made from its motion.",
    ),
    FOR,
    MAX_SIZE,
    click.option("--clicks", is_flag=True, help="Let each finding be heard as a click."),
    click.option(
        "--poster",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="Also the one picture that shows it best, as .png.",
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
    backdrop: str | None,
    scale_bar: bool,
    shot: str | None,
    is_all: bool,
    purpose: str | None,
    max_size: int | None,
    clicks: bool,
    poster: Path | None,
    quiet: bool,
) -> int:
    """Make a film: .gif, .mp4, .webm, .webp, .apng, or a folder of numbered pictures.

    It goes round and round where the piece does. Marks show where it slips, jams, floats or stalls.
    """
    piece = read_piece(scene, variant)
    ways = film_ways(
        output,
        lambda ending: default_name(piece, ending),
        size,
        fps,
        seconds,
        draft,
        purpose,
        max_size,
    )
    if poster is not None:
        check_picture(poster, (".png",))
    if shot is not None and is_all:
        raise RunError("--shot films one shot, --shots all of them: give one of the two")
    chosen = _shot(piece, shot)
    samples = sound_of(piece)
    with drawing_library():
        from animator.pictures.film import Film
    motion = animator.run(piece, **span_of(piece, draft))
    report = examined(motion, draft)
    if is_all:
        from animator.pictures.shot_list import shots_of

        chosen = shots_of(motion, report)

    def make(
        size: tuple[int, int],
        fps: float,
        seconds: float | None,
        style: Literal["rich", "thrifty"],
    ) -> Film:
        return Film(
            motion, piece, report, look, size, fps, seconds, style, chosen, backdrop, scale_bar
        )

    film, remarks = ways.save(make, piece, quiet, score_of(motion, report, samples, clicks))
    if poster is not None:
        save_poster(film, motion, report, poster)
    return told(ways.path, [report], quiet, (*film.left_out, *remarks))


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
