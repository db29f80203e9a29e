"""The command ``proposal``: one page for the client."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from animator.commands._common import (
    DRAFT,
    LOOK,
    MAX_SIZE,
    OUT,
    QUIET,
    SCENE,
    VARIANT,
    assemble,
    busy,
    check_picture,
    default_name,
    drawing_library,
    example,
    options,
    save_file,
    score_of,
    sound_of,
    told,
    unknown_variant,
)
from animator.outputs.presets import MAIL_BYTES

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.pictures.film import Look

ENDINGS = (".html", ".pdf")


@click.command(short_help="Make one page for the client: film, storyboard, findings.")
@options(
    SCENE,
    OUT,
    VARIANT,
    click.option("--maker", metavar="NAME", help="Whose work it is; left out, the scene's."),
    click.option("--client", metavar="NAME", help="For whom it is; left out, the scene's."),
    click.option(
        "--date", metavar="DATE", help="As it is to stand there; left out, the scene's."
    ),
    click.option(
        "--paper",
        type=click.Choice(["a4", "letter"]),
        default="a4",
        help="What a .pdf is printed on.",
    ),
    click.option("--alone", is_flag=True, help="Leave out the scene's other variants."),
    LOOK,
    MAX_SIZE,
    DRAFT,
    QUIET,
)
@example(
    "  animator proposal scenes/heron.yaml -o heron.html --client 'The ferry inn'\n  animator proposal scenes/mole.yaml --variant fixed -o mole.pdf"
)
def proposal(
    scene: Path,
    output: Path | None,
    variant: str | None,
    maker: str | None,
    client: str | None,
    date: str | None,
    paper: str,
    alone: bool,
    look: Look | None,
    max_size: int | None,
    draft: bool,
    quiet: bool,
) -> int:
    """Make one page that holds all a client wants to know: .html with the film in it, or .pdf without.

    It opens with a double click, loads nothing from anywhere, and is small enough for a letter by e-mail. What it says of the piece is what 'animator
    check' says.
    """
    from animator.findings.examining import (
        ORDER,
        read_for_check,
        run_and_check,
        run_and_examine,
    )
    from animator.scene import read_all

    scenes = read_all(scene)
    try:
        piece = read_for_check(scene, variant)
    except ValueError as error:
        raise unknown_variant(scene, variant, error) from None
    path = output or default_name(piece, "-proposal.html")
    check_picture(path, ENDINGS)
    samples = sound_of(piece)
    with drawing_library():
        from animator.proposals.making import Proposal
    with busy(
        "running it with the least, middling and the most friction, and trying mends", quiet
    ):
        checked = run_and_check(piece, () if draft else ORDER)
        others: list[tuple[str, Motion, Report]] = []
        names = [name for name in scenes if name is not None]
        if names and not alone:
            pairs = run_and_examine([assemble(scenes[name]) for name in names])
            others = [(name, *pair) for name, pair in zip(names, pairs, strict=True)]
    made = Proposal(
        checked,
        others,
        {"maker": maker, "client": client, "date": date},
        look,
        draft,
        max_size or MAIL_BYTES,
        score_of(checked.motion, checked.report, samples, False),
    )
    with busy(f"drawing {path.name}", quiet):
        data, remarks = made.paper(paper) if path.suffix.lower() == ".pdf" else made.page()
    save_file(data, path)
    return told(path, [checked.report], quiet, remarks)
