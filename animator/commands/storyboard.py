"""The command ``storyboard``: sheets of key moments."""

from __future__ import annotations

from pathlib import Path

import click

import animator
from animator.commands._common import (
    LARGEST,
    OUT,
    QUIET,
    SCALE,
    SCENE,
    VARIANT,
    Positive,
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
from animator.problems import RunError

MOST_DPI, SCREEN_DPI = 1200.0, 150.0
ENDINGS = (".png", ".pdf")


@click.command(short_help="Make a sheet of key moments.")
@options(
    SCENE,
    OUT,
    VARIANT,
    click.option(
        "--paper",
        type=click.Choice(["a4", "a3", "letter"]),
        default="a4",
        help="What it is printed on.",
    ),
    click.option("--portrait", is_flag=True, help="Upright sheets."),
    SCALE,
    click.option("--maker", metavar="NAME", help="For the title block; left out, the scene's."),
    click.option(
        "--client", metavar="NAME", help="For the title block; left out, the scene's."
    ),
    click.option("--date", metavar="TEXT", help="For the title block; left out, the scene's."),
    click.option(
        "--dpi", type=Positive(MOST_DPI, "dots an inch"), help="Of a PNG; left out, 150."
    ),
    click.option(
        "--width",
        type=click.IntRange(400, LARGEST),
        help="Of a PNG, in pixels, in place of --dpi.",
    ),
    QUIET,
)
@example(
    "  animator storyboard scenes/heron.yaml -o heron.pdf\n"
    "  animator storyboard scenes/heron.yaml --paper a3 --scale 1:2 --client 'The ferry inn' -o heron.pdf"
)
def storyboard(
    scene: Path,
    output: Path | None,
    variant: str | None,
    paper: str,
    portrait: bool,
    scale: float | None,
    maker: str | None,
    client: str | None,
    date: str | None,
    dpi: float | None,
    width: int | None,
    quiet: bool,
) -> int:
    """Make sheets of numbered moments with their times and handle angles, true to scale: .pdf, or .png.

    The moments are the stills that the scene's shots name, or else chosen from the motion. Several sheets are several pages of
    a PDF, or several PNG files with numbers.
    """
    if dpi is not None and width is not None:
        raise RunError("--dpi and --width both say how large the PNG is; leave one out")
    piece = read_piece(scene, variant)
    path = output or default_name(piece, "-storyboard.png")
    check_picture(path, ENDINGS)
    with drawing_library():
        from animator.pictures.sheets.paper import paper_of
        from animator.pictures.sheets.told import panel_moments
        from animator.pictures.storyboard import Storyboard
    motion = animator.run(piece)
    report = examined(motion)
    board = Storyboard(
        motion,
        report,
        panel_moments(motion, report),
        paper_of(paper, portrait),
        scale,
        maker,
        client,
        date,
    )
    if path.suffix.lower() == ".pdf":
        from animator.outputs.pdf import pages_bytes

        draws = [board.page_drawer(n) for n in range(board.sheet_count)]
        save_file(pages_bytes(draws, *board.page, piece.title, board.subject), path)
        return told(path, [report], quiet)
    from animator.outputs.png import picture_bytes

    dots = dpi or SCREEN_DPI
    if max(board.page) / 25.4 * dots > LARGEST:
        most = int(LARGEST * 25.4 / max(board.page))
        raise RunError(
            f"--dpi {dots:g}: a picture so large can't be made; the most is --dpi {most}"
        )
    if width is not None:
        dots = width / (board.page[0] / 25.4)
    paths = numbered(path, board.sheet_count)
    for n, each in enumerate(paths):
        sheet = board.sheet(width, n, dots)
        save_file(
            picture_bytes(sheet.array, dots, title=piece.title, scene=board.subject), each
        )
    for each in paths[:-1]:
        told(each, [], quiet)
    return told(paths[-1], [report], quiet)


def numbered(path: Path, count: int) -> list[Path]:
    """Give a name for each sheet: the name itself, or with ``-1``, ``-2`` ...

    Examples
    --------
    >>> [str(path) for path in numbered(Path("heron.png"), 2)]
    ['heron-1.png', 'heron-2.png']
    """
    if count == 1:
        return [path]
    return [path.with_name(f"{path.stem}-{n + 1}{path.suffix}") for n in range(count)]
