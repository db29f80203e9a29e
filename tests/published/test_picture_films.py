"""Animated PNG, animated WebP and WebM against what is published about them, taken apart byte by byte and read back with other libraries.

APNG: "Portable Network Graphics (PNG) Specification (Third Edition)", W3C, sections 4.7, 11.3.6 (acTL, fcTL, fdAT). WebP: RFC 9649, section 2 (container).
WebM: RFC 8794 (EBML) and RFC 9559 (Matroska), element numbers from its section 27.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from av.video.codeccontext import VideoCodecContext
from PIL import Image, ImageSequence

from animator.outputs import save
from tests.films import BRASS, Ghostly, Roundabout, structural_similarity

COUNT = 12
WORDS = {"title": "Héron & fish", "scene": "heron, fast"}


@pytest.fixture(scope="module")
def films(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One film in each format, opaque and see-through, of a round that comes twice and a half."""
    folder = tmp_path_factory.mktemp("films")
    for ending in (".apng", ".webp", ".webm", ".gif"):
        save(Roundabout(30, COUNT, fps=30), folder / f"opaque{ending}", **WORDS)
        save(Ghostly(30, COUNT, fps=30), folder / f"clear{ending}", **WORDS)
    return folder


def pictures_of(path: Path) -> list[Any]:
    with Image.open(path) as film:
        return [np.array(picture.convert("RGBA")) for picture in ImageSequence.Iterator(film)]


def durations_of(path: Path) -> list[float]:
    with Image.open(path) as film:
        spans = []
        for picture in ImageSequence.Iterator(film):
            picture.load()
            spans.append(picture.info["duration"])
    return spans


# ---------------------------------------------------------------- APNG
def png_chunks(path: Path) -> list[tuple[bytes, bytes]]:
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, found = 8, []
    while at < len(data):
        length = struct.unpack(">I", data[at : at + 4])[0]
        name, contents = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(
            name + contents
        )
        found.append((name, contents))
        at += 12 + length
    return found


@pytest.mark.parametrize("kind", ["opaque", "clear"])
def test_apng_chunks_stand_as_the_specification_says(films: Path, kind: str) -> None:
    chunks = png_chunks(films / f"{kind}.apng")
    names = [name for name, _ in chunks]
    assert names[0] == b"IHDR"
    assert names[-1] == b"IEND"
    # acTL once, before the image data: so many pictures, 0 for ever
    assert names.count(b"acTL") == 1
    assert names.index(b"acTL") < names.index(b"fcTL") < names.index(b"IDAT")
    assert struct.unpack(">II", dict(chunks)[b"acTL"]) == (COUNT, 0)
    assert (names.count(b"fcTL"), names.count(b"fdAT")) == (COUNT, COUNT - 1)
    # one count runs through fcTL and fdAT, from 0 without a gap
    numbers = [
        struct.unpack(">I", contents[:4])[0]
        for name, contents in chunks
        if name in (b"fcTL", b"fdAT")
    ]
    assert numbers == list(range(2 * COUNT - 1))


@pytest.mark.parametrize("kind", ["opaque", "clear"])
def test_apng_pictures_lie_inside_and_only_what_changed_is_written(
    films: Path, kind: str
) -> None:
    boxes = []
    whole = Fraction(0)
    for name, contents in png_chunks(films / f"{kind}.apng"):
        if name == b"fcTL":
            _, width, height, left, top, delay, unit, disposal, blend = struct.unpack(
                ">IIIIIHHBB", contents
            )
            assert left + width <= 160
            assert top + height <= 96
            assert (disposal, blend <= (kind == "opaque")) == (0, True)
            boxes.append((left, top, width, height))
            whole += Fraction(delay, unit)
    assert boxes[0] == (0, 0, 160, 96)
    assert all(width * height < 160 * 96 / 2 for _, _, width, height in boxes[1:])
    assert whole == Fraction(COUNT, 30)


@pytest.mark.parametrize(("kind", "film"), [("opaque", Roundabout), ("clear", Ghostly)])
def test_apng_comes_out_exactly(films: Path, kind: str, film: Any) -> None:
    drawn = film(COUNT, fps=30)
    shown = pictures_of(films / f"{kind}.apng")
    assert len(shown) == COUNT
    for index, picture in enumerate(shown):
        assert np.array_equal(picture, drawn.frame(index))


