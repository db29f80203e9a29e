"""A line for whoever runs the stall; the visitors don't see it."""

from __future__ import annotations

import sys


def aside(words: str) -> None:
    """Say something on the error output, at once."""
    sys.stderr.write(f"{words}\n")
    sys.stderr.flush()
