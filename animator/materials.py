"""What parts are made of: density, look, stiffness of belts, and friction of pairs as ranges. The table is ``materials.yaml``."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

import yaml

from animator.units import Range

STATES = ("dry", "waxed", "oiled")


@dataclass(frozen=True)
class Stuff:
    """One stuff: ``density`` [g/mm^3] as a range, the ``family`` it rubs like, the ``look`` it is painted with, where the values come from."""

    name: str
    density: Range
    family: str
    look: str
    source: str
    young: float | None = None
    shear: float | None = None
    coil_wire: float | None = None

    def axial_stiffness(self, size: float) -> float | None:
        """Force for doubling the length of a round length of this stuff, E A; None where it isn't known.

        Parameters
        ----------
        size
            Diameter, for a spring belt that of its coil outside. [mm]

        Returns
        -------
        float or None
            [g mm/s^2]; 1 N is 1e6.

        Notes
        -----
        Solid: E pi d^2 / 4. A close-coiled spring belt of wire d and mean coil diameter D: one turn a length d gives
        G d^5 / (8 D^3), from the helical spring's rate G d^4 / (8 D^3 n) (EN 13906-2). The wire is taken
        as 0.7 for a belt of 4 mm and in proportion for others: an estimate, no maker's table found.

        Examples
        --------
        >>> round(stuff("rubber band").axial_stiffness(3) / 1e6, 1)  # E 1.5 MPa
        10.6
        >>> round(stuff("spring belt").axial_stiffness(4) / 1e6, 1)
        46.4
        """
        if self.coil_wire is not None and self.shear is not None:
            wire = self.coil_wire * size
            return 1e6 * self.shear * wire**5 / (8 * (size - wire) ** 3)
        if self.young is not None:
            return 1e6 * self.young * math.pi * size**2 / 4
        return None


@dataclass(frozen=True)
class Pair:
    """Friction of one pair of surfaces: the range from lowest kinetic to highest static coefficient, in words, and its sources."""

    range: Range
    text: str
    sources: tuple[str, ...]
    is_guess: bool = False
    """True where the table has no nearer pair than 'anything on anything'."""


@functools.cache
def _table() -> Mapping[str, Any]:
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    text = resources.files("animator").joinpath("materials.yaml").read_text(encoding="utf-8")
    table: Mapping[str, Any] = yaml.load(text, Loader=loader)
    return table


@functools.cache
def stuffs() -> Mapping[str, Stuff]:
    """Every stuff by name, in the table's order."""
    made = {}
    for name, row in _table()["stuffs"].items():
        coil = row.get("coil") or {}
        low, high = row["density"]
        made[name] = Stuff(
            name,
            Range(low * 1e-6, high * 1e-6),
            row["family"],
            row["look"],
            _table()["sources"][row["source"]],
            row.get("young"),
            coil.get("shear", row.get("shear")),
            coil.get("wire"),
        )
    return made


def stuff(name: str) -> Stuff:
    """Look one stuff up; KeyError if there is none of that name."""
    return stuffs()[name]


def paints() -> Mapping[str, str]:
    """Names of paints and their inks (``#rrggbb``)."""
    found: Mapping[str, str] = _table()["paints"]
    return found


def pair(first: str, second: str, state: str = "dry") -> Pair:
    """Friction of two stuffs.

    Parameters
    ----------
    first, second
        Names of stuffs, in either order.
    state
        ``dry``, ``waxed`` or ``oiled``. Where the table knows no waxed or oiled value for the pair, the dry one is taken.

    Returns
    -------
    Pair
        The nearest row: the two stuffs themselves, else their families, else anything on anything.

    Examples
    --------
    >>> pair("birch", "birch", "waxed").range
    Range(low=0.04, high=0.2)
    """
    names = [{name, stuff(name).family, "anything"} for name in (first, second)]

    def nearness(row: Mapping[str, Any]) -> int:
        return max(
            (
                sum(
                    2 if word == who else 1 if word != "anything" else 0
                    for word, who in zip(words, (first, second), strict=True)
                )
                + 1
                for words in (row["of"], row["of"][::-1])
                if words[0] in names[0] and words[1] in names[1]
            ),
            default=0,
        )

    row = max(
        _table()["pairs"], key=nearness
    )  # the first of equals: the table is in order of trust
    low, high = row.get(state) or row["dry"]
    text = f"{state} {first} on {second}"
    return Pair(
        Range(low, high),
        text,
        tuple(_table()["sources"][source] for source in row["source"]),
        row["of"][0] == "anything",
    )


def ball_bearing() -> Pair:
    """Friction of a ball bearing, reckoned at its bore's radius."""
    return _bearing("ball", "ball bearing")


def oiled_bearing() -> Pair:
    """Friction of an oiled plain bearing."""
    return _bearing("oiled", "oiled bearing")


def _bearing(key: str, text: str) -> Pair:
    row = _table()["bearings"][key]
    return Pair(
        Range(*row["range"]),
        text,
        tuple(_table()["sources"][source] for source in row["source"]),
    )
