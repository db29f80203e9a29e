"""A small switch whose lever is lifted by a strip of a drum or by a cam: closed while it is up."""

import itertools
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, cast

from animator import outlines, trains
from animator.geometry import Point
from animator.parts._contract import PARTS, Part, Pen, Prediction, Standing, Still, Workshop
from animator.parts._fields import (
    WAYS,
    Direction,
    Force,
    Mass,
    PartOf,
    Reader,
    Ref,
    Size,
    Where,
    text_of,
)
from animator.parts._profiles import Profile, TableProfile, crossings
from animator.parts._signals import Sender
from animator.units import Wrong, measure

if TYPE_CHECKING:
    from animator.motion.motion import Motion

LEVER_MASS = 1.0  # g at the roller; the lever of a small snap-action switch with its roller (estimate, no source)
PIN_FRICTION = 0.2  # of a small roller on its pin,
PIN_SHARE = (
    0.3  # whose diameter is this share of the roller's; the drag at the rim is their product
)
STEADY = 0.97  # slowest of the fastest speed; a shaft that runs so evenly has one speed


MOST_KEPT = 32
_TABLES: dict[tuple[int, float, float, int], tuple[Any, Profile]] = {}
"""Cams' profiles, kept with the cam they are of: each is asked for several times."""


@dataclass(frozen=True)
class Lost:
    """How much lower a switch opens than it closes: by an angle of what it rides on [rad], or by a length of its lever's way [mm]."""

    amount: float
    is_angle: bool = True
    text: str = ""


class _Lost(Reader):
    def read(self, value: Any) -> Lost:
        text = text_of(value, "1")
        amount, sort = measure(text, ("angle", "length"))
        if amount < 0:
            raise Wrong(f"'{text}' is less than nothing", "0 or more")
        return Lost(amount, sort == "angle", str(text))

    def schema(self) -> dict[str, Any]:
        return {
            "type": ["number", "string"],
            "description": "degrees of what it rides on, or with 'mm' a length of the lever's way",
            "examples": [1],
        }


