import itertools
import math

import numpy as np
import pytest
from PIL import Image

from animator.outputs.png import picture_bytes
from animator.pictures.moments import KeyMoment, key_moments, span_of, waits_of
from animator.pictures.sheets.arrange import LEAD
from animator.pictures.sheets.paper import LADDER, parse_scale, round_scale, scale_words
from animator.pictures.sheets.paper import paper_of as sheet_of
from animator.pictures.sheets.strip import PEG, beside, spread
from animator.pictures.sheets.title_block import ROW, head_of, rows_of, shortened, wanted
from animator.pictures.sheets.told import panel_moments
from animator.pictures.sheets.view import View
from animator.pictures.storyboard import MARGIN, PEGS, Storyboard
from animator.pictures.stuff import Stuffs
from animator.problems import RunError
from animator.units import Wrong
from tests.pictures._runs import demo, jam_of_the_mole


def repeated(motion, count: int) -> list[KeyMoment]:
    """As many moments as asked for, evenly over the turn."""
    start, stop = span_of(motion)
    return [
        KeyMoment(
            start + (stop - start) * n / count,
            360 * n / count,
            "turned",
            "",
            f"Number {n + 1}.",
        )
        for n in range(count)
    ]


# ---------------------------------------------------------------- paper and scale
def test_sheets_have_the_sizes_of_the_standards():
    # ISO 216: A4 210 x 297, A3 297 x 420; ANSI/ASME Y14.1: A 8.5 x 11 inches
    assert (sheet_of("a4").width, sheet_of("a4").height) == (297, 210)
    assert (sheet_of("a3", True).width, sheet_of("a3", True).height) == (297, 420)
    assert (sheet_of("letter").width, sheet_of("letter").height) == pytest.approx(
        (11 * 25.4, 8.5 * 25.4)
    )


def test_scale_we_choose_is_the_largest_round_one_that_fits():
    for most in np.geomspace(0.002, 15, 60).tolist():
        chosen = round_scale(most)
        assert chosen in LADDER
        assert chosen <= most * (1 + 1e-9)
        assert not any(chosen < other <= most for other in LADDER)


def test_scale_is_read_as_it_is_written():
    for scale in (*LADDER, 1 / 7.25):
        assert parse_scale(scale_words(scale)) == pytest.approx(scale, rel=1e-3)


@pytest.mark.parametrize("text", ["1/2", "1:0", "half", "2", "1:5000", "-1:2", "1:2:3", ""])
def test_what_is_no_scale_is_told(text):
    with pytest.raises(Wrong) as caught:
        parse_scale(text)
    assert caught.value.write


# ---------------------------------------------------------------- panels on sheets
@pytest.mark.parametrize("name", ["a4", "a3", "letter"])
@pytest.mark.parametrize("is_portrait", [False, True])
def test_panels_and_captions_stay_between_head_and_strip(name, is_portrait):
    for motion in (demo("heron"), demo("carousel", "band", 10.0)):
        board = Storyboard(motion, paper=sheet_of(name, is_portrait))
        grid = board.grid
        wide = grid.columns * grid.wide + 14 * (grid.columns - 1)
        assert wide <= board.w - 2 * MARGIN + 1e-6
        assert grid.rows * grid.pitch <= board.strip_y - PEGS - board.top + 1e-6
        assert grid.high + LEAD * grid.line_count < grid.pitch
        assert board.sheet_count == 1
        assert (board.sheet(400).array[..., 3] == 255).all()


@pytest.mark.slow
def test_more_panels_than_a_sheet_holds_go_on_further_sheets():
    motion = demo("mole", "fixed")
    board = Storyboard(motion, moments=repeated(motion, 40))
    assert board.sheet_count >= 2
    assert board.per_sheet * board.sheet_count >= 40
    # shared evenly: the last sheet is not left with a single panel
    assert 40 - board.per_sheet * (board.sheet_count - 1) > board.per_sheet / 2
    assert ("Sheet", f"2 of {board.sheet_count}") in board._cells(1)
    assert not np.array_equal(board.sheet(400, 0).array, board.sheet(400, 1).array)


def test_scale_that_is_asked_for_is_kept_with_fewer_panels_a_sheet():
    motion = demo("heron")
    free = Storyboard(motion)
    asked = Storyboard(motion, scale=2 * free.scale)
    assert asked.scale == 2 * free.scale
    assert asked.grid.count < free.grid.count
    assert asked.sheet_count > 1
    assert asked.panels.stand.k * asked.paper.unit == pytest.approx(asked.scale, rel=1e-12)


def test_scale_at_which_the_piece_does_not_fit_is_refused_with_one_that_does():
    motion = demo("heron")
    with pytest.raises(
        RunError, match=r"doesn't fit on A4; the most is --scale (\S+),"
    ) as caught:
        Storyboard(motion, scale=5.0)
    offered = str(caught.value).split("--scale ")[-1].split(",")[0]
    assert Storyboard(motion, scale=parse_scale(offered)).scale == parse_scale(offered)


@pytest.mark.slow
def test_what_moves_over_a_stage_is_seen_whole_and_clear_of_the_window():
    for name, variant in (
        ("heron", None),
        ("mole", "fixed"),
        ("smith", None),
        ("skater", None),
    ):
        board = Storyboard(demo(name, variant))
        panels, grid = board.panels, board.grid
        view = panels.view
        assert view.is_stage
        dx, dy = panels._place(0.0, 0.0)
        left = dx + panels.stand.on_sheet((view.region.left, 0))[0]
        right = dx + panels.stand.on_sheet((view.region.right, 0))[0]
        top = dy + panels.stand.on_sheet((0, view.region.high))[1]
        assert left >= 0
        assert top >= 0
        assert right <= grid.wide - view.beside(view.region, grid.wide, grid.high, panels.k) + 1
        # it fills a fair part of the panel: at least two fifths of the height over the stage
        assert (view.region.high - view.region.low) * panels.k > 0.4 * grid.high


