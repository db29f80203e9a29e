from __future__ import annotations

import base64
import hashlib
import io
import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import av
import html5lib
import pytest
from fontTools.ttLib import TTFont
from PIL import Image

from animator.findings.examining import read_for_check, run_and_check
from animator.outputs.presets import MAIL_BYTES
from animator.problems import RunError
from animator.proposals.letters import subset
from animator.proposals.making import Proposal
from animator.proposals.page import captions
from tests.proposals._made import HOSTILE, page, proposal

pytestmark = pytest.mark.slow  # the page is made with all its variants

XHTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"


def tree(data: bytes) -> ElementTree.Element:
    """Parse as browsers do (WHATWG HTML); anything the standard calls an error fails the test."""
    return html5lib.HTMLParser(strict=True).parse(data, transport_encoding="utf-8")


def all_of(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return list(root.iter(XHTML + name))


def words(element: ElementTree.Element) -> str:
    return "".join(element.itertext())


@pytest.fixture(scope="module")
def mole() -> ElementTree.Element:
    return tree(page("mole"))


def test_page_keeps_to_the_standard(mole: ElementTree.Element) -> None:
    assert mole.attrib["lang"] == "en"
    assert words(all_of(mole, "title")[0]) == "The mole who can't get up"
    ids = [each.attrib["id"] for each in mole.iter() if "id" in each.attrib]
    assert len(ids) == len(set(ids))
    assert {a.attrib["href"] for a in all_of(mole, "a")} <= {f"#{each}" for each in ids}


def test_headings_come_in_order_and_landmarks_stand_once(mole: ElementTree.Element) -> None:
    levels = [
        int(each.tag[-1])
        for each in mole.iter()
        if re.fullmatch(r"\{.*\}h[1-6]", str(each.tag))
    ]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    for name in ("header", "main", "nav", "footer"):
        assert len(all_of(mole, name)) == 1
    for section in all_of(mole, "section"):
        heading = section.attrib["aria-labelledby"]
        assert any(each.attrib.get("id") == heading for each in section.iter())


def test_every_picture_says_what_is_seen(mole: ElementTree.Element) -> None:
    pictures = all_of(mole, "img")
    assert len(pictures) >= 5
    for picture in pictures:
        assert len(picture.attrib["alt"]) > 20
        assert {"width", "height"} <= set(picture.attrib)
    for drawing in mole.iter(SVG + "svg"):
        assert drawing.attrib["aria-hidden"] == "true"  # its word stands beside it
    assert "all stands still" in pictures[0].attrib["alt"]


def test_tables_name_their_rows_and_columns(mole: ElementTree.Element) -> None:
    tables = all_of(mole, "table")
    assert tables
    for table in tables:
        assert words(all_of(table, "caption")[0])
        assert {cell.attrib["scope"] for cell in all_of(table, "th")} == {"row", "col"}


def test_page_loads_nothing() -> None:
    text = page("mole").decode("utf-8")
    assert not re.search(
        r"(?i)\bhttps?:|\burl\((?!\"data:)|@import|<iframe|<object|<embed|<base", text
    )
    for address in re.findall(r'(?:src|srcset|poster|href)="([^"]*)"', text):
        assert address.startswith(("data:", "#")), address[:60]


def test_guard_lets_in_only_the_pages_own_style_and_script(mole: ElementTree.Element) -> None:
    guard = next(
        meta.attrib["content"]
        for meta in all_of(mole, "meta")
        if meta.attrib.get("http-equiv") == "Content-Security-Policy"
    )
    assert guard.startswith("default-src 'none'; ")
    for name in ("style", "script"):
        (only,) = all_of(mole, name)
        digest = base64.b64encode(hashlib.sha256(words(only).encode("utf-8")).digest()).decode()
        assert f"{name}-src 'sha256-{digest}'" in guard
    assert "unsafe" not in guard
    assert not any("style" in each.attrib for each in mole.iter())
    assert not any(key.startswith("on") for each in mole.iter() for key in each.attrib)


def test_film_is_whole_and_plays_only_when_asked_to(mole: ElementTree.Element) -> None:
    (film,) = all_of(mole, "video")
    assert {"controls", "muted", "loop", "playsinline", "poster", "aria-label"} <= set(
        film.attrib
    )
    assert "autoplay" not in film.attrib
    (source,) = all_of(film, "source")
    data = base64.b64decode(source.attrib["src"].partition(",")[2])
    with av.open(io.BytesIO(data)) as container:
        stream = container.streams.video[0]
        assert stream.codec_context.name == "h264"
        assert stream.codec_context.pix_fmt == "yuv420p"
        size = stream.codec_context.width, stream.codec_context.height
        pictures = sum(1 for _ in container.decode(stream))
    assert size == (int(film.attrib["width"]), int(film.attrib["height"]))
    assert pictures > 20
    poster = Image.open(io.BytesIO(base64.b64decode(film.attrib["poster"].partition(",")[2])))
    assert poster.size == size


def test_film_can_be_read_along(mole: ElementTree.Element) -> None:
    (track,) = all_of(mole, "track")
    said = base64.b64decode(track.attrib["src"].partition(",")[2]).decode("utf-8")
    assert said.startswith("WEBVTT\n")
    times = re.findall(r"(\d+):([\d.]+) --> (\d+):([\d.]+)", said)
    ends = [60 * int(c) + float(d) for _, _, c, d in times]
    starts = [60 * int(a) + float(b) for a, b, _, _ in times]
    assert starts == sorted(starts)
    assert all(start < end for start, end in zip(starts, ends, strict=True))
    assert "wedges" in said


def test_captions_cannot_break_out_of_their_file() -> None:
    assert "<" not in captions([(0.0, 1.0, "<c> & -->")]).replace("-->", "")


def test_text_of_a_scene_stays_text(tmp_path: Path) -> None:
    path = tmp_path / "hostile.yaml"
    path.write_text(HOSTILE, "utf-8")
    checked = run_and_check(read_for_check(path), ())
    root = tree(Proposal(checked, is_draft=True).page()[0])
    assert words(all_of(root, "h1")[0]) == "<b>Rock & roll</b>"
    assert len(all_of(root, "script")) == 1
    assert not all_of(all_of(root, "header")[0], "img")
    assert "</style><script>alert(1)</script>" in words(all_of(root, "header")[0])
    assert "<img src=x onerror=alert(2)>" in words(all_of(root, "dl")[0])


def test_letters_of_the_page_travel_with_it() -> None:
    text = page("mole").decode("utf-8")
    fonts = re.findall(r'url\("data:font/woff2;base64,([^"]+)"\)', text)
    assert len(fonts) == 5
    assert sum(map(len, fonts)) < 130_000
    face = TTFont(io.BytesIO(subset("title", "Weir")))
    assert face.flavor == "woff2"
    assert set(map(ord, "Weir")) <= set(face.getBestCmap())
    assert ord("z") not in face.getBestCmap()
    assert face["name"].getDebugName(13)  # the licence stays with the letters


def test_figures_of_the_labels_keep_one_width() -> None:
    face = TTFont(io.BytesIO(subset("label", "0123456789")))
    widths = {face["hmtx"][face.getBestCmap()[ord(digit)]][0] for digit in "0123456789"}
    assert len(widths) == 1


def test_page_fits_into_a_letter() -> None:
    assert len(page("mole")) <= MAIL_BYTES


def test_a_small_budget_is_kept_and_what_is_given_up_is_told() -> None:
    made = proposal("mole")
    small = type(made)(made.checked, is_draft=True, max_bytes=700_000)
    data, remarks = small.page()
    assert len(data) <= 700_000
    assert all(remark.startswith("the film: ") for remark in remarks)


def test_a_page_that_cannot_be_so_small_is_refused() -> None:
    made = proposal("heron")
    tiny = type(made)(made.checked, is_draft=True, max_bytes=100_000)
    with pytest.raises(RunError, match=r"can't be made in 100 kB.*--max-size \d+kB"):
        tiny.page()


def test_nothing_private_is_told() -> None:
    text = page("mole")
    assert str(Path.cwd()).encode() not in text
    assert b"/home/" not in text
    assert b"/root/" not in text
