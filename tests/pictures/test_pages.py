"""Pages of every shape and on every backdrop: what lies where, what is said, and that measures are true."""

import math

import numpy as np
import pytest

from animator.findings.jam import HELD_FAST
from animator.pictures.backdrops import NAMES, ground_of
from animator.pictures.film import Film
from animator.pictures.ink import Sheet, disc, fill, soft
from animator.pictures.pages import signs
from animator.pictures.pages.bench import BenchPage
from animator.pictures.pages.client import ClientPage
from animator.pictures.pages.instruments import axis_of, told_effort
from animator.pictures.pages.jobs import HIGH, WIDE, turned_by_rubbing
from animator.pictures.pages.scale_bar import ScaleBar
from animator.pictures.pages.standing import StandingPanel
from animator.pictures.pages.told import in_words
from animator.pictures.readings import Effort, effort
from animator.pictures.stuff import Stuffs
from tests.pictures._runs import demo, finding, jam_of_the_mole, report

SHAPES = [(1280, 720), (720, 720), (540, 960), (960, 720)]


def whole(motion):
    return float(motion.times[motion.begins]), float(motion.times[-1])


# ---------------------------------------------------------------- backdrops
@pytest.mark.parametrize("look", ["client", "bench"])
@pytest.mark.parametrize("backdrop", NAMES)
def test_a_picture_is_clear_only_where_nothing_is_and_only_if_asked(look, backdrop):
    film = Film(demo("heron"), look=look, size=(320, 180), backdrop=backdrop)
    alpha = film.frame(3)[..., 3]
    assert film.has_alpha == (backdrop == "transparent")
    if film.has_alpha:
        assert (alpha == 0).mean() > 0.2
        assert (alpha == 255).mean() > 0.1
        assert ((alpha > 0) & (alpha < 255)).mean() > 0.005  # soft shadows
    else:
        assert (alpha == 255).all()


def test_a_shadow_on_nothing_keeps_its_own_colour_unpremultiplied():
    # source over on nothing leaves colour and alpha of what is drawn: Porter and Duff 1984, "over"
    sheet = Sheet(64, 64, 1.0)
    sheet.canvas.drawPath(disc(32, 32, 20), fill("#1E1006", 0.5))
    assert sheet.array[32, 32].tolist() == pytest.approx([0x1E, 0x10, 0x06, 128], abs=2)
    assert sheet.array[2, 2].tolist() == [0, 0, 0, 0]
    blurred = Sheet(64, 64, 1.0)
    blurred.canvas.drawPath(disc(32, 32, 12), soft("#1E1006", 1.0, 6))
    inked = blurred.array[blurred.array[..., 3] > 60]
    assert np.abs(inked[:, :3].astype(int) - [0x1E, 0x10, 0x06]).max() <= 4


@pytest.mark.parametrize("style", ["rich", "thrifty"])
def test_a_clear_picture_laid_on_paper_is_the_piece_itself(style):
    clear = Film(
        demo("heron"), look="client", size=(480, 480), style=style, backdrop="transparent"
    )
    picture = clear.frame(2).astype(float)
    share = picture[..., 3:] / 255
    x, y = clear.page.stand.on_sheet(
        clear.page.stand.moment(clear.moment_of(2)[0]).point("handle", "knob")
    )
    unit = clear.page.sheet.unit
    on_white = picture[..., :3] * share + 255 * (1 - share)
    knob = on_white[round(y * unit), round(x * unit) - 4]
    assert knob[0] > 1.5 * knob[2]  # the red knob
    assert share[5, 5] == 0


def test_the_lamp_takes_blue_from_the_piece_and_night_stands_behind_it():
    day = Film(demo("heron"), look="client", size=(640, 360))
    night = Film(demo("heron"), look="client", size=(640, 360), backdrop="evening")
    a, b = day.frame(4)[..., :3].astype(int).copy(), night.frame(4)[..., :3].astype(int)
    assert b[60, 60].sum() < 0.35 * a[60, 60].sum()
    assert b[60, 60, 2] > b[60, 60, 0]
    stand = day.page.stand
    x, y = (
        round(stand.middle * day.page.sheet.unit),
        round((stand.foot + 10) * day.page.sheet.unit),
    )
    lit, was = b[y - 3 : y + 3, x - 80 : x - 60].mean((0, 1)), a[y - 3 : y + 3, x - 80 : x - 60]
    was = was.mean((0, 1))
    assert lit[0] == pytest.approx(was[0], abs=4)
    assert lit[2] == pytest.approx(0.76 * was[2] + 0.02 * was[1], abs=4)


