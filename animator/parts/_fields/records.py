"""Fields that hold fields: guide, bearing, spring, tip, stops.

Does without postponed annotations: pydantic needs the types themselves.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal, Self, TypeVar, get_args, get_origin

from pydantic import (
    BaseModel,
    ConfigDict,
    GetJsonSchemaHandler,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from animator.parts._fields.points import At, Ref, Where
from animator.parts._fields.quantities import (
    Amount,
    Choice,
    Force,
    Length,
    Rate,
    Reader,
    Size,
    Turned,
    Yes,
)
from animator.parts._fields.stuffs import Friction
from animator.units import (
    NUMBER,
    Wrong,
)


def spelt(field: str) -> str:
    """Write a field's name as a scene does: ``base_radius`` -> ``base radius``."""
    return field.rstrip("_").replace("_", " ")


class Words(BaseModel):
    """A frozen record whose keys are words with spaces."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, alias_generator=spelt, arbitrary_types_allowed=True
    )

    short: ClassVar[str] = ""
    """The field that a plain text stands for."""
    one_of: ClassVar[tuple[str, ...]] = ()
    """Exactly one of these fields must be said."""
    sample_text: ClassVar[str] = "{...}"
    """What could stand here, for advice."""
    says: ClassVar[Mapping[str, str]] = {}
    """Field -> what it means, in a few words; for the help and for editors."""
    examples: ClassVar[Mapping[str, str]] = {}
    """Field -> what could stand after it, where its type alone doesn't tell."""
    later: ClassVar[Mapping[str, str]] = {}
    """Keys of the language that the program doesn't know yet, and what they would be."""

    @model_validator(mode="before")
    @classmethod
    def _read_short_form(cls, value: Any) -> Any:
        return {spelt(cls.short): value} if cls.short and isinstance(value, str) else value

    @model_validator(mode="after")
    def _insist_on_one(self) -> Self:
        said = [field for field in self.one_of if getattr(self, field) is not None]
        if self.one_of and len(said) != 1:
            names = ", ".join(f"'{spelt(field)}'" for field in self.one_of)
            count = {0: "none", 2: "two", 3: "three"}.get(len(said), str(len(said)))
            raise Wrong(
                f"says {count} of {names}",
                "exactly one of them",
                key=spelt(said[-1]) if said else "",
            )
        return self

    def mirrored(self) -> Self:
        """Give the record as it is when the part is turned left to right; places ``at`` are the caller's."""
        changes = {}
        for field, info in type(self).model_fields.items():
            old = getattr(self, field)
            new = _mirror(old, info.annotation, info.metadata)
            if new is not old:
                changes[field] = new
        return self.model_copy(update=changes)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        schema = handler(core)
        if cls.short not in cls.model_fields:
            return schema
        plain = handler.resolve_ref_schema(schema)["properties"][spelt(cls.short)]
        return {"if": {"type": "string"}, "then": plain, "else": schema}


def _mirror(value: Any, hint: Any, marks: Iterable[Any] = ()) -> Any:
    """Mirror a value by the reader that its type hint holds."""
    if value is None:
        return value
    reader = next(
        (
            mark
            for mark in (*marks, *getattr(hint, "__metadata__", ()))
            if isinstance(mark, Reader)
        ),
        None,
    )
    if reader is not None:
        return reader.mirror(value)
    inner = get_args(hint)
    if isinstance(value, Words):
        return value.mirrored()
    if isinstance(value, dict) and len(inner) == 2:
        return {key: _mirror(each, inner[1]) for key, each in value.items()}
    if isinstance(value, tuple) and get_origin(hint) is tuple:
        return tuple(_mirror(each, inner[0]) for each in value)
    for option in inner:  # X | None
        new = _mirror(value, option)
        if new is not value:
            return new
    return value


def meaning_of(model: type[BaseModel], field: str) -> str:
    """Give what a field means in a few words, as the model or one it is made from says; '' where nobody does."""
    return next(
        (
            cls.__dict__["says"][field]
            for cls in model.__mro__
            if field in cls.__dict__.get("says", {})
        ),
        "",
    )


