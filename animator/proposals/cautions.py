"""What to mind with this piece, from what it has and does. Local rules and licensed practice come first, and every list says so."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from animator.pictures.drawing import Drawing
from animator.pictures.pages.told import in_words
from animator.pictures.readings import actors
from animator.pictures.stuff import Stuffs

if TYPE_CHECKING:
    from animator.findings.examining import Checked
    from animator.motion.motion import Motion

CLEAR = (
    25.0  # mm; the gap to keep for fingers: EN 349 / ISO 13854 asks 25 mm for an adult's finger
)
CYLINDER = (
    31.7,
    57.1,
)  # mm; width and greatest depth of the small parts cylinder, 16 CFR 1501.4 and ISO 8124-1
KEPT = 5e5  # g mm^2/s^2, 0.5 mJ; less in springs isn't felt
LANDING = 60.0  # mm/s; what lands faster is heard and wears
BRISK = 60.0  # turns a minute; what goes round faster takes hair and strings with it (estimate, no source)
JOULE = 1e9


@dataclass(frozen=True)
class Caution:
    """One thing to mind: ``what`` in a few words, and a sentence or two."""

    what: str
    sentence: str


def cautions_of(checked: Checked) -> tuple[Caution, ...]:
    """Say what to mind with a piece."""
    motion = checked.motion
    drawing = Drawing(motion, Stuffs(True))
    found = [
        _gaps(motion),
        _drive(motion),
        _springs(checked),
        _landings(motion),
        _speed(motion),
        _small(motion, drawing),
        _lead(motion),
        Caution(
            "Rules",
            "Local rules for toys, machines and public display come before anything said here, and so does licensed practice: "
            "electricity, lifting and whatever carries people belong to those who are allowed to do it.",
        ),
    ]
    return tuple(caution for caution in found if caution is not None)


def _listed(names: list[str]) -> str:
    shown = names[:4]
    if len(names) > 4:
        shown = [*names[:3], f"{len(names) - 3} more"]
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + " and " + shown[-1]


def _gaps(motion: Motion) -> Caution | None:
    moving = [
        name
        for name in dict.fromkeys(actor.part for actor in actors(motion))
        if name in motion.scene.parts
    ]
    pushes = [
        float(np.max(np.abs(contact.normal))) / 1e6
        for contact in motion.contacts.values()
        if contact.is_meant
    ]
    if not moving and not pushes:
        return None
    hard = (
        f" Where parts touch they press with up to {max(pushes):.2g} N."
        if pushes and max(pushes) >= 0.1 and motion.end not in ("jammed", "stalled")
        else ""
    )
    return Caution(
        "Gaps that close",
        in_words(
            f"{_listed(moving)} and what drives {'it' if len(moving) == 1 else 'them'} leave gaps that open and close"
            if moving
            else "what moves leaves gaps that open and close",
            motion.scene.parts,
        )
        + hard
        + f" Keep {CLEAR:.0f} mm between what closes, or guard it; children's fingers and hair reach further.",
    )


def _drive(motion: Motion) -> Caution | None:
    hands = [drive for drive in motion.drives if drive.radius > 0]
    motors = [drive for drive in motion.drives if drive.radius <= 0]
    if motors:
        return Caution(
            "Motor",
            "It starts without warning: switch off and unplug before you reach in, guard what it turns, and leave mains wiring to licensed people.",
        )
    if hands:
        hand = hands[0]
        most = float(np.max(hand.ceiling)) / 1e6 / hand.radius
        return Caution(
            "Handle",
            f"A hand at the knob can give {most:.2g} N, and through the drive more than that at the figures: whoever turns it should see who reaches in.",
        )
    return None


def _springs(checked: Checked) -> Caution | None:
    motion = checked.motion
    kept = max(float(np.ptp(run.ledger.spring)) for run in checked.ends.values())
    names = [
        name
        for name, part in motion.scene.parts.items()
        if getattr(part, "spring", None) is not None
        or getattr(part, "rate", None) is not None
        or (
            f"{name}.tension" in motion.channels
            and getattr(part, "stretched", None) is not None
        )
    ]
    if not names and kept < KEPT:
        return None
    whose = (
        in_words(f"here at {_listed(names)}", motion.scene.parts).rstrip(".")
        if names
        else "here"
    )
    much = f", up to {1000 * kept / JOULE:.2g} mJ between turns" if kept >= KEPT else ""
    return Caution(
        "Springs and stretched bands",
        f"They store energy and let go suddenly ({whose[0].lower()}{whose[1:]}{much}). Wear eye protection when you wind, hook or cut them.",
    )


def _landings(motion: Motion) -> Caution | None:
    fastest = max(
        (
            float(contact.hit[:, 1].max())
            for contact in motion.contacts.values()
            if len(contact.hit)
        ),
        default=0.0,
    )
    if fastest < LANDING:
        return None
    return Caution(
        "Landings",
        f"Parts come down with up to {fastest:.2g} mm/s: it is heard, it wears, and whatever sits loosely works itself off. Fix it so that it can't fly.",
    )


def _speed(motion: Motion) -> Caution | None:
    fastest = max(
        (
            float(np.max(np.abs(drive.due_speed))) * 60 / math.tau
            for drive in motion.drives
            if len(drive.due_speed)
        ),
        default=0.0,
    )
    if fastest < BRISK:
        return None
    return Caution(
        "Turning parts",
        f"The drive makes {fastest:.3g} turns a minute. Keep hair, cuffs and strings away from what turns.",
    )


def _small(motion: Motion, drawing: Drawing) -> Caution | None:
    """Find figures that would go into the cylinder of the small parts test."""
    small = []
    for name, part in motion.scene.parts.items():
        marks = [mark for mark in drawing.marks if mark.part == name]
        if part.artwork is None or not marks:
            continue
        corners = np.vstack([mark.reach(drawing.first) for mark in marks]) / drawing.k
        width, height = sorted(np.ptp(corners, axis=0).tolist())
        if width <= CYLINDER[0] and height <= CYLINDER[1]:
            small.append(name)
    named = (
        in_words(f"{_listed(small)} would go into", motion.scene.parts).rstrip(".")
        + " a cylinder of 31.7 mm if it came off. "
        if small
        else ""
    )
    return Caution(
        "Small parts",
        named
        + "Small parts, pins and washers don't belong near children under three: glue or screw them so that they can't be pulled off.",
    )


def _lead(motion: Motion) -> Caution | None:
    has_lead = any(
        getattr(getattr(part.material, "stuff", None), "name", "") == "lead"
        for part in motion.scene.parts.values()
    ) or any(
        part.material is None and "lead" in part.also_called
        for part in motion.scene.parts.values()
    )
    if not has_lead:
        return None
    return Caution(
        "Lead",
        "Lead is poisonous: seal it in, wash your hands, and keep it out of reach of children.",
    )