@PARTS.add("switch")
class Switch(Sender):
    """Rides on a track of a timing drum, or on a cam, and is closed while its lever is up.

    It closes when its roller is lifted to ``closes at`` (half of what it rides on, unless said) and opens ``differential`` later, when the roller has
    come down further than it had to rise: a snap-action switch needs that. ``angle`` says on which side of the shaft it stands. Its lever is light and its spring
    holds it down, so it is reckoned to follow at once; what its spring and its roller ask of the shaft is in the run.
    """

    as_written = "home switch: {kind: switch, rides on: drum.home, differential: 2}"

    says: ClassVar[Mapping[str, str]] = {
        "rides_on": "the track of a drum, or the cam, that lifts its lever",
        "differential": "how many degrees later it opens than it would close there; with 'mm', by how much lower its lever must come",
        "angle": "on which side of the shaft it stands",
        "closes_at": "how far its roller must be lifted to close it",
        "force": "how hard its spring presses the roller down",
        "roller_diameter": "of its roller",
    }

    also_called = ("microswitch", "limit switch", "contact", "snap switch", "micro switch")

    rides_on: Annotated[Ref, PartOf("timing drum", "cam", is_point=True)]
    differential: Annotated[Lost, _Lost()] = Lost(math.radians(1), True, "1")
    angle: Direction = WAYS["up"]
    closes_at: Size | None = None
    force: Force = 0.3e6
    roller_diameter: Size = 4.0
    mass: Mass | None = 3.0

    def held(self) -> Still:
        return Still(Where((0.0, 0.0), self.rides_on))

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    # ------------------------------------------------------------ what it rides on
    def track(self, parts: Mapping[str, Part]) -> str:
        """Name of the track it rides on; '' for a cam, or where none of several is named."""
        drum: Any = parts[self.rides_on.part]
        tracks = getattr(drum, "tracks", None)
        if tracks is None:
            return ""
        if self.rides_on.point in tracks:
            return self.rides_on.point
        return next(iter(tracks)) if len(tracks) == 1 else ""

    def base(self, parts: Mapping[str, Part]) -> float:
        """How far from the axis the surface under its roller is at its lowest [mm]."""
        part: Any = parts[self.rides_on.part]
        track = self.track(parts)
        return float(part.radius(track) if track else part.base_radius)

    def profile(self, piece: Any) -> Profile:
        """Height of its roller over the turn of what it rides on, 0 at its lowest; ``piece`` is an assembled scene, or one on the drawing board."""
        part: Any = piece.parts[self.rides_on.part]
        track = self.track(piece.parts)
        if track:
            return cast(Profile, part.profile(track))
        sense = trains.sense_of(piece.parts, part.name)
        key = id(part), self.angle, self.roller_diameter, sense
        kept = _TABLES.get(key)
        if kept is not None and kept[0] is part:
            return kept[1]
        is_drawn = hasattr(piece, "pose")
        outline = (outlines.laid_out if is_drawn else outlines.outline_in)(piece, part.name)
        tip = outlines.Tip(self.roller_diameter / 2)
        stance = outlines.Stance(self.angle, 0.0, sense)
        table = TableProfile(lambda turned: outline.reach(tip, stance, turned))
        if len(_TABLES) >= MOST_KEPT:
            _TABLES.clear()
        _TABLES[key] = part, table
        return table

    def lead(self, parts: Mapping[str, Part]) -> float:
        """What to add to the angle of what it rides on, counted in the running direction, to find its place on the profile. [rad]"""
        part: Any = parts[self.rides_on.part]
        track = self.track(parts)
        if not track:
            return 0.0  # a cam's outline knows phase and side
        from animator.parts.timing_drum import stands_at

        sense = trains.sense_of(parts, part.name)
        return sense * (stands_at(parts, part.name, track) - self.angle) - float(part.phase)

    def levels(self, profile: Profile) -> tuple[float, float]:
        """Lifts at which it closes and opens. [mm]

        Raises
        ------
        Wrong
            It never closes, or never opens.
        """
        top = max(profile.at(math.tau * i / 720)[0] for i in range(720))
        closes = top / 2 if self.closes_at is None else self.closes_at
        found = crossings(profile, closes)
        if not found:
            if top <= 0 or closes >= top:
                raise Wrong(
                    f"what it rides on lifts its roller by {top:.3g} mm; it closes at {closes:.3g}",
                    f"'closes at: {top / 2:.2g}'",
                    key="closes at" if self.closes_at is not None else "rides on",
                )
            raise Wrong(
                "it is never let down, so it never opens", "a gap in the strip", key="rides on"
            )
        opens = closes - self.differential.amount
        if self.differential.is_angle:
            fall = next(angle for angle, way in found if way < 0)
            opens = profile.at(fall + self.differential.amount)[0]
            is_lower = opens <= closes + 1e-9 and self._falls_on(profile, fall)
        else:
            is_lower = opens > 0
        if not is_lower or opens <= 0:
            most = self._most(profile, closes, found)
            raise Wrong(
                f"with a differential of {self._said} it never opens: where it is let down there are {most} from closing to the bottom",
                f"'differential: {self._less(profile, closes, found)}'",
                key="differential",
            )
        return closes, opens

    def _falls_on(self, profile: Profile, fall: float) -> bool:
        """Whether the roller sinks all the way over the differential."""
        steps = 24
        heights = [
            profile.at(fall + self.differential.amount * k / steps)[0] for k in range(steps + 1)
        ]
        return all(b <= a + 1e-6 for a, b in itertools.pairwise(heights))

    @property
    def _said(self) -> str:
        return (
            f"{self.differential.text} degrees"
            if self.differential.is_angle and self.differential.text.replace(".", "").isdigit()
            else self.differential.text
        )

    def _room(self, profile: Profile, found: list[tuple[float, int]]) -> float:
        """Angle from the first place where it is let down to where it stands lowest. [rad]"""
        fall = next(angle for angle, way in found if way < 0)
        step = math.tau / 3600
        turned = fall
        while (
            profile.at(turned + step)[0] < profile.at(turned)[0] - 1e-7
            and turned < fall + math.tau
        ):
            turned += step
        return turned - fall

    def _most(self, profile: Profile, closes: float, found: list[tuple[float, int]]) -> str:
        if self.differential.is_angle:
            return f"{math.degrees(self._room(profile, found)):.1f} degrees"
        return f"{closes:.2g} mm"

    def _less(self, profile: Profile, closes: float, found: list[tuple[float, int]]) -> str:
        if self.differential.is_angle:
            return f"{math.degrees(self._room(profile, found)) / 3:.2g}"
        return f"{closes / 3:.2g} mm"

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if piece.turned:
            return
        part: Any = piece.parts[self.rides_on.part]
        if isinstance(part, Sender) and not self.track(piece.parts):
            wrong = part.unnamed(self.rides_on.point)
            if wrong is not None:
                wrong.key = "rides on"
                yield wrong
            return
        try:
            self.levels(self.profile(piece))
        except Wrong as wrong:
            yield wrong

    # ------------------------------------------------------------ as a signal
    def turned_by(self, parts: Mapping[str, Part]) -> str:
        return self.rides_on.part

    def is_closed_at(self, point: str, piece: Standing) -> bool:
        if isinstance(piece.parts[self.rides_on.part], Sender) and not self.track(piece.parts):
            return False  # told by its own misfits
        profile = self.profile(piece)
        try:
            closes, _ = self.levels(profile)
        except Wrong:
            return False
        sense = trains.sense_of(piece.parts, self.rides_on.part)
        turned = sense * piece.pose(self.rides_on.part).angle + self.lead(piece.parts)
        return profile.at(turned)[0] >= closes

    # ------------------------------------------------------------ the run
    def build(self, shop: Workshop) -> None:
        lever = Lever(shop, self)
        shop.before_step(lever.press)
        shop.store(f"spring of {self.name}", lever.energy)
        shop.channel(f"{self.name}.closed", "state", lambda: float(lever.is_closed))
        shop.channel(f"{self.name}.press", "length", lambda: lever.height)

    def draw(self, pen: Pen) -> None:
        parts = pen.scene.parts
        part: Any = parts[self.rides_on.part]
        front = pen.nearer_than([self.rides_on.part])
        front.switch(
            self.angle,
            self.base(parts) if self.track(parts) else self._lowest(pen.scene, part.name),
            self.roller_diameter / 2,
            trains.sense_of(parts, part.name),
            f"{self.name}.press",
            f"{self.name}.closed",
        )

    def _lowest(self, scene: Any, cam: str) -> float:
        """How far from the axis a cam is at its lowest under the roller. [mm]"""
        outline = outlines.outline_in(scene, cam)
        tip = outlines.Tip(self.roller_diameter / 2)
        stance = outlines.Stance(self.angle, 0.0, trains.sense_of(scene.parts, cam))
        return (
            min(outline.reach(tip, stance, math.tau * i / 360) for i in range(360)) - tip.radius
        )

    def closed_angle(self, scene: Any) -> float:
        """How much of a turn it is closed, its differential included. [rad]"""
        profile = self.profile(scene)
        closes, opens = self.levels(profile)
        rises = [angle for angle, way in crossings(profile, closes) if way > 0]
        falls = [angle for angle, way in crossings(profile, opens) if way < 0]
        total, until = 0.0, -math.inf
        for start in rises:
            if start < until:
                continue
            end = min((fall - start) % math.tau for fall in falls)
            total, until = total + end, start + end
        return total

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        turning = trains.turning_part(motion.scene.parts, self.rides_on.part)
        if turning not in motion.frames:
            return
        angle = motion.frame(turning)[motion.begins :, 2]
        turns = abs(float(angle[-1] - angle[0])) / math.tau
        seconds = float(motion.times[-1] - motion.times[motion.begins])
        whole = round(turns)
        steps = abs(angle[1:] - angle[:-1])
        is_steady = len(steps) > 0 and float(steps.min()) > STEADY * float(steps.max())
        if whole < 1 or abs(turns - whole) > 0.01 or not is_steady:
            return  # only over whole turns at one speed is it the lobe's share of the time
        speed = turns / seconds
        share = self.closed_angle(motion.scene) / math.tau
        yield Prediction(
            f"{self.name}.on time",
            share * turns / speed,
            "on time = lobe angle / (6 rpm) for each turn, at the mean speed; the differential adds to the lobe",
        )