def keys_of(model: type[BaseModel]) -> dict[str, str]:
    """Give the keys a scene may say for a model: key -> field. Fields of the program's own are left out."""
    return {
        info.alias or field: field
        for field, info in model.model_fields.items()
        if not any(isinstance(mark, _Hidden) for mark in info.metadata)
    }


class _Hidden(Reader):
    """A field the program fills in; a scene that says it is told that there is no such word."""

    def read(self, value: Any) -> Any:
        raise Wrong("no such word", code="unknown")

    def schema(self) -> JsonSchemaValue:
        return {"not": {}}


Hidden = _Hidden()


Record = TypeVar("Record", bound=Words)


def _alone(record: Record, flag: str, others: set[str], told: str) -> Record:
    """Refuse a record that says a flag and, beside it, what the flag already decides."""
    said = sorted(others & record.model_fields_set)
    if getattr(record, flag) and said:
        raise Wrong(
            f"{told} '{said[0]}'", f"'{flag}: yes' or '{said[0]}', not both", key=said[0]
        )
    return record


class Guide(Words):
    """A hole in which a stem or rod slides.

    ``at`` its middle, ``length`` of the hole, ``clearance`` hole less stem; ``ideal: yes`` has neither play nor friction.
    """

    sample_text: ClassVar[str] = "{at: 60 above camshaft, length: 30}"
    says: ClassVar[Mapping[str, str]] = {
        "at": "its middle",
        "length": "how long the hole is, along the stem",
        "clearance": "hole less stem",
        "friction": "of the stem in the hole; left out, that of the two materials",
        "ideal": "yes: neither play nor friction",
    }

    at: At
    length: Size = 20.0
    clearance: Length = 0.2
    friction: Friction | None = None
    ideal: Yes = False

    @model_validator(mode="after")
    def _ideal_has_no_play(self) -> Self:
        return _alone(self, "ideal", {"clearance", "friction"}, "an ideal guide has no")


class Bearing(Words):
    """The hole a shaft turns in: ``play`` (hole less shaft; below 0 it is too tight), ``friction`` (left out: that of the materials), or a ``ball`` bearing.

    ``out of line``: the angle by which its two holes point past each other; ``oiled tube``: a tube in a tube with oil between; ``pointed``: it turns on pointed screws.
    """

    sample_text: ClassVar[str] = "{play: 0.1, friction: 0.2 to 0.35}"
    says: ClassVar[Mapping[str, str]] = {
        "play": "hole less shaft; below 0, the hole is too tight",
        "friction": "of the shaft in its hole; left out, that of the two materials",
        "ball": "yes: a ball bearing",
        "length": "how long it lies in each hole; left out, as thick as the frame's sheet",
        "out_of_line": "by what angle its two holes point past each other",
        "oiled_tube": "yes: a tube in a tube with oil in its play",
        "pointed": "yes: it turns on pointed screws",
    }

    play: Annotated[float, Amount(("length",), low=-0.2)] = 0.0
    friction: Friction | None = None
    ball: Yes = False
    length: Size | None = None
    out_of_line: Annotated[float, Amount(("angle",), low=0)] = 0.0
    oiled_tube: Yes = False
    pointed: Yes = False

    @model_validator(mode="after")
    def _ball_bearing_is_known(self) -> Self:
        own = {"play", "friction", "length", "out_of_line", "oiled_tube", "pointed"}
        return _alone(self, "ball", own, "a ball bearing has its own")

    @model_validator(mode="after")
    def _oil_has_room(self) -> Self:
        if self.oiled_tube and self.play <= 0:
            raise Wrong("oil needs room between the tubes", "'play: 0.1'", key="oiled tube")
        if self.pointed and (self.play or self.oiled_tube or self.out_of_line):
            key = "play" if self.play else "oiled tube" if self.oiled_tube else "out of line"
            raise Wrong(
                "pointed screws are set without play, and find their line",
                f"'pointed: yes' without '{key}'",
                key=key,
            )
        if self.out_of_line > math.radians(10):
            raise Wrong(
                "a shaft doesn't go through two holes so far out of line",
                "at most 10",
                key="out of line",
            )
        return self


