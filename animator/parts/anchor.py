"""Two pallets on a rocking arm that let a wheel go tooth by tooth, and are kept rocking by it."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import Field, model_validator

from animator.geometry import Point, Pose, polar
from animator.parts._contract import PARTS, Part, Pen, Prediction, Standing, Weight, Workshop
from animator.parts._escape import Escapement
from animator.parts._fields import Amount, Arm, Friction, PartOf, Ref
from animator.parts._slot import place_of
from animator.parts._solid import bar, plate, together
from animator.parts._turning import Pivoted
from animator.trains import Spacing, turning_part
from animator.units import Wrong, show

if TYPE_CHECKING:
    from animator.motion.motion import Motion

PIVOT_RADIUS = 1.5  # mm; a 3 mm pin
WIDE, NARROW = (
    math.radians(72),
    math.radians(18),
)  # how far apart pallets may stand from the line to the pivot
USUAL = math.radians(45)
OFF = 0.1  # mm; how far from its due distance it may stand
STEPS = 400  # places of the wheel tried within a tooth for where it comes to rest
SmallAngle = Annotated[float, Amount(("angle",), above=0)]


@PARTS.add("anchor")
class Anchor(Pivoted):
    """Hangs beside an escape wheel that something drives, and ``lets`` one tooth go with each whole swing; each tooth gives it a push.

    Its pallets span ``spans`` teeth. It swings as the weights and springs on its ``arms`` let it: a bob below makes it a pendulum. ``lift`` is how far
    it swings while a pallet is pushed, ``lock`` how deep the next tooth then falls on the other pallet, ``drop`` how far the wheel falls free in between.
    Its locking faces are round about its pivot, or lean by ``recoil`` and push it back.
    """

    as_written = "anchor: {kind: anchor, at: above escape shaft, lets: escape wheel, arms: {bob: 90 down}, starts at: 6}"

    says: ClassVar[Mapping[str, str]] = {
        "at": "its pivot; 'above' the wheel's shaft without a distance it stands where its pallets fit",
        "lets": "the escape wheel",
        "spans": "teeth between its pallets, a half more than a whole number; left out, as many as come nearest to a right angle",
        "lift": "how far it swings while one pallet is pushed",
        "lock": "how deep a tooth falls on a pallet, as an angle of the anchor",
        "drop": "how far the wheel falls free, as an angle of the wheel; left out, an eighth of a tooth",
        "recoil": "how far the locking faces lean off a circle about the pivot",
        "friction": "of teeth on pallets; left out, that of the two materials",
        "arms": "named points: how long the arm is and which way it points when the anchor stands in the middle",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "arms": "{bob: 90 down}",
        "spans": "7.5",
        "lets": "escape wheel",
    }

    moves_alone = True
    also_called = (
        "escapement",
        "pallets",
        "anchor escapement",
        "dead-beat escapement",
        "verge",
    )

    lets: Annotated[Ref, PartOf("escape wheel")]
    spans: Annotated[float, Amount(("ratio",), above=0)] | None = None
    lift: SmallAngle = math.radians(6)
    lock: SmallAngle = math.radians(2)
    drop: SmallAngle | None = None
    recoil: Annotated[float, Amount(("angle",), low=0)] = 0.0
    friction: Friction | None = None
    arms: Mapping[str, Arm] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _can_be_filed(self) -> "Anchor":
        if "pivot" in self.arms:
            raise Wrong(
                "an arm can't be called 'pivot'",
                "another name; the pivot is there already",
                key="arms",
            )
        if self.spans is not None and abs(self.spans % 1 - 0.5) > 1e-9:
            low = math.floor(self.spans)
            raise Wrong(
                f"pallets that span {self.spans:g} teeth let both go at once",
                f"'{max(low, 1) - 0.5:g}' or '{max(low, 1) + 0.5:g}'",
                key="spans",
            )
        if self.lift + self.lock > math.radians(40):
            raise Wrong(
                f"a lift of {show(self.lift, 'angle')} is more than pallets can be cut for",
                "'6', at most '30'",
                key="lift",
            )
        if self.recoil > math.radians(40):
            raise Wrong("faces that lean so far hold nothing", "at most '40'", key="recoil")
        return self

    # ------------------------------------------------------------ geometry
    def points(self) -> Mapping[str, Point]:
        return {"pivot": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.arms.items()}

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}

    def layout(self, wheel: Any) -> Escapement:
        """Set its pallets out about a wheel."""
        pitch = math.tau / wheel.teeth
        spans = self.spans or max(round(2 * USUAL / pitch - 0.5) + 0.5, 1.5)
        drop = pitch / 8 if self.drop is None else self.drop
        return Escapement(
            wheel.teeth, wheel.radius, spans, self.lift, self.lock, drop, self.recoil
        )

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        wheel: Any = parts.get(self.lets.part)
        if wheel is not None:
            layout = self.layout(wheel)
            if NARROW <= layout.half <= WIDE:
                yield Spacing(
                    wheel.name,
                    self.name,
                    layout.distance,
                    f"{layout.spans:g} teeth spanned",
                    math.inf,
                )

    def leads(self) -> str:
        """Name the wheel it holds, for the drawing board."""
        return self.lets.part

    def led_by(self) -> Iterable[Ref]:
        return (Ref(self.name, "", self.name),)

    def led(self, piece: Standing, now: float) -> float:
        """Let the wheel run on from where it is drawn until a tooth rests on a pallet."""
        wheel: Any = piece.parts[self.lets.part]
        root: Any = piece.parts[turning_part(piece.parts, wheel.name)]
        layout, sense = self.layout(wheel), wheel.sense
        centre = place_of(piece, root.at)
        ref = self.at.ref
        if ref is not None and turning_part(piece.parts, ref.part) == root.name:
            x, y = self.at.offset  # set out from the very shaft that is asked for
        else:
            x, y = _between(centre, place_of(piece, self.at))
        up, apart = math.atan2(y, x), math.hypot(x, y)

        def gap(angle: float) -> float:
            at = -sense * (
                up - angle
            )  # a wheel that runs anticlockwise is set out in the mirror
            return layout.near(
                apart * math.cos(at),
                apart * math.sin(at),
                -sense * (up + self.starts_at - angle),
            ).gap

        step = sense * layout.pitch / STEPS
        angle = root.starts_at
        for _ in range(STEPS):
            if gap(angle) >= 0:
                break
            angle -= step
        for _ in range(STEPS):
            if gap(angle + step) < 0:
                break
            angle += step
        low, high = angle, angle + step
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (low, middle) if gap(middle) < 0 else (middle, high)
        return float(low)

    def misfits(self, piece: Standing) -> Iterator[Wrong]:
        from animator.world.fitting import plain, steps_of

        if piece.turned:
            return
        wheel: Any = piece.parts[self.lets.part]
        layout = self.layout(wheel)
        if not NARROW <= layout.half <= WIDE or (self.spans is None and wheel.teeth < 8):
            usual = max(round(2 * USUAL / layout.pitch - 0.5) + 0.5, 1.5)
            yield Wrong(
                f"pallets that span {layout.spans:g} of {wheel.teeth} teeth stand {math.degrees(2 * layout.half):.0f} degrees apart about the wheel",
                f"'spans: {usual:g}'",
                key="spans",
            )
            return
        if layout.width <= 0.2 * layout.pitch:
            yield Wrong(
                f"a drop of {show(layout.drop, 'angle')} leaves no pallet between teeth {show(layout.pitch, 'angle')} apart",
                f"'drop: {math.degrees(layout.pitch) / 8:.2g}'",
                key="drop",
            )
            return
        root: Any = piece.parts[turning_part(piece.parts, wheel.name)]
        centre, own = place_of(piece, root.at), piece.pose(self.name)
        apart = math.dist(centre, (own.x, own.y))
        if abs(apart - layout.distance) > OFF:
            away = layout.distance / apart - 1 if apart > 1e-9 else 0.0
            place = steps_of(self.at, away * (own.x - centre[0]), away * (own.y - centre[1]))
            radius = wheel.radius * apart / layout.distance
            yield Wrong(
                f"'{self.name}' stands {plain(apart)} mm from '{root.name}'; pallets that span {layout.spans:g} teeth round a radius of {wheel.radius:g} mm fit at {plain(layout.distance)} mm",
                f"'at: {place}' or '{wheel.name}.radius: {radius:.4g}'",
                key="at",
            )

    # ------------------------------------------------------------ weight and forces
    def _up(self, scene: Any) -> float:
        """Direction from the wheel to its pivot, in its own frame as drawn. [rad]"""
        wheel = scene.parts[self.lets.part]
        own, other = scene.starts[self.name], scene.starts[wheel.name]
        return math.atan2(own.y - other.y, own.x - other.x)

    def body(self, scene: Any) -> list[Point]:
        """Outline of the pallets and the bow between them, in its own frame. [mm]"""
        wheel = scene.parts[self.lets.part]
        layout = self.layout(wheel)
        entry, leaving = (pallet.outline() for pallet in layout.pallets)
        arm = wheel.radius * math.tan(layout.half)
        inside = _bow(entry[-1], leaving[0], -0.1 * arm)
        outside = _bow(leaving[-1], entry[0], max(4.0, 0.16 * arm))
        turn = self._up(scene) - math.pi / 2
        frame = Pose(0.0, 0.0, turn)
        return [
            frame.place((-wheel.sense * x, y)) for x, y in (*entry, *inside, *leaving, *outside)
        ]

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        surface = shop.density(self) * thick
        rows = [plate(self.body(shop.scene), surface)]
        width = 1.5 * thick
        rows += [
            bar((0.0, 0.0), polar(*arm), surface * width, width) for arm in self.arms.values()
        ]
        return together(rows)

    def build(self, shop: Workshop) -> None:
        from animator.world.step_touches import PalletTouch

        wheel = shop.scene.parts[self.lets.part]
        layout = self.layout(wheel)
        shop.bearing(self, self.at, PIVOT_RADIUS, self.bearing)
        own, other = shop.pose(self.name), shop.pose(wheel.name)
        if self.stops is not None:
            self.limit(shop)
        else:
            # so far in a pallet meets the bottom between two teeth
            bank = layout.swing + 0.8 * wheel.depth / (wheel.radius * math.tan(layout.half))
            shop.limit(self.name, -bank - own.angle, bank - own.angle)
        mu = shop.friction(self.friction, shop.stuff_of(self)[0], shop.stuff_of(wheel)[0])
        shop.exact_contact(
            self.name, wheel.name, self.name, f"pallets of {self.name}", "pallet", shop.body(wheel.name), shop.body(self.name),
            other[:2], own[:2], PalletTouch(layout, wheel.sense), mu, is_meant=False, origin_angle=other.angle,
            face=self._up(shop.scene) + own.angle, axis=shop.fixed_axis(wheel.name),
        )  # fmt: skip

    # ------------------------------------------------------------ look
    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff("brass")
        for name, end in self.points().items():
            if name != "pivot":
                pen.strap((0.0, 0.0), end, 4.2, 3.2, stuff, thickness, 8, sort="arm")
        pen.plate(self.body(pen.scene), stuff, thickness, 9, sort="anchor")
        pen.turned((0.0, 0.0), 3.4, "brass", 2.0, 1.2, sort="pivot")

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Steps of the wheel: one tooth for each whole swing counted in the record."""
        import numpy as np

        angle = motion.frame(self.name)[motion.begins :, 2]
        middle = (float(angle.max()) + float(angle.min())) / 2
        beats = int((np.diff(np.signbit(angle - middle)) != 0).sum())
        yield Prediction(
            f"{self.lets.part}.steps",
            beats / 2,
            "half a tooth for each beat of the anchor (any text on escapements)",
        )


def _bow(a: Point, b: Point, crown: float, count: int = 24) -> list[Point]:
    """Curve from one pallet to the other past the pivot, where it lies so high. [mm]"""
    points = []
    for i in range(1, count):
        share = i / count
        x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
        rise = 1 - abs(2 * share - 1) ** 2.2
        points.append((x, y + (crown - y) * rise))
    return points


def _between(a: Point, b: Point) -> Point:
    return b[0] - a[0], b[1] - a[1]
