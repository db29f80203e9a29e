"""What a bearing takes besides mu W r: holes too tight, holes that point past each other, a film of oil; and what wears it.

Plain formulas in internal units; the bench lays them into the run as a brake on the part that turns.
"""

from __future__ import annotations

import math

# MPa; how stiff the wall of a hole is. Wood is taken across its grain (all from memory)
WALLS = {"wood": 900.0, "metal": 100_000.0, "plastic": 2500.0, "paper": 200.0, "felt": 10.0}
YIELDS = {"wood": 8.0, "metal": 250.0, "plastic": 50.0, "paper": 5.0, "felt": 1.0}
"""MPa; the pressure at which a hole's wall gives way, so that it never presses harder (from memory)."""
STEEL = 206_000.0  # MPa; a shaft's stiffness in bending where its stuff is metal
BAR = {
    "wood": 11_000.0,
    "metal": STEEL,
    "plastic": 3000.0,
}  # MPa; along the grain (from memory)
POINT_RADIUS = 0.3  # mm; a pointed screw rubs near its tip (common practice, no source)
OIL = 0.1  # Pa s; light machine oil in a room, ISO VG 46 at 20 degrees (from memory)
MPA = 1e6  # g/(mm s^2)


def squeeze_torque(tight: float, radius: float, length: float, family: str, mu: float) -> float:
    """Torque of a shaft in a hole that is too small for it. [g mm^2/s^2]

    Parameters
    ----------
    tight
        Shaft less hole. [mm]
    radius, length
        Of the shaft, and how long it lies in the hole. [mm]
    family
        Of the hole's stuff.
    mu
        Friction of the two.

    Notes
    -----
    The shaft is taken as stiff in a thick wall: p = E / (1 + 0.3) tight / d, the press fit of Lame for a wide hub (any text on machine elements), but no more
    than the wall bears. Torque mu p 2 pi r^2 l.

    Examples
    --------
    >>> squeeze_torque(0.0, 2.5, 9.0, "wood", 0.3)
    0.0
    """
    wall = WALLS.get(family, WALLS["wood"])
    pressure = min(wall / 1.3 * tight / (2 * radius), YIELDS.get(family, YIELDS["wood"]))
    return mu * pressure * MPA * math.tau * radius**2 * length


def edge_torque(
    out_of_line: float, play: float, radius: float, length: float, span: float,
    families: tuple[str, str], mu: float,
) -> float:  # fmt: skip
    """Torque of a shaft whose two holes point past each other by an angle [rad], so that it must bend. [g mm^2/s^2]

    Parameters
    ----------
    out_of_line
        Angle between the two holes. [rad]
    play
        Hole less shaft: it lets the shaft lean by play over length before anything bends. [mm]
    radius, length, span
        Of the shaft, how long it lies in each hole, and how far the holes stand apart. [mm]
    families
        Of shaft and hole.
    mu
        Friction of the two.

    Notes
    -----
    Bending a beam by theta at one end: M = 3 E I theta / span (any text on beams); the hole takes it as a pair of forces M / length at its two ends, each rubbing at
    the shaft's radius, and no harder than the wall bears on half the hole.
    """
    bent = max(0.0, out_of_line - play / length)
    stiff = BAR.get(families[0], STEEL) * MPA * math.pi * radius**4 / 4
    force = 3 * stiff * bent / span / length
    most = YIELDS.get(families[1], YIELDS["wood"]) * MPA * 2 * radius * length / 2
    return mu * 2 * min(force, most) * radius


def film_drag(radius: float, length: float, play: float) -> float:
    """Torque for each turning speed of a tube in an oiled tube. [g mm^2/s]

    Notes
    -----
    Petroff: 2 pi eta r^3 l / c with c half the play (any text on lubrication); 1 Pa s = 1 g/(mm s).

    Examples
    --------
    >>> round(film_drag(2.5, 30.0, 0.1), 1)
    5890.5
    """
    return math.tau * OIL * radius**3 * length / (play / 2)
