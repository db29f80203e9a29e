"""A body on a pivot with named arms: levers of every class, bell cranks, rockers, swinging figures."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Self

from pydantic import model_validator

from animator.geometry import Point, polar
from animator.outlines import (
    first_follower,
    lift_of,
    lifting_side,
    smallest_radius,
    stance_in,
    tip_of,
)
from animator.parts._contract import PARTS, Pen, Prediction, Standing, Weight, Workshop
from animator.parts._fields import Arm, PartOf, Ref, Sentence, Tip, spelt
from animator.parts._solid import artwork, bar, drawn_points, together
from animator.parts._swinging import (
    FARTHEST,
    PIN_FRICTION,
    PIN_RADIUS,
    Press,
    SideGuides,
    TurningSpring,
    above_its_tip,
    draw_tip,
    pivot_of,
    seated,
)
from animator.parts._turning import Pivoted
from animator.registry import nearest
from animator.trains import turning_part
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.motion.motion import Motion

PIVOT_RADIUS = 1.5  # mm; a 3 mm pin
ROLLER_WIDTH = 6.0  # mm; as on a follower


@PARTS.add("lever")
class Lever(Pivoted):
    """A body that swings about its pivot. Each arm is a named point: ``arms: {hand: 40 up, wire: 20 at 300}``.

    One of them may rest on a cam: ``follows`` the cam, ``by`` the arm, with a ``tip`` and perhaps a ``spring``.
    """

    as_written = "beam: {kind: lever, at: [90, 70], arms: {hand: 40 left, load: 60 right}}"

    says: ClassVar[Mapping[str, str]] = {
        "arms": "named points: how long the arm is and which way it points at the start",
        "follows": "the cam that lifts it; lifts are along the arc of the arm's end",
        "by": "the arm that rests on the cam; left out, the first",
        "tip": "what that arm touches the cam with: a knife, a roller, or a flat along the arm",
        "spring": "turns it onto its cam, besides its weight",
        "side_guides": "two cheeks that keep it from leaning off its cam",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "arms": "{hand: 40 up, wire: 20 at 300}",
    }

    moves_alone = True
    takes_artwork = True
    also_called = ("bell crank", "rocker", "beam", "see-saw", "pendulum")

    arms: Mapping[str, Arm]
    follows: Annotated[Ref, PartOf("cam")] | None = None
    by: Sentence | None = None
    tip: Tip = Tip(kind="knife")
    spring: TurningSpring | None = None
    side_guides: SideGuides | None = None

    @model_validator(mode="after")
    def _names_its_points(self) -> "Lever":
        if "pivot" in self.arms:
            raise Wrong(
                "an arm can't be called 'pivot'",
                "another name; the pivot is there already",
                key="arms",
            )
        return self._on_its_cam()

    def _on_its_cam(self) -> "Lever":
        if self.follows is None:
            said = {"by", "tip", "spring", "side_guides"} & self.model_fields_set
            for field in sorted(said):
                raise Wrong(
                    f"'{spelt(field)}' belongs to a lever that follows a cam",
                    "'follows: CAM' beside it",
                    key=spelt(field),
                )
            return self
        if not self.arms:
            raise Wrong("no arm rests on the cam", "'arms: {foot: 40 left}'", key="arms")
        by = self.by if self.by is not None else next(iter(self.arms))
        if by not in self.arms:
            meant = nearest(by, self.arms) or next(iter(self.arms))
            raise Wrong(f"it has no arm '{by}'", f"'{meant}'", key="by")
        if self.tip.yoke is not None:
            raise Wrong(
                "a yoke's flats stay square to its way, which a swinging arm doesn't",
                "'{roller diameter: 10}', and a groove in the cam where no spring is wanted",
                key="tip",
            )
        guides = self.side_guides
        if guides is not None and guides.at >= self.arms[by][0]:
            raise Wrong(
                f"the side guides stand beyond the end of '{by}'",
                f"less than {self.arms[by][0]:g}",
                key="side guides.at",
            )
        return self.model_copy(update={"by": by})

    def led_by(self) -> Iterable[Ref]:
        return () if self.follows is None else (self.follows,)

    def led(self, piece: Standing, now: float) -> float:
        """Rest on the cam."""
        assert self.by is not None
        try:
            stance, along = seated(self, piece)
        except ValueError as wrong:
            raise self._off_its_cam(piece, str(wrong)) from None
        angle = stance.angle(along) - self.arms[self.by][1]
        return now + math.remainder(angle - now, math.tau)

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Tell a lever that is drawn too far off its cam."""
        if self.follows is None or piece.turned:
            return
        off = piece.pose(self.name).angle - self.starts_at
        if abs(math.remainder(off, math.tau)) > FARTHEST:
            yield self._off_its_cam(piece, "")

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        if self.follows is None:
            return self, ()
        off = math.remainder(piece.pose(self.name).angle - self.starts_at, math.tau)
        if abs(off) < math.radians(0.5):
            return self, ()
        word = "anticlockwise" if off > 0 else "clockwise"
        return self, (
            f"{self.name} rests on {self.follows.text} turned {abs(math.degrees(off)):.1f} degrees {word} from how it is drawn",
        )

    def _off_its_cam(self, piece: Standing, why: str) -> Wrong:
        """Tell how far off its cam a lever is drawn, and where its pivot would stand right."""
        assert self.follows is not None
        assert self.by is not None
        axis, pivot = piece.pose(self.follows.part), pivot_of(self, piece)
        arm, angle = self.arms[self.by]
        angle += self.starts_at
        end = (
            pivot[0] + arm * math.cos(angle) - axis.x,
            pivot[1] + arm * math.sin(angle) - axis.y,
        )
        far = math.hypot(*end)
        tip = tip_of(self)
        needed = smallest_radius(piece.parts[self.follows.part]) + tip.radius
        word = "roller" if tip.radius else "flat" if tip.half_width is not None else "tip"
        off = far - needed
        # stood so that the arm as drawn lies square over the cam's middle
        side = lifting_side((pivot[0] - axis.x, pivot[1] - axis.y), angle)
        x = -side * math.sin(angle) * needed - arm * math.cos(angle)
        y = side * math.cos(angle) * needed - arm * math.sin(angle)
        wide = abs(x) > 0.005
        steps = [f"{round(abs(x), 1):g} {'right' if x > 0 else 'left'}"] if wide else []
        if abs(y) > 0.005:
            steps.append(f"{round(abs(y), 1):g} {'above' if y > 0 else 'below'}")
        of = "" if abs(y) > 0.005 else "of "
        shaft = turning_part(piece.parts, self.follows.part)
        return Wrong(
            f"the {word} of '{self.name}' starts {abs(off):.3g} mm {'inside' if off < 0 else 'off'} '{self.follows.text}'",
            f"'at: {' and '.join(steps)} {of}{shaft}'",
            key="at",
            more=f"'{self.by}' as drawn is {far:.3g} mm from '{shaft}'; the cam's base and the {word} need {needed:.3g} mm",
        )

    def points(self) -> Mapping[str, Point]:
        own = {"pivot": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.arms.items()}
        return own | drawn_points(self, own)

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}

    def weigh(self, shop: Workshop) -> Weight:
        thick = shop.stuff_of(self)[1]
        if self.artwork is not None:
            return artwork(self.artwork, shop.density(self) * thick)
        width = 2.5 * thick
        arms = [polar(*arm) for arm in self.arms.values()]
        return together(
            bar((0.0, 0.0), end, shop.density(self) * thick * width, width) for end in arms
        )

    def build(self, shop: Workshop) -> None:
        drag = 0.0
        if self.side_guides is not None:
            rub = shop.friction(
                self.side_guides.friction, shop.stuff_of(self)[0], shop.scene.frame.stuff
            )
            drag = rub * self.side_guides.pinch * self.side_guides.at
        shop.bearing(self, self.at, PIVOT_RADIUS, self.bearing, drag)
        self.limit(shop)
        if self.follows is not None and self.by is not None:
            self._ride(shop, self.follows.part, self.by)

    def _ride(self, shop: Workshop, cam: str, by: str) -> None:
        """Let the arm's end rest on the cam, pressed by the spring."""
        stance: Any = stance_in(shop.scene, self.name)
        arm, angle = self.arms[by]
        face = shop.pose(self.name).angle + angle + stance.side * math.pi / 2
        roller = self.tip.roller_radius
        stuffs = shop.stuff_of(self)[0], shop.stuff_of(shop.scene.parts[cam])[0]
        friction = (
            PIN_FRICTION * min(PIN_RADIUS, roller / 2) / roller
            if roller
            else shop.friction(None, *stuffs)
        )
        held: Any = shop.scene.parts[cam]
        shop.cam_contact(
            self,
            cam,
            polar(arm, angle),
            face,
            friction,
            f"{self.name} on {cam}",
            is_meant=held.drop is None and held.groove is None,
        )
        if self.spring is not None:
            press = Press(shop, self, self.spring, stance.side)
            shop.before_step(press.act)
            shop.store(f"spring of {self.name}", press.energy)

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        """Lift over arm is how far a lever on a cam swings."""
        if self.follows is None or self.by is None:
            return
        lift = lift_of(motion.scene.parts[self.follows.part])
        if (
            lift is None
            or lift.corners
            or first_follower(motion.scene.parts, self.follows.part) != self.name
        ):
            return
        heights = [rise[0] for _, rise in lift.samples()]
        yield Prediction(
            f"{self.name}.swing",
            (max(heights) - min(heights)) / self.arms[self.by][0],
            "lift along the arc over the length of the arm",
        )

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        for name, end in self.points().items():
            if name in self.arms:
                pen.edge_arm(end, 9.0, thickness, stuff, sort="arm")
        if self.by is not None and self.tip.roller_radius:
            end, half = self.points()[self.by], ROLLER_WIDTH / 2
            pen.edge_pin(end, -half, half, 2 * self.tip.roller_radius, "brass", sort="roller")
        pen.edge_disc(3.2, thickness + 6.0, "brass", 0.0, 3, sort="pivot")

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        if self.artwork is not None:
            pen.artwork(self.artwork, stuff, thickness)
        else:
            width = min(13.0, max(7.0, 2.2 * thickness))
            for name, end in self.points().items():
                if name != "pivot":
                    far = above_its_tip(pen, self, 0.36 * width) if name == self.by else end
                    pen.strap(
                        (0.0, 0.0), far, width, 0.72 * width, stuff, thickness, 7, sort="arm"
                    )
            for name, end in self.points().items():
                if name not in ("pivot", self.by):
                    pen.turned(end, 2.0, "brass", 1.5, sort="rivet")
        if self.follows is not None and self.by is not None:
            draw_tip(pen, self, *self.arms[self.by])
        pen.turned((0.0, 0.0), 2.8, "brass", 1.5, 1.0, sort="pivot")
