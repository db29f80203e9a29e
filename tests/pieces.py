"""Small pieces for the physics tests: scene text in, recorded motion out, through the whole program."""

from __future__ import annotations

import tempfile
import textwrap
from pathlib import Path
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

import animator
from animator.motion.motion import Floats, Motion
from animator.scene.model import Scene

SCENES = Path(__file__).resolve().parent.parent / "scenes"
DEMOS = ("baker", "heron", "mole", "skater", "carousel")
NEWTON = 1e6  # g mm/s^2
NEWTON_MM = 1e6  # g mm^2/s^2
GRAVITY = 9806.65  # mm/s^2, standard


def read(parts: str, variant: str | None = None) -> Scene:
    """Read a scene of which only the parts are written here."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "trial.yaml"
        path.write_text(
            "title: Trial\nparts:\n" + textwrap.indent(textwrap.dedent(parts), "  "), "utf-8"
        )
        return animator.read(path, variant)


def run(parts: str, **ways: Any) -> Motion:
    """Read the parts and run them; a run that can't be trusted fails the test."""
    motion = animator.run(read(parts), **ways)
    assert motion.trust.is_ok, motion.trust.sentence
    return motion


def run_demo(name: str, variant: str | None = None, level: float = 0.5, **ways: Any) -> Motion:
    """Run one of the demo scenes."""
    return animator.run(animator.read(SCENES / f"{name}.yaml", variant), level, **ways)


def against_angle(motion: Motion, values: Floats) -> CubicSpline:
    """Give recorded values as a smooth curve over the handle's angle, from the end of the start-up. [rad]

    Its derivatives are those of the recorded positions; samples lie about a third of a degree apart.
    """
    assert motion.drive is not None
    angle = motion.drive.angle[motion.begins :]
    return CubicSpline(angle, values[motion.begins :])


def smoothed(values: Floats, count: int = 5) -> Floats:
    """Mean over so many neighbouring samples (5 ms: what a hand feels)."""
    return np.convolve(values, np.ones(count) / count, mode="same")
