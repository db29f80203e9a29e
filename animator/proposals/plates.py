"""The pictures of a proposal as bytes: film, poster, panels of the storyboard, its strip, the comparison."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.outputs import Saved
from animator.outputs import save as save_film
from animator.outputs.webp_still import webp_bytes
from animator.pictures.comparison import HOLD, Comparison
from animator.pictures.film import Film, still
from animator.pictures.ink import Sheet
from animator.pictures.moments import KeyMoment, span_of
from animator.pictures.pages.told import by_weight
from animator.pictures.poster import poster_number, poster_time
from animator.pictures.readings import actors, effort
from animator.pictures.sequence import draw_under, lanes_of, room_under, told
from animator.pictures.sheets.arrange import Grid
from animator.pictures.sheets.panel import Panels
from animator.pictures.sheets.strip import draw_strip
from animator.pictures.sheets.view import View
from animator.pictures.stuff import Stuffs
from animator.pictures.take import Look, slowly

if TYPE_CHECKING:
    from animator.findings.examining import Checked
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.outputs.sound import Score

SIZE, FPS = (1280, 720), 30.0
DRAFT_SIZE, DRAFT_FPS = (640, 360), 15.0
COMPARED_SIZE, COMPARED_FPS = (1024, 576), 20.0  # as wide as the page shows it
PANEL = (396.0, 236.0)  # design units
PANEL_UNIT = 2.0  # px a design unit: sharp on paper and on fine screens
STRIP_WIDE, STRIP_NARROW = (
    1040.0,
    470.0,
)  # design units, for a desk and for a phone held upright
STRIP_LEFT, STRIP_OVER, STRIP_HIGH, STRIP_UNDER = 86.0, 34.0, 112.0, 36.0
ROOM = 9.0  # design units round a panel, for its number on the corner


@dataclass(frozen=True)
class Shown:
    """One picture: its bytes, size [px] and what is seen on it, in words."""

    data: bytes
    size: tuple[int, int]
    alt: str


@dataclass(frozen=True)
class Moving:
    """One film: bytes of an MP4, the poster before it is started, when each moment of the storyboard comes in it [s of film], its length [s]."""

    data: bytes
    poster: Shown
    seconds: float
    cues: tuple[tuple[float, float, str], ...]
    remarks: tuple[str, ...]
    caption: str = ""


@dataclass(frozen=True)
class Panel:
    """One panel of the storyboard: the picture, the handle's angle and the time, the caption."""

    picture: Shown
    angle: str
    time: str
    caption: str


# ---------------------------------------------------------------- films
def film_of(
    checked: Checked,
    moments: Sequence[KeyMoment],
    look: Look | None,
    is_draft: bool,
    score: Score | None,
    most_bytes: int,
) -> Moving:
    """Make the film of the piece, not larger than so many bytes."""
    motion, report = checked.motion, checked.report
    size, fps = (DRAFT_SIZE, DRAFT_FPS) if is_draft else (SIZE, FPS)

    def again(size: tuple[int, int], fps: float) -> Film:
        return Film(motion, motion.scene, report, look, size, fps)

    film = again(size, fps)
    data, saved = _bytes(film, motion, is_draft, score, most_bytes, again)
    poster = film.frame(poster_number(film, motion, report)).copy()
    alt = f"{motion.scene.title}: {_standing(motion, poster_time(motion, report))}"
    return Moving(
        data,
        Shown(webp_bytes(poster), film.size, alt),
        film.frame_count / fps,
        tuple(_cues(film, moments)),
        saved.remarks,
        _caption(film),
    )


def _caption(film: Film) -> str:
    """Say how the film is to be read."""
    pace = "At its true speed." if film.take.speed >= 1 else slowly(film.take.speed)
    end = "" if film.is_loop else " It plays to where the piece stands still."
    if film.look == "bench":
        return f"The piece on the bench: what happens is marked where and when it happens. {pace}{end}"
    return (
        f"The piece as it will stand before you, moved by what the handle gives it. {pace}{end}"
    )


def compared(
    columns: Sequence[tuple[str, Motion, Report]], is_draft: bool, most_bytes: int
) -> Moving:
    """Make the film of all variants side by side; its poster is its last picture, with the counts."""
    size, fps = (DRAFT_SIZE, DRAFT_FPS) if is_draft else (COMPARED_SIZE, COMPARED_FPS)

    def again(size: tuple[int, int], fps: float) -> Comparison:
        return Comparison(columns, size, fps)

    film = again(size, fps)
    data, saved = _bytes(film, columns[0][1], is_draft, None, most_bytes, again)
    last = film.frame(film.frame_count - 1).copy()
    names = ", ".join(name for name, _, _ in columns)
    seconds = film.frame_count / fps
    ends = "; ".join(f"{name}: {_ending(report)}" for name, _, report in columns)
    cues = ((max(0.0, seconds - HOLD), seconds, f"At the end. {ends}."),)
    alt = f"{columns[0][1].scene.title}, {len(columns)} variants side by side at the end of their runs: {names}"
    return Moving(data, Shown(webp_bytes(last), film.size, alt), seconds, cues, saved.remarks)


def _ending(report: Report) -> str:
    """Say in a word or two what a variant shows."""
    found = [f.code for f in by_weight(report.findings) if f.code != "seam"]
    return found[0] if found else "in order"


def _bytes(
    film: Any, motion: Motion, is_draft: bool, score: Score | None, most: int, again: Any
) -> tuple[bytes, Saved]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "film.mp4"
        saved = save_film(
            film,
            path,
            draft=is_draft,
            title=motion.scene.title,
            score=score,
            max_bytes=most,
            again=again,
        )
        return path.read_bytes(), saved


