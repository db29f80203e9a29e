"""What belts and chains share: they run round two wheels and have no place of their own."""

from collections.abc import Mapping

from pydantic import AfterValidator

from animator.geometry import Point
from animator.parts._contract import Part, Spans
from animator.parts._fields import Ref
from animator.units import Wrong


def _two(wheels: tuple[Ref, ...]) -> tuple[Ref, ...]:
    if len(wheels) > 2:
        raise Wrong("not yet: more than two wheels in one loop", "two of them", code="later")
    if len(wheels) < 2 or wheels[0].text == wheels[1].text:
        raise Wrong("a loop runs round two wheels", "for example '[drive wheel, load wheel]'")
    return wheels


TWO_WHEELS = AfterValidator(_two)


class Loop(Part):
    """Runs round two wheels."""

    has_places = False

    def held(self) -> Spans:
        return Spans()

    def points(self) -> Mapping[str, Point]:
        return {"top": (0.0, 0.0)}
