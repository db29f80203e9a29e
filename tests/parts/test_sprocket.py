from tests.drawn import drawn, refusal


def test_teeth_are_counted():
    assert drawn("a: {kind: sprocket, on: shaft, teeth: 12}")["a"].teeth == 12
    assert refusal("a: {kind: sprocket, on: shaft, teeth: 12.5}") == (
        "'teeth': '12.5' is not a whole number",
        "'12'",
    )
    assert refusal("a: {kind: sprocket, on: shaft, teeth: 4}")[0] == "'teeth': '4' is too few"


def test_others_may_be_on_it():
    assert (
        drawn("a: {kind: sprocket, on: shaft, teeth: 12}\nw: {kind: wheel, on: a, radius: 9}")[
            "w"
        ].on.part
        == "a"
    )
