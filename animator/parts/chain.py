"""A chain round two sprockets: it doesn't slip, and turns a little unevenly because its links are straight."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar

from animator.parts._contract import PARTS, Pen, Prediction, Workshop
from animator.parts._fields import Length, PartOf, Ref, Size
from animator.parts._loop import TWO_WHEELS, Loop, SidePull

if TYPE_CHECKING:
    from animator.motion.motion import Motion


@PARTS.add("chain")
class Chain(Loop):
    """Links of one ``pitch``; ``slack`` is how much too long the loop is (left out: what whole links leave over)."""

    as_written = "chain: {kind: chain, around: [small sprocket, big sprocket], pitch: 6.35}"

    says: ClassVar[Mapping[str, str]] = {
        "around": "the two sprockets it runs round",
        "pitch": "from one pin of its links to the next",
        "slack": "how much too long it is; left out, what whole links leave over",
    }

    around: Annotated[tuple[Annotated[Ref, PartOf("sprocket")], ...], TWO_WHEELS]
    pitch: Size
    slack: Length | None = None

    def build(self, shop: Workshop) -> None:
        first, second = shop.driver_first(self)
        loop = LinkLoop(shop, self, first, second)
        shop.before_step(loop.act)
        shop.channel(f"{self.name}.speed", "speed", lambda: loop.speed)
        shop.channel(f"{self.name}.pull", "force", lambda: loop.pull)
        shop.slips(self.name, loop)

    def draw(self, pen: Pen) -> None:
        parts = pen.scene.parts
        first, second = (wheel.part for wheel in self.around)
        start = pen.start(first).angle
        pen.nearer_than((first, second)).chain(
            (first, second),
            (parts[first].teeth, parts[second].teeth),
            self.pitch,
            lambda now: now.pose(first).angle - start,
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        teeth = motion.scene.parts[motion.slips[self.name].driver].teeth  # type: ignore[attr-defined]
        yield Prediction(
            f"{self.name}.ripple",
            1 - math.cos(math.pi / teeth),
            "polygon effect, 1 - cos(pi / z) (Shigley; Mott)",
        )


class LinkLoop:
    """A tight chain: its straight links make polygons of both sprockets, so the ratio swings a little with every tooth.

    The engine's gear joint holds the two angles; its ratio and phase are set anew before every step from the polygons. Nothing can slip.
    """

    def __init__(self, shop: Workshop, chain: Chain, driver: str, driven: str) -> None:
        parts = shop.scene.parts
        self.driver, self.driven = driver, driven
        teeth = parts[driver].teeth, parts[driven].teeth
        self._teeth = teeth
        self._pitch = chain.pitch
        self.radii = pitch_radius(chain.pitch, teeth[0]), pitch_radius(chain.pitch, teeth[1])
        self._bodies = shop.body(driver), shop.body(driven)
        self._pull = SidePull(shop, (driver, driven), self.radii, is_crossed=False)
        self._starts = tuple(body.angle for body in self._bodies)
        self._dt = shop.dt
        self._joint = shop.gear(*self._bodies, teeth[1] / teeth[0])
        self.speed = 0.0
        self._begun: tuple[float, float] | None = None
        self.due = self.got = self.rubbed = 0.0

    @property
    def pull(self) -> float:
        """Force in the tight span. [g mm/s^2]"""
        return float(self._joint.impulse / self._dt / self.radii[1])

    def _run(self, wheel: int, angle: float) -> tuple[float, float]:
        """Chain drawn in by a sprocket turned by an angle [mm], and how much an angle more draws in [mm/rad]."""
        return polygon_run(self._teeth[wheel], self.radii[wheel], self._pitch, angle)

    def recount(self) -> None:
        """Count both wheels' chain from here."""
        self._begun = None
        self.due = self.got = 0.0

    def act(self, t: float) -> None:
        """Set the joint to the polygons as they will stand after this step."""
        a, b = self._bodies
        turn_a = a.angle + self._dt * a.angular_velocity - self._starts[0]
        turn_b = b.angle + self._dt * b.angular_velocity - self._starts[1]
        run_a, arm_a = self._run(0, turn_a)
        run_b, arm_b = self._run(1, turn_b)
        if self._begun is None:
            self._begun = run_a, run_b
        self.due, self.got = run_a - self._begun[0], run_b - self._begun[1]
        ratio = arm_b / arm_a
        self._joint.ratio = ratio
        # the joint wants angle_b * ratio - angle_a = phase; it is told the phase that leaves just the chain's own error to mend
        self._joint.phase = (
            (turn_b + self._starts[1]) * ratio
            - (turn_a + self._starts[0])
            - (self.got - self.due) / arm_a
        )
        self.speed = arm_a * a.angular_velocity
        half = (
            self.pull / 2
        )  # which side is the tight one, the joint doesn't tell; both draw the sprockets together nearly alike
        self._pull.act(half, half)


def pitch_radius(pitch: float, teeth: int) -> float:
    """Radius on which the pins of a chain lie round a sprocket, p / (2 sin(pi / z)) (ISO 606, annex A). [mm]

    Examples
    --------
    >>> round(2 * pitch_radius(1.0, 12), 4)
    3.8637
    """
    return pitch / (2 * math.sin(math.pi / teeth))


def polygon_run(teeth: int, radius: float, pitch: float, angle: float) -> tuple[float, float]:
    """Chain drawn in by a sprocket, and its slope: a polygon of ``teeth`` sides rolls the chain off side by side.

    Parameters
    ----------
    radius, pitch
        Of the pins' circle, and a side of the polygon. [mm]
    angle
        Turned since a pin stood at the tangent point. [rad]
    """
    share = 2 * math.pi / teeth
    sides = math.floor(angle / share + 0.5)
    rest = angle - sides * share
    return radius * math.sin(rest) + sides * pitch, radius * math.cos(rest)
