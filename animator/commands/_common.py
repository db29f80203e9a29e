"""What several commands share: options, reading a piece, saying how far it is and what was made."""

from __future__ import annotations

import inspect
import math
import re
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Literal, TypeVar

import click

import animator
from animator.outputs.presets import PRESETS
from animator.problems import Problem, RunError, SceneError
from animator.registry import nearest
from animator.scene.shots import BACKDROPS

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.outputs._contract import Samples
    from animator.outputs.sound import Score
    from animator.scene.model import Scene

    Kind = click.ParamType[Any]  # newer releases of click tell their checkers what is read
else:
    Kind = click.ParamType

DONE, FAULTY, REFUSED, OUR_FAULT = 0, 1, 2, 3
SMALLEST, LARGEST = 64, 7680  # px; a thumbnail, and twice a 4K screen's width across
MOST_PIXELS = 7680 * 4320
FASTEST, LONGEST = 240.0, 600.0  # pictures a second; s
DRAFT_SIZE, DRAFT_FPS = (480, 270), 20.0  # divides a GIF's hundredths of a second
LEAST_BYTES = 1000  # not even an empty plate is smaller
STILL_SIZE = (1600, 900)
Command = TypeVar("Command", bound=Callable[..., Any])


class Size(Kind):
    """Width and height, ``1280x720``."""

    name = "WxH"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, int]:
        """Read the two numbers and see that a picture can have them."""
        if isinstance(value, tuple):
            return value
        found = re.fullmatch(r"([0-9]{1,9})\s*[xX×]\s*([0-9]{1,9})", str(value).strip())
        if not found:
            self.fail(
                f"'{value}' is no size; write width and height, for example 1280x720",
                param,
                ctx,
            )
        width, height = int(found[1]), int(found[2])
        if (
            min(width, height) < SMALLEST
            or max(width, height) > LARGEST
            or width * height > MOST_PIXELS
        ):
            self.fail(
                f"a picture of {width} x {height} can't be made; each side may have {SMALLEST} to {LARGEST} px, for example 1280x720",
                param,
                ctx,
            )
        return width, height


class Scale(Kind):
    """How large a drawing is, ``1:2``."""

    name = "1:N"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read it: drawing over piece."""
        if isinstance(value, float):
            return value
        from animator.pictures.sheets.paper import parse_scale
        from animator.units import Wrong

        try:
            return parse_scale(str(value))
        except Wrong as wrong:
            self.fail(f"{wrong.what}; write {wrong.write}", param, ctx)


class Positive(Kind):
    """A number above zero and not above a sensible most."""

    name = "number"

    def __init__(self, most: float, what: str) -> None:
        self.most, self.what = most, what

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the number."""
        try:
            number = float(value)
        except ValueError:
            self.fail(f"'{value}' is no number of {self.what}", param, ctx)
        if not 0 < number <= self.most:
            self.fail(
                f"{value} {self.what} can't be; more than 0 and at most {self.most:g} are possible",
                param,
                ctx,
            )
        return number


class Bytes(Kind):
    """A number of bytes, ``5MB`` or ``800 kB``."""

    name = "5MB"
    UNITS: ClassVar[Mapping[str, float]] = {"": 1, "b": 1, "kb": 1e3, "mb": 1e6, "gb": 1e9}

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> int:
        """Read the number and its unit."""
        if isinstance(value, int):
            return value
        found = re.fullmatch(
            r"([0-9]{1,12}(?:\.[0-9]{1,6})?)\s*([a-zA-Z]*)", str(value).strip()
        )
        if not found or found[2].lower() not in self.UNITS:
            self.fail(
                f"'{value}' is no number of bytes; write for example 5MB or 800kB", param, ctx
            )
        count = int(float(found[1]) * self.UNITS[found[2].lower()])
        if count < LEAST_BYTES:
            self.fail(f"no film is as small as {value}; write for example 800kB", param, ctx)
        return count


def example(text: str) -> Callable[[Command], Command]:
    """Show an example at the end of a command's help."""

    def add(command: Command) -> Command:
        command.__doc__ = (
            f"{inspect.cleandoc(command.__doc__ or '')}\n\n\b\nFor example:\n{text}"
        )
        return command

    return add


