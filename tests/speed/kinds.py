"""What a step of each kind costs, and how it grows: ``python -m tests.speed.kinds [NAME ...]``.

Three tables, each from one run: every kind's own scene beside the engine's bare step (same bodies and joints, nothing else); how its time compares
with the real one; and pieces of 14 to 62 parts at the same step and iterations.
"""

from __future__ import annotations

import sys
import textwrap
import time
from pathlib import Path

import animator
from animator.world.assembling import assemble
from animator.world.building import World, build
from animator.world.settings import Settings
from animator.world.stepping import settle, stride
from tests.speed.stepping import CONTACT, DRIVE, RATIO, SPRING, timed_bare
from tests.speed.table import keep

ROOT = Path(__file__).resolve().parent.parent.parent / "scenes"
# us a step, what the trials of each construction took
ROPE, LOOP, PAWL, MESH, SIGNAL = 15.0, 6.0, 25.0, 12.0, 3.0
ALLOWED = {
    "string": ROPE,
    "wire": 5.0,
    "belt": LOOP,
    "chain": LOOP,
    "friction disc": 12.0,
    "tyre": LOOP,
    "gear": MESH,
    "rack": MESH,
    "worm": MESH,
    "crown wheel": MESH,
    "bevel gear": MESH,
    "epicyclic train": MESH,
    "universal joint": MESH,
    "geneva wheel": MESH,
    "pawl": PAWL,
    "paddle gear": PAWL,
    "pin wheel": PAWL,
    "switch": SIGNAL,
    "lamp": SIGNAL,
    "coin slot": SIGNAL,
    "hinge": SPRING,
    "rubber band": SPRING,
}
SMALL = 20, 4  # bodies, exact contacts: such a piece keeps up with the clock on one core
LARGER = 2.5  # times the clock's, for larger ones
SECONDS, ROUNDS = 1.0, 3


def timed(world: World) -> tuple[float, int]:
    """Run a world for a second of its own, with everything but the recorder: a step [us], and how many they were."""
    settle(world)
    for drive in world.drives:
        drive.is_released = True
    now, steps = 0.0, 0
    start = time.perf_counter()
    while now < SECONDS:
        now = stride(world, now)
        steps += world.settings.steps_a_sample
    return (time.perf_counter() - start) / steps * 1e6, steps


def allowance(world: World) -> float:
    """Give what the kinds of a scene may cost a step besides the engine. [us]"""
    parts = world.scene.parts.values()
    return (
        CONTACT * len(world.contacts)
        + DRIVE * len(world.drives)
        + SPRING * sum(part.kind.endswith("spring") for part in parts)
        + sum(ALLOWED.get(part.kind, 0.0) for part in parts)
    )


def measure(path: Path) -> None:
    """Time one scene."""
    scene = animator.read(path)
    whole, bare = [], []
    for _ in range(ROUNDS):
        step, steps = timed(animator.build(scene))
        whole.append(step)
        bare.append(timed_bare(animator.build(scene), steps))
    world = animator.build(scene)
    label, least, own = path.stem, min(whole), min(bare)
    keep("kinds", label, "a step", least, "us")
    keep("kinds", label, "ratio to the bare step", least / own, "1")
    keep(
        "kinds",
        label,
        "of what it may cost",
        least / (RATIO * own + allowance(world)),
        "1",
        "<= 1",
    )
    clock = least / (world.settings.dt * 1e6)
    is_small = len(world.links) <= SMALL[0] and len(world.contacts) <= SMALL[1]
    keep("kinds", label, "of the clock's time", clock, "1", f"<= {1 if is_small else LARGER:g}")


def rods(count: int) -> str:
    """Give a piece of so many cranks, rods and rams on one shaft: 2 + 3 count parts."""
    lines = [
        "shaft: {kind: shaft, at: [100, 60], bearing: {ball: yes}}",
        "handle: {kind: handle, on: shaft, speed: 60 rpm}",
    ]
    for i in range(count):
        lines += [
            f"crank {chr(97 + i)}: {{kind: crank, on: shaft, radius: {10 + 0.5 * i}, angle: {17 * i}}}",
            f"rod {chr(97 + i)}: {{kind: rod, from: crank {chr(97 + i)}.pin, to: ram {chr(97 + i)}.pin, length: 70}}",
            f"ram {chr(97 + i)}: {{kind: slider, slides: up, guide: {{at: [100, 190], length: 10, ideal: yes}}, length: 100}}",
        ]
    return "title: Rods\nparts:\n" + textwrap.indent("\n".join(lines), "  ")


def growth() -> None:
    """Time pieces of 14 to 62 parts at one step and one number of iterations."""
    from animator.scene import read

    first = 0.0
    for count in (4, 8, 12, 16, 20):
        scene = assemble(read("rods.yaml", text=rods(count)))
        step = min(timed(build(scene, 0.5, Settings(1e-4, 60)))[0] for _ in range(ROUNDS))
        each = step / len(scene.parts)
        first = first or each
        keep("growth", f"{len(scene.parts)} parts", "a step", step, "us")
        keep(
            "growth",
            f"{len(scene.parts)} parts",
            "a part beside the first row",
            each / first,
            "1",
            "<= 1",
        )


if __name__ == "__main__":
    asked = sys.argv[1:]
    for path in [*sorted((ROOT / "kinds").glob("*.yaml")), *sorted(ROOT.glob("*.yaml"))]:
        if not asked or path.stem in asked:
            measure(path)
    if not asked or "growth" in asked:
        growth()
