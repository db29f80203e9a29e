"""Makes the sounds of the snail porter: ``python scenes/sounds/porter.py`` writes both WAVs anew, and always the same bytes.

``porter.wav`` is his voice alone, as long as one turn of his cams: his mouth's cam is cut from it. ``porter-night.wav`` is what a visitor hears from the coin
on: coin, motor, lamp, a music box and the voice. The voice is that of ``make.py``; lengths, notes and loudness by ear.
"""

import numpy as np
from make import HERE, RATE, Samples, spoken, write

TURN = 15.8  # s from the coin on; a turn of his cams lasts 15.46 s at middling friction, as the run shows
SPEAKS = 4.3  # s after the coin
TAIL = 1.4  # s; the last note dies away
# a snail's pace: no mouth's cam could be filed for quicker words
TEXT = (
    ("sir", "s 110 er 400"),
    ("", "shut 330"),
    ("no", "n 120 ah 90 oo 340"),
    ("", "shut 300"),
    ("room", "r 90 oo 470 m 240"),
    ("", "shut 420"),
    ("till", "shut 40 t 30 i 320 l 250"),
    ("", "shut 300"),
    ("may", "m 150 e 170 ee 370"),
)
# a lullaby of our own: beats of 0.45 s from the lamp's first light, note as half tones over C5
TUNE = (0, 7, 12, 7, 9, 7, 4, None, 2, 9, 14, 9, 11, 7, 5, None, 0, 7, 12, 7, 9, 5, 2, None, 4, 2, 0, None, 0)  # fmt: skip
FIRST, BEAT = 1.5, 0.45
LIT, DARK, OFF = (
    1.06,
    14.19,
    15.11,
)  # s; where the lamp's switch clicks, and where the motor's own does


def at(whole: Samples, moment: float, samples: Samples) -> None:
    """Lay samples into the whole from a moment on. [s]"""
    first = round(moment * RATE)
    part = whole[first : first + len(samples)]
    part += samples[: len(part)]


def plucked(hz: float, seconds: float = 1.6) -> Samples:
    """A tooth of a comb: three partials of a clamped bar (1, 6.27, 17.5; any text on vibrating bars) that die away, the high ones first."""
    t = np.arange(round(seconds * RATE)) / RATE
    made = np.zeros(len(t))
    for ratio, loud, fall in ((1.0, 1.0, 0.55), (6.27, 0.16, 0.09), (17.5, 0.05, 0.03)):
        if hz * ratio < RATE / 2:
            made += loud * np.sin(2 * np.pi * hz * ratio * t) * np.exp(-t / fall)
    return made * np.minimum(t / 0.002, 1.0)


def clink(hz: float, seconds: float = 0.35) -> Samples:
    """A coin against brass."""
    t = np.arange(round(seconds * RATE)) / RATE
    ring = sum(
        loud * np.sin(2 * np.pi * hz * ratio * t) * np.exp(-t / fall)
        for ratio, loud, fall in ((1.0, 1.0, 0.09), (1.72, 0.6, 0.06), (2.41, 0.4, 0.04))
    )
    return np.asarray(ring * np.minimum(t / 0.0006, 1.0))


def tick() -> Samples:
    """A switch's contact springing over."""
    t = np.arange(round(0.03 * RATE)) / RATE
    return np.asarray(np.cos(2 * np.pi * 2100 * t) * np.exp(-t / 0.004))


def humming(count: int) -> Samples:
    """A small motor in its wooden box: it runs up, hums, and runs out at the end of the turn."""
    t = np.arange(count) / RATE
    speed = np.clip(t / 0.15, 0, 1) * np.clip((OFF + 0.3 - t) / 0.3, 0, 1)
    phase = 2 * np.pi * np.cumsum(62 * speed) / RATE
    rough = 1 + 0.25 * np.sin(2 * np.pi * 3.1 * t)
    return np.asarray(
        speed * rough * (np.sin(phase) + 0.5 * np.sin(2 * phase) + 0.25 * np.sin(5 * phase))
    )


def made() -> tuple[Samples, Samples, dict[str, float]]:
    """Voice alone, everything together, and the moments at which words begin. [s]"""
    voice = np.zeros(round(TURN * RATE))
    said, marks = spoken(TEXT)
    at(voice, SPEAKS, said)
    night = np.zeros(round((TURN + TAIL) * RATE))
    night[: len(voice)] += 0.85 * voice
    at(night, 0.0, 0.5 * clink(2300))
    at(night, 0.2, 0.35 * clink(1650))
    at(night, LIT, 0.4 * tick())
    at(night, DARK, 0.4 * tick())
    at(night, OFF, 0.4 * tick())
    night += 0.018 * humming(len(night))
    for beat, note in enumerate(TUNE):
        if note is not None:
            soft = (
                0.10 if SPEAKS - 0.2 < FIRST + beat * BEAT < SPEAKS + len(said) / RATE else 0.17
            )
            at(night, FIRST + beat * BEAT, soft * plucked(523.25 * 2 ** (note / 12)))
    night *= 0.9 / np.abs(night).max()
    return voice, night, {word: SPEAKS + moment for word, moment in marks.items()}


def main() -> None:
    """Write both, and tell what the scene says of them."""
    voice, night, marks = made()
    write(HERE / "porter.wav", voice, marks)
    write(HERE / "porter-night.wav", night, marks)
    told = ", ".join(f"{word}: {moment:.2f} s" for word, moment in marks.items())
    print(f"porter.wav: {len(voice) / RATE:.2f} s; porter-night.wav: {len(night) / RATE:.2f} s")
    print(f"  sound: {{file: sounds/porter-night.wav, marks: {{{told}}}}}")


if __name__ == "__main__":
    main()