def _cues(film: Film, moments: Sequence[KeyMoment]) -> list[tuple[float, float, str]]:
    """When each key moment comes in the film, for captions: start, end [s of film], words."""
    shown = np.array([film.moment_of(index)[0] for index in range(film.frame_count)])
    starts = []
    for moment in moments:
        t = moment.t
        if film.is_loop:  # another round of the same loop
            period = film.take.stop - film.take.start
            t = film.take.start + (t - film.take.start) % period
        near = np.abs(shown - t)
        hits = np.flatnonzero(near < 0.6 * film.take.speed / film.fps)
        if not len(hits):
            hits = np.array([int(near.argmin())])
        # the first picture of each round that shows it
        firsts = hits[np.diff(hits, prepend=-10) > 1]
        starts += [(float(i) / film.fps, moment.caption) for i in firsts.tolist()]
    starts.sort()
    seconds = film.frame_count / film.fps
    ends = [start for start, _ in starts[1:]] + [seconds]
    return [
        (start, end, words)
        for (start, words), end in zip(starts, ends, strict=True)
        if end - start > 0.1
    ]


# ---------------------------------------------------------------- stills
def found_at(checked: Checked, seconds: float) -> Shown:
    """Draw the bench at a moment at which something is found."""
    motion, report = checked.motion, checked.report
    picture = still(motion, report, seconds, "bench", SIZE)
    return Shown(
        webp_bytes(picture),
        SIZE,
        f"{motion.scene.title} on the bench: {_standing(motion, seconds)}",
    )


def panels_of(
    motion: Motion, moments: Sequence[KeyMoment], base: tuple[float, float]
) -> list[Panel]:
    """Draw the storyboard's panels one by one."""
    view = View(motion, Stuffs())
    wide, high = PANEL
    grid = Grid(1, 1, wide, high, high, 1, view.most(wide, high))
    panels = Panels(view, grid, 1.0, base)
    out = []
    size = round((wide + 2 * ROOM) * PANEL_UNIT), round((high + 2 * ROOM) * PANEL_UNIT)
    for n, moment in enumerate(moments):
        sheet = Sheet(*size, unit=PANEL_UNIT)
        bare = replace(moment, caption="")
        panels.draw(sheet.canvas, ROOM, ROOM, n + 1, bare, moments[n - 1] if n else None)
        angle, when = panels.told(moment)
        alt = f"Picture {n + 1}: {_standing(motion, moment.t)}"
        out.append(
            Panel(Shown(webp_bytes(sheet.array), size, alt), angle, when, moment.caption)
        )
    return out


def strips_of(
    motion: Motion, moments: Sequence[KeyMoment], base: tuple[float, float]
) -> tuple[Shown, Shown]:
    """Draw the strip under the panels, wide and narrow."""
    made = []
    lanes = lanes_of(motion)
    high = STRIP_OVER + STRIP_HIGH + STRIP_UNDER + room_under(lanes)
    for wide in (STRIP_WIDE, STRIP_NARROW):
        size = round(wide * PANEL_UNIT), round(high * PANEL_UNIT)
        sheet = Sheet(*size, unit=PANEL_UNIT)
        room = (STRIP_LEFT, STRIP_OVER, wide - STRIP_LEFT - 12, STRIP_HIGH)
        draw_strip(sheet.canvas, motion, moments, range(len(moments)), room, base)
        draw_under(sheet.canvas, lanes, span_of(motion), room, STRIP_LEFT)
        made.append(Shown(webp_bytes(sheet.array), size, _strip_alt(motion)))
    return made[0], made[1]


# ---------------------------------------------------------------- what is seen
def _standing(motion: Motion, t: float) -> str:
    """Say where the figures stand at a moment, as one would who sees the picture."""
    i = min(int(np.searchsorted(motion.times, t - 1e-9)), len(motion.times) - 1)
    first = motion.begins if motion.end not in ("jammed", "stalled") else 0
    said = []
    for actor in actors(motion)[:3]:
        values = actor.values[first:]
        span = float(np.ptp(values))
        name = f"the {actor.part}" if actor.part[:1].islower() else actor.part
        here = float(actor.values[i])
        if actor.word == "turn":
            turns = here if actor.unit == "turns" else here / 360
            said.append(f"{name} has turned {turns:.2f} times")
            continue
        share = (here - float(values.min())) / span if span > 1e-9 else 0.0
        ends = {
            "height": ("low", "high", "half way up"),
            "way": ("at the left", "at the right", "half way along"),
            "swing": ("at the right of its swing", "at the left of its swing", "in mid swing"),
        }[actor.word]
        if span < (0.5 if actor.unit == "mm" else 1.0):
            said.append(f"{name} has hardly stirred")
        else:
            said.append(
                f"{name} stands {ends[0] if share < 0.15 else ends[1] if share > 0.85 else ends[2]}"
            )
    if motion.end in ("jammed", "stalled") and i >= len(motion.times) - 2:
        said.append("all stands still")
    return ", ".join(said) or "the piece at work"


def _strip_alt(motion: Motion) -> str:
    said = []
    for actor in actors(motion)[:1]:
        unit = "°" if actor.unit == "°" else f" {actor.unit}"
        said.append(
            f"the way of {actor.part} over the turn, {float(np.ptp(actor.values[motion.begins :])):.3g}{unit} from end to end"
        )
    given = effort(motion)
    if given is not None:
        peak = float(
            np.max(given.values[0 if motion.end in ("jammed", "stalled") else motion.begins :])
        )
        said.append(f"below it the effort, at most {peak:.2g} {given.unit}")
    lanes = told(lanes_of(motion))
    if lanes:
        said.append(f"under it what is on when: {lanes}")
    return "Strip with the pictures pegged on: " + ", ".join(said)
