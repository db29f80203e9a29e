import re

import numpy as np
import pytest
from PIL import Image

from animator.outputs.pdf import page_bytes
from animator.outputs.png import picture_bytes
from animator.pictures.storyboard import PAGE, Storyboard
from tests.pictures._runs import demo, jam_of_the_mole


def test_sheet_is_a4_landscape_as_png_and_as_pdf(tmp_path):
    sheet = Storyboard(demo("heron"))
    (tmp_path / "heron.png").write_bytes(picture_bytes(sheet.sheet(877).array))
    with Image.open(tmp_path / "heron.png") as picture:
        assert picture.size == (877, 620)
    text = page_bytes(sheet.draw_page, *PAGE)
    assert text.startswith(b"%PDF-")
    box = re.search(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", text)
    assert (float(box[1]), float(box[2])) == pytest.approx((842, 595), abs=0.2)
    assert len(text) < 8_000_000


def test_there_is_a_panel_for_each_moment():
    for motion, report in (
        (demo("heron"), None),
        (demo("baker"), None),
        jam_of_the_mole(),
        (demo("carousel", "band", 10.0), None),
    ):
        sheet = Storyboard(motion, report)
        assert 2 <= len(sheet.moments) <= 6
        # panels fill the sheet from border to border and leave room for captions and strip
        assert sheet.columns * sheet.wide + 14 * (sheet.columns - 1) == 1280 - 64
        picture = sheet.sheet(640).array
        assert np.isfinite(picture).all()
        assert (picture[..., 3] == 255).all()


def test_works_are_seen_through_a_window_where_figures_stand_on_a_stage():
    assert Storyboard(demo("heron")).works is not None
    assert Storyboard(demo("baker")).works is None