def test_a_backdrop_nobody_knows_is_refused_by_name():
    with pytest.raises(ValueError, match="no backdrop 'beach'; there are bench, evening"):
        ground_of("beach")


def test_a_clients_picture_of_a_belt_carries_no_engineering_marks():
    motion = demo("carousel", "band", 4.0)
    page = ClientPage(motion, (640, 360))
    assert page.stand.turned(page.stand.moment(whole(motion)[1]))[1] is None
    bench = BenchPage(motion, None, (640, 360), whole(motion))
    assert bench.stand.turned(bench.stand.moment(whole(motion)[1]))[1] is not None


@pytest.mark.slow
# ---------------------------------------------------------------- where things lie
@pytest.mark.parametrize("size", SHAPES)
@pytest.mark.parametrize("name", ["heron", "skater", "carousel", "mole"])
def test_cards_lie_on_the_sheet_and_off_the_piece(name, size):
    if name == "mole":
        motion, said = jam_of_the_mole()
    else:
        motion, said = demo(name, "band" if name == "carousel" else None), report()
    page = BenchPage(motion, said, size, whole(motion), scale_bar=True)
    stand, w, h = page.stand, page.sheet.w, page.sheet.h
    piece = (stand.middle - stand.half, stand.high, stand.middle + stand.half, stand.foot + 26)
    assert piece[0] > 0
    assert piece[1] > 0
    cards = []
    if page.jobs is not None:
        cards.append((*page.jobs.at, WIDE, HIGH))
    else:
        cards.append((*page.places.card, 576.0, page.card.high))
        cards.append((*page.instruments.at, 576.0, page.instruments.high))
    for x, y, wide, high in cards:
        assert x > 0
        assert y > 0
        assert x + wide < w
        assert y + high < h
        assert x > piece[2] - 8 or y > piece[3] or x + wide < piece[0]
    if len(cards) == 2:
        (x0, y0, w0, h0), (x1, y1, w1, h1) = cards
        assert x0 + w0 <= x1 or x1 + w1 <= x0 or y0 + h0 <= y1 or y1 + h1 <= y0


def test_a_phone_reads_the_words_over_the_piece():
    page = ClientPage(demo("heron"), (540, 960))
    words_end = page._words_above(None)
    assert page.stand.high > words_end
    assert page.stand.half * 2 > 0.6 * page.sheet.w


# ---------------------------------------------------------------- the rule
@pytest.mark.parametrize("look", ["client", "bench"])
@pytest.mark.parametrize("backdrop", ["bench", "transparent"])
def test_the_rules_ink_is_as_long_as_it_says_at_the_pieces_scale(look, backdrop):
    film = Film(demo("heron"), look=look, size=(1280, 720), backdrop=backdrop, scale_bar=True)
    page = film.page
    unit, rule = page.sheet.unit, page.rule
    picture = film.frame(0)[..., :3].astype(int).sum(-1)
    # the row through the middle of the ink: first and last dark run of the five fields
    stand = page.stand
    top = stand.foot + 34
    left, right, middle = rule.ink_at(stand.middle - rule.wide / 2, top)
    row = picture[round(middle * unit), round((left - 8) * unit) : round((right + 8) * unit)]
    dark = np.flatnonzero(row < 250)
    measured = (dark[-1] - dark[0] + 1) / unit / stand.k
    assert measured == pytest.approx(rule.length, abs=1.6 / stand.k)
    # the same scale as the piece: crank arm in the record against crank arm on the sheet
    moment = stand.moment(film.moment_of(0)[0])
    knob = stand.on_sheet(moment.point("handle", "knob"))
    shaft = stand.on_sheet(moment.point("camshaft"))
    radius = math.dist(knob, shaft) / (rule.inked / rule.length)
    assert radius == pytest.approx(film.motion.scene.parts["handle"].radius, abs=0.05)


def test_a_rule_is_a_round_length():
    assert ScaleBar(2.5, Stuffs()).length == 50
    assert ScaleBar(0.7, Stuffs()).length == 200
    assert ScaleBar(9.0, Stuffs(True)).length == 10


# ---------------------------------------------------------------- two jobs
def test_what_turns_and_lifts_is_told_with_a_figure_each_from_the_record():
    motion = demo("skater")
    page = BenchPage(motion, report(), (1280, 720), whole(motion))
    assert turned_by_rubbing(motion) == "ice"
    assert page.jobs.title == "The egg does two jobs"
    spin = motion.channels["ice.spin"].values
    assert np.array_equal(page.jobs.spin, spin)
    lift = motion.frame("ice")[motion.begins :, 1]
    assert np.ptp(page.jobs.height[motion.begins :]) == pytest.approx(np.ptp(lift))


