"""A scene shown as it is drawn: its run is made by one helper, its pictures by another, and the window goes on answering.

Until the run is there, the piece is shown as it stands at the start: settled, nothing turned yet.
"""

from __future__ import annotations

import mmap
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from animator.motion.motion import Motion
from animator.motion.recording import Recorder
from animator.screens.errand import CAN_FORK, Errand, Helper, cores
from animator.screens.window import Pixels
from animator.world.building import build
from animator.world.stepping import End, settle

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.scene.model import Scene

Look = Literal["client", "bench"]
FPS = 60.0
SLOTS = 4  # pictures: one on the screen, one waiting, two being drawn or asked for
AHEAD = 2  # pictures asked for before their time
DRAFT_HEIGHT = 360  # px
USUAL = 0.8  # share of what was before that stays in the running mean of the drawing time
REST = 0.9  # of the time between two pictures that drawing may take


def first_pose(scene: Scene) -> Motion:
    """Record a piece as it stands when everything that hangs has come to rest."""
    world = build(scene)
    settle(world)
    recorder = Recorder(world)
    recorder.take(0.0)
    return recorder.motion(End("finished", "", 0.0), 0)


def run_and_examined(scene: Scene, is_draft: bool) -> tuple[Motion, Report]:
    """Run a scene and say what it shows. The scene itself is left out: whoever asks has it."""
    from animator.findings.examining import examine
    from animator.motion.running import run

    motion = run(scene, turns=1.0 if is_draft and _has_drive(scene) else None)
    report = examine(motion, mend=() if is_draft else ("jam", "stall"))
    return replace(motion, scene=None), report  # type: ignore[arg-type]


def _has_drive(scene: Scene) -> bool:
    return any(getattr(part, "is_drive", False) for part in scene.parts.values())