class Lever:
    """A light lever under its spring: its roller stands where the profile is, and the shaft is asked for what lifts it.

    Torque against the turning F ds/dangle, from the spring alone, taken where the shaft will be after the step; the roller's drag as a brake.
    """

    def __init__(self, shop: Workshop, part: Switch) -> None:
        from animator.world.drives import Brake, Load

        scene = shop.scene
        rides = part.rides_on.part
        self._profile = part.profile(scene)
        self._closes, self._opens = part.levels(self._profile)
        self._body = shop.body(rides)
        self._sense = trains.sense_of(scene.parts, rides)
        pose = shop.pose(rides)
        self._lead: float = self._sense * (pose.angle - self._body.angle) + part.lead(
            scene.parts
        )
        self._dt, self._force = shop.dt, part.force
        self._axis = self._body.world_to_local((pose.x, pose.y))
        self._push = -part.force * math.cos(part.angle), -part.force * math.sin(part.angle)
        self.height = self._profile.at(self._turned(0.0))[0]
        self.is_closed = self.height >= self._closes
        arm = part.base(scene.parts) + self.height
        drag = PIN_FRICTION * PIN_SHARE * part.force * arm
        self._is_still = self._body is shop.space.static_body
        if drag and not self._is_still:
            heat = shop.heat(f"roller of {part.name}")
            brake = Brake(
                shop.space, shop.space.static_body, self._body, Load(drag, heat), None
            )
            shop.after_step(brake.book)
        self._remark_on_hops(shop, part)

    def _remark_on_hops(self, shop: Workshop, part: Switch) -> None:
        """Say so where the shaft would run so fast that the lever left its strip."""
        speed = trains.running_senses(shop.scene.parts).get(
            trains.turning_part(shop.scene.parts, part.rides_on.part), 0.0
        )
        first = next((each for each in shop.scene.parts.values() if each.is_drive), None)
        if first is None:
            return
        rate = abs(speed) * trains.drive_speed(first)
        step = math.tau / 2880
        heights = [self._profile.at(step * i)[0] for i in range(2880)]
        bend = min(
            (heights[i - 1] - 2 * heights[i] + heights[(i + 1) % 2880]) / step**2
            for i in range(2880)
        )
        if -bend * rate**2 * LEVER_MASS > part.force:
            shop.remark(
                f"at {rate * 30 / math.pi:.0f} rpm the lever of {part.name} ({LEVER_MASS:g} g) would leave what it rides on; it is taken to follow"
            )

    def _turned(self, ahead: float) -> float:
        body = self._body
        angle: float = body.angle + ahead * body.angular_velocity
        return self._sense * angle + self._lead

    def press(self, t: float) -> None:
        """Push the shaft as the spring does, and close or open."""
        height, slope = self._profile.at(self._turned(self._dt))
        self.height = height
        if height >= self._closes:
            self.is_closed = True
        elif height <= self._opens:
            self.is_closed = False
        if self._is_still:
            return
        body = self._body
        body.torque -= self._sense * self._force * slope
        body.apply_force_at_world_point(self._push, body.local_to_world(self._axis))

    def energy(self) -> float:
        """Energy in the spring. [g mm^2/s^2]"""
        # taken half a step ahead, between the places at which the forces before and after are
        height: float = self._profile.at(self._turned(self._dt / 2))[0]
        return self._force * height
