"""How finely a scene must be run, and what the engine is told so that joints hold and contacts don't chatter."""

from __future__ import annotations

import math
from dataclasses import dataclass

SAMPLE = 1e-3  # s; the record's clock
STEPS = (2.5e-4, 2e-4, 1e-4, 5e-5, 4e-5, 2.5e-5, 2e-5, 1e-5)  # s; each divides a sample
TURN_A_STEP = 0.0044  # rad; a quarter of a degree: a cam's law is then met within 0.2 % of its acceleration
CORRECTION = 0.03  # share of a joint's error put right each step; 0.3 makes limit joints chatter and long chains diverge
JOINT_FUSE = (
    10.0  # mm/s; a joint that pulls apart faster than this is a fault, not a correction
)
SLOP = 1e-3  # mm; the engine's 0.1 can be seen
DEADBEAT = 0.999999  # contacts are put right within a step, by speeds that carry no momentum
ITERATIONS_FREE = 30  # up to 20 bodies
ITERATIONS_MANY = 60
ITERATIONS_WEDGE = 120  # a strong hand creeps through a wedge that 40 would hold
ITERATIONS_CONFIRM = 300
STIFFNESS_SHARE = 0.5  # of the largest k dt^2 / m that stays stable
JOINT_LIMIT = 0.05  # mm; a joint error above this can't be trusted
WEDGE_LIMIT = 0.01  # mm in 20 ms that a stem closes on its guide after solving; under 0.004 in runs that agree with finer ones, over 0.02 where a wedge is forced
RESIDUAL_LIMIT = 0.5  # % of the work in
MASS_RATIO_REMARK = 100.0
MASS_RATIO_LIMIT = 1000.0


@dataclass(frozen=True)
class Settings:
    """Step [s], solver iterations and the joints' firmness of one run."""

    dt: float
    iterations: int
    correction: float = CORRECTION

    @property
    def joint_bias(self) -> float:
        """What pymunk calls ``error_bias``: the share of an error left after one second."""
        return float((1 - self.correction) ** (1 / self.dt))

    @property
    def steps_a_sample(self) -> int:
        """Steps from one record to the next."""
        return round(SAMPLE / self.dt)

    def safer(self) -> Settings:
        """Settings to try after a run has gone wrong: softer joints, more iterations, then a shorter step and more still."""
        if self.correction == CORRECTION:
            return Settings(self.dt, self.iterations * 2, self.correction / 3)
        shorter = min(
            self.dt / 2, 5e-5
        )  # what joints lose in a fast swing goes with the step's square
        return Settings(
            next((dt for dt in STEPS if dt <= shorter), shorter),
            self.iterations * 2,
            self.correction,
        )

    def halved(self) -> Settings:
        """Half the step, for ``--verify``."""
        return Settings(
            next((dt for dt in STEPS if dt <= self.dt / 2), self.dt / 2),
            self.iterations,
            self.correction,
        )


def choose(
    body_count: int, has_curves: bool, has_guides: bool, fastest: float, stiffest: float
) -> Settings:
    """Choose step and iterations from what is in the scene.

    Parameters
    ----------
    body_count
        Moving bodies.
    has_curves, has_guides
        Whether there are exact contacts, and real guides that can wedge.
    fastest
        Greatest due turning speed of a shaft, 0 where nothing is driven. [rad/s]
    stiffest
        Greatest rate over the mass it works on, sqrt(k/m) of the stiffest spring or belt. [1/s]

    Returns
    -------
    Settings
        The largest step that keeps to all limits.

    Examples
    --------
    >>> choose(3, True, True, 3.77, 0.0)
    Settings(dt=0.0001, iterations=120, correction=0.03)
    >>> choose(2, False, False, 6.28, 0.0).dt
    0.00025
    """
    longest = 1e-4 if has_curves or has_guides else 2.5e-4
    # what nothing turns falls or springs, and nobody knows how fast
    longest = min(longest, TURN_A_STEP / fastest if fastest > 0 else 1e-4)
    if stiffest > 0:
        longest = min(longest, math.sqrt(STIFFNESS_SHARE * 4) / stiffest)
    dt = next((step for step in STEPS if step <= longest * (1 + 1e-9)), STEPS[-1])
    iterations = (
        ITERATIONS_WEDGE
        if has_guides
        else ITERATIONS_FREE
        if body_count <= 20
        else ITERATIONS_MANY
    )
    return Settings(dt, iterations, CORRECTION if body_count <= 40 else 0.01)
