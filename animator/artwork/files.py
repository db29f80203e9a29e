"""An artwork file named in a scene -> the piece taken of it, in millimetres. Each file is read once, and again only when it has changed.

Nothing outside the scene's own folder is opened, whatever the scene says and wherever links lead.
"""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path, PurePosixPath

from animator.artwork import markup, svg
from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Piece, Sheet
from animator.geometry import Point
from animator.registry import nearest

PIVOT = "pivot"
"""The point of a file at which its artwork hangs."""
DRAWN = (".svg",)
PAINTED = (".png", ".jpg", ".jpeg")
ALIKE = 0.7
"""How much of a file's name must agree before it is taken for misspelt."""
LARGEST_SIDE = 10_000.0  # mm
SMALLEST_SIDE = 0.1


def find(name: str, folder: Path) -> Path:
    """Find a file next to the scene or below it.

    Raises
    ------
    Unusable
        It isn't there, isn't a plain file, or lies elsewhere.
    """
    if not name.strip() or "\0" in name:
        raise Unusable("an empty name", "'heron.svg'")
    if re.match(r"[A-Za-z][A-Za-z0-9+.-]+:", name):
        raise Unusable("artwork is a file, not a link", "'heron.svg', a file next to the scene")
    plain = PurePosixPath(name.replace("\\", "/"))
    if (
        plain.is_absolute()
        or re.match(r"[A-Za-z]:", name)
        or ".." in plain.parts
        or name[0] == "~"
    ):
        raise Unusable(
            "artwork lies next to the scene or below it",
            f"'{plain.name or 'heron.svg'}', and put it there",
        )
    if plain.suffix.lower() not in DRAWN + PAINTED:
        raise Unusable(
            f"'{plain.name}' is neither SVG, PNG nor JPEG",
            "name a file that ends in .svg, .png or .jpg",
        )
    path = folder / plain
    try:
        home, found = folder.resolve(), path.resolve()
        if not found.is_relative_to(home):
            raise Unusable(
                "this file leads out of the scene's folder",
                "put a copy of it next to the scene",
            )
        if not found.exists():
            raise Unusable("there is no such file", _near(plain, folder))
        if not found.is_file():
            raise Unusable("this is no file", _near(plain, folder))
    except (OSError, RuntimeError) as error:
        raise Unusable(
            f"it can't be opened ({_reason(error)})", "name a file that can be read"
        ) from None
    return found


def _near(plain: PurePosixPath, folder: Path) -> str:
    """Offer what lies there under a similar name."""
    around = [folder / plain.parent, folder, *folder.glob("*/")][:20]
    there = [
        each.relative_to(folder).as_posix()
        for place in dict.fromkeys(around)
        if place.is_dir()
        for each in sorted(place.iterdir())[:500]
        if each.suffix.lower() in DRAWN + PAINTED
    ]
    same = [each for each in there if PurePosixPath(each).name.lower() == plain.name.lower()]
    names = {PurePosixPath(each).stem.lower(): each for each in reversed(there)}
    mend = same[0] if same else names.get(nearest(plain.stem.lower(), names, ALIKE) or "")
    return f"'{mend}'" if mend else "name a file next to the scene or below it"


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or "links that go round in a circle"


def sheet(name: str, folder: Path) -> Sheet:
    """Read a file, or give what was read of it before.

    Raises
    ------
    Unusable
        The file can't be used; with its own line where that is known.
    """
    path = find(name, folder)
    try:
        stat = path.stat()
        return _sheet(path, (stat.st_mtime_ns, stat.st_size))
    except OSError as error:
        raise Unusable(
            f"it can't be opened ({_reason(error)})", "name a file that can be read"
        ) from None


@lru_cache(maxsize=64)
def _sheet(path: Path, stamp: tuple[int, int]) -> Sheet:
    if path.suffix.lower() in PAINTED:
        from animator.artwork import painted

        return painted.read(path, stamp)
    if stamp[1] > markup.LARGEST:
        raise Unusable(
            f"the file is larger than {markup.LARGEST // 1_000_000} MB", "simplify the drawing"
        )
    return svg.read(path.read_bytes(), path.name)


def take(
    name: str, folder: Path, piece: str | None, height: float | None, *, is_mirrored: bool
) -> Piece:
    """Take a piece of a file, in mm: of the size the file says, or ``height`` mm high.

    Raises
    ------
    Unusable
        The file, the piece or the size can't be used.
    """
    return _taken(sheet(name, folder), name, piece, height, is_mirrored)


@lru_cache(maxsize=256)
def _taken(
    whole: Sheet, file: str, name: str | None, height: float | None, is_mirrored: bool
) -> Piece:
    piece = whole.piece(name)
    if piece is None:
        mend = nearest(name or "", whole.names)
        raise Unusable(
            f"no group of {whole.name} is called '{name}'",
            f"'{mend}'"
            if mend
            else f"it has {', '.join(whole.names[:12])}"
            if whole.names
            else "leave 'piece' out: nothing in the file has a name",
            key="piece",
        )
    left, low, right, high = piece.extent
    if height is None and not whole.is_true_size:
        raise Unusable(
            f"{whole.name} doesn't say how large it is in mm",
            f"'{{file: {file}, height: 80 mm}}'"
            + (
                ""
                if whole.cuts[0].picture
                else ", or give its width and height in mm in the file"
            ),
        )
    if height is not None and high - low <= 0:
        raise Unusable(
            "what is drawn has no height",
            "leave it out, so that the size in the file holds",
            key="height",
        )
    scale = 1.0 if height is None else height / (high - low)
    side = max(right - left, high - low) * scale
    if not SMALLEST_SIDE <= side <= LARGEST_SIDE:
        raise Unusable(
            f"what is drawn is {side:.3g} mm large",
            "'height: 80 mm', for example",
            key="height",
        )
    return piece.sized(scale, is_mirrored=is_mirrored)


@lru_cache(maxsize=256)
def turned_over(piece: Piece) -> Piece:
    """Give a piece turned left to right."""
    return piece.sized(1.0, is_mirrored=True)


def hung(piece: Piece, by: Point | str | None, is_mirrored: bool) -> Point:
    """Give the drawing's point that lies at the part's main point: a named one, a place on the sheet, else its pivot, else the middle of its foot.

    Raises
    ------
    Unusable
        No point has that name.
    """
    if isinstance(by, tuple):
        return (-by[0] if is_mirrored else by[0]), by[1]
    if by is not None and by not in piece.points:
        mend = nearest(by, piece.points)
        raise Unusable(
            f"no point of the drawing is called '{by}'",
            f"'{mend}'"
            if mend
            else f"it has {', '.join(piece.points)}"
            if piece.points
            else "'[40, 0]', a place on its sheet",
            key="hung by",
        )
    if by is not None or PIVOT in piece.points:
        return piece.points[by or PIVOT]
    left, low, right, _ = piece.extent
    return (left + right) / 2, low
