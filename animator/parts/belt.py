"""A belt round two pulleys: rubber band, spring belt, leather or string. It stretches, creeps and slips."""

from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.parts._contract import PARTS
from animator.parts._fields import Amount, Friction, Material, PartOf, Ref, Share, Yes
from animator.parts._loop import TWO_WHEELS, Loop
from animator.units import Wrong


@PARTS.add("belt")
class Belt(Loop):
    """``made of`` its stuff and thickness; laid on ``stretched`` by a share of its length, or with a ``tension``."""

    also_called = ("drive belt", "band drive")
    one_of: ClassVar[tuple[str, ...]] = ("stretched", "tension")

    around: Annotated[tuple[Annotated[Ref, PartOf("pulley")], ...], TWO_WHEELS]
    made_of: Material
    crossed: Yes = False
    stretched: Share | None = None
    tension: Annotated[float, Amount(("force",), above=0)] | None = None
    friction: Friction | None = None

    @model_validator(mode="after")
    def _can_stretch(self) -> "Belt":
        stuff = self.made_of.stuff
        if stuff.axial_stiffness(1.0) is None:
            raise Wrong(
                f"'{stuff.name}' makes no belt",
                "'rubber band 3', 'spring belt 4', 'round leather 4' or 'string 2'",
                key="made of",
            )
        if not self.made_of.size:
            raise Wrong(
                "a belt says how thick it is", f"'made of: {stuff.name} 3'", key="made of"
            )
        if self.stretched is not None and self.stretched > 1:
            raise Wrong(
                "stretched to more than twice its length", "at most 100 %", key="stretched"
            )
        return self

    @property
    def axial_stiffness(self) -> float:
        """Force that would double the belt's length, E A. [g mm/s^2]"""
        return self.made_of.stuff.axial_stiffness(self.made_of.size) or 0.0
