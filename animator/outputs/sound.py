"""What a film lets hear: the scene's own sound, in step with the motion, and a click at each finding.

The sound belongs to the motion, not to the film: what is heard is what the piece's clock says at the picture shown. A piece that goes
round is taken to go on, so the sound runs through and begins again when it is over; of a piece that stops by itself it is heard once. Where the film stands or shows the piece
slower or faster than it is, the sound is faded out: a slowed sound would be another sound.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from animator.outputs._contract import SOUND_RATE, Frames
from animator.problems import RunError

if TYPE_CHECKING:
    from animator.outputs._contract import Samples

ENDINGS = (".wav", ".ogg", ".mp3", ".flac", ".m4a", ".opus")
LONGEST = 1200.0  # s; twenty minutes of sound are 460 MB in memory
FADE = 0.006  # s; what is cut off hard clicks
# A round is a whole number of pictures, so its film is a little quicker or slower than the piece; the sound then is too, by less than a semitone (0.06).
TRUE_SPEED = 0.05  # share by which a film may be off the piece's own speed and still be heard
JUST = 1e-9  # s; moments closer than that are the same
CLICK_HZ, CLICK_SECONDS, CLICK_FALL = 1800.0, 0.03, 0.006  # a dry tick, by ear; no source
CLICK_LOUDNESS = 0.6


def read_sound(path: Path) -> Samples:
    """Read a sound file as left and right at ``SOUND_RATE``.

    Raises
    ------
    RunError
        There is no such file, it holds no sound, or it is too long.
    """
    try:
        import av
    except ImportError as trouble:
        raise RunError(
            f"sound needs the package av, which can't start ({trouble}): pip install av"
        ) from trouble
    if not path.is_file():
        raise RunError(f"there is no sound file {path}")
    try:
        with av.open(str(path)) as file:
            if not file.streams.audio:
                raise RunError(f"{path.name} holds no sound: give {_told_endings()}")
            samples = _decoded(file, path.name)
    except (av.FFmpegError, OSError) as trouble:
        raise RunError(
            f"{path.name} can't be read as sound ({trouble.strerror or 'unknown contents'}): give {_told_endings()}"
        ) from trouble
    if not len(samples):
        raise RunError(f"{path.name} holds no sound: it is empty")
    return samples


def _decoded(file: Any, name: str) -> Samples:
    import av

    resampler = av.AudioResampler("fltp", "stereo", SOUND_RATE)
    blocks: list[NDArray[np.float32]] = []
    count = 0
    for frame in [*file.decode(file.streams.audio[0]), None]:
        for part in resampler.resample(frame):
            blocks.append(part.to_ndarray().T.astype(np.float32, copy=False))
            count += len(blocks[-1])
            if count > LONGEST * SOUND_RATE:
                raise RunError(
                    f"{name} lasts longer than {LONGEST / 60:g} minutes: give a shorter sound"
                )
    if not blocks:
        return np.zeros((0, 2), np.float32)
    return np.nan_to_num(np.concatenate(blocks)).clip(-1, 1).astype(np.float32)


def _told_endings() -> str:
    return f"a {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]} file"


@dataclass(frozen=True)
class Score:
    """What is to be heard.

    Parameters
    ----------
    samples
        The scene's sound, or None.
    starts
        Moment of the motion at which it begins. [s]
    clicks
        Moments of the motion at which a click is heard. [s]
    """

    samples: Samples | None = None
    starts: float = 0.0
    clicks: tuple[float, ...] = ()

    def laid_on(self, frames: Frames, fps: float) -> Samples:
        """Give the sound of a film, exactly as long as it is.

        Parameters
        ----------
        frames
            The film. What it shows is asked by ``moment_of``; a film without it shows the motion from its start.
        fps
            Pictures a second.
        """
        moments = moments_of(frames, fps)
        heard = np.zeros((round(frames.frame_count / fps * SOUND_RATE), 2), np.float32)
        if self.samples is not None:
            self._lay_sound(heard, moments, frames, fps)
        tick = click()
        for index in self.click_pictures(frames, fps):
            start = round(index / fps * SOUND_RATE)
            part = heard[start : start + len(tick)]
            part += tick[: len(part)]
        return np.clip(heard, -1, 1)

    def _lay_sound(
        self, heard: Samples, moments: NDArray[np.float64], frames: Frames, fps: float
    ) -> None:
        assert self.samples is not None
        is_true = np.abs(np.diff(moments) * fps - 1) < TRUE_SPEED
        if len(moments) == 1:
            is_true = np.array([True])
        # Stretches at the true speed; a jump of the clock at a cut between shots begins another.
        edges = np.flatnonzero(np.diff(np.concatenate([[False], is_true, [False]]).astype(int)))
        for first, last in zip(edges[::2], edges[1::2], strict=True):
            # so many steps are one picture more
            start, stop = (round(index / fps * SOUND_RATE) for index in (first, last + 1))
            stop = min(stop, len(heard))
            offset = round((moments[first] - self.starts) * SOUND_RATE)
            pace = (
                (moments[last] - moments[first]) / (last - first) * fps if last > first else 1.0
            )
            part = self._part(offset, stop - start, pace, getattr(frames, "is_show", False))
            fade = min(round(FADE * SOUND_RATE), len(part) // 2)
            ramp = np.linspace(0, 1, fade, endpoint=False, dtype=np.float32)[:, None]
            if first > 0:
                part[:fade] *= ramp
            if stop < len(heard):
                part[len(part) - fade :] *= ramp[::-1]
            heard[start:stop] = part

    def _part(self, offset: int, count: int, pace: float, is_once: bool = False) -> Samples:
        """Give samples from a place of the sound on, going round (unless it is heard once), silent before its beginning."""
        assert self.samples is not None
        at = offset + np.arange(count) * (1.0 if abs(pace - 1) < 1e-6 else pace)
        whole = np.floor(at).astype(np.int64)
        share = (at - whole)[:, None].astype(np.float32)
        length = len(self.samples)
        part: Samples = self.samples[whole % length] * (1 - share)
        part += self.samples[(whole + 1) % length] * share
        part[whole < 0] = 0
        if is_once:
            part[whole >= length - 1] = 0
        return part

    def click_pictures(self, frames: Frames, fps: float) -> list[int]:
        """Give the numbers of the pictures at which a click begins: the first that shows the moment or what follows it.

        A moment outside the stretch shown is brought into it where the film goes round, as the marks are.
        """
        shown = moments_of(frames, fps)
        step = np.diff(shown, prepend=shown[0] - 1 / fps)
        # Where the clock jumps, at a cut between shots, what lies between isn't shown.
        usual = np.maximum(np.append(step[0], step[:-1]), np.append(step[1:], step[-1]))
        before = shown - np.where((step < 0) | (step > 2 * usual + 1e-9), 1 / fps, step)
        found: set[int] = set()
        for moment in self.clicks:
            for at in _rounds(moment, shown, frames, fps):
                is_shown = (before + JUST < at) & (at <= shown + JUST)
                found.update(np.flatnonzero(is_shown).tolist())
        return sorted(found)

    def remarks(self, frames: Frames, fps: float) -> tuple[str, ...]:
        """Give sentences about what can't be heard."""
        moments = moments_of(frames, fps)
        said = []
        if self.samples is not None and len(moments) > 1:
            is_true = np.abs(np.diff(moments) * fps - 1) < TRUE_SPEED
            if not is_true.any():
                said.append(
                    "the film is slower or faster than the piece, so its sound is left out"
                )
            elif not is_true.all():
                said.append(
                    "the sound is faded out where the film stands or isn't at the piece's own speed"
                )
        if self.clicks and not self.click_pictures(frames, fps):
            said.append("no finding falls into what is shown, so nothing clicks")
        return tuple(said)


