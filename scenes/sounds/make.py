"""Makes the spoken sounds of the scenes: ``python scenes/sounds/make.py`` writes each WAV anew, and always the same bytes.

A voice of pulses and noise is sent through four resonators that move from sound to sound of the words: the source and filter of speech. Formants of the
vowels are the men's means of Peterson and Barney, "Control methods used in a study of the vowels", Journal of the Acoustical Society of America 24 (1952),
table II; the resonator is that of Klatt, "Software for a cascade/parallel formant synthesizer", Journal of the Acoustical Society of America 67 (1980)
971-995 (both from memory). Consonants, lengths and loudness by ear.
"""

import struct
import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

HERE = Path(__file__).resolve().parent
RATE = 16_000  # samples a second; enough for what a mouth does
QUIET = 0.3  # s before the first word and after the last
SLOWNESS = 1.3  # a caller on a quay draws his words out
BANDWIDTHS = (70.0, 100.0, 140.0, 250.0)  # Hz
FOURTH = 3400.0  # Hz; the fourth formant stays
GLIDE = 0.050  # s from one sound's formants to the next
ONSET = 0.018  # s in which loudness follows
Samples = NDArray[np.float64]


@dataclass(frozen=True)
class Sound:
    """A sound of speech: formants [Hz], how loud the voice is, how loud the hiss and where it lies [Hz]."""

    formants: tuple[float, float, float]
    voice: float = 0.0
    hiss: float = 0.0
    hiss_at: float = 3000.0


SOUNDS = {
    "ee": Sound((270, 2290, 3010), 0.8),
    "i": Sound((390, 1990, 2550), 0.8),
    "e": Sound((530, 1840, 2480), 0.9),
    "a": Sound((660, 1720, 2410), 1.0),
    "ah": Sound((730, 1090, 2440), 1.0),
    "aw": Sound((570, 840, 2410), 1.0),
    "oo": Sound((440, 1020, 2240), 0.8),
    "uh": Sound((640, 1190, 2390), 0.8),
    "er": Sound((490, 1350, 1690), 0.7),
    "l": Sound((360, 1100, 2600), 0.45),
    "r": Sound((420, 1200, 1600), 0.45),
    "n": Sound((280, 1500, 2500), 0.3),
    "ng": Sound((280, 1900, 2700), 0.28),
    "m": Sound((270, 1100, 2300), 0.28),
    "w": Sound((300, 700, 2200), 0.4),
    "th": Sound((320, 1300, 2500), 0.25, 0.05, 5000),
    "v": Sound((300, 1200, 2400), 0.25, 0.06, 4500),
    "z": Sound((300, 1600, 2600), 0.15, 0.18, 5500),
    "s": Sound((300, 1600, 2600), 0.0, 0.22, 5500),
    "shut": Sound((300, 1200, 2500)),  # lips or tongue close the way
    "hum": Sound((250, 1000, 2300), 0.10),  # closed, the voice goes on
    "b": Sound((350, 900, 2300), 0.2, 0.12, 900),
    "d": Sound((350, 1700, 2600), 0.2, 0.15, 3500),
    "t": Sound((350, 1700, 2600), 0.0, 0.25, 4500),
}

# name -> words, each with its sounds and how long they last [ms]; "" is a rest.
TEXTS: dict[str, tuple[tuple[str, str], ...]] = {
    "ferryman": (
        ("all", "aw 190 l 90"),
        ("", "shut 30"),
        ("aboard", "uh 70 hum 60 b 15 aw 230 r 80 hum 40 d 20"),
        ("", "shut 420"),
        ("the", "th 55 uh 75"),
        ("last", "l 80 a 190 s 120 shut 40 t 30"),
        ("", "shut 40"),
        ("boat", "hum 50 b 15 aw 90 oo 100 shut 50 t 30"),
        ("is", "i 90 z 90"),
        ("leaving", "l 80 ee 160 v 60 i 80 ng 100"),
        ("", "shut 60"),
        ("now", "n 100 ah 170 oo 190"),
    ),
}


