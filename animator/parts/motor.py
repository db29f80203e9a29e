"""A small motor with its gearbox: the more it must pull, the slower it turns, until it stalls."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import model_validator

from animator.geometry import Point
from animator.parts._contract import PARTS, Pen, Prediction, Standing, Weight, Workshop
from animator.parts._currents import low_voltage
from animator.parts._drive import Driver
from animator.parts._fields import Amount, TurningSpeed, Yes
from animator.parts._signals import Line, Listener, Signal, SignalField, can_start
from animator.units import Wrong

if TYPE_CHECKING:
    from animator.findings.report import Caution
    from animator.motion.motion import Motion

RUN_UP = (
    0.03  # s; time constant of a small gear motor running up unloaded (estimate, no source)
)
ROTOR_MASS = 1.0  # g; on the shaft's axis it only counts for the bearing
# What motor and gearbox take for themselves, of the stall torque: a maker's sheet gives 0.02 A unloaded and 0.36 A stalled (100:1 at 6 V, May 2018). While it runs
# the sheet's unloaded speed holds it already; switched off, it is what stops the shaft.
OWN_FRICTION = 0.02 / 0.36


@PARTS.add("motor")
class Motor(Driver, Listener):
    """Turns the shaft at ``speed`` when nothing holds it, and stands still at ``stall torque``; between them a straight line.

    With ``holds: yes`` it can't be turned back (a worm gearbox). With ``runs while`` it runs only while a signal is given: 'coin slot or home switch' starts with
    a coin and runs on until the home switch opens. It is switched on at once, unless 'starts over' says otherwise, and switched off it runs out against its own friction, a twentieth of its stall torque.
    """

    as_written = "motor: {kind: motor, on: shaft, speed: 60 rpm, stall torque: 0.7 kg cm}"

    says: ClassVar[Mapping[str, str]] = {
        "speed": "how fast it turns when nothing holds it",
        "stall_torque": "the torque at which it stands still",
        "holds": "yes: it can't be turned back, like a worm gearbox",
        "runs_while": "the switches, coin slots or tracks of a drum by which it runs; left out, it runs always",
    }

    also_called = ("gear motor", "engine")
    stands_apart = True

    speed: TurningSpeed
    stall_torque: Annotated[float, Amount(("torque",), above=0)]
    holds: Yes = False
    runs_while: SignalField | None = None

    @model_validator(mode="before")
    @classmethod
    def _starts_at_once(cls, value: Any) -> Any:
        """Give one that is switched on all its current at once, unless it is said to start gently."""
        if isinstance(value, Mapping) and "runs while" in value and "starts over" not in value:
            return {**value, "starts over": "0"}
        return value

    @property
    def signal(self) -> Signal | None:
        return self.runs_while

    @property
    def signal_key(self) -> str:
        return "runs while"

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        yield from super().misfits(piece)
        if self.runs_while is None or piece.turned or self.name in can_start(piece):
            return
        coins = [name for name, part in piece.parts.items() if part.kind == "coin slot"]
        waits = " and ".join(f"'{ref.text}'" for ref in self.runs_while.terms)
        text = self.runs_while.text
        if coins and self.runs_while.is_any:
            write = f"'{self.signal_key}: {coins[0]} or {text}'"
        elif self.runs_while.is_any:
            write = f"'{self.signal_key}: coin slot or {text}', and 'coin slot: {{kind: coin slot}}'"
        else:
            write = f"a coin slot in place of one of them, or 'or' for 'and': '{self.signal_key}: {text.replace(' and ', ' or ')}'"
        yield Wrong(
            f"'{self.name}' never starts: it waits for {waits}, and only the motor itself could turn what closes that",
            write,
            key=self.signal_key,
        )

    def points(self) -> Mapping[str, Point]:
        return {"centre": (0.0, 0.0)}

    def weigh(self, shop: Workshop) -> Weight:
        # the rotor seen through its gearbox: without it a light shaft would leap to speed within a step
        return Weight(ROTOR_MASS, (0.0, 0.0), self.stall_torque / self.speed * RUN_UP)

    def build(self, shop: Workshop) -> None:
        shop.drive(self, self.speed, self.stall_torque, has_line=True, holds=self.holds)
        if self.runs_while is None:
            return
        drive = shop.world.drives[-1]
        drive.switched_by(
            Line(shop, self.runs_while),
            OWN_FRICTION * self.stall_torque,
            shop.heat(f"own friction of {self.name}"),
        )
        shop.channel(f"{self.name}.running", "state", lambda: float(drive.is_on))

    def speed_under(self, torque: float) -> float:
        """Tell the turning speed under a steady torque, on the straight line from unloaded speed to stall. [rad/s]

        Examples
        --------
        >>> motor = Motor.model_validate({"kind": "motor", "on": "shaft", "speed": "130 rpm", "stall torque": "0.74 kg cm"})
        >>> motor.speed_under(motor.stall_torque) == 0.0
        True
        """
        return self.speed * (1 - torque / self.stall_torque)

    def cautions(self, motion: "Motion") -> "Iterable[Caution]":
        yield low_voltage()

    def draw(self, pen: Pen) -> None:
        back = pen.nearer_than([self.on.part])
        still = back.frame
        middle = pen.spot(self.on)
        still.block(
            (middle[0], middle[1] - 6.0), 30.0, 46.0, "brass", 0.0, 6, 3.0, sort="gearbox"
        )
        still.block(
            (middle[0], middle[1] - 34.0), 24.0, 16.0, "steel", 0.0, 8, 2.0, sort="motor"
        )
        for x, y in ((-11.0, 12.0), (11.0, 12.0), (-11.0, -24.0), (11.0, -24.0)):
            still.turned((middle[0] + x, middle[1] + y), 1.8, "steel", 1, sort="screw")
        back.turned((0.0, 0.0), 8.0, "brass", 3, 2.5, 3, sort="coupling")

    def draw_across(self, pen: Pen) -> None:
        end = pen.drive_end()
        pen.edge_disc(8.0, 7.0, "brass", end - 3.5, 3, sort="coupling")
        pen.edge_disc(15.0, 20.0, "brass", end + 10.0, 6, sort="gearbox")
        pen.edge_disc(12.0, 26.0, "steel", end + 33.0, 8, sort="motor")

    def predict(self, motion: "Motion") -> Iterable[Prediction]:
        drive = next((each for each in motion.drives if each.name == self.name), None)
        if drive is not None and self.runs_while is None:
            torque = float(drive.torque[motion.begins :].mean())
            yield Prediction(
                f"{self.on.part}.speed",
                self.speed_under(torque),
                "straight line of a brushed motor at its mean torque",
            )
