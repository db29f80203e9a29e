"""Measure words: what of a part can be told as a number, and over which moments. One file of words a sort of quantity."""

import importlib
import pkgutil

from animator.findings.measures._contract import WORDS, Entry, Reading
from animator.findings.measures.reading import columns, read, shown, table

for _module in sorted(pkgutil.iter_modules(__path__), key=lambda found: found.name):
    importlib.import_module(f"{__name__}.{_module.name}")

__all__ = ["WORDS", "Entry", "Reading", "columns", "read", "shown", "table"]
