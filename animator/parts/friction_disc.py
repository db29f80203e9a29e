"""A disc on an upright spindle that rests on a cam's rim: the cam lifts it and, rubbing beside the spindle, turns it."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Prediction, Slides, Weight, Workshop
from animator.parts._fields import Friction, Guide, Hidden, Length, PartOf, Ref, Signed, Size
from animator.parts._solid import bar, disc, spread_across, together
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

SPINDLE_RADIUS = 3.0  # mm; a 6 mm spindle
STEEL = 7.85e-3  # g/mm^3
STICK = 0.5  # mm/s; below this speed of rubbing the bush holds rather than drags


@PARTS.add("friction disc")
class FrictionDisc(Part):
    """``offset``: from the cam's plane to the spindle; ``friction``: of cam on disc; ``rests``: a collar that catches the disc this far above its lowest place."""

    as_written = "ice: {kind: friction disc, follows: egg, offset: 6, diameter: 60, guide: {at: 50 above camshaft}}"

    says: ClassVar[Mapping[str, str]] = {
        "follows": "the cam it lies on and that turns it",
        "offset": "from the cam's plane to its spindle",
        "diameter": "of the disc",
        "guide": "the hole its spindle slides and turns in",
        "friction": "of cam on disc; left out, that of the two materials",
        "rests": "how far above its lowest place a collar catches it",
    }

    turns_freely = True
    crosses_views = True
    stays_level = True
    also_called = ("friction wheel", "turning disc")

    follows: Annotated[Ref, PartOf("cam")]
    offset: Signed
    diameter: Size
    guide: Guide
    friction: Friction | None = None
    rests: Length | None = None
    top_height: Annotated[float, Hidden] = 0.0
    """From the disc's underside to the top of its spindle, filled in by assembly. [mm]"""
    seat_height: Annotated[float, Hidden] = 0.0
    """Where its collar catches it, up from the middle of its guide; filled in by assembly. [mm]"""

    @model_validator(mode="after")
    def _lies_on_its_cam(self) -> "FrictionDisc":
        if abs(self.offset) >= self.diameter / 2:
            raise Wrong(
                "the cam stands beside the disc",
                f"an offset under {self.diameter / 2:g}, or a diameter over {2 * abs(self.offset):g}",
                key="offset",
            )
        return self

    def held(self) -> Slides:
        return Slides(self.guide.at, math.pi / 2, 0.0, 0.0, self.follows)

    def points(self) -> Mapping[str, Point]:
        # the x axis points up the spindle, so the rim to the right lies at negative y
        return {"top": (self.top_height, 0.0), "rim": (0.0, -self.diameter / 2)}

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        plate = disc(self.diameter / 2, shop.density(self) * thick)
        flat = Weight(
            plate.mass, (thick / 2, 0.0), plate.mass * (self.diameter**2 / 16 + thick**2 / 12)
        )
        spindle = bar((0.0, 0.0), (self.top_height, 0.0), STEEL * math.pi * SPINDLE_RADIUS**2)
        return together((flat, spindle))

    def spin_inertia(self, shop: Workshop) -> float:
        """Inertia of disc and spindle about the spindle: as the maker measured it, or drawn and brought to the mass weighed. [g mm^2]"""
        if self.inertia is not None:
            return self.inertia
        plate = disc(self.diameter / 2, shop.density(self) * shop.stuff_of(self)[1])
        spindle = disc(SPINDLE_RADIUS, STEEL * self.top_height)
        drawn = plate.mass + spindle.mass
        return (plate.inertia + spindle.inertia) * (
            1.0 if self.mass is None else self.mass / drawn
        )

    def build(self, shop: Workshop) -> None:
        shop.guide(
            self,
            self.guide,
            math.pi / 2,
            ((0.0, 0.0), (self.top_height, 0.0)),
            2 * SPINDLE_RADIUS,
        )
        rig = DiscDrive(shop, self)
        shop.before_step(rig.act)
        shop.after_step(rig.book)
        shop.channel(f"{self.name}.spin", "angle", lambda: rig.turned)
        shop.channel(
            f"{self.name}.spin speed", "turning speed", lambda: rig.spin.angular_velocity
        )
        shop.channel(f"{self.name}.rub", "speed", lambda: rig.sliding)
        shop.channel(f"{self.name}.contact aside", "length", lambda: rig.aside)

    shows_from_above = True

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        cam = [self.follows.part]
        spindle = 6.0  # mm; as the bush is reckoned
        if pen.is_from_above:
            pen.turntable(
                self.diameter / 2,
                stuff,
                f"{self.name}.spin",
                spindle,
                self.offset,
                self.follows.part,
            )
            return
        disc = pen.nearer_than(cam)
        disc.level_disc(self.diameter / 2, thickness, stuff, self.offset, f"{self.name}.spin")
        disc.bar(
            (thickness + self.offset * 0.25, 0.0),
            (max(self.top_height, thickness + 10), 0.0),
            spindle,
            "steel",
            7,
            sort="spindle",
        )
        disc.bar(
            (thickness + self.offset * 0.25 + 2.0, -1.15 * spindle),
            (thickness + self.offset * 0.25 + 2.0, 1.15 * spindle),
            4.0,
            "brass",
            3,
            sort="collar",
        )
        disc.frame.bush(self.guide, math.pi / 2, spindle)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        cam = motion.scene.parts[self.follows.part]
        eccentric = cam.eccentric  # type: ignore[attr-defined]
        if (
            eccentric is not None
            and eccentric.throw == 0
            and self.offset
            and motion.drive is not None
        ):
            yield Prediction(
                f"{self.name}.spin",
                math.tau * eccentric.radius / abs(self.offset),
                "a round wheel that rolls on the disc, over a turn of the handle: rim speed over distance from the spindle",
            )


