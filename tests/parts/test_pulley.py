from animator.parts._contract import Rides, Turns
from tests.drawn import at_start, drawn, refusal


def test_pulley_on_a_shaft_turns_with_it_and_at_a_place_runs_free():
    parts = drawn(
        "a: {kind: pulley, on: shaft, diameter: 24}\nb: {kind: pulley, at: 50 right of shaft, diameter: 24}"
    )
    assert isinstance(parts["a"].held(), Rides)
    assert isinstance(parts["b"].held(), Turns)
    assert at_start(
        "b: {kind: pulley, at: 50 right of shaft, diameter: 24}", "b", "centre"
    ) == (150, 60)


def test_one_of_on_and_at():
    assert (
        refusal("a: {kind: pulley, on: shaft, at: [9, 9], diameter: 24}")[0]
        == "'a' says two of 'on', 'at'"
    )
    assert refusal("a: {kind: pulley, diameter: 24}")[0] == "'a' says none of 'on', 'at'"


def test_pulley_without_thickness_is_refused():
    assert refusal("a: {kind: pulley, on: shaft, diameter: 0}") == (
        "'diameter': '0' is too small",
        "more than 0 mm",
    )
