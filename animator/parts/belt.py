"""A belt round two pulleys: rubber band, spring belt, leather or string. It stretches, creeps and slips."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import model_validator

from animator.parts._belt_round import RoundLoop, senses, tangent
from animator.parts._contract import PARTS, Pen, Prediction, Standing, Workshop
from animator.parts._fields import Amount, Friction, Material, PartOf, Ref, Share, Yes
from animator.parts._loop import SEVERAL_WHEELS, Loop, SidePull
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion


@PARTS.add("belt")
class Belt(Loop):
    """``made of`` its stuff and thickness; laid on ``stretched`` by a share of its length, or with a ``tension``."""

    as_written = "loop: {kind: belt, around: [small pulley, big pulley], made of: rubber band 3, stretched: 12 %}"

    says: ClassVar[Mapping[str, str]] = {
        "around": "the pulleys it runs round, in the order in which it comes to them",
        "on_its_back": "those of them that press on it from outside, and so turn against the others",
        "made_of": "its stuff and its thickness",
        "crossed": "yes: crossed, so that the pulleys turn opposite ways",
        "stretched": "by what share of its length it was stretched when it was laid on",
        "tension": "its pull when it stands still",
        "friction": "of belt on pulley; left out, that of the two materials",
    }

    also_called = ("drive belt", "band drive")
    one_of: ClassVar[tuple[str, ...]] = ("stretched", "tension")
    examples: ClassVar[Mapping[str, str]] = {
        "made_of": "rubber band 3",
        "on_its_back": "[tensioner]",
    }

    around: Annotated[tuple[Annotated[Ref, PartOf("pulley")], ...], SEVERAL_WHEELS]
    made_of: Material
    on_its_back: tuple[Annotated[Ref, PartOf("pulley")], ...] = ()
    crossed: Yes = False
    stretched: Share | None = None
    tension: Annotated[float, Amount(("force",), above=0)] | None = None
    friction: Friction | None = None

    @model_validator(mode="after")
    def _can_stretch(self) -> "Belt":
        stuff = self.made_of.stuff
        if stuff.axial_stiffness(1.0) is None:
            raise Wrong(
                f"'{stuff.name}' makes no belt",
                "'rubber band 3', 'spring belt 4', 'round leather 4' or 'string 2'",
                key="made of",
            )
        if not self.made_of.size:
            raise Wrong(
                "a belt says how thick it is", f"'made of: {stuff.name} 3'", key="made of"
            )
        if self.stretched is not None and self.stretched > 1:
            raise Wrong(
                "stretched to more than twice its length", "at most 100 %", key="stretched"
            )
        return self

    @model_validator(mode="after")
    def _crosses_between_two(self) -> "Belt":
        if self.crossed and len(self.around) > 2:
            raise Wrong(
                "a crossed belt runs round two pulleys",
                "'crossed: no'; a pulley on the belt's back turns the other way",
                key="crossed",
            )
        return self

    @model_validator(mode="after")
    def _is_pressed_by_its_own(self) -> "Belt":
        own = [wheel.text for wheel in self.around]
        for wheel in self.on_its_back:
            if wheel.text not in own:
                raise Wrong(
                    f"'{wheel.text}' presses on the belt, but the belt doesn't run past it",
                    f"'around: [{', '.join([*own, wheel.text])}]', at its place in the order",
                    key="on its back",
                )
        if len(own) - len(self.on_its_back) < 2:
            raise Wrong("a belt needs two wheels inside it", "another wheel", key="on its back")
        return self

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if len(self.around) == 2:
            return  # told with what mends it where the wheels stand
        names = [wheel.part for wheel in self.around]
        centres = [piece.pose(name)[:2] for name in names]
        ways = senses(centres, self.outside(names))
        radii = [piece.parts[name].diameter / 2 for name in names]  # type: ignore[attr-defined]
        for i, name in enumerate(names):
            after = (i + 1) % len(names)
            if (
                tangent(
                    centres[i], ways[i] * radii[i], centres[after], ways[after] * radii[after]
                )
                is None
            ):
                apart = math.dist(centres[i], centres[after])
                yield Wrong(
                    f"'{name}' and '{names[after]}' overlap: they stand {apart:.1f} mm apart and reach {radii[i]:g} and {radii[after]:g} mm",
                    f"places at least {math.ceil(radii[i] + radii[after] + 2)} mm apart",
                    key="around",
                )

    @property
    def axial_stiffness(self) -> float:
        """Force that would double the belt's length, E A. [g mm/s^2]"""
        return self.made_of.stuff.axial_stiffness(self.made_of.size) or 0.0

    def build(self, shop: Workshop) -> None:
        wheels = shop.driver_first(self)
        loop = (
            ElasticLoop(shop, self, *wheels)
            if len(wheels) == 2
            else RoundLoop(shop, self, wheels)
        )
        shop.before_step(loop.act)
        shop.store(self.name, loop.energy)
        shop.channel(f"{self.name}.tension", "force", lambda: max(loop.tensions))
        shop.channel(f"{self.name}.slack tension", "force", lambda: min(loop.tensions))
        shop.channel(f"{self.name}.slack", "length", lambda: loop.slack)
        shop.slips(self.name, loop)

    def draw(self, pen: Pen) -> None:
        slip = pen.motion.slips.get(self.name)
        if len(self.around) > 2:
            names = [wheel.part for wheel in self.around]
            while slip is not None and names[0] != slip.driver:
                names.append(names.pop(0))
            pen.nearer_than(names).belt_round(
                names,
                self.outside(names),
                self.made_of.size,
                self.made_of.name,
                (lambda now: now.of(slip.got)) if slip is not None else None,
            )
            return
        first, second = (
            (slip.driver, slip.driven)
            if slip is not None
            else (wheel.part for wheel in self.around)
        )
        parts = pen.scene.parts
        radii = parts[first].diameter / 2, parts[second].diameter / 2
        travel = (lambda now: now.of(slip.got)) if slip is not None else None
        front = pen.nearer_than((first, second))
        stuff, size = self.made_of.name, self.made_of.size
        if slip is None or self.made_of.stuff.coil_wire is not None:
            front.belt((first, second), radii, size, stuff, self.crossed, travel)
            return
        # stretched rubber gets thinner: its volume stays. The driver draws the tight span in.
        goes_on = slip.due[-1] >= slip.due[0]
        pulls = [f"{self.name}.slack tension", f"{self.name}.tension"]
        there, back = pulls if goes_on else pulls[::-1]
        stiff = self.axial_stiffness

        def strains(now: Any) -> tuple[float, float]:
            return now.value(there) / stiff, now.value(back) / stiff

        def excess(now: Any) -> float:
            return float(now.value(f"{self.name}.slack"))

        front.belt((first, second), radii, size, stuff, self.crossed, travel, strains, excess)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Creep from the recorded tensions: what the tight side carries over is stretched, what comes back is not."""
        tight = float(motion.channels[f"{self.name}.tension"].values[motion.begins :].mean())
        loose = float(
            motion.channels[f"{self.name}.slack tension"].values[motion.begins :].mean()
        )
        stiff = self.axial_stiffness
        yield Prediction(
            f"{self.name}.slip",
            (tight - loose) / (stiff + tight),
            "creep of an elastic belt, (e1 - e2) / (1 + e1) from its mean tensions; any text on belt drives, exact in strains",
        )


class ElasticLoop:
    """An elastic belt round two pulleys.

    State: the unstretched length in each of its two spans. A turning pulley carries belt from one span to the other with the
    stretch of the side it comes from, so that creep comes out by itself; where one tension exceeds the other by more than the capstan's
    exp(mu phi), belt is let through at the pulley with the smaller wrap until it doesn't. A belt never pushes.

    ``due`` and ``got`` count the travel of both rims, ``rubbed`` what was let through. [mm]
    """

    LOSS_TIME = 0.02  # s; damping over stiffness of soft rubber. It only quiets the ringing after the start (estimate, no source)

    def __init__(self, shop: Workshop, belt: Belt, driver: str, driven: str) -> None:
        parts = shop.scene.parts
        self.driver, self.driven = driver, driven
        self.radii = parts[driver].diameter / 2, parts[driven].diameter / 2
        a, b = (shop.body(name) for name in (driver, driven))
        self._bodies = a, b
        self._dt = shop.dt
        centres = [shop.pose(name)[:2] for name in (driver, driven)]
        wraps, span = wrap_angles(self.radii, math.dist(*centres), belt.crossed)
        self._sense = -1.0 if belt.crossed else 1.0
        self._pull = SidePull(shop, (driver, driven), self.radii, belt.crossed)
        self._most = min(
            math.exp(
                shop.friction(belt.friction, belt.made_of.name, shop.stuff_of(parts[name])[0])
                * wrap
            )
            for name, wrap in zip((driver, driven), wraps, strict=True)
        )
        self._stiffness = belt.axial_stiffness
        strain = (
            belt.stretched
            if belt.stretched is not None
            else (belt.tension or 0.0) / self._stiffness
        )
        self._span = span
        self._slack_length = [span / (1 + strain)] * 2
        self._stretch = [span - span / (1 + strain)] * 2
        self.tensions = (self._stiffness * strain,) * 2
        inertias = [shop.turning_inertia(name) for name in (driver, driven)]
        ease = sum(
            radius**2 / inertia for radius, inertia in zip(self.radii, inertias, strict=True)
        )
        rate = 2 * self._stiffness / self._slack_length[0]
        shop.stiff(rate, 1 / ease)
        # damping may take at most a tenth of what would make the step unstable
        self._damping = min(self.LOSS_TIME * rate / 2, 0.1 * 4 / (2 * 2 * self._dt * ease))
        self._angles = [body.angle + self._dt * body.angular_velocity for body in self._bodies]
        self.due = self.got = self.rubbed = 0.0
        self._rub = shop.heat(f"{belt.name} rubbing")
        self._creep = shop.heat(f"{belt.name} creeping")
        self._inner = shop.heat(f"inside {belt.name}")

    def act(self, t: float) -> None:
        """Move belt over the pulleys and pull on both."""
        dt, stiff, (a, b), (ra, rb) = self._dt, self._stiffness, self._bodies, self.radii
        angle_a = a.angle + dt * a.angular_velocity
        angle_b = b.angle + dt * b.angular_velocity
        moved_a = (angle_a - self._angles[0]) * ra
        moved_b = (angle_b - self._angles[1]) * rb * self._sense
        self._angles = [angle_a, angle_b]
        self.due += moved_a
        self.got += moved_b
        tight, loose = (
            self.tensions
        )  # of span 1 (drawn in by the driver as it turns anticlockwise) and span 2
        over_a = moved_a / (1 + (tight if moved_a > 0 else loose) / stiff)
        over_b = moved_b / (1 + (loose if moved_b > 0 else tight) / stiff)
        n1 = self._slack_length[0] + over_b - over_a
        n2 = self._slack_length[1] + over_a - over_b
        k1, k2 = stiff / n1, stiff / n2
        e1, e2 = self._span - n1, self._span - n2
        quick = self._damping / dt
        was1, was2 = self._stretch
        t1, t2 = k1 * e1 + quick * (e1 - was1), k2 * e2 + quick * (e2 - was2)
        let = 0.0
        most = self._most
        if t1 > most * t2:
            let = (t1 - most * t2) / (k1 + quick + most * (k2 + quick))
        elif t2 > most * t1:
            let = -(t2 - most * t1) / (k2 + quick + most * (k1 + quick))
        if let:
            n1, n2 = n1 + let, n2 - let
            t1, t2 = t1 - let * (k1 + quick), t2 + let * (k2 + quick)
            e1, e2 = e1 - let, e2 + let
        t1, t2 = max(t1, 0.0), max(t2, 0.0)
        pull = t1 - t2
        if let:
            self.rubbed += abs(let) * (
                1 + 0.5 * (t1 + t2) / stiff
            )  # as it lies stretched on the rim
            self._rub.total += abs(pull * let) * (1 + 0.5 * (t1 + t2) / stiff)
        self._creep.total += (abs(over_a) + abs(over_b)) * pull * pull / (2 * stiff)
        self._inner.total += quick * ((e1 - was1) ** 2 + (e2 - was2) ** 2)
        self._slack_length = [n1, n2]
        self._stretch = [e1, e2]
        self.tensions = t1, t2
        a.torque -= pull * ra
        b.torque += pull * rb * self._sense
        self._pull.act(t1, t2)

    @property
    def slack(self) -> float:
        """How much too long the looser span is for lying straight. [mm]"""
        return max(0.0, -min(self._stretch))

    def recount(self) -> None:
        """Count both rims' travel from here."""
        self.due = self.got = self.rubbed = 0.0

    def energy(self) -> float:
        """Energy stored in both spans. [g mm^2/s^2]"""
        return (
            self._stiffness
            / 2
            * sum((self._span / length - 1) ** 2 * length for length in self._slack_length)
        )


