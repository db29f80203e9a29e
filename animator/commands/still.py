"""The command ``still``: one picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

import animator
from animator.commands._common import (
    BACKDROP,
    LOOK,
    OUT,
    PICTURE_SIZE,
    QUIET,
    SCALE,
    SCALE_BAR,
    SCENE,
    STILL_SIZE,
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
from animator.problems import RunError
from animator.registry import nearest

if TYPE_CHECKING:
    from animator.pictures.take import Look
    from animator.scene.model import Scene
    from animator.scene.shots import Event, When

ENDINGS = (".png", ".svg", ".pdf")
STANDS = ("jam", "stall")


@click.command(short_help="Make one picture.")
@options(
    SCENE,
    OUT,
    VARIANT,
    click.option(
        "--at",
        "when",
        metavar="MOMENT",
        help="Degrees of the main shaft, '2 s', '3 turns', or a finding: 'first jam'; left out, the end of the run.",
    ),
)
@options(PICTURE_SIZE, SCALE, LOOK, BACKDROP, SCALE_BAR, QUIET)
@example(
    "  animator still scenes/heron.yaml --at 90 -o heron.png\n"
    "  animator still scenes/mole.yaml --at 'first jam' --scale 1:2 -o mole.pdf"
)
def still(
    scene: Path,
    output: Path | None,
    variant: str | None,
    when: str | None,
    size: tuple[int, int] | None,
    scale: float | None,
    look: Look | None,
    backdrop: str | None,
    scale_bar: bool,
    quiet: bool,
) -> int:
    """Make one picture of one moment: .png, or as lines .pdf or .svg, true to scale on paper."""
    piece = read_piece(scene, variant)
    moment = _moment(when)
    path = output or default_name(piece, ".png")
    check_picture(path, ENDINGS)
    with drawing_library():
        from animator.pictures.film import look_of, still_page
        from animator.pictures.sheets.paper import scale_words
        from animator.pictures.shot_list import time_of
        from animator.pictures.vector import paper_unit, vector_still

    from animator.scene.shots import Moment

    motion = animator.run(piece)
    report = examined(motion)
    t = float(motion.times[-1])
    if isinstance(moment, Moment):
        from animator.findings.claims import sample_of

        sample = sample_of(motion, moment)
        if sample is None:
            raise RunError(f"the run is over before {when}: {motion.sentence}")
        t = float(motion.times[sample])
    elif moment is not None:
        t = time_of(motion, _named(moment, piece), report, at_plainest=True)
        if moment.code in STANDS and moment.offset is None:
            t = float(motion.times[-1])  # it is seen when all stands still, not when it begins
    chosen = look or look_of(motion, report, None)
    shape, ground = size or STILL_SIZE, backdrop or "bench"
    ending = path.suffix.lower()
    if ending == ".png":
        from animator.outputs.png import PIXELS_PER_INCH, picture_bytes

        page = still_page(motion, report, t, chosen, shape, False, ground, scale_bar)
        dots, words = PIXELS_PER_INCH, Path(piece.file).name
        if scale is not None:
            unit, _ = paper_unit(page.sheet.w, page.sheet.h, float(page.stand.k), scale)
            dots = shape[0] / (page.sheet.w * unit / 25.4)
            words += f", scale {scale_words(scale)}"
        data = picture_bytes(
            page.sheet.array,
            dots,
            is_clear=ground == "transparent",
            title=piece.title,
            scene=words,
        )
        save_file(data, path)
        return told(path, [report], quiet)
    drawn = vector_still(
        motion, report, t, chosen, shape, ending == ".svg", ground, scale_bar, scale
    )
    words = f"{Path(piece.file).name}, scale {scale_words(drawn.scale)}"
    if ending == ".svg":
        from animator.outputs.svg import svg_bytes

        save_file(svg_bytes(drawn.draw, drawn.w, drawn.h, drawn.unit, piece.title, words), path)
    else:
        from animator.outputs.pdf import page_bytes

        save_file(page_bytes(drawn.draw_page, *drawn.size, piece.title, words), path)
    return told(path, [report], quiet)


def _named(event: Event, piece: Scene) -> Event:
    """Find the part that a finding must be of."""
    if event.of is None:
        return event
    name = event.of.text
    if name not in piece.parts:
        meant = nearest(name, list(piece.parts))
        raise RunError(
            f"--at: no part is called '{name}'" + (f"; write '{meant}'" if meant else "")
        )
    return replace(event, part=name)


def _moment(text: str | None) -> When | None:
    if text is None:
        return None
    from animator.scene.shots import parse_when
    from animator.units import Wrong

    try:
        return parse_when(text)
    except Wrong as wrong:
        raise RunError(
            f"--at: {wrong.what}" + (f"; write {wrong.write}" if wrong.write else "")
        ) from None