def test_apng_tells_what_it_shows(films: Path) -> None:
    with Image.open(films / "opaque.apng") as picture:
        picture.load()
        assert picture.info["loop"] == 0
        assert picture.text == {"Title": WORDS["title"], "Description": WORDS["scene"]}


# ---------------------------------------------------------------- WebP
def webp_chunks(path: Path) -> list[tuple[bytes, bytes]]:
    data = path.read_bytes()
    assert (data[:4], data[8:12]) == (b"RIFF", b"WEBP")
    assert struct.unpack("<I", data[4:8])[0] == len(data) - 8
    at, found = 12, []
    while at < len(data):
        size = struct.unpack("<I", data[at + 4 : at + 8])[0]
        found.append((data[at : at + 4], data[at + 8 : at + 8 + size]))
        at += 8 + size + size % 2  # odd ones are padded by one byte
    assert at == len(data)
    return found


@pytest.mark.parametrize("kind", ["opaque", "clear"])
def test_webp_container_says_what_is_in_it(films: Path, kind: str) -> None:
    chunks = webp_chunks(films / f"{kind}.webp")
    names = [name for name, _ in chunks]
    assert names == [b"VP8X", b"ANIM", *[b"ANMF"] * COUNT, b"XMP "]
    head = chunks[0][1]
    # flags, from the top: two reserved, ICC, alpha, EXIF, XMP, animation, reserved
    assert head[0] & 0b11101111 == 0b00000110
    # what stays in an opaque film may be left transparent too; a see-through one must have it
    assert kind == "opaque" or head[0] & 0b00010000
    assert int.from_bytes(head[4:7], "little") + 1 == 160
    assert int.from_bytes(head[7:10], "little") + 1 == 96
    assert struct.unpack("<H", chunks[1][1][4:6])[0] == 0  # loops for ever
    spans = [
        int.from_bytes(contents[12:15], "little")
        for name, contents in chunks
        if name == b"ANMF"
    ]
    assert set(spans) == {33, 34}
    assert sum(spans) == 1000 * COUNT / 30


@pytest.mark.parametrize("kind", ["opaque", "clear"])
def test_webp_is_read_by_others(films: Path, kind: str) -> None:
    path = films / f"{kind}.webp"
    with Image.open(path) as film:
        assert (film.n_frames, film.size, film.info["loop"]) == (COUNT, (160, 96), 0)
        assert b"H\xc3\xa9ron &amp; fish" in film.info["xmp"]
    assert sum(durations_of(path)) == 400
    drawn = (Roundabout if kind == "opaque" else Ghostly)(COUNT, fps=30)
    for index, picture in enumerate(pictures_of(path)):
        true = drawn.frame(index)
        assert np.array_equal(picture[..., 3], true[..., 3])  # transparency loses nothing
        shown, wanted = (laid_on_grey(each) for each in (picture, true))
        assert structural_similarity(shown, wanted) > 0.95


def laid_on_grey(picture: Any) -> Any:
    share = picture[..., 3:] / 255
    return np.rint(picture[..., :3] * share + 128 * (1 - share)).astype(np.uint8)


def test_a_film_that_stands_for_a_while_lasts_as_long_as_it_should(tmp_path: Path) -> None:
    class Standing(Roundabout):
        def frame(self, index: int) -> Any:
            return super().frame(min(index, 3))

    for ending in (".webp", ".apng", ".gif"):
        save(Standing(10, fps=25), tmp_path / f"film{ending}")
        assert sum(durations_of(tmp_path / f"film{ending}")) == 400


# ---------------------------------------------------------------- WebM
def elements(data: bytes, wanted: bytes) -> Iterator[bytes]:
    """Contents of every element of a number, looked for in all that hold others."""
    holders = (b"\x18\x53\x80\x67", b"\x16\x54\xae\x6b", b"\xae", b"\xe0", b"\x55\xb0")
    at = 0
    while at < len(data):
        length = 9 - data[at].bit_length()
        name = data[at : at + length]
        at += length
        width = 9 - data[at].bit_length()
        size = int.from_bytes(data[at : at + width]) & ((1 << 7 * width) - 1)
        at += width
        contents = data[at : at + size]
        if name == wanted:
            yield contents
        if name in holders:
            yield from elements(contents, wanted)
        at += size


