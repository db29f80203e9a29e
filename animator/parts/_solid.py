"""Masses of plates and bars: closed forms for the shapes that makers cut. Nothing heavy is imported."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from animator.artwork.refusal import Unusable
from animator.geometry import Point
from animator.parts._contract import Part, Weight
from animator.parts._fields import Artwork, Shape

if TYPE_CHECKING:
    from animator.artwork.weighing import Spread


def disc(radius: float, surface_density: float, centre: Point = (0.0, 0.0)) -> Weight:
    """Weigh a round plate. surface_density [g/mm^2], radius [mm]

    Examples
    --------
    >>> disc(10, 0.01).inertia / disc(10, 0.01).mass  # r^2 / 2
    50.0
    """
    mass = math.pi * radius**2 * surface_density
    return Weight(mass, centre, mass * radius**2 / 2)


def bar(start: Point, end: Point, line_density: float, width: float = 0.0) -> Weight:
    """Weigh a straight bar. line_density [g/mm]

    Examples
    --------
    >>> bar((0, 0), (12, 0), 1.0).inertia  # m l^2 / 12
    144.0
    """
    length = math.dist(start, end)
    mass = line_density * length
    middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    return Weight(mass, middle, mass * (length**2 + width**2) / 12)


def plate(outline: Sequence[Point], surface_density: float) -> Weight:
    """Weigh a flat plate with any simple outline, either way round.

    Notes
    -----
    Sums over the outline's triangles from the origin (Green's theorem); exact for straight edges.

    Examples
    --------
    >>> plate([(0, 0), (12, 0), (12, 6), (0, 6)], 1.0)
    Weight(mass=72.0, centre=(6.0, 3.0), inertia=1080.0)
    """
    area = x = y = second = 0.0
    for (ax, ay), (bx, by) in zip(outline, (*outline[1:], outline[0]), strict=True):
        cross = ax * by - bx * ay
        area += cross / 2
        x += (ax + bx) * cross / 6
        y += (ay + by) * cross / 6
        second += cross * (ax * ax + ax * bx + bx * bx + ay * ay + ay * by + by * by) / 12
    if abs(area) < 1e-12:
        return Weight(0.0)
    x, y = x / area, y / area
    mass = abs(area) * surface_density
    return Weight(mass, (x, y), surface_density * abs(second) - mass * (x * x + y * y))


def together(weights: Iterable[Weight]) -> Weight:
    """Add weights that move as one.

    Examples
    --------
    >>> together([Weight(1.0, (0.0, 0.0)), Weight(1.0, (2.0, 0.0))])
    Weight(mass=2.0, centre=(1.0, 0.0), inertia=2.0)
    """
    rows = [weight for weight in weights if weight.mass > 0]
    mass = sum(row.mass for row in rows)
    if mass <= 0:
        return Weight(0.0)
    x = sum(row.mass * row.centre[0] for row in rows) / mass
    y = sum(row.mass * row.centre[1] for row in rows) / mass
    inertia = sum(
        row.inertia + row.mass * ((row.centre[0] - x) ** 2 + (row.centre[1] - y) ** 2)
        for row in rows
    )
    return Weight(mass, (x, y), inertia)


def shape(drawn: Shape, surface_density: float) -> Weight:
    """Weigh one shape of an artwork."""
    if drawn.disc is not None:
        return disc(drawn.disc / 2, surface_density, drawn.at)
    if drawn.block is not None:
        w, h = drawn.block
        x, y = drawn.at
        outline = [
            (x - w / 2, y - h / 2),
            (x + w / 2, y - h / 2),
            (x + w / 2, y + h / 2),
            (x - w / 2, y + h / 2),
        ]
    else:
        outline = [(px + drawn.at[0], py + drawn.at[1]) for px, py in drawn.outline or ()]
    return plate(outline, surface_density)


def artwork(drawn: Artwork, surface_density: float) -> Weight:
    """Weigh a drawn figure. surface_density [g/mm^2]

    Shapes drawn in the scene lie side by side, each counted whole where they overlap; what a file draws is sawn from one sheet.
    """
    if drawn.cut is None:
        whole = together(shape(one, surface_density) for one in drawn.shapes)
        return Weight(whole.mass, drawn.place(whole.centre), whole.inertia)
    spread = _spread(drawn)
    return Weight(
        spread.area * surface_density,
        drawn.place((spread.x, spread.y)),
        (spread.xx + spread.yy) * surface_density,
    )


def _spread(drawn: Artwork) -> "Spread":
    """Integrate over what a file draws; what can't be sawn is told where the scene names the file."""
    from animator.artwork.weighing import spread

    assert drawn.cut is not None
    try:
        found = spread(drawn.cut)
        if found.area < 1e-6:
            raise Unusable("nothing in it has an area to be sawn", "draw filled shapes")
    except Unusable as wrong:
        raise drawn.refusal(wrong) from None
    return found


def drawn_points(part: Part, own: Mapping[str, Point]) -> dict[str, Point]:
    """Give the points that a part's artwork names, but for those it has of its own. [mm]"""
    found = part.artwork.points if part.artwork is not None else {}
    return {name: at for name, at in found.items() if name not in own}


def spread_across(drawn: Artwork) -> float:
    """Mean square distance of a drawn figure from the upright line through its foot: what resists its turning about it. [mm^2]

    A shape drawn in the scene is taken as evenly spread over its width.

    Examples
    --------
    >>> spread_across(Artwork.model_validate({"shapes": [{"block": ["12", "40"]}]}))
    12.0
    """
    if drawn.cut is not None:
        whole = _spread(drawn)
        c, s = math.cos(drawn.turned), math.sin(drawn.turned)
        about_middle = c * c * whole.xx - 2 * c * s * whole.xy + s * s * whole.yy
        return about_middle / whole.area + drawn.place((whole.x, whole.y))[0] ** 2
    mass = total = 0.0
    for one in drawn.shapes:
        weight = shape(one, 1.0)
        if one.disc is not None:
            width = (
                one.disc * math.sqrt(3) / 2
            )  # a disc's own spread, r^2 / 4, written as a width
        elif one.block is not None:
            width = one.block[0]
        else:
            xs = [x for x, _ in one.outline or ()]
            width = max(xs) - min(xs)
        mass += weight.mass
        total += weight.mass * (width**2 / 12 + (weight.centre[0] - drawn.hung[0]) ** 2)
    return total / mass if mass else 0.0