def options(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    def add(command: Command) -> Command:
        for option in reversed(options):
            command = option(command)
        return command

    return add


SCENE = click.argument("scene", type=click.Path(path_type=Path))
OUT = click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where to; the ending chooses the format.",
)
QUIET = click.option("-q", "--quiet", is_flag=True, help="Say nothing but what is wrong.")
VARIANT = click.option(
    "--variant", metavar="NAME", help="Which variant; left out, the piece as drawn."
)
PICTURE_SIZE = click.option(
    "--size", type=Size(), help="Width and height in pixels, for example 1280x720."
)
SCALE = click.option(
    "--scale",
    type=Scale(),
    help="How large it prints, for example 1:2; left out, the largest round scale that fits.",
)
FPS = click.option(
    "--fps", type=Positive(FASTEST, "pictures a second"), help="Pictures a second."
)
SECONDS = click.option(
    "--seconds", type=Positive(LONGEST, "seconds"), help="Length of the film."
)
DRAFT = click.option(
    "--draft", is_flag=True, help="Small and quick, to see whether it goes at all."
)
MAX_SIZE = click.option(
    "--max-size",
    type=Bytes(),
    help="Most the file may have, for example 5MB; what is given up for it is told.",
)
FOR = click.option(
    "--for",
    "purpose",
    type=click.Choice(list(PRESETS)),
    help="; ".join(f"{name}: {preset.says}" for name, preset in PRESETS.items()) + ".",
)
BACKDROP = click.option(
    "--backdrop",
    type=click.Choice(BACKDROPS),
    help="What it stands on: the bench by day, in the evening, paper alone, or nothing.",
)
SCALE_BAR = click.option(
    "--scale-bar", is_flag=True, help="Lay a rule beside the piece, true to its scale."
)
LOOK = click.option(
    "--look",
    type=click.Choice(["client", "bench"]),
    help="client: the piece alone; bench: with what is found, marked where it happens.",
)


def read_piece(path: Path, variant: str | None) -> Scene:
    """Read and put together one variant; reading itself loads nothing heavy."""
    from animator.scene import read

    try:
        scene = read(path, variant)
    except ValueError as error:
        raise unknown_variant(path, variant, error) from None
    return assemble(scene)


def assemble(scene: Scene) -> Scene:
    from animator.world.assembling import assemble

    return assemble(scene)


def unknown_variant(path: Path, variant: str | None, error: ValueError) -> RunError:
    from animator.scene import read_all

    meant = nearest(variant or "", [name for name in read_all(path) if name is not None])
    return RunError(f"{error}; did you mean --variant '{meant}'?" if meant else str(error))


def default_name(scene: Scene, ending: str) -> Path:
    """Default name of an output: the scene's, and the variant's, in the current folder."""
    stem = Path(scene.file).stem
    if scene.variant:
        stem += "-" + scene.variant.replace(" ", "-")
    return Path(stem + ending)


