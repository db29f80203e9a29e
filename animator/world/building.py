"""Scene -> World: rigid bodies, joints, contacts, drives and the books that are kept of them.

Parts that move as one become one body. Every force that Python applies is taken at the predicted state (where the body will be
after this step's move): the engine moves bodies first, so a force taken at the present place would pump energy.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, cast

import pymunk

from animator import materials, trains
from animator.geometry import Point, Pose
from animator.outlines import outline_in, tip_of
from animator.parts._bearings import POINT_RADIUS, edge_torque, film_drag, squeeze_torque
from animator.parts._contract import Part, Rides, Slides, Spans, Still, Turns, Weight
from animator.parts._drive import Driver
from animator.parts._views import view_of
from animator.places import Place
from animator.problems import Problem, SceneError
from animator.units import Range
from animator.world import engine
from animator.world.bearings import OilFilm
from animator.world.contacts import (
    MOST_CONTACTS,
    BoreTouch,
    Cell,
    Collar,
    CurveContact,
    GuideContact,
    Touch,
)
from animator.world.drives import Brake, Drive, Load, Turning
from animator.world.settings import (
    DEADBEAT,
    JOINT_FUSE,
    MASS_RATIO_LIMIT,
    SLOP,
    Settings,
    choose,
)
from animator.world.touches import further_touches, touch_of

if TYPE_CHECKING:
    from animator.parts._contract import Workshop
    from animator.parts._fields import Bearing, Guide, Where
    from animator.scene.model import Scene

GRAVITY = 9806.65  # mm/s^2, standard
HOLES_APART = 80.0  # mm; from one hole of a shaft to the other, through a table-top cabinet
SMALLEST_MASS = 0.01  # g; lighter than any cut part, heavy enough for the solver
SMALLEST_INERTIA = 0.05  # g mm^2


@dataclass
class Link:
    """One rigid body of the world: its parts and where its first part's frame lies from the centre of mass."""

    name: str
    body: pymunk.Body
    centre: Point
    weight: Weight
    members: dict[str, Pose]
    support: str | None = None
    view: str = "front"


@dataclass
class ContactEntry:
    """A contact under record, with the names it is told by."""

    first: str
    second: str
    where: str
    kind: str
    unit: CurveContact | GuideContact
    is_meant: bool
    coefficient: float


@dataclass
class World:
    """A piece built and ready to run. ``before`` and ``after`` are called round every step, in order."""

    scene: Scene
    level: float
    settings: Settings
    space: pymunk.Space
    links: list[Link]
    frames: dict[str, tuple[int, Pose]]
    before: list[Callable[[float], None]] = field(default_factory=list)
    after: list[Callable[[], None]] = field(default_factory=list)
    contacts: dict[str, ContactEntry] = field(default_factory=dict)
    heat: dict[str, Cell] = field(default_factory=dict)
    work: dict[str, Cell] = field(default_factory=dict)
    stored: dict[str, Callable[[], float]] = field(default_factory=dict)
    channels: dict[str, tuple[str, bool, Callable[[], float]]] = field(default_factory=dict)
    slips: dict[str, Any] = field(default_factory=dict)
    drives: list[Any] = field(default_factory=list)
    pivots: list[pymunk.PivotJoint] = field(default_factory=list)
    grooves: list[pymunk.GrooveJoint] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    faults: list[BaseException] = field(default_factory=list)
    fastest: float = 0.0
    stiffest: float = 0.0
    calls: dict[str, Callable[[float], None]] = field(default_factory=dict)
    """What whoever stands before it can set off at a moment [s]: a coin that goes in."""


