"""The commands, one file each; a file is loaded when its command is asked for or listed."""

from __future__ import annotations

from importlib import import_module

import click

import animator
from animator.commands._common import example

NAMES = (
    "render",
    "compare",
    "storyboard",
    "still",
    "proposal",
    "play",
    "check",
    "trace",
    "parts",
    "schema",
)
"""In the order in which a maker meets them; each is the name of a module here and of the command in it."""


class Lazy(click.Group):
    """Commands that are loaded by name."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Give their names in the order in which a maker meets them."""
        return list(NAMES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one."""
        if cmd_name not in NAMES:
            return None
        found: click.Command = getattr(import_module(f"animator.commands.{cmd_name}"), cmd_name)
        return found


@click.group(
    cls=Lazy,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(animator.__version__, message="animator %(version)s")
@example("  animator check scenes/heron.yaml\n  animator render scenes/heron.yaml -o heron.mp4")
def commands() -> None:
    """Moving figures before they are cut: a text scene is built as rigid bodies, run with real forces and shown."""
