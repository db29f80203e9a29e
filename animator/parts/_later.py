"""Kinds of the language that the program doesn't know yet: name -> what to do until then."""

from collections.abc import Mapping

LATER: Mapping[str, str] = {}

ALSO_CALLED: Mapping[str, str] = {}