def test_works_are_seen_through_a_window_where_figures_stand_on_a_stage():
    assert View(demo("heron"), Stuffs()).has_works
    assert not View(demo("baker"), Stuffs()).has_works


def test_png_has_the_pixels_of_its_dots_an_inch(tmp_path):
    board = Storyboard(demo("baker"))
    path = tmp_path / "baker.png"
    path.write_bytes(picture_bytes(board.sheet(dpi=60).array, 60, title="The baker"))
    with Image.open(path) as picture:
        assert picture.size == (round(297 / 25.4 * 60), round(210 / 25.4 * 60))
        assert picture.info["dpi"] == pytest.approx((60, 60), abs=0.1)


# ---------------------------------------------------------------- which moments
def test_stills_of_the_shots_are_the_panels():
    motion = demo("heron")
    stills = [when for shot in motion.scene.shots.values() for when in shot.stills]
    assert stills
    moments = panel_moments(motion)
    start, _ = span_of(motion)
    turn = [m.angle_deg % 360 for m in moments]
    wanted_deg = [math.degrees(when.angle) % 360 for when in stills if when.angle is not None]
    assert sorted(round(v) % 360 for v in turn) == sorted({round(v) for v in wanted_deg})
    assert all(m.t >= start - 1e-9 for m in moments)
    assert all(m.caption.endswith((".", "!", "?", "…")) for m in moments)


def test_without_stills_the_motion_chooses():
    motion = demo("carousel", "band", 10.0)
    assert not any(shot.stills for shot in motion.scene.shots.values())
    assert panel_moments(motion) == key_moments(motion)


def test_piece_that_jams_has_a_sheet():
    motion, report = jam_of_the_mole()
    board = Storyboard(motion, report, panel_moments(motion, report))
    assert 2 <= len(board.moments) <= 6
    assert (board.sheet(500).array[..., 3] == 255).all()


# ---------------------------------------------------------------- head
def test_title_block_says_whose_it_is_and_invents_nothing():
    plain = dict(Storyboard(demo("heron"))._cells(0))
    assert not {"Maker", "Client", "Date"} & set(plain)
    told = dict(
        Storyboard(demo("heron"), maker="A. Reed", client="The inn", date="3 May")._cells(0)
    )
    assert (told["Maker"], told["Client"], told["Date"]) == ("A. Reed", "The inn", "3 May")
    assert told["Sheet"] == "1 of 1"
    assert told["Scale"] == scale_words(Storyboard(demo("heron")).scale)


def test_cells_keep_their_order_and_share_the_rows():
    cells = [
        ("Piece", "A heron of some length"),
        ("Maker", "A. R."),
        ("Scale", "1 : 3"),
        ("Sheet", "1 of 1"),
    ]
    rows = rows_of(cells, 2, 700)
    assert [cell for row in rows for cell in row] == cells
    assert max(sum(map(wanted, row)) for row in rows) < sum(map(wanted, cells))


def test_long_words_are_cut_short():
    assert shortened("A. Reed", "label", 19, 300) == "A. Reed"
    cut = shortened("A very long name of a maker of moving figures", "label", 19, 120)
    assert cut.endswith("…")
    assert len(cut) < 25


def test_head_leaves_room_for_the_panels():
    for w, portrait in ((1280, False), (905, True)):
        head = head_of(w, 32, portrait)
        x, y, wide, rows = head.block
        assert x + wide <= w - 31
        assert y + rows * ROW <= head.foot


# ---------------------------------------------------------------- strip
def test_pegs_never_overlap_and_keep_their_order():
    rng = np.random.default_rng(4)
    for _ in range(50):
        places = np.sort(rng.uniform(0, 400, 10)).tolist()
        pegs = spread(places, 2 * PEG, 0, 400)
        assert all(b - a >= 2 * PEG - 1e-6 for a, b in itertools.pairwise(pegs))
        assert min(pegs) >= -1e-6
        assert max(pegs) <= 400 + 1e-6
    assert spread([50.0, 200.0], 20, 0, 400) == [50.0, 200.0]


def test_effort_is_told_across_the_zero_line_from_its_peak():
    px = np.linspace(0, 1000, 500)
    line = 100 - 20 * np.exp(-(((px - 400) / 60) ** 2))  # a push, drawn upwards
    left, base = beside(0, 1000, 90, 400, 1, 100, px, line, [])
    assert base > 100
    assert left + 45 == pytest.approx(400, abs=5)
    left, base = beside(
        0, 1000, 90, 400, -1, 100, px, 200 - line, []
    )  # a pull, drawn downwards
    assert base < 100
    assert left + 45 == pytest.approx(400, abs=5)


def test_waits_are_those_of_the_cams_programme():
    # scenes/heron.yaml: rise over 120, dwell 90, fall over 50, dwell the rest (100). A cycloidal rise and a modified sine leave their
    # dwells so gently that a few degrees at their ends count as standing.
    waits = waits_of(demo("heron"))
    assert len(waits) == 2
    assert waits[0].degrees == pytest.approx(90, abs=12)
    assert waits[1].degrees == pytest.approx(100, abs=25)
