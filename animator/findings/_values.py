"""Values that a maker writes, from the least change to the greatest, and the words for them."""

from __future__ import annotations

import math

from animator.units import BARE, UNITS


def ladder(now: float, far: float, most: int = 40) -> list[float]:
    """Give round numbers from one value towards another, neither too fine nor too coarse to be cut or bought.

    Steps are a tenth of the leading figure up to 2, a fifth up to 5, a half above, so at most 36 in a decade.

    Parameters
    ----------
    now
        What stands there; left out itself. > 0
    far
        Where it makes no sense any more; kept if it is round. > 0
    most
        Rungs to keep, the nearest first.

    Examples
    --------
    >>> ladder(12, 20)
    [13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0]
    >>> ladder(36, 29), ladder(0.3, 0.42)
    ([34.0, 32.0, 30.0], [0.32, 0.34, 0.36, 0.38, 0.4, 0.42])
    """
    if not (now > 0 and far > 0):
        return []
    low, high = min(now, far), max(now, far)
    rungs = []
    decade = math.floor(math.log10(low))
    while 10.0**decade <= high:
        unit = 10.0**decade
        tenths = [*range(10, 20), *range(20, 50, 2), *range(50, 100, 5)]
        rungs += [float(f"{tenth * unit / 10:.6g}") for tenth in tenths]
        decade += 1
    slack = 1e-9 * now
    kept = [
        rung
        for rung in rungs
        if low - slack <= rung <= high + slack and abs(rung - now) > 1e-6 * now
    ]
    return (kept if far > now else kept[::-1])[:most]


def texts(
    now: float, far: float, sort: str, unit: str | None = None, most: int = 40
) -> tuple[str, ...]:
    """Give the rungs from one internal value to another as scene texts.

    Examples
    --------
    >>> texts(0.3e6, 0.36e6, "force")
    ('0.32 N', '0.34 N', '0.36 N')
    """
    scale = _scale(sort, unit)
    return tuple(
        written(rung * scale, sort, unit) for rung in ladder(now / scale, far / scale, most)
    )


def written(value: float, sort: str, unit: str | None = None) -> str:
    """Write one internal value as scene text, bare where the sort allows it.

    Examples
    --------
    >>> written(12.0, "length"), written(0.3e6, "force"), written(1.5e6, "rate")
    ('12', '0.3 N', '1.5 N/mm')
    """
    number = f"{value / _scale(sort, unit):.4g}"
    return (
        number
        if unit is None and sort in BARE
        else f"{number} {unit or next(iter(UNITS[sort]))}"
    )


def _scale(sort: str, unit: str | None) -> float:
    return UNITS[sort][unit or next(iter(UNITS[sort]))]
