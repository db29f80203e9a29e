"""What a part kind is and what it is handed: ``Part``, the ways of being held, and the ``Workshop``, ``Pen`` and ``Track``.

A kind is one file in this folder. Its fields are its schema, its help and its error messages; its hooks say how it is
held, what it weighs, what forces it brings, how it is drawn and what only it can get wrong. Hooks are explained here once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Protocol, Self

from pydantic import model_validator

from animator.geometry import Point, Pose
from animator.parts._fields import (
    Artwork,
    Hidden,
    Inertia,
    Length,
    Mass,
    Material,
    Paint,
    PartOf,
    Place2,
    Ref,
    Sentence,
    Signed,
    View,
    Where,
    Words,
)
from animator.registry import Registry
from animator.trains import Coupling, Spacing
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.findings.report import Caution, Finding
    from animator.motion.motion import Motion

PARTS: Registry[Part]


# ---------------------------------------------------------------- how a part is held
@dataclass(frozen=True)
class Still:
    """Fast to the frame at a place, or to a moving point if the place names one."""

    at: Where


@dataclass(frozen=True)
class Turns:
    """Free to turn about a place; ``limits`` are (lowest, highest) angles from the drawn attitude [rad], or None.

    ``drawn`` is the angle it starts at before anything is solved [rad].
    """

    at: Where
    limits: tuple[float, float] | None = None
    drawn: float = 0.0


@dataclass(frozen=True)
class Rides:
    """Moves as one with a point of another part; ``angle`` [rad] and ``offset`` [mm] in that part's own frame."""

    on: Ref
    angle: float = 0.0
    offset: Point = (0.0, 0.0)


@dataclass(frozen=True)
class Slides:
    """Slides along a straight line.

    The line passes through ``at`` moved sideways by ``offset`` [mm] (positive to the right of ``direction``), and points
    along ``direction`` [rad]. ``drawn`` is where the part's origin stands along the line, measured from ``at`` [mm], before anything is solved.
    ``follows`` names the cam that decides the place, if one does.
    """

    at: Where
    direction: float
    drawn: float = 0.0
    offset: float = 0.0
    follows: Ref | None = None


@dataclass(frozen=True)
class Floats:
    """Has no hold of its own: it is where its pins put it (a rod), or where forces take it."""


@dataclass(frozen=True)
class Spans:
    """Has no pose: it runs between points or round wheels (springs, belts, chains)."""


Held = Still | Turns | Rides | Slides | Floats | Spans


@dataclass(frozen=True)
class Pinned:
    """A point of this part that must coincide with a point of another (a rod's ends).

    ``slides``: nothing is pinned there; the straight line from the first pin to ``point`` passes through the other part, slides in it and
    turns it along (a rod through a swivel guide).
    """

    point: str
    to: Ref
    slides: bool = False


@dataclass(frozen=True)
class Weight:
    """Mass [g], its centre in the part's own frame [mm] and its moment of inertia about that centre [g mm^2]."""

    mass: float
    centre: Point = (0.0, 0.0)
    inertia: float = 0.0


@dataclass(frozen=True)
class Prediction:
    """What theory says of one measure: name as in the report, value in internal units, where the formula stands."""

    measure: str
    value: float
    source: str


class Standing(Protocol):
    """The piece as pure geometry while its drives stand at one angle: what ``led``, ``suited`` and ``misfits`` are handed (``world/linkage.py``)."""

    turned: float
    """How far the first drive has turned, in its running direction [rad]; it goes on counting past a turn."""

    @property
    def parts(self) -> Mapping[str, Part]:
        """All parts by name, as fitted so far."""
        ...

    def pose(self, name: str) -> Pose:
        """Pose of a part's own frame. Its angle goes on counting past a turn."""
        ...

    def point(self, part: str, point: str) -> Point:
        """Place of a part's named point; ``''`` for its main one. [mm]"""
        ...


