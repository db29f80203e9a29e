"""The command ``storyboard``: a sheet of key moments."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

import animator
from animator.commands._common import (
    LARGEST,
    OUT,
    QUIET,
    SCENE,
    VARIANT,
    check_picture,
    default_name,
    drawing_library,
    examined,
    example,
    options,
    read_piece,
    save_file,
    told,
)

if TYPE_CHECKING:
    pass


@click.command(short_help="Make a sheet of key moments.")
@options(
    SCENE,
    OUT,
    VARIANT,
    click.option(
        "--width", type=click.IntRange(400, LARGEST), default=1754, help="Of a PNG, in pixels."
    ),
    QUIET,
)
@example("  animator storyboard scenes/heron.yaml -o heron.pdf")
def storyboard(
    scene: Path, output: Path | None, variant: str | None, width: int, quiet: bool
) -> int:
    """Make a sheet of numbered key moments with their times and handle angles: .png or .pdf."""
    piece = read_piece(scene, variant)
    path = output or default_name(piece, "-storyboard.png")
    check_picture(path, (".png", ".pdf"))
    with drawing_library():
        from animator.pictures.storyboard import PAGE, Storyboard
    motion = animator.run(piece)
    report = examined(motion)
    sheet = Storyboard(motion, report)
    if path.suffix.lower() == ".pdf":
        from animator.outputs.pdf import page_bytes

        save_file(page_bytes(sheet.draw_page, *PAGE, title=piece.title), path)
    else:
        from animator.outputs.png import picture_bytes

        save_file(picture_bytes(sheet.sheet(width).array), path)
    return told(path, [report], quiet)
