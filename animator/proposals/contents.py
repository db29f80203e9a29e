"""What a proposal says, before anything is laid out: the record and the report in the words of someone who hasn't read the scene."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from animator.findings.report import Caution
from animator.findings.telling import EVERYWHERE
from animator.motion.looping import find_loop
from animator.pictures.pages.told import by_weight, in_words
from animator.pictures.pages.words import seconds_of, turn_seconds
from animator.places import Map
from animator.proposals.cautions import cautions_of
from animator.proposals.figures import Row, hardest, rows_of

if TYPE_CHECKING:
    from animator.findings.examining import Checked
    from animator.findings.report import Expectation, Finding, Report
    from animator.motion.motion import Motion
    from animator.scene.model import Scene

STOPS = ("jam", "stall")
ABOUT_THE_FILM = ("seam",)  # nothing is wrong with the piece
SOUND = "Nothing jams, stalls, floats, slips or jerks."


@dataclass(frozen=True)
class Told:
    """A finding in plain words: ``sentence`` what happens, ``why``, ``where`` and how often, ``mends`` what would put it right."""

    code: str
    sentence: str
    why: str
    where: str
    mends: tuple[str, ...]


@dataclass(frozen=True)
class Asked:
    """One claim of the scene: as it is written, what came of it, and whether it was met."""

    text: str
    measured: str
    is_met: bool


@dataclass(frozen=True)
class Other:
    """One variant: what is different, what it shows (a sign's code and a sentence), the effort it takes."""

    name: str
    different: str
    code: str
    sentence: str
    effort: str


@dataclass(frozen=True)
class Contents:
    """Everything that a proposal says in words."""

    title: str
    about: str
    variant: str
    block: tuple[tuple[str, str], ...]
    verdict_code: str
    verdict: str
    told: tuple[Told, ...]
    film_note: str
    asked: tuple[Asked, ...]
    others: tuple[Other, ...]
    rows: tuple[Row, ...]
    cautions: tuple[Caution, ...]
    trust: tuple[str, ...]
    made_from: str


def contents_of(
    checked: Checked,
    others: Sequence[tuple[str, Motion, Report]] = (),
    said: Mapping[str, str | None] | None = None,
) -> Contents:
    """Say what a proposal says.

    Parameters
    ----------
    checked
        The piece, run at all its ends.
    others
        (name, motion, report) of each variant it is compared with.
    said
        ``maker``, ``client`` and ``date``, where they are not to be the scene's; '' leaves one out.
    """
    motion, report = checked.motion, checked.report
    scene = motion.scene
    found = by_weight(report.findings)
    grave = [finding for finding in found if finding.code not in ABOUT_THE_FILM]
    code, verdict = _verdict(report, grave, scene)
    seam = next((finding for finding in found if finding.code in ABOUT_THE_FILM), None)
    return Contents(
        title=scene.title,
        about=scene.about,
        variant=scene.variant or "",
        block=_block(motion, said or {}),
        verdict_code=code,
        verdict=verdict,
        told=tuple(_told(finding, scene) for finding in grave),
        film_note="" if seam is None else plainly(seam.sentence, scene.parts),
        asked=tuple(_asked(claim) for claim in report.expectations),
        others=tuple(_other(name, other, shown) for name, other, shown in others),
        rows=rows_of(checked),
        cautions=cautions_of(checked),
        trust=_trust(report, scene),
        made_from=Path(scene.file).name,
    )


def plainly(text: str, names: Iterable[str]) -> str:
    """Put a report's text as one reads it aloud, also where it is several sentences."""
    return re.sub(r"(?<=[.!?] )the (?=\w)", "The ", in_words(text, names))


def _block(motion: Motion, said: Mapping[str, str | None]) -> tuple[tuple[str, str], ...]:
    scene = motion.scene
    cells = [("Piece", scene.title)]
    if scene.variant:
        cells.append(("Variant", scene.variant))
    for key in ("maker", "client", "date"):
        given = said.get(key)
        text = getattr(scene, key) if given is None else given
        if text:
            cells.append((key.capitalize(), text))
    seconds = turn_seconds(motion)
    if seconds:
        goes_round = motion.end not in ("jammed", "stalled") and find_loop(motion).is_closed
        cells.append(("One turn", seconds_of(seconds) + (", a loop" if goes_round else "")))
    return tuple(cells)


def _verdict(report: Report, found: Sequence[Finding], scene: Scene) -> tuple[str, str]:
    """Sign and sentence that stand at the top: the one thing a reader should take away."""
    if not report.trust.ok:
        return "seam", f"This run is not to be trusted: {report.trust.sentence}."
    unmet = sum(not claim.met for claim in report.expectations)
    asked = len(report.expectations)
    kept = ""
    if unmet:
        kept = f" {asked - unmet} of the {asked} things asked of it are met."
    elif asked:
        kept = {
            1: " What was asked of it is met.",
            2: " Both things asked of it are met.",
        }.get(asked, f" All {asked} things asked of it are met.")
    if not found:
        return "contact", SOUND + kept
    first = found[0]
    more = len(found) - 1
    also = f" {more} more below." if more else ""
    if first.code in STOPS:
        kept = ""  # a piece that stops is the story, whatever its maker asked of it
    return first.code, plainly(first.sentence, scene.parts) + also + kept


def _told(finding: Finding, scene: Scene) -> Told:
    at = EVERYWHERE.get(finding.at) or " or ".join(
        EVERYWHERE.get(name, name) for name in finding.at.split(", ")
    )
    low, high = finding.from_deg, finding.to_deg
    if abs(high - low) < 1:
        where = f"{low:.0f}° of the turn"
    elif high - low > 360 or high > 720:
        where = "all the way"
    else:
        where = f"{low:.0f}° to {high:.0f}° of the turn"
    return Told(
        finding.code,
        plainly(finding.sentence, scene.parts),
        plainly(finding.why, scene.parts) if finding.why else "",
        f"{where}, {at}",
        tuple(plainly(mend.sentence, scene.parts) for mend in finding.mend),
    )


def _asked(claim: Expectation) -> Asked:
    measured = "never came to that"
    if claim.measured is not None:
        measured = f"{claim.measured:.3g} {claim.unit}".strip()
    elif claim.met:
        measured = "none"
    return Asked(claim.text, measured, claim.met)


# ---------------------------------------------------------------- variants
def _other(name: str, motion: Motion, report: Report) -> Other:
    found = [f for f in by_weight(report.findings) if f.code not in ABOUT_THE_FILM]
    code, sentence = "contact", SOUND
    if found:
        code, sentence = found[0].code, plainly(found[0].sentence, motion.scene.parts)
    if not report.trust.ok:
        code, sentence = "seam", f"Not to be trusted: {report.trust.sentence}."
    return Other(
        name[:1].upper() + name[1:],
        _different(motion.scene, name),
        code,
        sentence,
        hardest(motion),
    )


def _different(scene: Scene, name: str) -> str:
    """Say what a variant changes, from its own text."""
    variants = scene.tree.get("variants")
    changes = variants.get(name) if isinstance(variants, Map) else None
    if not isinstance(changes, Map):
        return "nothing: the piece as drawn"
    told = [
        f"{_thing(path)}: {_value(value)}"
        for path, value in changes.items()
        if path not in ("expect", "run", "shots", "note")
    ]
    return "; ".join(told) or "nothing: the piece as drawn"


def _thing(path: str) -> str:
    """Name what a path means: whose, then what.

    Examples
    --------
    >>> _thing("lifter.spring.preload"), _thing("loop")
    ("lifter's spring preload", 'loop')
    """
    first, *rest = path.split(".")
    return f"{first}'s {' '.join(rest)}" if rest else first


def _value(value: object) -> str:
    if isinstance(value, Map):
        kind = value.get("kind")
        if kind is not None:
            return f"a {kind}"
        return ", ".join(f"{key} {_value(each)}" for key, each in value.items())
    if isinstance(value, list):
        return ", ".join(_value(each) for each in value)
    return str(value)


# ---------------------------------------------------------------- how far to trust it
def _trust(report: Report, scene: Scene) -> tuple[str, ...]:
    trust = report.trust
    residual = max(report.energy.residual_percent, 0.001)
    said = [
        "Everything shown was reckoned from weights, forces and friction; nothing was moved by hand, and nothing is built yet.",
        "It reckons in the plane, with rigid parts and dry friction from tables: no bending, no wear, no glue. It is a preview, no proof of strength or safety.",
        f"Of the turning effort {residual:.2g} % can't be accounted for, and joints came apart by at most {max(trust.joint_error_mm, 0.001):.2g} mm.",
    ]
    if not trust.ok:
        said.insert(0, f"Not to be trusted: {trust.sentence}.")
    said += [plainly(sentence, scene.parts) for sentence in report.assumptions]
    return tuple(said)
