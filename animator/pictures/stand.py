"""A piece on its page: drawing and cabinet put together, what stands still drawn once, what moves drawn over it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import TYPE_CHECKING, Any

from animator.parts._contract import Turns
from animator.pictures import palette, plate, roundabout
from animator.pictures.backdrops import Ground, ground_of
from animator.pictures.drawing import Drawing
from animator.pictures.ink import Canvas, Layer, Sheet, box, disc, join, poly, skia
from animator.pictures.moment import Mark, Moment
from animator.pictures.plate import Board, Cabinet, back_board
from animator.pictures.readings import count
from animator.pictures.shapes import NATURAL
from animator.pictures.stuff import Piece, Stuffs

if TYPE_CHECKING:
    from animator.motion.motion import Motion

FAR = 1e5  # design units; beyond every sheet
MARGIN = 13.0  # mm of board round what lies on it
SHADOW = 40.0  # design units; no shadow of a moving part falls farther
BASE = 26.0  # design units; height of the cabinet's base


@dataclass
class Step:
    """Something drawn, whether it never changes, and whose it is ('' for the cabinet's)."""

    draw: Callable[[Canvas, Moment], None]
    is_still: bool
    part: str = ""


class Stand:
    """A piece at a place of a sheet.

    Upright pieces stand in their cabinet. A piece that lies flat is seen from above on a board; if it carries figures round, these are seen
    from the side above the fold of the sheet, each over its place below.

    Parameters
    ----------
    motion
        What was recorded.
    stuffs
        Materials.
    middle, foot
        Where the middle of the piece and its lower edge stand.
    room
        Greatest width and height it may take, its moving parts included.
    title
        For the name plate, the back board and its stencil.
    most
        Greatest scale. [design units a millimetre]
    per_mm
        Scale; None chooses it.
    extent
        Corners of the board, to have several alike: left, low, right, high [mm]; None takes what this one needs.
    is_labelled
        Whether a board says that it is seen from above.
    ground
        The backdrop whose light it stands in; None: the bench by day.
    since
        Moment from which what turns level is counted, its bar then shown pale; None shows none. [s]
    is_told
        Whether a roundabout's roof shows what was lost.
    """

    def __init__(
        self,
        motion: Motion,
        stuffs: Stuffs,
        middle: float,
        foot: float,
        room: tuple[float, float],
        title: str,
        most: float = 2.9,
        per_mm: float | None = None,
        extent: tuple[float, float, float, float] | None = None,
        is_labelled: bool = True,
        ground: Ground | None = None,
        since: float | None = None,
        is_told: bool = True,
    ) -> None:
        self.is_told = is_told
        self.motion, self.stuffs, self.middle, self.foot = motion, stuffs, middle, foot
        self.ground = ground or ground_of("bench")
        scene = motion.scene
        self.found = roundabout.find(scene)
        trial = Drawing(motion, stuffs, NATURAL)
        self.is_flat = trial.setting.kind == "board" or self.found is not None
        left_out: set[str] = set()
        if self.is_flat and self.found is not None:
            left_out = {self.found.wheel, *(name for name, _ in self.found.riders)}
            trial = Drawing(motion, stuffs, NATURAL, left_out)
        paints = [
            palette.paint(shape.paint)
            for part in scene.parts.values()
            if part.artwork is not None
            for shape in part.artwork.shapes
        ]
        self.board, stencil = back_board(title, paints)
        self.extent = extent or self._extent(trial)
        self.k = per_mm or self._scale(trial, room, most)
        self.drawing = Drawing(motion, stuffs, self.k, left_out, since=since)
        self.ride: roundabout.Roundabout | None = None
        if self.is_flat:
            left, low, right, high = (v * self.k for v in self.extent)
            self.base: Cabinet | Board = Board(
                (left, -high, right, -low), stuffs, title, is_labelled
            )
            self.x, self.y = middle - (left + right) / 2, foot + low
            self.half = (right - left) / 2
            self.fold_y = foot - (high - low)
            self.top = self.fold_y
            if self.found is not None:
                tally = count(motion)
                seconds = max(float(motion.times[-1] - motion.times[motion.begins]), 1e-3)
                gores = roundabout.gores_for(float(tally.due[-1]) / seconds)
                self.ride = roundabout.Roundabout(
                    scene, self.found, stuffs, self.found.radius * self.k, gores
                )
                self.ride_at = (
                    self.drawing.units(self.drawing.first.point(self.found.wheel))[0],
                    self.fold_y - foot - low - 22 * self.ride.size,
                )
                self.top = self.fold_y - 190 * self.ride.size
            self.steps = self._flat_steps()
        else:
            self.base = cabinet = Cabinet(
                self.drawing.setting,
                self.k,
                stuffs,
                title.upper(),
                scene.frame.stuff,
                scene.frame.thickness,
                self.board,
                stencil,
            )
            self.x, self.y = middle - cabinet.w / 2, foot
            self.half, self.top = cabinet.w / 2 + cabinet.overhang, foot + cabinet.top
            self.works, self.acting, self.front = self._sort(cabinet)
            self.steps = self._cabinet_steps(cabinet)
        self._layers: dict[int, Layer] = {}
        self._first = 0

    @property
    def is_stage(self) -> bool:
        """True if figures stand on the cabinet."""
        return isinstance(self.base, Cabinet) and self.base.is_stage

    @property
    def high(self) -> float:
        """Sheet height of the highest place anything ever reaches."""
        if self.is_flat:
            return self.top
        return min(self.top, self.foot - self.drawing.setting.high[1] * self.k)

    def _extent(self, trial: Drawing) -> tuple[float, float, float, float]:
        """Corners of the board a flat piece needs. [mm]"""
        low, high = trial.setting.low, trial.setting.high
        left, right = low[0] - MARGIN, high[0] + MARGIN
        if self.found is not None:
            x = trial.first.point(self.found.wheel)[0]
            reach = self.found.radius * 1.08
            left, right = min(left, x - reach), max(right, x + reach)
        return left, low[1] - MARGIN, right, high[1] + MARGIN

    def _scale(self, trial: Drawing, room: tuple[float, float], most: float) -> float:
        """Choose the scale at which a piece fits its room. [design units a millimetre]"""
        if self.is_flat:
            left, low, right, high = self.extent
            tall = (
                high - low + (self.found.radius * 190 / 118 if self.found is not None else 0.0)
            )
            return min(most, room[0] / (right - left), room[1] / tall)
        setting = trial.setting
        top = max(setting.level + 8, setting.high[1])
        wide = max(
            setting.width * 1.13,
            2 * (setting.high[0] - setting.width / 2),
            2 * (setting.width / 2 - setting.low[0]),
        )
        return min(most, room[0] / wide, (room[1] - BASE) / top)

    # ------------------------------------------------------------ order
    def _sort(self, cabinet: Cabinet) -> tuple[list[Mark], list[Mark], list[Mark]]:
        """Share the marks out: in the works, on the stage, in front of it all. What goes through the stage is in both."""
        works: list[Mark] = []
        acting: list[Mark] = []
        front: list[Mark] = []
        line, under = self.drawing.setting.level, -cabinet.inside_top / self.k
        parts = self.motion.scene.parts
        for mark in self.drawing.marks:
            if mark.depth[0] >= 1e6:
                front.append(mark)
                continue
            if not cabinet.is_stage:
                works.append(mark)
                continue
            low, high = self.drawing.sweep([mark])
            # a painted wheel that goes round through the stage shows its lower half in the works; a figure that dips doesn't
            is_figure = mark.sort == "figure" and not hasattr(parts.get(mark.part), "radius")
            if low[1] < under - 1 and not (is_figure and high[1] > line + 5):
                works.append(mark)
            is_hung_below = mark.sort in ("bush", "coil", "post") and low[1] < line
            if high[1] > line + 1.5 and not is_hung_below:
                acting.append(mark)
        return works, acting, front

    def _cabinet_steps(self, cabinet: Cabinet) -> list[Step]:
        steps = [Step(lambda c, moment: cabinet.draw_back(c), True)]
        left, top, right, foot = cabinet.inside
        low, high = self.drawing.sweep(self.works) if self.works else ((0.0, 0.0), (0.0, 0.0))
        is_inside = low[0] * self.k > left - 1 and high[0] * self.k < right + 1
        inside = (
            left if is_inside else -FAR,
            top if cabinet.is_stage else -FAR,
            right if is_inside else FAR,
            foot if is_inside else FAR,
        )
        steps += [
            Step(self._clipped(mark, inside, True), True, mark.part)
            for mark in self.works
            if mark.casts_still
        ]
        steps += [
            Step(self._clipped(mark, inside), mark.is_still, mark.part) for mark in self.works
        ]
        self.below = len(steps)  # so many of them lie under the stage
        if cabinet.is_stage:
            both = {id(mark) for mark in self.works}
            dips = self._dips()
            dress = cabinet.dress(
                [x * self.k for x, _, _, _ in self.drawing.guides], dips.values()
            )
            steps.append(Step(lambda c, moment: cabinet.draw_lid(c, dress), True))
            # what comes through the stage shows above its hole; what stands on it, down to its front edge
            posts, is_plain = self._posts(cabinet), self.stuffs.is_plain

            def stand_posts(c: Canvas, moment: Moment) -> None:
                for post in posts:
                    post.draw(c, None, is_plain)

            steps.append(Step(stand_posts, True))
            above, on_it = (-FAR, -FAR, FAR, cabinet.line + 1.5), (-FAR, -FAR, FAR, cabinet.lid)
            for mark in self.acting:
                comes_through = id(mark) in both or mark.part in dips
                clip = above if comes_through else on_it if mark.is_still else None
                steps.append(Step(self._clipped(mark, clip), mark.is_still, mark.part))
        return steps + [
            Step(self._clipped(mark, None), mark.is_still, mark.part) for mark in self.front
        ]

    def _dips(self) -> dict[str, tuple[float, float]]:
        """Figures that come up through the stage and go down again: (middle, half width) of each hole. [design units]"""
        line, k = self.drawing.setting.level, self.k
        dips = {}
        for name in {mark.part for mark in self.acting if mark.sort == "figure"}:
            marks = [mark for mark in self.acting if mark.part == name and not mark.is_still]
            if not marks:
                continue
            low, high = self.drawing.sweep(marks)
            if low[1] < line - 1.5 < high[1]:
                dips[name] = ((low[0] + high[0]) / 2 * k, (high[0] - low[0]) / 2 * k)
        return dips

    def _posts(self, cabinet: Cabinet) -> list[Piece]:
        """Give what turns in the frame above the stage a post to stand on it, behind the part."""
        posts = []
        for part in self.motion.scene.parts.values():
            held = part.held()
            if (
                not isinstance(held, Turns)
                or part.name not in self.motion.frames
                or part.name in self.drawing.across
                or getattr(part, "flies", False)  # it only lies there until it is thrown
            ):
                continue
            ref = getattr(held.at, "ref", None)
            carrier = self.motion.scene.parts.get(ref.part) if ref is not None else None
            if carrier is not None and carrier.artwork is not None:
                continue  # a limb: the figure it is pinned to stands on the stage itself
            x, y = self.drawing.units(self.drawing.start_of(held.at))
            tall = cabinet.line - y
            if tall < 4 * self.k:
                continue
            head, waist, foot = 5.0 * self.k, 3.6 * self.k, 6.5 * self.k
            shape = join(
                disc(x, y, head),
                poly(
                    [
                        (x - waist, y),
                        (x + waist, y),
                        (x + foot, cabinet.line),
                        (x - foot, cabinet.line),
                    ]
                ),
                box(x - 1.5 * foot, cabinet.line - 2.4 * self.k, 3 * foot, 2.4 * self.k, 1.5),
            )
            posts.append(Piece(shape, self.stuffs.face("walnut", shape, 90), 1.3, 4))
        return posts

    def _flat_steps(self) -> list[Step]:
        board = self.base
        assert isinstance(board, Board)
        steps = [Step(lambda c, moment: board.draw(c), True)]
        ride = self.ride
        if ride is not None:
            steps.append(Step(lambda c, moment: self._at_ride(c, ride.draw_floor), True))
        steps += [
            Step(self._clipped(mark, None, True), True, mark.part)
            for mark in self.drawing.marks
            if mark.casts_still
        ]
        steps += [
            Step(self._clipped(mark, None), mark.is_still, mark.part)
            for mark in self.drawing.marks
        ]
        if ride is not None and self.found is not None:
            steps.append(
                Step(
                    lambda c, moment: self._at_ride(
                        c, lambda k: ride.draw(k, *self.turned(moment))
                    ),
                    False,
                    self.found.wheel,
                )
            )
        return steps

    def _at_ride(self, c: Canvas, draw: Callable[[Canvas], None]) -> None:
        c.save()
        c.translate(*self.ride_at)
        draw(c)
        c.restore()

    def turned(self, moment: Moment) -> tuple[float, float | None]:
        """How far the platform has turned since the end of the start-up, and how far it ought to have; None where nothing can lag. [rad]"""
        assert self.found is not None
        got = roundabout.turned_by(moment, self.found.wheel)
        body = self.motion.frames[self.found.wheel][0]
        for slip in self.motion.slips.values() if self.is_told else ():
            if self.motion.frames[slip.driven][0] == body:
                b = self.motion.begins
                lost = (
                    moment.of(slip.due) - slip.due[b] - moment.of(slip.got) + slip.got[b]
                ) / slip.radii[1]
                return got, got + lost
        return got, None

    @staticmethod
    def _clipped(
        mark: Mark, rect: tuple[float, float, float, float] | None, is_shadow: bool = False
    ) -> Callable[[Canvas, Moment], None]:
        """Draw a mark inside a rectangle, with its shadow unless that lies still by itself; ``is_shadow``: only the shadow."""

        def draw(c: Canvas, moment: Moment) -> None:
            if rect is not None:
                c.save()
                c.clipRect(skia.Rect.MakeLTRB(*rect))
            if mark.shadow is not None and mark.casts_still == is_shadow:
                mark.shadow(c, moment)
            if not is_shadow:
                mark.draw(c, moment)
            if rect is not None:
                c.restore()

        return draw

    # ------------------------------------------------------------ drawing
    def moment(self, t: float) -> Moment:
        """Where everything is at a time."""
        return self.drawing.moment(t)

    def settle(self, sheet: Sheet, view: Any = None) -> None:
        """Draw what lies still under everything that moves onto the sheet, and keep what lies still over it as layers.

        ``view``: matrix through which a camera sees it, already on the sheet's canvas; None for the page as it is.
        """
        self._first, self._layers = 0, {}
        still = self.drawing.first
        with self.ground.lamp(sheet.canvas):
            while self._first < len(self.steps) and self.steps[self._first].is_still:
                self._at(sheet.canvas, still, [self.steps[self._first]])
                self._first += 1
        i = self._first
        while i < len(self.steps):
            j = i
            while j < len(self.steps) and self.steps[j].is_still:
                j += 1
            if j > i:
                run = self.steps[i:j]

                def draw(c: Canvas, run: Sequence[Step] = run) -> None:
                    if view is not None:
                        c.concat(view)
                    self._at(c, still, run)

                self._layers[i] = Layer(sheet.w, sheet.h, sheet.unit, draw)
            i = max(j, i + 1)

    def _at(self, c: Canvas, moment: Moment, steps: Sequence[Step]) -> None:
        c.save()
        c.translate(self.x, self.y)
        for step in steps:
            step.draw(c, moment)
        c.restore()

    def moving(self, c: Canvas, moment: Moment) -> None:
        """Draw what moves, and what lies still over it."""
        c.save()
        c.translate(self.x, self.y)
        with self.ground.lamp(c, bounds=self._moving_room):
            i = self._first
            while i < len(self.steps):
                if i in self._layers:
                    self._layers[i].lay(c)
                    while i < len(self.steps) and self.steps[i].is_still:
                        i += 1
                    continue
                self.steps[i].draw(c, moment)
                i += 1
        c.restore()

    @cached_property
    def _moving_room(self) -> tuple[float, float, float, float] | None:
        """Room of all that moves and of what lies still over it, its shadows too; None where that is the whole sheet. [design units from the origin]"""
        if self.is_flat or not self.ground.is_lit:
            return None
        low, high = self.drawing.setting.low, self.drawing.setting.high
        cabinet = self.base
        assert isinstance(cabinet, Cabinet)
        return (
            min(low[0] * self.k, -cabinet.overhang) - SHADOW,
            min(-high[1] * self.k, cabinet.top) - SHADOW,
            max(high[0] * self.k, cabinet.w + cabinet.overhang) + SHADOW,
            max(-low[1] * self.k, 0.0) + SHADOW,
        )

    def draw(self, c: Canvas, moment: Moment) -> None:
        """Draw everything as it comes: for pictures drawn once, and for paper."""
        with self.ground.lamp(c):
            self._at(c, moment, self.steps)

    def draw_with_ghost(
        self, c: Canvas, moment: Moment, before: Moment, names: Iterable[str], alpha: int = 82
    ) -> None:
        """Draw everything in its order, under some parts a pale ghost of where they were before."""
        chosen = set(names)
        for is_chosen, run in groupby(self.steps, lambda step: step.part in chosen):
            steps = list(run)
            if is_chosen:
                c.saveLayerAlpha(None, alpha)
                self._at(c, before, steps)
                c.restore()
            self._at(c, moment, steps)

    def draw_through(
        self, c: Canvas, moment: Moment, filtered: Any, kept: Iterable[str]
    ) -> None:
        """Draw everything in its order through a paint that filters colours, except some parts, which keep theirs."""
        chosen = set(kept)
        with self.ground.lamp(c):
            self._filtered(c, moment, filtered, chosen)

    def _filtered(self, c: Canvas, moment: Moment, filtered: Any, chosen: set[str]) -> None:
        for is_kept, run in groupby(self.steps, lambda step: step.part in chosen):
            if not is_kept:
                c.saveLayer(None, filtered)
            self._at(c, moment, list(run))
            if not is_kept:
                c.restore()

    def on_sheet(self, point: tuple[float, float]) -> tuple[float, float]:
        """Take a place of the scene [mm] onto the sheet."""
        return self.x + point[0] * self.k, self.y - point[1] * self.k

    def backdrop(self, c: Canvas, reach: float = 230.0, least: float = 34.0) -> None:
        """Draw the printed sun behind the piece; for a flat one also the fold of the sheet and its words."""
        if self.ground.disc is None:
            return
        (hue, ground), is_plain = self.ground.disc, self.stuffs.is_plain
        if self.is_flat:
            if self.ride is not None:
                plate.sun(
                    c,
                    self.x + self.ride_at[0],
                    self.fold_y - 88 * self.ride.size,
                    min(108 * self.ride.size, reach),
                    ground,
                    is_plain,
                    hue=hue,
                )
            return
        cabinet = self.base
        assert isinstance(cabinet, Cabinet)
        if cabinet.is_stage:
            r = max(120.0, min(0.47 * cabinet.w, reach))
            line = self.foot + cabinet.line
            y = max(line - max(0.30 * r, min(line - self.high - 0.55 * r, 0.55 * r)), r + least)
        else:
            r = min(0.42 * cabinet.w, reach)
            y = max(self.top + 0.42 * r, r + least)
        plate.sun(c, self.middle - 4, y, r, ground, is_plain, hue=hue)
