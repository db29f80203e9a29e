"""A shaped plate on a shaft whose edge lifts whatever rests on it."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal, NamedTuple

from pydantic import model_validator

from animator.geometry import Point
from animator.outlines import LAWS
from animator.parts._contract import PARTS, Part, Pen, Rides, Weight, Workshop
from animator.parts._fields import (
    Amount,
    Angle,
    Choice,
    Length,
    PartOf,
    Ref,
    Signed,
    Size,
    Words,
)
from animator.parts._solid import plate
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
    """Its outline is exactly one of ``programme``, ``eccentric``, ``egg``, ``drop`` and ``poses``.

    ``phase`` and all angles of an outline count in the running direction. ``base radius`` is the smallest, on which lifts are set.
    """

    as_written = "lift cam: {kind: cam, on: camshaft, base radius: 18, programme: [{rise: 14, over: 120}, {fall: 14, over: 120}, {dwell: rest}]}"

    also_called = ("eccentric", "egg", "snail", "tappet cam", "disc cam", "plate cam")
    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it is fixed to",
        "phase": "how far it is turned on its shaft, in the running direction",
        "base_radius": "its smallest radius, on which lifts are set",
        "programme": "rises, falls and dwells one after the other, a whole turn in all",
        "eccentric": "a round off its middle",
        "egg": "a round with a nose",
        "drop": "a snail: rises slowly, drops suddenly",
        "poses": "how high it lifts at which angle, smoothly joined",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "programme": "[{rise: 10, over: 90}, {dwell: 60}, {fall: 10, over: 90}, {dwell: rest}]",
        "poses": "{0: 0, 90: 10, 180: 0}",
    }
    one_of: ClassVar[tuple[str, ...]] = ("programme", "eccentric", "egg", "drop", "poses")
    later: ClassVar[Mapping[str, str]] = {
        "traced": "a cam traced from a drawing; give its lifts with 'poses: {0: 0, 90: 10, 180: 0}'",
        "loudness": "a cam cut from a sound; give its lifts with 'poses: {0: 0, 90: 10, 180: 0}'",
    }

    on: Annotated[Ref, PartOf("shaft")]
    phase: Angle = 0.0
    base_radius: Size = 15.0
    programme: tuple[Step, ...] | None = None
    eccentric: Eccentric | None = None
    egg: Egg | None = None
    drop: Drop | None = None
    poses: dict[Angle, Signed] | None = None

    @model_validator(mode="after")
    def _goes_round(self) -> "Cam":
        if self.programme is not None:
            self._check_programme(self.programme)
        if self.poses is not None:
            self._check_poses(self.poses)
        return self

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
        if self.drop is not None:
            raise Wrong("a drop cam isn't turned in a mirror", "its outline as a 'programme'")
        if self.programme is not None:
            back = tuple(
                step.model_copy(update={"rise": step.fall, "fall": step.rise})
                for step in reversed(self.programme)
            )
            turned = turned.model_copy(update={"programme": back})
        if self.poses is not None:
            turned = turned.model_copy(
                update={
                    "poses": {-angle % math.tau: lift for angle, lift in self.poses.items()}
                }
            )
        return turned

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        from animator.outlines import outline_in

        return plate(
            outline_in(shop.scene, self.name).polygon(),
            shop.density(self) * shop.stuff_of(self)[1],
        )

    def draw(self, pen: Pen) -> None:
        from animator.outlines import outline_in

        outline = outline_in(pen.scene, self.name).polygon()
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
