import pytest

from tests.drawn import at_start, drawn, refusal

PIECE = "arm: {{kind: lever, at: [40, 40], arms: {{end: 30 up}}}}\nf: {{kind: figure, on: {}, artwork: {{shapes: {}}}{}}}"


def test_figure_stands_on_its_point_and_has_points_of_its_own():
    assert at_start(
        PIECE.format("arm.end", "[{disc: 20}]", ", points: {beak: [3, 9]}"), "f", "beak"
    ) == pytest.approx((43, 79))


def test_figure_on_the_frame_says_where():
    assert at_start(
        PIECE.format("frame", "[{disc: 20}]", ", at: 30 above shaft"), "f", "foot"
    ) == pytest.approx((100, 90))
    assert (
        refusal(PIECE.format("frame", "[{disc: 20}]", ""))[0]
        == "'f': a figure on the frame says where"
    )
    assert (
        "this figure moves with its part"
        in refusal(PIECE.format("arm.end", "[{disc: 20}]", ", at: [9, 9]"))[0]
    )


@pytest.mark.parametrize(
    ("shape", "what"),
    [
        ("{disc: 20, block: [3, 4]}", "says two of"),
        ("{outline: [[0, 0], [9, 0]]}", "an outline has 3 to 2000 points"),
        ("{outline: [[0, 0], [9, 0], [18, 0]]}", "this outline encloses nothing"),
        ("{block: [0, 5]}", "a block has a width and a height above zero"),
        ("{disc: 20, paint: rosa}", "no paint is called 'rosa'"),
        ("{disc: 20, paint: '#12'}", "'#12' is not a colour"),
    ],
)
def test_shape_that_can_not_be_cut_is_refused(shape, what):
    assert what in refusal(PIECE.format("arm.end", f"[{shape}]", ""))[0]


def test_paint_is_a_name_or_a_quoted_colour():
    shapes = drawn(
        PIECE.format("arm.end", "[{disc: 20, paint: rose}, {disc: 9, paint: '#c0392b'}]", "")
    )["f"].artwork.shapes
    assert [shape.paint for shape in shapes] == ["rose", "#c0392b"]


def test_file_that_is_not_there_is_told():
    assert (
        refusal("f: {kind: figure, on: shaft, artwork: heron.svg}")[0]
        == "'artwork': there is no such file"
    )
