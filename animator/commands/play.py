"""The command ``play``: films and pieces on a screen, and a handle that can be turned."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import TYPE_CHECKING

import click

from animator.commands._common import (
    DONE,
    DRAFT,
    FAULTY,
    LOOK,
    VARIANT,
    Positive,
    Size,
    drawing_library,
    example,
    options,
    read_piece,
)
from animator.problems import RunError
from animator.screens.keys import BESIDES, PLAYING, TURNING, lines

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from animator.pictures.film import Look
    from animator.scene.model import Scene
    from animator.screens.programme import Item
    from animator.screens.window import Window

LONGEST = 366 * 24 * 3600.0  # s


def _table(rows: Iterable[tuple[str, str]]) -> str:
    return "\n".join(f"  {pressed:<12}{does}" for pressed, does in rows)


@click.command(
    short_help="Show it on a screen, or let its handle be turned.",
    epilog="\n\n".join(
        [
            f"\b\nKeys while it plays:\n{_table(lines(PLAYING))}",
            f"\b\nKeys and hands with --turn:\n{_table(lines(TURNING, BESIDES))}",
        ]
    ),
)
@options(
    click.argument("what", nargs=-1, required=True, type=click.Path(path_type=Path)),
    click.option("--turn", is_flag=True, help="Let whoever stands before it turn the handle."),
    VARIANT,
    LOOK,
    click.option(
        "--backdrop",
        type=click.Choice(["bench", "evening", "plain"]),
        help="What a piece stands on: the bench by day, in the evening, or paper alone.",
    ),
    click.option("--windowed", is_flag=True, help="In a window, not on the whole screen."),
    click.option(
        "--size", type=Size(), help="Of the window, in pixels; also means --windowed."
    ),
    click.option(
        "--rotate",
        type=click.Choice(["0", "90", "180", "270"]),
        default="0",
        show_default=True,
        help="Turn the picture clockwise, for a screen on its side.",
    ),
    click.option(
        "--each",
        type=Positive(LONGEST, "seconds"),
        default=20.0,
        show_default=True,
        help="How long each of several is shown at least; then to the end of its round.",
    ),
    click.option("--once", is_flag=True, help="End after the last of them."),
    click.option("--seconds", type=Positive(LONGEST, "seconds"), help="End after so long."),
    click.option(
        "--locked",
        is_flag=True,
        help="No key can end it or leave the whole screen: for a stall with visitors.",
    ),
    DRAFT,
)
@example(
    "  animator play heron.mp4 baker.webm\n"
    "  animator play films --rotate 90 --locked\n"
    "  animator play scenes/heron.yaml --turn"
)
def play(
    what: tuple[Path, ...],
    turn: bool,
    variant: str | None,
    look: Look | None,
    backdrop: str | None,
    windowed: bool,
    size: tuple[int, int] | None,
    rotate: str,
    each: float,
    once: bool,
    seconds: float | None,
    locked: bool,
    draft: bool,
) -> int:
    """Show films and pieces on the whole screen, round and round without a seam.

    WHAT is a scene, a film (.mp4 .webm .gif .webp .apng), a folder (its films in the order of their names) or a list: plain text, one path a line. What
    can't be shown is passed over. A scene is run and drawn while it is shown; with --turn its handle follows mouse, wheel, keys or a
    finger, with the strength the scene gives the hand.
    """
    from animator.screens.programme import items_of

    items = items_of(what)
    if turn and (len(items) != 1 or items[0].kind != "scene"):
        raise RunError("--turn wants one scene: animator play scenes/heron.yaml --turn")
    # a scene that is wrong is told before the screen goes dark
    scene = (
        read_piece(items[0].path, variant)
        if len(items) == 1 and items[0].kind == "scene"
        else None
    )
    with drawing_library():
        from animator.screens.window import Window
    in_window = (size or (1280, 720)) if windowed or size is not None else None
    title = scene.title if scene is not None else "animator"

    def open_window(hides_pointer: bool) -> Window:
        return Window(title, in_window, int(rotate) // 90, hides_pointer)

    if turn:
        assert scene is not None
        return _turn(scene, open_window, look, backdrop, seconds, locked)
    return _show(
        items, scene, variant, open_window(True), look, backdrop, draft, each, once, seconds, locked
    )  # fmt: skip


def _turn(
    scene: Scene,
    open_window: Callable[[bool], Window],
    look: Look | None,
    backdrop: str | None,
    seconds: float | None,
    is_locked: bool,
) -> int:
    from animator.screens.rig import driven_by
    from animator.screens.turning import Turn

    driven_by(scene)  # refused before a window opens
    window = open_window(False)
    try:
        turning = Turn(scene, window, look, backdrop, seconds, is_locked)
        _end_on_signal(turning.stop)
        turning.run()
    finally:
        window.close()
    return DONE


def _show(
    items: list[Item],
    scene: Scene | None,
    variant: str | None,
    window: Window,
    look: Look | None,
    backdrop: str | None,
    is_draft: bool,
    each: float,
    is_once: bool,
    seconds: float | None,
    is_locked: bool,
) -> int:
    from animator.screens.playing import Show

    def read(item: Item) -> Scene:
        return scene if scene is not None else read_piece(item.path, variant)

    try:
        show = Show(
            items, window, read, look, backdrop, is_draft, each, is_once, seconds, is_locked
        )
        _end_on_signal(show.stop)
        tally = show.run()
    finally:
        window.close()
    return FAULTY if tally.skipped and is_once else DONE


def _end_on_signal(stop: Callable[[], None]) -> None:
    """Whoever started it may end it: what is being shown is put away in order."""
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stop())
