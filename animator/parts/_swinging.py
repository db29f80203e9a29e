"""What a lever that follows a cam is made of besides its arms: its turning spring, its side guides, and where it rests on its cam."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import model_validator

from animator.geometry import Point, polar
from animator.outlines import Swing, lift_of, stance_in, start_reach, swing_of, tip_of
from animator.outlines.scenes import laid_out, laid_out_for
from animator.parts._contract import Pen, Standing, Workshop
from animator.parts._fields import Amount, Force, Friction, Size, Torque, Words
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.parts.lever import Lever

TurningRate = Annotated[float, Amount(("turning rate",), above=0)]
FARTHEST = math.radians(
    15
)  # a lever drawn farther off its cam than this isn't what its maker meant
PIN_FRICTION = 0.2  # of a roller on its greased pin, as on a follower
PIN_RADIUS = 1.5  # mm


class TurningSpring(Words):
    """Turns a lever onto its cam: ``torque`` at the start, ``rate`` how much it grows for each degree."""

    sample_text: ClassVar[str] = "{torque: 20 N mm, rate: 0.2 N mm/deg}"
    says: ClassVar[Mapping[str, str]] = {
        "torque": "with which it turns the lever onto its cam at the start",
        "rate": "how much that grows for each degree the lever is lifted",
    }
    later: ClassVar[Mapping[str, str]] = {
        "preload": "a spring at the lever's pivot, which turns it ('torque: 20 N mm'); one that pulls at an arm is a kind of its own",
    }

    torque: Torque = 0.0
    rate: TurningRate | None = None

    @model_validator(mode="after")
    def _turns_at_all(self) -> "TurningSpring":
        if self.rate is None and not self.torque:
            raise Wrong("neither turns nor grows", "'{torque: 20 N mm}'")
        return self


class SideGuides(Words):
    """Two cheeks between which a lever swings, so that it can't lean off its cam; they rub it a little."""

    sample_text: ClassVar[str] = "{at: 40, pinch: 0.2 N}"
    says: ClassVar[Mapping[str, str]] = {
        "at": "how far from the pivot, along the arm that rests on the cam",
        "pinch": "how hard the two press on it together",
        "friction": "of the lever between them; left out, that of lever and frame",
    }

    at: Size
    pinch: Force = 0.0
    friction: Friction | None = None


def seated(lever: "Lever", piece: Standing) -> tuple[Swing, float]:
    """How a lever stands to its cam and how far along its arc it is lifted now. [mm]

    Raises
    ------
    ValueError
        It can't rest on its cam.
    """
    assert lever.follows is not None
    cam = lever.follows.part
    axis = piece.pose(cam)
    stance = swing_of(piece.parts, lever.name, (axis.x, axis.y), pivot_of(lever, piece))
    turned = stance.sense * axis.angle
    part: Any = piece.parts[cam]
    tip = tip_of(lever)
    if laid_out_for(piece.parts, cam) == lever.name:
        return stance, start_reach(part, tip, turned, stance)
    return stance, laid_out(piece, cam).reach(tip, stance, turned)


def pivot_of(lever: "Lever", piece: Standing) -> Point:
    """Where a lever's pivot stands. [mm]"""
    where = lever.at
    right, up = where.offset
    if where.ref is None or where.ref.part not in piece.parts:
        return right, up
    x, y = piece.point(where.ref.part, where.ref.point)
    return x + right, y + up


