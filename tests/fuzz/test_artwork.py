"""Any bytes are read as artwork or refused in a sentence; nothing else ever happens."""

from __future__ import annotations

import io
import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from animator.artwork import files, painted, pathdata, svg, weighing
from animator.artwork.refusal import Unusable

ROOT = Path(__file__).parents[2]
SOUND = [path.read_bytes() for path in sorted((ROOT / "scenes/art").glob("*.svg"))]
SOUND += [path.read_bytes() for path in sorted((ROOT / "tests/wrong/art").glob("*.svg"))]
TAGS = ["g", "path", "rect", "circle", "ellipse", "line", "polygon", "polyline", "use", "defs", "symbol", "svg", "style", "linearGradient", "stop", "text", "switch"]  # fmt: skip
VALUES = [
    "", "0", "-1", "1e9", "nan", "10 10", "url(#a)", "#a", "red", "none", "inherit", "M0 0L9 9Z", "M0 0a1 1 0 10 3 3", "10%", "3mm", "point", "a.pivot",
    "rotate(30)", "scale(0)", "matrix(1 2 3 4 5 6)", "0 0 10 10", "fill:red;stroke:blue", ".a{fill:red}", "currentColor", "evenodd", "round", "1,2,3",
]  # fmt: skip
KEYS = ["d", "x", "y", "width", "height", "r", "cx", "points", "transform", "fill", "stroke", "stroke-width", "stroke-dasharray", "opacity", "id", "class", "href", "style", "viewBox", "offset", "stroke-linejoin"]  # fmt: skip
OFTEN = settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
pytestmark = pytest.mark.fuzz


def tried(raw: bytes) -> None:
    """Read a file and all that follows from it."""
    try:
        sheet = svg.read(raw, "it.svg")
        piece = sheet.piece(None)
        assert piece is not None
        spread = weighing.spread(piece)
        weighing.layers(piece)
    except Unusable as wrong:
        assert wrong.what
        assert wrong.write
        assert wrong.line >= 0
        return
    assert spread.area >= 0
    assert all(map(math.isfinite, (spread.x, spread.y, spread.xx, spread.yy, *piece.extent)))
    assert min(spread.xx, spread.yy) >= -1e-6 * max(spread.xx, spread.yy, 1)
    left, low, right, high = piece.extent
    assert spread.area <= (right - left) * (high - low) * (1 + 1e-6) + 1e-9


@OFTEN
@given(st.binary(max_size=400))
def test_any_bytes(raw: bytes) -> None:
    tried(raw)


@OFTEN
@given(
    st.sampled_from(SOUND),
    st.lists(
        st.tuples(st.integers(0, 10**6), st.binary(max_size=6), st.integers(0, 40)), max_size=6
    ),
)
def test_drawing_with_some_bytes_changed(
    raw: bytes, changes: list[tuple[int, bytes, int]]
) -> None:
    for at, new, gone in changes:
        at %= len(raw) + 1
        raw = raw[:at] + new + raw[at + gone :]
    tried(raw)


ELEMENTS = st.recursive(
    st.tuples(st.sampled_from(TAGS), st.dictionaries(st.sampled_from(KEYS), st.sampled_from(VALUES), max_size=6), st.just([])),
    lambda inner: st.tuples(st.sampled_from(TAGS), st.dictionaries(st.sampled_from(KEYS), st.sampled_from(VALUES), max_size=4), st.lists(inner, max_size=4)),
    max_leaves=12,
)  # fmt: skip


def written(element) -> str:
    tag, said, inner = element
    words = "".join(f' {key}="{value}"' for key, value in said.items())
    return f"<{tag}{words}>{''.join(map(written, inner))}</{tag}>"


@OFTEN
@given(st.lists(ELEMENTS, max_size=5))
def test_any_elements(elements) -> None:
    inner = "".join(map(written, elements))
    tried(f'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" viewBox="0 0 90 90"><path id="a" d="M1 1h9v9z"/>{inner}</svg>'.encode())  # fmt: skip


@OFTEN
@given(st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.,-+e \n", max_size=120))
def test_any_path_data(text: str) -> None:
    try:
        drawn = pathdata.courses(f"M0 0{text}")
    except Unusable:
        return
    for course in drawn:
        for one, after in zip(course.segments, course.segments[1:], strict=False):
            assert one[-1] == after[0]
        assert all(math.isfinite(v) for each in course.segments for p in each for v in p)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_picture_with_some_bytes_changed(tmp_path_factory, data) -> None:
    folder = tmp_path_factory.mktemp("painted")
    name = data.draw(st.sampled_from(["it.png", "it.jpg"]))
    found = Image.new("RGB", (48, 48), "white")
    found.paste((180, 60, 40), (12, 8, 36, 40))
    kept = io.BytesIO()
    found.save(kept, "PNG" if name.endswith("png") else "JPEG")
    raw = kept.getvalue()
    for _ in range(data.draw(st.integers(0, 4))):
        at = data.draw(st.integers(0, len(raw)))
        raw = (
            raw[:at]
            + data.draw(st.binary(max_size=4))
            + raw[at + data.draw(st.integers(0, 4)) :]
        )
    (folder / name).write_bytes(raw)
    try:
        piece = files.take(name, folder, None, 40.0, is_mirrored=False)
    except Unusable as wrong:
        assert wrong.what
        return
    finally:
        painted.pixels.cache_clear()
    assert weighing.spread(piece).area > 0
