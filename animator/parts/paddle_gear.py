"""The crudest gear there is: a few paddles on a boss, pushing the next wheel's paddles or pins."""

import math
from collections.abc import Mapping
from typing import Annotated, ClassVar

from pydantic import model_validator

from animator.geometry import polar
from animator.parts._contract import PARTS, Pen, Weight, Workshop
from animator.parts._crude import CrudeWheel
from animator.parts._fields import Number, Size
from animator.parts._solid import bar, disc, together
from animator.parts._spokes import Spokes
from animator.units import Wrong

BREADTH = 12.0  # mm; of a paddle along the axis. Common practice, no source
BOSS = 0.22  # of the reach: what the paddles are glued into
SMALLEST_BOSS = 4.0  # mm


@PARTS.add("paddle gear")
class PaddleGear(CrudeWheel):
    """``paddles`` flat paddles with rounded ends that reach so far from the middle (``reach``); as thick as its material says."""

    as_written = (
        "paddles: {kind: paddle gear, on: shaft, paddles: 4, reach: 28, material: card 2}"
    )

    says: ClassVar[Mapping[str, str]] = {
        "paddles": "how many, evenly set",
        "reach": "from the middle to their tips",
    }

    also_called = ("paddle wheel", "card gear", "star wheel", "crude gear")

    paddles: Annotated[int, Number(2, 120)]
    reach: Size

    @model_validator(mode="after")
    def _has_gaps(self) -> "PaddleGear":
        if self.spokes.gap <= 0:
            most = math.floor(math.pi * self.reach / self.thickness)
            raise Wrong(
                f"{self.paddles} paddles {self.thickness:g} mm thick leave no gaps at a reach of {self.reach:g}",
                f"'paddles: {max(most // 2, 2)}' or thinner ones, such as 'material: card 1'",
                key="paddles",
            )
        return self

    @property
    def thickness(self) -> float:
        """Of a paddle; 4 mm, or a tenth of a short one's reach, where the material doesn't say. [mm]"""
        size = self.material.size if self.material is not None else None
        return size or min(4.0, 0.1 * self.reach)

    @property
    def boss(self) -> float:
        """Radius of what the paddles are glued into. [mm]"""
        return min(max(SMALLEST_BOSS, BOSS * self.reach), 0.6 * self.reach)

    @property
    def spokes(self) -> Spokes:
        half = self.thickness / 2
        return Spokes(
            self.paddles, min(self.boss, self.reach - half), self.reach - half, half, self.phase
        )

    @property
    def counted(self) -> str:
        return f"{self.paddles} paddles"

    def longer(self, by: float) -> str:
        return f"'{self.name}.reach: {math.ceil(self.reach + by)}'"

    def thinner(self, room: float) -> str:
        stuff = self.material.name if self.material is not None else "card"
        return f"'{self.name}.material: {stuff} {max(math.floor(room), 1) / 2:g}'"

    def weigh(self, shop: Workshop) -> Weight:
        line = shop.density(self) * self.thickness * BREADTH
        blades = [
            bar(polar(self.boss, way), polar(self.reach, way), line, self.thickness)
            for way in (self.phase + i * self.spokes.pitch for i in range(self.paddles))
        ]
        return together([disc(self.boss, shop.density(self) * BREADTH), *blades])

    def draw(self, pen: Pen) -> None:
        stuff, _ = pen.stuff()
        for i in range(self.paddles):
            way = self.phase + i * self.spokes.pitch
            pen.strap(
                polar(0.5 * self.boss, way),
                polar(self.spokes.outer, way),
                self.thickness,
                self.thickness,
                stuff,
                BREADTH / 3,
                7.0,
                sort="paddle",
            )
        pen.disc((0.0, 0.0), self.boss, stuff, BREADTH / 2, 6.0, sort="boss of the paddles")
        pen.hub((0.0, 0.0), min(5.0, 0.6 * self.boss))

    def draw_across(self, pen: Pen) -> None:
        stuff, _ = pen.stuff()
        pen.edge_disc(self.boss, BREADTH, stuff, sort="boss of the paddles")
        for i in range(self.paddles):
            way = self.phase + i * self.spokes.pitch
            pen.edge_arm(polar(self.reach, way), self.thickness, BREADTH, stuff, sort="paddle")