class Spring(Words):
    """Pushes a follower onto its cam: ``preload`` is the push at the start, ``rate`` how much it grows."""

    sample_text: ClassVar[str] = "{rate: 0.05 N/mm, preload: 0.5 N}"
    says: ClassVar[Mapping[str, str]] = {
        "rate": "how much its push grows for each millimetre",
        "preload": "its push at the start",
    }

    rate: Rate | None = None
    preload: Force = 0.0
    later: ClassVar = {
        "torque": "a turning spring; a follower's spring pushes along its stem ('preload: 1 N')"
    }

    @model_validator(mode="after")
    def _pushes_at_all(self) -> Self:
        if self.rate is None and not self.preload:
            raise Wrong("neither pushes nor grows", "'{rate: 0.05 N/mm, preload: 0.5 N}'")
        return self


class Tip(Words):
    """What a follower touches its cam with: a knife edge, a roller, a flat, or a yoke of two flats."""

    sample_text: ClassVar[str] = "{roller diameter: 10}"
    says: ClassVar[Mapping[str, str]] = {
        "kind": "a knife edge; 'tip: knife' says the same",
        "roller_diameter": "a roller of this diameter",
        "flat_width": "a flat as wide as this",
        "yoke": "a frame round the cam whose two flats stand this far apart; it needs no spring",
    }

    short: ClassVar[str] = "kind"
    one_of: ClassVar[tuple[str, ...]] = ("kind", "roller_diameter", "flat_width", "yoke")

    kind: Annotated[Literal["knife"], Choice(("knife",))] | None = None
    roller_diameter: Size | None = None
    flat_width: Size | None = None
    yoke: Size | None = None

    @model_validator(mode="before")
    @classmethod
    def _read_shorthand(cls, value: Any) -> Any:
        """Say how a roller or a flat is written, with the maker's own number."""
        text = (
            value
            if isinstance(value, str)
            else value.get("kind")
            if isinstance(value, Mapping)
            else None
        )
        found = (
            re.search(r"\b(roller|flat|mushroom|knife)\b", text)
            if isinstance(text, str)
            else None
        )
        if not found or text == "knife":
            return value
        if found[1] == "knife":
            raise Wrong(f"can't be '{text}'", "'knife'")
        key, sample = (
            ("roller diameter", "10") if found[1] == "roller" else ("flat width", "20")
        )
        inner = (
            [str(each) for each in value.values()]
            if isinstance(value, Mapping)
            else [str(text)]
        )
        sizes = [
            size for each in inner for size in re.findall(rf"{NUMBER}(?: ?(?:mm|cm|in))?", each)
        ]
        raise Wrong(
            f"a {found[1]} says its {key.partition(' ')[2]}",
            f"'{{{key}: {sizes[0] if sizes else sample}}}'",
        )

    @property
    def roller_radius(self) -> float:
        """Radius of the roller, 0 for a knife or a flat. [mm]"""
        return self.roller_diameter / 2 if self.roller_diameter else 0.0


class Stops(Words):
    """How far a part may turn from its drawn attitude, each way. [rad]"""

    sample_text: ClassVar[str] = "{clockwise: 60, anticlockwise: 10}"
    says: ClassVar[Mapping[str, str]] = {
        "clockwise": "as far as this, clockwise",
        "anticlockwise": "as far as this, the other way",
    }

    clockwise: Turned | None = None
    anticlockwise: Turned | None = None

    def mirrored(self) -> Self:
        return self.model_copy(
            update={"clockwise": self.anticlockwise, "anticlockwise": self.clockwise}
        )

    def limits(self) -> tuple[float, float]:
        """Give the lowest and highest angle. [rad]"""
        low = -math.inf if self.clockwise is None else -self.clockwise
        return low, math.inf if self.anticlockwise is None else self.anticlockwise


def references(value: Any) -> Iterator[Ref]:
    """Give every reference inside a field's value."""
    if isinstance(value, Ref):
        yield value
    elif isinstance(value, Where):
        if value.ref is not None:
            yield value.ref
    elif isinstance(value, BaseModel):
        for field in type(value).model_fields:
            yield from references(getattr(value, field))
    elif isinstance(value, dict):
        for item in value.values():
            yield from references(item)
    elif isinstance(value, (list, tuple)) and not hasattr(value, "_fields"):
        for item in value:
            yield from references(item)
