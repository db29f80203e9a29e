"""What an SVG file's shapes, groups, points, styles and sizes come to."""

from __future__ import annotations

import pytest

from animator.artwork import svg
from animator.artwork.colours import blended, colour
from animator.artwork.refusal import Unusable

NS = 'xmlns="http://www.w3.org/2000/svg"'


def read(inner: str, page: str = 'width="100mm" height="80mm" viewBox="0 0 100 80"'):
    return svg.read(f"<svg {NS} {page}>{inner}</svg>".encode(), "it.svg")


def box(sheet, i: int = 0):
    return svg.extent([sheet.cuts[i]], 1e-4)


SQUARE = '<rect id="square" x="10" y="10" width="20" height="30"/>'


def test_page_is_as_large_as_it_says_and_up_is_up():
    assert box(read(SQUARE)) == pytest.approx((10, 40, 30, 70))
    assert box(read(SQUARE, 'width="20cm" viewBox="0 0 100 80"')) == pytest.approx(
        (20, 80, 60, 140)
    )
    assert box(read(SQUARE, 'width="100mm" height="80mm" viewBox="10 10 100 80"')) == (
        pytest.approx((0, 50, 20, 80))
    )


def test_page_in_inches_without_a_view_box_is_measured_in_pixels_of_96_an_inch():
    assert box(read(SQUARE, 'width="4in" height="2in"')) == pytest.approx(
        (10 * 25.4 / 96, 2 * 25.4 - 40 * 25.4 / 96, 30 * 25.4 / 96, 2 * 25.4 - 10 * 25.4 / 96)
    )


@pytest.mark.parametrize(
    "page", ["", 'width="300" height="200"', 'viewBox="0 0 9 9"', 'width="100%" height="100%"']
)
def test_page_in_pixels_has_no_true_size(page: str):
    assert not read(SQUARE, page).is_true_size


def test_drawing_of_another_shape_than_its_page_stands_in_the_middle():
    assert box(
        read(SQUARE, 'width="200mm" height="80mm" viewBox="0 0 100 80"')
    ) == pytest.approx((60, 40, 80, 70))


def test_group_or_shape_with_a_name_is_a_piece():
    sheet = read(f'<g id="bird">{SQUARE}<g id="wing"><circle r="5"/></g></g><circle r="9"/>')
    assert sheet.names == ["bird", "square", "wing"]
    assert [len(sheet.piece(name).cuts) for name in ("bird", "wing", "square", None)] == [
        2,
        1,
        1,
        3,
    ]
    assert sheet.piece("beak") is None


def test_points_belong_to_the_whole_to_a_named_piece_or_to_the_group_they_lie_in():
    sheet = read(
        f'<g id="bird" transform="translate(10 0)">{SQUARE}<circle class="sort point" id="bird.eye" cx="12" cy="11" r="1"/>'
        '<rect class="point" id="tail" x="30" y="60" width="2" height="4"/></g><circle class="point" id="pivot" cx="50" cy="80"/>'
    )
    assert sheet.piece("bird").points == {
        "eye": pytest.approx((22, 69)),
        "tail": pytest.approx((41, 18)),
    }
    assert set(sheet.piece(None).points) == {"tail", "pivot"}
    assert len(sheet.cuts) == 1, "points aren't drawn"


def test_point_may_be_a_group_or_a_copy():
    sheet = read(
        f'<defs><path id="cross" d="M-2 0H2M0-2V2" stroke="red"/></defs>{SQUARE}'
        '<g class="point" id="eye"><path d="M4 4H8V10Z"/></g><use class="point" id="ear" href="#cross" x="20" y="30"/>'
    )
    assert sheet.marks["eye"].at == pytest.approx((6, 73))
    assert sheet.marks["ear"].at == pytest.approx((20, 50))


@pytest.mark.parametrize(
    ("drawing", "paint"),
    [
        ("<rect {}/>", "#000000"),
        ('<rect fill="teal" {}/>', "#008080"),
        ('<g fill="teal"><rect {}/></g>', "#008080"),
        ('<g fill="teal"><rect style="fill: #abc" {}/></g>', "#AABBCC"),
        ('<g color="#010203"><rect fill="currentColor" {}/></g>', "#010203"),
        ('<style>.a{fill:teal}</style><rect class="b a" {}/>', "#008080"),
        ('<style>rect{fill:teal} .a{fill:#f00}</style><rect class="a" {}/>', "#FF0000"),
        ('<style>#r{fill:teal} .a{fill:#f00}</style><rect id="r" class="a" {}/>', "#008080"),
        ('<style>.a .b{fill:teal} .b{fill:#f00}</style><g class="a"><g><rect class="b" {}/></g></g>', "#008080"),
        ('<style>.a > .b{fill:teal} .b{fill:#f00}</style><g class="a"><g><rect class="b" {}/></g></g>', "#FF0000"),
        ('<style>.a, .b {fill:teal}</style><rect class="b" {}/>', "#008080"),
        ('<style>/* .a{fill:red} */ @media print{.a{fill:red}} @font-face{font-family:x} .a{fill:teal}</style><rect class="a" {}/>', "#008080"),
        ('<style><![CDATA[.a{fill:teal}]]></style><rect class="a" fill="red" {}/>', "#008080"),
        ('<linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#fff"/></linearGradient><rect fill="url(#g)" {}/>', "#808080"),
        ('<radialGradient id="h" href="#g"/><linearGradient id="g"><stop offset="50%" style="stop-color:#f00"/></linearGradient><rect fill="url(#h)" {}/>', "#FF0000"),
        ('<rect fill="url(#nowhere) teal" {}/>', "#008080"),
    ],
)  # fmt: skip
def test_paint_is_found_wherever_it_is_said(drawing: str, paint: str):
    assert read(drawing.replace("{}", 'width="9" height="9"')).cuts[0].paint == paint


