"""Kinds of the language that the program doesn't know yet: name -> what to do until then."""

from collections.abc import Mapping

LATER: Mapping[str, str] = {
    "crown wheel": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "geneva wheel": "a cam with dwells moves and waits",
}

ALSO_CALLED: Mapping[str, str] = {
    "maltese cross": "geneva wheel",
}
