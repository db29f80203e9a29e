"""What is said of an artwork file that can't be used."""

from __future__ import annotations


class Unusable(ValueError):
    """An artwork file that can't be used: what is wrong, what to do (text to paste where it begins with a quote), and the file's own line where it is known (0: not known).

    ``key`` is the word of the scene that is meant where it isn't the file's name: ``piece``, ``hung by``, ``height``.
    """

    def __init__(self, what: str, write: str = "", line: int = 0, key: str = "file") -> None:
        super().__init__(what)
        self.what, self.write, self.line, self.key = what, write, line, key
