import pytest

from animator.world.assembling import assemble
from tests.drawn import drawn, refusal, scene

PIECE = """
crank: {kind: crank, on: shaft, radius: 8}
arm: {kind: lever, at: [200, 60], arms: {foot: 40 down}}
"""


def test_wire_is_bent_to_suit_and_carries_the_turn_round():
    whole = assemble(scene(PIECE + "link: {kind: wire, from: crank.pin, to: arm.foot}"))
    assert whole.parts["link"].length == pytest.approx((92**2 + 40**2) ** 0.5)


def test_wire_of_a_given_length_sets_what_it_is_hooked_to():
    whole = assemble(
        scene(PIECE + "link: {kind: wire, from: crank.pin, to: arm.foot, length: 104}")
    )
    x, y = whole.starts["arm"].place((0, -40))
    assert ((x - 108) ** 2 + (y - 60) ** 2) ** 0.5 == pytest.approx(104)


def test_wire_bears_sixteen_times_as_much_twice_as_thick_and_a_quarter_twice_as_long():
    def bears(diameter, length):
        return drawn(
            PIECE
            + f"link: {{kind: wire, from: crank.pin, to: arm.foot, material: steel {diameter}, length: {length}}}"
        )["link"].bears

    assert bears(2, 100) / bears(1, 100) == pytest.approx(16)
    assert bears(1, 200) / bears(1, 100) == pytest.approx(1 / 4)


def test_clay_makes_no_wire():
    assert (
        refusal(PIECE + "link: {kind: wire, from: crank.pin, to: arm.foot, material: clay 2}")[
            0
        ]
        == "'link': 'clay' makes no wire"
    )


def test_wire_joins_two_points():
    assert (
        refusal(PIECE + "link: {kind: wire, from: crank.pin, to: crank.pin}")[0]
        == "'link': both ends are hooked into the same point"
    )
