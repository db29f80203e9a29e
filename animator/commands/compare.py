"""The command ``compare``: a film of the variants side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from animator.commands._common import (
    DRAFT,
    FOR,
    FPS,
    MAX_SIZE,
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
    told,
    unknown_variant,
)
from animator.problems import RunError


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
@options(PICTURE_SIZE, FPS, SECONDS, DRAFT, FOR, MAX_SIZE, QUIET)
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
    purpose: str | None,
    max_size: int | None,
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
    ways = film_ways(
        output,
        lambda ending: Path(f"{scene.stem}-compared{ending}"),
        size,
        fps,
        seconds,
        draft,
        purpose,
        max_size,
    )
    with drawing_library():
        from animator.pictures.comparison import Comparison
    from animator.findings.examining import run_and_examine

    pairs = run_and_examine([assemble(scenes[name]) for name in names])
    columns = [(name, *pair) for name, pair in zip(names, pairs, strict=True)]

    def make(
        size: tuple[int, int],
        fps: float,
        seconds: float | None,
        style: Literal["rich", "thrifty"],
    ) -> Comparison:
        return Comparison(columns, size, fps, seconds, style)

    _, remarks = ways.save(make, scenes[None], quiet)
    return told(ways.path, [report for _, report in pairs], quiet, remarks)