class DiscDrive:
    """A level disc on an upright spindle, rubbed from below by the rim of a cam that turns in an upright plane.

    The cam's rim, at height ``h`` above the camshaft, passes at a distance ``e`` from the spindle; it touches ``x`` beside the cam's
    plane of the axis. Rubbing has two directions: along the rim's way and across it, ``u = (W e + w h, -W x)`` with the disc's speed W and the
    cam's w. Friction opposes u as a whole, so the spindle's torque is ``mu N |W (e^2 + x^2) + e w h| / |u|``: the simple law (rim
    speed over lever arm) overstates the spin by an eighth.

    The disc's weight and lift are in the plane of the picture; its turning is a body of its own.
    """

    def __init__(self, shop: Workshop, part: FrictionDisc) -> None:
        parts = shop.scene.parts
        cam = parts[part.follows.part]
        self._contact = shop.cam_contact(
            part, cam.name, (0.0, 0.0), math.pi / 2, 0.0, f"{part.name} on {cam.name}"
        )
        self._rim_friction = shop.friction(
            part.friction, shop.stuff_of(part)[0], shop.stuff_of(cam)[0]
        )
        self._bush_friction = (
            0.0
            if part.guide.ideal
            else shop.friction(part.guide.friction, "steel", shop.scene.frame.stuff)
        )
        self._e = part.offset
        self._dt = shop.dt
        self._body = shop.body(part.name)
        self._cam = shop.body(cam.name)
        self._axis = shop.pose(cam.name)[:2]
        self._centre_x = shop.pose(part.name).x
        self._bush_low = shop.place(part.guide.at)[1] - part.guide.length / 2
        self._bush_length = part.guide.length
        link = shop.link(part.name)
        inertia = part.spin_inertia(shop)
        for name, frame in link.members.items():
            rider = parts[name]
            if name != part.name:
                weight = rider.weigh(shop)
                mass = rider.mass if rider.mass is not None else weight.mass
                if rider.artwork is not None:
                    # its foot may stand beside the spindle, which is the disc's own x axis
                    inertia += mass * (spread_across(rider.artwork) + frame.y**2)
                else:
                    inertia += weight.inertia + mass * frame.place(weight.centre)[1] ** 2
        self.spin = shop.extra_body(f"{part.name} turning", inertia)
        self._gear = shop.gear(self._cam, self.spin, -1.0, is_firm=False)
        self._brake = shop.motor(self.spin)
        self._rub = shop.heat(f"{part.name} on {cam.name}")
        self._bush = shop.heat(f"bush of {part.name}")
        self._mass = link.weight.mass
        self._collar = shop.collar(part, part.seat_height) if part.rests is not None else None
        self._start = self.spin.angle
        self._ratio = -1.0
        self._drag_force = 0.0
        self._extra = 0.0
        self._before = (0.0, 0.0, 0.0)
        self.aside = 0.0
        self.sliding = 0.0

    @property
    def turned(self) -> float:
        """How far the disc has turned, positive the way the cam drives it. [rad]"""
        return float(-(self.spin.angle - self._start) * math.copysign(1.0, self._e or 1.0))

    def act(self, t: float) -> None:
        """Set the rub's torque limit and direction from the load of the last step."""
        contact, dt, e = self._contact, self._dt, self._e
        push = contact.normal_impulse / dt
        w, spin = self._cam.angular_velocity, self.spin.angular_velocity
        vy = self._body.velocity.y
        self._before = w, spin, vy
        side = 0.0
        self._extra = 0.0
        if 0 < push < math.inf and contact.is_active and e:
            x = contact.point[0] - self._centre_x
            h = contact.point[1] - self._axis[1]
            square = e * e + x * x
            ux, uz = spin * e + w * h, -spin * x
            speed = math.hypot(ux, uz)
            most = self._rim_friction * push
            self._ratio = -square / (h * e)
            self._gear.ratio = self._ratio
            if speed > 1e-6:
                self._gear.max_force = abs(most * (spin * square + e * w * h) / speed)
                fx, fz = -most / speed * ux, -most / speed * uz
            else:
                self._gear.max_force = most * math.sqrt(square)
                fx = fz = 0.0
            self._extra = h * x * (x * fx + e * fz) / square
            self._cam.torque += self._extra
            overhang = max(self._bush_low - contact.point[1], 0.0)
            side = 2 * push * math.sqrt(square) / self._bush_length + math.hypot(fx, fz) * (
                1 + 2 * overhang / self._bush_length
            )
            self.aside, self.sliding = x, speed
        else:
            self._gear.max_force = 0.0
            self.sliding = 0.0
        grip = self._bush_friction * side
        way = math.hypot(vy, spin * SPINDLE_RADIUS)
        self._drag_force = 0.0
        if way > 1e-6:
            most_drag = (
                0.5 * self._mass * abs(vy) / dt
            )  # never so much that it would turn the movement round
            self._drag_force = max(-most_drag, min(most_drag, -grip * vy / way))
            self._body.apply_force_at_world_point((0.0, self._drag_force), self._body.position)
        turning = abs(spin) * SPINDLE_RADIUS / way if way > STICK else 1.0
        self._brake.max_force = grip * SPINDLE_RADIUS * turning + (
            self._collar.grip() if self._collar is not None else 0.0
        )

    def book(self) -> None:
        """Book the rub, the bush and the collar, each from its own force and the mean of the speeds before and after."""
        w0, spin0, vy0 = self._before
        w, spin = (
            0.5 * (self._cam.angular_velocity + w0),
            0.5 * (self.spin.angular_velocity + spin0),
        )
        vy = 0.5 * (self._body.velocity.y + vy0)
        self._rub.total += (
            self._gear.impulse * abs(spin * self._ratio - w) / abs(self._ratio)
            - self._extra * w * self._dt
        )
        self._bush.total += self._brake.impulse * abs(spin) - self._drag_force * vy * self._dt
