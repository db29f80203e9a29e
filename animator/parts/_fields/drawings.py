"""Shapes and artwork of a figure.

Does without postponed annotations: pydantic needs the types themselves.
"""

import math
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import (
    Field,
    ValidationInfo,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue

from animator.artwork import files
from animator.artwork.refusal import Unusable
from animator.artwork.sheet import Cut
from animator.artwork.sheet import Piece as Cutting
from animator.geometry import Point
from animator.parts._fields.quantities import Choice, Reader, Sentence, Size, Yes, text_of
from animator.parts._fields.records import Hidden, Words
from animator.parts._fields.stuffs import Paint
from animator.parts._fields.ways import Place2, RightAndUp, Sides, SignedAngle
from animator.places import Place, Text
from animator.problems import Problem, SceneError
from animator.units import (
    Wrong,
)


class Shape(Words):
    """One piece of a drawn figure: a ``disc`` (its diameter), a ``block`` [width, height] or an ``outline`` of points; ``at`` moves its middle.

    Lengths in mm from where the figure hangs. A shape of a file has ``cut`` in place of these.
    """

    sample_text: ClassVar[str] = "{disc: 40, at: [0, 30], paint: rose}"
    says: ClassVar[Mapping[str, str]] = {
        "disc": "a round of this diameter",
        "block": "a rectangle [width, height]",
        "outline": "three or more points [right, up] round a face",
        "at": "where its middle lies",
        "paint": "its colour",
    }
    examples: ClassVar[Mapping[str, str]] = {
        "block": "[20, 40]",
        "outline": "[[0, 0], [20, 0], [10, 30]]",
    }

    one_of: ClassVar[tuple[str, ...]] = ("disc", "block", "outline")

    disc: Size | None = None
    block: Sides | None = None
    outline: tuple[Place2, ...] | None = None
    at: Place2 = (0.0, 0.0)
    paint: Paint | None = None
    cut: Annotated[Cut | None, Hidden] = None

    @model_validator(mode="after")
    def _has_a_face(self) -> Self:
        if self.block is not None and min(self.block) <= 0:
            raise Wrong(
                "a block has a width and a height above zero",
                "for example '[20, 40]'",
                key="block",
            )
        if self.outline is not None:
            if not 3 <= len(self.outline) <= 2000:
                raise Wrong(
                    "an outline has 3 to 2000 points",
                    "for example '[[0, 0], [20, 0], [10, 30]]'",
                    key="outline",
                )
            if abs(area(self.outline)) < 1e-6:
                raise Wrong(
                    "this outline encloses nothing",
                    "points that go round a face, for example '[[0, 0], [20, 0], [10, 30]]'",
                    key="outline",
                )
        return self


def area(outline: tuple[Point, ...]) -> float:
    """Area inside a closed outline, positive if it runs anticlockwise. [mm^2]"""
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


class _FileName(Reader):
    """The name of a file next to the scene, kept with its place."""

    def read(self, value: Any) -> str:
        return text_of(value, "heron.svg")

    def schema(self) -> JsonSchemaValue:
        return {"type": "string", "examples": ["heron.svg"]}


class _HungBy(RightAndUp):
    """A place of a drawing, or the name of one of its points."""

    def mirror(self, value: Any) -> Any:
        return value if isinstance(value, str) else super().mirror(value)

    def read(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip() and not re.match(r"[-+.0-9]", value):
            return str(value)
        return super().read(value)

    def schema(self) -> JsonSchemaValue:
        return {"anyOf": [{"type": "string"}, super().schema()], "examples": [[12, 30]]}


class Artwork(Words):
    """How a part looks: a file, or shapes drawn in the scene. ``hung_by`` is the drawing's point that lies at the part's main point.

    Whatever was said, ``shapes`` holds what is drawn, the farthest first, and ``points`` the places a file names. ``place`` takes both from the
    drawing into the part's own frame. [mm]
    """

    sample_text: ClassVar[str] = (
        "{shapes: [{block: [16, 40], at: [0, 20]}, {disc: 24, at: [0, 50]}]}"
    )
    says: ClassVar[Mapping[str, str]] = {
        "file": "an SVG, PNG or JPEG file next to the scene or below it; 'artwork: heron.svg' says the same",
        "piece": "the group of an SVG file that is taken; left out, all of it",
        "height": "how high what is drawn is; left out, as large as the file says",
        "shapes": "what is drawn, the farthest first",
        "hung_by": "the drawing's point that lies at the part's main point: a name in the file, or [right, up] from the lower left corner of its sheet; left out, its point 'pivot'",
        "turned": "turns the drawing",
        "is_mirrored": "yes: left to right",
        "finish": "house: grown ink line, plies, brush hairs; as drawn: the file's own lines and colours",
    }
    examples: ClassVar[Mapping[str, str]] = {"hung_by": "pivot", "piece": "neck"}

    short: ClassVar[str] = "file"
    one_of: ClassVar[tuple[str, ...]] = ("file", "shapes")

    file: Annotated[str, _FileName()] | None = None
    piece: Sentence | None = None
    height: Size | None = None
    shapes: tuple[Shape, ...] = ()
    hung_by: Annotated[Point | str, _HungBy()] | None = None
    turned: SignedAngle = 0.0
    is_mirrored: Yes = Field(default=False, alias="mirrored")
    finish: Annotated[Literal["house", "as drawn"], Choice(("house", "as drawn"))] = "house"
    hung: Annotated[Point, Hidden] = (0.0, 0.0)
    cut: Annotated[Cutting | None, Hidden] = None

    @model_validator(mode="after")
    def _insist_on_one(self) -> Self:
        said = {"file", "shapes"} & self.model_fields_set
        if len(said) != 1:
            raise Wrong(
                f"says {'both' if said else 'neither'} 'file' {'and' if said else 'nor'} 'shapes'",
                "exactly one of them",
                key="file",
            )
        return self

    @model_validator(mode="after")
    def _shows_something(self, info: ValidationInfo) -> Self:
        if self.file is not None:
            return self._from_file((info.context or {}).get("folder", Path()))
        for key in ("piece", "height"):
            if getattr(self, key) is not None:
                raise Wrong(f"'{key}' belongs to artwork from a file", f"no '{key}'", key=key)
        if not 1 <= len(self.shapes) <= 200:
            raise Wrong(
                "1 to 200 shapes belong here", "for example '[{disc: 40}]'", key="shapes"
            )
        if isinstance(self.hung_by, str):
            raise Wrong(
                "shapes drawn in the scene name no points",
                "a place, for example '[0, 20]'",
                key="hung by",
            )
        hung = self.hung_by or (0.0, 0.0)
        if not self.is_mirrored:
            return self.model_copy(update={"hung": hung})
        turned = tuple(shape.mirrored() for shape in self.shapes)
        return self.model_copy(update={"hung": (-hung[0], hung[1]), "shapes": turned})

    def _from_file(self, folder: Path) -> Self:
        assert self.file is not None
        try:
            cut = files.take(
                self.file, folder, self.piece, self.height, is_mirrored=self.is_mirrored
            )
            hung = files.hung(cut, self.hung_by, self.is_mirrored)
        except Unusable as wrong:
            raise self._refused(wrong) from None
        return self.model_copy(update={"cut": cut, "hung": hung, "shapes": shapes_of(cut)})

    def _refused(self, wrong: Unusable) -> Wrong:
        line = f"{self.file}, line {wrong.line}: " if wrong.line else ""
        is_text = wrong.write.startswith("'")
        return Wrong(
            f"{line}{wrong.what}",
            wrong.write if is_text else "",
            key=wrong.key,
            more="" if is_text else wrong.write,
        )

    def refusal(self, wrong: Unusable) -> SceneError:
        """Tell what only shows when the file is weighed or drawn, where the scene names it."""
        place = self.file.place if isinstance(self.file, Text) else Place("", 1, 1)
        return SceneError(
            [Problem(place, f"'artwork': {self.file}: {wrong.what}", more=wrong.write)]
        )

    @property
    def points(self) -> dict[str, Point]:
        """Places that the file names, in the part's own frame. [mm]"""
        return {
            name: self.place(at) for name, at in (self.cut.points if self.cut else {}).items()
        }

    def place(self, point: Point) -> Point:
        """Take a place of the drawing into the part's own frame. [mm]"""
        x, y = point[0] - self.hung[0], point[1] - self.hung[1]
        c, s = math.cos(self.turned), math.sin(self.turned)
        return c * x - s * y, s * x + c * y

    def mirrored(self) -> Self:
        update: dict[str, Any] = {
            "turned": -self.turned,
            "is_mirrored": not self.is_mirrored,
            "hung": (-self.hung[0], self.hung[1]),
        }
        if self.cut is None:
            update["shapes"] = tuple(shape.mirrored() for shape in self.shapes)
        else:
            cut = files.turned_over(self.cut)
            update |= {"cut": cut, "shapes": shapes_of(cut)}
        return self.model_copy(update=update)


@cache
def shapes_of(cut: Cutting) -> tuple[Shape, ...]:
    """Give what is drawn of a file as shapes like those drawn in a scene, each with the paint that shows most."""
    return tuple(
        Shape.model_construct(
            cut=one, paint=one.paint or (one.line.paint if one.line is not None else None)
        )
        for one in cut.cuts
    )
