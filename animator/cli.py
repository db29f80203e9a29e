"""The command ``animator``: reads arguments, calls the program, prints. What isn't needed to read the arguments is loaded late."""

from __future__ import annotations

import inspect
import math
import os
import re
import shutil
import sys
import traceback
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

import animator
from animator.problems import RunError, SceneError
from animator.registry import nearest

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.pictures.film import Look
    from animator.scene.model import Scene

    Kind = click.ParamType[Any]  # newer releases of click tell their checkers what is read
else:
    Kind = click.ParamType

DONE, FAULTY, REFUSED, OUR_FAULT = 0, 1, 2, 3
SMALLEST, LARGEST = 64, 7680  # px; a thumbnail, and twice a 4K screen's width across
MOST_PIXELS = 7680 * 4320
FASTEST, LONGEST = 240.0, 600.0  # pictures a second; s
GIF_SIZE, FILM_SIZE, DRAFT_SIZE = (800, 450), (1280, 720), (480, 270)
GIF_FPS, FILM_FPS, DRAFT_FPS = (
    25.0,
    30.0,
    20.0,
)  # a GIF's pictures last whole hundredths of a second
STILL_SIZE = (1600, 900)
Command = TypeVar("Command", bound=Callable[..., Any])


def main() -> NoReturn:
    """Run the command and end with its exit code: 0 done, 1 done but the piece has a fault, 2 refused, 3 our own fault."""
    sys.exit(_run(sys.argv[1:]))


