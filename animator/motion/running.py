"""Runs an assembled scene and records it; tries again with safer settings when the engine loses its grip."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from animator.motion.motion import Motion
from animator.motion.recording import Recorder
from animator.world.building import build
from animator.world.settings import Settings
from animator.world.stepping import run as step_on
from animator.world.stepping import settle

if TYPE_CHECKING:
    from animator.scene.model import Scene

MOST_TRIES = 3


def run(
    scene: Scene,
    level: float = 0.5,
    settings: Settings | None = None,
    pace: float = 0.5,
    turns: float | None = None,
    seconds: float | None = None,
    strength: float = 1.0,
) -> Motion:
    """Run an assembled scene once.

    Parameters
    ----------
    scene
        Assembled.
    level
        Where friction ranges stand: 0 low, 0.5 middle, 1 high.
    settings
        Step and iterations; None lets the scene decide.
    pace
        Where ranges of a drive's speed stand: 0 slow, 1 fast.
    turns, seconds
        How long after the start-up, instead of the scene's own ``run``. turns [1], seconds [s]
    strength
        How many times as strong as written the drives are (to see whether a harder push frees a jam).

    Returns
    -------
    Motion
        Bit for bit the same for the same scene on the same machine. A run that went wrong in spite of safer settings ends as
        ``not trusted`` and says so.

    Raises
    ------
    SceneError
        Something can't be built as it is.
    """
    if turns is None and seconds is None and scene.run is not None:
        turns = None if scene.run.angle is None else scene.run.angle / (2 * math.pi)
        seconds = scene.run.time
    for retry in range(MOST_TRIES):
        world = build(scene, level, settings, pace, strength)
        settle(world)
        recorder = Recorder(world)
        end = step_on(world, recorder, seconds, turns)
        motion = recorder.motion(end, retry)
        if motion.trust.is_ok or retry == MOST_TRIES - 1:
            break
        if end.kind == "not trusted":
            settings = world.settings.safer()
        elif not world.drives:
            settings = world.settings.halved()  # nobody knew how fast it would swing
        else:
            break
    return motion