def _goes_round(frames: Frames) -> bool:
    """Tell whether the piece goes round in a film; a film of several shots begins anew without that."""
    return bool(getattr(frames, "is_loop", frames.distinct < frames.frame_count))


def _rounds(
    moment: float, shown: NDArray[np.float64], frames: Frames, fps: float
) -> Iterator[float]:
    """Give a moment as often as a film shows it that goes on from round to round; once where it doesn't come round."""
    distinct = min(frames.distinct, frames.frame_count)
    if not _goes_round(frames) or distinct < 2:
        yield moment
        return
    whole = shown[distinct - 1] - shown[0] + shown[distinct - 1] - shown[distinct - 2]
    first = shown[0] - 1 / fps
    at = float(moment - math.floor((moment - first - JUST) / whole) * whole)
    while at <= shown[-1] + JUST:
        yield at
        at += whole


def moments_of(frames: Frames, fps: float) -> NDArray[np.float64]:
    """Give what the piece's clock says at each picture, going on where the piece goes round, set back where the film merely begins anew. [s]"""
    ask = getattr(frames, "moment_of", None)
    count = frames.frame_count
    if ask is None:
        return np.arange(count) / fps
    distinct = min(frames.distinct, count)
    once = np.array([ask(index)[0] for index in range(distinct)], np.float64)
    if not _goes_round(frames):
        repeated: NDArray[np.float64] = once[np.arange(count) % distinct]
        return repeated
    if distinct == count:
        return once
    # The step over the joint is as long as the one before it.
    step = once[-1] - once[-2] if distinct > 1 else 0.0
    whole = once[-1] - once[0] + step
    numbers = np.arange(count)
    moments: NDArray[np.float64] = once[numbers % distinct] + numbers // distinct * whole
    return moments


def click() -> Samples:
    """Make a short dry tick that begins at once."""
    t = np.arange(round(CLICK_SECONDS * SOUND_RATE)) / SOUND_RATE
    wave = CLICK_LOUDNESS * np.cos(2 * np.pi * CLICK_HZ * t) * np.exp(-t / CLICK_FALL)
    return np.repeat(wave[:, None], 2, 1).astype(np.float32)