@pytest.mark.slow
def test_a_round_cam_does_one_job_only():
    motion = demo("skater", "even")
    page = BenchPage(motion, report(), (1280, 720), whole(motion))
    assert page.jobs.title == "The egg does one job"
    assert "stays level" in page.jobs._lift_words()


def test_the_plan_shows_where_the_bar_began_only_where_it_is_counted():
    motion = demo("skater")
    page = BenchPage(motion, report(), (1280, 720), whole(motion))
    assert page.jobs.plan.since == page.span[0]
    assert ClientPage(motion, (640, 360)).stand.drawing.since is None


@pytest.mark.slow
def test_no_other_piece_has_the_card_of_two_jobs():
    for name in ("heron", "baker", "carousel"):
        assert turned_by_rubbing(demo(name, "band" if name == "carousel" else None)) is None


# ---------------------------------------------------------------- what stands
def test_no_push_frees_it_is_said_only_where_the_run_with_a_stronger_push_said_so():
    motion, said = jam_of_the_mole()
    jam = said.findings[0]
    drive = effort(motion)
    assert not StandingPanel(motion, jam, drive).is_held_fast
    told = jam.model_copy(update={"sentence": f"lifter wedges; {HELD_FAST}"})
    panel = StandingPanel(motion, told, drive)
    assert panel.is_held_fast
    assert panel.still_for == pytest.approx(float(motion.times[-1]) - jam.from_s)
    assert panel.giver == "A hand gives"


def test_effort_says_whether_it_is_a_need_or_a_ceiling():
    values = np.array([0.0, 4.0, 9.95, -3.0])
    told = [told_effort(Effort(values, "N", 10.0), i)[0] for i in range(4)]
    assert told == ["runs free", "you push", "all a hand gives", "it pulls"]
    assert told_effort(Effort(values, "N mm", 10.0), 2)[0] == "all it gives"
    assert told_effort(Effort(values, "N", None), 2)[0] == "you push"


def test_strips_say_what_runs_along_them():
    motion = demo("heron")
    turn = 2 * math.pi / float(motion.drive.due_speed.max())
    start = whole(motion)[0]
    assert axis_of(motion, (start, start + turn), False).words == "one turn of the handle"
    assert axis_of(motion, (start, start + 2 * turn), False).words == "2 turns of the handle"
    assert axis_of(motion, (start, start + 0.4 * turn), False).words.endswith("seconds")
    assert axis_of(motion, (start, start + turn), True).words.endswith("seconds")


# ---------------------------------------------------------------- signs
def test_the_sign_of_unevenness_stands_beside_its_part_and_covers_no_figure():
    motion = demo("skater")
    start, stop = whole(motion)
    said = report(finding("jerk", "ice", start, stop, 0, "ice turns unevenly"))
    page = BenchPage(motion, said, (1280, 720), (start, stop))
    moment = page.stand.moment(start + 0.3)
    x, _y = signs.beside(page.stand, "ice", moment)
    figure = [m.reach(moment) for m in page.stand.drawing.marks if m.part == "skater"]
    disc_edge = page.stand.on_sheet(moment.point("ice", "rim"))[0]
    assert x > disc_edge + 10
    assert x - 15 > max(float(c[:, 0].max()) for c in figure) + page.stand.x - 40


def test_signs_on_a_board_are_explained_and_give_way_where_there_is_no_room():
    motion = demo("carousel", "band", 4.0)
    stand = BenchPage(motion, None, (1280, 720), whole(motion)).stand
    shown = dict(signs.samples(stand, True))
    assert set(shown) == {"got", "due", "lost", "stitch"}
    assert "roof" in shown["lost"]
    assert set(dict(signs.samples(stand, False))) == {"got", "stitch"}


# ---------------------------------------------------------------- words
def test_parts_are_called_as_people_call_them():
    names = ["lifter", "lift cam", "cam", "camshaft", "Otto", "spring"]
    told = in_words("lifter leaves lift cam when camshaft has turned 44 degrees", names)
    assert told == "The lifter leaves the lift cam when the camshaft has turned 44 degrees."
    assert in_words("Otto lifts his lifter", names) == "Otto lifts his lifter."
    assert (
        in_words("a softer spring of 2 N", names) == "A softer spring of 2\N{NO-BREAK SPACE}N."
    )
    assert in_words("write lifter.guide", names) == "Write lifter.guide."
