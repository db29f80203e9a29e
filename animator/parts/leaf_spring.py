"""A strip clamped at one end that presses on what bends it."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal

from pydantic import model_validator

from animator.geometry import Point, polar, unit
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Standing,
    Still,
    Weight,
    Workshop,
)
from animator.parts._fields import (
    WAYS,
    At,
    Choice,
    Direction,
    Friction,
    PointRef,
    Size,
    Stuff,
)
from animator.parts._solid import bar
from animator.parts._springs import MEGAPASCAL, bending_of, bent_bar
from animator.trains import running_senses, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

STRIP = Stuff("spring steel", 0.3)
NOSE = 1.5  # mm; radius of what it presses, where that is no pin with a diameter
NEAREST = 0.1  # of the length; nearer to the clamp a strip is no spring any more
STICKING = 10.0  # times as stiff along the strip, while it sticks, as the strip is across
STABLE = 0.05  # of the mass over the step squared; a stiffer sticking would need a finer step


@PARTS.add("leaf spring")
class LeafSpring(Part):
    """Clamped ``at`` its root, it ``points`` away from it, and pushes the point it ``presses`` off, as a thin bar does: 3 E I / s^3 for each millimetre at s from the root, less as it is bent far.

    It pushes one way only, slides along with friction, and where what bends it comes past its end it snaps back and pushes no more. Right to 0.3 % while it
    gives way by less than half of that distance. What it presses must come at it from its own side; from behind it isn't felt.
    """

    as_written = "click: {kind: leaf spring, at: [40, 60], points: right, length: 50, width: 8, material: spring steel 0.4, presses: arm.end}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "its clamped end",
        "points_": "the way it points, unbent",
        "length": "from the clamp to its end",
        "width": "of the strip",
        "presses": "the point that it pushes off, or that bends it; a pin's own roundness counts",
        "pushes": "the way it pushes that point; left out, to the side on which that stands at the start",
        "friction": "of the strip on what it presses; left out, that of the two materials",
    }

    moves_alone = True
    also_called = ("flat spring", "strip spring", "reed spring", "flexure", "cantilever spring")

    at: At
    points_: Direction
    length: Size
    width: Size
    presses: PointRef
    pushes: (
        Annotated[
            Literal["up", "down", "left", "right"], Choice(("up", "down", "left", "right"))
        ]
        | None
    ) = None
    friction: Friction | None = None

    @model_validator(mode="after")
    def _is_a_strip(self) -> "LeafSpring":
        stuff = self.strip()
        bending_of(stuff.name)
        if not stuff.size:
            raise Wrong(
                f"'{stuff.name}' doesn't say how thick the strip is",
                f"'{stuff.name} 0.4'",
                key="material",
            )
        if stuff.size > self.length / 8:
            raise Wrong(
                f"{self.length:g} mm of {stuff.size:g} mm sheet is a block, not a spring",
                f"'{stuff.name} {max(0.1, round(self.length / 60, 1)):g}'",
                key="material",
            )
        if self.pushes is not None and abs(math.sin(_way(self.pushes) - self.points_)) < 0.3:
            raise Wrong(
                "a strip pushes across itself, not along",
                "'up' or 'down'" if abs(math.cos(self.points_)) > 0.7 else "'left' or 'right'",
                key="pushes",
            )
        return self

    def strip(self) -> Stuff:
        """What it is cut from, and its thickness [mm]."""
        return self.material or STRIP

    def bend(self) -> float:
        """Young's modulus times second moment of area, E b h^3 / 12. [g mm^3/s^2]"""
        stuff = self.strip()
        return MEGAPASCAL * bending_of(stuff.name).young * self.width * stuff.size**3 / 12

    def strained(self, bent: float, reach: float) -> float:
        """Stress at the clamp's faces, 6 M / (b h^2), over what the stuff bears, bent so far at so far from the root. [mm]"""
        stuff = self.strip()
        q = bent / reach
        energy, across = bent_bar(q)
        # the push's two parts, across and along, each at its arm
        lever = across + (q + energy / across) * across * q if bent > 0 else 0.0
        stress = 6 * self.bend() * lever / reach / (self.width * stuff.size**2) / MEGAPASCAL
        return stress / bending_of(stuff.name).bears

    def push(self, bent: float, reach: float) -> float:
        """How hard it pushes, square to itself, bent so far at so far from the root. [mm] -> [g mm/s^2]"""
        q = bent / reach
        energy, across = bent_bar(q)
        return self.bend() * across / reach**2 * math.hypot(1, q + energy / across)

    def held(self) -> Still:
        return Still(self.at)

    def points(self) -> Mapping[str, Point]:
        return {"root": (0.0, 0.0), "end": polar(self.length, self.points_)}

    def weigh(self, shop: Workshop) -> Weight:
        stuff = self.strip()
        density = float(stuff.stuff.density.at(0.5))
        return bar((0.0, 0.0), self.points()["end"], density * stuff.size * self.width)

    def radius_of(self, parts: Mapping[str, Part]) -> float:
        """Radius of what it presses. [mm]"""
        diameter = getattr(parts[self.presses.part], "diameter", None)
        return float(diameter) / 2 if diameter else NOSE

    def stance(self, root: Point, end: Point, pressed: Point) -> tuple[float, float, float]:
        """Tell the side it pushes to (+1: left of its way), how far along it the point stands, and how far off to that side. [mm]"""
        ux, uy = (end[0] - root[0]) / self.length, (end[1] - root[1]) / self.length
        dx, dy = pressed[0] - root[0], pressed[1] - root[1]
        along, off = dx * ux + dy * uy, dy * ux - dx * uy
        if self.pushes is not None:
            wx, wy = unit(_way(self.pushes))
            side = 1.0 if wy * ux - wx * uy > 0 else -1.0
        else:
            side = 1.0 if off >= 0 else -1.0
        return side, along, side * off

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if piece.turned:
            return
        if self.presses.part == self.name:
            yield Wrong(
                f"'{self.name}' presses itself", "a point of another part", key="presses"
            )
            return
        root, end = piece.point(self.name, "root"), piece.point(self.name, "end")
        pressed = piece.point(self.presses.part, self.presses.point)
        _, along, off = self.stance(root, end, pressed)
        radius = self.radius_of(piece.parts)
        if off >= radius:
            return
        if along < NEAREST * self.length:
            yield Wrong(
                f"'{self.presses.text}' stands {along:.1f} mm from the root of '{self.name}', where the strip is clamped",
                f"a place at least {NEAREST * self.length:.1f} mm along it",
                key="presses",
            )
            return
        if along > self.length:
            if turning_part(piece.parts, self.presses.part) in running_senses(piece.parts):
                return  # it comes round
            yield Wrong(
                f"'{self.presses.text}' stands beyond the end of '{self.name}': {along:.1f} mm along a strip of {self.length:g}",
                f"'{self.name}.length: {math.ceil(along + 4):g}'",
                key="length",
            )
            return
        share = self.strained(radius - off, along)
        if share > 1.5:
            thick = self.strip()
            yield Wrong(
                f"'{self.name}' starts bent by {radius - off:.1f} mm, {share:.1f} times as far as {thick.name} {thick.size:g} bears",
                f"'{self.name}.material: {thick.name} {max(0.05, math.floor(20 * thick.size / share) / 20):g}', or a longer strip",
                key="material" if self.material is not None else "length",
            )

    def build(self, shop: Workshop) -> None:
        leaf = LeafForce(shop, self)
        shop.before_step(leaf.act)
        shop.store(self.name, leaf.energy)
        shop.channel(f"{self.name}.force", "force", lambda: leaf.normal)
        shop.channel(f"{self.name}.bend", "length", lambda: leaf.bent)
        shop.channel(f"{self.name}.reach", "length", lambda: leaf.reach)
        shop.channel(
            f"{self.name}.strain", "share", lambda: self.strained(leaf.bent, leaf.reach)
        )

    def draw(self, pen: Pen) -> None:
        stuff = self.strip()
        pen.leaf(self.points_, self.length, stuff.size, stuff.name, self.width)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Largest push, from how far and where it was bent."""
        bent, reach = (
            motion.channels[f"{self.name}.{word}"].values[motion.begins :]
            for word in ("bend", "reach")
        )
        most = max(
            (self.push(float(b), float(s)) for b, s in zip(bent, reach, strict=True) if b > 0),
            default=0.0,
        )
        if most:
            yield Prediction(
                f"{self.name}.force",
                most,
                "thin bar bent at its end, 3 E I d / s^3 and less for far bending (elastica; any text on strength of materials)",
            )


def _way(word: str) -> float:
    return WAYS[word]


class LeafForce:
    """The push of a strip on a round nose, square to the bent strip, with friction along it; taken where both will be after the step.

    Up to where it is touched the strip is bent as a thin bar is; its energy depends on place and depth, and the push is its slope: so a nose that slides to the
    end is helped along by just what the strip gives back.
    """

    TURNS = 4  # rounds to find the touch on the bent strip; each is ten times nearer

    def __init__(self, shop: Workshop, leaf: LeafSpring) -> None:
        self._leaf, self._dt = leaf, shop.dt
        host = shop.attached_to(leaf.at)
        static = shop.space.static_body
        self._host = static if host is None else shop.body(host)
        self._nose = shop.body(leaf.presses.part)
        self._is_static = self._host is static
        root, end = (shop.start_point(leaf.name, point) for point in ("root", "end"))
        pressed = shop.start_point(leaf.presses.part, leaf.presses.point)
        self._side, along, off = leaf.stance(root, end, pressed)
        self._radius = leaf.radius_of(shop.scene.parts)
        self._root = self._host.world_to_local(root)
        self._way = math.atan2(end[1] - root[1], end[0] - root[0]) - self._host.angle
        self._pressed = self._nose.world_to_local(pressed)
        self._rigid = leaf.bend()
        self._off_end = not 0 < along <= leaf.length and off < self._radius
        self.normal = self.across = self.bent = 0.0
        self.reach = leaf.length
        self._stuck = self._rub = 0.0
        self._heat, self._snap = (
            shop.heat(f"rubbing on {leaf.name}"),
            shop.heat(f"snapping of {leaf.name}"),
        )
        other = shop.scene.parts[leaf.presses.part]
        self._mu = shop.friction(leaf.friction, leaf.strip().name, shop.stuff_of(other)[0])
        mass = shop.mass_felt(leaf.presses.part, pressed)
        near = max(along if 0 < along < leaf.length else leaf.length, NEAREST * leaf.length)
        rate = 3 * self._rigid / near**3
        if math.isfinite(mass):
            shop.stiff(rate, mass)
        self._sticking = min(
            STICKING * rate, STABLE * mass / shop.dt**2 if math.isfinite(mass) else math.inf
        )

    def _touch(
        self, host: tuple[float, float, float], nose: Point
    ) -> tuple[float, float, float, float, float]:
        """Find the touch: place along the strip, depth, slope [rad], and the strip's way (cos, sin); depth below 0 in the air."""
        x0, y0, angle = host
        c, s = math.cos(angle), math.sin(angle)
        lx, ly = self._root
        rx, ry = x0 + c * lx - s * ly, y0 + s * lx + c * ly
        way = angle + self._way
        ux, uy = math.cos(way), math.sin(way)
        dx, dy = nose[0] - rx, nose[1] - ry
        along, off = dx * ux + dy * uy, self._side * (dy * ux - dx * uy)
        slope, r = 0.0, self._radius
        reach, depth = along, r - off
        for _ in range(self.TURNS):
            reach, depth = along - r * math.sin(slope), r * math.cos(slope) - off
            if depth <= 0 or reach <= 0:
                break
            q = depth / reach
            energy, across = bent_bar(q)
            slope = math.atan(q + energy / across)
        return reach, depth, slope, ux, uy

    def _is_felt(self, reach: float, depth: float) -> bool:
        if depth <= 0 or reach < NEAREST * self._leaf.length / 2:
            return False
        # bent, so much of the strip lies between root and nose
        return reach * (1 + 0.6 * (depth / reach) ** 2) <= self._leaf.length

    def _state(self, ahead: float) -> tuple[tuple[float, float, float], Point]:
        """Place and attitude of what carries the strip, and place of the nose, so many seconds ahead."""
        host, nose = self._host, self._nose
        (hx, hy), (hu, hv) = host.position, host.velocity
        (nx, ny), (nu, nv) = nose.position, nose.velocity
        angle = nose.angle + ahead * nose.angular_velocity
        c, s = math.cos(angle), math.sin(angle)
        px, py = self._pressed
        return (
            (hx + ahead * hu, hy + ahead * hv, host.angle + ahead * host.angular_velocity),
            (nx + ahead * nu + c * px - s * py, ny + ahead * nv + s * px + c * py),
        )

    def act(self, t: float) -> None:
        """Push the nose off and what carries the strip back."""
        state, nose = self._state(self._dt)
        reach, depth, slope, ux, uy = self._touch(state, nose)
        if depth <= 0:
            self._off_end = False
        if self._off_end or not self._is_felt(reach, depth):
            if self.bent > 0 and depth > 0:  # past the end: the strip springs back by itself
                self._snap.total += self._stored(self.reach, self.bent)
                self._off_end = True
            if self._stuck:
                self._snap.total += self._sticking * self._stuck**2 / 2
            self.normal = self.across = self.bent = self._stuck = self._rub = 0.0
            self.reach = self._leaf.length
            return
        self.reach, self.bent = reach, depth
        self.across = self._rigid * bent_bar(depth / reach)[1] / reach**2
        self.normal = self.across / math.cos(slope)
        # n: from the strip to the nose; t: along the strip towards its end
        c, s = math.cos(slope), math.sin(slope) * self._side
        tx, ty = c * ux + s * uy, -s * ux + c * uy
        nx, ny = -self._side * ty, self._side * tx
        cx, cy = nose[0] - self._radius * nx, nose[1] - self._radius * ny
        body, host = self._nose, self._host
        bx, by = body.position
        bu, bv = body.velocity
        wx, wy = bx + self._dt * bu, by + self._dt * bv
        spin = body.angular_velocity
        speed = (bu - spin * (cy - wy)) * tx + (bv + spin * (cx - wx)) * ty
        if not self._is_static:
            hu, hv = host.velocity
            turn = host.angular_velocity
            speed -= (hu - turn * (cy - state[1])) * tx + (hv + turn * (cx - state[0])) * ty
        limit = self._mu * self.normal
        tried = self._stuck + speed * self._dt
        stuck = (
            min(max(tried, -limit / self._sticking), limit / self._sticking)
            if self._sticking > 0
            else 0.0
        )
        rub = self._sticking * stuck
        # heat by the mean of the rubs before and after, as the books take the work
        self._heat.total += (tried - stuck) * 0.5 * (rub + self._rub)
        self._stuck, self._rub = stuck, rub
        fx, fy = self.normal * nx - rub * tx, self.normal * ny - rub * ty
        body.apply_force_at_world_point((fx, fy), (cx - self._dt * bu, cy - self._dt * bv))
        if not self._is_static:
            hu, hv = host.velocity
            host.apply_force_at_world_point(
                (-fx, -fy), (cx - self._dt * hu, cy - self._dt * hv)
            )

    def energy(self) -> float:
        """Energy stored. [g mm^2/s^2]"""
        if self._off_end or self.bent <= 0:
            return 0.0
        # half a step ahead, between the places at which the pushes before and after are taken
        reach, depth, *_ = self._touch(*self._state(self._dt / 2))
        if not self._is_felt(reach, depth):
            # it slips off within the step; what it then gives up is booked at the next
            reach, depth = self.reach, self.bent if depth > 0 else 0.0
        return self._stored(reach, depth) + self._sticking * self._stuck**2 / 2

    def _stored(self, reach: float, depth: float) -> float:
        return self._rigid * bent_bar(depth / reach)[0] / reach
