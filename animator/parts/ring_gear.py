"""A ring with teeth inside: a gear that meshes with it from within turns the same way round."""

import math

from animator.parts._contract import PARTS, Pen, Weight, Workshop
from animator.parts.gear import Toothed

WALL = 5.0  # mm; of the ring outside its teeth, or one and a half modules


@PARTS.add("ring gear")
class RingGear(Toothed):
    """Teeth inside a ring. Gears inside it say ``meshes with``; with planets between a sun and a ring it makes an epicyclic train, any member of which may be held."""

    as_written = "ring: {kind: ring gear, at: [100, 60], held: yes, teeth: 72, module: 1}"

    also_called = (
        *("internal gear", "annulus", "annular gear", "internal ring gear"),
        *("epicyclic train", "epicyclic", "planetary gear", "planetary train"),
    )
    is_ring = True

    @property
    def rim(self) -> float:
        """Radius of the outside. [mm]"""
        return self.toothing.foot + max(WALL, 1.5 * self.module)

    def weigh(self, shop: Workshop) -> Weight:
        stuff, thickness = shop.density(self), shop.stuff_of(self)[1]
        outer, inner = self.rim, self.toothing.radius
        mass = stuff * thickness * math.pi * (outer**2 - inner**2)
        return Weight(mass, (0.0, 0.0), mass * (outer**2 + inner**2) / 2)

    def draw(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        pen.ring_gear(self.toothing, self.rim, pen.tooth_phase(), stuff, thickness)

    def draw_across(self, pen: Pen) -> None:
        stuff, thickness = pen.stuff()
        pen.edge_disc(self.rim, thickness, stuff, sort="ring")
