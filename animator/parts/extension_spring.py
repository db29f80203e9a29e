"""A coil that pulls its two ends together."""

from animator.parts._coil import Coil
from animator.parts._contract import PARTS


@PARTS.add("extension spring")
class ExtensionSpring(Coil):
    """Pulls its ends together and never pushes. ``preload`` is wound in: the pull at its ``free length``, below which it doesn't open.

    Left out, ``free length`` is its length at the start, so that it then pulls with its ``preload``.
    """

    as_written = "return: {kind: extension spring, from: nail, to: lever.hook, rate: 0.05 N/mm, preload: 0.3 N}"

    also_called = ("spring", "tension spring", "pull spring")
