"""The command ``check``: what will happen and what to change."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from animator.commands._common import (
    DONE,
    FAULTY,
    QUIET,
    SCENE,
    VARIANT,
    busy,
    columns_wide,
    example,
    options,
    unknown_variant,
)

if TYPE_CHECKING:
    from animator.findings.report import Report


@click.command(short_help="Say what will happen and what to change.")
@options(SCENE, VARIANT)
@click.option("--all", "is_all", is_flag=True, help="Every variant.")
@click.option("--json", "is_json", is_flag=True, help="As JSON: one object, with --all a list.")
@click.option(
    "--verify",
    is_flag=True,
    help="Run again at half the step and tell by how much each measure changes.",
)
@options(QUIET)
@example("  animator check scenes/mole.yaml --variant fixed")
def check(
    scene: Path, variant: str | None, is_all: bool, is_json: bool, verify: bool, quiet: bool
) -> int:
    """Say what will happen and what to change: findings, mends that were tried, measures, expectations.

    Friction is never known exactly: the piece is run with the least, middling and the most friction of its ranges.
    Ends with 1 if an expectation isn't met, or the piece jams, stalls or can't be trusted.
    """
    if is_all and variant is not None:
        raise click.UsageError("--all checks every variant; leave out --variant")
    from animator.scene import read, read_all

    if is_all:
        read_all(scene)
    else:
        try:
            read(scene, variant)
        except ValueError as error:
            raise unknown_variant(scene, variant, error) from None
    from animator.findings.examining import check as check_one
    from animator.findings.examining import check_all, is_passed

    with busy(
        "running it with the least, middling and the most friction, and trying mends", quiet
    ):
        reports = check_all(scene, verify) if is_all else [check_one(scene, variant, verify)]
    if is_json:
        import json

        rows = [report.model_dump(mode="json") for report in reports]
        click.echo(
            json.dumps(
                rows if is_all else rows[0], indent=2, ensure_ascii=False, allow_nan=False
            )
        )
    elif not quiet:
        _print(reports)
    return DONE if all(map(is_passed, reports)) else FAULTY


STYLES: dict[str, dict[str, Any]] = {
    "title": {"bold": True},
    "heading": {"bold": True},
    "good": {"fg": "green"},
    "bad": {"fg": "red"},
    "plain": {},
}


def _print(reports: Iterable[Report]) -> None:
    from animator.findings.telling import tell

    width = columns_wide()
    for number, report in enumerate(reports):
        if number:
            click.echo()
        for sort, line in tell(report, width):
            if sort == "heading":
                click.echo()
            click.echo(click.style(line, **STYLES[sort]))