@pytest.mark.parametrize("kind", ["opaque", "clear"])
def test_webm_says_what_is_in_it(films: Path, kind: str) -> None:
    data = (films / f"{kind}.webm").read_bytes()
    head = next(elements(data, b"\x1a\x45\xdf\xa3"))
    assert next(elements(head, b"\x42\x82")) == b"webm"  # DocType
    assert next(elements(data, b"\x86")) == b"V_VP9"  # CodecID
    # AlphaMode: the transparency stands beside each picture
    assert [int.from_bytes(mode) for mode in elements(data, b"\x53\xc0")] == (
        [1] if kind == "clear" else []
    )
    # Colour: matrix, transfer, primaries BT.709 (1 in H.273), narrow range (1)
    colours = [(b"\x55\xb1", 1), (b"\x55\xba", 1), (b"\x55\xbb", 1), (b"\x55\xb9", 1)]
    for number, value in colours:
        assert [int.from_bytes(each) for each in elements(data, number)] == [value]


@pytest.mark.parametrize("kind", ["opaque", "clear"])
def test_webm_plays_at_its_rate(films: Path, kind: str) -> None:
    with av.open(str(films / f"{kind}.webm")) as film:
        stream = film.streams.video[0]
        assert (stream.codec_context.name, stream.width, stream.height) == ("vp9", 160, 96)
        assert stream.average_rate == 30
        assert film.metadata["title"] == WORDS["title"]
        assert film.metadata["COMMENT"] == WORDS["scene"]
        times = [float(picture.pts * stream.time_base) for picture in film.decode(stream)]
    assert times == pytest.approx([index / 30 for index in range(30)], abs=0.0006)  # whole ms


def test_transparency_comes_through_webm(films: Path) -> None:
    decoder: Any = VideoCodecContext.create("libvpx-vp9", "r")  # the plain one leaves it out
    shown = []
    with av.open(str(films / "clear.webm")) as film:
        for packet in film.demux(video=0):
            shown += decoder.decode(packet) if packet.size else []
    assert len(shown) == 30
    drawn = Ghostly(30, COUNT, fps=30)
    for index in (0, 11, 29):
        picture = shown[index].to_ndarray(format="rgba")
        true = drawn.frame(index % COUNT)
        apart = np.abs(picture[..., 3].astype(int) - true[..., 3])
        assert apart[(true[..., 3] == 0) | (true[..., 3] == 255)].mean() < 2
        # a rim of another colour would show where it is half there
        rim = (true[..., 3] > 60) & (true[..., 3] < 200)
        assert np.abs(picture[rim, :3].astype(int) - BRASS).mean() < 40


# ---------------------------------------------------------------- transparent GIF
def test_gif_clears_each_see_through_picture(films: Path) -> None:
    data = (films / "clear.gif").read_bytes()
    controls = [
        data[at + 3] for at in range(len(data) - 8) if data[at : at + 3] == b"\x21\xf9\x04"
    ]
    # disposal 2, restore to background (GIF89a, section 23), and a transparent index
    assert controls == [0b00001001] * COUNT
    drawn = Ghostly(COUNT, fps=30)
    for index, picture in enumerate(pictures_of(films / "clear.gif")):
        true = drawn.frame(index)
        assert np.array_equal(picture[..., 3] == 255, true[..., 3] >= 128)
        there = picture[..., 3] == 255
        # edges keep the piece's own colour: no rim of another backdrop
        assert np.abs(picture[there, :3].astype(int) - BRASS).max() <= 4


# ---------------------------------------------------------------- all of them
@pytest.mark.parametrize("ending", [".gif", ".apng", ".webp", ".webm", ".mp4"])
@pytest.mark.parametrize("film", [Roundabout, Ghostly])
def test_films_repeat_to_the_byte_and_hold_nothing_private(
    ending: str, film: Any, tmp_path: Path
) -> None:
    for name in ("a", "b"):
        save(film(20, fps=25), tmp_path / f"{name}{ending}", **WORDS)
    data = (tmp_path / f"a{ending}").read_bytes()
    assert data == (tmp_path / f"b{ending}").read_bytes()
    assert str(tmp_path).encode() not in data
    for word in (b"/home", b"/tmp", b"20%d" % 26):
        assert word not in data


def test_film_that_knows_no_transparency_is_laid_on_paper_and_says_so(tmp_path: Path) -> None:
    saved = save(Ghostly(9, fps=25), tmp_path / "film.mp4")
    assert saved.remarks == ("this format knows no transparency: the piece is laid on paper",)
    with av.open(str(tmp_path / "film.mp4")) as film:
        picture = next(film.decode(video=0)).to_ndarray(format="rgb24")
    assert np.allclose(picture[:4, :4].mean((0, 1)), (244, 234, 213), atol=3)
