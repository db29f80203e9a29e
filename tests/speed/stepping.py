"""What a step costs beside the engine's own: ``python -m tests.speed.stepping``.

The same world is built twice. One is run as always, with its drives, contacts, books and recorder; the other only steps
(``space.step``) as often, over the same bodies and joints. Each is timed several times in turn and the quickest of each counts.
"""

from __future__ import annotations

import sys
import time

import animator
from animator.motion.recording import Recorder
from animator.world.building import World
from animator.world.stepping import run as step_on
from animator.world.stepping import settle
from tests.speed.films import DEMOS, SCENES
from tests.speed.table import keep

RATIO = 2.5
# What exact curves, belts, discs, springs and drives may cost beyond it, measured when they were first tried. [us]
CONTACT, BELT, DISC, SPRING, DRIVE = 25.0, 5.0, 12.0, 3.0, 3.0
SECONDS = 3.0
ROUNDS = 3


def timed_run(world: World) -> tuple[float, int]:
    """Run a world for a while, with everything: time a step [us], and how many steps it were."""
    settle(world)
    recorder, steps = Recorder(world), 0

    def count(t: float) -> None:
        nonlocal steps
        steps += 1

    world.before.append(count)
    start = time.perf_counter()
    step_on(world, recorder, SECONDS, None)
    return (time.perf_counter() - start) / steps * 1e6, steps


def timed_bare(world: World, steps: int) -> float:
    """Step the engine alone. [us]"""
    settle(world)
    step, dt = world.space.step, world.settings.dt
    start = time.perf_counter()
    for _ in range(steps):
        step(dt)
    return (time.perf_counter() - start) / steps * 1e6


def allowance(world: World) -> float:
    """Give what the scene's exact contacts, belts, discs, springs and drives may cost a step. [us]"""
    kinds = [part.kind for part in world.scene.parts.values()]
    return (
        CONTACT * len(world.contacts)
        + BELT * kinds.count("belt")
        + DISC * kinds.count("friction disc")
        + SPRING * sum(kind.endswith("spring") for kind in kinds)
        + DRIVE * len(world.drives)
    )


def measure(name: str, variant: str | None) -> None:
    scene = animator.read(SCENES / f"{name}.yaml", variant)
    label = f"{name} {variant or ''}".strip()
    whole, bare = [], []
    for _ in range(ROUNDS):
        time_a_step, steps = timed_run(animator.build(scene))
        whole.append(time_a_step)
        bare.append(timed_bare(animator.build(scene), steps))
    extra = allowance(animator.build(scene))
    keep("stepping", label, "a step", min(whole), "us")
    keep("stepping", label, "the engine's own", min(bare), "us")
    keep("stepping", label, "allowance", extra, "us")
    keep("stepping", label, "ratio", min(whole) / min(bare), "1")
    limit = RATIO * min(bare) + extra
    keep("stepping", label, "of what it may cost", min(whole) / limit, "1", "<= 1")


if __name__ == "__main__":
    for demo, variant in DEMOS:
        if not sys.argv[1:] or demo in sys.argv[1:]:
            measure(demo, variant)
