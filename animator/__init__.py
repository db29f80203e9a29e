"""Moving figures before they are cut: a text scene is built as rigid bodies, run with real forces and shown.

The way through the program is six calls, each of which can be used alone::

    scene = animator.read("scenes/heron.yaml", variant="fast")   # text -> Scene, assembled
    world = animator.build(scene)                                # Scene -> World
    motion = animator.run(scene)                                 # World -> Motion
    report = animator.examine(motion)                            # Motion -> findings
    film = animator.draw(motion, report)                         # Motion -> pictures
    animator.save(film, "heron.mp4")                             # pictures -> file
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from animator.findings.report import Report
    from animator.motion.motion import Motion
    from animator.outputs import Saved
    from animator.scene.model import Scene
    from animator.world.building import World

__version__ = "0.1.0"


def read(
    source: str | os.PathLike[str],
    variant: str | None = None,
    changes: Mapping[str, str] | None = None,
) -> Scene:
    """Read a scene file, check it and put it together.

    Parameters
    ----------
    source
        Path of the scene.
    variant
        Name of one of its variants; None for the piece as drawn.
    changes
        Path in the scene -> text to lay over it, like one more variant.

    Raises
    ------
    SceneError
        Carries every problem of the scene, in file order.
    """
    from animator.scene import read as read_scene
    from animator.world.assembling import assemble

    return assemble(read_scene(source, variant, changes))


def build(scene: Scene, level: float = 0.5) -> World:
    """Build the world of an assembled scene, with friction ranges at a level: 0 low, 0.5 middle, 1 high."""
    from animator.world.building import build as build_world

    return build_world(scene, level)


def run(scene: Scene, level: float = 0.5, **ways: Any) -> Motion:
    """Run an assembled scene once; see ``animator.motion.running.run``."""
    from animator.motion.running import run as run_scene

    return run_scene(scene, level, **ways)


def examine(motion: Motion) -> Report:
    """Say what a run shows: measures, findings, expectations, where the effort went."""
    from animator.findings.examining import examine as examine_motion

    return examine_motion(motion)


def draw(motion: Motion, report: Report | None = None, **ways: Any) -> Any:
    """Make a film of a run; see ``animator.pictures.film.Film``."""
    from animator.pictures.film import Film

    return Film(motion, motion.scene, report, **ways)


def save(film: Any, path: str | os.PathLike[str], **ways: Any) -> Saved:
    """Write a film; the ending of the name chooses the format. See ``animator.outputs``."""
    from animator.outputs import save as save_film

    return save_film(film, path, **ways)
