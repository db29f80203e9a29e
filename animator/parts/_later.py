"""Kinds of the language that the program doesn't know yet: name -> what to do until then."""

from collections.abc import Mapping

LATER: Mapping[str, str] = {
    "gear": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "crown wheel": "two sprockets and a chain turn in a fixed ratio, both the same way",
}

ALSO_CALLED: Mapping[str, str] = {
    "cog": "gear",
}
