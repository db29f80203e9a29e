"""The command ``compare``: a film of the variants side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

import animator
from animator.commands._common import (
    DRAFT,
    FPS,
    OUT,
    PICTURE_SIZE,
    QUIET,
    SCENE,
    SECONDS,
    assemble,
    drawing_library,
    example,
    film_ways,
    options,
    progress_bar,
    told,
    unknown_variant,
)
from animator.problems import RunError

if TYPE_CHECKING:
    pass


@click.command(short_help="Make a film of the variants side by side.")
@options(
    SCENE,
    OUT,
    click.option(
        "--variant",
        "variants",
        multiple=True,
        metavar="NAME",
        help="Which to compare, given once for each; left out, all.",
    ),
)
@options(PICTURE_SIZE, FPS, SECONDS, DRAFT, QUIET)
@example(
    "  animator compare scenes/carousel.yaml --variant band --variant chain -o carousel.mp4"
)
def compare(
    scene: Path,
    output: Path | None,
    variants: tuple[str, ...],
    size: tuple[int, int] | None,
    fps: float | None,
    seconds: float | None,
    draft: bool,
    quiet: bool,
) -> int:
    """Make a film of the variants side by side, on one clock and at one scale, with their counts beneath."""
    from animator.scene import read_all

    scenes = read_all(scene)
    known = [name for name in scenes if name is not None]
    for name in variants:
        if name not in known:
            raise unknown_variant(
                scene, name, ValueError(f"{scene.name} has no variant '{name}'")
            )
    names = list(variants) or known
    if not names:
        raise RunError(f"{scene.name} has no variants to compare; write some under 'variants:'")
    path = output or Path(f"{scene.stem}-compared.gif")
    size, fps, is_gif = film_ways(path, size, fps, draft)
    with drawing_library():
        from animator.pictures.comparison import Comparison
    from animator.findings.examining import run_and_examine

    pairs = run_and_examine([assemble(scenes[name]) for name in names])
    film = Comparison(
        [(name, *pair) for name, pair in zip(names, pairs, strict=True)],
        size,
        fps,
        seconds,
        "thrifty" if is_gif else "rich",
    )
    with progress_bar(path.name, quiet) as progress:
        animator.save(film, path, fps=fps, draft=draft, progress=progress)
    return told(path, [report for _, report in pairs], quiet)