def wrap_angles(
    radii: tuple[float, float], centres: float, is_crossed: bool
) -> tuple[tuple[float, float], float]:
    """Angles over which a belt lies on two pulleys [rad], and the length of a free span [mm].

    Parameters
    ----------
    radii
        Of the belt's centre line on both pulleys. [mm]
    centres
        Distance of the axes, more than the radii differ (crossed: than their sum). [mm]
    is_crossed
        Whether the spans cross.

    Notes
    -----
    Exact: open, pi -+ 2 asin((r2 - r1) / C); crossed, both pi + 2 asin((r1 + r2) / C) (any text on belt drives).

    Examples
    --------
    >>> [round(math.degrees(angle), 4) for angle in wrap_angles((20, 10), 100, False)[0]]
    [191.4783, 168.5217]
    """
    a, b = radii
    lean = math.asin((a + b) / centres if is_crossed else (b - a) / centres)
    if is_crossed:
        return (math.pi + 2 * lean, math.pi + 2 * lean), centres * math.cos(lean)
    return (math.pi - 2 * lean, math.pi + 2 * lean), centres * math.cos(lean)


def belt_length(radii: tuple[float, float], centres: float, is_crossed: bool) -> float:
    """Length of a belt's centre line, exact. [mm]

    Examples
    --------
    >>> round(belt_length((20, 10), 100, False), 5), round(belt_length((20, 10), 100, True), 5)
    (295.24862, 303.31718)
    """
    wraps, span = wrap_angles(radii, centres, is_crossed)
    return 2 * span + sum(radius * wrap for radius, wrap in zip(radii, wraps, strict=True))