def spoken(text: tuple[tuple[str, str], ...]) -> tuple[Samples, dict[str, float]]:
    """Speak a text: samples from -1 to 1, and the moment at which each word begins [s]."""
    stretches: list[tuple[Sound, float]] = [(SOUNDS["shut"], QUIET)]
    marks: dict[str, float] = {}
    for word, sounds in text:
        if word:
            marks[word] = sum(length for _, length in stretches)
        pieces = sounds.split()
        stretches += [
            (SOUNDS[name], SLOWNESS * float(length) / 1000)
            for name, length in zip(pieces[::2], pieces[1::2], strict=True)
        ]
    stretches.append((SOUNDS["shut"], QUIET))
    counts = [round(length * RATE) for _, length in stretches]

    def track(values: list[float], smooth: float) -> Samples:
        window = np.hanning(round(smooth * RATE) + 2)[1:-1]
        steps = np.repeat(values, counts)
        edge = len(window)
        padded = np.concatenate([np.full(edge, steps[0]), steps, np.full(edge, steps[-1])])
        return np.convolve(padded, window / window.sum(), "same")[edge:-edge]

    sounds_only = [sound for sound, _ in stretches]
    formants = [track([sound.formants[i] for sound in sounds_only], GLIDE) for i in range(3)]
    voice = track([sound.voice for sound in sounds_only], ONSET)
    hiss = track([sound.hiss for sound in sounds_only], ONSET / 2)
    hiss_at = track([sound.hiss_at for sound in sounds_only], GLIDE)

    excitation = voice * _pulses(len(voice))
    excitation += (
        0.015 * voice * np.random.default_rng(1952).standard_normal(len(voice))
    )  # breath
    heard = excitation
    for centre, width in zip([*formants, np.full(len(voice), FOURTH)], BANDWIDTHS, strict=True):
        heard = _resonator(heard, centre, width)
    noise = np.random.default_rng(1980).standard_normal(len(hiss))
    hissing = _resonator(noise, hiss_at, 1500.0)
    # vowels differ by ten decibels after the resonators; a caller evens that out
    heard = voice * heard / np.maximum(_level(heard / np.maximum(voice, 0.02)), 1e-9)
    heard = heard + hiss * hissing / _level(hissing)
    return 0.85 * heard / np.abs(heard).max(), marks


def _level(samples: Samples) -> Samples:
    """Root of the mean square over a twentieth of a second round each sample."""
    window = np.hanning(round(0.1 * RATE))
    return np.sqrt(np.convolve(samples**2, window / window.sum(), "same") + 1e-12)


def _pulses(count: int) -> Samples:
    """Pulses of the voice: it sinks from 132 to 88 Hz over the text and sways a little, as a caller's does. Rosenberg's pulse, its slope."""
    t = np.arange(count) / RATE
    pitch = (
        132 - 44 * t / t[-1] + 9 * np.sin(2 * np.pi * 1.1 * t) + 2 * np.sin(2 * np.pi * 5.2 * t)
    )
    phase = np.cumsum(pitch / RATE) % 1
    opening, closing = 0.4, 0.16  # shares of a period
    flow = np.where(
        phase < opening,
        0.5 * (1 - np.cos(np.pi * phase / opening)),
        np.where(
            phase < opening + closing, np.cos(np.pi / 2 * (phase - opening) / closing), 0.0
        ),
    )
    return np.diff(flow, prepend=0.0)


def _resonator(samples: Samples, centre: Samples, width: float) -> Samples:
    """Send samples through a resonator whose frequency moves [Hz]; unit gain for steady flow (Klatt)."""
    c = -np.exp(-2 * np.pi * width / RATE)
    b = 2 * np.exp(-np.pi * width / RATE) * np.cos(2 * np.pi * centre / RATE)
    fed = ((1 - b - c) * samples).tolist()
    out = []
    before = last = 0.0
    for x, turn in zip(fed, b.tolist(), strict=True):
        before, last = last, x + turn * last + c * before
        out.append(last)
    return np.array(out)


def write(path: Path, samples: Samples, marks: dict[str, float]) -> None:
    """Write a mono WAV of 16 bits, with its words as cue points and their labels (the RIFF standard's ``cue`` and ``adtl``)."""
    whole = np.round(samples * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(whole.tobytes())
    at = [round(moment * RATE) for moment in marks.values()]
    cues = struct.pack("<I", len(at)) + b"".join(
        struct.pack("<II4sIII", i + 1, place, b"data", 0, 0, place)
        for i, place in enumerate(at)
    )
    labels = b"adtl" + b"".join(
        _chunk(b"labl", struct.pack("<I", i + 1) + word.encode() + b"\0")
        for i, word in enumerate(marks)
    )
    body = path.read_bytes()[8:] + _chunk(b"cue ", cues) + _chunk(b"LIST", labels)
    path.write_bytes(b"RIFF" + struct.pack("<I", len(body)) + body)


def _chunk(name: bytes, body: bytes) -> bytes:
    return name + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2)


def main() -> None:
    """Write every sound, and tell what a scene says of it."""
    for name, text in TEXTS.items():
        samples, marks = spoken(text)
        path = HERE / f"{name}.wav"
        write(path, samples, marks)
        told = ", ".join(f"{word}: {moment:.2f} s" for word, moment in marks.items())
        print(f"{path.name}: {len(samples) / RATE:.2f} s, {path.stat().st_size / 1000:.0f} kB")
        print(f"  sound: {{file: sounds/{path.name}, marks: {{{told}}}}}")


if __name__ == "__main__":
    main()
