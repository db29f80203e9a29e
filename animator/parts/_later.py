"""Kinds of the language that the program doesn't know yet: name -> what to do until then."""

from collections.abc import Mapping

LATER: Mapping[str, str] = {
    "wire": "a rod pushes and pulls as a wire does that doesn't buckle",
    "gear": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "worm": "a slow motor with 'holds: yes' behaves like one behind a worm",
    "crown wheel": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "ratchet wheel": "a motor or handle turns one way only",
    "pawl": "a motor or handle turns one way only",
    "geneva wheel": "a cam with dwells moves and waits",
    "timing drum": "a cam with dwells moves and waits",
    "switch": "motors run always",
    "coin slot": "motors run always",
    "lamp": "a figure stands for its look",
}

ALSO_CALLED: Mapping[str, str] = {
    "cog": "gear",
    "ratchet": "ratchet wheel",
    "worm gear": "worm",
    "maltese cross": "geneva wheel",
}
