"""Scene text -> Scene: read, expanded, checked; every problem in one report."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from animator.places import Map
from animator.problems import Problem
from animator.scene.checking import check
from animator.scene.expanding import Change
from animator.scene.model import Scene
from animator.scene.reading import read_file, read_text, read_value

__all__ = ["read", "read_all"]


def read(
    source: str | os.PathLike[str],
    variant: str | None = None,
    changes: Mapping[str, str] | None = None,
    *,
    text: str | None = None,
) -> Scene:
    """Read one variant of a scene; all the others are checked with it.

    Parameters
    ----------
    source
        The scene's file.
    variant
        Name of a variant; None for the piece as drawn.
    changes
        Path -> text, laid over the variant (to try a mend). Then only this one variant is checked.
    text
        The scene's text, if it isn't to be read from the file; ``source`` is then only its name.

    Raises
    ------
    SceneError
        With every problem, in file order.
    RunError
        The file can't be opened.
    ValueError
        The scene has no such variant; the message names those it has.
    """
    slips: list[Problem] = []
    root = _tree(source, text, slips)
    known = root.get("variants")
    if variant is not None and not (isinstance(known, Map) and variant in known):
        read_all(source, text=text)  # a report of what is wrong comes first
        names = (
            ", ".join(f"'{name}'" for name in known)
            if isinstance(known, Map) and known
            else "none"
        )
        raise ValueError(f"{Path(source).name} has no variant '{variant}'; it has {names}")
    laid = []
    for path, written in (changes or {}).items():
        value = read_value(written, path)
        laid.append(Change(tuple(path.split(".")), value, value.place))
    return check(
        root,
        Path(source).name,
        slips,
        laid,
        (variant,) if laid else None,
        folder=Path(source).parent,
    )[variant]


def read_all(
    source: str | os.PathLike[str], *, text: str | None = None
) -> dict[str | None, Scene]:
    """Read a scene and all its variants: None -> the piece as drawn, then each variant by name, in file order.

    Raises
    ------
    SceneError
        With every problem of every variant, once each, in file order.
    RunError
        The file can't be opened.
    """
    slips: list[Problem] = []
    path = Path(source)
    return check(_tree(source, text, slips), path.name, slips, folder=path.parent)


def _tree(source: str | os.PathLike[str], text: str | None, slips: list[Problem]) -> Map:
    path = Path(source)
    return read_file(path, slips) if text is None else read_text(text, path.name, slips)
