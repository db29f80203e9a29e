"""Pictures into files: the ending of the name chooses the format, and nothing half-written ever stands under the name."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from animator.outputs import writing
from animator.outputs._contract import FORMATS, Format, Frames, Progress, Ways
from animator.outputs._fitting import Again, Fitting, byte_count
from animator.problems import RunError
from animator.registry import nearest

if TYPE_CHECKING:
    from animator.outputs.sound import Score


def format_for(path: Path) -> Format:
    """Find the film format by a name's ending; a name without one means a folder of numbered pictures.

    Raises
    ------
    RunError
        No film format has that ending.
    """
    ending = path.suffix.lower()
    if not ending or path.is_dir():
        return FORMATS["folder"]()
    if ending not in FORMATS:
        endings = [known for known in FORMATS if known.startswith(".")]
        meant = nearest(ending, endings)
        raise RunError(
            f"{path.name}: a film can't be made as {ending}; "
            + (
                f"write {path.stem}{meant}"
                if meant
                else f"it can be {', '.join(endings)}, or a folder (a name without ending)"
            )
        )
    return FORMATS[ending]()


def check_film(path: Path, fps: float) -> Format:
    """Say before the work begins that a film can't be written there; give its format if it can.

    Parameters
    ----------
    path
        Where the film is to go.
    fps
        Pictures a second.

    Raises
    ------
    RunError
        Unknown ending, more pictures a second than the format shows, missing encoder, missing or closed folder.
    """
    found = format_for(path)
    if found.top_rate is not None and fps > found.top_rate:
        raise RunError(
            f"{path.name}: this format shows at most {found.top_rate:g} pictures a second, not {fps:g}; give --fps {found.top_rate:g}"
        )
    found.check()
    if not found.is_folder:
        writing.check_place(path)
    return found


@dataclass(frozen=True)
class Saved:
    """What was written.

    ``byte_count``; ``size`` [px] and ``fps`` as written; ``remarks``: sentences about what the format can't do and what was given up for a smaller file.
    """

    byte_count: int
    size: tuple[int, int]
    fps: float
    remarks: tuple[str, ...] = ()


def save(
    frames: Frames,
    path: str | os.PathLike[str],
    fps: float | None = None,
    draft: bool = False,
    progress: Progress | None = None,
    *,
    title: str = "",
    scene: str = "",
    score: Score | None = None,
    max_bytes: int | None = None,
    again: Again | None = None,
) -> Saved:
    """Write a film, whole or not at all.

    Parameters
    ----------
    frames
        The pictures.
    path
        Where to; the ending chooses the format.
    fps
        Pictures a second, > 0; the film's own if not given. GIF shows up to 50.
    draft
        Quick rather than small and fine.
    progress
        Told (done, total) as the work goes on.
    title, scene
        What the file says of itself; empty says nothing.
    score
        What is to be heard; formats without sound say that they have none.
    max_bytes
        Most bytes the file (or folder) may have. What is given up for it is told.
    again
        Draws the film anew at another size and rate, which is sharper than making its pictures smaller.

    Raises
    ------
    RunError
        The folder, the disk or a missing encoder is in the way, or ``max_bytes`` can't be met.
    """
    rate = frames.fps if fps is None else fps
    if not rate > 0 or frames.distinct < 1 or frames.frame_count < 1:
        raise ValueError(
            f"not a film: {frames.frame_count} pictures, {frames.distinct} of them distinct, {rate:g} a second"
        )
    path = Path(path)
    found = check_film(path, rate)
    if max(frames.size) > found.largest_side:
        width, height = frames.size
        raise RunError(
            f"{path.name}: this format holds up to {found.largest_side} px a side, and {width} × {height} were asked for: give a smaller --size"
        )
    told = progress or _say_nothing
    ways = Ways(rate, draft, 0, title, scene)

    def write(part: Path, film: Frames, ways: Ways) -> None:
        if score is not None:
            ways = replace(ways, samples=score.laid_on(film, ways.fps))
        found.save(film, part, ways, told)

    film, given_up = frames, tuple[str, ...]()
    place = writing.folder_beside(path) if found.is_folder else writing.beside(path)
    with place as part:
        if max_bytes is None:
            write(part, frames, ways)
        else:
            fitting = Fitting(found, frames, ways, max_bytes, again, path.name)
            film, ways, given_up = fitting.meet(part, write)
        count = byte_count(part)
    if score is not None:
        ways = replace(ways, samples=score.laid_on(film, ways.fps))
    said = score.remarks(film, ways.fps) if score is not None and found.has_sound else ()
    return Saved(count, film.size, ways.fps, (*found.remarks(film, ways), *said, *given_up))


def _say_nothing(done: int, total: int) -> None:
    pass
