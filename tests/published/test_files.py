"""Film files against what is published about their formats, read back with other libraries or byte by byte.

GIF: "Graphics Interchange Format, Version 89a", CompuServe 1990, sections 18-23. The loop block is the Netscape application
extension of 1995. MP4: ISO/IEC 14496-12 (boxes), ITU-T H.273 (colour code points).
"""

from __future__ import annotations

import itertools
import struct
from fractions import Fraction
from pathlib import Path

import av
import imageio.v3 as iio
import numpy as np
import pytest
from PIL import Image, ImageSequence

import animator
from animator.outputs import save
from animator.outputs._video import plan_repeats
from animator.outputs.gif import delays_in
from animator.problems import RunError
from tests.films import BRASS, PAPER, Roundabout, structural_similarity


class GifFile:
    """A GIF taken apart by hand, after the specification."""

    def __init__(self, path: Path) -> None:
        data = path.read_bytes()
        assert data[:6] == b"GIF89a"
        assert data[-1:] == b";"
        self.width, self.height, flags = struct.unpack("<HHB", data[6:11])
        assert flags & 0x80, "a global colour table"
        self.colour_count = 2 << (flags & 7)
        self.table_end = at = 13 + 3 * self.colour_count
        self.data = data
        self.delays: list[int] = []
        self.boxes: list[tuple[int, int, int, int]] = []
        while data[at] != 0x3B:
            if data[at] == 0x2C:
                *box, flags = struct.unpack("<HHHHB", data[at + 1 : at + 10])
                assert not flags & 0x80, "no local colour table"
                assert not flags & 0x40, "not interlaced"
                self.boxes.append(tuple(box))
                at = self.skip(at + 11)
            else:
                assert data[at] == 0x21
                if data[at + 1] == 0xF9:
                    self.delays.append(struct.unpack("<H", data[at + 4 : at + 6])[0])
                at = self.skip(at + 2)
        assert at == len(data) - 1

    def skip(self, at: int) -> int:
        """Pass over blocks up to the empty one."""
        while self.data[at]:
            at += self.data[at] + 1
        return at + 1


