"""What putting a piece together costs: ``python -m tests.speed.assembling``.

Every variant of every demo, from the read scene to its starting poses with the turn tried once round, and the advice given for every
wrong scene of ``tests/wrong/geometry``. Wanted: 0.2 s a demo, 0.5 s for advice. The middle of several timings counts.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from pathlib import Path

from animator.problems import SceneError
from animator.scene import read_all
from animator.world.assembling import assemble
from tests.speed.table import keep

ROUNDS = 5
HOME = Path(__file__).parents[2]


def timed(work: Callable[[], object]) -> float:
    """Middle of several timings. [ms]"""
    spans = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        spans.append(time.perf_counter() - start)
    return 1e3 * statistics.median(spans)


def main() -> None:
    for path in sorted((HOME / "scenes").glob("*.yaml")):
        worst = max(
            timed(lambda scene=scene: assemble(scene)) for scene in read_all(path).values()
        )
        keep("assembling", path.stem, "start and turn, slowest variant", worst, "ms", "<= 200")
    spans = []
    for path in sorted((HOME / "tests" / "wrong" / "geometry").glob("*.yaml")):
        (scene,) = read_all(path).values()

        def advise(scene=scene) -> None:
            try:
                assemble(scene)
            except SceneError:
                return
            raise AssertionError("this scene was meant to be wrong")

        spans.append((timed(advise), path.stem))
    span, name = max(spans)
    keep("assembling", name, "slowest advice", span, "ms", "<= 500")


if __name__ == "__main__":
    main()
