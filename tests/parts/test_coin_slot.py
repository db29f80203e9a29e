import pytest

from tests.drawn import drawn, refusal


def test_coins_come_at_their_moments_and_close_for_a_while():
    slot = drawn("slot: {kind: coin slot, coin at: [1 s, 1 min], pulse time: 300 ms}")["slot"]
    assert slot.coin_at == (1.0, 60.0)
    assert slot.acts_until() == pytest.approx(60.3)


def test_a_slot_of_which_nothing_is_said_takes_a_coin_at_the_start():
    slot = drawn("slot: {kind: coin slot}")["slot"]
    assert (slot.coin_at, slot.pulse_time) == ((0.0,), 0.5)


@pytest.mark.parametrize(
    ("said", "what", "write"),
    [
        ("coin at: []", "no coin goes in", "'coin at: [1 s]'"),
        ("coin at: [2 s, 2 s]", "one after another", "'[2 s]'"),
        ("coin at: [1]", "without a unit", "'1 s'"),
        ("pulse time: 0 s", "too small", ""),
    ],
)
def test_what_a_slot_refuses(said, what, write):
    told, advice = refusal(f"slot: {{kind: coin slot, {said}}}")
    assert what in told
    assert write in advice
