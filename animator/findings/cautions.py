"""What to mind with a piece, from what it has and does, each with the figure that asks for it. Local rules and licensed practice come first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from animator.findings._reach import face_of, narrowest
from animator.findings.report import Caution
from animator.motion.motion import Motion

if TYPE_CHECKING:
    from animator.parts._contract import Part

FINGER = 25.0  # mm; least gap against crushing a finger: ISO 13854:2017 (EN 349), table 1
TOUCHING = 1.0  # mm; what comes nearer touches by design
CYLINDER = 31.7, 57.1  # mm; small parts cylinder, 16 CFR 1501.4 and ISO 8124-1
KEPT = 5e5  # g mm^2/s^2, 0.5 mJ; less in springs isn't felt
LANDING = 60.0  # mm/s; what lands faster is heard and wears
BRISK = 60.0  # turns a minute; what goes round faster takes hair and strings with it (estimate, no source)
JOULE = 1e9
DRY = 0.35  # friction where the scene says none; only for how much load goes with a heat
WORN = 1e-4  # mm^3/(N m); Archard's coefficient for dry wood and brass, an order of magnitude (from memory)
RUNNING = 3.6e5  # s; a hundred hours
WORTH_TELLING = 0.05  # mm; play that is heard
NEWTON = 1e6
REACH = 20.0  # mm; a lever at which a finger may be caught (estimate, no source)


def cautions_of(motion: Motion, ends: Iterable[Motion] = ()) -> tuple[Caution, ...]:
    """Say what to mind with a piece.

    Parameters
    ----------
    motion
        The run at middling friction.
    ends
        The runs at all ends of what the maker can't know; the worst of them counts.
    """
    runs = tuple(ends) or (motion,)
    found = [
        *_gaps(motion),
        *_drive(motion),
        *_springs(motion, runs),
        *_landings(runs),
        *_wear(motion),
        *_speed(motion),
        *(each for part in motion.scene.parts.values() for each in part.cautions(motion)),
        *_small(motion),
        *_lead(motion),
        Caution(
            what="Rules",
            sentence="Local rules for toys, machines and public display come before anything said here, and so does licensed practice: "
            "electricity, lifting and whatever carries people belong to those who are allowed to do it.",
        ),
    ]
    first: dict[str, Caution] = {}
    for caution in found:  # two motors are told once
        first.setdefault(caution.what, caution)
    return tuple(first.values())


def _listed(names: Sequence[str]) -> str:
    shown = list(names[:4])
    if len(names) > 4:
        shown = [*names[:3], f"{len(names) - 3} more"]
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + " and " + shown[-1]


def _moving(motion: Motion) -> list[str]:
    """Names of the figures that move."""
    found = []
    for name, part in motion.scene.parts.items():
        if part.artwork is None or name not in motion.frames or motion.frames[name][0] < 0:
            continue
        if float(np.ptp(motion.frame(name)[motion.begins :], axis=0).max()) > 0.02:
            found.append(name)
    return found


def _gaps(motion: Motion) -> Iterator[Caution]:
    moving = _moving(motion)
    pushes = [
        float(np.max(np.abs(contact.normal))) / NEWTON
        for contact in motion.contacts.values()
        if contact.is_meant
    ]
    near = narrowest(motion, TOUCHING, FINGER)
    if not moving and not pushes and near is None:
        return
    sentence = (
        f"{_listed(moving)} and what drives {'it' if len(moving) == 1 else 'them'} leave gaps that open and close."
        if moving
        else "what moves leaves gaps that open and close."
    )
    if near is not None:
        sentence += f" Between {near[0]} and {near[1]} the gap closes from {near[3]:.0f} to {near[2]:.0f} mm."
    if pushes and max(pushes) >= 0.1 and motion.end not in ("jammed", "stalled"):
        sentence += f" Where parts touch they press with up to {max(pushes):.2g} N."
    yield Caution(
        what="Gaps that close",
        sentence=sentence
        + f" Keep {FINGER:.0f} mm between what closes, or guard it; children's fingers and hair reach further: on toys a gap that lets in a rod of 5 mm must let in one of 12 mm.",
        figure=None if near is None else round(near[2], 1),
        unit="" if near is None else "mm",
        source="ISO 13854 (EN 349): 25 mm for a finger; EN 71-1 4.10 and ASTM F963 4.18 for toys (from memory); probes of IEC 61032",
    )


def _drive(motion: Motion) -> Iterator[Caution]:
    hands = [drive for drive in motion.drives if drive.radius > 0]
    motors = [drive for drive in motion.drives if drive.radius <= 0]
    if motors:
        strongest = max(float(np.max(drive.ceiling)) for drive in motors)
        pinch = strongest / REACH / NEWTON
        yield Caution(
            what="Motor",
            sentence=f"It starts without warning, and standing still it gives {strongest / NEWTON:.3g} N mm: {pinch:.2g} N on a finger {REACH:.0f} mm from the shaft, more through slow gears. "
            "Switch off and unplug before you reach in, guard what it turns, and leave mains wiring to licensed people.",
            figure=float(f"{strongest / NEWTON:.3g}"),
            unit="N mm",
            source="stall torque of the scene",
        )
    if hands:
        most = float(np.max(hands[0].ceiling)) / NEWTON / hands[0].radius
        yield Caution(
            what="Handle",
            sentence=f"A hand at the knob can give {most:.2g} N, and through the drive more than that at the figures: whoever turns it should see who reaches in.",
            figure=float(f"{most:.3g}"),
            unit="N",
            source="strength of the scene's hand",
        )


def _springs(motion: Motion, runs: Sequence[Motion]) -> Iterator[Caution]:
    kept = max(float(np.ptp(run.ledger.spring)) for run in runs)
    names = [name for name, part in motion.scene.parts.items() if _stores(name, part, motion)]
    if not names and kept < KEPT:
        return
    whose = f"here at {_listed(names)}" if names else "here"
    much = f", up to {1000 * kept / JOULE:.2g} mJ between turns" if kept >= KEPT else ""
    yield Caution(
        what="Springs and stretched bands",
        sentence=f"They store energy and let go suddenly ({whose}{much}). Wear eye protection when you wind, hook or cut them.",
        figure=float(f"{1000 * kept / JOULE:.3g}"),
        unit="mJ",
        source="the run's own books of energy",
    )


def _stores(name: str, part: Part, motion: Motion) -> bool:
    return (
        getattr(part, "spring", None) is not None
        or getattr(part, "rate", None) is not None
        or (
            f"{name}.tension" in motion.channels
            and getattr(part, "stretched", None) is not None
        )
    )


def _landings(runs: Sequence[Motion]) -> Iterator[Caution]:
    fastest = max(
        (
            float(contact.hit[:, 1].max())
            for motion in runs
            for contact in motion.contacts.values()
            if len(contact.hit)
        ),
        default=0.0,
    )
    if fastest >= LANDING:
        yield Caution(
            what="Landings",
            sentence=f"Parts come down with up to {fastest:.2g} mm/s: it is heard, it wears, and whatever sits loosely works itself off. Fix it so that it can't fly.",
            figure=float(f"{fastest:.3g}"),
            unit="mm/s",
            source="the run",
        )


def _wear(motion: Motion) -> Iterator[Caution]:
    """Find the place that wears fastest: Archard's law, worn volume = k times load times way, and load times way is heat over friction."""
    seconds = float(motion.times[-1] - motion.times[motion.begins])
    if seconds <= 0 or motion.end not in ("finished", "repeats"):
        return
    worst, where = 0.0, ""
    for name, part in motion.scene.parts.items():
        guide, bearing = getattr(part, "guide", None), getattr(part, "bearing", None)
        size = part.material.size if part.material is not None and part.material.size else 4.0
        for place, record in ((f"guide of {name}", guide), (f"bearing of {name}", bearing)):
            heat = motion.ledger.heat.get(place)
            if heat is None or record is None or getattr(record, "ball", False):
                continue
            rub = record.friction.at(motion.level) if record.friction is not None else DRY
            holes = 1 if record is guide else 2
            area = holes * size * (record.length or motion.scene.frame.thickness)
            worn = (
                (heat[-1] - heat[motion.begins]) / rub / JOULE * 1e3
            )  # N mm of load times way
            depth = WORN / 1e3 * worn / area * RUNNING / seconds
            if depth > worst:
                worst, where = float(depth), place
    if worst >= WORTH_TELLING:
        yield Caution(
            what="Wear",
            sentence=f"At the {where} about {worst:.1g} mm is worn away in 100 hours of running, dry: wax or oil it, make the hole longer, or line it with brass.",
            figure=float(f"{worst:.2g}"),
            unit="mm in 100 h",
            source="Archard's law with 1e-4 mm^3/(N m), an order of magnitude for dry wood and brass (from memory)",
        )