class PieceReel:
    """A scene that is drawn while it is shown.

    Parameters
    ----------
    scene
        Assembled.
    look
        ``client`` or ``bench``; None chooses.
    is_draft
        One turn, in a small picture: to see whether it goes at all.
    backdrop
        What it stands on.
    apart
        Draw in a process of its own; None: where there is more than one core.
    """

    has_looks = True

    def __init__(
        self,
        scene: Scene,
        look: Look | None = None,
        is_draft: bool = False,
        backdrop: str | None = None,
        apart: bool | None = None,
    ) -> None:
        self.scene, self.look, self.is_draft, self.backdrop = scene, look, is_draft, backdrop
        self.apart = (CAN_FORK and cores() > 1) if apart is None else apart
        self.rounds = self.dropped = 0
        self._errand: Errand | None = Errand(partial(run_and_examined, scene, is_draft))
        self._motion: Motion | None = None
        self._report: Report | None = None
        self._size = (0, 0)
        self._painter: Painter | None = None
        self._began: float | None = None
        self._first: Pixels | None = None
        self._shown: int | None = None
        self._asked: int | None = None

    @property
    def is_running(self) -> bool:
        """Whether the run is there, so that what is shown moves."""
        return self._motion is not None

    # ------------------------------------------------------------ size and look
    def fit(self, size: tuple[int, int], at: float) -> None:
        """Draw for a window of another size."""
        if self.is_draft:
            k = min(1.0, DRAFT_HEIGHT / min(size))
            size = round(size[0] * k), round(size[1] * k)
        if size == self._size:
            return
        self._size = size
        if self._motion is None:
            self._draw_first()
        else:
            self._begin_painter()

    def switch_look(self, at: float) -> None:
        """Show the other look."""
        if self._painter is None or self._painter.look is None:
            return
        self.look = "bench" if self._painter.look == "client" else "client"
        self._begin_painter()

    def _draw_first(self) -> None:
        from animator.pictures.pages.client import ClientPage

        page = ClientPage(first_pose(self.scene), self._size, backdrop=self.backdrop or "bench")
        page.draw(0.0, 0.0)
        self._first = page.sheet.array

    def _begin_painter(self) -> None:
        if self._painter is not None:
            self._painter.close()
        self._shown = self._asked = None
        self._painter = Painter(self._film, self._size, self.apart)

    def _film(self) -> Any:
        from animator.pictures.film import Film

        assert self._motion is not None
        return Film(
            self._motion, self.scene, self._report, self.look, self._size, FPS,
            style="rich", backdrop=self.backdrop,
        )  # fmt: skip

    # ------------------------------------------------------------ pictures
    def picture(self, at: float) -> Pixels | None:
        """Give the picture of a moment, or None where the one before still holds."""
        if self._first is not None:
            first, self._first = self._first, None
            return first
        if self._errand is not None:
            if not self._errand.is_done():
                return None
            motion, self._report = self._errand.answer()
            self._errand = None
            self._motion = replace(motion, scene=self.scene)
            self._begin_painter()
        painter = self._painter
        assert painter is not None
        painter.collect()
        if painter.distinct is None:
            return None
        if self._began is None:
            self._began = at
        due = self._index(at)
        found = self._due_picture(painter, due)
        self._ask(painter, due)
        return found

    def _index(self, at: float) -> int:
        assert self._painter is not None
        assert self._began is not None
        # a hair more, so that a moment told by next_at is that picture's
        number = int((at - self._began) * FPS + 1e-6)
        return number - number % self._painter.stride

    def _due_picture(self, painter: Painter, due: int) -> Pixels | None:
        ready = sorted(
            index for index in painter.drawn if index <= due and index != self._shown
        )
        if not ready:
            return None
        *late, newest = ready
        for index in late:
            painter.give_back(index)
        if self._shown is not None:
            painter.give_back(self._shown)
            self.dropped += max(0, (newest - self._shown) // painter.stride - 1)
        self._shown = newest
        assert painter.distinct is not None
        self.rounds = newest // painter.distinct
        return painter.drawn[newest]

    def _ask(self, painter: Painter, due: int) -> None:
        stride = painter.stride
        first = due if self._shown is None else due + stride
        following = first if self._asked is None else max(self._asked + stride, first)
        while painter.has_room and following <= due + AHEAD * stride:
            painter.ask(following)
            self._asked = following
            following += stride

    def next_at(self) -> float | None:
        """When the next picture is due. [s]"""
        if self._painter is None or self._began is None or self._shown is None:
            return None
        return self._began + (self._shown + self._painter.stride) / FPS

    def is_at_seam(self, at: float) -> bool:
        """Whether the next picture begins a new round."""
        painter = self._painter
        if painter is None or painter.distinct is None or self._shown is None:
            return False
        return self._index(at) // painter.distinct > self.rounds

    def close(self) -> None:
        """Let go of the helpers."""
        if self._errand is not None:
            self._errand.stop()
            self._errand = None
        if self._painter is not None:
            self._painter.close()
            self._painter = None


class Painter:
    """Draws pictures of a film when asked, in a process of its own where that pays.

    Parameters
    ----------
    make
        Makes the film; called where it is drawn.
    size
        Of the pictures. [px]
    apart
        In a process of its own.

    Attributes
    ----------
    distinct : int, optional
        After how many pictures the film comes round; None before the film is made.
    stride : int
        Every how manieth picture there is time to draw.
    drawn : dict
        Pictures ready, by their number.
    """

    def __init__(self, make: Callable[[], Any], size: tuple[int, int], apart: bool) -> None:
        self.distinct: int | None = None
        self.look: Look | None = None
        self.stride = 1
        self.drawn: dict[int, Pixels] = {}
        self.seconds = 0.0
        self._slot_of: dict[int, int] = {}
        self._free = list(range(SLOTS))
        memory = mmap.mmap(-1, SLOTS * size[0] * size[1] * 4)
        self._slots = np.frombuffer(memory, np.uint8).reshape(SLOTS, size[1], size[0], 4)
        self._film: Any = None
        self._helper: Helper | None = None
        if apart:
            self._helper = Helper(partial(_paint, make, self._slots))
        else:
            self._film = make()
            self.distinct, self.look = self._film.distinct, self._film.look

    @property
    def has_room(self) -> bool:
        """Whether another picture can be asked for."""
        return bool(self._free)

    def ask(self, index: int) -> None:
        """Have a picture drawn."""
        slot = self._free.pop()
        self._slot_of[index] = slot
        if self._helper is not None:
            self._helper.pipe.send((index, slot))
            return
        start = time.perf_counter()
        np.copyto(self._slots[slot], self._film.frame(index % self._film.distinct))
        self._note(index, time.perf_counter() - start)

    def collect(self) -> None:
        """See what has been drawn since."""
        while self._helper is not None and self._helper.pipe.poll(0):
            try:
                answer = self._helper.pipe.recv()
            except EOFError:
                raise RuntimeError("the process that draws has ended") from None
            if isinstance(answer, BaseException):
                raise answer
            if self.distinct is None:
                self.distinct, self.look = answer
            else:
                self._note(*answer)

    def _note(self, index: int, seconds: float) -> None:
        self.drawn[index] = self._slots[self._slot_of[index]]
        self.seconds = (
            seconds if not self.seconds else USUAL * self.seconds + (1 - USUAL) * seconds
        )
        need = self.seconds * FPS
        # slower at once, quicker only when there is time to spare: a picture rate that wavers is worse than a low one
        if need > self.stride or need < REST * (self.stride - 1):
            self.stride = max(1, int(np.ceil(need)))

    def give_back(self, index: int) -> None:
        """Let a picture be drawn over."""
        self.drawn.pop(index, None)
        self._free.append(self._slot_of.pop(index))

    def close(self) -> None:
        """Let go of the process."""
        if self._helper is not None:
            self._helper.stop()
            self._helper = None


def _paint(make: Callable[[], Any], slots: Pixels, pipe: Connection) -> None:
    film = make()
    pipe.send((film.distinct, film.look))
    while True:
        index, slot = pipe.recv()
        start = time.process_time()
        np.copyto(slots[slot], film.frame(index % film.distinct))
        pipe.send((index, time.process_time() - start))
