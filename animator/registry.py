"""A table of named things that fills itself from the modules of a folder."""

from __future__ import annotations

import difflib
import importlib
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

Thing = TypeVar("Thing")


def nearest(word: str, words: Iterable[str], least: float = 0.6) -> str | None:
    """Return the word that was probably meant, or None; ``least`` is how much of it must agree."""
    return next(iter(difflib.get_close_matches(word, list(words), 1, least)), None)


class Registry(Mapping[str, type[Thing]]):
    """Named classes found in every module of one package.

    Parameters
    ----------
    package
        Dotted name of the folder; its modules are read at first use. Those whose name starts with ``_`` are skipped.
    """

    def __init__(self, package: str) -> None:
        self._package = package
        self._things: dict[str, type[Thing]] = {}
        self._is_filled = False

    def add(self, name: str) -> Callable[[type[Thing]], type[Thing]]:
        """Decorate a class so that it is known as ``name``; a name said twice stops the program."""

        def keep(thing: type[Thing]) -> type[Thing]:
            if name in self._things:
                raise ValueError(f"two things are called {name!r} in {self._package}")
            self._things[name] = thing
            return thing

        return keep

    def _fill(self) -> dict[str, type[Thing]]:
        if not self._is_filled:
            self._is_filled = True
            folder = importlib.import_module(self._package)
            for module in sorted(
                pkgutil.iter_modules(folder.__path__), key=lambda found: found.name
            ):
                if not module.name.startswith("_"):
                    importlib.import_module(f"{self._package}.{module.name}")
            self._things = dict(sorted(self._things.items()))
        return self._things

    def __getitem__(self, name: str) -> type[Thing]:
        return self._fill()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._fill())

    def __len__(self) -> int:
        return len(self._fill())
