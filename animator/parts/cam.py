"""A shaped plate on a shaft whose edge lifts whatever rests on it."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal, NamedTuple, Self

from pydantic import model_validator

from animator.geometry import Point
from animator.outlines import JOINS, LAWS, FlowingLift, PoseLift, lift_of
from animator.outlines.loudness import listen
from animator.parts._contract import PARTS, Part, Pen, Rides, Standing, Weight, Workshop
from animator.parts._fields import (
    Amount,
    Angle,
    Choice,
    Hidden,
    Length,
    PartOf,
    Ref,
    Signed,
    Size,
    Words,
)
from animator.parts._performance import GrooveCut, Loudness, Moment, Timed, Traced
from animator.parts._solid import plate, together
from animator.trains import drive_speed, running_senses
from animator.units import Wrong, show

Law = Annotated[str, Choice(tuple(LAWS))]
AboveZero = Annotated[float, Amount(("angle",), above=0)]
WHOLE_TURN = 1e-9  # rad; sums of degrees that are a whole turn on paper differ by rounding only


class Move(NamedTuple):
    """One stretch of a cam's turn: rise (negative: fall, 0: dwell) [mm] over an angle [rad] by a motion law."""

    rise: float
    over: float
    law: str


class Step(Words):
    """One step of a programme: ``rise``, ``fall`` or ``dwell``; a rise or fall says ``over`` how many degrees and by which ``law``."""

    sample_text: ClassVar[str] = "{rise: 10, over: 90}"
    says: ClassVar[Mapping[str, str]] = {
        "rise": "lifts by this",
        "fall": "lets down by this",
        "dwell": "stays for so many degrees; 'rest': for what is left of the turn",
        "over": "how many degrees a rise or fall takes",
        "law": "how it gets there",
    }

    one_of: ClassVar[tuple[str, ...]] = ("rise", "fall", "dwell")

    rise: Length | None = None
    fall: Length | None = None
    dwell: (
        Annotated[float | Literal["rest"], Amount(("angle",), words=("rest",), low=0)] | None
    ) = None
    over: AboveZero | None = None
    law: Law | None = None

    @model_validator(mode="after")
    def _says_over_how_much(self) -> "Step":
        said = next((word for word in ("over", "law") if getattr(self, word) is not None), None)
        if self.dwell is None and self.over is None:
            way = "rise" if self.rise is not None else "fall"
            height = self.rise if self.rise is not None else self.fall
            raise Wrong(
                f"a {way} says over how many degrees",
                f"'{{{way}: {height:g}, over: 90}}'",
                key=way,
            )
        if self.dwell is not None and said:
            raise Wrong(f"a dwell has no '{said}'", "'{dwell: 60}'", key=said)
        return self


class Eccentric(Words):
    """A round cam of ``radius`` whose middle is ``throw`` from the shaft."""

    sample_text: ClassVar[str] = "{radius: 20, throw: 8}"
    says: ClassVar[Mapping[str, str]] = {
        "radius": "of the round itself",
        "throw": "from the shaft to the round's middle; it lifts by twice as much",
    }

    radius: Size
    throw: Length

    @model_validator(mode="after")
    def _holds_its_shaft(self) -> "Eccentric":
        if self.throw >= self.radius:
            raise Wrong(
                "the shaft lies outside the eccentric",
                f"a throw under {self.radius:g}",
                key="throw",
            )
        return self


class Egg(Words):
    """A circle of ``radius`` about the shaft and a nose circle whose centre is ``reach`` away, joined by common tangents."""

    sample_text: ClassVar[str] = "{radius: 15, nose radius: 5, reach: 20}"
    says: ClassVar[Mapping[str, str]] = {
        "radius": "of the round about the shaft",
        "nose_radius": "of the nose",
        "reach": "from the shaft to the nose's centre",
    }

    radius: Size
    nose_radius: Size
    reach: Size

    @model_validator(mode="after")
    def _has_a_nose(self) -> "Egg":
        if self.reach + self.nose_radius <= self.radius:
            raise Wrong(
                "the nose lies inside the round",
                f"a reach over {self.radius - self.nose_radius:g}",
                key="reach",
            )
        if self.reach <= self.nose_radius - self.radius:
            raise Wrong(
                "the round lies inside the nose",
                f"a nose radius under {self.radius + self.reach:g}",
                key="nose radius",
            )
        return self


