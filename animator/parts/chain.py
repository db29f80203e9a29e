"""A chain round two sprockets: it doesn't slip, and turns a little unevenly because its links are straight."""

from typing import Annotated

from animator.parts._contract import PARTS
from animator.parts._fields import Length, PartOf, Ref, Size
from animator.parts._loop import TWO_WHEELS, Loop


@PARTS.add("chain")
class Chain(Loop):
    """Links of one ``pitch``; ``slack`` is how much too long the loop is (left out: what whole links leave over)."""

    around: Annotated[tuple[Annotated[Ref, PartOf("sprocket")], ...], TWO_WHEELS]
    pitch: Size
    slack: Length | None = None
