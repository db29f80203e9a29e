import itertools

import numpy as np
import pytest

from animator.pictures import marks
from animator.pictures.ink import Sheet, skia
from animator.pictures.palette import MARKS, PAPER_LIT, channels
from animator.pictures.stuff import Stuffs, family


def printed(code: str, r: float = 28) -> np.ndarray:
    """The sign as black on white, whatever its colour."""
    sheet = Sheet(80, 80, 1.0)
    sheet.canvas.drawColor(skia.Color(*channels(PAPER_LIT)))
    marks.mark(sheet.canvas, code, 40, 40, r, None)
    return np.abs(sheet.array[..., :3].astype(int) - channels(PAPER_LIT)).max(-1) > 60


@pytest.mark.parametrize("r", [28, 10])
def test_signs_are_told_apart_by_shape_alone(r):
    shapes = {code: printed(code, r) for code in MARKS}
    for a, b in itertools.combinations(shapes.values(), 2):
        differ = (a ^ b).sum() / max((a | b).sum(), 1)
        assert differ > 0.45


def test_sign_keeps_inside_its_height():
    for code in MARKS:
        rows, columns = np.nonzero(printed(code))
        assert rows.size > 100
        assert rows.min() >= 40 - 36
        assert rows.max() <= 40 + 36
        assert columns.min() >= 40 - 36
        assert columns.max() <= 40 + 36


def test_dial_turns_as_the_piece_does():
    effort = np.zeros(361)
    for sense, x in ((1, 1), (-1, -1)):
        dial = marks.Dial(100, effort, Stuffs(True), sense=sense)
        assert dial._rim[90][0] == pytest.approx(x)  # a quarter turn: to the right if clockwise
        assert dial._rim[0] == pytest.approx((0, -1))


def test_band_swells_outward_where_the_hand_pushes_and_inward_where_it_is_pulled():
    effort = np.where(np.arange(361) < 180, 2.0, -1.0)
    dial = marks.Dial(100, effort, Stuffs(True))
    assert dial._radii[90] == pytest.approx(47 + 16)
    assert dial._radii[270] == pytest.approx(47 - 8)


def test_strip_writes_no_minus_before_nothing():
    sheet = Sheet(400, 200, 1.0)
    strip = marks.Strip(10, 60, 300, 80, "Air", np.array([0.0, -0.001, 0.0]), "mm")
    strip.still(sheet.canvas)
    strip.moving(sheet.canvas, 0.5, -0.001)
    assert strip.shape.format(-0.001) == "-0.0"  # what would be written without care


def test_every_stuff_of_the_table_has_a_look():
    from animator import materials

    assert {family(name)[0] for name in materials.stuffs()} == {"wood", "ply", "metal", "soft"}
    assert family("spring belt") == ("metal", "steel")


@pytest.mark.parametrize(
    ("begins_deg", "ruled"),
    [
        (0.0, [(0, 0), (0.25, 90), (0.5, 180), (0.75, 270), (1, 360)]),
        (92.0, [(88 / 360, 180), (178 / 360, 270), (268 / 360, 360), (358 / 360, 450)]),
    ],
)
def test_tiny_handles_stand_where_the_handle_does(begins_deg, ruled):
    strip = marks.Strip(0, 0, 360, 50, "Neck", np.zeros(10), "°", begins_deg=begins_deg)
    assert np.array(strip._ruled()) == pytest.approx(np.array(ruled))
