"""A piece as it might really be cut: every length a little off, within the tolerance its part allows."""

from __future__ import annotations

import zlib
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from animator.scene.model import Scene


def off_size(scene: Scene, sample: int) -> Scene:
    """Cut every part that says a ``tolerance`` a little off size.

    Parameters
    ----------
    scene
        As read; put it together anew (``assemble``) before it runs.
    sample
        Which of the many pieces that could come of it: the same number cuts the same piece.

    Returns
    -------
    Scene
        With each of those parts' ``dimensions`` moved by a length evenly drawn from minus to plus its tolerance. [mm]
    """
    import numpy as np

    parts = dict(scene.parts)
    for name, part in scene.parts.items():
        if not part.tolerance:
            continue
        # by its name, so that a part's own errors are the same whatever else the scene holds
        chance = np.random.default_rng([sample, zlib.crc32(name.encode())])
        for path, value in part.dimensions().items():
            off = float(chance.uniform(-part.tolerance, part.tolerance))
            part = part.with_dimension(path, max(value + off, 1e-3))
        parts[name] = part
    return replace(scene, parts=parts, starts={})
