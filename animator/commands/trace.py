"""The command ``trace``: everything recorded, against time."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

import animator
from animator.commands._common import (
    OUT,
    QUIET,
    SCENE,
    VARIANT,
    check_picture,
    default_name,
    example,
    options,
    read_piece,
    save_file,
    told,
)

if TYPE_CHECKING:
    pass


@click.command(short_help="Write every recorded quantity against time.")
@options(SCENE, OUT, VARIANT, QUIET)
@example("  animator trace scenes/heron.yaml -o heron.csv")
def trace(scene: Path, output: Path | None, variant: str | None, quiet: bool) -> int:
    """Write every recorded quantity against time: .csv."""
    piece = read_piece(scene, variant)
    path = output or default_name(piece, ".csv")
    check_picture(path, (".csv",))
    from animator.findings.examining import examine
    from animator.findings.tracing import columns
    from animator.outputs.csv import table_bytes

    motion = animator.run(piece)
    save_file(table_bytes(columns(motion)), path)
    return told(path, [examine(motion)], quiet)
