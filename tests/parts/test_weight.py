from animator.parts._contract import Floats, Rides, Still
from tests.drawn import drawn, refusal

CRANK = "crank: {kind: crank, on: shaft, radius: 10}\n"


def test_weight_rides_stands_or_hangs():
    parts = drawn(
        CRANK
        + "a: {kind: weight, on: crank.pin, mass: 20 g}\nb: {kind: weight, at: [9, 9], mass: 20 g}\nc: {kind: weight, mass: 1 kg}"
    )
    assert isinstance(parts["a"].held(), Rides)
    assert isinstance(parts["b"].held(), Still)
    assert isinstance(parts["c"].held(), Floats)
    assert parts["c"].mass == 1000


def test_weight_says_how_heavy_it_is():
    assert refusal(CRANK + "a: {kind: weight, on: crank.pin}") == (
        "'a' doesn't say 'mass'",
        "for example 'mass: 35 g'",
    )
    assert refusal(CRANK + "a: {kind: weight, on: crank.pin, mass: 3 N}") == (
        "'mass': '3 N' is a force; this wants a mass",
        "for example '35 g'",
    )


def test_weight_that_is_held_hangs_on_no_string():
    assert (
        "held already"
        in refusal(CRANK + "a: {kind: weight, on: crank.pin, mass: 9 g, hangs: 30}")[0]
    )
