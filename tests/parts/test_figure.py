import math
import textwrap

import pytest

from animator import materials
from animator.problems import SceneError
from animator.scene import read
from animator.world.assembling import assemble
from animator.world.building import build
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


DRAWING = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="80mm" viewBox="0 0 60 80">
<g id="body"><rect x="20" y="20" width="20" height="50" fill="#64798a"/>
<circle id="body.pivot" class="point" cx="30" cy="70" r="1"/><circle id="body.shoulder" class="point" cx="36" cy="30" r="1"/></g>
<g id="arm"><rect x="34" y="28" width="24" height="4"/>
<circle id="arm.pivot" class="point" cx="36" cy="30" r="1"/><circle id="arm.tip" class="point" cx="56" cy="30" r="1"/></g>
</svg>"""
JOINTED = """
body: {kind: figure, on: frame, at: [60, 100], artwork: {file: it.svg, piece: body}}
arm: {kind: lever, at: body.shoulder, arms: {hand: 20 right}, material: birch ply 3, artwork: {file: it.svg, piece: arm}}
"""


def piece(folder, parts, more=""):
    (folder / "it.svg").write_text(DRAWING)
    text = f"title: Trial\nparts:\n  shaft: {{kind: shaft, at: [100, 60]}}\n  handle: {{kind: handle, on: shaft, speed: 30 rpm}}\n{textwrap.indent(parts.strip(), '  ')}\n{more}"
    (folder / "piece.yaml").write_text(text)
    return folder / "piece.yaml"


def test_points_that_a_file_names_are_the_figures_own(tmp_path):
    whole = assemble(read(piece(tmp_path, JOINTED)))
    body = whole.parts["body"]
    assert body.points()["shoulder"] == pytest.approx((6, 40))
    assert whole.starts["arm"][:2] == pytest.approx((66, 140))
    assert whole.parts["arm"].points() == {
        "pivot": (0, 0),
        "hand": pytest.approx((20, 0)),
        "tip": pytest.approx((20, 0)),
    }


def test_jointed_figure_weighs_what_its_pieces_do(tmp_path):
    """A plate of 24 x 4 x 3 mm of birch ply, hung 2 mm from its end."""
    world = build(assemble(read(piece(tmp_path, JOINTED))))
    density = materials.stuff("birch ply").density.at(0.5)
    mass = 24 * 4 * 3 * density
    body = next(link for link in world.links if "arm" in link.members)
    assert body.weight.mass == pytest.approx(mass)
    assert body.weight.centre == pytest.approx((10, 0))
    assert body.weight.inertia == pytest.approx(mass * (24**2 + 4**2) / 12)


def test_maker_weighs_better_than_the_drawing(tmp_path):
    said = JOINTED.replace("kind: lever", "kind: lever, mass: 9 g, centre of mass: [4, 1]")
    world = build(assemble(read(piece(tmp_path, said))))
    body = next(link for link in world.links if "arm" in link.members)
    assert (body.weight.mass, body.weight.centre) == (9, (4, 1))


def test_rod_turns_its_drawing_to_its_far_end(tmp_path):
    parts = """
    crank: {kind: crank, on: shaft, radius: 10, angle: up}
    rocker: {kind: lever, at: [160, 60], arms: {end: 30 up}}
    rod: {kind: rod, from: crank.pin, to: rocker.end, length: fitted, artwork: {file: it.svg, piece: arm, hung by: tip, turned: 5}}
    """
    rod = read(piece(tmp_path, textwrap.dedent(parts))).parts["rod"]
    assert rod.artwork.turned == pytest.approx(math.radians(5)), "its tip is where it hangs"
    straight = read(piece(tmp_path, textwrap.dedent(parts).replace("hung by: tip, ", "hung by: [36, 40], "))).parts["rod"]  # fmt: skip
    end = straight.artwork.place(straight.artwork.cut.points["tip"])
    assert math.degrees(math.atan2(end[1], end[0])) == pytest.approx(5)


def test_drawing_of_a_likeness_is_turned_in_the_mirror(tmp_path):
    parts = JOINTED + "twin: {like: body, mirrored about: shaft}\n"
    whole = read(piece(tmp_path, parts))
    assert whole.parts["twin"].points()["shoulder"] == pytest.approx((-6, 40))
    assert whole.parts["twin"].artwork.is_mirrored
    left = [point for shape in whole.parts["twin"].artwork.shapes for course in shape.cut.courses for point in course.segments[0]]  # fmt: skip
    assert max(x for x, _ in left) <= -20


def test_variant_may_change_how_high_a_drawing_is(tmp_path):
    path = piece(tmp_path, JOINTED, "variants:\n  tall: {body.artwork.height: 100}\n")
    assert read(path, "tall").parts["body"].points()["shoulder"] == pytest.approx((12, 80))


def test_other_kinds_show_their_own_shape():
    what, write = refusal("cam: {kind: cam, on: shaft, eccentric: {radius: 20, throw: 8}, artwork: heron.svg}")  # fmt: skip
    assert what.startswith("'artwork': there is no such file")
    what, write = refusal(
        "cam: {kind: cam, on: shaft, eccentric: {radius: 20, throw: 8}, artwork: {shapes: [{disc: 9}]}}"
    )
    assert what == "'cam': a cam shows its own shape"
    assert "kind: figure" in write


@pytest.mark.parametrize(
    ("points", "what"),
    [
        (
            " ".join(f"{i * 7919 % 997} {i * 104729 % 991}" for i in range(8000)),
            "an outline that crosses itself without end",
        ),
        ("0 0 10 10", "nothing in it has an area to be sawn"),
    ],
)
def test_what_can_not_be_sawn_is_told_where_the_scene_names_it(points, what, tmp_path):
    path = piece(
        tmp_path, "scrawl: {kind: lever, at: [60, 60], arms: {a: 9 up}, artwork: it.svg}"
    )
    (tmp_path / "it.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="99mm" height="99mm" viewBox="0 0 999 999"><polygon points="{points}"/></svg>'
    )
    whole = assemble(read(path))
    with pytest.raises(SceneError) as caught:
        build(whole)
    (problem,) = caught.value.problems
    assert problem.what == f"'artwork': it.svg: {what}"
    assert (problem.place.line, problem.place.length) == (5, len("it.svg"))