@pytest.fixture(scope="module")
def gif(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("films") / "round.gif"
    save(Roundabout(30, fps=25), path)
    return path


@pytest.fixture(scope="module")
def mp4(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("films") / "round.mp4"
    save(Roundabout(75, 30, size=(481, 271), fps=60), path)
    return path


# OUT-01: delays are unsigned 16-bit counts of 1/100 s. OUT-02: 0 and 1 are shown as 100 ms in the main browsers.
def test_gif_delays_are_hundredths_and_never_clamped_by_browsers(gif: Path) -> None:
    assert GifFile(gif).delays == [4] * 30
    with Image.open(gif) as film:
        assert [picture.info["duration"] for picture in ImageSequence.Iterator(film)] == [
            40
        ] * 30


def test_gif_never_asks_for_a_faster_rate_than_browsers_show(tmp_path: Path) -> None:
    save(Roundabout(6, fps=50), tmp_path / "fast.gif")
    assert GifFile(tmp_path / "fast.gif").delays == [2] * 6
    with pytest.raises(RunError, match="50 pictures a second"):
        save(Roundabout(6, fps=60), tmp_path / "faster.gif")
    assert not (tmp_path / "faster.gif").exists()


# OUT-03: 50, 25, 20, 10, 5 fps are exact; a loop is a whole number of hundredths.
@pytest.mark.parametrize(("fps", "delay"), [(50, 2), (25, 4), (20, 5), (10, 10), (5, 20)])
def test_exact_rates_have_one_delay(fps: float, delay: int) -> None:
    assert set(delays_in(100, 97, fps)) == {delay}


@pytest.mark.parametrize("fps", [30, 24, 100 / 3, 12.5, 7, 49.9, 0.01])
def test_other_rates_add_up_to_the_hundredth(fps: float) -> None:
    delays = delays_in(100, 97, fps)
    assert min(delays) >= 2
    assert max(delays) - min(delays) <= 1
    assert abs(sum(delays) - 9700 / fps) <= 0.5


# OUT-04: 19 bytes straight after the global colour table. OUT-05: count 0, for ever.
def test_loop_block_stands_straight_after_the_colours(gif: Path) -> None:
    film = GifFile(gif)
    block = film.data[film.table_end : film.table_end + 19]
    assert block == b"\x21\xff\x0bNETSCAPE2.0\x03\x01\x00\x00\x00"
    assert film.data.count(b"NETSCAPE2.0") == 1
    with Image.open(gif) as pictures:
        assert pictures.info["loop"] == 0


def test_gif_shows_one_round_of_a_film_that_comes_round(tmp_path: Path) -> None:
    film = Roundabout(75, 30)
    save(film, tmp_path / "round.gif")
    with Image.open(tmp_path / "round.gif") as pictures:
        assert pictures.n_frames == 30


def test_gif_pictures_are_the_film(gif: Path) -> None:
    film = Roundabout(30)
    shown = iio.imread(gif, extension=".gif", plugin="pillow", mode="RGB")
    assert shown.shape == (30, 96, 160, 3)
    for index, picture in enumerate(shown):
        drawn = film.frame(index)
        assert structural_similarity(picture, drawn) > 0.99
        assert np.abs(picture.astype(int) - drawn[..., :3]).max() <= 32
    assert tuple(shown[0, 50, 2]) == PAPER  # flat paper comes out exactly


def test_only_what_moved_is_written_again(gif: Path) -> None:
    film = GifFile(gif)
    assert film.boxes[0] == (0, 0, 160, 96)
    assert all(width * height < 160 * 96 / 6 for _, _, width, height in film.boxes[1:])


# OUT-06: base64 with line breaks grows a file to 1.3684 times its size.
def test_sample_gif_fits_an_e_mail(gif: Path) -> None:
    assert gif.stat().st_size * 1.3684 < 7e6


# OUT-07: H.264, 4:2:0, even sides, index in front, constant rate.
def test_mp4_plays_widely(mp4: Path) -> None:
    with av.open(str(mp4)) as film:
        stream = film.streams.video[0]
        assert stream.codec_context.name == "h264"
        assert stream.codec_context.pix_fmt == "yuv420p"
        assert (stream.width, stream.height) == (482, 272)
        assert stream.average_rate == stream.guessed_rate == 60
        times = [picture.pts * stream.time_base for picture in film.decode(stream)]
    assert times == [Fraction(index, 60) for index in range(75)]


def boxes(data: bytes) -> list[bytes]:
    """Names of the outermost boxes of an MP4 file, in order."""
    names, at = [], 0
    while at < len(data):
        size = struct.unpack(">I", data[at : at + 4])[0]
        names.append(data[at + 4 : at + 8])
        assert size >= 8
        at += size
    return names


def test_mp4_index_stands_before_the_pictures(mp4: Path) -> None:
    names = boxes(mp4.read_bytes())
    assert names[0] == b"ftyp"
    assert names.index(b"moov") < names.index(b"mdat")


def test_mp4_says_how_its_colours_are_meant(mp4: Path) -> None:
    data = mp4.read_bytes()
    at = data.index(b"colrnclx")
    # primaries, transfer, matrix: 1 is BT.709 in H.273; the top bit of the last byte is "full range"
    assert struct.unpack(">HHHB", data[at + 8 : at + 15]) == (1, 1, 1, 0)
    with av.open(str(mp4)) as film:
        context = film.streams.video[0].codec_context
        assert (context.color_primaries, context.color_trc, context.colorspace) == (1, 1, 1)


def bt709_to_rgb(y: float, u: float, v: float) -> tuple[float, float, float]:
    """Decode by the formulas of Rec. ITU-R BT.709-6, 8-bit narrow range."""
    luma, blue, red = (y - 16) / 219, (u - 128) / 224, (v - 128) / 224
    r, b = luma + 1.5748 * red, luma + 1.8556 * blue
    return 255 * r, 255 * (luma - 0.2126 * r - 0.0722 * b) / 0.7152, 255 * b


@pytest.mark.parametrize("index", [0, 29, 30, 59, 60, 74])
def test_brass_stays_brass(mp4: Path, index: int) -> None:
    film = Roundabout(75, 30, size=(481, 271))
    x, y = (int(value) // 2 * 2 for value in film.place(index % 30))
    with av.open(str(mp4)) as opened:
        planes = (
            next(itertools.islice(opened.decode(video=0), index, None))
            .to_ndarray()
            .astype(float)
        )
    assert planes.shape == (408, 482)
    luma, chroma = planes[:272], planes[272:].reshape(2, 136, 241)
    seen = bt709_to_rgb(luma[y, x], chroma[0, y // 2, x // 2], chroma[1, y // 2, x // 2])
    assert np.allclose(seen, BRASS, atol=3)


def test_odd_side_is_padded_by_its_edge(mp4: Path) -> None:
    picture = iio.imread(mp4, plugin="pyav", index=0)
    assert np.allclose(picture[:, 481], picture[:, 480], atol=6)
    assert np.allclose(picture[271], picture[270], atol=6)


@pytest.mark.slow
# A stretch written again, and the remainder cut from it, show bit for bit the same pictures.
@pytest.mark.parametrize(
    ("count", "distinct"), [(75, 30), (600, 120), (40, 39), (35, 17), (7, 2), (9, 1), (500, 1)]
)
def test_repeats_are_the_same_pictures(count: int, distinct: int, tmp_path: Path) -> None:
    film = Roundabout(count, distinct, fps=60)
    save(film, tmp_path / "round.mp4")
    segment = plan_repeats(count, distinct).segment
    with av.open(str(tmp_path / "round.mp4")) as opened:
        stream = opened.streams.video[0]
        pictures, times = [], []
        for picture in opened.decode(stream):
            pictures.append(picture.to_ndarray(format="rgb24"))
            times.append(picture.pts * stream.time_base)
    assert times == [Fraction(index, 60) for index in range(count)]
    for index in range(segment, count):
        assert np.array_equal(pictures[index], pictures[index % segment])
    for index in range(segment):
        assert structural_similarity(pictures[index], film.frame(index % distinct)) > 0.95


def test_film_is_the_same_bytes_every_time(tmp_path: Path) -> None:
    for ending in (".mp4", ".gif"):
        for name in ("a", "b"):
            animator.save(Roundabout(40, 30, fps=25), tmp_path / (name + ending))
        assert (tmp_path / f"a{ending}").read_bytes() == (tmp_path / f"b{ending}").read_bytes()
