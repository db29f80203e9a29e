"""A film as animated WebP: lossy colours, transparency at full fineness, for ever round; shown by browsers like a picture."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar
from xml.sax.saxutils import escape

import numpy as np

from animator.outputs import ahead
from animator.outputs._contract import FORMATS, Format, Frames, Progress, Rung, Ways
from animator.outputs._video import QUALITIES, check_encoder
from animator.outputs.gif import delays_in

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

ENCODER = "libwebp_anim"
QUALITY = (82, 70, 55, 35)  # of 100: by eye, no source
EFFORT = {False: 4, True: 0}  # 0 to 6
XMP_FLAG = 0x04  # of the VP8X chunk: an XMP chunk follows


@FORMATS.add(".webp")
class WebP(Format):
    """Animated WebP that loops for ever; one round of a film that comes round."""

    largest_side = 16_383  # 14 bits
    size = (800, 450)
    fps = 25.0
    qualities = QUALITIES
    ladder: ClassVar[tuple[Rung, ...]] = (
        Rung(),
        Rung(top_rate=25),
        Rung(top_rate=25, quality=1),
        Rung(1, 20, 1),
        Rung(0.75, 20, 1),
        Rung(0.75, 20, 2),
        Rung(0.625, 20, 2),
        Rung(0.5, 20, 2),
        Rung(0.5, 12.5, 3),
        Rung(0.375, 10, 3),
        Rung(0.25, 10, 3),
    )

    def check(self) -> None:
        check_encoder(ENCODER, "WebP", "WebP", ".gif")

    def picture_count(self, frames: Frames) -> int:
        return min(frames.distinct, frames.frame_count)

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        import av
        from av.video.codeccontext import VideoCodecContext

        count = self.picture_count(frames)
        width, height = frames.size
        context: Any = VideoCodecContext.create(ENCODER, "w")
        context.width, context.height, context.pix_fmt = width, height, "bgra"
        context.time_base = Fraction(1, 1000)
        context.options = {
            "quality": str(QUALITY[ways.quality]),
            "compression_level": str(EFFORT[ways.is_draft]),
            "preset": "drawing",
        }
        made = bytearray()
        at = 0
        delays = delays_in(1000, count, ways.fps)
        with ahead.drawn(frames, range(count), _swapped, (height, width, 4)) as pictures:
            for done, (picture, delay) in enumerate(zip(pictures, delays, strict=True), 1):
                image = av.VideoFrame.from_numpy_buffer(picture, "bgra")
                image.pts, image.time_base = at, context.time_base
                image.duration = delay
                at += delay
                for packet in context.encode(image):
                    made += bytes(packet)
                progress(done, count)
        for packet in context.encode(None):
            made += bytes(packet)
        path.write_bytes(finished(bytes(made), delays, ways))


def _swapped(pixels: Pixels) -> Pixels:
    return np.ascontiguousarray(pixels[..., [2, 1, 0, 3]])


# ---------------------------------------------------------------- the container
def chunks_of(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Give the chunks of a RIFF file: name and contents."""
    at = 12
    while at + 8 <= len(data):
        name, size = data[at : at + 4], struct.unpack("<I", data[at + 4 : at + 8])[0]
        yield name, data[at + 8 : at + 8 + size]
        at += 8 + size + size % 2


def finished(data: bytes, delays: list[int], ways: Ways) -> bytes:
    """Give the file as it should be: every picture stands as long as it should, and the file says what it shows.

    Parameters
    ----------
    data
        What the encoder made.
    delays
        How long each picture stands. [ms]
    ways
        What the file says of itself.

    Notes
    -----
    The encoder joins pictures that are alike, and can't know how long the last one stands; each picture's length follows from where the next begins.
    """
    words = _words(ways)
    whole = sum(delays)
    laid = []
    for name, contents in chunks_of(data):
        kept = contents
        if name == b"ANIM":
            kept = contents[:4] + struct.pack("<H", 0)  # loops for ever
        elif name == b"VP8X" and words:
            kept = bytes([contents[0] | XMP_FLAG]) + contents[1:]
        laid.append([name, kept])
    shown = [chunk for chunk in laid if chunk[0] == b"ANMF"]
    before = sum(_duration(chunk[1]) for chunk in shown[:-1])
    if shown:
        last = shown[-1]
        last[1] = last[1][:12] + struct.pack("<I", whole - before)[:3] + last[1][15:]
    if words:
        laid.append([b"XMP ", words])
    body = b"".join(
        name + struct.pack("<I", len(kept)) + kept + b"\0" * (len(kept) % 2)
        for name, kept in laid
    )
    return b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WEBP" + body


def _duration(contents: bytes) -> int:
    return int.from_bytes(contents[12:15], "little")


def _words(ways: Ways) -> bytes:
    """Title and scene as XMP, the form in which a WebP says such things (Dublin Core names)."""
    said = "".join(
        f'<dc:{key}><rdf:Alt><rdf:li xml:lang="x-default">{escape(text)}</rdf:li></rdf:Alt></dc:{key}>'
        for key, text in (("title", ways.title), ("description", ways.scene))
        if text
    )
    if not said:
        return b""
    return (
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        f'<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">{said}</rdf:Description></rdf:RDF>'
    ).encode()
