import pytest

from tests.drawn import drawn, refusal

PIECE = "post: {{kind: pin, at: [100, 120]}}\ncrank: {{kind: crank, on: shaft, radius: 10}}\ns: {{kind: compression spring, from: crank.pin, to: post, {}}}"


def test_rate_follows_from_the_wire():
    # G 81.5 GPa, wire 1, mean diameter 10, 10 coils: 1.01875 N/mm (EN 13906-1)
    spring = drawn(PIECE.format("wire: 1, coil diameter: 11, coils: 10, free length: 80"))["s"]
    assert spring.stiffness() / 1e6 == pytest.approx(1.01875, rel=1e-6)


def test_rate_or_wire():
    assert drawn(PIECE.format("rate: 0.5 N/mm, free length: 80"))["s"].stiffness() == 0.5e6
    assert refusal(PIECE.format("free length: 80"))[0] == "'s' says none of 'rate', 'wire'"


def test_wire_needs_its_coil_and_room_for_it():
    assert "says nothing of the spring without its coil" in refusal(PIECE.format("wire: 1"))[0]
    assert (
        "the coil is too tight"
        in refusal(PIECE.format("wire: 1, coil diameter: 2, coils: 5"))[0]
    )
    assert "belongs to 'wire'" in refusal(PIECE.format("rate: 1 N/mm, coils: 5"))[0]


def test_start_is_told_once():
    assert (
        "each gives the other"
        in refusal(PIECE.format("rate: 1 N/mm, free length: 80, preload: 1 N"))[0]
    )
