import pytest

from animator.parts._signals import Signal
from tests.drawn import drawn, refusal

DRUM = "drum: {kind: timing drum, on: shaft, tracks: {a: [0 to 90], b: [45 to 180]}}\nsalt and pepper: {kind: switch, rides on: drum.a}\n"


def test_a_lamp_hears_tracks_and_switches():
    lamp = drawn(DRUM + "lamp: {kind: lamp, lit while: drum.a or not drum.b, at: [9, 9]}")[
        "lamp"
    ]
    signal = lamp.lit_while
    assert [(ref.part, ref.point) for ref in signal.terms] == [("drum", "a"), ("drum", "b")]
    assert signal.denied == (False, True)
    assert signal.is_any


@pytest.mark.parametrize(
    ("text", "states", "given"),
    [
        ("drum.a or drum.b", (False, True), True),
        ("drum.a and drum.b", (False, True), False),
        ("drum.a and not drum.b", (True, False), True),
        ("not drum.a", (True,), False),
    ],
)
def test_signals_in_parallel_and_in_series(text, states, given):
    lamp = drawn(DRUM + f"lamp: {{kind: lamp, lit while: {text}, at: [9, 9]}}")["lamp"]
    assert isinstance(lamp.lit_while, Signal)
    assert lamp.lit_while.holds(states) == given


@pytest.mark.parametrize("text", ["or drum.a", "drum.a or", "not", "drum.a and and drum.b"])
def test_half_a_signal_is_refused(text):
    refusal(DRUM + f"lamp: {{kind: lamp, lit while: {text}, at: [9, 9]}}")


def test_a_lamp_stands_or_rides():
    assert "none of 'on', 'at'" in refusal(DRUM + "lamp: {kind: lamp, lit while: drum.a}")[0]