def _speed(motion: Motion) -> Iterator[Caution]:
    fastest = max(
        (
            float(np.max(np.abs(drive.due_speed))) * 60 / math.tau
            for drive in motion.drives
            if len(drive.due_speed)
        ),
        default=0.0,
    )
    if fastest >= BRISK:
        yield Caution(
            what="Turning parts",
            sentence=f"The drive makes {fastest:.3g} turns a minute. Keep hair, cuffs and strings away from what turns.",
            figure=float(f"{fastest:.3g}"),
            unit="rpm",
            source="common practice, no source",
        )


def _small(motion: Motion) -> Iterator[Caution]:
    """Find figures that would go into the cylinder of the small parts test."""
    small = []
    for name, part in motion.scene.parts.items():
        face = face_of(part) if part.artwork is not None else None
        if face is None:
            continue
        width, height = sorted(np.ptp(face, axis=0).tolist())
        if width <= CYLINDER[0] and height <= CYLINDER[1]:
            small.append(name)
    named = (
        f"{_listed(small)} would go into a cylinder of 31.7 mm if it came off. "
        if small
        else ""
    )
    yield Caution(
        what="Small parts",
        sentence=named
        + "Small parts, pins and washers don't belong near children under three: glue or screw them so that they can't be pulled off.",
        figure=CYLINDER[0] if small else None,
        unit="mm" if small else "",
        source="16 CFR 1501.4, ISO 8124-1: the small parts cylinder (from memory)",
    )


def _lead(motion: Motion) -> Iterator[Caution]:
    if any(
        part.material.name == "lead"
        if part.material is not None
        else "lead" in part.also_called
        for part in motion.scene.parts.values()
    ):
        yield Caution(
            what="Lead",
            sentence="Lead is poisonous: seal it in, wash your hands, and keep it out of reach of children.",
            source="common practice, no source",
        )
