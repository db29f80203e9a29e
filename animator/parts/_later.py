"""Kinds of the language that the program doesn't know yet: name -> what to do until then."""

from collections.abc import Mapping

LATER: Mapping[str, str] = {
    "plate": "a lever with several arms, or two rods side by side, does for most of what a plate does",
    "swivel guide": "pin the rod's far end with 'to' instead of 'through'",
    "eyelet": "strings come later",
    "string": "a rod pulls as a string does, but it pushes too",
    "wire": "a rod pushes and pulls as a wire does that doesn't buckle",
    "torsion spring": "an extension spring on a lever's arm turns it back",
    "leaf spring": "a compression spring pushes as a leaf does",
    "rubber band": "an extension spring pulls as a band does; for one that runs round pulleys write 'kind: belt'",
    "gear": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "paddle gear": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "pin wheel": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "worm": "a slow motor with 'holds: yes' behaves like one behind a worm",
    "crown wheel": "two sprockets and a chain turn in a fixed ratio, both the same way",
    "ratchet wheel": "a motor or handle turns one way only",
    "pawl": "a motor or handle turns one way only",
    "drum": "a slider moved by a crank lifts without a string",
    "geneva wheel": "a cam with dwells moves and waits",
    "timing drum": "a cam with dwells moves and waits",
    "switch": "motors run always",
    "coin slot": "motors run always",
    "lamp": "a figure stands for its look",
}

ALSO_CALLED: Mapping[str, str] = {
    "rope": "string",
    "thread": "string",
    "cord": "string",
    "winch": "drum",
    "cog": "gear",
    "elastic": "rubber band",
    "band": "rubber band",
    "ratchet": "ratchet wheel",
    "worm gear": "worm",
    "maltese cross": "geneva wheel",
}
