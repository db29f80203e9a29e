"""What films let hear: in step with the pictures, as long as they, and only where it can be heard as it is."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from animator.outputs import save, sound
from animator.outputs._contract import SOUND_RATE
from animator.outputs.sound import Score, read_sound
from animator.problems import RunError
from tests.films import Roundabout

TONE_HZ = 700.0
ENCODERS = {".wav": "pcm_s16le", ".flac": "flac", ".mp3": "libmp3lame", ".ogg": "libopus"}


class Shown(Roundabout):
    """A film that shows a motion from a moment on, at a speed, standing at the end."""

    def __init__(
        self,
        count: int,
        distinct: int | None = None,
        start: float = 0.0,
        speed: float = 1.0,
        stand_from: int = 10**9,
    ) -> None:
        super().__init__(count, distinct, size=(64, 64))
        self.start, self.speed, self.stand_from = start, speed, stand_from
        self.is_loop = self.distinct < count

    def moment_of(self, index: int) -> tuple[float, float]:
        return self.start + min(index, self.stand_from) * self.speed / self.fps, 0.0


def tone(seconds: float) -> NDArray[np.float32]:
    t = np.arange(round(seconds * SOUND_RATE)) / SOUND_RATE
    return np.repeat(0.5 * np.sin(2 * math.pi * TONE_HZ * t)[:, None], 2, 1).astype(np.float32)


def write_tone(path: Path, seconds: float, rate: int = 44_100) -> None:
    """Write a tone as a file of one channel, at the rate of a compact disc where the encoder takes it."""
    encoder = ENCODERS[path.suffix]
    rate = SOUND_RATE if encoder == "libopus" else rate
    with av.open(str(path), "w") as file:
        stream: Any = file.add_stream(encoder, rate=rate, layout="mono")
        t = np.arange(round(seconds * rate)) / rate
        wave = np.rint(16_000 * np.sin(2 * math.pi * TONE_HZ * t)).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(wave[None], "s16", "mono")
        frame.sample_rate = rate
        # encoders take blocks of their own size and their own number format
        context = stream.codec_context
        context.open(strict=False)
        blocks = av.AudioResampler(context.format, "mono", rate, context.frame_size or 1024)
        for part in [*blocks.resample(frame), *blocks.resample(None)]:
            file.mux(stream.encode(part))
        file.mux(stream.encode(None))


def heard(path: Path) -> NDArray[np.float64]:
    """Left channel of a film, on the film's own clock, from its first moment on."""
    with av.open(str(path)) as film:
        stream = film.streams.audio[0]
        assert stream.rate == SOUND_RATE
        assert stream.channels == 2
        whole = np.zeros(60 * SOUND_RATE)
        last = 0
        for frame in film.decode(stream):
            at = round(float(frame.pts * frame.time_base) * SOUND_RATE)
            part = frame.to_ndarray()[0]
            part = part[max(0, -at) :]
            at = max(0, at)
            whole[at : at + len(part)] = part
            last = at + len(part)
    return whole[:last]


def sounding(samples: NDArray[Any], level: float = 0.05) -> tuple[float, float]:
    """From when to when something is heard. [s]"""
    loud = np.flatnonzero(np.abs(samples) > level)
    return loud[0] / SOUND_RATE, loud[-1] / SOUND_RATE


