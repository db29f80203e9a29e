"""A part turned left to right: directions, arms, places, senses and cam outlines."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from animator.geometry import Point
from animator.parts._contract import Part, Rides, Still, Turns
from animator.parts._fields import Guide, Ref, Where
from animator.units import Wrong


def mirrored(part: Part, about: Ref, parts: Mapping[str, Part], since: frozenset[str]) -> Part:
    """Give a part as it looks in an upright mirror through a point.

    Parameters
    ----------
    part
        The part, its references looked up.
    about
        The point the mirror passes through.
    parts
        Every part, to find places by.
    since
        Keys said after the likeness was made; they stay as written.

    Raises
    ------
    Wrong
        Something in it can't be turned.
    """
    changes: dict[str, Any] = {}
    turned = part.mirrored()
    for field, info in type(part).model_fields.items():
        if (info.alias or field) in since:
            continue
        new = getattr(turned, field)
        if isinstance(new, Where):
            new = _place(new, about, parts)
        elif isinstance(new, Guide):
            new = new.model_copy(update={"at": _place(new.at, about, parts)})
        elif (
            field == "centre_of_mass"
            and new is not None
            and not isinstance(part.held(), Still | Turns | Rides)
        ):
            new = (
                -new[0],
                -new[1],
            )  # where the x axis lies along the part, its y axis changes sides
        elif (
            field == "artwork"
            and new is not None
            and not isinstance(part.held(), Still | Turns | Rides)
        ):  # the same of what is drawn on it
            new = new.model_copy(update={"turned": new.turned + math.pi})
        changes[field] = new
    return part.model_copy(update=changes)


def _place(where: Where, about: Ref, parts: Mapping[str, Part]) -> Where:
    ref = where.ref
    if where.fitted_side:
        return replace(
            where,
            fitted_side={"right": "left", "left": "right"}.get(
                where.fitted_side, where.fitted_side
            ),
        )
    if ref is not None and (ref.part, ref.point) == (about.part, about.point):
        return replace(where, offset=(-where.offset[0], where.offset[1]))
    here, middle = absolute(where, parts), _absolute_point(about, parts)
    if here is None or middle is None:
        raise Wrong(
            "its place moves, so it can't be turned in the mirror",
            "a place measured from the mirror's own point",
        )
    return replace(where, offset=(middle[0] - here[0], here[1] - middle[1]), ref=about)


def absolute(where: Where, parts: Mapping[str, Part]) -> Point | None:
    """Give a place in the frame's own millimetres, None if it moves."""
    if where.ref is None:
        return where.offset
    base = _absolute_point(where.ref, parts)
    return (
        None
        if base is None or where.fitted_side
        else (base[0] + where.offset[0], base[1] + where.offset[1])
    )


def _absolute_point(ref: Ref, parts: Mapping[str, Part]) -> Point | None:
    part = parts[ref.part]
    held = part.held()
    if not isinstance(held, Still | Turns):
        return None
    point = part.points()[ref.point]
    if point != (0.0, 0.0) and isinstance(held, Turns):
        return None
    base = absolute(held.at, parts)
    return None if base is None else (base[0] + point[0], base[1] + point[1])
