"""A small motor with its gearbox: the more it must pull, the slower it turns, until it stalls."""

from collections.abc import Mapping
from typing import Annotated, ClassVar

from animator.geometry import Point
from animator.parts._contract import PARTS
from animator.parts._drive import Driver
from animator.parts._fields import Amount, TurningSpeed, Yes


@PARTS.add("motor")
class Motor(Driver):
    """Turns the shaft at ``speed`` when nothing holds it, and stands still at ``stall torque``; between them a straight line.

    With ``holds: yes`` it can't be turned back (a worm gearbox).
    """

    also_called = ("gear motor", "engine")
    later: ClassVar[Mapping[str, str]] = {
        "runs while": "a motor that runs while a switch is closed; here it runs always"
    }

    speed: TurningSpeed
    stall_torque: Annotated[float, Amount(("torque",), above=0)]
    holds: Yes = False

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}