class Bench:
    """The workshop that ``build`` is handed: it knows the scene, the bodies and the books, and makes what kinds ask for.

    A bench is laid out twice: once dry, to learn what the scene holds and choose the step, once for good.
    """

    def __init__(
        self,
        scene: Scene,
        level: float,
        settings: Settings,
        pace: float = 0.5,
        strength: float = 1.0,
    ) -> None:
        self.scene, self.level, self.settings = scene, level, settings
        self.pace, self.strength = pace, strength
        self.dt = settings.dt
        space = pymunk.Space()
        space.iterations = settings.iterations
        space.collision_slop = SLOP
        space.collision_bias = (1 - DEADBEAT) ** (1 / settings.dt)
        space.collision_persistence = 1
        self.space = space
        self.world = World(scene, level, settings, space, [], {})
        self._bits = 0
        self._roots: dict[str, tuple[str | None, Pose]] = {}
        self._links: dict[str, Link] = {}
        self._lay_out()

    # ------------------------------------------------------------ bodies
    def _root(self, name: str) -> tuple[str | None, Pose]:
        """First part of the body a part belongs to (None: the frame), and the part's frame in that part's frame."""
        if name not in self._roots:
            part = self.scene.parts[name]
            held = part.held()
            start = self.scene.starts.get(name, Pose())
            host: str | None = name
            if isinstance(held, Rides):
                host = None if held.on.part == "frame" else self._root(held.on.part)[0]
            elif isinstance(held, Still):
                host = self.attached_to(held.at)
            elif isinstance(held, Spans):
                host = None
            inner = start if host is None else self.scene.starts[host].relative(start)
            self._roots[name] = host, inner
        return self._roots[name]

    def attached_to(self, where: Where) -> str | None:
        """First part of the body on which a place is: only a bare point moves with its part; a place set out from a part is on the frame."""
        if (
            where.ref is None
            or where.ref.part in ("", "frame")
            or tuple(where.offset) != (0.0, 0.0)
            or where.fitted_side
        ):
            return None
        root, _ = self._root(where.ref.part)
        if root is None:
            return None
        held = self.scene.parts[root].held()
        point = self.scene.starts[where.ref.part].place(
            self.scene.parts[where.ref.part].points()[where.ref.point]
        )
        start = self.scene.starts[root]
        if (
            isinstance(held, Turns)
            and math.hypot(point[0] - start.x, point[1] - start.y) < 1e-6
        ):
            return self.attached_to(
                held.at
            )  # the middle of a shaft stands as still as what holds the shaft
        return root

    def _lay_out(self) -> None:
        scene, world = self.scene, self.world
        groups: dict[str, list[str]] = {}
        for name in scene.parts:
            root, inner = self._root(name)
            if root is None:
                world.frames[name] = -1, inner
            else:
                groups.setdefault(root, []).append(name)
        hanging = [view_of(root, self.scene.parts) for root in groups]
        falls = any(view != "top" for view in hanging) or not hanging
        self.space.gravity = (0.0, -GRAVITY) if falls else (0.0, 0.0)
        for root, members in groups.items():
            weight = self._weigh(members)
            mass, inertia = (
                max(weight.mass, SMALLEST_MASS),
                max(weight.inertia, SMALLEST_INERTIA),
            )
            start = scene.starts[root]
            held = scene.parts[root].held()
            level = isinstance(held, Slides) and self._is_level(scene.parts[root])
            body = engine.Body(mass, math.inf if level else inertia)
            body.position = start.place(weight.centre)
            body.angle = start.angle
            self.space.add(body)
            index = len(world.links)
            poses = {name: self._root(name)[1] for name in members}
            link = Link(
                root,
                body,
                weight.centre,
                Weight(mass, weight.centre, inertia),
                poses,
                view=view_of(root, self.scene.parts),
            )
            world.links.append(link)
            self._links[root] = link
            world.frames |= {name: (index, pose) for name, pose in poses.items()}
            if falls and link.view == "top":
                world.before.append(_carry(body, mass))

    @staticmethod
    def _is_level(part: Part) -> bool:
        """Whether a sliding part can't tilt: an ideal guide, or a disc kept level by its bush (its tilt is reckoned, not moved)."""
        guide: Guide | None = getattr(part, "guide", None)
        return bool(guide is not None and guide.ideal) or part.stays_level

    def _weigh(self, members: Iterable[str]) -> Weight:
        """Add up the parts of one body; what the maker weighed is laid over what the drawing says."""
        rows = []
        for name in members:
            part = self.scene.parts[name]
            drawn = part.weigh(cast("Workshop", self))
            mass = drawn.mass if part.mass is None or part.stands_apart else part.mass
            weighed = None if part.stands_apart else part.centre_of_mass
            centre = drawn.centre if weighed is None else weighed
            inertia = drawn.inertia * (mass / drawn.mass) if drawn.mass > 0 else 0.0
            if part.inertia is not None:
                inertia = part.inertia
            rows.append((mass, self._root(name)[1].place(centre), inertia))
        total = sum(mass for mass, _, _ in rows)
        if total <= 0:
            return Weight(0.0)
        x = sum(mass * centre[0] for mass, centre, _ in rows) / total
        y = sum(mass * centre[1] for mass, centre, _ in rows) / total
        inertia = sum(i + mass * ((c[0] - x) ** 2 + (c[1] - y) ** 2) for mass, c, i in rows)
        return Weight(total, (x, y), inertia)

    def link(self, name: str) -> Link | None:
        """Body of a part, None for the frame."""
        root, _ = self._root(name)
        return None if root is None else self._links[root]

    def body(self, name: str) -> pymunk.Body:
        """Engine body of a part; the frame's own for what stands fast."""
        found = self.link(name)
        return self.space.static_body if found is None else found.body

    def pose(self, name: str) -> Pose:
        """Where a part's own frame starts."""
        return self.scene.starts[name]

    def start_point(self, name: str, point: str | Point = "") -> Point:
        """Where a point of a part starts. [mm]"""
        part = self.scene.parts[name]
        local = (
            part.points()[point or next(iter(part.points()))]
            if isinstance(point, str)
            else point
        )
        return self.scene.starts[name].place(local)

    def place(self, where: Where) -> Point:
        """Where a place of the scene starts. [mm]"""
        if where.ref is None or where.ref.part in ("", "frame"):
            return where.offset
        x, y = self.start_point(where.ref.part, where.ref.point)
        return x + where.offset[0], y + where.offset[1]

    # ------------------------------------------------------------ books
    def heat(self, place: str) -> Cell:
        """Ledger total for heat made at a place."""
        return self.world.heat.setdefault(place, Cell())

    def work(self, place: str) -> Cell:
        """Ledger total for work put in by a drive."""
        return self.world.work.setdefault(place, Cell())

    def store(self, place: str, read: Callable[[], float]) -> None:
        """Book a spring's stored energy."""
        self.world.stored[place] = read

    def channel(
        self, name: str, unit: str, read: Callable[[], float], is_mean: bool = False
    ) -> None:
        """Record a quantity with every sample."""
        self.world.channels[name] = unit, is_mean, read

    def before_step(self, call: Callable[[float], None]) -> None:
        """Call with the time before every step."""
        self.world.before.append(call)

    def after_step(self, call: Callable[[], None]) -> None:
        """Call after every step."""
        self.world.after.append(call)

    def remark(self, sentence: str) -> None:
        """Note an assumption that may matter."""
        if sentence not in self.world.remarks:
            self.world.remarks.append(sentence)

    def due(self, speed: float) -> None:
        """Say how fast a drive is meant to turn [rad/s]; the step is chosen from it."""
        self.world.fastest = max(self.world.fastest, speed)

    def stiff(self, rate: float, mass: float) -> None:
        """Say that a rate [g/s^2] works on a mass [g]; the step is chosen from it."""
        self.world.stiffest = max(self.world.stiffest, math.sqrt(rate / mass))

    # ------------------------------------------------------------ stuff
    def stuff_of(self, part: Part) -> tuple[str, float]:
        """Tell what a part is made of and its thickness or diameter [mm]; the frame's stuff, 4 mm, where the scene doesn't say."""
        if part.material is not None and part.material.name:
            return part.material.name, part.material.size or 4.0
        return self.scene.frame.stuff, 4.0

    def density(self, part: Part) -> float:
        """Density of a part's stuff. [g/mm^3]"""
        return float(materials.stuff(self.stuff_of(part)[0]).density.at(0.5))

    def bar_density(self, part: Part) -> float:
        """Mass of a round bar of a part's stuff for each length. [g/mm]"""
        return self.density(part) * math.pi * self.stuff_of(part)[1] ** 2 / 4

    def friction(self, written: Any, first: str, second: str) -> float:
        """Coefficient of a pair at this run's end of its range.

        Parameters
        ----------
        written
            The scene's ``friction`` field, or None.
        first, second
            Stuffs of the two faces, for the table's dry pair when nothing is written.
        """
        if written is not None:
            return float(Range(written.low, written.high).at(self.level))
        found = materials.pair(first, second)
        self.remark(
            f"friction of {first} on {second}: {found.range.low:g} to {found.range.high:g}, the table's dry pair"
        )
        return float(found.range.at(self.level))

    # ------------------------------------------------------------ joints
    def pivot(self, a: pymunk.Body, b: pymunk.Body, at: Point) -> pymunk.PivotJoint:
        """Pin two bodies together at a place of the starting plane."""
        joint = pymunk.PivotJoint(a, b, at)
        self.firm(joint)
        return joint

    def firm(self, joint: pymunk.Constraint) -> None:
        """Add a joint with the house's firmness: a small share of its error put right each step, never fast."""
        joint.error_bias = self.settings.joint_bias
        joint.max_bias = JOINT_FUSE
        joint.collide_bodies = True
        self.space.add(joint)
        if isinstance(joint, pymunk.PivotJoint):
            self.world.pivots.append(joint)
        elif isinstance(joint, pymunk.GrooveJoint):
            self.world.grooves.append(joint)

    def limit(self, name: str, low: float, high: float) -> None:
        """Keep a part's angle between two stops on what carries its pivot, counted from where it starts [rad]; what it brings to them becomes heat."""
        held = self.scene.parts[name].held()
        host = self.attached_to(held.at) if isinstance(held, Turns) else None
        support = self.space.static_body if host is None else self._links[host].body
        body = self.body(name)
        start = body.angle - support.angle
        low, high = start + low, start + high
        joint = pymunk.RotaryLimitJoint(support, body, low, high)
        self.firm(joint)
        cell = self.heat(f"stops of {name}")
        middle = (low + high) / 2 if math.isfinite(low + high) else None
        before = [0.0]

        def book() -> None:
            speed = body.angular_velocity - support.angular_velocity
            impulse = joint.impulse
            if impulse:
                turned = body.angle - support.angle
                is_low = turned < middle if middle is not None else math.isfinite(low)
                cell.total -= (impulse if is_low else -impulse) * 0.5 * (speed + before[0])
            before[0] = speed

        self.after_step(book)

    def bearing(
        self, part: Part, at: Where, radius: float, bearing: Bearing | None, drag: float = 0.0
    ) -> None:
        """Hold a turning part in its bearing: a joint (or a pin in a bigger hole where play is given) and its friction.

        Parameters
        ----------
        part
            The turning part; its own frame's origin is the axis.
        at
            Where the axis stands.
        radius
            Of the journal. [mm]
        bearing
            Play, friction, ball; None for the default: no play, friction of the two stuffs.
        drag
            A further torque that brakes it whatever the load. [g mm^2/s^2]
        """
        host = self.attached_to(at)
        support = self.space.static_body if host is None else self._links[host].body
        body = self.body(part.name)
        pose = self.pose(part.name)
        axis = (pose.x, pose.y)
        stuff = self.stuff_of(part)[0]
        if bearing is not None and bearing.ball:
            mu = Range(0.0015, 0.005).at(
                self.level
            )  # at bore radius; bearing makers' figure, from memory
        elif bearing is not None and bearing.oiled_tube and bearing.friction is None:
            oiled = materials.oiled_bearing().range
            mu = Range(oiled.low, oiled.high).at(self.level)
        else:
            mu = self.friction(
                bearing.friction if bearing is not None else None, stuff, self.scene.frame.stuff
            )
        if bearing is not None:
            drag += self._hole_drag(bearing, radius, stuff, mu)
            if bearing.pointed:
                radius = POINT_RADIUS
            if bearing.oiled_tube:
                film = film_drag(radius, self._hole_length(bearing), bearing.play)
                oil = OilFilm(support, body, film, self.dt, self.heat(f"oil of {part.name}"))
                self.before_step(oil.act)
        dragged = Load(drag, self.heat(f"drag of {part.name}")) if drag else None
        place = f"bearing of {part.name}"
        if bearing is not None and bearing.play > 0 and not bearing.oiled_tube:
            self.exact_contact(
                f"{part.name}.bearing", "frame" if host is None else host, part.name, place, "stop",
                support, body, axis, axis, BoreTouch(radius, bearing.play / 2), mu, is_meant=False,
            )  # fmt: skip
            self._brake(support, body, dragged, None)
            return
        joint = self.pivot(support, body, axis)
        per_impulse = mu * radius / self.dt
        rubbed = Load(per_impulse, self.heat(place), joint) if per_impulse > 0 else None
        self._brake(support, body, dragged, rubbed)

    def _hole_length(self, bearing: Bearing) -> float:
        """How long a shaft lies in each of its holes. [mm]"""
        return bearing.length or self.scene.frame.thickness

    def _hole_drag(self, bearing: Bearing, radius: float, stuff: str, mu: float) -> float:
        """What brakes a shaft whatever its load: holes too tight, or holes that point past each other. [g mm^2/s^2]"""
        length = self._hole_length(bearing)
        wall = materials.stuff(self.scene.frame.stuff).family
        drag = 0.0
        if bearing.play < 0:
            drag += 2 * squeeze_torque(-bearing.play, radius, length, wall, mu)
        if bearing.out_of_line:
            families = materials.stuff(stuff).family, wall
            drag += edge_torque(
                bearing.out_of_line,
                max(bearing.play, 0.0),
                radius,
                length,
                HOLES_APART,
                families,
                mu,
            )
        return drag

    def _brake(
        self, support: pymunk.Body, body: pymunk.Body, drag: Load | None, rub: Load | None
    ) -> None:
        """Brake the turning of one body on another by a steady drag and by the rubbing of its bearing."""
        if drag is None and rub is None:
            return
        brake = Brake(self.space, support, body, drag, rub)
        self.before_step(brake.hold)
        self.after_step(brake.book)

    def gear(
        self, a: pymunk.Body, b: pymunk.Body, ratio: float, is_firm: bool = True
    ) -> pymunk.GearJoint:
        """Couple two turnings; one that may slip (not ``is_firm``) couples speeds only, or it would whip back what it has lost."""
        joint = pymunk.GearJoint(a, b, 0.0, ratio)
        joint.error_bias = self.settings.joint_bias if is_firm else 1.0
        joint.collide_bodies = True
        if not is_firm:
            joint.max_force = 0.0
        self.space.add(joint)
        return joint

    def motor(self, body: pymunk.Body) -> pymunk.SimpleMotor:
        """Set a brake against the frame whose strength the caller sets before every step, and books."""
        motor = pymunk.SimpleMotor(self.space.static_body, body, 0.0)
        motor.max_force = 0.0
        motor.collide_bodies = True
        self.space.add(motor)
        return motor

    def slips(self, name: str, loop: Any) -> None:
        """Record what a loop was due, what it got and how much of the difference was rubbing."""
        self.world.slips[name] = loop

    def collar(self, part: Part, height: float) -> Collar:
        """Set a collar that catches an upright part this far above the middle of its guide. [mm]"""
        x, y = self.pose(part.name)[:2]
        seat = x, self.place(part.guide.at)[1] + height  # type: ignore[attr-defined]
        foot = x, y
        body = self.body(part.name)
        stuff = self.stuff_of(part)[0]
        return Collar(
            self.space,
            body,
            foot,
            seat,
            self.friction(None, stuff, "steel"),
            self.dt,
            self._next_bit(part.name),
            self.heat(f"collar of {part.name}"),
            self.world.faults,
        )

    # ------------------------------------------------------------ contacts
    def _next_bit(self, name: str) -> int:
        """Filter bit of a new contact, so that shapes that lie behind each other don't touch."""
        if self._bits >= MOST_CONTACTS:
            raise SceneError(
                [
                    Problem(
                        place_of(self.scene, name),
                        f"more than {MOST_CONTACTS} guides, cams and bearings with play",
                        "'ideal: yes' for the guides that can't bind",
                    )
                ]
            )
        self._bits += 1
        return self._bits - 1

    def exact_contact(
        self, key: str, first: str, second: str, where: str, kind: str, a: pymunk.Body, b: pymunk.Body, origin: Point, tip: Point,
        touch: Touch, friction: float, is_meant: bool, origin_angle: float = 0.0, face: float = 0.0, axis: Point | None = None,
        sort: type[CurveContact] = CurveContact,
    ) -> CurveContact:  # fmt: skip
        """Set up an exact contact between a curve on one body and a tip on another, given at their starting places.

        ``origin_angle`` and ``face`` are the starting angles of the curve's frame and of the tip's face in the plane [rad]. ``sort``: what carries it out, for
        contacts that aren't in one plane.
        """
        ox, oy = a.world_to_local(origin)
        tx, ty = b.world_to_local(tip)
        unit = sort(
            self.space, self.dt, a, b, (ox, oy, origin_angle - a.angle), (tx, ty, face - b.angle), touch, friction, self._next_bit(second),
            self.heat(where), self.heat(f"landings of {second}"), self.world.faults, axis,
        )  # fmt: skip
        self.before_step(unit.start_step)
        self.world.contacts[key] = ContactEntry(
            first, second, where, kind, unit, is_meant, friction
        )
        return unit

    def guide(
        self,
        part: Part,
        guide: Guide,
        direction: float,
        stem: tuple[Point, Point],
        width: float,
        offset: float = 0.0,
    ) -> None:
        """Let a part slide in its guide: a groove for an ideal one, lips with play and friction for a real one.

        Parameters
        ----------
        part
            The sliding part.
        guide
            Its guide.
        direction
            The way it slides. [rad]
        stem
            Ends of the straight stem in the part's own frame. [mm]
        width
            Of the stem. [mm]
        offset
            How far the slide line lies to the right of the guide's place. [mm]
        """
        host = self.attached_to(guide.at)
        support = self.space.static_body if host is None else self._links[host].body
        body = self.body(part.name)
        x, y = self.place(guide.at)
        c, s = math.cos(direction), math.sin(direction)
        x, y = x + s * offset, y - c * offset
        if self._is_level(part):
            px, py = body.position
            far = 1e4
            groove = pymunk.GrooveJoint(
                support,
                body,
                support.world_to_local((px - c * far, py - s * far)),
                support.world_to_local((px + c * far, py + s * far)),
                (0.0, 0.0),
            )
            self.firm(groove)
            return
        stuff = self.stuff_of(part)[0]
        mu = self.friction(guide.friction, stuff, self.scene.frame.stuff)
        pose = self.pose(part.name)
        near, far_end = (body.world_to_local(pose.place(end)) for end in stem)
        where = f"guide of {part.name}"
        unit = GuideContact(
            self.space, body, support, (x, y), direction, guide.length, width / 2, guide.clearance / 2, mu,
            (near, far_end), self._next_bit(part.name), self.heat(where), self.heat(f"knocks in the {where}"), self.world.faults,
        )  # fmt: skip
        self.after_step(unit.end_step)
        self.world.contacts[f"{part.name}.guide"] = ContactEntry(
            "frame" if host is None else host, part.name, where, "guide", unit, False, mu
        )

    def cam_contact(
        self,
        follower: Part,
        cam: str,
        tip: Point,
        face: float,
        friction: float,
        where: str,
        is_meant: bool = True,
    ) -> CurveContact:
        """Let a part's tip ride on a cam; ``tip`` in the part's own frame [mm], ``face`` the way it looks [rad, in the plane].

        ``is_meant``: whether it is meant to touch all the time, so that a gap is a fault.
        """
        outline, end = outline_in(self.scene, cam), tip_of(follower)
        touch = touch_of(outline, end)

        def contact(
            key: str, shape: Touch, is_watched: bool, along: float = 0.0, turned: float = 0.0
        ) -> CurveContact:
            way = Pose(0.0, 0.0, face - self.pose(follower.name).angle).place((along, 0.0))
            return self.exact_contact(
                key, cam, follower.name, where, "rim" if follower.stays_level else "cam", self.body(cam), self.body(follower.name),
                self.pose(cam)[:2], self.pose(follower.name).place((tip[0] + way[0], tip[1] + way[1])), shape, friction, is_watched,
                origin_angle=self.pose(cam).angle, face=face + turned, axis=self.fixed_axis(cam),
            )  # fmt: skip

        first = contact(follower.name, touch, is_meant)
        for more in further_touches(outline, end, touch):
            contact(f"{follower.name}.{more.word}", more.touch, False, more.along, more.turned)
        return first

    def fixed_axis(self, name: str) -> Point | None:
        """Place on the frame about which a part turns, if its own origin lies there and its bearing has no play. [mm]"""
        root, _ = self._root(name)
        if root is None:
            return None
        part, held = self.scene.parts[root], self.scene.parts[root].held()
        bearing = getattr(part, "bearing", None)
        if (
            not isinstance(held, Turns)
            or self.attached_to(held.at) is not None
            or (bearing is not None and bearing.play)
        ):
            return None
        axis, here = self.pose(root), self.pose(name)
        return (axis.x, axis.y) if math.hypot(axis.x - here.x, axis.y - here.y) < 1e-9 else None

    # ------------------------------------------------------------ belts
    @staticmethod
    def around(part: Part) -> tuple[str, ...]:
        """Names of the wheels a belt or chain runs round."""
        return tuple(ref.part for ref in getattr(part, "around", ()))

    def driver_first(self, part: Part) -> tuple[str, ...]:
        """Names of the wheels of a loop in order, first the one that is fewest loops away from a drive."""
        names = self.around(part)
        parts = self.scene.parts
        driven = {
            self._root(other.on.part)[0]
            for other in parts.values()
            if isinstance(other, Driver)
        }
        loops = [
            {self._root(name)[0] for name in self.around(other)} for other in parts.values()
        ]
        while driven:
            for i, name in enumerate(names):
                if self._root(name)[0] in driven:
                    return names[i:] + names[:i]
            reached = driven.union(*(loop for loop in loops if loop & driven))
            if reached == driven:
                break
            driven = reached
        return names

    def turning_inertia(self, name: str) -> float:
        """Inertia of a part's body about its own axis. [g mm^2]"""
        link = self.link(name)
        if link is None:
            return math.inf
        start = self.pose(name)
        position = link.body.position
        return link.weight.inertia + link.weight.mass * (
            (position.x - start.x) ** 2 + (position.y - start.y) ** 2
        )

    def mass_felt(self, name: str, place: Point) -> float:
        """Least mass that a force at a place of a part's body can feel, whichever way it pulls: at a long arm, much less than the whole. [g]"""
        root, _ = self._root(name)
        if root is None:
            return math.inf
        held, body = self.scene.parts[root].held(), self._links[root].body
        if isinstance(held, Slides):
            return float(body.mass)
        if isinstance(held, Turns):
            arm = math.dist(place, self.pose(root)[:2])
            return self.turning_inertia(root) / arm**2 if arm > 0 else math.inf
        arm = math.dist(place, body.position)
        return float(1 / (1 / body.mass + arm**2 / body.moment))

    def extra_body(self, name: str, inertia: float) -> pymunk.Body:
        """Add a body for a turning that the plane can't show (about an upright spindle); it stands on a pin of its own."""
        inertia = max(inertia, SMALLEST_INERTIA)
        body = engine.Body(1.0, inertia)
        self.space.add(body)
        pin = pymunk.PivotJoint(self.space.static_body, body, (0.0, 0.0))
        pin.collide_bodies = True
        self.space.add(pin)
        self.world.links.append(
            Link(name, body, (0.0, 0.0), Weight(1.0, (0.0, 0.0), inertia), {})
        )
        return body

    # ------------------------------------------------------------ drives
    def drive(
        self,
        part: Driver,
        speed: float,
        ceiling: float,
        radius: float = 0.0,
        has_line: bool = False,
        holds: bool = False,
    ) -> None:
        """Let a part turn its shaft; the first drive is the scene's."""
        if not self.world.drives:
            quickest = max(
                map(abs, trains.running_senses(self.scene.parts).values()), default=1.0
            )
            self.due(speed * quickest)  # a belt may turn a shaft faster than the drive
        turns = Turning(part.name, part.on.part, part.sense, speed, part.starts_over)
        unit = Drive(self, turns, ceiling * self.strength, radius, has_line, holds)
        self.world.drives.append(unit)
        self.before_step(unit.before)
        self.after_step(unit.after)