def _run(words: Sequence[str]) -> int:
    try:
        code = commands.main(args=list(words), prog_name="animator", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else DONE
    except SceneError as error:
        _complain(str(error))
    except RunError as error:
        _complain(str(error))
    except click.UsageError as error:
        path = error.ctx.command_path if error.ctx is not None else "animator"
        _complain(f"{error.format_message()}\n'{path} --help' shows how it is used")
    except click.ClickException as error:
        _complain(error.format_message())
    except (click.Abort, KeyboardInterrupt):
        _complain("stopped")
    except BrokenPipeError:
        # whoever was reading has gone, so what is left to say goes nowhere
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except Exception:
        _complain(
            f"This is our own fault, not yours: animator {animator.__version__} has stumbled. What follows tells us where; please send it with the scene.\n"
        )
        traceback.print_exc()
        return OUR_FAULT
    return REFUSED


def _complain(text: str) -> None:
    click.echo(text, err=True)


# ---------------------------------------------------------------- what several commands share
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


def _example(text: str) -> Callable[[Command], Command]:
    """Show an example at the end of a command's help."""

    def add(command: Command) -> Command:
        command.__doc__ = (
            f"{inspect.cleandoc(command.__doc__ or '')}\n\n\b\nFor example:\n{text}"
        )
        return command

    return add


def _options(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
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
FPS = click.option(
    "--fps", type=Positive(FASTEST, "pictures a second"), help="Pictures a second."
)
SECONDS = click.option(
    "--seconds", type=Positive(LONGEST, "seconds"), help="Length of the film."
)
DRAFT = click.option(
    "--draft", is_flag=True, help="Small and quick, to see whether it goes at all."
)
LOOK = click.option(
    "--look",
    type=click.Choice(["client", "bench"]),
    help="client: the piece alone; bench: with what is found, marked where it happens.",
)


class Ordered(click.Group):
    """Commands listed in the order in which a maker meets them, not by their letters."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Give their names in the order of this file."""
        return list(self.commands)


@click.group(
    cls=Ordered,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(animator.__version__, message="animator %(version)s")
@_example(
    "  animator check scenes/heron.yaml\n  animator render scenes/heron.yaml -o heron.mp4"
)
def commands() -> None:
    """Moving figures before they are cut: a text scene is built as rigid bodies, run with real forces and shown."""


def _read(path: Path, variant: str | None) -> Scene:
    """Read and put together one variant; reading itself loads nothing heavy."""
    from animator.scene import read

    try:
        scene = read(path, variant)
    except ValueError as error:
        raise _unknown_variant(path, variant, error) from None
    return _assemble(scene)


def _assemble(scene: Scene) -> Scene:
    from animator.world.assembling import assemble

    return assemble(scene)


def _unknown_variant(path: Path, variant: str | None, error: ValueError) -> RunError:
    from animator.scene import read_all

    meant = nearest(variant or "", [name for name in read_all(path) if name is not None])
    return RunError(f"{error}; did you mean --variant '{meant}'?" if meant else str(error))


def _name(scene: Scene, ending: str) -> Path:
    """Default name of an output: the scene's, and the variant's, in the current folder."""
    stem = Path(scene.file).stem
    if scene.variant:
        stem += "-" + scene.variant.replace(" ", "-")
    return Path(stem + ending)


@contextmanager
def _progress(label: str, is_quiet: bool) -> Iterator[Callable[[int, int], None]]:
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
def _busy(label: str, is_quiet: bool) -> Iterator[None]:
    """Say what is being done while there is nothing to show yet, on a terminal only."""
    if is_quiet or not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(label):
        yield


def _told(path: Path, reports: Iterable[Report], is_quiet: bool) -> int:
    """Say what was made and what is wrong with the piece; give the exit code."""
    from animator.findings.examining import is_passed

    is_fine = True
    lines = []
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


def _examined(motion: Motion, is_draft: bool = False) -> Report:
    """Say what the drawn run shows; for a piece that stands still also what would free it, since that is what its picture is for."""
    from animator.findings.examining import examine

    return examine(motion, mend=() if is_draft else ("jam", "stall"))


# ---------------------------------------------------------------- pictures
@commands.command(short_help="Make a film.")
@_options(
    SCENE,
    OUT,
    VARIANT,
    PICTURE_SIZE,
    FPS,
    SECONDS,
    DRAFT,
    LOOK,
    click.option(
        "--shot", metavar="NAME", help="One of the scene's shots; left out, the whole run."
    ),
    QUIET,
)
@_example(
    "  animator render scenes/heron.yaml --variant fast -o heron.mp4 --size 1920x1080 --fps 60"
)
def render(
    scene: Path,
    output: Path | None,
    variant: str | None,
    size: tuple[int, int] | None,
    fps: float | None,
    seconds: float | None,
    draft: bool,
    look: Look | None,
    shot: str | None,
    quiet: bool,
) -> int:
    """Make a film: .gif, .mp4, or a folder of numbered pictures.

    It goes round and round where the piece does. Marks show where it slips, jams, floats or stalls.
    """
    piece = _read(scene, variant)
    path = output or _name(piece, ".gif")
    size, fps, is_gif = _film_ways(path, size, fps, draft)
    chosen = _shot(piece, shot)
    with _drawing_library():
        from animator.pictures.film import Film
    motion = animator.run(piece, **_span(piece, draft))
    report = _examined(motion, draft)
    film = Film(
        motion, piece, report, look, size, fps, seconds, "thrifty" if is_gif else "rich", chosen
    )
    with _progress(path.name, quiet) as progress:
        animator.save(film, path, fps=fps, draft=draft, progress=progress)
    return _told(path, [report], quiet)


def _span(piece: Scene, is_draft: bool) -> dict[str, float]:
    """A draft runs one turn: it is there to show whether the piece goes at all."""
    is_longer = piece.run is None or (piece.run.angle or 0.0) > 2 * math.pi
    return {"turns": 1.0} if is_draft and is_longer else {}


def _film_ways(
    path: Path, size: tuple[int, int] | None, fps: float | None, is_draft: bool
) -> tuple[tuple[int, int], float, bool]:
    """Settle size and rate, and say before the work begins if the film can't be written there."""
    from animator.outputs.saving import check_film

    is_gif = path.suffix.lower() == ".gif"
    size = size or (DRAFT_SIZE if is_draft else GIF_SIZE if is_gif else FILM_SIZE)
    fps = fps or (DRAFT_FPS if is_draft else GIF_FPS if is_gif else FILM_FPS)
    check_film(path, fps)
    return size, fps, is_gif


def _shot(scene: Scene, name: str | None) -> Any:
    if name is None:
        return None
    if name not in scene.shots:
        meant = nearest(name, scene.shots)
        known = ", ".join(f"'{each}'" for each in scene.shots) or "none"
        raise RunError(
            f"{scene.file} has no shot '{name}'; "
            + (f"did you mean '{meant}'?" if meant else f"it has {known}")
        )
    return scene.shots[name]


@contextmanager
def _drawing_library() -> Iterator[None]:
    """Say in one sentence what is missing where the drawing library can't start."""
    try:
        yield
    except ImportError as trouble:
        raise RunError(
            f"a library for drawing can't start ({trouble}); install it again, or on Debian or Ubuntu: apt-get install libegl1 libgl1"
        ) from trouble


@commands.command(short_help="Make a film of the variants side by side.")
@_options(
    SCENE,
    OUT,
    click.option(
        "--variant",
        "variants",
        multiple=True,
        metavar="NAME",
        help="Which to compare, given once for each; left out, all.",
    ),
)
@_options(PICTURE_SIZE, FPS, SECONDS, DRAFT, QUIET)
@_example(
    "  animator compare scenes/carousel.yaml --variant band --variant chain -o carousel.mp4"
)
def compare(
    scene: Path,
    output: Path | None,
    variants: tuple[str, ...],
    size: tuple[int, int] | None,
    fps: float | None,
    seconds: float | None,
    draft: bool,
    quiet: bool,
) -> int:
    """Make a film of the variants side by side, on one clock and at one scale, with their counts beneath."""
    from animator.scene import read_all

    scenes = read_all(scene)
    known = [name for name in scenes if name is not None]
    for name in variants:
        if name not in known:
            raise _unknown_variant(
                scene, name, ValueError(f"{scene.name} has no variant '{name}'")
            )
    names = list(variants) or known
    if not names:
        raise RunError(f"{scene.name} has no variants to compare; write some under 'variants:'")
    path = output or Path(f"{scene.stem}-compared.gif")
    size, fps, is_gif = _film_ways(path, size, fps, draft)
    with _drawing_library():
        from animator.pictures.comparison import Comparison
    from animator.findings.examining import run_and_examine

    pairs = run_and_examine([_assemble(scenes[name]) for name in names])
    film = Comparison(
        [(name, *pair) for name, pair in zip(names, pairs, strict=True)],
        size,
        fps,
        seconds,
        "thrifty" if is_gif else "rich",
    )
    with _progress(path.name, quiet) as progress:
        animator.save(film, path, fps=fps, draft=draft, progress=progress)
    return _told(path, [report for _, report in pairs], quiet)


@commands.command(short_help="Make a sheet of key moments.")
@_options(
    SCENE,
    OUT,
    VARIANT,
    click.option(
        "--width", type=click.IntRange(400, LARGEST), default=1754, help="Of a PNG, in pixels."
    ),
    QUIET,
)
@_example("  animator storyboard scenes/heron.yaml -o heron.pdf")
def storyboard(
    scene: Path, output: Path | None, variant: str | None, width: int, quiet: bool
) -> int:
    """Make a sheet of numbered key moments with their times and handle angles: .png or .pdf."""
    piece = _read(scene, variant)
    path = output or _name(piece, "-storyboard.png")
    _check_picture(path, (".png", ".pdf"))
    with _drawing_library():
        from animator.pictures.storyboard import PAGE, Storyboard
    motion = animator.run(piece)
    report = _examined(motion)
    sheet = Storyboard(motion, report)
    if path.suffix.lower() == ".pdf":
        from animator.outputs.pdf import page_bytes

        _save(page_bytes(sheet.draw_page, *PAGE, title=piece.title), path)
    else:
        from animator.outputs.png import picture_bytes

        _save(picture_bytes(sheet.sheet(width).array), path)
    return _told(path, [report], quiet)


@commands.command(short_help="Make one picture.")
@_options(
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
@_options(PICTURE_SIZE, LOOK, QUIET)
@_example("  animator still scenes/heron.yaml --at 90 -o heron.png")
def still(
    scene: Path,
    output: Path | None,
    variant: str | None,
    when: str | None,
    size: tuple[int, int] | None,
    look: Look | None,
    quiet: bool,
) -> int:
    """Make one picture of one moment: .png."""
    piece = _read(scene, variant)
    moment = _moment(when)
    path = output or _name(piece, ".png")
    _check_picture(path, (".png",))
    with _drawing_library():
        from animator.pictures.film import look_of
        from animator.pictures.film import still as draw_still
    from animator.findings.claims import sample_of

    motion = animator.run(piece)
    report = _examined(motion)
    sample = len(motion.times) - 1 if moment is None else sample_of(motion, moment)
    if sample is None:
        raise RunError(f"the run is over before {when}: {motion.sentence}")
    chosen = look or look_of(motion, report, None)
    picture = draw_still(
        motion, report, float(motion.times[sample]), chosen, size or STILL_SIZE
    )
    from animator.outputs.png import picture_bytes

    _save(picture_bytes(picture), path)
    return _told(path, [report], quiet)


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


def _check_picture(path: Path, endings: tuple[str, ...]) -> None:
    from animator.outputs.writing import check_place

    if path.suffix.lower() not in endings:
        raise RunError(
            f"{path.name}: this can be written as {' or '.join(endings)}; write {path.with_suffix(endings[0]).name}"
        )
    check_place(path)


def _save(data: bytes, path: Path) -> None:
    from animator.outputs.writing import save_bytes

    save_bytes(data, path)


# ---------------------------------------------------------------- numbers
@commands.command(short_help="Say what will happen and what to change.")
@_options(SCENE, VARIANT)
@click.option("--all", "is_all", is_flag=True, help="Every variant.")
@click.option("--json", "is_json", is_flag=True, help="As JSON: one object, with --all a list.")
@click.option(
    "--verify",
    is_flag=True,
    help="Run again at half the step and tell by how much each measure changes.",
)
@_options(QUIET)
@_example("  animator check scenes/mole.yaml --variant fixed")
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
            raise _unknown_variant(scene, variant, error) from None
    from animator.findings.examining import check as check_one
    from animator.findings.examining import check_all, is_passed

    with _busy(
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


def _width() -> int:
    """Columns to write in: the terminal's, but no longer lines than can be read."""
    return min(shutil.get_terminal_size((96, 24)).columns, 110)


STYLES: dict[str, dict[str, Any]] = {
    "title": {"bold": True},
    "heading": {"bold": True},
    "good": {"fg": "green"},
    "bad": {"fg": "red"},
    "plain": {},
}


def _print(reports: Iterable[Report]) -> None:
    from animator.findings.telling import tell

    width = _width()
    for number, report in enumerate(reports):
        if number:
            click.echo()
        for sort, line in tell(report, width):
            if sort == "heading":
                click.echo()
            click.echo(click.style(line, **STYLES[sort]))


@commands.command(short_help="Write every recorded quantity against time.")
@_options(SCENE, OUT, VARIANT, QUIET)
@_example("  animator trace scenes/heron.yaml -o heron.csv")
def trace(scene: Path, output: Path | None, variant: str | None, quiet: bool) -> int:
    """Write every recorded quantity against time: .csv."""
    piece = _read(scene, variant)
    path = output or _name(piece, ".csv")
    _check_picture(path, (".csv",))
    from animator.findings.examining import examine
    from animator.findings.tracing import columns
    from animator.outputs.csv import table_bytes

    motion = animator.run(piece)
    _save(table_bytes(columns(motion)), path)
    return _told(path, [examine(motion)], quiet)


# ---------------------------------------------------------------- the language
@commands.command(short_help="List and explain what a scene can say.")
@click.argument("name", required=False)
@_example("  animator parts follower\n  animator parts units")
def parts(name: str | None) -> None:
    """List what a scene can be made of, or explain one kind of part or one topic."""
    from animator.parts._contract import PARTS
    from animator.scene.kinds import first_line, tell_kind
    from animator.scene.topics import TOPICS, find_topic, tell_later, tell_topic

    if name is None:
        width = max(map(len, [*PARTS, *TOPICS])) + 2
        for kind, cls in PARTS.items():
            click.echo(f"{kind.ljust(width)}{first_line(cls)}")
        click.echo("\nBesides the kinds:")
        for word, topic in TOPICS.items():
            click.echo(f"{word.ljust(width)}{topic.summary}.")
        return
    wanted = " ".join(name.replace("_", " ").split()).lower()
    trade = {word: kind for kind, cls in PARTS.items() for word in cls.also_called}
    kind = wanted if wanted in PARTS else trade.get(wanted, "")
    if not kind and (found := find_topic(wanted)):
        lines = tell_topic(found, _width())
    elif kind:
        lines = tell_kind(kind, _width())
    else:
        later = tell_later(wanted)
        known = [
            *PARTS,
            *trade,
            *TOPICS,
            *(word for each in TOPICS.values() for word in each.words),
        ]
        meant = nearest(wanted, known)
        meant = trade.get(meant or "", meant)
        raise RunError(
            later
            or f"neither a kind of part nor a topic is called '{name}'; "
            + (f"did you mean '{meant}'?" if meant else "'animator parts' lists them all")
        )
    for line in lines:
        click.echo(line)


@commands.command(short_help="Print the scene language's JSON Schema.")
@_options(OUT, QUIET)
@_example("  animator schema -o animator.schema.json")
def schema(output: Path | None, quiet: bool) -> None:
    """Print the JSON Schema of the scene language, for editors that complete and check as you type."""
    import json

    from animator.scene.schema import schema as make

    text = json.dumps(make(), indent=1, ensure_ascii=False)
    if output is None:
        click.echo(text)
        return
    _check_picture(output, (".json",))
    _save((text + "\n").encode("utf-8"), output)
    if not quiet:
        click.echo(f"{output}")
