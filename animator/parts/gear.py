"""A toothed wheel: real involute teeth that turn another gear, a ring, a rack or a crown wheel, with a little play."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import Field, model_validator
from pydantic.json_schema import JsonSchemaValue

from animator.geometry import Point, polar
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Spans,
    Standing,
    Still,
    Turns,
    Weight,
    Workshop,
)
from animator.parts._fields import Arm, Friction, Length, Number, PartOf, Reader, Ref, Size, Yes
from animator.parts._involute import PRESSURE, UNDERCUT, Toothing, contact_path, phases_of
from animator.parts._solid import disc
from animator.parts.pulley import BeltWheel
from animator.trains import Coupling, Spacing, running_senses, turning_part
from animator.units import Wrong, show

if TYPE_CHECKING:
    from animator.motion.motion import Motion

LEAST_PLAY = 0.04  # mm; the two flanks' contacts are minded from 0.02 mm on, so less than both together can't be told from none
HELD_APART = (
    0.8  # of the play that middles may stand nearer or farther before teeth bind or hang
)
RING_CLEAR = 10  # teeth that a ring has more than a wheel in it, or tips catch beside the mesh (full-depth teeth, 20 degrees; from memory)


class _Mates(Reader):
    """One part of some kinds, or a list of them."""

    def __init__(self, *kinds: str) -> None:
        self._one = PartOf(*kinds)

    def read(self, value: Any) -> tuple[Ref, ...]:
        if not isinstance(value, list):
            return (self._one.read(value),)
        if not value:
            raise Wrong("the name of a part belongs here", "for example 'small gear'")
        return tuple(self._one.read(each) for each in value)

    def schema(self) -> JsonSchemaValue:
        one = self._one.schema()
        return {
            "anyOf": [one, {"type": "array", "items": one, "minItems": 1}],
            "examples": ["small gear"],
        }


class Toothed(BeltWheel):
    """A wheel with teeth of one module, fixed ``on`` something that turns or running free ``at`` a place; ``held: yes`` keeps it from turning there."""

    says: ClassVar[Mapping[str, str]] = {
        "teeth": "how many",
        "module": "its pitch diameter over its teeth; wheels that mesh have the same",
        "play": "what its teeth leave in the gaps of a like wheel, along the pitch circle",
        "friction": "of its flanks on those it meshes with; left out, that of the two materials",
        "held_fast": "yes: where it stands by its own 'at' it can't turn",
    }

    teeth: Annotated[int, Number(6, 400)]
    module: Size
    play: Length = 0.1
    friction: Friction | None = None
    held_fast: Yes = Field(default=False, alias="held")

    is_ring: ClassVar[bool] = False

    @model_validator(mode="after")
    def _has_play(self) -> "Toothed":
        if self.play < LEAST_PLAY:
            raise Wrong(
                f"teeth with {show(self.play, 'length')} of play bind",
                f"'play: {LEAST_PLAY:g}' or more",
                key="play",
            )
        if self.play > 0.4 * math.pi * self.module:
            raise Wrong(
                f"{show(self.play, 'length')} of play leaves teeth of module {self.module:g} no body",
                f"'play: {0.05 * self.module:.2g}'",
                key="play",
            )
        if self.held_fast and self.at is None:
            raise Wrong(
                f"what is on '{self.on.text if self.on else 'a shaft'}' turns with it",
                "'at:' a place instead of 'on', or 'held: no'",
                key="held",
            )
        return self

    def held(self) -> Rides | Turns | Still:
        if self.held_fast and self.at is not None:
            return Still(self.at)
        return super().held()

    @property
    def toothing(self) -> Toothing:
        """Its teeth."""
        return Toothing(self.teeth, self.module, self.play, self.is_ring)

    @property
    def mates(self) -> tuple[Ref, ...]:
        """What it says it meshes with."""
        return ()

    def build(self, shop: Workshop) -> None:
        if not self.held_fast:
            super().build(shop)


@PARTS.add("gear")
class Gear(Toothed):
    """Teeth of one ``module``; ``meshes with`` another gear, a ring gear, or a list of them. ``pins: {pin: 12 up}`` are named points of it.

    ``at`` the pin of something that turns it is a planet: it rolls on what it meshes with.
    """

    as_written = (
        "big gear: {kind: gear, on: shaft, teeth: 36, module: 2, meshes with: small gear}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "meshes_with": "what its teeth work in, one or a list; the other need not say so too",
        "pins": "named points of it: how far from its middle and which way at the start",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "pins": "{pin: 12 up}",
    }

    also_called = (
        *("cog", "cogwheel", "spur gear", "pinion", "toothed wheel", "gear wheel"),
        *("planet gear", "sun gear", "idler gear"),
    )

    meshes_with: Annotated[tuple[Ref, ...], _Mates("gear", "ring gear")] = ()
    pins: Mapping[str, Arm] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _names_its_points(self) -> "Gear":
        if "centre" in self.pins:
            raise Wrong(
                "a pin can't be called 'centre'",
                "another name; the centre is there already",
                key="pins",
            )
        return self

    @property
    def mates(self) -> tuple[Ref, ...]:
        return self.meshes_with

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.pins.items()}

    def dimensions(self) -> Mapping[str, float]:
        return {f"pins.{name}": length for name, (length, _) in self.pins.items()}

    def _wheels(self, parts: Mapping[str, Part]) -> list[Toothed]:
        """Give the wheels it says it meshes with."""
        found = (parts.get(ref.part) for ref in self.meshes_with)
        return [wheel for wheel in found if isinstance(wheel, Toothed)]

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        carrier = self._carrier(parts)
        if carrier is not None:
            yield from self._rolls(parts, carrier)
            return
        for mate in self._wheels(parts):
            ratio = (1 if mate.is_ring else -1) * self.teeth / mate.teeth
            if mate.held_fast:
                continue
            yield Coupling(mate.name, self.name, 1 / ratio)

    def _carrier(self, parts: Mapping[str, Part]) -> str | None:
        """Name what carries it round, if something does."""
        ref = self.at.ref if self.at is not None else None
        if (
            self.at is None
            or ref is None
            or ref.part not in parts
            or any(self.at.offset)
            or self.at.fitted_side
        ):
            return None
        points = parts[ref.part].points()
        local = points[ref.point] if ref.point else next(iter(points.values()))
        return ref.part if math.hypot(*local) > 1e-9 else None

    def _rolls(self, parts: Mapping[str, Part], carrier: str) -> Iterable[Coupling]:
        """Give the ratios of a planet: seen from its carrier the teeth give them (Willis), so they are fixed where one member is held."""
        # how much each mate turns, seen from the carrier, while this one turns once
        own = {
            mate.name: (1 if mate.is_ring else -1) * self.teeth / mate.teeth
            for mate in self._wheels(parts)
        }
        still = [name for name in own if _is_held(name, parts)]
        if _is_held(carrier, parts):
            for name, ratio in own.items():
                yield Coupling(name, self.name, 1 / ratio)
        elif still:
            spin = -1 / own[still[0]]  # against the carrier, for one turn of it
            yield Coupling(carrier, self.name, 1 + spin)
            for name, ratio in own.items():
                if name not in still:
                    turned = 1 + spin * ratio
                    yield Coupling(carrier, name, turned)

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        if self._carrier(parts) is not None:
            return
        for mate in self._wheels(parts):
            yield Spacing(
                mate.name,
                self.name,
                self.due_distance(mate),
                f"{mate.teeth} and {self.teeth} teeth of module {self.module:g}",
                self.due_slack(mate),
            )

    def due_distance(self, mate: Toothed) -> float:
        """How far its middle stands from another's when they mesh. [mm]"""
        return self.module * abs(mate.teeth + (-1 if mate.is_ring else 1) * self.teeth) / 2

    def due_slack(self, mate: Toothed) -> float:
        """How far the middles may stand off that. [mm]"""
        return HELD_APART * (self.play + mate.play) / 2 / (2 * math.tan(PRESSURE))

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if piece.turned:
            return  # its teeth fit or not wherever they stand
        for mate in self._wheels(piece.parts):
            found = self._misfit(piece, mate)
            if found is not None:
                yield found
                return
        poses = {name: piece.pose(name) for name in piece.parts if has_pose(piece.parts[name])}
        _, off = phases_of(piece.parts, poses)
        for (name, other), error in off.items():
            beside = piece.parts[other]
            if name == self.name and isinstance(beside, Toothed):
                play = (self.play + beside.play) / 2
                if abs(error) > 0.5 * HELD_APART * play:
                    yield Wrong(
                        f"'{self.name}' can't be put in between what it meshes with: its teeth stand {abs(error):.2f} mm beside the gaps of '{other}'",
                        self._fitting_places(piece, error),
                        key="at",
                    )

    def _fitting_places(self, piece: Standing, error: float) -> str:
        """Say where a planet's teeth fit in between: round its carrier in steps of a turn over the teeth of sun and ring together."""
        wheels = self._wheels(piece.parts)
        if self._carrier(piece.parts) is None or len(wheels) != 2:
            return "another place for it"
        step = 360 / (
            wheels[0].teeth + wheels[1].teeth
            if wheels[0].is_ring != wheels[1].is_ring
            else max(abs(wheels[0].teeth - wheels[1].teeth), 1)
        )
        share = abs(error) / (math.pi * self.module)
        return f"its pin {share * step:.3g} degrees to one side; its places lie {step:.4g} degrees apart (a turn over the teeth of sun and ring together)"

    def _enough_teeth(self, mate: Toothed) -> str:
        """Say how many teeth the smaller wheel, or both, must have so that they hand over in time."""
        few, other = (self, mate) if self.teeth < mate.teeth or mate.is_ring else (mate, self)
        least = self.module * math.pi * math.cos(PRESSURE)
        for both in (False, True):
            for teeth in range(few.teeth + 1, 31):
                one = few.model_copy(update={"teeth": teeth}).toothing
                two = other.model_copy(update={"teeth": teeth} if both else {}).toothing
                apart = two.radius - one.radius if two.is_inside else two.radius + one.radius
                if apart > 0 and sum(contact_path(one, two, apart)) >= least:
                    more = f" and '{other.name}.teeth: {teeth}'" if both else ""
                    return f"'{few.name}.teeth: {teeth}'{more}"
        return f"more teeth for '{few.name}'"

    def _misfit(self, piece: Standing, mate: Toothed) -> Wrong | None:
        if mate.module != self.module:
            return Wrong(
                f"teeth of module {self.module:g} don't mesh with those of '{mate.name}', module {mate.module:g}",
                f"'module: {mate.module:g}'",
                key="module",
            )
        if mate.is_ring and mate.teeth - self.teeth < RING_CLEAR:
            return Wrong(
                f"{self.teeth} teeth in a ring of {mate.teeth}: their tips catch beside the mesh",
                f"'teeth: {mate.teeth - RING_CLEAR}' or fewer",
                key="teeth",
            )
        a, b = piece.pose(self.name), piece.pose(mate.name)
        apart, due = math.hypot(b.x - a.x, b.y - a.y), self.due_distance(mate)
        if self._carrier(piece.parts) is not None and abs(apart - due) > self.due_slack(mate):
            return Wrong(
                f"'{self.name}' stands {apart:.4g} mm from '{mate.name}', but {mate.teeth} and {self.teeth} teeth of module {self.module:g} mesh at {due:g} mm",
                f"a pin {due:g} mm from the middle of what carries it",
                key="at",
            )
        if abs(apart - due) > self.due_slack(mate):
            return None  # told as a wrong distance
        path = contact_path(self.toothing, mate.toothing, apart)
        if sum(path) < self.module * math.pi * math.cos(PRESSURE):
            return Wrong(
                f"with {self.teeth} and {mate.teeth} teeth one pair lets go before the next takes over",
                self._enough_teeth(mate),
                key="teeth",
            )
        return None

    def weigh(self, shop: Workshop) -> Weight:
        return disc(self.toothing.radius, shop.density(self) * shop.stuff_of(self)[1])

    def build(self, shop: Workshop) -> None:
        super().build(shop)
        if self.teeth < UNDERCUT:
            shop.remark(
                f"{self.name} has {self.teeth} teeth: with fewer than {UNDERCUT} the cutter eats into their feet"
            )
        mates = self._wheels(shop.scene.parts)
        if not mates:
            return
        from animator.world.meshing import mesh_pair

        phases, _ = phases_of(shop.scene.parts, shop.scene.starts)
        for mate in mates:
            mu = shop.friction(
                self.friction if self.friction is not None else mate.friction,
                shop.stuff_of(self)[0],
                shop.stuff_of(mate)[0],
            )
            name = self.name if mate is mates[0] else f"{self.name} in {mate.name}"
            mesh_pair(
                shop, name, mate.name, self.name, (phases[mate.name], phases[self.name]), mu
            )

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        pen.gear(self.toothing, pen.tooth_phase(), stuff, thickness, bool(self.pins))
        for name in self.pins:
            pen.turned(self.points()[name], 2.2, "brass", 1.5, sort="pin of the gear")
        pen.hub((0.0, 0.0), min(6.5, 0.36 * self.toothing.foot))

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        teeth = self.toothing
        pen.edge_disc(min(6.5, 0.36 * teeth.foot), thickness + 8.0, "brass", 0.0, 3, sort="hub")
        pen.edge_teeth(
            self.teeth,
            teeth.foot,
            teeth.tip,
            thickness,
            stuff,
            phase=pen.tooth_phase(),
            sort="gear",
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        parts = motion.scene.parts
        if self._carrier(parts) is not None or motion.drive is None:
            return
        senses = running_senses(parts)
        own, first = (
            senses.get(turning_part(parts, name)) for name in (self.name, motion.drive.name)
        )
        if own and first and self._wheels(parts):
            turned = float(motion.drive.angle[-1] - motion.drive.angle[motion.begins])
            yield Prediction(
                f"{self.name}.turns",
                abs(turned * own / first),
                "teeth over teeth along the train",
            )


def _is_held(name: str, parts: Mapping[str, Part]) -> bool:
    """Whether a part can't turn: it stands fast, or what it is on does."""
    held = parts[turning_part(parts, name)].held()
    return isinstance(held, Still)


def has_pose(part: Part) -> bool:
    """Whether a part has a place of its own."""
    return not isinstance(part.held(), Spans)
