"""A toothed wheel that a chain runs round."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.parts._contract import PARTS, Pen, Weight, Workshop
from animator.parts._fields import Number
from animator.parts._solid import disc
from animator.parts.pulley import BeltWheel


@PARTS.add("sprocket")
class Sprocket(BeltWheel):
    """A wheel of so many ``teeth``; its size follows from the chain's pitch."""

    as_written = "small sprocket: {kind: sprocket, on: shaft, teeth: 12}"

    says: ClassVar[Mapping[str, str]] = {
        "teeth": "how many; its size follows from the chain's pitch",
    }

    also_called = ("chain wheel", "chainwheel")

    teeth: Annotated[int, Number(5, 400)]

    def weigh(self, shop: Workshop) -> Weight:
        pitch = next(
            (
                part.pitch
                for part in shop.scene.parts.values()
                if self.name in shop.around(part)
            ),
            6.0,
        )
        return disc(
            pitch / (2 * math.sin(math.pi / self.teeth)),
            shop.density(self) * shop.stuff_of(self)[1],
        )

    def draw(self, pen: Pen) -> None:
        chain, is_first = pen.chain_on(self.name)
        pitch = chain.pitch if chain is not None else 6.0
        pen.teeth(
            self.teeth, pitch, pen.stuff("brass")[0], pen.seat_phase(chain, is_first, self.name)
        )
        pen.hub((0.0, 0.0), min(6.5, 0.3 * pitch * self.teeth / math.tau))
