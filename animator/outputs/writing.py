"""Files are written where nobody sees them and put in place when they are whole: a killed run leaves the old file as it was.

On Linux the growing file has no name at all, so that not even a hidden remnant is left by a run that is killed. Where the
disk can't do that it gets a hidden name beside the final one, and the next run sweeps up what a killed one has left.
"""

from __future__ import annotations

import contextlib
import errno
import glob
import itertools
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

from animator.problems import RunError

PART = ".part"  # ending of what is not whole yet
COUNTER = itertools.count()


def check_place(path: Path) -> None:
    """Say before the work begins that a file can't be written there.

    Raises
    ------
    RunError
        The folder is missing or closed, or ``path`` is a folder.
    """
    if path.is_dir():
        raise RunError(f"{path} is a folder: give a file's name after -o")
    with _told(path):
        number = _open_nameless(path.parent)
        if number is not None:
            os.close(number)
        else:
            hidden = _hidden_name(path)
            hidden.touch()
            hidden.unlink()


@contextlib.contextmanager
def beside(path: Path) -> Iterator[Path]:
    """Give a place to write to; it becomes ``path`` if the block ends well and vanishes if not.

    Raises
    ------
    RunError
        The folder or the disk refuses.
    """
    with _told(path):
        _sweep(path)
        number = _open_nameless(path.parent)
        if number is None:
            hidden = _hidden_name(path)
            try:
                yield hidden
                with hidden.open("rb+") as file:
                    os.fsync(file.fileno())
                hidden.replace(path)
            finally:
                hidden.unlink(missing_ok=True)
            return
        try:
            yield Path(f"/proc/self/fd/{number}")
            os.fsync(number)
            _name(number, path)
        finally:
            os.close(number)


@contextlib.contextmanager
def folder_beside(path: Path) -> Iterator[Path]:
    """Give an empty folder to fill; it becomes ``path`` if the block ends well. An older folder of that name is replaced.

    Raises
    ------
    RunError
        The place is taken by a file or by a folder with other things in it, or the disk refuses.
    """
    with _told(path):
        _sweep(path)
        if path.is_file():
            raise RunError(f"{path} is a file: give another name for the folder of pictures")
        if path.is_dir() and any(not is_numbered_picture(inside) for inside in path.iterdir()):
            raise RunError(
                f"the folder {path} holds other things than numbered pictures: give the name of a new one"
            )
        hidden = _hidden_name(path)
        try:
            hidden.mkdir()
            yield hidden
            if path.is_dir():
                # Folders can't be exchanged in one move everywhere: for a moment there is neither, never half of one.
                old = path.replace(_hidden_name(path))
                hidden.replace(path)
                shutil.rmtree(old)
            else:
                hidden.replace(path)
        finally:
            shutil.rmtree(hidden, ignore_errors=True)


def is_numbered_picture(path: Path) -> bool:
    """Whether a file looks like one of ours in a folder of pictures, ``0042.png``."""
    return path.suffix == ".png" and path.stem.isdecimal()


def save_bytes(data: bytes, path: Path) -> None:
    """Write a small file, whole or not at all."""
    with beside(path) as part:
        part.write_bytes(data)


# ---------------------------------------------------------------- how it is done
def _open_nameless(folder: Path) -> int | None:
    """Open a file without a name in a folder; None where the system or the disk can't."""
    if not hasattr(os, "O_TMPFILE") or not Path("/proc/self/fd").is_dir():
        return None
    try:
        return os.open(folder, os.O_TMPFILE | os.O_RDWR, 0o666)
    except OSError as trouble:
        if trouble.errno in (errno.EOPNOTSUPP, errno.EISDIR, errno.EINVAL):
            return None
        raise


def _name(number: int, path: Path) -> None:
    """Give a nameless file its name. A link can't replace an older file, so it goes by way of a hidden name."""
    hidden = _hidden_name(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        # src_dir_fd makes Python use linkat, which follows /proc's link to the file; plain link would link the link.
        os.link(f"/proc/self/fd/{number}", hidden, src_dir_fd=folder, follow_symlinks=True)
    finally:
        os.close(folder)
    hidden.replace(path)


def _hidden_name(path: Path) -> Path:
    return path.with_name(f".{path.name}.{os.getpid()}.{next(COUNTER)}{PART}")


def _sweep(path: Path) -> None:
    """Remove what killed runs have left for this file; runs that still live keep theirs."""
    for left in path.parent.glob(f".{glob.escape(path.name)}.*{PART}"):
        number = left.name.removeprefix(f".{path.name}.").split(".")[0]
        if number.isdecimal() and not _is_alive(int(number)):
            if left.is_dir():
                shutil.rmtree(left, ignore_errors=True)
            else:
                left.unlink(missing_ok=True)


def _is_alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turn what the system says about a place into one plain sentence."""
    try:
        yield
    except OSError as trouble:
        sentence = _sentence(path, trouble) if _is_about(path, trouble) else None
        if sentence is None:
            raise
        raise RunError(sentence) from trouble


def _is_about(path: Path, trouble: OSError) -> bool:
    """Whether the trouble is with the file being written, not with something that was read meanwhile."""
    if not isinstance(trouble.filename, str):
        return True
    named = Path(trouble.filename)
    return named.parent in (path.parent, Path("/proc/self/fd")) or named == path.parent


def _sentence(path: Path, trouble: OSError) -> str | None:
    folder = path.parent if str(path.parent) != "." else Path.cwd()
    code = trouble.errno
    if code in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return f"the disk is full: {path.name} doesn't fit in {folder}; make room there or write it elsewhere with -o"
    if code in (errno.ENOENT, errno.ENOTDIR) and not folder.is_dir():
        return f"there is no folder {folder} to write {path.name} into: make it first, or give another place with -o"
    if code in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"the folder {folder} can't be written to: give another place for {path.name} with -o"
    if code == errno.ENAMETOOLONG:
        return (
            f"the name {path.name[:40]}… is too long for this disk: give a shorter one with -o"
        )
    if code == errno.EISDIR:
        return f"{path} is a folder: give a file's name after -o"
    if code == errno.EIO:
        return f"the disk failed while {path.name} was written in {folder}: write it elsewhere with -o"
    return None