# ---------------------------------------------------------------- how long
@pytest.mark.parametrize("ending", [".mp4", ".webm"])
@pytest.mark.parametrize("seconds", [0.7, 5.0])
def test_tone_is_looped_or_cut_to_the_film(ending: str, seconds: float, tmp_path: Path) -> None:
    film = Shown(53)  # 2.12 s
    save(film, tmp_path / f"film{ending}", score=Score(tone(seconds)))
    samples = heard(tmp_path / f"film{ending}")
    first, last = sounding(samples)
    assert first < 0.01
    assert last == pytest.approx(53 / 25, abs=0.01)
    # nowhere in between is it silent for longer than a few turns of the wave
    quiet = np.diff(np.flatnonzero(np.abs(samples[: round(2.1 * SOUND_RATE)]) > 0.05)).max()
    assert quiet < 0.005 * SOUND_RATE
    spectrum = np.abs(np.fft.rfft(samples[: 2 * SOUND_RATE]))
    assert np.argmax(spectrum) / 2 == pytest.approx(TONE_HZ, abs=1)
    with av.open(str(tmp_path / f"film{ending}")) as opened:
        assert opened.duration / 1e6 == pytest.approx(53 / 25, abs=0.022)  # one block of AAC
        assert sum(1 for _ in opened.decode(video=0)) == 53


