"""Wheels with pins and paddles that push each other: of all that is near, the few pairs that may touch get a contact each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Generic, TypeVar

import pymunk

from animator.parts._spokes import Near, Spokes, pairs
from animator.world.contacts import CurveContact

if TYPE_CHECKING:
    from animator.parts._contract import Workshop
    from animator.parts._crude import CrudeWheel

FAR = 50.0  # mm; a gap that no speed closes within a step
SLOTS = 3  # contacts of two wheels: one pushes, one holds back, one comes or goes

Identity = TypeVar("Identity")


class Dealer(Generic[Identity]):
    """Deals pairs to contacts so that a pair keeps the contact it has as long as it is among the nearest."""

    def __init__(self, count: int = SLOTS) -> None:
        self.held: list[Identity | None] = [None] * count

    def deal(self, wanted: Sequence[Identity]) -> list[Identity | None]:
        """Give each contact one of the wanted, nearest first in the list."""
        held = self.held
        few = wanted[: len(held)]
        free = [i for i, each in enumerate(held) if each not in few]
        for each in few:
            if each not in held:
                held[free.pop(0)] = each
        for i in free:
            held[i] = None
        return held


class SpokeMesh:
    """Two wheels with spokes, and which of them are near now; asked by each of their contacts in turn, reckoned once a step."""

    def __init__(self, first: Spokes, second: Spokes) -> None:
        self.first, self.second = first, second
        self._asked = (math.nan, 0.0, 0.0)
        self._dealer: Dealer[tuple[int, int]] = Dealer()
        self.held = self._dealer.held
        self._found: dict[tuple[int, int], Near] = {}

    def near(self, slot: int, x: float, y: float, face: float) -> Near | None:
        """Give the pair that a contact minds."""
        asked = (x, y, face)
        if asked != self._asked:
            self._asked = asked
            found = pairs(self.first, self.second, x, y, face)
            self._dealer.deal([each[0] for each in found])
            self._found = {each[0]: each for each in found}
        held = self.held[slot]
        return None if held is None else self._found[held]


class MeshContact(CurveContact):
    """A contact of a mesh that has nothing near it most of the time and then costs next to nothing."""

    touch: SpokeTouch

    def _before(self, arbiter: pymunk.Arbiter, space: pymunk.Space, data: object) -> None:
        """Leave the contact alone while nothing is near it."""
        if not self._is_open and self.touch.is_idle:
            self._pass_over(arbiter, FAR)
            return
        super()._before(arbiter, space, data)


class SpokeTouch:
    """One contact of two wheels with spokes."""

    def __init__(self, mesh: SpokeMesh, slot: int) -> None:
        self._mesh, self._slot = mesh, slot
        self.reach = mesh.first.tip

    @property
    def is_idle(self) -> bool:
        """Whether nothing was near it when the wheels were last looked at; the first contact always looks."""
        return self._slot > 0 and self._mesh.held[self._slot] is None

    def nearest(
        self, x: float, y: float, face: float
    ) -> tuple[float, float, float, float, float]:
        """Gap, normal, point on the first wheel's spoke; all in its frame."""
        near = self._mesh.near(self._slot, x, y, face)
        if near is None:
            d = math.hypot(x, y) or 1.0
            return FAR, x / d, y / d, 0.0, 0.0
        return near[1:]


def mesh_spokes(shop: Workshop, first: CrudeWheel, second: CrudeWheel) -> None:
    """Let the spokes of two wheels of one plane push each other."""
    mesh = SpokeMesh(first.spokes, second.spokes)
    friction = shop.friction(
        second.friction or first.friction, *map(partial(stuff_at, shop), (first, second))
    )
    here, there = shop.pose(first.name), shop.pose(second.name)
    for slot in range(SLOTS):
        shop.exact_contact(
            f"{second.name}.mesh {slot + 1}", first.name, second.name, f"{second.name} on {first.name}", "teeth",
            shop.body(first.name), shop.body(second.name), here[:2], there[:2], SpokeTouch(mesh, slot), friction, False,
            origin_angle=here.angle, face=there.angle, axis=shop.fixed_axis(first.name), sort=MeshContact,
        )  # fmt: skip


def stuff_at(shop: Workshop, wheel: CrudeWheel) -> str:
    """What a wheel's spokes are of."""
    return wheel.rubs or shop.stuff_of(wheel)[0]
