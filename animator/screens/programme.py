"""What is to be shown: scenes, films, folders of films and lists of either."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from animator.problems import RunError

FILMS = (".mp4", ".webm", ".gif", ".webp", ".apng")
SCENES = (".yaml", ".yml")
LONGEST_LIST = 10_000  # entries; far more than a stall can show in a day
MOST_BYTES = 2_000_000  # of a list


@dataclass(frozen=True)
class Item:
    """One thing to show. It need not be there: a stall goes on without it."""

    path: Path
    kind: Literal["scene", "film"]


def kind_of(path: Path) -> Literal["scene", "film"] | None:
    """Tell by its ending whether a file is a scene or a film; None for anything else.

    Examples
    --------
    >>> kind_of(Path("heron.yaml")), kind_of(Path("Heron.MP4")), kind_of(Path("list.txt"))
    ('scene', 'film', None)
    """
    ending = path.suffix.lower()
    return "scene" if ending in SCENES else "film" if ending in FILMS else None


def items_of(what: Iterable[Path]) -> list[Item]:
    """Lay out a programme.

    Parameters
    ----------
    what
        Scenes, films, folders (their films in the order of their names) and lists (plain text, one path a line, places counted from the list's
        own folder; empty lines and lines that begin with # are passed over).

    Raises
    ------
    RunError
        Something named isn't there, can't be read, or holds nothing to show.
    """
    out: list[Item] = []
    for path in what:
        kind = kind_of(path)
        if path.is_dir():
            found = sorted(
                (each for each in path.iterdir() if kind_of(each) == "film"),
                key=lambda each: (each.name.casefold(), each.name),
            )
            if not found:
                raise RunError(
                    f"{path}: no films in this folder; films end in {' '.join(FILMS)}"
                )
            out += [Item(each, "film") for each in found]
        elif not path.exists():
            raise RunError(f"{path}: there is no such file or folder")
        elif kind is not None:
            out.append(Item(path, kind))
        else:
            out += _listed(path)
    return out


def _listed(path: Path) -> list[Item]:
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        text = data.decode("utf-8-sig")
    except OSError as trouble:
        raise RunError(f"{path}: can't be read ({trouble.strerror})") from trouble
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text or len(data) > MOST_BYTES:
        raise RunError(
            f"{path}: neither a scene ({' '.join(SCENES)}), a film ({' '.join(FILMS)}) nor a list of them (plain text, one path a line)"
        )
    out = []
    for number, line in enumerate(text.splitlines(), 1):
        entry = line.strip()
        if not entry or entry.startswith("#"):
            continue
        place = path.parent / Path(entry).expanduser()
        kind = kind_of(place)
        if kind is None:
            raise RunError(
                f"{path}:{number}: '{entry}' is neither a scene ({' '.join(SCENES)}) nor a film ({' '.join(FILMS)})"
            )
        out.append(Item(place, kind))
        if len(out) > LONGEST_LIST:
            raise RunError(f"{path}: more than {LONGEST_LIST} entries")
    if not out:
        raise RunError(f"{path}: a list without entries; write one path a line")
    return out