class Press:
    """The turning spring of a lever: a torque on the lever against what its pivot stands on, taken at the predicted angle."""

    def __init__(self, shop: Workshop, part: "Lever", spring: TurningSpring, side: int) -> None:
        self._body = shop.body(part.name)
        host = shop.attached_to(part.at)
        self._host = None if host is None else shop.body(host)
        self._dt, self._side = shop.dt, side
        self._torque, self._rate = spring.torque, spring.rate or 0.0
        self._start = self._turned()
        if self._rate:
            shop.stiff(self._rate, shop.turning_inertia(part.name))

    def _turned(self, lead: float = 0.0) -> float:
        angle = self._body.angle + lead * self._body.angular_velocity
        if self._host is not None:
            angle -= self._host.angle + lead * self._host.angular_velocity
        return float(angle)

    def act(self, t: float) -> None:
        """Turn the lever with what the spring gives where it will be after this step."""
        lifted = self._side * (self._turned(self._dt) - self._start)
        torque = -self._side * max(self._torque + self._rate * lifted, 0.0)
        self._body.torque += torque
        if self._host is not None:
            self._host.torque -= torque

    def energy(self) -> float:
        """Energy stored since the start. [g mm^2/s^2]"""
        # taken half a step ahead, between the places at which the torques before and after are
        lifted = self._side * (self._turned(self._dt / 2) - self._start)
        if self._rate and self._torque + self._rate * lifted < 0:
            lifted = -self._torque / self._rate
        return self._torque * lifted + self._rate * lifted * lifted / 2


BEYOND = 11.0  # mm; how far the cheeks reach beyond the arm's way
KNIFE, FOOT = 9.0, 3.0  # mm; how tall a knife edge and how thick a flat foot is


def above_its_tip(pen: Pen, lever: "Lever", half_width: float) -> Point:
    """Where the arm of a drawn lever ends: over its knife or its flat, at its roller's middle. [mm]"""
    assert lever.by is not None
    length, angle = lever.arms[lever.by]
    stance: Any = stance_in(pen.scene, lever.name)
    up = (
        FOOT + half_width
        if lever.tip.flat_width is not None
        else 0.0
        if lever.tip.roller_radius
        else KNIFE
    )
    x, y = polar(length, angle)
    return x - stance.side * up * math.sin(angle), y + stance.side * up * math.cos(angle)


def draw_tip(pen: Pen, lever: "Lever", length: float, angle: float) -> None:
    """Draw what a lever touches its cam with, and the cheeks between which its arm swings."""
    assert lever.follows is not None
    stance: Any = stance_in(pen.scene, lever.name)
    end, along = polar(length, angle), (math.cos(angle), math.sin(angle))
    up = -stance.side * along[1], stance.side * along[0]  # off the cam

    def place(out: float, over: float) -> Point:
        return end[0] + out * along[0] + over * up[0], end[1] + out * along[1] + over * up[1]

    roller = lever.tip.roller_radius
    if roller:
        pen.turned(end, roller, "brass", 3, min(1.5, 0.3 * roller), sort="roller")
    elif lever.tip.flat_width is not None:
        half = lever.tip.flat_width / 2
        pen.bar(place(-half, FOOT / 2), place(half, FOOT / 2), FOOT, "brass", 8, sort="foot")
    else:
        pen.plate(
            [place(0.0, 0.0), place(3.0, 5.0), place(3.0, 9.0), place(-3.0, 9.0), place(-3.0, 5.0)],
            "brass", 0.0, 8, sort="knife edge",
        )  # fmt: skip
    guides = lever.side_guides
    if guides is not None:
        _draw_cheeks(pen, lever, guides.at, angle, stance)


def _draw_cheeks(pen: Pen, lever: "Lever", at: float, angle: float, stance: Swing) -> None:
    """Draw the near one of the two cheeks, upright on its foot: as long as the arm's way there, and open above and below."""
    start = pen.start(lever.name)
    lift = lift_of(pen.scene.parts[lever.follows.part]) if lever.follows is not None else None
    most = (
        max((rise[0] for _, rise in lift.samples()), default=10.0) if lift is not None else 10.0
    )
    more = BEYOND / at
    ends = (
        start.angle + angle - stance.side * more,
        start.angle + angle + stance.side * (most / stance.arm + more),
    )
    line = [(start.x + at * math.cos(a), start.y + at * math.sin(a)) for a in ends]
    front = pen.frame.nearer_than([lever.name])
    front.bar(line[0], line[-1], 4.0, "brass", 5, is_round_ended=True, sort="cheek")
    for spot in (line[0], line[-1]):
        front.turned(spot, 1.6, "steel", 1.0, 1.0, sort="screw")