@contextmanager
def progress_bar(label: str, is_quiet: bool) -> Iterator[Callable[[int, int], None]]:
    """Show how far a film is and how long it will still take, on a terminal only."""
    if is_quiet or not sys.stderr.isatty():
        yield lambda done, total: None
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    with Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    ) as bar:
        task = bar.add_task(label, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


@contextmanager
def busy(label: str, is_quiet: bool) -> Iterator[None]:
    """Say what is being done while there is nothing to show yet, on a terminal only."""
    if is_quiet or not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(label):
        yield


def told(
    path: Path, reports: Iterable[Report], is_quiet: bool, remarks: Iterable[str] = ()
) -> int:
    """Say what was made, what is to be known of the file, and what is wrong with the piece; give the exit code."""
    from animator.findings.examining import is_passed

    is_fine = True
    lines = list(remarks)
    for report in reports:
        is_fine &= is_passed(report)
        name = f"{report.variant}: " if report.variant else ""
        lines += [f"{name}{finding.code}: {finding.sentence}" for finding in report.findings]
        lines += [
            f"{name}not met: {claim.text}" for claim in report.expectations if not claim.met
        ]
        if not report.trust.ok:
            lines.append(f"{name}not to be trusted: {report.trust.sentence}")
    if not is_quiet:
        click.echo(f"{path}")
        for line in lines:
            click.echo(f"  {line}")
    return DONE if is_fine else FAULTY


def examined(motion: Motion, is_draft: bool = False) -> Report:
    """Say what the drawn run shows; for a piece that stands still also what would free it, since that is what its picture is for."""
    from animator.findings.examining import examine

    return examine(motion, mend=() if is_draft else ("jam", "stall"))


def span_of(piece: Scene, is_draft: bool) -> dict[str, float]:
    """A draft runs one turn: it is there to show whether the piece goes at all."""
    is_longer = piece.run is None or (piece.run.angle or 0.0) > 2 * math.pi
    return {"turns": 1.0} if is_draft and is_longer else {}


@dataclass(frozen=True)
class FilmWays:
    """How a film is to be made: ``seconds`` None for the film's own length, but never longer than ``longest``; ``max_bytes`` None for no limit."""

    path: Path
    size: tuple[int, int]
    fps: float
    style: Literal["rich", "thrifty"]
    seconds: float | None = None
    longest: float | None = None
    max_bytes: int | None = None
    is_draft: bool = False

    def save(
        self, make: Callable[..., Any], scene: Scene, is_quiet: bool, score: Score | None = None
    ) -> tuple[Any, tuple[str, ...]]:
        """Draw and write a film; give it, and what is to be said of the file.

        Parameters
        ----------
        make
            Makes the film: (size, fps, seconds, style) -> film.
        scene
            What it is of.
        is_quiet
            Show no progress.
        score
            What is to be heard.
        """
        film = make(self.size, self.fps, self.seconds, self.style)
        seconds = self.seconds
        if self.longest is not None and film.frame_count / self.fps > self.longest:
            seconds = self.longest
            film = make(self.size, self.fps, seconds, self.style)

        def again(size: tuple[int, int], fps: float) -> Any:
            return make(size, fps, seconds, self.style)

        with progress_bar(self.path.name, is_quiet) as progress:
            saved = animator.save(
                film,
                self.path,
                fps=self.fps,
                draft=self.is_draft,
                progress=progress,
                title=scene.title,
                scene=scene_name(scene),
                score=score,
                max_bytes=self.max_bytes,
                again=again,
            )
        cut = (
            (f"cut to {self.longest:g} s",)
            if seconds != self.seconds and seconds is not None
            else ()
        )
        return film, (*cut, *saved.remarks)


def scene_name(scene: Scene) -> str:
    """Name of a scene and its variant, as a file tells it: never a path."""
    stem = Path(scene.file).stem
    return f"{stem}, {scene.variant}" if scene.variant else stem


def film_ways(
    path: Path | None,
    default: Callable[[str], Path],
    size: tuple[int, int] | None,
    fps: float | None,
    seconds: float | None,
    is_draft: bool,
    purpose: str | None = None,
    max_bytes: int | None = None,
) -> FilmWays:
    """Settle how a film is made, and say before the work begins if it can't be written there.

    Parameters
    ----------
    path
        Where to; None takes what ``default`` gives for an ending.
    default
        Ending -> path.
    size, fps, seconds, max_bytes
        As asked for; None leaves the choice to the purpose, and then to the format.
    is_draft
        Small and quick.
    purpose
        One of the presets, or None.
    """
    from animator.outputs.saving import check_film

    preset = PRESETS[purpose] if purpose is not None else None
    path = path or default(preset.ending if preset is not None else ".gif")
    if preset is not None and preset.longest is not None and (seconds or 0) > preset.longest:
        raise RunError(
            f"--for {purpose} lasts at most {preset.longest:g} s, not {seconds:g}: give --seconds {preset.longest:g}"
        )
    if fps is not None:
        kind = check_film(path, fps)
    else:
        kind = check_film(path, DRAFT_FPS)
        fps = DRAFT_FPS if is_draft else kind.fps
    wanted = preset.size if preset is not None else None
    return FilmWays(
        path,
        size or wanted or (DRAFT_SIZE if is_draft else kind.size),
        fps,
        "thrifty" if kind.is_flat else "rich",
        seconds,
        preset.longest if preset is not None else None,
        max_bytes or (preset.most_bytes if preset is not None else None),
        is_draft,
    )


@contextmanager
def drawing_library() -> Iterator[None]:
    """Say in one sentence what is missing where the drawing library can't start."""
    try:
        yield
    except ImportError as trouble:
        raise RunError(
            f"a library for drawing can't start ({trouble}); install it again, or on Debian or Ubuntu: apt-get install libegl1 libgl1"
        ) from trouble


def check_picture(path: Path, endings: tuple[str, ...]) -> None:
    from animator.outputs.writing import check_place

    if path.suffix.lower() not in endings:
        raise RunError(
            f"{path.name}: this can be written as {' or '.join(endings)}; write {path.with_suffix(endings[0]).name}"
        )
    check_place(path)


def save_file(data: bytes, path: Path) -> None:
    from animator.outputs.writing import save_bytes

    save_bytes(data, path)


def columns_wide() -> int:
    """Columns to write in: the terminal's, but no longer lines than can be read."""
    return min(shutil.get_terminal_size((96, 24)).columns, 110)


def sound_of(scene: Scene) -> Samples | None:
    """Read a scene's sound, before the work begins; None where it has none."""
    if scene.sound is None:
        return None
    from animator.outputs.sound import read_sound

    try:
        return read_sound(scene.sound.path)
    except RunError as trouble:
        if scene.sound.place is None:
            raise
        raise SceneError([Problem(scene.sound.place, str(trouble))]) from None


def score_of(
    motion: Motion, report: Report, samples: Samples | None, has_clicks: bool
) -> Score | None:
    """Give what a film of a run lets hear: the scene's sound, and a click at each finding if asked for; None for nothing."""
    if samples is None and not has_clicks:
        return None
    from animator.outputs.sound import Score
    from animator.pictures.film import time_of

    sound = motion.scene.sound
    starts = 0.0 if sound is None or sound.starts is None else time_of(motion, sound.starts)
    clicks = tuple(f.from_s for f in report.findings if f.code != "seam") if has_clicks else ()
    return Score(samples, starts, clicks)


def save_poster(film: Any, motion: Motion, report: Report, path: Path) -> None:
    """Write the picture of a film that shows the piece best."""
    from animator.outputs._contract import is_clear
    from animator.outputs.png import picture_bytes
    from animator.pictures.poster import poster_number

    picture = film.frame(poster_number(film, motion, report))
    scene = motion.scene
    save_file(
        picture_bytes(
            picture, is_clear=is_clear(film), title=scene.title, scene=scene_name(scene)
        ),
        path,
    )
