"""The energy books of a run: every entry from its own force and motion, the residual left over to show what the reckoning is worth.

A step takes each body from velocity v to v'. Each force's work is its impulse times the mean of the two; the sum over all forces is then exactly
the change of kinetic energy, whatever order the engine applied them in. Nothing is booked by subtraction.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.motion import Floats, Ledger

if TYPE_CHECKING:
    from animator.parts._contract import Weight


def keep_books(
    bodies: Floats,
    weights: Sequence[Weight],
    heat: Mapping[str, Floats],
    work: Mapping[str, Floats],
    stored: Sequence[Floats],
    fall: Floats,
    lead: float = 0.0,
) -> Ledger:
    """Reckon what is stored and what is left over.

    Parameters
    ----------
    bodies
        (time_count, body_count, 6): centre of mass x, y [mm], angle [rad], and their speeds.
    weights
        Mass and inertia of each body.
    heat, work
        Running totals by place. [g mm^2/s^2]
    stored
        Energy of each spring and belt. [g mm^2/s^2]
    fall
        Pull of weight on each body. [mm/s^2]
    lead
        Half a step of the reckoning: the mean of the speeds before and after a step carries a body from half a step before its place to half
        a step after it, so that is where the height is taken. [s]
    """
    count = len(bodies)
    mass = np.array([weight.mass for weight in weights])
    inertia = np.array([weight.inertia for weight in weights])
    speeds = bodies[..., 3:]
    kinetic = 0.5 * (
        mass * (speeds[..., 0] ** 2 + speeds[..., 1] ** 2) + inertia * speeds[..., 2] ** 2
    ).sum(1)
    potential = (mass * fall * (bodies[..., 1] + lead * bodies[..., 4])).sum(1)
    spring = np.sum(stored, axis=0) if stored else np.zeros(count)
    kinetic, potential, spring = (
        kinetic - kinetic[:1],
        potential - potential[:1],
        spring - spring[:1],
    )
    zero = np.zeros(count)
    residual = (
        sum(work.values(), zero) - sum(heat.values(), zero) - kinetic - potential - spring
    )
    return Ledger(dict(work), dict(heat), kinetic, potential, spring, residual)