def test_sound_begins_at_its_moment_of_the_run() -> None:
    # the film begins 1 s into the run, the sound at 1.4 s
    laid = Score(tone(9), starts=1.4).laid_on(Shown(50, start=1.0), 25)
    assert sounding(laid[:, 0])[0] == pytest.approx(0.4, abs=0.01)
    # a film that begins later finds the sound under way, at the same place of the wave
    later = Score(tone(9), starts=1.4).laid_on(Shown(50, start=2.0), 25)
    assert np.allclose(
        later[: SOUND_RATE // 2], laid[SOUND_RATE : SOUND_RATE * 3 // 2], atol=1e-6
    )


def test_sound_goes_on_from_round_to_round() -> None:
    once = Score(tone(9)).laid_on(Shown(75), 25)
    rounds = Score(tone(9)).laid_on(Shown(75, 25), 25)
    assert np.array_equal(once, rounds)


def test_sound_is_out_where_the_film_stands_or_is_slowed() -> None:
    standing = Shown(50, stand_from=25)
    score = Score(tone(9))
    assert sounding(score.laid_on(standing, 25)[:, 0])[1] == pytest.approx(1.0, abs=0.045)
    assert "faded out where the film stands" in score.remarks(standing, 25)[0]
    slow = Shown(50, speed=0.25)
    assert not score.laid_on(slow, 25).any()
    assert "so its sound is left out" in score.remarks(slow, 25)[0]
    assert score.remarks(Shown(50), 25) == ()


def test_sound_keeps_step_with_a_film_that_is_a_little_slower() -> None:
    """A round of 0.98 s in 25 pictures lasts 1 s of film; after ten rounds the sound must still be where the piece is."""
    film = Shown(250, 25, speed=0.98)
    pulses = np.zeros((SOUND_RATE * 12, 2), np.float32)
    pulses[:: SOUND_RATE // 2] = 0.9  # every half second of the motion
    laid = Score(pulses).laid_on(film, 25)[:, 0]
    found = np.flatnonzero(laid > 0.3) / SOUND_RATE
    for pulse in range(1, 19):
        assert np.abs(found - pulse * 0.5 / 0.98).min() < 0.002


# ---------------------------------------------------------------- clicks
@pytest.mark.parametrize("ending", [".mp4", ".webm"])
def test_clicks_are_heard_on_their_pictures(ending: str, tmp_path: Path) -> None:
    film = Shown(50, start=0.5)
    moments = (0.5, 1.02, 1.7)  # pictures 0, 13, 30
    save(film, tmp_path / f"film{ending}", score=Score(clicks=moments))
    samples = heard(tmp_path / f"film{ending}")
    for picture in (0, 13, 30):
        start = picture / 25
        part = np.abs(samples[max(0, round((start - 0.1) * SOUND_RATE)) :][: SOUND_RATE // 5])
        onset = max(0, start - 0.1) + np.argmax(part > 0.2) / SOUND_RATE
        assert onset == pytest.approx(start, abs=0.01)
    assert Score(clicks=moments).click_pictures(film, 25) == [0, 13, 30]


def test_finding_of_another_round_clicks_in_the_round_shown() -> None:
    film = Shown(60, 20, start=2.0)  # rounds of 0.8 s from 2.0 s on
    # 0.5 s lies 1.5 s before: as much as 2.1 s in the round shown, which is picture 3
    assert Score(clicks=(0.5,)).click_pictures(film, 25) == [3, 23, 43]
    assert Score(clicks=(2.8,)).click_pictures(film, 25) == [0, 20, 40]


def test_moment_that_isnt_shown_doesnt_click() -> None:
    film = Shown(25, start=2.0)
    score = Score(clicks=(0.5, 9.0))
    assert score.click_pictures(film, 25) == []
    assert score.remarks(film, 25) == (
        "no finding falls into what is shown, so nothing clicks",
    )


def test_film_that_merely_begins_anew_sets_its_sound_back() -> None:
    film = Shown(40, 20, start=1.0)
    film.is_loop = False
    score = Score(tone(9), clicks=(1.2,))
    laid = score.laid_on(film, 25)
    half = len(laid) // 2
    # the first moments are faded in where the clock is set back
    assert np.allclose(laid[1000 : half - 1000], laid[half + 1000 : -1000], atol=1e-6)
    assert score.click_pictures(film, 25) == [5, 25]


def test_moment_between_two_shots_doesnt_click_at_the_cut() -> None:
    class Cut(Shown):
        def moment_of(self, index: int) -> tuple[float, float]:
            return index / 25 + (5.0 if index >= 10 else 0.0), 0.0

    film = Cut(20)
    assert Score(clicks=(3.0,)).click_pictures(film, 25) == []
    assert Score(clicks=(5.4,)).click_pictures(film, 25) == [10]


def test_silent_formats_say_that_the_film_is_silent(tmp_path: Path) -> None:
    for ending in (".gif", ".webp", ".apng", ""):
        saved = save(Shown(9), tmp_path / f"film{ending}", score=Score(tone(1)))
        assert "this format knows no sound: the film is silent" in saved.remarks[0]
    assert save(Shown(9), tmp_path / "film.webm", score=Score(tone(1))).remarks == ()


# ---------------------------------------------------------------- files
@pytest.mark.parametrize("ending", sorted(ENCODERS))
def test_sound_files_are_read(ending: str, tmp_path: Path) -> None:
    write_tone(tmp_path / f"tone{ending}", 1.5)
    samples = read_sound(tmp_path / f"tone{ending}")
    assert samples.shape[1] == 2
    assert np.allclose(samples[:, 0], samples[:, 1], atol=1e-3)
    first, last = sounding(samples[:, 0])
    assert first < 0.04  # what an encoder puts in front
    assert last == pytest.approx(1.5, abs=0.06)
    middle = samples[SOUND_RATE // 2 : SOUND_RATE, 0]
    assert np.argmax(np.abs(np.fft.rfft(middle))) * 2 == pytest.approx(TONE_HZ, abs=2)


def test_wrong_sound_files_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(RunError, match="there is no sound file"):
        read_sound(tmp_path / "none.wav")
    (tmp_path / "text.wav").write_text("this is no sound " * 99)
    with pytest.raises(RunError, match=r"text\.wav can't be read as sound .*: give a \.wav"):
        read_sound(tmp_path / "text.wav")
    (tmp_path / "empty.mp3").write_bytes(b"")
    with pytest.raises(RunError, match="can't be read as sound"):
        read_sound(tmp_path / "empty.mp3")
    save(Roundabout(3), tmp_path / "silent.mp4")
    with pytest.raises(RunError, match=r"silent\.mp4 holds no sound"):
        read_sound(tmp_path / "silent.mp4")
    write_tone(tmp_path / "long.wav", 1.5)
    monkeypatch.setattr(sound, "LONGEST", 1.0)
    with pytest.raises(RunError, match=r"long\.wav lasts longer than"):
        read_sound(tmp_path / "long.wav")
