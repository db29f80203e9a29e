"""The command ``parts``: what a scene can say."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from animator.commands._common import (
    columns_wide,
    example,
)
from animator.problems import RunError
from animator.registry import nearest

if TYPE_CHECKING:
    pass


@click.command(short_help="List and explain what a scene can say.")
@click.argument("name", required=False)
@example("  animator parts follower\n  animator parts units")
def parts(name: str | None) -> None:
    """List what a scene can be made of, a line and an example each, or explain one kind of part or one topic."""
    from animator.parts._contract import PARTS
    from animator.scene.kinds import first_line, tell_kind
    from animator.scene.topics import TOPICS, find_topic, tell_topic

    if name is None:
        width = max(map(len, [*PARTS, *TOPICS])) + 2
        for kind, cls in PARTS.items():
            click.echo(f"{kind.ljust(width)}{first_line(cls)}")
            click.echo(f"{' ' * width}{cls.as_written}")
        click.echo("\nBesides the kinds:")
        for word, topic in TOPICS.items():
            click.echo(f"{word.ljust(width)}{topic.summary}.")
        return
    wanted = " ".join(name.replace("_", " ").split()).lower()
    trade = {word: kind for kind, cls in PARTS.items() for word in cls.also_called}
    kind = wanted if wanted in PARTS else trade.get(wanted, "")
    if not kind and (found := find_topic(wanted)):
        lines = tell_topic(found, columns_wide())
    elif kind:
        lines = tell_kind(kind, columns_wide())
    else:
        known = [
            *PARTS,
            *trade,
            *TOPICS,
            *(word for each in TOPICS.values() for word in each.words),
        ]
        meant = nearest(wanted, known)
        meant = trade.get(meant or "", meant)
        raise RunError(
            f"neither a kind of part nor a topic is called '{name}'; "
            + (f"did you mean '{meant}'?" if meant else "'animator parts' lists them all")
        )
    for line in lines:
        click.echo(line)
