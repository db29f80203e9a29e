"""What may stand in one view and be used in another, and what is told where it can't."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from animator.parts._contract import Part, Rides, Slides, Still, Turns
from animator.parts._fields import Ref, references
from animator.parts._views import stands_on, view_of, wires_of
from animator.places import Place

UPRIGHT = 1e-6  # cosine of a direction's angle to the horizontal, for rounding only

Say = Callable[[Place | None, str, str], None]


def check_views(parts: Mapping[str, Part], say: Say) -> None:
    """Refuse what is used across views; an upright slide and what rides on it look the same in front and side.

    A place may be set out from a part of another view: the two views share what both of them show. Kinds that carry a motion across
    (``crosses_views``) judge by themselves.
    """
    views = {name: view_of(name, parts) for name in parts}
    said = False
    # what a part stands on first: what is pinned to it then follows by itself
    for look in (stands_on, references):
        for name, part in parts.items():
            if part.crosses_views:
                continue
            placed = (*_set_out(part), *wires_of(part)) if look is references else ()
            for ref in look(part):
                if look is stands_on and ref in _set_out(part):
                    continue
                if ref in placed or ref.part not in parts or ref == part.behind:
                    continue
                here, there = views[name], views[ref.part]
                if here != there and (
                    "top" in (here, there) or not is_upright(ref.part, parts)
                ):
                    say(
                        ref.place,
                        f"'{name}' is seen from the {here}, '{ref.part}' from the {there}",
                        f"'view: {there}', or another part",
                    )
                    said = True
        if said:
            return


def _set_out(part: Part) -> tuple[Ref, ...]:
    """Give the references its place is set out from, where it turns or stands in the frame."""
    held = part.held()
    if not isinstance(held, Turns | Still) or held.at.ref is None:
        return ()
    return (held.at.ref,)


def is_upright(name: str, parts: Mapping[str, Part]) -> bool:
    """Tell whether a part only moves up and down."""
    held = parts[name].held()
    if isinstance(held, Slides):
        return abs(math.cos(held.direction)) < UPRIGHT
    return isinstance(held, Rides) and held.on.part in parts and is_upright(held.on.part, parts)
