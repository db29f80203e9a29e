"""How what we add comes and goes: the mechanism itself is never eased."""

from __future__ import annotations


def eased(t: float, over: float = 0.4) -> float:
    """How far something we add has come, 0 to 1, by the 3-4-5 law. [s]"""
    x = min(max(t / over, 0.0), 1.0)
    return x**3 * (10 - 15 * x + 6 * x * x)
