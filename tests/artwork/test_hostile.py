"""Files that are broken, huge or mean harm are refused in a sentence, with their line, and before they cost anything."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from animator.artwork import files, markup, svg
from animator.artwork.refusal import Unusable

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
SHAPE = '<path d="M0 0H9V9Z"/>'


def refusal(text: str | bytes) -> Unusable:
    raw = text if isinstance(text, bytes) else text.encode()
    begun = time.perf_counter()
    with pytest.raises(Unusable) as caught:
        svg.read(raw, "it.svg")
    assert time.perf_counter() - begun < 8, "a refusal comes at once"
    assert caught.value.what
    assert caught.value.write
    return caught.value


def inside(inner: str) -> Unusable:
    return refusal(f"<svg {NS}>\n{inner}\n{SHAPE}</svg>")


@pytest.mark.parametrize(
    ("inner", "what"),
    [
        ("<script>1</script>", "it holds 'script'"),
        ("<svg:script xmlns:svg='http://www.w3.org/2000/svg'/>", "it holds 'script'"),
        ("<x:script xmlns:x='http://www.w3.org/1999/xhtml'/>", "it holds 'script'"),
        ("<foreignObject/>", "it holds 'foreignObject'"),
        ('<g onload="x()"/>', "it answers to 'onload'"),
        ('<a href="javascript:x()"/>', "it links to a script"),
        ('<a xlink:href=" JavaScript:x()"/>', "it links to a script"),
        ('<a href="https://example.org"/>', "it links to something outside"),
        ('<use href="file:///etc/passwd#x"/>', "it links to something outside"),
        ('<use href="other.svg#x"/>', "it links to something outside"),
        ('<use href="data:text/html,x"/>', "it holds another file"),
        ('<image href="x.png"/>', "it holds a picture"),
        ('<feImage xlink:href="http://example.org/x.png"/>', "it links to something outside"),
        ('<rect fill="url(http://example.org/#g)"/>', "it links to something outside"),
        ('<rect style="fill:url( \'http://example.org/#g\' )"/>', "it links to something outside"),
        ("<style>@import 'x.css';</style>", "from another file"),
        ("<style>.a{fill:url(x.svg#g)}</style>", "it links to something outside"),
        ("<style>@font-face{src:url(http://example.org/x)}</style>", "it links to something outside"),
        ("<animate/>", "it moves by itself"),
        ("<g><set/></g>", "it moves by itself"),
        ('<rect width="9" height="9" mask="url(#m)"/>', "a mask"),
        ('<rect width="1e999" height="9"/>', "too large to be drawn"),
        ('<rect width="nan" height="9"/>', "is not a length"),
        ('<path d="M0 0 L1e30 4"/>', "too large to be drawn"),
        ('<g transform="rotate(1"/>', "a transform that can't be read"),
        ('<g transform="spin(1)"/>', "a transform that can't be read"),
        ('<g transform="scale(1 2 3)"/>', "has 3 numbers"),
        ('<rect width="9em" height="9"/>', "a length in 'em'"),
        ('<rect width="9" height="9" fill="var(--x)"/>', "no colour is called"),
        ('<pattern id="p"/><rect width="9" height="9" fill="url(#p)"/>', "a patterned fill"),
        ("<blob/>", "no element of a drawing is called 'blob'"),
        ('<use href="#nobody"/>', "which isn't there"),
        ('<circle class="point" id="a"/><circle class="point" id="a"/>', "two points are called 'a'"),
        ('<circle class="point" id="3"/>', "a point can't be called '3'"),
        ('<circle class="point" id="a.b "/><g class="point" id="x"/>', "lies nowhere"),
        ("<text>A</text>", "it holds letters"),
    ],
)  # fmt: skip
def test_drawing_with_what_does_not_belong_there_is_refused_on_its_line(inner: str, what: str):
    wrong = inside(inner)
    assert what in wrong.what
    assert wrong.line == 2


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "isn't sound XML"),
        ("heron", "isn't sound XML"),
        ("<svg>", "isn't sound XML"),
        ("<html/>", "it is no SVG file"),
        (b"\x89PNG\r\n\x1a\n", "isn't sound XML"),
        (b"\x1f\x8b\x08\x00", "it is compressed"),
        (b"<?xml version='1.0' encoding='klingon'?><svg/>", ""),
        (b"<svg>\xff\xfe\x00</svg>", "isn't sound XML"),
        (f"<!DOCTYPE svg [<!ENTITY a 'b'>]><svg {NS}>&a;</svg>", "declares words of its own"),
        (f"<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/passwd'>]><svg {NS}>&a;</svg>", "declares words of its own"),
        (f"<!DOCTYPE svg [<!ATTLIST path d CDATA 'M0 0'>]><svg {NS}/>", "declares words of its own"),
        (f"<!DOCTYPE svg SYSTEM 'http://example.org/x.dtd'><svg {NS}>&a;</svg>", ""),
        (f"<?xml-stylesheet href='x.css'?><svg {NS}/>", "from another file"),
        (f"<svg {NS}/>", "nothing is drawn in it"),
        (f"<svg {NS} viewBox='0 0 0 9'>{SHAPE}</svg>", "a viewBox that encloses nothing"),
        (f"<svg {NS} width='-9mm'>{SHAPE}</svg>", "a page -9mm large"),
        (f"<svg {NS} width='nine'>{SHAPE}</svg>", "is not a length"),
    ],
)  # fmt: skip
def test_file_that_is_no_drawing_is_refused(text: str | bytes, what: str):
    said = refusal(text).what
    assert what.replace("it is compressed", "compressed") in said


def ten(text: str, i: int) -> str:
    return text % i * 10


def test_bombs_cost_nothing():
    lol = "".join(f"<!ENTITY l{i + 1} '{ten('&l%d;', i)}'>" for i in range(9))
    refusal(f'<!DOCTYPE svg [<!ENTITY l0 "lol">{lol}]><svg {NS}><title>&l9;</title></svg>')
    copy = '<use href="#u%d"/>'
    nest = "".join(f'<g id="u{i + 1}">{ten(copy, i)}</g>' for i in range(19))
    assert "copies" in inside(f'<defs><path id="u0" d="M0 0H9V9Z"/>{nest}</defs><use href="#u19"/>').what  # fmt: skip


@pytest.mark.slow
def test_huge_files_are_refused():
    assert "MB" in refusal(b" " * (markup.LARGEST + 1)).what
    assert "strokes of the pen" in inside(f'<path d="M0 0{"h1v1" * 200_000}"/>').what
    assert "strokes of the pen in all" in inside(f'<path d="M0 0{"h1v1" * 20_000}"/>' * 5).what
    assert "points" in inside(f'<polygon points="{"1 2 " * 200_000}"/>').what
    assert "shapes" in inside('<path d="M0 0H9V9Z"/>' * 4000).what
    assert "elements" in inside("<g/>" * 50_000).what
    assert "nested" in inside("<g>" * 5000 + "</g>" * 5000).what
    assert "style sheet" in inside(f"<style>{'.a{fill:red}' * 40_000}</style>").what
    assert "styles" in inside(f"<style>{'.a{fill:red}' * 3000}</style>").what


def test_scribble_that_crosses_itself_without_end_is_refused_when_it_is_weighed(tmp_path: Path):
    from animator.artwork import weighing

    zigzag = " ".join(f"{i * 7919 % 997} {i * 104729 % 991}" for i in range(8000))
    (tmp_path / "it.svg").write_text(
        f'<svg {NS} width="99mm" height="99mm" viewBox="0 0 999 999"><polygon points="{zigzag}"/></svg>'
    )
    piece = files.take("it.svg", tmp_path, None, None, is_mirrored=False)
    begun = time.perf_counter()
    with pytest.raises(Unusable, match="crosses itself"):
        weighing.spread(piece)
    assert time.perf_counter() - begun < 10


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("../it.svg", "next to the scene"),
        ("art/../../it.svg", "next to the scene"),
        ("..\\it.svg", "next to the scene"),
        ("/etc/passwd.svg", "next to the scene"),
        ("C:\\it.svg", "next to the scene"),
        ("~/it.svg", "next to the scene"),
        ("file:///it.svg", "not a link"),
        ("https://example.org/it.svg", "not a link"),
        ("it\0.svg", "empty"),
        ("", "empty"),
        ("it.txt", "neither SVG"),
        ("gone.svg", "no such file"),
        ("folder.svg", "this is no file"),
        ("out.svg", "out of the scene's folder"),
        ("round.svg", "opened"),
        ("pipe.svg", "this is no file"),
        ("a" * 300 + ".svg", ""),
    ],
)
def test_only_plain_files_below_the_scene_are_opened(name: str, what: str, tmp_path: Path):
    home = tmp_path / "scenes"
    home.mkdir()
    (tmp_path / "it.svg").write_text(f"<svg {NS}>{SHAPE}</svg>")
    (home / "folder.svg").mkdir()
    (home / "out.svg").symlink_to(tmp_path / "it.svg")
    (home / "round.svg").symlink_to(home / "round.svg")
    os.mkfifo(home / "pipe.svg")
    with pytest.raises(Unusable) as caught:
        files.sheet(name, home)
    assert what in caught.value.what
