"""Parts cut a little off size, within the tolerance they say."""

import math

from animator.scene.off_size import off_size
from animator.world.assembling import assemble
from tests.drawn import scene

PARTS = """
crank: {kind: crank, on: shaft, radius: 20, tolerance: 0.3}
rod: {kind: rod, from: crank.pin, to: ram.pin, length: 70, tolerance: 0.5}
ram: {kind: slider, slides: right, guide: {at: [230, 60], length: 16}, length: 90}
"""


def test_lengths_move_within_their_tolerance_and_the_same_number_cuts_the_same_piece():
    drawn = scene(PARTS)
    cuts = [off_size(drawn, sample) for sample in range(40)]
    rods = [each.parts["rod"].length - 70 for each in cuts]
    cranks = [each.parts["crank"].radius - 20 for each in cuts]
    assert 0.25 < max(map(abs, rods)) <= 0.5
    assert 0.15 < max(map(abs, cranks)) <= 0.3
    assert min(rods) < 0 < max(rods)
    assert off_size(drawn, 7).parts == cuts[7].parts
    assert all(each.parts["ram"].length == 90 for each in cuts)


def test_a_piece_off_size_is_put_together_anew():
    cut = assemble(off_size(assemble(scene(PARTS)), 3))
    rod, pin = cut.starts["rod"], cut.starts["ram"]
    assert math.isclose(
        math.hypot(pin.x - rod.x, pin.y - rod.y), cut.parts["rod"].length, rel_tol=1e-6
    )
