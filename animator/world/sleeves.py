"""Straight bars in guides that move: a rod through a swivel guide, a block in a slot.

Real ones have play and friction (four lips, as in a guide that stands still); ideal ones are a groove with a light block of its own, since a
groove joint away from a body's centre of mass loses a fiftieth of the acceleration.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pymunk

from animator.geometry import Point
from animator.parts._contract import Weight
from animator.world import engine
from animator.world.building import ContactEntry, Link
from animator.world.contacts import GuideContact
from animator.world.engine import beneath, speeds, state

if TYPE_CHECKING:
    from animator.world.building import Bench

BLOCK_MASS = 2.0  # g; a die block of brass, 6 mm long
BLOCK_INERTIA = 20.0  # g mm^2
FAR = 1e4  # mm; a groove longer than any piece


class SleeveContact(GuideContact):
    """A straight stem between the lips of a guide that itself moves; its arguments are those of a guide that stands."""

    def __init__(
        self, space: pymunk.Space, body: pymunk.Body, support: pymunk.Body, *rest: Any
    ) -> None:
        super().__init__(space, body, support, *rest)
        self.support = support
        self._places = [support.world_to_local(lip) for lip in self.lips]
        self._carrier = beneath(support)
        self._support_before = speeds(self._carrier)
        self._slant = self.direction - support.angle

    def end_step(self) -> None:
        """Book the work of the touches of this step, from the speeds of the stem as its guide sees it."""
        support = self.support
        px, py, angle, vx, vy, spin = state(self._body)
        sx, sy, support_angle, ux, uy, turn = state(self._carrier)
        if self._pending:
            (bx, by, b_spin), (gx, gy, g_turn) = self._before, self._support_before
            mx, my, m_spin = 0.5 * (vx + bx), 0.5 * (vy + by), 0.5 * (spin + b_spin)
            kx, ky, k_turn = 0.5 * (ux + gx), 0.5 * (uy + gy), 0.5 * (turn + g_turn)
            lean = angle + self._lean
            cl, sl = math.cos(lean), math.sin(lean)
            total = self._sum
            for lip, jx, jy in self._pending:
                x, y = support.local_to_world(self._places[lip])
                wx = mx - m_spin * (y - py) - kx + k_turn * (y - sy)
                wy = my + m_spin * (x - px) - ky - k_turn * (x - sx)
                nx, ny = self._normals[
                    lip
                ]  # as at the start, when the stem lay along the guide
                nx, ny = cl * nx - sl * ny, sl * nx + cl * ny
                closing = (vx - spin * (y - py) - ux + turn * (y - sy)) * nx + (
                    vy + spin * (x - px) - uy - turn * (x - sx)
                ) * ny
                if closing < 0:
                    self.given_way -= closing
                across = jx * nx + jy * ny
                if across < 0:
                    across, jx, jy = -across, -jx, -jy
                work_across = across * (wx * nx + wy * ny)
                self.knock.total -= work_across
                self.rub.total -= jx * wx + jy * wy - work_across
                total.normal += across
                total.friction += abs(jy * nx - jx * ny)
                self._lip_sum[lip] += across
            self._pending.clear()
        way = support_angle + self._slant
        self._sum.sliding += abs(
            (vx - ux + spin * (py - sy)) * math.cos(way)
            + (vy - uy - spin * (px - sx)) * math.sin(way)
        )
        self._sum.steps += 1
        self._before = vx, vy, spin
        self._support_before = ux, uy, turn

    def strayed(self) -> float:
        """How deep a lip stands inside the stem now, and no number once the stem is out of its guide altogether. [mm]"""
        self.lips = [(x, y) for x, y in map(self.support.local_to_world, self._places)]
        return super().strayed()


def thread(shop: Bench, rod: Any, guide: Any) -> None:
    """Let a rod slide through a swivel guide and turn it along."""
    body, sleeve = shop.body(rod.name), shop.body(guide.name)
    pose = shop.pose(guide.name)
    near, tip = rod.points()["near"], rod.points()["tip"]
    if guide.ideal:
        start = shop.pose(rod.name)
        along = math.cos(start.angle), math.sin(start.angle)
        groove = [
            body.world_to_local(
                (pose.x + side * FAR * along[0], pose.y + side * FAR * along[1])
            )
            for side in (-1, 1)
        ]
        shop.firm(
            pymunk.GrooveJoint(
                body, sleeve, groove[0], groove[1], sleeve.world_to_local(pose[:2])
            )
        )
        gear = shop.gear(body, sleeve, 1.0)
        gear.phase = sleeve.angle - body.angle
        return
    stuff, size = shop.stuff_of(rod)
    mu = shop.friction(guide.friction, stuff, shop.stuff_of(guide)[0])
    where = f"hole of {guide.name}"
    ends = tuple(body.world_to_local(shop.pose(rod.name).place(end)) for end in (near, tip))
    unit = SleeveContact(
        shop.space, body, sleeve, pose[:2], pose.angle, guide.length, size / 2, guide.clearance / 2, mu, ends, shop._next_bit(guide.name),
        shop.heat(where), shop.heat(f"knocks in the {where}"), shop.world.faults,
    )  # fmt: skip
    shop.after_step(unit.end_step)
    # a stem in a guide that swivels can't wedge: no finding looks for it there
    shop.world.contacts[f"{rod.name}.guide"] = ContactEntry(
        guide.name, rod.name, where, "stop", unit, False, mu
    )


def slide_block(
    shop: Bench, name: str, slotted: pymunk.Body, carrier: pymunk.Body, pin: Point, way: float
) -> None:
    """Put a block on a pin that fills another part's slot, without play or friction.

    Parameters
    ----------
    shop
        Where it is built in.
    name
        Of the slotted part.
    slotted, carrier
        Bodies of the slot and of the pin.
    pin
        Where the pin starts. [mm]
    way
        Which way the slot runs at the start. [rad]
    """
    block = engine.Body(BLOCK_MASS, BLOCK_INERTIA)
    block.position = pin
    shop.space.add(block)
    shop.world.links.append(
        Link(
            f"block in {name}",
            block,
            (0.0, 0.0),
            Weight(BLOCK_MASS, (0.0, 0.0), BLOCK_INERTIA),
            {},
        )
    )
    shop.pivot(carrier, block, pin)
    c, s = math.cos(way), math.sin(way)
    groove = [
        slotted.world_to_local((pin[0] + side * FAR * c, pin[1] + side * FAR * s))
        for side in (-1, 1)
    ]
    shop.firm(pymunk.GrooveJoint(slotted, block, groove[0], groove[1], (0.0, 0.0)))
    gear = shop.gear(slotted, block, 1.0)
    gear.phase = block.angle - slotted.angle