def _carry(body: pymunk.Body, mass: float) -> Callable[[float], None]:
    """Bear a body's weight: a part that lies flat (seen from above) is carried by its shaft's footing."""

    def carry(t: float) -> None:
        body.apply_force_at_world_point((0.0, mass * GRAVITY), body.position)

    return carry


def build(
    scene: Scene,
    level: float = 0.5,
    settings: Settings | None = None,
    pace: float = 0.5,
    strength: float = 1.0,
) -> World:
    """Build the world of an assembled scene.

    Parameters
    ----------
    scene
        Assembled: every part has its starting pose.
    level
        Where friction ranges stand: 0 low, 0.5 middle, 1 high.
    settings
        Step and iterations; None lets the scene decide.
    pace
        Where ranges of a drive's speed stand: 0 slow, 0.5 middle, 1 fast.
    strength
        How many times as strong as written the drives are.

    Raises
    ------
    SceneError
        Something can't be built as it is (masses too unlike, more contacts than the engine can tell apart).
    """
    if settings is None:
        probe = _fill(Bench(scene, level, Settings(1e-4, 30), pace))
        kinds = {entry.kind for entry in probe.contacts.values()}
        settings = choose(
            len(probe.links),
            bool(kinds - {"guide"}),
            bool(
                kinds & {"guide", "thread", "pins across", "tooth"}
            ),  # all of these can wedge or lock
            probe.fastest,
            probe.stiffest,
        )
    world = _fill(Bench(scene, level, settings, pace, strength))
    _check_masses(world)
    return world


def _fill(bench: Bench) -> World:
    for part in bench.scene.parts.values():
        part.build(cast("Workshop", bench))
    return bench.world


def _check_masses(world: World) -> None:
    """Refuse neighbours whose masses are too unlike for the solver."""
    index: Mapping[int, Link] = {id(link.body): link for link in world.links}
    for joint in world.pivots:
        pair = [index.get(id(body)) for body in (joint.a, joint.b)]
        if pair[0] is None or pair[1] is None:
            continue
        heavy, light = sorted((pair[0], pair[1]), key=lambda link: -link.weight.mass)
        ratio = heavy.weight.mass / light.weight.mass
        if ratio > MASS_RATIO_LIMIT:
            raise SceneError(
                [
                    Problem(
                        place_of(world.scene, light.name),
                        f"'{light.name}' weighs {light.weight.mass:.2g} g and is pinned to '{heavy.name}' of {heavy.weight.mass:.3g} g: too unlike to reckon with",
                        f"'mass: {heavy.weight.mass / 100:.2g} g' or more",
                    )
                ]
            )


def place_of(scene: Scene, name: str) -> Place:
    """Tell where a part stands in the scene's text."""
    return scene.place_of(name) if name in scene.written else Place(scene.file, 1, 1)
