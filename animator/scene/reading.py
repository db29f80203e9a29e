"""Scene text -> maps, lists and texts that know their place. Every value stays text: only a field knows what it wants.

The text is YAML without what makes YAML surprising: no values are guessed (``on``, ``no``, ``1:30`` and ``010`` stay as
written), and anchors, tags and several documents are refused. The tree is made straight from the parser's events, with
a stack of its own, so that neither deep nesting nor ten laughing aliases can hurt.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

import yaml

from animator.places import Map, Place, Seq, Text
from animator.problems import Problem, RunError, SceneError
from animator.units import NUMBER

LONGEST = 400_000  # characters; a piece of 300 parts with drawn outlines has a tenth of that
DEEPEST = 30
MOST_VALUES = 60_000  # reading that many takes under a second

_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_BREAKS = re.compile("\r\n|[\n\r\x85\u2028\u2029]")  # what YAML counts as the end of a line
_UNREADABLE = re.compile(
    "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_NO_ANCHORS = (
    "'&' and '*' are not used in scenes",
    "'like: PART' for one part like another, 'unless stated:' for what many share",
)
_NO_TAGS = ("'!' is not used in scenes", "the text in quotes")


def read_file(path: Path, slips: list[Problem] | None = None) -> Map:
    """Read a scene's file; see ``read_text``.

    Raises
    ------
    RunError
        The file can't be opened.
    SceneError
        It can be opened, but not read as a scene.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        reason = {
            "FileNotFoundError": "there is no such file",
            "IsADirectoryError": "it is a folder",
            "PermissionError": "it may not be read",
        }
        raise RunError(
            f"{path}: {reason.get(type(error).__name__, error.strerror or 'it can not be read')}"
        ) from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8", "replace")
        lines = _BREAKS.split(before)
        source = (
            lines[-1]
            + _BREAKS.split(raw[error.start : error.start + 60].decode("utf-8", "replace"))[0]
        )
        place = Place(path.name, len(lines), len(lines[-1]) + 1, 1, source)
        raise SceneError(
            [
                Problem(
                    place,
                    "this file isn't UTF-8 text",
                    "it as UTF-8 (in most editors: save with encoding)",
                )
            ]
        ) from None
    return read_text(text, path.name, slips)


def read_text(text: str, file: str, slips: list[Problem] | None = None) -> Map:
    """Read a scene's text.

    Parameters
    ----------
    text
        What is written.
    file
        The name it goes by in reports.
    slips
        Takes the slips that leave no doubt what was meant (a decimal comma, a key said twice); the tree then has
        what was meant, so that the rest of the scene can be checked too. Left out, they are raised like the others.

    Raises
    ------
    SceneError
        With every problem that can be told before anything is understood.
    """
    reading = _Reading(text.removeprefix("\ufeff"), file)
    root = reading.read()
    if reading.problems and slips is None:
        raise SceneError(reading.problems)
    if slips is not None:
        slips += reading.problems
    return root


def read_value(text: str, file: str) -> Any:
    """Read the text of one value, as it would stand after a key."""
    tree = read_text(f"value: {text}", file)
    if list(tree) != ["value"]:
        raise SceneError([Problem(tree.place, "one value belongs here")])
    return tree["value"]


