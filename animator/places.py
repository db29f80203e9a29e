"""Text that knows where it stands: what the scene reader hands to everything after it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, order=True)
class Place:
    """A stretch of one line of a scene file.

    ``line`` and ``column`` count from 1; ``length`` is at least 1; ``source`` is the whole line as written.
    """

    file: str
    line: int
    column: int
    length: int = 1
    source: str = ""


class Text(str):
    """A piece of scene text that keeps its place."""

    __slots__ = ("place",)
    place: Place


class Seq(list[Any]):
    """A list written in a scene, with its place."""

    __slots__ = ("place",)
    place: Place


class Map(dict[str, Any]):
    """Names and values written in a scene; ``key_places`` tells where each name stands."""

    __slots__ = ("key_places", "place")
    place: Place
    key_places: dict[str, Place]
