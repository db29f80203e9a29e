"""The snail porter: a coin piece with its sound, from the coin to its rest."""

import importlib.util
import sys
import wave

import numpy as np
import pytest

import animator
from animator.findings.claims import judge
from animator.findings.examining import find
from animator.outputs.sound import SOUND_RATE, Score, read_sound
from animator.pictures.film import Film
from tests.pieces import SCENES

SOUNDS = SCENES / "sounds"


@pytest.fixture(scope="module")
def night():
    return animator.run(animator.read(SCENES / "porter.yaml", "as drawn"))


def loudness(name):
    """Level of a sound at every millisecond."""
    with wave.open(str(SOUNDS / name)) as file:
        rate, raw = file.getframerate(), file.readframes(file.getnframes())
    samples = np.frombuffer(raw, "<i2") / 32768
    window = rate // 10
    level = np.sqrt(np.convolve(samples**2, np.ones(window) / window, "same"))
    return level[:: rate // 1000]


def test_sounds_are_those_the_script_makes(monkeypatch):
    monkeypatch.syspath_prepend(str(SOUNDS))
    monkeypatch.delitem(sys.modules, "make", raising=False)
    spec = importlib.util.spec_from_file_location("porter_sounds", SOUNDS / "porter.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    voice, night, marks = module.made()
    for name, samples in (("porter.wav", voice), ("porter-night.wav", night)):
        with wave.open(str(SOUNDS / name)) as file:
            kept = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        assert len(kept) == len(samples)
        assert np.abs(kept - np.round(samples * 32767)).max() <= 1
    said = animator.read(SCENES / "porter.yaml").sound.marks
    assert said == pytest.approx(marks, abs=0.01)


@pytest.mark.slow
def test_the_porter_holds_what_he_claims_and_stops_himself(night):
    findings = find(night)
    missed = [
        claim.text for claim in night.scene.claims if not judge(claim, night, findings).is_met
    ]
    assert not missed
    assert not findings
    assert night.sentence == "came to rest by itself, every motor off"
    assert night.trust.residual_percent <= 0.5


@pytest.mark.slow
def test_his_mouth_opens_when_his_voice_is_heard(night):
    jaw = night.frame("jaw")[:, 2]
    jaw = np.abs(jaw - jaw[0])
    level = loudness("porter.wav")
    coin = 1.0
    heard = np.interp(night.times - coin, np.arange(len(level)) / 1000, level, left=0, right=0)
    spoken = slice(4500, 13500)

    def likeness(lag):
        return np.corrcoef(np.roll(jaw, -lag)[spoken], heard[spoken])[0, 1]

    best = max(range(-400, 401, 10), key=likeness)
    assert (
        abs(best) <= 60
    )  # ms; closer than anyone sees lips lag (ITU-R BT.1359: 45 before to 125 after; from memory)
    assert likeness(best) > 0.8


@pytest.mark.slow
def test_his_film_lets_the_sound_be_heard_from_the_coin_on(night):
    film = Film(night, size=(160, 90), fps=25)
    sound = read_sound(SOUNDS / "porter-night.wav")
    heard = Score(sound, 1.0).laid_on(film, film.fps)
    assert np.abs(heard[: SOUND_RATE - 10]).max() == 0
    count = min(len(heard) - SOUND_RATE, len(sound))
    fade = 600  # samples at either end that are faded
    assert (
        np.abs(heard[SOUND_RATE:][fade : count - fade] - sound[fade : count - fade]).max()
        < 1e-6
    )
