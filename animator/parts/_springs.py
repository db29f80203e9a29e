"""What springs of every sort share: how stiff and how strong their stuffs are, the loss of a working cycle, a twist between two parts."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from animator.parts._contract import Workshop
from animator.parts._fields import Ref, Stuff
from animator.registry import nearest
from animator.units import Wrong

MEGAPASCAL = 1e6  # g/(mm s^2); 1 N/mm^2
SPRING_STEEL = Stuff("spring steel")
SHEAR_SHARE = 0.45  # of the tensile strength; cold-drawn wire twisted farther sets (Shigley, helical springs under static load, before set is removed; from memory)
SHEAR_BREAKS = 0.67  # of the tensile strength; twisted so far it breaks (same source)
BEND_SHARE = 0.78  # of the tensile strength; wire bent farther sets (Shigley, torsion springs, cold-drawn carbon steel; from memory)


@dataclass(frozen=True)
class Bending:
    """How a stuff bends: Young's modulus and the stress at the surface that it bears again and again. [MPa]"""

    young: float
    bears: float


# Young's moduli and what a strip bears in bending. Metals: usual tables (EN 10270-1 for spring wire, EN 10132-4 for strip); 110 GPa of brass as in the
# worked strip of the checks; woods along the grain, ply along its face grain, card and paper along the machine. All from memory; bend your own before relying on it.
BENDING: Mapping[str, Bending] = {
    "spring steel": Bending(206_000, 1000),
    "steel": Bending(206_000, 250),
    "brass": Bending(110_000, 250),
    "copper": Bending(120_000, 120),
    "aluminium": Bending(70_000, 120),
    "birch ply": Bending(9_000, 35),
    "ply": Bending(7_000, 25),
    "birch": Bending(14_000, 70),
    "beech": Bending(14_000, 80),
    "pine": Bending(10_000, 50),
    "oak": Bending(11_000, 60),
    "walnut": Bending(11_500, 60),
    "lime": Bending(9_500, 50),
    "balsa": Bending(3_400, 12),
    "card": Bending(3_000, 25),
    "paper": Bending(3_000, 25),
    "acrylic": Bending(3_000, 40),
    "nylon": Bending(2_500, 40),
    "linen": Bending(500, 20),
    "leather": Bending(60, 10),
}
# Tensile strength of drawn wire A / d^m, d in mm: music wire and hard-drawn wire (Shigley, constants of the tensile strength of spring wires; from memory).
WIRE: Mapping[str, tuple[float, float]] = {
    "spring steel": (2211.0, 0.145),
    "steel": (1783.0, 0.190),
}


def bending_of(stuff: str, key: str = "material") -> Bending:
    """Look up how a stuff bends, or refuse what makes no spring."""
    if stuff not in BENDING:
        mend = nearest(stuff, BENDING) or "spring steel"
        raise Wrong(f"'{stuff}' doesn't spring back", f"'{mend}'", key=key)
    return BENDING[stuff]


def tensile(stuff: str, wire: float) -> float:
    """Tensile strength of drawn wire; diameters from 0.1 to 6.5 mm. [MPa]

    Examples
    --------
    >>> round(tensile("spring steel", 0.94))  # 0.037 in of music wire: 2231 MPa
    2231
    """
    factor, power = WIRE.get(stuff, WIRE["steel"])
    return float(factor / wire**power)


def wahl(index: float) -> float:
    """Wahl's factor for the stress at the inner side of a coil; ``index`` mean diameter over wire, above 3.

    Notes
    -----
    (4C - 1)/(4C - 4) + 0.615/C (Shigley, Mechanical Engineering Design, mechanical springs).

    Examples
    --------
    >>> round(wahl(10), 4)
    1.1448
    """
    return (4 * index - 1) / (4 * index - 4) + 0.615 / index


def strip_rate(young: float, width: float, thickness: float, length: float) -> float:
    """Force for each millimetre at the end of a strip clamped at its root: E b h^3 / (4 L^3). young [MPa], lengths [mm] -> [g/s^2]

    Small bending: within 1 % while the end gives way by less than a seventh of the length.

    Examples
    --------
    >>> round(strip_rate(110_000, 10, 0.5, 40) / 1e6, 4)  # a brass strip, N/mm
    0.5371
    """
    return MEGAPASCAL * young * width * thickness**3 / (4 * length**3)


