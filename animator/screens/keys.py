"""What each key does: the one table that the help, the card of F1 and the windows read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Key:
    """Keys that do the same: ``names`` as the window calls them, ``said`` as people do, what ``does`` happen, in words and by the name of an ``act``."""

    act: str
    names: tuple[str, ...]
    said: str
    does: str


SHARED = (
    Key("look", ("l",), "l", "the other look: as the client sees it, or as the bench does"),
    Key("turn picture", ("r",), "r", "turn the picture by a quarter, for a screen on its side"),
    Key("whole screen", ("f",), "f", "the whole screen, or a window"),
    Key("card", ("f1", "h"), "F1, h", "this card"),
    Key("leave", ("q", "escape"), "q, Escape", "leave"),
)
PLAYING = (
    Key("hold", ("space",), "space", "hold still; go on"),
    Key("step", ("right", "."), "right, .", "hold still and show the next picture"),
    Key("slow", ("s",), "s", "half as fast, a quarter, an eighth, as it is"),
    Key("next", ("n", "page down"), "n", "the next film or piece"),
    *SHARED,
)
TURNING = (
    Key("on", ("right", "up"), "right, up", "turn on, as long as it is held"),
    Key("back", ("left", "down"), "left, down", "turn back, as long as it is held"),
    Key("switch", ("o", "return"), "o, Enter", "a motor: off, on"),
    Key("start", ("home", "backspace"), "Home", "put the piece as it was at the start"),
    *SHARED,
)
BESIDES = (
    ("drag", "take the knob and lead it round the shaft, with the mouse or a finger"),
    ("wheel", "turn the handle a little on or back; a motor: faster, slower"),
)
"""What is done without a key where the handle can be turned."""


def act_of(keys: Iterable[Key], name: str) -> str | None:
    """Tell what a key does, None for one that does nothing.

    Examples
    --------
    >>> act_of(PLAYING, "space"), act_of(PLAYING, "x")
    ('hold', None)
    """
    return next((key.act for key in keys if name in key.names), None)


def lines(
    keys: Iterable[Key], besides: Iterable[tuple[str, str]] = ()
) -> list[tuple[str, str]]:
    """Give what is pressed and what it does, line by line."""
    return [*besides, *((key.said, key.does) for key in keys)]
