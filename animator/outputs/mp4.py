"""A film as MP4: H.264 in 4:2:0, even size, constant rate, BT.709 converted and tagged, index in front, so that it plays everywhere.

Where the film comes round again, one stretch of whole rounds is drawn and encoded, and its packets are written again for every repeat. A key
picture where the remainder ends lets the remainder be made of the same packets::

    pictures   0 1 2 ... 99 | 0 1 2 ... 99 | 0 1 2 ... 19
    encoded    K . . K  ...
    written    all of them  | all, later   | those up to the second key
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from animator.outputs import ahead
from animator.outputs._contract import FORMATS, Format, Frames, Progress
from animator.problems import RunError

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels

ENCODER = "libx264"
PRESETS = {
    False: ("veryfast", "19"),
    True: ("ultrafast", "23"),
}  # speed and crf: by eye, common practice
THREADS = 4  # bytes depend on the number, so it is the same on every machine; more gains nothing on small ones
KEY_INTERVAL = 250  # pictures between key pictures, the encoder's own custom; a repeated stretch is no shorter than needed for it
CACHE_BYTES = 600_000_000  # converted pictures of a loop kept in memory, about 190 at 1080p
LARGEST_SIDE = 16384  # px; what the encoder takes
BT709 = 1  # code point of primaries, transfer and matrix in ITU-T H.273
TV_RANGE = 1  # 16..235


@FORMATS.add(".mp4")
class Mp4(Format):
    """H.264 film."""

    def check(self) -> None:
        try:
            import av
        except ImportError as trouble:
            raise RunError(
                f"MP4 needs the package av, which can't start ({trouble}): pip install av, or make a .gif"
            ) from trouble
        if ENCODER not in av.codecs_available:
            raise RunError(
                f"this installation of av has no H.264 encoder ({ENCODER}): pip install --force-reinstall av, or make a .gif"
            )

    def save(
        self, frames: Frames, path: Path, fps: float, is_draft: bool, progress: Progress
    ) -> None:
        import av

        plan = plan_repeats(frames.frame_count, frames.distinct)
        width, height = (side + side % 2 for side in frames.size)
        if max(width, height) > LARGEST_SIDE:
            raise RunError(
                f"an MP4 can't be larger than {LARGEST_SIDE} px a side, and {width} × {height} were asked for: give a smaller --size"
            )
        preset, quality = PRESETS[is_draft]
        rate = Fraction(fps).limit_denominator(1001)
        with av.open(str(path), "w", format="mp4", options={"movflags": "+faststart"}) as file:
            stream = _add_stream(file, width, height, rate, preset, quality)
            kept: list[Packet] = []
            order = [index % frames.distinct for index in range(plan.segment)]
            for done, packet in enumerate(
                _encode(stream, frames, order, (width, height), plan.tail), 1
            ):
                if plan.repeats > 1 or packet.pts < plan.tail:
                    kept.append(Packet.of(packet))
                file.mux(packet)
                progress(done, plan.segment)
            for turn in range(1, plan.repeats):
                for again in kept:
                    file.mux(again.later(turn * plan.segment, stream))
            for again in kept:
                if again.pts < plan.tail:
                    file.mux(again.later(plan.repeats * plan.segment, stream))


# ---------------------------------------------------------------- what is encoded and what is written again
@dataclass(frozen=True)
class Plan:
    """The first ``segment`` pictures are shown ``repeats`` times, and after that the first ``tail`` of them once more."""

    segment: int
    repeats: int
    tail: int


def plan_repeats(count: int, distinct: int) -> Plan:
    """Cut a film that comes round into an equal stretch, shown several times, and a remainder.

    Parameters
    ----------
    count
        Pictures shown.
    distinct
        After how many they come round.

    Examples
    --------
    >>> plan_repeats(620, 100)
    Plan(segment=200, repeats=3, tail=20)
    """
    if distinct >= count:
        return Plan(count, 1, 0)
    rounds = count // distinct
    most = max(
        1, KEY_INTERVAL // distinct
    )  # so that key pictures are no more frequent than ever
    stretches = -(-rounds // most)
    segment = -(-rounds // stretches) * distinct
    return Plan(segment, count // segment, count % segment)


@dataclass(frozen=True)
class Packet:
    """A stretch of encoded film that can be written again; ``pts`` and ``dts`` count pictures."""

    data: bytes
    pts: int
    dts: int
    time_base: Fraction
    is_key: bool

    @classmethod
    def of(cls, packet: Any) -> Packet:
        """Copy a packet, before writing it takes it away."""
        return cls(bytes(packet), packet.pts, packet.dts, packet.time_base, packet.is_keyframe)

    def later(self, count: int, stream: Any) -> Any:
        """Give the packet as it is written again, some pictures later."""
        import av

        again: Any = av.Packet(self.data)
        again.stream, again.time_base = stream, self.time_base
        again.pts, again.dts, again.duration = self.pts + count, self.dts + count, 1
        again.is_keyframe = self.is_key
        return again


# ---------------------------------------------------------------- the encoder
def _add_stream(
    file: Any, width: int, height: int, rate: Fraction, preset: str, quality: str
) -> Any:
    stream = file.add_stream(ENCODER, rate=rate)
    stream.width, stream.height, stream.pix_fmt = width, height, "yuv420p"
    stream.options = {
        "preset": preset,
        "crf": quality,
        "threads": str(THREADS),
        "g": str(KEY_INTERVAL),
        "forced-idr": "1",
    }
    context = stream.codec_context
    context.time_base = 1 / rate
    context.colorspace = context.color_primaries = context.color_trc = BT709
    context.color_range = TV_RANGE
    return stream


def _encode(
    stream: Any, frames: Frames, order: Sequence[int], size: tuple[int, int], key_at: int
) -> Iterator[Any]:
    """Encode pictures in order, with a key picture at position ``key_at``."""
    import av
    from av.video.frame import PictureType

    for position, picture in enumerate(_converted(frames, order, *size)):
        image = av.VideoFrame.from_numpy_buffer(picture, "yuv420p")
        image.pts, image.time_base = position, stream.codec_context.time_base
        image.colorspace, image.color_range = BT709, TV_RANGE
        if position == key_at:
            image.pict_type = PictureType.I
        yield from stream.encode(image)
    yield from stream.encode(None)


def _converted(
    frames: Frames, order: Sequence[int], width: int, height: int
) -> Iterator[Pixels]:
    """Give the pictures in order as planes of Y, U and V; those that come again are kept while there is room."""
    size = width * height * 3 // 2
    kept = range(min(frames.distinct, CACHE_BYTES // size))
    is_looping = len(order) > frames.distinct
    cache: dict[int, Pixels] = {}
    seen: set[int] = set()
    to_draw = []
    for index in order:
        if not (is_looping and index in kept and index in seen):
            to_draw.append(index)
        seen.add(index)
    with ahead.drawn(
        frames, to_draw, Converter(width, height), (height * 3 // 2, width)
    ) as pictures:
        for index in order:
            if index in cache:
                yield cache[index]
                continue
            picture = next(pictures)
            if is_looping and index in kept:
                cache[index] = picture = picture.copy()
            yield picture


class Converter:
    """Turns red, green, blue into BT.709 luma and chroma at half the size, repeating the edge to an even size."""

    def __init__(self, width: int, height: int) -> None:
        from av.video.reformatter import VideoReformatter

        self.width, self.height = width, height
        self.reformatter = VideoReformatter()

    def __call__(self, pixels: Pixels) -> Pixels:
        """Give (height * 3 / 2, width) planes."""
        import av

        down, across = self.height - pixels.shape[0], self.width - pixels.shape[1]
        if down or across:
            pixels = np.pad(pixels, ((0, down), (0, across), (0, 0)), "edge")
        image = av.VideoFrame.from_numpy_buffer(np.ascontiguousarray(pixels), "rgba")
        planes = self.reformatter.reformat(
            image,
            format="yuv420p",
            dst_colorspace=BT709,
            dst_color_range="MPEG",
            interpolation="BILINEAR",
            threads=1,
        )
        return planes.to_ndarray().astype(np.uint8, copy=False)