# A thin bar clamped at one end and pushed square to itself elsewhere: force across over 3 E I q / s^2, q the depth over the way s along the unbent bar, is
# 1 / (1 + A q^2 + B q^4): fitted to the exact curve (elastica, solved by shooting), within 0.02 % to q = 0.45 and 0.3 % to 0.5.
ELASTICA_A, ELASTICA_B = 2.56033, 2.51714
_ROOT = math.sqrt(4 * ELASTICA_B - ELASTICA_A**2)


def bent_bar(q: float) -> tuple[float, float]:
    """Energy times s over E I, and force across times s^2 over E I, of a thin bar bent ``q`` times the way to where it is pushed, up to a half.

    The push is square to the bar; its slope there is q + energy / force. For little bending 3 q^2 / 2 and 3 q, the cantilever of the textbooks.

    Examples
    --------
    >>> energy, across = bent_bar(0.2)
    >>> round(across / 0.6, 4), round((0.2 + energy / across) / 0.3, 4)  # exactly: 0.9037, 1.0174
    (0.9038, 1.0174)
    """
    u = q * q
    across = 3 * q / (1 + ELASTICA_A * u + ELASTICA_B * u * u)
    turn = math.atan((2 * ELASTICA_B * u + ELASTICA_A) / _ROOT) - math.atan(ELASTICA_A / _ROOT)
    return 3 / _ROOT * turn, across


class Loss:
    """What a working cycle costs: a rubbing that grows with the pull, behind a short stiff spring of its own.

    It never gives more back than was put in: every slip of it is heat, and while it sticks its own little spring keeps the energy.

    Parameters
    ----------
    share
        Of the work put in, lost each time it is loaded and let go, below 1.
    stiffness
        Of the sticking. [force or torque a unit of way]
    """

    def __init__(self, share: float, stiffness: float) -> None:
        self._most = share / (2 - share)  # of the elastic pull
        self.stiffness = stiffness
        self._stuck = 0.0
        self._force = 0.0
        self._slipped = 0.0
        self.spent = 0.0
        """Heat of the last move."""

    def move(self, way: float, pull: float) -> float:
        """Give the rubbing after it has moved on by ``way`` with an elastic pull; along the pull where it is being loaded."""
        limit = self._most * abs(pull)
        tried = self.stiffness * (self._stuck + way)
        force = min(max(tried, -limit), limit)
        stuck = force / self.stiffness
        self._slipped = self._stuck + way - stuck
        # heat by the mean of the rubs before and after, as the books take the work
        self.spent = self._slipped * 0.5 * (force + self._force)
        self._stuck, self._force = stuck, force
        return force

    def stored(self, lead: float = 0.0) -> float:
        """Energy kept by the sticking, ``lead`` farther on while it sticks."""
        stuck = self._stuck + (lead if self._slipped == 0.0 else 0.0)
        return self.stiffness * stuck**2 / 2


