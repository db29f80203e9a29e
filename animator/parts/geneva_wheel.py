"""A slotted wheel that a crank's pin turns by one station a turn, and that its locking disc holds in between."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point, Pose
from animator.parts._contract import (
    PARTS,
    Part,
    Pen,
    Prediction,
    Rides,
    Standing,
    Weight,
    Workshop,
)
from animator.parts._fields import Friction, Length, Number, PartOf, Ref, Size
from animator.parts._maltese import Maltese, distance_for, reach_for
from animator.parts._slot import place_of
from animator.parts._solid import plate
from animator.trains import Spacing, turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

FEWEST, MOST = 3, 12
OFF = 0.05  # mm; by how much a crank may differ from what lets its pin run in along the slot, besides half the play


class _Slots(Number):
    """How many slots; with two a pin would have to pass through the wheel's middle."""

    def read(self, value: Any) -> int:
        if isinstance(value, str) and value.strip() in ("1", "2"):
            count = "one slot" if value.strip() == "1" else "two slots"
            raise Wrong(
                f"a Geneva wheel with {count} can't be turned: its pin would have to pass through the wheel's own middle",
                f"'{FEWEST}', or up to '{MOST}'",
            )
        return super().read(value)


@PARTS.add("geneva wheel")
class GenevaWheel(Part):
    """Stands on its own shaft beside a crank; with each turn of the crank its pin enters a slot, turns the wheel by one station and leaves it locked.

    The pin runs in along the slot if the crank is as long as the distance of the two shafts times the sine of half a station: a crank whose radius is ``fitted``
    is made so, and a shaft ``right of`` the crank's is set so. A locking disc goes with the crank. ``play`` is the slot less its pin.
    """

    as_written = "moon wheel: {kind: geneva wheel, on: moon shaft, slots: 6, driver: night crank.pin, pin diameter: 4}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "the shaft it is fixed to",
        "slots": "how many stations it has, 3 to 12",
        "driver": "the pin of the crank that turns it; its radius may be fitted",
        "pin_diameter": "of that pin",
        "play": "slot less pin, and as much in the locking arcs",
        "friction": "of pin and locking disc on the wheel; left out, that of the two materials",
    }
    examples: ClassVar[Mapping[str, str]] = {"driver": "night crank.pin", "slots": "6"}

    turns_freely = True
    also_called = (
        "maltese cross",
        "geneva drive",
        "geneva cross",
        "star wheel",
        "maltese wheel",
    )

    on: Annotated[Ref, PartOf("shaft")]
    slots: Annotated[int, _Slots(FEWEST, MOST)]
    driver: Annotated[Ref, PartOf("crank", is_point=True)]
    pin_diameter: Size
    play: Length = 0.0
    friction: Friction | None = None

    @model_validator(mode="after")
    def _names_a_pin(self) -> Self:
        if self.play > self.pin_diameter / 2:
            raise Wrong(
                f"a play of {self.play:g} mm is more than half the pin",
                f"at most '{self.pin_diameter / 2:g}', usually '0.1'",
                key="play",
            )
        return self

    # ------------------------------------------------------------ geometry
    @property
    def step_angle(self) -> float:
        """Angle from station to station. [rad]"""
        return math.tau / self.slots

    def cross(self, distance: float, reach: float) -> Maltese:
        """Give the wheel's shape for a distance of the shafts and a crank. [mm]"""
        return Maltese(self.slots, distance, reach, self.pin_diameter / 2, self.play / 2)

    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        crank: Any = parts.get(self.driver.part)
        if crank is not None and isinstance(crank.radius, float):
            yield Spacing(
                turning_part(parts, crank.name),
                self.name,
                distance_for(self.slots, crank.radius),
                f"{self.slots} slots and a crank of {crank.radius:g} mm",
                math.inf,
            )

    def fits(self, piece: Standing) -> Iterable[tuple[str, str, float]]:
        crank: Any = piece.parts[self.driver.part]
        if crank.radius == "fitted":
            yield crank.name, "radius", reach_for(self.slots, self._apart(piece))

    def _axis(self, piece: Standing) -> Point:
        """Where its shaft stands; asked without its angle, which it leads itself."""
        shaft: Any = piece.parts[turning_part(piece.parts, self.name)]
        return place_of(piece, shaft.at)

    def _apart(self, piece: Standing) -> float:
        crank = piece.pose(self.driver.part)
        return math.dist((crank.x, crank.y), self._axis(piece))

    def led_by(self) -> Iterable[Ref]:
        return (self.driver,)

    def led(self, piece: Standing, now: float) -> float:
        """Stand where the pin turns it to, or the locking disc keeps it."""
        crank = piece.pose(self.driver.part)
        axis = self._axis(piece)
        arm: Any = piece.parts[self.driver.part]
        pin = crank.place(arm.points()["pin"])
        return self._standing(axis, (crank.x, crank.y), pin, now)

    def _standing(self, axis: Point, disc: Point, pin: Point, now: float) -> float:
        to_disc = math.atan2(disc[1] - axis[1], disc[0] - axis[0])
        apart, reach = math.dist(axis, disc), math.dist(disc, pin)
        way = math.atan2(pin[1] - disc[1], pin[0] - disc[0])
        turned = (way - to_disc) % math.tau - math.pi
        if abs(turned) < self.cross(apart, reach).half_turn:
            slot = math.atan2(pin[1] - axis[1], pin[0] - axis[0])
        else:
            slot = to_disc + self.step_angle / 2
        return slot + round((now - slot) / self.step_angle) * self.step_angle

    def misfits(self, piece: Standing) -> Iterator[Wrong]:
        from animator.world.fitting import plain, steps_of

        parts = piece.parts
        crank: Any = parts[self.driver.part]
        shaft: Any = parts[turning_part(parts, self.name)]
        if turning_part(parts, crank.name) == shaft.name:
            yield Wrong(
                f"'{crank.name}' and '{self.name}' are on one shaft; a Geneva wheel has its own",
                f"a shaft beside it: 'at: {plain(distance_for(self.slots, crank.radius))} right of {shaft.name}'",
                key="on",
            )
            return
        if any(
            part.is_drive and turning_part(parts, name) == shaft.name
            for name, part in parts.items()
        ):
            yield Wrong(
                f"'{shaft.name}' has a drive of its own; '{self.name}' is turned by its crank alone",
                "a shaft without a drive",
                key="on",
            )
        apart = self._apart(piece)
        if apart < self.pin_diameter:
            yield Wrong(
                f"'{crank.name}' stands in the middle of '{self.name}'",
                "a place beside it",
                key="driver",
            )
            return
        due = reach_for(self.slots, apart)
        if abs(crank.radius - due) > OFF + self.play / 2:
            pose = piece.pose(crank.name)
            axis = self._axis(piece)
            wanted = distance_for(self.slots, crank.radius)
            away = (wanted - apart) / apart
            place = steps_of(shaft.at, away * (axis[0] - pose.x), away * (axis[1] - pose.y))
            side = "into the side of its slot" if crank.radius < due else "against its rim"
            yield Wrong(
                f"the pin of '{crank.name}' would strike {side} instead of running in along it: with {self.slots} slots and {plain(apart)} mm between the shafts the crank is {plain(due)} mm, not {plain(crank.radius)}",
                f"'{crank.name}.radius: {plain(due)}' or '{crank.name}.radius: fitted', or '{shaft.name}.at: {place}'",
                key="driver",
            )
            return
        cross = self.cross(apart, crank.radius)
        if cross.lock <= 0 or cross.bottom < 1.0:
            thick = 2 * (crank.radius - (apart - cross.mouth)) * 0.5
            yield Wrong(
                f"a pin of {self.pin_diameter:g} mm leaves no locking arc between {self.slots} slots at this size",
                f"'{max(0.5, math.floor(2 * min(0.25 * thick, 0.2 * crank.radius)) / 2):g}' or less, or shafts farther apart",
                key="pin diameter",
            )

    # ------------------------------------------------------------ weight and forces
    def _shape(self, scene: Any) -> Maltese:
        """Give its shape as it stands at the start."""
        crank = scene.parts[self.driver.part]
        here, there = scene.starts[self.name], scene.starts[crank.name]
        return self.cross(math.dist(here[:2], there[:2]), crank.radius)

    def weigh(self, shop: Workshop) -> Weight:
        surface = shop.density(self) * shop.stuff_of(self)[1]
        return plate(self._shape(shop.scene).outline(), surface)

    def disc_weight(self, shop: Workshop) -> Weight:
        """Weigh the locking disc that goes with the crank, in the crank's own frame."""
        crank = shop.scene.parts[self.driver.part]
        surface = shop.density(self) * shop.stuff_of(self)[1]
        flat = plate(self._shape(shop.scene).disc_outline(), surface)
        return replace(flat, centre=Pose(0.0, 0.0, crank.angle).place(flat.centre))

    def build(self, shop: Workshop) -> None:
        from animator.world.step_touches import Locking, SlotWalls

        crank = shop.scene.parts[self.driver.part]
        shape = self._shape(shop.scene)
        here, there = shop.pose(self.name), shop.pose(crank.name)
        pin = there.place(crank.points()["pin"])
        way = math.atan2(pin[1] - there.y, pin[0] - there.x)
        mu = shop.friction(self.friction, shop.stuff_of(crank)[0], shop.stuff_of(self)[0])
        a, b = shop.body(self.name), shop.body(crank.name)
        axis = shop.fixed_axis(self.name)
        lock = Locking(shape)
        touches: list[tuple[str, str, Point, Any]] = [
            (self.name, "slot", pin, SlotWalls(shape)),
            (f"{self.name}.lock", "lock", there[:2], lock),
        ]
        for key, kind, tip, touch in touches:
            where = f"slots of {self.name}" if kind == "slot" else f"lock of {self.name}"
            shop.exact_contact(
                key,
                self.name,
                crank.name,
                where,
                kind,
                a,
                b,
                here[:2],
                tip,
                touch,
                mu,
                is_meant=False,
                origin_angle=here.angle,
                face=way,
                axis=axis,
            )
        shop.channel(f"{self.name}.locked", "state", lambda: float(lock.is_facing))

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        """Lie behind its crank unless something else is said."""
        if self.behind is not None or self.along is not None:
            return self, ()
        behind = Ref(self.driver.part, "", self.driver.part)
        return self.model_copy(update={"behind": behind}), ()

    # ------------------------------------------------------------ look
    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        crank: Any = pen.scene.parts[self.driver.part]
        shape = self._shape(pen.scene)
        hub = min(7.0, 0.55 * shape.bottom)
        pen.plate(shape.outline(), stuff, thickness, 8, sort="geneva wheel")
        pen.hub((0.0, 0.0), max(hub, 2.6))
        turned = Pose(0.0, 0.0, crank.angle)
        pen.upon(crank.name).plate(
            [turned.place(point) for point in shape.disc_outline()],
            stuff,
            thickness,
            8,
            sort="locking disc",
        )

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Peak speed of the wheel while the crank runs evenly: M / (1 - M), M = sin(pi / n)."""
        m = math.sin(math.pi / self.slots)
        speed = abs(
            motion.frame(self.driver.part)[-1, 2]
            - motion.frame(self.driver.part)[motion.begins, 2]
        )
        speed /= float(motion.times[-1] - motion.times[motion.begins])
        yield Prediction(
            f"{self.name}.speed",
            float(speed) * m / (1 - m),
            "M / (1 - M) times the crank's speed, M = sin(pi / n), as the pin passes the line of centres (any text on intermittent motion, recomputed)",
        )