# ---------------------------------------------------------------- the part itself
class Part(Words):
    """Something a scene can be made of. Frozen; every field is in internal units (mm, s, g, rad, and forces in g mm/s^2).

    ``name`` is the part's full name in the flat scene (``frogs.ada.cam``), set by the loader, not by the scene's text.
    """

    says: ClassVar[Mapping[str, str]] = {
        "kind": "what kind of part it is",
        "view": "the view in which its turning is seen end-on: front, side or top",
        "along": "how far it stands towards the viewer of its own view; the nearer is drawn over the farther",
        "behind": "a part that it is drawn behind",
        "material": "what it is made of, then the sheet's thickness or the rod's diameter",
        "mass": "what it weighs on the scales; left out, reckoned from material and shape",
        "centre_of_mass": "where it balances, [right, up] from its main point",
        "inertia": "its moment of inertia about that balance point",
        "paint": "its colour",
        "artwork": "a file or shapes in place of its plain look; figures, levers, rods, sliders, wheels and weights take it",
        "tolerance": "how far its lengths may be off, either way, as it is cut",
        "note": "a remark; nothing is reckoned from it",
    }

    kind: str
    name: Annotated[str, Hidden] = ""
    view: View | None = None
    along: Signed | None = None
    behind: Annotated[Ref, PartOf()] | None = None
    material: Material | None = None
    mass: Mass | None = None
    centre_of_mass: Place2 | None = None
    inertia: Inertia | None = None
    paint: Paint | None = None
    artwork: Artwork | None = None
    tolerance: Length | None = None
    note: Sentence | None = None

    turns_freely: ClassVar[bool] = False
    """True for turning parts: others may be ``on`` them and turn with them."""
    is_drive: ClassVar[bool] = False
    """True for the kinds that turn a shaft by themselves."""
    crosses_views: ClassVar[bool] = False
    """True for the kinds that carry a motion from one view into another."""
    moves_alone: ClassVar[bool] = False
    """True for the kinds that set a piece going: drives, and whatever weight or spring pulls."""
    also_called: ClassVar[tuple[str, ...]] = ()
    """Other words of the trade for this kind, tried before near spellings."""
    stays_level: ClassVar[bool] = False
    """True for a sliding part that its guide keeps from tilting; the guide's friction is then the kind's own business."""
    shows_from_above: ClassVar[bool] = False
    """True for the kinds whose turning is only seen from above, so that a plan view is drawn beside the piece."""
    stands_apart: ClassVar[bool] = False
    """True for the kinds whose own ``mass`` stands in the frame (a motor's housing) and says nothing of what turns."""
    takes_artwork: ClassVar[bool] = False
    """True for the kinds whose look may be drawn; the others show what their work needs, and a figure may ride on them."""
    has_places: ClassVar[bool] = True
    """False for the kinds whose points can't hold anything: springs, belts, chains."""
    as_written: ClassVar[str] = ""
    """The part as one line of a scene would write it: what ``animator parts`` shows beside the kind."""

    @model_validator(mode="after")
    def _may_be_drawn(self) -> Self:
        if self.artwork is not None and not self.takes_artwork:
            raise Wrong(
                f"a {self.kind} shows its own shape",
                "a figure on it: 'painted: {kind: figure, on: PART, artwork: heron.svg}'"
                if self.has_places
                else "a figure on a part beside it",
                key="artwork",
            )
        return self

    def held(self) -> Held:
        """Say how the part is held."""
        raise NotImplementedError

    def points(self) -> Mapping[str, Point]:
        """Give the part's named points in its own frame [mm], main point first. Lengths still ``fitted`` count as 0."""
        raise NotImplementedError

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        """Give what this part moves in a fixed ratio (meshing gears, a belt's pulleys), for the drawing board; the run goes by forces."""
        return ()

    def spaces(self, parts: Mapping[str, Part]) -> Iterable[Spacing]:
        """Give how far apart middles must stand for this part to work; a place whose side says no distance stands there."""
        return ()

    def led_by(self) -> Iterable[Ref]:
        """Give the points or parts that decide how far it is turned or slid, where that is no fixed ratio (a pin in its slot)."""
        return ()

    def leads(self) -> str | None:
        """Name another part whose turning ``led`` tells, where it isn't this one's own."""
        return None

    def led(self, piece: Standing, now: float) -> float:
        """Tell its own angle [rad] or way along its slide [mm] from what leads it, for the drawing board; ``now`` is where it stood before.

        Only asked where ``led_by`` names something. Raises ``Wrong`` where it can't follow.
        """
        raise NotImplementedError

    def fits(self, piece: Standing) -> Iterable[tuple[str, str, float]]:
        """Give lengths of other parts that are left ``fitted`` and follow from this one: part, path inside it, length [mm]. Asked at the start."""
        return ()

    def suited(self, piece: Standing) -> tuple[Self, Iterable[str]]:
        """Give the part with what only the assembled piece can tell (a string cut to its way), and a sentence for each such assumption."""
        return self, ()

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        """Tell what doesn't fit where everything stands now; asked at the start and all round the turn, told once for each key."""
        return ()

    def hung(self, piece: Standing, name: str) -> Point | None:
        """Tell where a loose part that is tied to an end of this one hangs at the start [mm]; None: straight below the other end."""
        return None

    def pinned(self) -> Iterable[Pinned]:
        """Give the points that must coincide with points of other parts."""
        return ()

    def dimensions(self) -> Mapping[str, float]:
        """Give the lengths that can close a loop: path inside the part (``length``, ``arms.jaw``) -> present value [mm]."""
        return {}

    def with_dimension(self, path: str, value: float) -> Self:
        """Give the same part with one of its ``dimensions`` (or a length still ``fitted``) set to a value [mm]."""
        field, _, name = path.partition(".")
        if not name:
            return self.model_copy(update={field: value})
        named = getattr(self, field)
        old = named[name]  # an arm is (length, angle), a hole a plain distance
        return self.model_copy(
            update={
                field: {**named, name: (value, old[1]) if isinstance(old, tuple) else value}
            }
        )

    def weigh(self, shop: Workshop) -> Weight:
        """Reckon the mass from material and shape. What the maker weighed (``mass``) is laid over it by the caller."""
        return Weight(0.0)

    def build(self, shop: Workshop) -> None:
        """Add the part's joints, contacts, drives and forces to the world."""

    def draw(self, pen: Pen) -> None:
        """Draw the part in its own frame with the pen."""

    def draw_across(self, pen: Pen) -> None:
        """Draw the part seen across its turning, in a picture of another view: a shaft as a bar, a wheel edge-on.

        x runs along its own axis towards the viewer of its own view, y across; that frame doesn't turn (``pictures/_pen_across.py``).
        """
        pen.edge_plain()

    def leans(self, parts: Mapping[str, Part]) -> tuple[float, str] | None:
        """Say how far what it carries on leans off the axis of what it is on [rad], and which way in the room (``up``); None for straight on."""
        return None

    def predict(self, motion: Motion) -> Iterable[Prediction]:
        """Give closed forms for the part's measures, where they exist. The run never uses them."""
        return ()

    def cautions(self, motion: Motion) -> Iterable[Caution]:
        """Say what only this kind makes a maker mind (a coin's machine, something thrown), with the figure that asks for it."""
        return ()

    def examine(self, track: Track) -> Iterable[Finding]:
        """Find what only this kind can get wrong."""
        return ()


class Workshop(Protocol):
    """What ``build`` is handed: the world under construction. See ``world/building.py`` for the full bench."""

    level: float
    """Where friction ranges stand in this run: 0 low, 0.5 middle, 1 high."""

    def __getattr__(self, tool: str) -> Any: ...


class Pen(Protocol):
    """What ``draw`` is handed: a drawing bench that knows the part's place at the moment drawn. See ``pictures/pen.py``."""

    def __getattr__(self, tool: str) -> Any: ...


class Track(Protocol):
    """What ``examine`` is handed: the recorded motion seen from one part. See ``findings/track.py``."""

    def __getattr__(self, tool: str) -> Any: ...


PARTS = Registry("animator.parts")
Step = Callable[[float], None]