class Twist:
    """A torque between two parts that follows how far they are turned against each other, taken where they will be after the step.

    Parameters
    ----------
    first, second
        Names of the part it stands against ('frame' for none) and of the part it turns.
    rate
        Torque for each radian. [g mm^2/s^2]
    preload, sense
        Torque at the start and the way it pushes (+1 anticlockwise), which it then never leaves; sense 0: fast at both ends, to and fro about ``rest``. [g mm^2/s^2]
    rest
        Angle of the second against the first, from the start, at which nothing is felt. Only where sense is 0. [rad]
    loss
        Share of the work put in that a cycle costs.
    """

    STICKING = 8.0  # times as stiff as the spring itself; stiffer would ask for a finer step

    def __init__(
        self,
        shop: Workshop,
        name: str,
        first: str,
        second: str,
        rate: float,
        preload: float = 0.0,
        sense: int = 0,
        rest: float = 0.0,
        loss: float = 0.0,
    ) -> None:
        static = shop.space.static_body
        self._first = static if first in ("", "frame") else shop.body(first)
        self._second = shop.body(second)
        self._is_static = self._first is static
        self._dt, self._start = shop.dt, self._second.angle - self._first.angle
        self.rate, self.sense = rate, sense
        self._rest = rest if sense == 0 else sense * preload / rate
        self.turned = 0.0  # from the start, at the predicted state
        self.torque = 0.0
        self._loss = Loss(loss, self.STICKING * rate) if loss else None
        self._heat = shop.heat(f"flexing of {name}") if loss else None
        self._last: float | None = None
        turning = [second] if self._is_static else [first, second]
        ease = sum(1 / shop.turning_inertia(part) for part in turning)
        if ease > 0:
            stiffest = rate * (1 + (self.STICKING * loss if loss else 0.0))
            shop.stiff(stiffest, 1 / ease)
        shop.before_step(self.act)
        shop.store(name, self.energy)

    def _away(self, ahead: float) -> float:
        """How far it is turned from where it rests, so many seconds ahead. [rad]"""
        second, first = self._second, self._first
        turned = second.angle + ahead * second.angular_velocity - self._start
        if not self._is_static:
            turned -= first.angle + ahead * first.angular_velocity
        return float(turned) - self._rest

    def _elastic(self, away: float) -> float:
        torque = -self.rate * away
        return 0.0 if self.sense and torque * self.sense <= 0 else torque

    def act(self, t: float) -> None:
        """Turn both against each other."""
        away = self._away(self._dt)
        torque = self._elastic(away)
        self.turned = away + self._rest
        if self._loss is not None and self._heat is not None:
            way = 0.0 if self._last is None else away - self._last
            torque -= self._loss.move(way, torque)
            self._heat.total += self._loss.spent
            self._last = away
        self.torque = torque
        self._second.torque += torque
        if not self._is_static:
            self._first.torque -= torque

    def energy(self) -> float:
        """Energy stored. [g mm^2/s^2]"""
        # taken half a step ahead, between the angles at which the torques before and after are
        away = self._away(self._dt / 2)
        stored = 0.0 if self.sense and away * self.sense >= 0 else self.rate * away**2 / 2
        if self._loss is not None and self._last is not None:
            stored += self._loss.stored(away - self._last)
        return stored


class Ends:
    """Two points of parts between which something pulls or pushes, and where they will be after the step."""

    def __init__(self, shop: Workshop, refs: tuple[Ref, Ref]) -> None:
        self._bodies = [shop.body(ref.part) for ref in refs]
        self.places = [shop.start_point(ref.part, ref.point) for ref in refs]
        self._locals = [
            body.world_to_local(place)
            for body, place in zip(self._bodies, self.places, strict=True)
        ]
        self._static = [body is shop.space.static_body for body in self._bodies]
        self._dt = shop.dt
        self.ease = sum(
            1 / shop.mass_felt(ref.part, place)
            for ref, place in zip(refs, self.places, strict=True)
        )
        """What a unit of force moves them towards each other, both together. [1/g]"""
        self._ahead = [(0.0, 0.0), (0.0, 0.0)]

    def _end(self, i: int) -> tuple[float, float, float, float]:
        """Place of an end now, and where it will be after the step."""
        if self._static[i]:
            x, y = self.places[i]
            return x, y, x, y
        body = self._bodies[i]
        x, y = body.local_to_world(self._locals[i])
        vx, vy = body.velocity_at_world_point((x, y))
        return x, y, x + self._dt * vx, y + self._dt * vy

    def length(self) -> float:
        """How far apart they will be after the step; the places are kept for ``pull``. [mm]"""
        for i in (0, 1):
            self._ahead[i] = self._end(i)[2:]
        return math.dist(*self._ahead)

    def middle_length(self) -> float:
        """How far apart they are half a step ahead, between the places at which the forces before and after are taken. [mm]"""
        (ax, ay, ax1, ay1), (bx, by, bx1, by1) = self._end(0), self._end(1)
        return math.hypot(bx + bx1 - ax - ax1, by + by1 - ay - ay1) / 2

    def pull(self, force: float) -> None:
        """Pull them together (below 0: push them apart), at the places of the last ``length``. [g mm/s^2]"""
        (ax, ay), (bx, by) = self._ahead
        length = math.hypot(bx - ax, by - ay)
        if not force or length < 1e-9:
            return
        fx, fy = force * (bx - ax) / length, force * (by - ay) / length
        for i, sign in ((0, 1.0), (1, -1.0)):
            if not self._static[i]:
                body, (x, y) = self._bodies[i], self._ahead[i]
                # the engine moves the body first: the arm is that after the step
                vx, vy = body.velocity
                body.apply_force_at_world_point(
                    (sign * fx, sign * fy), (x - self._dt * vx, y - self._dt * vy)
                )