class _Reading:
    """One text on its way to a tree."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self.lines = _BREAKS.split(text[: LONGEST + 1])
        self.problems: list[Problem] = []

    def read(self) -> Map:
        self._refuse_long_or_odd()
        try:
            root = self._compose()
        except yaml.MarkedYAMLError as error:
            self._explain(error)
        except yaml.YAMLError as error:
            raise SceneError(
                [
                    Problem(
                        self._at(0, 0),
                        f"this text can't be read ({str(error).splitlines()[0]})",
                    )
                ]
            ) from None
        if not isinstance(root, Map):
            what = (
                "a list; a scene has names and values"
                if isinstance(root, Seq)
                else "an empty scene"
                if not root
                else "no scene yet"
            )
            raise SceneError(
                [
                    *self.problems,
                    Problem(self._at(0, 0), what, "at least 'title:' and 'parts:'"),
                ]
            )
        return root

    def _refuse_long_or_odd(self) -> None:
        if len(self.text) > LONGEST:
            raise SceneError(
                [
                    Problem(
                        self._at(0, 0, 1),
                        f"a scene of more than {LONGEST:,} characters".replace(",", " "),
                        "a smaller one",
                    )
                ]
            )
        odd = _UNREADABLE.search(self.text)
        if odd:
            before = _BREAKS.split(self.text[: odd.start()])
            raise SceneError(
                [
                    Problem(
                        self._at(len(before) - 1, len(before[-1]), 1),
                        f"a character that can't be read (U+{ord(odd[0]):04X})",
                        "the line without it",
                    )
                ]
            )

    # ------------------------------------------------------------ places
    def _line(self, number: int) -> str:
        return self.lines[number] if number < len(self.lines) else ""

    def _at(self, line: int, column: int, length: int | None = None) -> Place:
        """Make a place of counts from 0; without a length it reaches to the end of the line."""
        line = min(line, len(self.lines) - 1)
        source = self._line(line)
        column = min(column, len(source))
        return Place(
            self.file,
            line + 1,
            column + 1,
            max(1, len(source) - column if length is None else length),
            source,
        )

    def _between(self, start: Any, end: Any, quotes: int = 0) -> Place:
        length = end.column - start.column - 2 * quotes if end.line == start.line else None
        return self._at(start.line, start.column + quotes, length)

    # ------------------------------------------------------------ tree
    def _compose(self) -> Any:
        root: Any = None
        open_nodes: list[Map | Seq] = []
        keys: list[Text | None] = []  # the key that waits for its value, one for each open node
        documents = values = 0
        events: Iterator[Any] = yaml.parse(self.text, Loader=_LOADER)
        for event in events:
            begin, end = event.start_mark, event.end_mark
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._stop(
                        self._at(begin.line, 0),
                        "a second document begins here",
                        "one scene a file",
                    )
            elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
                node = open_nodes.pop()
                keys.pop()
                line, column = node.place.line - 1, node.place.column - 1
                node.place = self._at(
                    line, column, end.column - column if end.line == line else None
                )
            elif isinstance(event, yaml.NodeEvent):
                self._refuse_marks(event)
                values += 1
                if values > MOST_VALUES:
                    self._stop(
                        self._at(begin.line, begin.column),
                        f"more than {MOST_VALUES} values",
                        "a smaller scene",
                    )
                made = self._make(event)
                if open_nodes:
                    self._hang(made, open_nodes[-1], keys)
                else:
                    root = made
                if not isinstance(made, Text):
                    if len(open_nodes) >= DEEPEST:
                        self._stop(
                            made.place, f"nested deeper than {DEEPEST} levels", "it flatter"
                        )
                    open_nodes.append(made)
                    keys.append(None)
        return root

    def _stop(self, place: Place, what: str, write: str = "") -> NoReturn:
        """Give up here: what follows can't be told apart from what this slip did to it."""
        raise SceneError([*self.problems, Problem(place, what, write)])

    def _refuse_marks(self, event: Any) -> None:
        if isinstance(event, yaml.AliasEvent) or event.anchor is not None:
            self._stop(self._between(event.start_mark, event.end_mark), *_NO_ANCHORS)
        if getattr(event, "tag", None) is not None:
            self._stop(self._at(event.start_mark.line, event.start_mark.column), *_NO_TAGS)

    def _make(self, event: Any) -> Map | Seq | Text:
        made: Map | Seq | Text
        if isinstance(event, yaml.ScalarEvent):
            made = Text(event.value)
            made.place = self._between(
                event.start_mark, event.end_mark, 1 if event.style in ("'", '"') else 0
            )
            if not event.value and event.style not in ("'", '"'):
                return self._hidden_colour(event.end_mark) or made
            return made
        made = Map() if isinstance(event, yaml.MappingStartEvent) else Seq()
        if isinstance(made, Map):
            made.key_places = {}
        made.place = self._at(event.start_mark.line, event.start_mark.column)
        return made

    def _hidden_colour(self, mark: Any) -> Text | None:
        """Find the colour that an empty value was meant to be."""
        found = re.match(r"\s*(#[0-9a-fA-F]{3,8})\b", self._line(mark.line)[mark.column :])
        if not found:
            return None
        meant = Text(found[1])
        meant.place = self._at(mark.line, mark.column + found.start(1), len(found[1]))
        self._slip(
            meant.place,
            "a '#' after a space starts a remark, so this value is empty",
            f'"{meant}" in quotes',
        )
        return meant

    def _slip(self, place: Place, what: str, write: str, more: str = "") -> None:
        self.problems.append(Problem(place, what, write, more))

    def _hang(self, made: Map | Seq | Text, parent: Map | Seq, keys: list[Text | None]) -> None:
        if isinstance(parent, Seq):
            parent.append(made)
        elif (key := keys[-1]) is not None:
            keys[-1] = None
            self._enter(parent, key, made)
        elif isinstance(made, Text):
            keys[-1] = made
        else:
            self._slip(made.place, "a key must be one word or a few words", "'key: value'")
            nameless = Text("")
            nameless.place = made.place
            keys[-1] = nameless

    def _enter(self, parent: Map, key: Text, value: Map | Seq | Text) -> None:
        last = next(reversed(parent), "")
        before = parent.get(last)
        is_empty = isinstance(value, Text) and not value
        glued = re.match(r"(.*?\w):([^\s/].*)", key) if is_empty else None
        if not key:
            if not any(problem.place == key.place for problem in self.problems):
                self._slip(key.place, "a colon with no key before it", "'key: value'")
        elif glued:
            self._slip(
                key.place, "a colon without a space after it", f"'{glued[1]}: {glued[2]}'"
            )
            meant = Text(glued[2])
            meant.place = replace(
                key.place,
                column=key.place.column + glued.start(2),
                length=max(1, key.place.length - glued.start(2)),
            )
            parent.setdefault(glued[1], meant)
            parent.key_places.setdefault(glued[1], key.place)
        elif (
            is_empty
            and re.fullmatch(r"\d+( .*)?", key)
            and isinstance(before, Text)
            and re.fullmatch(r"-?\d+", before)
        ):
            self._slip(key.place, "a decimal comma", f"'{last}: {before}.{key}'")
            meant = Text(f"{before}.{key}")
            meant.place = before.place
            parent[last] = meant
        elif key in parent:
            self._slip(
                key.place,
                f"'{key}' is said twice",
                "one of them",
                f"first said at line {parent.key_places[key].line}",
            )
        else:
            parent[str(key)] = value
            parent.key_places[str(key)] = key.place

    # ------------------------------------------------------------ what the parser couldn't read, in a maker's words
    def _explain(self, error: Any) -> NoReturn:
        said = f"{error.problem or ''} {error.context or ''}"
        mark = error.problem_mark or error.context_mark
        opened = error.context_mark or mark
        here = self._line(mark.line)[mark.column :]
        there = self._line(opened.line)[opened.column :]

        def stop(what: str, write: str = "", place: Place | None = None) -> NoReturn:
            raise SceneError(
                [
                    *self.problems,
                    Problem(place or self._at(mark.line, mark.column), what, write),
                ]
            ) from None

        if (
            "tab" in said
            or here.startswith("\t")
            or ("start any token" in said and self._line(mark.line).startswith("\t"))
        ):
            stop(
                "a tab; only spaces may indent",
                "spaces instead of the tab",
                self._at(
                    mark.line, 0 if self._line(mark.line).startswith("\t") else mark.column
                ),
            )
        if "anchor" in said or "alias" in said:
            stop(*_NO_ANCHORS, place=self._at(opened.line, opened.column))
        if " tag" in said:
            stop(*_NO_TAGS, place=self._at(opened.line, opened.column))
        if "flow mapping" in said or "flow sequence" in said:
            self._explain_braces(mark, opened, stop)
        if "mapping values are not allowed" in said:
            self._explain_colon(mark, stop)
        if "quoted scalar" in said:
            if "escape" in said:
                stop(
                    "a backslash in double quotes means something else",
                    "single quotes round the text",
                    self._at(mark.line, mark.column, 2),
                )
            stop(
                "a quote is never closed",
                "the same quote at the end of the text",
                self._at(opened.line, opened.column),
            )
        if "expected ':'" in said:
            glued = re.match(r"([\w' -]+):(\S.*)", there)
            if glued:
                stop(
                    "a colon without a space after it",
                    f"'{glued[1]}: {glued[2].strip()}'",
                    self._at(opened.line, opened.column),
                )
            stop(
                "a key without its colon",
                f"'{there.strip()}: ...'" if there.strip() else "'key: value'",
                self._at(opened.line, opened.column),
            )
        if here[:1] in ("}", "]"):
            stop(
                f"a '{here[0]}' that nothing opened",
                "the line without it",
                self._at(mark.line, mark.column, 1),
            )
        if "start any token" in said:
            stop("a text can't start with this sign", f'"{_value_here(here)}" in quotes')
        if "block" in said or "document start" in said:
            if self._line(mark.line)[: mark.column].strip():
                stop(
                    "this doesn't belong here",
                    "it on a line of its own, or the whole text in quotes",
                )
            stop(
                "this line is indented differently from the ones above it",
                "as many spaces before it as before its neighbours",
            )
        stop(f"this can't be read ({error.problem})")

    def _explain_braces(
        self, mark: Any, opened: Any, stop: Callable[..., NoReturn]
    ) -> NoReturn:
        here, line = self._line(mark.line)[mark.column :], self._line(mark.line)
        is_new_key = (
            mark.line > opened.line
            and re.fullmatch(r"\s*[\w' .-]+", line[: mark.column] or " ") is not None
        )
        if re.match(r":(\s|$)", here) and not is_new_key:
            self._explain_colon(mark, stop)
        for number in range(opened.line, min(mark.line + 1, len(self.lines))):
            hidden = re.search(
                r"[:,\[{] +(#\S*)",
                self._line(number)[opened.column if number == opened.line else 0 :],
            )
            if hidden:
                shift = opened.column if number == opened.line else 0
                text = hidden[1].rstrip("}],")
                place = self._at(number, shift + hidden.start(1), max(1, len(text)))
                stop(
                    "a '#' after a space starts a remark and hides the rest of the line",
                    f'"{text}" in quotes',
                    place,
                )
        bracket = self._line(opened.line)[opened.column : opened.column + 1]
        closing = {"{": "}", "[": "]"}.get(bracket, "}")
        if here[:1] in ("}", "]") and here[:1] != closing and mark.line == opened.line:
            stop(
                f"a '{bracket}' is closed by a '{here[0]}'",
                f"'{closing}'",
                self._at(mark.line, mark.column, 1),
            )
        if here[:1] == ",":
            stop(
                "a comma with nothing before it",
                "the line without it",
                self._at(mark.line, mark.column, 1),
            )
        if here[:1] in ("%", "@", "`"):
            stop("a text can't start with this sign", f'"{_value_here(here)}" in quotes')
        if mark.line == opened.line and here.strip():
            stop("a comma is missing before this", f"', {_value_here(here)}'")
        stop(
            f"a '{bracket or '{'}' is never closed",
            f"'{closing}' where it ends",
            self._at(opened.line, opened.column),
        )

    def _explain_colon(self, mark: Any, stop: Callable[..., NoReturn]) -> NoReturn:
        line = self._line(mark.line)
        glued = re.search(
            rf"[:,] (?P<value>(?:{NUMBER})(?: ?(?:N|g|mm|rpm|s|%))?) (?P<key>[a-z][a-z ]*)$",
            line[: mark.column],
        )
        if glued:
            place = self._at(mark.line, glued.start("key"), mark.column - glued.start("key"))
            stop(
                "a comma is missing before this",
                f"'{glued['value']}, {glued['key']}: {_value_here(line[mark.column + 1 :])}'",
                place,
            )
        above = next(
            (number for number in range(mark.line - 1, -1, -1) if self._line(number).strip()),
            None,
        )
        if above is not None and re.fullmatch(r"\s*[\w' .-]+", line[: mark.column]):
            if re.search(r":(\s|$)", self._line(above)):
                stop(
                    "this line is indented differently from the ones above it",
                    "as many spaces before it as before its neighbours",
                    self._at(mark.line, 0),
                )
            key = self._line(above).strip()
            stop(
                "a key without its colon",
                f"'{key}: ...'",
                self._at(above, self._line(above).index(key)),
            )
        start = (
            max(
                line.rfind(": ", 0, mark.column),
                line.rfind("- ", 0, mark.column),
                line.rfind(", ", 0, mark.column),
            )
            + 2
        )
        text = _value_here(line[start if start > 1 else 0 :].strip())
        stop("a colon followed by a space inside a text", f'quotes round the text: "{text}"')


def _value_here(text: str) -> str:
    """Cut a text where a brace, bracket or comma would end it."""
    return re.split(r"[,}\]]", text, maxsplit=1)[0].strip()