def test_opacity_is_that_of_the_shape_and_all_its_groups():
    (cut,) = read(
        '<g opacity=".5"><rect width="9" height="9" opacity="50%" fill-opacity=".8"/></g>'
    ).cuts
    assert cut.alpha == pytest.approx(0.2)


@pytest.mark.parametrize(
    "hidden",
    [
        '<g display="none"><circle r="9"/></g>',
        '<circle r="9" visibility="hidden"/>',
        '<circle r="9" fill="none"/>',
        '<circle r="9" opacity="0"/>',
        '<circle r="0"/>',
        "<defs><circle r='9'/></defs>",
        '<symbol id="s"><circle r="9"/></symbol>',
        "<title>circle</title><metadata><x xmlns='urn:x'><circle/></x></metadata>",
        '<path d="" fill="red"/>',
    ],
)
def test_what_is_not_seen_is_not_cut(hidden: str):
    assert len(read(hidden + SQUARE).cuts) == 1


def test_use_draws_shapes_groups_and_symbols_anew():
    sheet = read(
        '<defs><g id="a" fill="red"><rect width="10" height="10"/></g><symbol id="s" viewBox="0 0 2 2"><rect width="2" height="2"/></symbol></defs>'
        '<use href="#a" x="20"/><use href="#s" x="50" width="20" height="20"/><use href="#a" transform="scale(2)"/>'
    )
    assert [box(sheet, i) for i in range(3)] == [
        pytest.approx((20, 70, 30, 80)),
        pytest.approx((50, 60, 70, 80)),
        pytest.approx((0, 60, 20, 80)),
    ]


def test_line_keeps_its_width_under_a_stretch():
    (cut,) = read(
        '<g transform="scale(3)"><path d="M0 0H9" stroke="#123456" stroke-width="2" stroke-dasharray="1 2 3"/></g>'
    ).cuts
    assert cut.line.width == pytest.approx(6)
    assert cut.line.dashes == pytest.approx((3, 6, 9, 3, 6, 9))


def test_doctype_of_the_standard_is_let_pass():
    text = f'<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"><svg {NS}>{SQUARE}</svg>'
    assert len(svg.read(text.encode(), "it.svg").cuts) == 1


def test_utf_16_and_latin_are_read():
    text = f'<?xml version="1.0" encoding="{{}}"?><svg {NS}><title>é</title>{SQUARE}</svg>'
    for script in ("utf-16", "iso-8859-1", "utf-8"):
        assert len(svg.read(text.format(script).encode(script), "it.svg").cuts) == 1


@pytest.mark.parametrize(
    ("text", "hue", "alpha"),
    [
        ("RED", "#FF0000", 1),
        ("#0f08", "#00FF00", 136 / 255),
        ("rgb(10%, 20%, 30%)", "#1A334C", 1),
        ("rgb(1 2 3 / 0.5)", "#010203", 0.5),
        ("rgba(255,0,0,.25)", "#FF0000", 0.25),
        ("hsl(210, 50%, 40%)", "#336699", 1),
        ("hsl(0.5turn 100% 50%)", "#00FFFF", 1),
        ("transparent", "#000000", 0),
    ],
)
def test_colour_is_read(text: str, hue: str, alpha: float):
    assert colour(text) == (hue, pytest.approx(alpha))


@pytest.mark.parametrize(
    "text", ["reddish", "#12", "rgb(1,2)", "rgb(1 2 x)", "var(--ink)", "hsl()"]
)
def test_colour_nobody_knows_is_refused(text: str):
    with pytest.raises(Unusable, match="no colour is called"):
        colour(text)


def test_gradient_weighs_its_stops_by_how_far_they_reach():
    red, blue = ("#FF0000", 1.0), ("#0000FF", 1.0)
    assert blended([(0.0, red), (0.25, red), (0.25, blue)]) == ("#4000BF", 1.0)
    assert blended([(0.0, red), (1.0, ("#FF0000", 0.0))]) == ("#FF0000", 0.5)
