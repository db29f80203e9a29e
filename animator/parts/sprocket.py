"""A toothed wheel that a chain runs round."""

from typing import Annotated

from animator.parts._contract import PARTS
from animator.parts._fields import Number
from animator.parts.pulley import BeltWheel


@PARTS.add("sprocket")
class Sprocket(BeltWheel):
    """A wheel of so many ``teeth``; its size follows from the chain's pitch."""

    also_called = ("chain wheel", "chainwheel")

    teeth: Annotated[int, Number(5, 400)]
