"""What a coin, a switch and a strip tell a motor or a lamp: closed or open, joined by ``or`` (wired in parallel) or ``and`` (in series).

The electrics stay at that: closed is on. A signal is a recorded state (``home switch.closed``, ``timing drum.lamp``), so whatever hears it reads what the
record shows, and a chart of what happens when needs nothing else.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict
from pydantic.json_schema import JsonSchemaValue

from animator import trains
from animator.parts._contract import Part, Standing, Workshop
from animator.parts._fields import PartOf, Reader, Ref, reference, references, text_of
from animator.units import Wrong

SENDERS = ("switch", "coin slot", "timing drum")
SAMPLE = "coin slot or home switch"


class Signal(BaseModel):
    """What something waits for: ``terms`` are what is listened to, ``denied`` which of them must be open; ``is_any``: one of them is enough."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True)

    terms: tuple[Ref, ...]
    denied: tuple[bool, ...]
    is_any: bool = True
    text: str = ""

    def holds(self, states: Iterable[bool]) -> bool:
        """Tell whether it is given while its terms are closed (or not) as told, in their order.

        Examples
        --------
        >>> both = Signal(terms=(Ref(), Ref()), denied=(False, True), is_any=False)
        >>> both.holds([True, False]), both.holds([True, True])
        (True, False)
        """
        given = (state != denied for state, denied in zip(states, self.denied, strict=True))
        return any(given) if self.is_any else all(given)

    def could_hold(self, states: Iterable[bool | None]) -> bool:
        """Tell whether it can be given where some states (None) may be either."""
        given = (
            state is None or state != denied
            for state, denied in zip(states, self.denied, strict=True)
        )
        return any(given) if self.is_any else all(given)


class _Signal(Reader):
    JOINT = re.compile(r" (or|and) ")

    def read(self, value: Any) -> Signal:
        text = text_of(value, SAMPLE)
        pieces = self.JOINT.split(text)
        joints = set(pieces[1::2])
        if len(joints) > 1:
            parallel = " or ".join(pieces[::2])
            raise Wrong(
                "'or' and 'and' in one circuit: nobody can tell which is joined first",
                f"one of the two throughout, '{parallel}'",
            )
        terms, denied = [], []
        start = 0
        for i, piece in enumerate(pieces):
            if i % 2:
                start += len(piece) + 2  # the joint and a space on each side of it
                continue
            skipped = len("not ") if piece.startswith("not ") else 0
            name = piece[skipped:]
            if not name.strip() or name in ("or", "and", "not"):
                raise Wrong(f"'{text}' names nothing to listen to", f"for example '{SAMPLE}'")
            reader = PartOf(*SENDERS, is_point=True)
            terms.append(reference(value, reader, name, start + skipped))
            denied.append(bool(skipped))
            start += len(piece)
        return Signal(
            terms=tuple(terms), denied=tuple(denied), is_any=joints != {"and"}, text=str(text)
        )

    def schema(self) -> JsonSchemaValue:
        return {
            "type": "string",
            "pattern": r"^[^\[\]{},:#]+$",
            "description": "switches, coin slots and tracks of a timing drum, joined all by 'or' or all by 'and'; 'not' before one that must be open",
            "examples": [SAMPLE],
        }


SignalField = Annotated[Signal, _Signal()]
"""``coin slot or home switch``, ``not lamp switch``, ``timing drum.lamp and home switch``."""


class Sender(Part):
    """What can be closed or open: a switch, a coin slot, a drum with its tracks."""

    def hears_no_hand(self) -> bool:
        """Whether only the piece's own turning can change it (a coin comes from outside)."""
        return True

    def wire(self, point: str) -> str:
        """Name of the recorded state that tells whether it is closed; ``point`` names one of several."""
        return f"{self.name}.closed"

    def unnamed(self, point: str) -> Wrong | None:
        """What is wrong with naming this alone, where it holds several signals."""
        return None

    def turned_by(self, parts: Mapping[str, Part]) -> str:
        """Name of the part whose turning works it; '' for none."""
        return ""

    def is_closed_at(self, point: str, piece: Standing) -> bool:
        """Tell whether it is closed where the piece stands now, by its geometry alone."""
        return False

    def acts_until(self) -> float:
        """Moment after which nothing more comes of itself [s]."""
        return 0.0


class Listener(Part):
    """What runs or is lit while a signal is given."""

    @property
    def signal(self) -> Signal | None:
        """What it waits for; None: it waits for nothing."""
        raise NotImplementedError

    @property
    def signal_key(self) -> str:
        """The key that says it."""
        raise NotImplementedError

    def misfits(self, piece: Standing) -> Iterable[Wrong]:
        if self.signal is None or piece.turned:
            return
        for ref in self.signal.terms:
            sender = piece.parts[ref.part]
            wrong = sender.unnamed(ref.point) if isinstance(sender, Sender) else None
            if wrong is not None:
                wrong.key = self.signal_key
                yield wrong
                return


class Line:
    """A signal while the piece runs."""

    def __init__(self, shop: Workshop, signal: Signal) -> None:
        self._signal = signal
        self._channels = shop.world.channels
        parts = shop.scene.parts
        self._names = [parts[ref.part].wire(ref.point) for ref in signal.terms]
        self._reads: list[Callable[[], float]] | None = None

    @property
    def is_given(self) -> bool:
        """Whether it is given now."""
        if self._reads is None:  # senders may be built after those who listen to them
            self._reads = [self._channels[name][2] for name in self._names]
        return self._signal.holds([read() > 0.5 for read in self._reads])


def can_start(piece: Standing) -> set[str]:
    """Find the drives that can ever run: those that wait for nothing, those whose signal is given at rest or by a coin, and those set off by what these move."""
    parts = piece.parts
    drives = {name: part for name, part in parts.items() if part.is_drive}
    started: set[str] = set()
    while True:
        moved = _moved_by(parts, started)
        more = {
            name
            for name, part in drives.items()
            if name not in started and _may_run(part, piece, moved)
        }
        if not more:
            return started
        started |= more


def _may_run(part: Part, piece: Standing, moved: set[str]) -> bool:
    signal: Signal | None = getattr(part, "signal", None)
    if signal is None:
        return True
    states: list[bool | None] = []
    for ref in signal.terms:
        sender = piece.parts[ref.part]
        if not isinstance(sender, Sender):
            return True
        is_free = not sender.hears_no_hand()
        turned_by = sender.turned_by(piece.parts)
        is_moved = turned_by and trains.turning_part(piece.parts, turned_by) in moved
        states.append(None if is_free or is_moved else sender.is_closed_at(ref.point, piece))
    return signal.could_hold(states)


def _moved_by(parts: Mapping[str, Part], drives: set[str]) -> set[str]:
    """Parts that some drives turn, straight or through whatever couples or touches: all that is not known to stand apart from them."""
    neighbours: dict[str, set[str]] = {}
    for name, part in parts.items():
        wires = {ref.part for ref in references(getattr(part, "signal", None))}
        for ref in references(part):
            if ref.part in parts and ref.part not in wires:
                neighbours.setdefault(name, set()).add(ref.part)
                neighbours.setdefault(ref.part, set()).add(name)
    reached = set(drives)
    todo = list(drives)
    while todo:
        for name in neighbours.get(todo.pop(), ()):
            if name not in reached:
                reached.add(name)
                todo.append(name)
    return reached | {trains.turning_part(parts, name) for name in reached}
