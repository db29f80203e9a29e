"""The command ``still``: one picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

import animator
from animator.commands._common import (
    BACKDROP,
    LOOK,
    OUT,
    PICTURE_SIZE,
    QUIET,
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

if TYPE_CHECKING:
    from animator.pictures.film import Look


@click.command(short_help="Make one picture.")
@options(
    SCENE,
    OUT,
    VARIANT,
    click.option(
        "--at",
        "when",
        metavar="MOMENT",
        help="Degrees of the main shaft, '2 s' or '3 turns'; left out, the end of the run.",
    ),
)
@options(PICTURE_SIZE, LOOK, BACKDROP, SCALE_BAR, QUIET)
@example("  animator still scenes/heron.yaml --at 90 -o heron.png")
def still(
    scene: Path,
    output: Path | None,
    variant: str | None,
    when: str | None,
    size: tuple[int, int] | None,
    look: Look | None,
    backdrop: str | None,
    scale_bar: bool,
    quiet: bool,
) -> int:
    """Make one picture of one moment: .png."""
    piece = read_piece(scene, variant)
    moment = _moment(when)
    path = output or default_name(piece, ".png")
    check_picture(path, (".png",))
    with drawing_library():
        from animator.pictures.film import look_of
        from animator.pictures.film import still as draw_still
    from animator.findings.claims import sample_of

    motion = animator.run(piece)
    report = examined(motion)
    sample = len(motion.times) - 1 if moment is None else sample_of(motion, moment)
    if sample is None:
        raise RunError(f"the run is over before {when}: {motion.sentence}")
    chosen = look or look_of(motion, report, None)
    picture = draw_still(
        motion,
        report,
        float(motion.times[sample]),
        chosen,
        size or STILL_SIZE,
        backdrop=backdrop or "bench",
        scale_bar=scale_bar,
    )
    from animator.outputs.png import picture_bytes

    save_file(picture_bytes(picture), path)
    return told(path, [report], quiet)


def _moment(text: str | None) -> Any:
    if text is None:
        return None
    from animator.scene.shots import parse_moment
    from animator.units import Wrong

    try:
        return parse_moment(text)
    except Wrong as wrong:
        raise RunError(
            f"--at: {wrong.what}" + (f"; write {wrong.write}" if wrong.write else "")
        ) from None
