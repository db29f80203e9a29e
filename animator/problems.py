"""What can be wrong with a scene, told with its place and with text to write instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from animator.places import Place

WIDEST = 200  # characters of a line that a report shows


@dataclass(frozen=True)
class Problem:
    """One thing to mend: where, what is wrong, what to write instead, and a further line if it helps."""

    place: Place
    what: str
    write: str = ""
    more: str = ""

    def __str__(self) -> str:
        """Say the problem with its line and the offending text underlined."""
        at = self.place
        lines = [f"{at.file}:{at.line}:{at.column}: {self.what}"]
        if at.source:
            source, column = _window(at.source, at.column, at.length)
            mark = "^" * min(at.length, max(1, len(source) - column + 1))
            lines += [f"{at.line:>5} | {source}", " " * (column + 7) + mark]
        lines += [
            f"        {text}"
            for text in (self.more, self.write and f"write {self.write}")
            if text
        ]
        return "\n".join(lines)


def _window(source: str, column: int, length: int) -> tuple[str, int]:
    """Cut a very long line to what lies round the offending text, and tell the column there."""
    if len(source) <= WIDEST:
        return source, column
    start = max(0, min(column - 1 - WIDEST // 3, len(source) - WIDEST))
    end = start + WIDEST
    before, after = "…" if start else "", "…" if end < len(source) else ""
    return f"{before}{source[start:end]}{after}", column - start + len(before)


class SceneError(Exception):
    """A scene that can't be used as it is; carries every problem, in file order."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: problem.place))
        super().__init__("\n\n".join(map(str, self.problems)))


class RunError(Exception):
    """The surroundings are in the way (folder, disk, missing library); the message is one plain sentence."""
