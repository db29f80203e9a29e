"""Small ways of saying things, shared by the codes."""

from __future__ import annotations


def newtons(force: float) -> str:
    """Say a force. [g mm/s^2]

    Examples
    --------
    >>> newtons(10e6), newtons(0.4873e6), newtons(142.8e6)
    ('10 N', '0.49 N', '143 N')
    """
    value = abs(force) / 1e6
    return f"{value:.3g} N" if value >= 100 else f"{value:.2g} N"


def share(part: float, whole: float) -> str:
    """Say a share in %."""
    return f"{100 * part / whole:.0f} %" if whole else "0 %"


def listed(words: list[str]) -> str:
    """Join words as in a sentence.

    Examples
    --------
    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
