"""The command ``schema``: the scene language for editors."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animator.commands._common import (
    OUT,
    QUIET,
    check_picture,
    example,
    options,
    save_file,
)

if TYPE_CHECKING:
    pass


@click.command(short_help="Print the scene language's JSON Schema.")
@options(OUT, QUIET)
@example("  animator schema -o animator.schema.json")
def schema(output: Path | None, quiet: bool) -> None:
    """Print the JSON Schema of the scene language, for editors that complete and check as you type."""
    import json

    from animator.scene.schema import schema as make

    text = json.dumps(make(), indent=1, ensure_ascii=False)
    if output is None:
        click.echo(text)
        return
    check_picture(output, (".json",))
    save_file((text + "\n").encode("utf-8"), output)
    if not quiet:
        click.echo(f"{output}")