class Drop(Words):
    """A snail: rises by ``lift`` over most of a turn and drops suddenly."""

    sample_text: ClassVar[str] = "{lift: 12}"
    says: ClassVar[Mapping[str, str]] = {
        "lift": "how far it lifts before it drops",
        "rise_over": "how many degrees the rise takes",
        "fall_over": "how many degrees the drop takes",
    }

    lift: Size
    rise_over: AboveZero = math.radians(340)
    fall_over: AboveZero = math.radians(5)

    @model_validator(mode="after")
    def _fits_a_turn(self) -> "Drop":
        if self.rise_over + self.fall_over > math.tau + WHOLE_TURN:
            left = show(math.tau - self.fall_over, "angle").removesuffix(" deg")
            raise Wrong(
                "rise and fall together are more than a turn",
                f"at most 'rise over: {left}'",
                key="rise over" if "rise_over" in self.model_fields_set else "fall over",
            )
        return self


@PARTS.add("cam")
class Cam(Part):
    """Its outline is exactly one of ``programme``, ``eccentric``, ``egg``, ``drop``, ``poses``, ``traced`` and ``loudness``.

    ``phase`` and all angles of an outline count in the running direction. ``base radius`` is the smallest, on which lifts are set.
    """

    as_written = "lift cam: {kind: cam, on: camshaft, base radius: 18, programme: [{rise: 14, over: 120}, {fall: 14, over: 120}, {dwell: rest}]}"

    also_called = (
        "eccentric",
        "egg",
        "snail",
        "tappet cam",
        "disc cam",
        "plate cam",
        "face cam",
        "groove cam",
        "box cam",
        "yoke cam",
    )
    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it is fixed to",
        "phase": "how far it is turned on its shaft, in the running direction",
        "base_radius": "its smallest radius, on which lifts are set",
        "programme": "rises, falls and dwells one after the other, a whole turn in all",
        "eccentric": "a round off its middle",
        "egg": "a round with a nose",
        "drop": "a snail: rises slowly, drops suddenly",
        "poses": "how high it lifts at which angle, or at which moment of a turn that the last one closes",
        "joined": "how poses are joined: spline (smoothest, may swing beyond them), flowing (never beyond them), or a law from rest to rest; left out, the spline where it keeps within them",
        "traced": "its outline, from a drawing or a list of points",
        "loudness": "its lifts, from how loud a sound is",
        "groove": "cut into its face in place of an edge, so that a roller is held both ways",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "programme": "[{rise: 10, over: 90}, {dwell: 60}, {fall: 10, over: 90}, {dwell: rest}]",
        "poses": "{0: 0, 90: 10, 180: 0}",
    }
    one_of: ClassVar[tuple[str, ...]] = (
        "programme",
        "eccentric",
        "egg",
        "drop",
        "poses",
        "traced",
        "loudness",
    )

    on: Annotated[Ref, PartOf("shaft")]
    phase: Angle = 0.0
    base_radius: Size = 15.0
    programme: tuple[Step, ...] | None = None
    eccentric: Eccentric | None = None
    egg: Egg | None = None
    drop: Drop | None = None
    poses: dict[Annotated[float, Moment()], Signed] | None = None
    traced: Traced | None = None
    loudness: Loudness | None = None
    joined: Annotated[str, Choice(JOINS)] | None = None
    groove: GrooveCut | None = None
    turn_time: Annotated[float, Hidden] = 0.0
    """How long a turn takes for which its poses are told by the clock; 0: they are told by angles. [s]"""

    @model_validator(mode="after")
    def _goes_round(self) -> "Cam":
        if self.programme is not None:
            self._check_programme(self.programme)
        if self.joined is not None and self.poses is None:
            raise Wrong(
                "'joined' tells how poses are joined; there are none",
                "'poses: {0: 0, 120: 10, 240: 0}', or no 'joined'",
                key="joined",
            )
        if self.groove is not None and (self.drop is not None or self.traced is not None):
            what = "a drop" if self.drop is not None else "a traced edge"
            raise Wrong(
                f"a groove can't follow {what}",
                "its lifts as 'poses' or 'programme', or no 'groove'",
                key="groove",
            )
        if self.poses is not None:
            timed = self._clocked(self.poses)
            self._check_poses(timed.poses or {})
            return timed
        return self

    def _clocked(self, poses: Mapping[float, float]) -> "Cam":
        """Take poses told by the clock as poses told by angles: the last one closes the turn."""
        told = [moment for moment in poses if isinstance(moment, Timed)]
        if not told:
            return self
        if len(told) < len(poses):
            angle = next(moment for moment in poses if not isinstance(moment, Timed))
            raise Wrong(
                "some poses are told by the clock, others by degrees",
                f"a time for {math.degrees(angle):g} degrees too, or degrees for all",
                key="poses",
            )
        first, last = min(told), max(told)
        if first > 0:
            raise Wrong(
                f"nothing says where it is when the turn begins; the first pose comes at {first:g} s",
                f"'0 s: {poses[last]:g}' more",
                key="poses",
            )
        if abs(poses[first] - poses[last]) > 1e-6:
            raise Wrong(
                f"the turn ends at {last:g} s with {poses[last]:g} mm and begins with {poses[first]:g} mm",
                f"'{last:g} s: {poses[first]:g}', or one more pose where the turn ends",
                key="poses",
            )
        angles = {math.tau * moment / last: poses[moment] for moment in told if moment < last}
        return self.model_copy(update={"poses": angles, "turn_time": float(last)})

    def _check_programme(self, programme: tuple[Step, ...]) -> None:
        rests = sum(step.dwell == "rest" for step in programme)
        said = sum(_span(step) for step in programme)
        left = math.tau - said
        degrees = f"{math.degrees(abs(left)):.6g}"
        if rests > 1:
            raise Wrong(
                "the programme rests twice",
                "one '{dwell: rest}' and the other in degrees",
                key="programme",
            )
        if left < -WHOLE_TURN:
            raise Wrong(
                f"the programme covers {math.degrees(said):.6g} of 360 degrees",
                f"{degrees} degrees less",
                key="programme",
            )
        if not rests and left > WHOLE_TURN:
            raise Wrong(
                f"the programme covers {math.degrees(said):.6g} of 360 degrees",
                f"'- {{dwell: {degrees}}}' more, or '- {{dwell: rest}}'",
                key="programme",
            )
        end = sum((step.rise or 0.0) - (step.fall or 0.0) for step in programme)
        if abs(end) > 1e-6:
            last = f"{'fall' if end > 0 else 'rise'}: {abs(end):.6g}"
            raise Wrong(
                f"the programme ends {abs(end):.6g} mm {'above' if end > 0 else 'below'} where it starts",
                f"'{last}' more, so that it closes",
                key="programme",
            )
        height, lowest = 0.0, 0.0
        for move in self.moves():
            height += move.rise
            lowest = min(lowest, height)
        if self.base_radius + lowest <= 0:
            raise Wrong(
                f"the programme falls {-lowest:.6g} mm below a base radius of {self.base_radius:g}",
                f"a base radius over {-lowest:.6g}",
                key="programme",
            )

    def _check_poses(self, poses: Mapping[float, float]) -> None:
        turned = sorted(angle % math.tau for angle in poses)
        if len(poses) < 3:
            raise Wrong(
                "a smooth curve needs three poses or more",
                "'poses: {0: 0, 120: 10, 240: 0}'",
                key="poses",
            )
        if len(poses) > 720:
            raise Wrong(
                f"{len(poses)} poses are more than a cam can be filed to",
                "at most 720",
                key="poses",
            )
        if any(
            after - before < math.radians(0.25)
            for before, after in zip(turned, [*turned[1:], turned[0] + math.tau], strict=True)
        ):
            raise Wrong(
                "two poses stand at one angle",
                "angles at least half a degree apart, 0 to 360",
                key="poses",
            )
        if self.base_radius + min(poses.values()) <= 0:
            raise Wrong(
                "a pose lies below the shaft's middle",
                f"lifts above {-self.base_radius:g}",
                key="poses",
            )

    def moves(self) -> tuple[Move, ...]:
        """Give the programme with its rest filled in; nothing for other outlines."""
        programme = self.programme or ()
        rest = math.tau - sum(_span(step) for step in programme)
        return tuple(
            Move(
                (step.rise or 0.0) - (step.fall or 0.0),
                rest if step.dwell == "rest" else _span(step),
                step.law or "cycloidal",
            )
            for step in programme
        )

    def mirrored(self) -> "Cam":
        """Turn the outline left to right; the phase stays."""
        turned = super().mirrored()
        if self.drop is not None or self.loudness is not None:
            what = "a drop cam" if self.drop is not None else "a cam cut from a sound"
            raise Wrong(f"{what} isn't turned in a mirror", "its outline as a 'programme'")
        if self.programme is not None:
            back = tuple(
                step.model_copy(update={"rise": step.fall, "fall": step.rise})
                for step in reversed(self.programme)
            )
            turned = turned.model_copy(update={"programme": back})
        if self.poses is not None:
            turned = turned.model_copy(
                update={
                    "poses": {
                        -float(angle) % math.tau: lift for angle, lift in self.poses.items()
                    }
                }
            )
        return turned

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Tell once, at the start, of a sound from which nothing can be cut."""
        if not piece.turned and self.loudness is not None and self.loudness.path is not None:
            wrong = self.loudness.deaf()
            if wrong is not None:
                yield Wrong(
                    wrong.what,
                    wrong.write.replace("CAM.", f"{self.name}."),
                    key=f"loudness.{wrong.key}",
                    more=wrong.more,
                )

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        """Say what was chosen for it: how its poses are joined, how far smoothing moved it, what of a sound it says."""
        return self, tuple(self._chosen(piece))

    def _chosen(self, piece: Standing) -> Iterator[str]:
        if self.poses is not None:
            lift: Any = lift_of(self)
            name = (
                "spline"
                if type(lift) is PoseLift
                else "flowing"
                if isinstance(lift, FlowingLift)
                else self.joined
            )
            most = max(abs(rise[2]) for _, rise in lift.samples())
            told = f"the poses of {self.name} are joined by {name}"
            if type(lift) is PoseLift and lift.overshoot > 0.005:
                told += f", which swings up to {lift.overshoot:.2f} mm beyond them"
            elif self.joined is None and isinstance(lift, FlowingLift):
                beyond = PoseLift(self.poses).overshoot
                told += f", since a spline would swing {beyond:.2f} mm beyond them"
            yield told + f" (largest second derivative {most:.1f} mm/rad2)"
        if self.traced is not None:
            found = self.traced.smoothed
            yield f"{self.name} is smoothed: its outline of {self.traced.file} moved by at most {found.moved:.3f} mm (at {math.degrees(found.moved_at) % 360:.0f} degrees) and by {found.moved_mean:.3f} mm on average"
        if self.loudness is not None and self.loudness.path is not None:
            listened = listen(self.loudness.hearing)
            count = f"{listened.words} times" if listened.words > 1 else "once"
            yield f"{self.name} opens {count} a turn, to {self.loudness.of} from {self.loudness.from_:g} s to {self.loudness.ends:g} s"
        time = self.turn_time or (
            self.loudness.ends - self.loudness.from_ if self.loudness else 0.0
        )
        if time:
            yield from self._in_time(piece, time)

    def _in_time(self, piece: Standing, time: float) -> Iterator[str]:
        """Say whether its shaft turns as fast as the performance was timed for."""
        speeds = running_senses(piece.parts)
        drive = next((part for part in piece.parts.values() if part.is_drive), None)
        turns = abs(speeds.get(self.on.part, 0.0))
        if drive is None or not turns:
            return
        due = drive_speed(drive) * turns
        takes = math.tau / due
        wanted = math.tau / time / turns * 60 / math.tau
        if abs(takes - time) > 0.02 * time:
            yield f"{self.name} is timed for a turn in {time:.4g} s, and its shaft takes {takes:.4g} s; with '{drive.name}.speed: {wanted:.4g} rpm' it is in time"

    def weigh(self, shop: Workshop) -> Weight:
        from animator.outlines import Groove, outline_in

        outline = outline_in(shop.scene, self.name)
        whole = plate(outline.polygon(), shop.density(self) * shop.stuff_of(self)[1])
        if not isinstance(outline, Groove):
            return whole
        # the groove goes half through; what is cut out is taken away
        out = shop.density(self) * shop.stuff_of(self)[1] / 2
        inner, outer = (plate(wall, out) for wall in outline.walls())
        return less(together((whole, inner)), outer)

    def draw_across(self, pen: Pen) -> None:
        from animator.outlines import outline_in

        outline = outline_in(pen.scene, self.name).polygon()
        stuff, thickness = pen.stuff()
        step = max(1, len(outline) // 180)
        pen.edge_disc(6.0, thickness + 7.0, "brass", 0.0, 3, sort="hub")
        pen.edge_cam(outline[::step], thickness, stuff)

    def draw(self, pen: Pen) -> None:
        from animator.outlines import Groove, outline_in

        found = outline_in(pen.scene, self.name)
        if isinstance(found, Groove):
            stuff, thickness = pen.stuff()
            inner, outer = found.walls()
            pen.grooved(found.rim, inner[::3], outer[::3], stuff, thickness)
            pen.hub((0.0, 0.0), min(7.5, 0.5 * min(math.hypot(x, y) for x, y in inner)))
            return
        outline = found.polygon()
        stuff, thickness = pen.stuff()
        least = min(math.hypot(x, y) for x, y in outline)
        most = max(math.hypot(x, y) for x, y in outline)
        hub = min(7.5, 0.62 * least)
        # the pencil lines of the laying out: base circle, and a ray each thirty degrees
        rays = [
            (
                (0.58 * least + 2) * math.cos(a),
                (0.58 * least + 2) * math.sin(a),
                0.92 * least * math.cos(a),
                0.92 * least * math.sin(a),
            )
            for a in (math.tau * i / 12 for i in range(12))
        ]
        far = max(outline, key=lambda p: math.hypot(*p))
        lines = [((x, y), (u, v)) for x, y, u, v in rays]
        if most > least * 1.05:
            lines.append(
                ((far[0] * hub / most, far[1] * hub / most), (far[0] * 0.94, far[1] * 0.94))
            )
        step = max(1, len(outline) // 480)
        pen.plate(
            outline[::step],
            stuff,
            thickness,
            15,
            pencil=lines,
            circles=[((0.0, 0.0), least)] if most > least * 1.02 else (),
            sort="cam",
        )
        pen.hub((0.0, 0.0), hub)


def _span(step: Step) -> float:
    """Angle a step covers, 0 for a rest. [rad]"""
    if step.dwell is not None:
        return 0.0 if step.dwell == "rest" else step.dwell
    return step.over or 0.0


def less(whole: Weight, hole: Weight) -> Weight:
    """Take what is cut away off a weight.

    Examples
    --------
    >>> less(Weight(3.0, (0.0, 0.0), 9.0), Weight(1.0, (0.0, 0.0), 1.0))
    Weight(mass=2.0, centre=(0.0, 0.0), inertia=8.0)
    """
    mass = whole.mass - hole.mass
    x, y = (
        (whole.mass * a - hole.mass * b) / mass
        for a, b in zip(whole.centre, hole.centre, strict=True)
    )

    def about(weight: Weight) -> float:
        return weight.inertia + weight.mass * (
            (weight.centre[0] - x) ** 2 + (weight.centre[1] - y) ** 2
        )

    return Weight(mass, (x, y), about(whole) - about(hole))
