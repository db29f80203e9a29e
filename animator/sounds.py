"""A sound file as plain samples: what a cam that is cut from a sound listens to.

Nothing heavy is imported before a file is opened.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

ENDINGS = (".wav", ".ogg", ".mp3", ".flac", ".m4a", ".opus")
RATE = 16_000  # samples a second; loudness has nothing faster that a cam could show
LONGEST = 1200.0  # s; as long as a scene's own sound may be


class Unheard(ValueError):
    """A sound file that can't be used, and why."""


def heard(path: Path) -> Samples:
    """Read a sound file as one row of samples from -1 to 1 at ``RATE``, both ears mixed; read again only when it has changed.

    Raises
    ------
    Unheard
        It holds no sound that can be read, or more than ``LONGEST``.
    """
    try:
        stat = path.stat()
        return _heard(path, (stat.st_mtime_ns, stat.st_size))
    except OSError as trouble:
        raise Unheard(f"it can't be opened ({trouble.strerror or trouble})") from None


@lru_cache(maxsize=8)
def _heard(path: Path, stamp: tuple[int, int]) -> Samples:
    import av
    import numpy as np

    try:
        with av.open(str(path)) as file:
            if not file.streams.audio:
                raise Unheard("it holds no sound")
            found = _decoded(file)
    except av.FFmpegError as trouble:
        raise Unheard(
            f"it can't be read as sound ({trouble.strerror or 'unknown contents'})"
        ) from None
    if not len(found):
        raise Unheard("it holds no sound: it is empty")
    return np.asarray(np.nan_to_num(found).clip(-1, 1))


def _decoded(file: Any) -> Samples:
    import av
    import numpy as np

    resampler = av.AudioResampler("fltp", "mono", RATE)
    blocks = []
    count = 0
    for frame in [*file.decode(file.streams.audio[0]), None]:
        for part in resampler.resample(frame):
            blocks.append(part.to_ndarray()[0].astype(float))
            count += len(blocks[-1])
            if count > LONGEST * RATE:
                raise Unheard(f"it lasts longer than {LONGEST / 60:g} minutes")
    return np.concatenate(blocks) if blocks else np.zeros(0)
