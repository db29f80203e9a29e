from tests.drawn import drawn, refusal

PIECE = """
spindle: {{kind: shaft, at: 109.3 right of shaft}}
a: {{kind: sprocket, on: shaft, teeth: 12}}
b: {{kind: sprocket, on: spindle, teeth: 30}}
loop: {{kind: chain, around: {}, pitch: 6}}
"""


def test_chain_runs_round_two_sprockets():
    loop = drawn(PIECE.format("[a, b]"))["loop"]
    assert ([wheel.part for wheel in loop.around], loop.pitch) == (["a", "b"], 6)


def test_chain_does_not_run_on_a_shaft():
    assert refusal(PIECE.format("[a, spindle]")) == (
        "'spindle' is a shaft; here belongs a sprocket",
        "'a' or 'b'",
    )
