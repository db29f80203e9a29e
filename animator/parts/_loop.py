"""What belts and chains share: they run round two wheels and have no place of their own."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pydantic import AfterValidator

from animator.geometry import Point
from animator.parts._belt_round import middles, senses
from animator.parts._contract import Part, Spans, Workshop
from animator.parts._fields import Ref
from animator.trains import Coupling
from animator.units import Wrong

MOST_WHEELS = 12


def _two(wheels: tuple[Ref, ...]) -> tuple[Ref, ...]:
    if len(wheels) != 2 or wheels[0].text == wheels[1].text:
        raise Wrong("a chain runs round two wheels", "for example '[drive wheel, load wheel]'")
    return wheels


def _several(wheels: tuple[Ref, ...]) -> tuple[Ref, ...]:
    if len(wheels) < 2 or len({each.text for each in wheels}) < len(wheels):
        raise Wrong(
            "a belt runs round two wheels or more, each said once, in the order in which it comes to them",
            "for example '[drive wheel, load wheel]'",
        )
    if len(wheels) > MOST_WHEELS:
        raise Wrong(f"{len(wheels)} wheels on one belt", f"at most {MOST_WHEELS}")
    return wheels


TWO_WHEELS = AfterValidator(_two)
SEVERAL_WHEELS = AfterValidator(_several)


class Loop(Part):
    """Runs round two wheels."""

    has_places = False

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        return {"top": (0.0, 0.0)}

    def outside(self, wheels: Sequence[str]) -> set[int]:
        """Tell which wheels press on the loop's back, by their places in a list."""
        pressing = {ref.part for ref in getattr(self, "on_its_back", ())}
        return {i for i, name in enumerate(wheels) if name in pressing}

    def couples(self, parts: Mapping[str, Part]) -> Iterable[Coupling]:
        wheels: list[Any] = [parts[ref.part] for ref in getattr(self, "around", ())]
        sizes = [float(getattr(each, "diameter", None) or each.teeth) for each in wheels]
        names = [each.name for each in wheels]
        if len(wheels) > 2:
            ways = senses(middles(parts, names), self.outside(names))
        else:
            ways = [1, -1 if getattr(self, "crossed", False) else 1]
        for i in range(1, len(wheels)):
            ratio = ways[i - 1] * ways[i] * sizes[i - 1] / sizes[i]
            yield Coupling(names[i - 1], names[i], ratio)


class SidePull:
    """What the spans of a loop draw their two wheels together with; the bearings carry it, and rub under it."""

    def __init__(
        self,
        shop: Workshop,
        wheels: tuple[str, str],
        radii: tuple[float, float],
        is_crossed: bool,
    ) -> None:
        (ax, ay), (bx, by) = (shop.pose(name)[:2] for name in wheels)
        centres = math.hypot(bx - ax, by - ay)
        dx, dy = (bx - ax) / centres, (by - ay) / centres
        lean = (radii[0] + radii[1] if is_crossed else radii[0] - radii[1]) / centres
        flat = math.sqrt(max(1 - lean * lean, 0.0))
        # unit vectors along both spans, from the first wheel to the second: span 1 lies left of the line of centres
        self._ways = (
            (flat * dx + lean * dy, flat * dy - lean * dx),
            (flat * dx - lean * dy, flat * dy + lean * dx),
        )
        self._ends = [
            # a wheel on a fixed axis stays where it is: its middle needn't be asked for at every step
            (body, body.world_to_local(place), shop.fixed_axis(name), sign)
            for name, body, place, sign in zip(
                wheels,
                (shop.body(name) for name in wheels),
                ((ax, ay), (bx, by)),
                (1.0, -1.0),
                strict=True,
            )
        ]

    def act(self, first: float, second: float) -> None:
        """Pull with the forces of both spans on both wheels' middles. [g mm/s^2]"""
        (ux, uy), (vx, vy) = self._ways
        fx, fy = first * ux + second * vx, first * uy + second * vy
        if fx or fy:
            for body, local, axis, sign in self._ends:
                body.apply_force_at_world_point(
                    (sign * fx, sign * fy), axis or body.local_to_world(local)
                )
