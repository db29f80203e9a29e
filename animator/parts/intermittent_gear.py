"""A gear with teeth on part of its rim: it turns its mate for part of each turn and keeps it locked for the rest."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Annotated, Any, ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point, Pose
from animator.parts._contract import PARTS, Part, Pen, Rides, Standing, Weight, Workshop
from animator.parts._fields import (
    TURNING_PART,
    Direction,
    Friction,
    Length,
    Number,
    PartOf,
    Ref,
    Size,
)
from animator.parts._involute import Toothing, phases_of
from animator.parts._sector import Sector
from animator.parts._slot import place_of
from animator.parts._solid import plate, together
from animator.trains import Spacing, turning_part
from animator.units import Wrong

FEWEST = 20  # teeth of either wheel; with fewer the last tooth lets go too far before the mate's station
LEAST_WAIT = math.radians(30)  # of a turn that must be left for the lock
LOCK_SHARE = 0.5  # of the teeth's play, on either side of the lock
PLATE = 3.0  # mm; the locking plates are cut from a sheet of this
CAREFUL = 0.5  # mm; how far from its due distance it may stand


@PARTS.add("intermittent gear")
class IntermittentGear(Part):
    """A wheel cut for ``teeth`` teeth of which only ``left`` neighbouring ones are left; each time they come round they turn the gear it ``meshes with`` by one tooth more.

    While they are away a locking disc on it slides in a hollow of a star on the other gear and keeps it still. ``angle``: where the middle of
    what is left stands at the start.
    """

    as_written = "sector: {kind: intermittent gear, on: shaft, teeth: 24, left: 7, module: 2, meshes with: wheel}"

    says: ClassVar[Mapping[str, str]] = {
        "on": "what it is fixed to and turns with",
        "teeth": "how many a whole rim would have",
        "left": "how many are left, side by side; its mate goes on by one more",
        "module": "pitch diameter over teeth; its mate has the same",
        "meshes_with": "the gear it turns and locks, on a shaft of its own",
        "angle": "where the middle of what is left stands at the start",
        "play": "what its teeth leave in the gaps of its mate, along the pitch circle",
        "friction": "of teeth and lock; left out, that of the two materials",
    }
    examples: ClassVar[Mapping[str, str]] = {"meshes_with": "wheel", "left": "7"}

    turns_freely = True
    also_called = ("mutilated gear", "interrupted gear", "segment gear", "sector gear")

    on: Annotated[Ref, PartOf(TURNING_PART)]
    teeth: Annotated[int, Number(FEWEST, 400)]
    left: Annotated[int, Number(1, 300)]
    module: Size
    meshes_with: Annotated[Ref, PartOf("gear")]
    angle: Direction = math.pi
    play: Length = 0.1
    friction: Friction | None = None

    @model_validator(mode="after")
    def _waits(self) -> Self:
        most = int(self.teeth * (1 - LEAST_WAIT / math.tau)) - 1
        if self.left > most:
            raise Wrong(
                f"{self.left} of {self.teeth} teeth leave no part of the rim to lock with",
                f"at most '{most}'",
                key="left",
            )
        if self.play > 0.4 * self.module:
            raise Wrong(
                f"a play of {self.play:g} mm is too much for teeth of module {self.module:g}",
                f"'{0.05 * self.module:.2g}'",
                key="play",
            )
        return self

    # ------------------------------------------------------------ geometry
    def held(self) -> Rides:
        return Rides(self.on)

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def sector(self, parts: Mapping[str, Part]) -> Sector:
        """Give its teeth, those of its mate, and the plates that lock."""
        mate: Any = parts[self.meshes_with.part]
        own = Toothing(self.teeth, self.module, self.play)
        return Sector(own, mate.toothing, self.left, LOCK_SHARE * self.play)

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        mate: Any = parts.get(self.meshes_with.part)
        if mate is not None:
            yield Spacing(
                self.name,
                mate.name,
                self.module * (self.teeth + mate.teeth) / 2,
                f"{self.teeth} and {mate.teeth} teeth of module {self.module:g}",
                CAREFUL,
            )

    def leads(self) -> str:
        """Name what it turns and locks, for the drawing board."""
        return self.meshes_with.part

    def led_by(self) -> Iterable[Ref]:
        return (replace(self.on, point="") if self.on.part else self.on,)

    def led(self, piece: Standing, now: float) -> float:
        """Tell how far its mate's shaft is turned: with it while teeth are at work, locked at a station else."""
        own = piece.pose(self.name)
        root: Any = piece.parts[turning_part(piece.parts, self.meshes_with.part)]
        return self._standing(
            self.sector(piece.parts), own, place_of(piece, root.at), now, root.starts_at
        )

    def _standing(
        self, sector: Sector, own: Pose, centre: Point, now: float, drawn: float
    ) -> float:
        to_own = math.atan2(own.y - centre[1], own.x - centre[0])
        turned = (own.angle + self.angle - to_own) % math.tau - math.pi
        share = sector.mate.share
        # while it waits, a gap of the mate faces this wheel; its teeth lie at multiples of the pitch in its own frame
        station = to_own + share / 2
        station += share * round((drawn - station) / share)
        ratio = sector.own.teeth / sector.mate.teeth
        ahead = max(-sector.cut, min(sector.cut, turned))
        on = station - ratio * ahead + (sector.step / 2 if abs(turned) < sector.cut else 0.0)
        if abs(turned) < sector.cut:
            return on + sector.step * round((now - on) / sector.step)
        return station + sector.step * round((now - station) / sector.step)

    def misfits(self, piece: Standing) -> Iterator[Wrong]:
        parts = piece.parts
        mate: Any = parts[self.meshes_with.part]
        if mate.module != self.module:
            yield Wrong(
                f"teeth of module {self.module:g} don't mesh with those of '{mate.name}', module {mate.module:g}",
                f"'module: {mate.module:g}'",
                key="module",
            )
        if mate.teeth < FEWEST:
            yield Wrong(
                f"'{mate.name}' has {mate.teeth} teeth; what is turned by part of a rim has {FEWEST} or more, or it is let go too far before its station",
                f"'{mate.name}.teeth: {FEWEST}'",
                key="meshes with",
            )
        elif mate.teeth % (self.left + 1):
            fitting = [count for count in range(2, mate.teeth + 1) if mate.teeth % count == 0]
            best = min(fitting, key=lambda count: abs(count - self.left - 1))
            yield Wrong(
                f"{self.left} teeth turn '{mate.name}' by {self.left + 1} of its {mate.teeth}, and stations so far apart don't come round",
                f"'left: {best - 1}', {mate.teeth // best} stations to a turn",
                key="left",
            )
        root = turning_part(parts, mate.name)
        if root == turning_part(parts, self.name):
            yield Wrong(
                f"'{self.name}' and '{mate.name}' are on one shaft",
                "a shaft of its own for the other",
                key="meshes with",
            )
        elif any(
            part.is_drive and turning_part(parts, name) == root for name, part in parts.items()
        ):
            yield Wrong(
                f"'{root}' has a drive of its own; '{mate.name}' is turned and locked by '{self.name}' alone",
                "a shaft without a drive",
                key="meshes with",
            )

    # ------------------------------------------------------------ weight and forces
    def weigh(self, shop: Workshop) -> Weight:
        sector = self.sector(shop.scene.parts)
        surface = shop.density(self)
        rim = plate(sector.outline(), surface * shop.stuff_of(self)[1])
        disc = plate(sector.disc_outline(), surface * PLATE)
        whole = together([rim, disc])
        return replace(whole, centre=Pose(0.0, 0.0, self.angle).place(whole.centre))

    def build(self, shop: Workshop) -> None:
        from animator.world.step_touches import Locking, SectorTouch, burden

        parts = shop.scene.parts
        mate: Any = parts[self.meshes_with.part]
        sector = self.sector(parts)
        own, other = shop.pose(self.name), shop.pose(mate.name)
        phases, _ = phases_of(parts, shop.scene.starts)
        tooth = other.angle + phases[mate.name]
        star = other.angle + self.star_angle(shop.scene)
        mu = shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(mate)[0])
        a, b = shop.body(self.name), shop.body(mate.name)
        middle = own.angle + self.angle
        shop.exact_contact(
            self.name, self.name, mate.name, f"teeth of {self.name}", "teeth", a, b, own[:2], other[:2],
            SectorTouch(sector), mu, is_meant=False, origin_angle=middle, face=tooth, axis=shop.fixed_axis(self.name),
        )  # fmt: skip
        lock = Locking(sector)
        shop.exact_contact(
            f"{self.name}.lock", mate.name, self.name, f"lock of {self.name}", "lock", b, a, other[:2], own[:2],
            lock, mu, is_meant=False, origin_angle=star, face=middle, axis=shop.fixed_axis(mate.name),
        )  # fmt: skip
        burden(
            shop,
            mate.name,
            plate(sector.star_outline(self._stations(mate)), shop.density(self) * PLATE),
        )
        start = float(b.angle)
        shop.channel(f"{mate.name}.locked", "state", lambda: float(lock.is_facing))
        shop.channel(
            f"{mate.name}.steps", "count", lambda: abs(float(b.angle) - start) / sector.step
        )

    def _stations(self, mate: Any) -> int:
        return int(mate.teeth) // (self.left + 1)

    def star_angle(self, scene: Any) -> float:
        """How the star sits on its mate, in that part's own frame: a hollow faces this wheel while it waits. [rad]"""
        parts = scene.parts
        mate: Any = parts[self.meshes_with.part]
        sector = self.sector(parts)
        own, other = scene.starts[self.name], scene.starts[mate.name]
        to_own = math.atan2(own.y - other.y, own.x - other.x)
        turned = (own.angle + self.angle - to_own) % math.tau - math.pi
        past = 0.0
        if abs(turned) < sector.cut:  # the hollow still to come
            past = sector.step / 2 + sector.own.teeth / sector.mate.teeth * turned
        return float(to_own + past - sector.step / 2 - other.angle)

    # ------------------------------------------------------------ look
    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        sector = self.sector(pen.scene.parts)
        mate: Any = pen.scene.parts[self.meshes_with.part]
        turned = Pose(0.0, 0.0, self.angle)
        star = Pose(0.0, 0.0, self.star_angle(pen.scene))
        back = pen.farther_than([self.name, mate.name])
        back.upon(mate.name).plate(
            [star.place(point) for point in sector.star_outline(self._stations(mate))],
            "brass",
            PLATE,
            4,
            sort="locking star",
        )
        back.plate(
            [turned.place(point) for point in sector.disc_outline()],
            "brass",
            PLATE,
            4,
            sort="locking disc",
        )
        pen.plate(
            [turned.place(point) for point in sector.outline()],
            stuff,
            thickness,
            7,
            circles=[((0.0, 0.0), 0.93 * sector.own.foot)],
            sort="intermittent gear",
        )
        pen.hub((0.0, 0.0), min(6.5, 0.4 * sector.lock))
