"""From a scene to a whole proposal: run, examine, draw, lay out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from animator.motion.looping import main_angle
from animator.outputs._fitting import said_bytes
from animator.outputs.presets import MAIL_BYTES
from animator.pictures.moments import key_moments, span_of
from animator.pictures.pages.told import by_weight
from animator.pictures.take import look_of
from animator.problems import RunError
from animator.proposals.contents import Contents, contents_of
from animator.proposals.page import Plates, page_bytes
from animator.proposals.plates import (
    Moving,
    Shown,
    compared,
    film_of,
    found_at,
    panels_of,
    strips_of,
)
from animator.proposals.sheets import Sheets

if TYPE_CHECKING:
    from animator.findings.examining import Checked
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.outputs.sound import Score
    from animator.pictures.take import Look

WORDS_BYTES = 150_000  # of a page, for its letters, words and style
IN_TEXT = 4 / 3  # base64
COMPARED_SHARE = 0.5  # of what is left for films
POSTER_BYTES = (
    260_000  # of the film, which stands in the page twice: before it starts, and on paper
)
LEAST_FILM = 60_000  # bytes; less shows nothing


@dataclass(frozen=True)
class Proposal:
    """A piece and what is to be said of it.

    ``checked``: the piece at all its ends; ``others``: variants to compare it with, (name, motion, report); ``said``: maker, client and date where they aren't
    the scene's; ``look``: of the film, None chooses; ``is_draft``: small and quick; ``max_bytes``: of the whole page.
    """

    checked: Checked
    others: Sequence[tuple[str, Motion, Report]] = ()
    said: Mapping[str, str | None] = field(default_factory=dict)
    look: Look | None = None
    is_draft: bool = False
    max_bytes: int = MAIL_BYTES
    score: Score | None = None

    @property
    def contents(self) -> Contents:
        """What it says in words."""
        return contents_of(self.checked, self.others, self.said)

    def page(self) -> tuple[bytes, tuple[str, ...]]:
        """Give the HTML page, and remarks about what was given up to keep it small.

        Raises
        ------
        RunError
            It can't be made as small as that.
        """
        motion, report = self.checked.motion, self.checked.report
        moments = key_moments(motion, report)
        base = base_of(motion)
        panels = panels_of(motion, moments, base)
        strips = strips_of(motion, moments, base)
        found = self._found()
        pictures = sum(len(panel.picture.data) for panel in panels)
        pictures += sum(len(strip.data) for strip in strips)
        pictures += len(found.data) if found is not None else 0
        free = (self.max_bytes - WORDS_BYTES) / IN_TEXT - pictures
        both = None
        if self.others:
            both = compared(
                self.others, self.is_draft, max(LEAST_FILM, int(COMPARED_SHARE * free))
            )
            free -= len(both.data) + 2 * len(both.poster.data)
        film = film_of(
            self.checked,
            moments,
            self.look,
            self.is_draft,
            self.score,
            max(LEAST_FILM, int(free - POSTER_BYTES)),
        )
        remarks = [*_named("the film", film), *_named("the film of the variants", both)]
        data = page_bytes(self.contents, Plates(film, panels, strips, both, found))
        if len(data) > self.max_bytes:
            alone = " or leave the variants out with --alone" if self.others else ""
            raise RunError(
                f"the page can't be made in {said_bytes(self.max_bytes)}: its pictures and letters alone take most of that; write --max-size {said_bytes(len(data)).replace(' ', '')}{alone}"
            )
        return data, tuple(remarks)

    def paper(self, name: str = "a4") -> tuple[bytes, tuple[str, ...]]:
        """Give the same as a PDF without the films, on upright ``a4`` or ``letter``; there is nothing to be given up."""
        return Sheets(self.checked, self.contents, name, self.said).data(), ()

    def _found(self) -> Shown | None:
        """Draw the bench at the gravest finding, unless the film shows it."""
        motion, report = self.checked.motion, self.checked.report
        grave = [
            f
            for f in by_weight(report.findings)
            if f.code != "seam" and f.at in ("all", "middle")
        ]
        if not grave:
            return None
        if (self.look or look_of(motion, report, None)) == "bench":
            return None
        end = float(motion.times[-1])
        stands = motion.end in ("jammed", "stalled")
        at = end if stands else 0.5 * (grave[0].from_s + min(grave[0].to_s, end))
        return found_at(self.checked, at)


def _named(what: str, moving: Moving | None) -> list[str]:
    """Say of which film a remark is."""
    return [] if moving is None else [f"{what}: {remark}" for remark in moving.remarks]


def base_of(motion: Motion) -> tuple[float, float]:
    """Time and angle that count as 0 on the storyboard. [s, degrees]"""
    start, _ = span_of(motion)
    return start, float(np.degrees(np.interp(start, motion.times, main_angle(motion))))
