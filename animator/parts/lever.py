"""A body on a pivot with named arms: levers of every class, bell cranks, rockers, swinging figures."""

from collections.abc import Mapping
from typing import ClassVar

from pydantic import model_validator

from animator.geometry import Point, polar
from animator.parts._contract import PARTS
from animator.parts._fields import Arm
from animator.parts._turning import Pivoted
from animator.units import Wrong

FOLLOWING = (
    "a lever that follows a cam; let a follower ride on the cam and push the lever with a rod"
)


@PARTS.add("lever")
class Lever(Pivoted):
    """A body that swings about its pivot. Each arm is a named point: ``arms: {hand: 40 up, wire: 20 at 300}``."""

    also_called = ("bell crank", "rocker", "beam", "see-saw", "pendulum")
    later: ClassVar[Mapping[str, str]] = dict.fromkeys(
        ("follows", "by", "tip", "spring"), FOLLOWING
    )

    arms: Mapping[str, Arm]

    @model_validator(mode="after")
    def _names_its_points(self) -> "Lever":
        if "pivot" in self.arms:
            raise Wrong(
                "an arm can't be called 'pivot'",
                "another name; the pivot is there already",
                key="arms",
            )
        return self

    def points(self) -> Mapping[str, Point]:
        return {"pivot": (0.0, 0.0)} | {name: polar(*arm) for name, arm in self.arms.items()}

    def dimensions(self) -> Mapping[str, float]:
        return {f"arms.{name}": length for name, (length, _) in self.arms.items()}
