import pytest

from tests.drawn import drawn, refusal

PIECE = "post: {{kind: pin, at: [100, 120]}}\ncrank: {{kind: crank, on: shaft, radius: 10}}\ns: {{kind: {}, from: crank.pin, to: post, {}}}"


def test_preload_is_wound_in_beside_a_free_length():
    spring = drawn(
        PIECE.format("extension spring", "rate: 0.05 N/mm, preload: 0.4 N, free length: 40")
    )["s"]
    assert (spring.preload, spring.free_length) == (0.4e6, 40)


def test_softer_wire_makes_a_softer_spring():
    # G 81.5 GPa, wire 0.5, mean diameter 5, 20 coils: 0.25469 N/mm (EN 13906-2)
    spring = drawn(
        PIECE.format("extension spring", "wire: 0.5, coil diameter: 5.5, coils: 20")
    )["s"]
    assert spring.stiffness() / 1e6 == pytest.approx(0.25469, abs=1e-5)


def test_plain_spring_is_taken_for_one_that_pulls():
    assert refusal(PIECE.format("spring", "rate: 1 N/mm")) == (
        "no kind of part is called 'spring'",
        "'extension spring'",
    )


def test_spring_of_card_is_refused():
    assert (
        "makes no spring"
        in refusal(
            PIECE.format(
                "extension spring", "wire: 0.5, coil diameter: 5.5, coils: 20, material: card"
            )
        )[0]
    )


def test_thicker_wire_is_less_strained():
    thin, thick = (
        drawn(PIECE.format("extension spring", f"wire: {wire}, coil diameter: 5.5, coils: 20"))[
            "s"
        ]
        for wire in (0.4, 0.5)
    )
    assert thin.stress(1e6) > 1.8 * thick.stress(1e6)
    assert thin.strength() > thick.strength()  # thin wire is drawn farther


def test_spring_told_by_its_rate_says_nothing_of_its_wire():
    spring = drawn(PIECE.format("extension spring", "rate: 0.05 N/mm"))["s"]
    assert (spring.stress(1e6), spring.strength()) == (0.0, 0.0)
