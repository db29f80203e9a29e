"""The page of a piece that is being turned: the piece as it is now, and what happens to it marked where it happens."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from animator.findings.thresholds import FLOAT_GAP, SLIP_SHARE, WEDGE_SHARE
from animator.geometry import Point
from animator.pictures import marks, palette, plate
from animator.pictures.backdrops import ground_of
from animator.pictures.ink import Canvas, Sheet, box, fill, skia, stroke
from animator.pictures.lettering import block, fit, letter, wrap
from animator.pictures.moment import Moment
from animator.pictures.pages.client import frames_flat
from animator.pictures.pages.easing import eased
from animator.pictures.pages.words import title, title_size
from animator.pictures.readings import effort, over_turn
from animator.pictures.stand import Stand
from animator.pictures.stuff import Stuffs
from animator.screens.live import LiveMotion
from animator.screens.piece_reel import Look
from animator.screens.window import Pixels

if TYPE_CHECKING:
    from animator.motion.motion import Contact, Motion
    from animator.screens.workbench import State

NEWTON = 1e6  # g mm/s^2
CALM = 0.2  # s between two changes of a figure
STUCK_AFTER = 0.3  # s of standing though it is pushed as hard as can be
SLIP_TIME = 0.25  # s over which it is seen whether a belt slips now
SLOW = 0.95  # of the true pace; slower is told
NOTICED = 0.6  # s a mark stays once what it says is over
SLIP_NOW = 3 * SLIP_SHARE  # of what is due; creep alone isn't worth a mark that comes and goes


@dataclass
class Sign:
    """A mark that is up: what it says, where [mm] and until when [s]."""

    code: str
    at: Point
    until: float


class TurnPage:
    """The piece as it is now.

    Parameters
    ----------
    live
        The motion whose last sample is now.
    drive
        Name of the drive that is turned.
    size
        Width and height. [px]
    look
        ``client``: the piece, and only what whoever turns it must know; ``bench``: also the dial and every mark.
    backdrop
        What it stands on.
    """

    def __init__(
        self,
        live: LiveMotion,
        drive: str,
        size: tuple[int, int],
        look: Look = "client",
        backdrop: str | None = None,
    ) -> None:
        self.live, self.look = live, look
        self.motion: Motion = live.motion
        self.drive = next(each for each in self.motion.drives if each.name == drive)
        self.has_handle = self.drive.radius > 0
        self.ground = ground_of(backdrop or "bench")
        self.stuffs = Stuffs(False)
        is_tall = size[0] < 1.05 * size[1]
        self.sheet = Sheet(*size, unit=size[0] / 640.0 if is_tall else size[1] / 720.0)
        w, h = self.sheet.w, self.sheet.h
        self.is_tall = is_tall
        flat = frames_flat(self.motion)
        if is_tall:
            middle, foot, room = w / 2, h - 210.0, (w - 60, h - 400.0)
        else:
            middle, foot = 0.64 * w, h - (52.0 if flat else 80.0)
            room = 0.58 * w, h - (110.0 if flat else 124.0)
        self.stand = Stand(
            self.motion, self.stuffs, middle, foot, room, self.motion.scene.title,
            9.0 if is_tall else 2.9, ground=self.ground, is_told=False,
        )  # fmt: skip
        left = self.stand.middle - self.stand.half
        self.column = (44.0, w - 88) if is_tall else (56.0, max(min(330.0, left - 86), 210.0))
        self.dial = self._dial()
        self.signs: list[Sign] = []
        self._slips: dict[str, tuple[float, float, float, float]] = {}
        self._said = ("", "")
        self._said_at = -math.inf
        self._card_share, self._card_code = 0.0, ""
        self._asked = self._gone = -math.inf
        self._still()

    # ------------------------------------------------------------ places
    @property
    def middle(self) -> tuple[float, float]:
        """Where the shaft that is turned stands in the picture. [px]"""
        return self._px(self._moment().point(self.drive.shaft))

    @property
    def knob(self) -> tuple[float, float]:
        """Where the knob is in the picture; the shaft for a motor. [px]"""
        if not self.has_handle:
            return self.middle
        return self._px(self._moment().point(self.drive.name, "knob"))

    def _px(self, point: Point) -> tuple[float, float]:
        x, y = self.stand.on_sheet(point)
        return x * self.sheet.unit, y * self.sheet.unit

    def _moment(self) -> Moment:
        return self.stand.moment(self.live.now)

    # ------------------------------------------------------------ what stands still
    def _dial(self) -> marks.Dial | None:
        if self.look != "bench" or self.is_tall or not self.has_handle:
            return None
        shown = effort(self.motion)
        if shown is None or self.motion.drive is not self.drive:
            return None
        turn = over_turn(self.motion, shown.values, 0.0, float(self.motion.times[-2]))
        limit = float(self.drive.ceiling[0]) / self.drive.radius / NEWTON
        r = min(112.0, self.column[1] / 2 - 34)
        return marks.Dial(r, turn, self.stuffs, (), None, limit, -self.drive.sense)

    def _still(self) -> None:
        c, s, stand, ground = self.sheet.canvas, self.stuffs, self.stand, self.ground
        w, h = self.sheet.w, self.sheet.h
        ground.wall(c, w, h, s, palette.KRAFT if self.look == "bench" else palette.PAPER, True)
        if self.look == "client":
            stand.backdrop(c)
        if stand.ride is not None and ground.has_wall:
            fold_from = 26.0 if self.is_tall else stand.middle - stand.half - 22
            plate.fold(c, fold_from, w - 26, stand.fold_y, s.is_plain, ground.is_lit)
        elif not stand.is_flat:
            ground.bench(c, w, h, stand.foot - 52, s)
        self._words(c)
        if self.dial is not None:
            x, y = self._dial_at()
            wide = self.column[1]
            marks.card(c, self.column[0], y - self.dial.r - 46, wide, 2 * self.dial.r + 132)
            self.dial.still(c, x, y)
        stand.settle(self.sheet)
        self.sheet.keep()

    def _dial_at(self) -> tuple[float, float]:
        assert self.dial is not None
        return self.column[0] + self.column[1] / 2, 214.0 + self.dial.r

    def _words(self, c: Canvas) -> None:
        scene, ground = self.motion.scene, self.ground
        x, room = self.column
        if self.is_tall:
            size, y = title_size(scene.title, room, 52, 34, 2), 58.0
        else:
            most = 40.0 if self.dial is not None else 54.0
            size, y = title_size(scene.title, room, most, 30, 3), 62.0
        y, _ = title(
            c, scene.title, x, y + 0.8 * size, room, size, ground.words, ground.ampersand[0]
        )
        self.figures_at = y + 50
        if self.look == "client":
            c.drawLine(x, y + 24, x + min(room, 240), y + 24, stroke(ground.soft, 1.6))
            size, lines = (25.0, 3) if self.is_tall else (23.0, 6)
            block(
                c, scene.about, x, y + 60, room, "text", size, 1.36, fill(ground.words), lines
            )

    # ------------------------------------------------------------ now
    def draw(self, state: State, idle: float, clock: float) -> Pixels:
        """Draw the piece as it stands.

        Parameters
        ----------
        state
            How it stands.
        idle
            For how long nobody has touched it. [s]
        clock
            What time it is. [s]
        """
        self.live.put(state.row)
        self.sheet.fresh()
        c, moment = self.sheet.canvas, self._moment()
        self.stand.moving(c, moment)
        is_stuck = state.stuck_for > STUCK_AFTER
        self._notice(state, moment, clock, is_stuck)
        for sign in self.signs:
            x, y = self.stand.on_sheet(sign.at)
            marks.tag(c, x + 22, y - 26, sign.code, size=22)
            marks.thread(c, x + 22, y - 26, sign.code, (x, y))
        if self.look == "bench":
            self._instruments(c, state, clock)
        self._card(c, state, idle, clock, is_stuck)
        return self.sheet.array

    def _notice(self, state: State, moment: Moment, clock: float, is_stuck: bool) -> None:
        """Put up and take down marks."""
        self.signs = [sign for sign in self.signs if sign.until > clock]
        if is_stuck:
            code, at = self._held_by(moment)
            self._put_up(code, at, clock + 0.05)
        for name, slip in self.motion.slips.items():
            due, got = moment.of(slip.due), moment.of(slip.got)
            since, due_then, got_then, share = self._slips.get(name, (clock, due, got, 0.0))
            if clock - since > SLIP_TIME:
                way = abs(due - due_then)
                share = 1 - abs(got - got_then) / way if way > 0.5 else 0.0
                since, due_then, got_then = clock, due, got
            self._slips[name] = since, due_then, got_then, share
            if share > SLIP_NOW:
                x, y = moment.point(slip.driven)
                self._put_up("slip", (x, y + 0.8 * slip.radii[1]), clock + NOTICED)
        if self.look == "bench":
            for contact in self.motion.contacts.values():
                if contact.is_meant and moment.of(contact.gap) > FLOAT_GAP:
                    at = moment.of(contact.point[:, 0]), moment.of(contact.point[:, 1])
                    self._put_up("float", at, clock + NOTICED)

    def _put_up(self, code: str, at: Point, until: float) -> None:
        self.signs = [sign for sign in self.signs if sign.code != code]
        self.signs.append(Sign(code, at, until))

    def _held_by(self, moment: Moment) -> tuple[str, Point]:
        """What holds a piece that stands: a stem wedged in its guide, or a load that is too heavy."""
        worst: tuple[float, Contact] | None = None
        for guide in self.motion.contacts.values():
            if guide.kind != "guide":
                continue
            pushes = [
                moment.of(other.normal)
                for other in self.motion.contacts.values()
                if other.kind == "cam" and guide.second in (other.first, other.second)
            ]
            share = moment.of(guide.friction) / max(sum(pushes), 1.0) if pushes else 0.0
            if share > WEDGE_SHARE / 2 and (worst is None or share > worst[0]):
                worst = share, guide
        if worst is not None:
            # at the mouth on the side of the push, where the stage doesn't hide it
            x, y = worst[1].lip_places[:2].mean(0).tolist()
            return "jam", (x + 4.0, y)
        name = self.drive.name if self.has_handle else self.drive.shaft
        return "stall", moment.point(name, "knob" if self.has_handle else "")

    def _instruments(self, c: Canvas, state: State, clock: float) -> None:
        """Dial and effort; figures that change calmly."""
        if clock - self._said_at >= CALM:
            self._said_at = clock
            degrees = math.degrees(state.angle) % 360
            if self.has_handle:
                force = state.effort / self.drive.radius / NEWTON
                way = state.turning if abs(state.turning) > 0.05 else force
                pushing = "you push" if force * way >= 0 else "it pulls"
                words = (
                    "nobody pushes" if abs(force) < 0.02 else f"{pushing} {abs(force):.1f} N"
                )
            else:
                rpm = state.turning * 60 / math.tau
                words = f"{abs(rpm):.0f} turns a minute, {abs(state.effort) / NEWTON:.0f} N mm"
            self._said = f"{degrees:.0f}°", words
        x, wide = self.column
        if self.dial is not None:
            at = self._dial_at()
            self.dial.moving(c, *at, math.degrees(state.angle) % 360)
            y = at[1] + self.dial.r + 50
            letter(c, self._said[0], x + 22, y, "label-b", 27, fill(palette.INK))
            letter(c, self._said[1], x + wide - 22, y, "label", 25, fill(palette.INK), "r")
            self._bar(c, state, x + 22, y + 14, wide - 44)
            return
        y, ink = self.figures_at, self.ground.words
        letter(c, " · ".join(self._said), x, y, "label-b", 25, fill(ink))

    def _bar(self, c: Canvas, state: State, x: float, y: float, wide: float) -> None:
        """The effort as a share of what the hand can give."""
        share = min(abs(state.effort) / float(self.drive.ceiling[0]), 1.0)
        c.drawPath(box(x, y, wide, 9, 2), fill("#E6D8BB"))
        hue = "#8A4A16" if state.effort * (state.turning or state.effort) >= 0 else "#296F56"
        if share > 0:
            c.drawPath(box(x, y, wide * share, 9, 2), fill(hue))

    # ------------------------------------------------------------ the card
    def _card(self, c: Canvas, state: State, idle: float, clock: float, is_stuck: bool) -> None:
        """The one paper card: that it is stuck, or how it is turned, or that its clock is slower than ours."""
        wanted = "stuck" if is_stuck else "how" if idle > 0 else ""
        if not wanted and state.pace < SLOW:
            wanted = "slow"
        if wanted and wanted != self._card_code and (is_stuck or self._card_share <= 0):
            self._card_code, self._asked = wanted, clock
            self._card_share = 0.0
        if wanted and wanted == self._card_code:
            self._card_share = eased(clock - self._asked)
            self._gone = clock
        elif self._card_code:
            self._card_share = 1 - eased(clock - self._gone, 0.25)
            if self._card_share <= 0:
                self._card_code = ""
        if not self._card_code or self._card_share <= 0:
            return
        self._paper(c, self._card_code, state)

    def _paper(self, c: Canvas, code: str, state: State) -> None:
        head, words = self._told(code, state)
        x, room = self.column
        inner = room - 44
        size = fit(words, "text", 24, inner, 3, 18)
        lines = wrap(words, "text", size, inner)
        tall = 76 + 1.3 * size * len(lines)
        y = self.sheet.h - tall - 34
        c.saveLayerAlpha(
            skia.Rect.MakeXYWH(x - 30, y - 30, room + 70, tall + 70),
            round(255 * self._card_share),
        )
        marks.card(c, x, y, room, tall)
        at = x + 22
        if code == "stuck":
            sign = next((s.code for s in self.signs if s.code in ("jam", "stall")), "jam")
            marks.mark(c, sign, at + 14, y + 35, 15, None)
            letter(c, head, at + 40, y + 43, "label-b", 27, fill(marks.hue_of(sign)))
        else:
            letter(c, head, at, y + 43, "label-b", 26, fill(palette.INK))
        for i, line in enumerate(lines):
            letter(c, line, at, y + 51 + 1.3 * size * (i + 1), "text", size, fill(palette.INK))
        c.restore()

    def _told(self, code: str, state: State) -> tuple[str, str]:
        if code == "stuck":
            if not self.has_handle:
                return "Stuck", "The motor gives all it has. Turn it down, then up again."
            most = float(self.drive.ceiling[0]) / self.drive.radius / NEWTON
            return (
                "Stuck: turn back",
                f"A hand gives {most:.0f} N at most, and it doesn't move.",
            )
        if code == "slow":
            return (
                "Slower than real",
                f"This machine keeps {10 * round(10 * state.pace):.0f} % of the true pace.",
            )
        if self.has_handle:
            return (
                "Turn it",
                "Lead the knob round the shaft, roll the wheel, or hold an arrow key.",
            )
        return (
            "It has a motor",
            "Roll the wheel to let it run faster or slower. A click turns it off and on.",
        )
