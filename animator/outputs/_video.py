"""What the film encoders share: pictures as planes of luma and chroma, rounds that are encoded once, sound laid between the pictures.

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
from animator.outputs._contract import SOUND_RATE, Frames, Progress, Rung, Ways, is_clear
from animator.problems import RunError

if TYPE_CHECKING:
    from animator.outputs._contract import Pixels, Samples

KEY_INTERVAL = 250  # pictures between key pictures, the encoder's own custom; a repeated stretch is no shorter than needed for it
THREADS = 4  # bytes depend on the number, so it is the same on every machine; more gains nothing on small ones
LARGEST_SIDE = 16_384  # px; what the encoders take
QUALITIES = (
    "",
    "a little softer in fine detail",
    "softer in fine detail",
    "coarse where it moves",
)
LADDER = (
    Rung(),
    Rung(top_rate=30),
    Rung(top_rate=30, quality=1),
    Rung(0.75, 30, 1),
    Rung(0.75, 25, 2),
    Rung(0.625, 25, 2),
    Rung(0.5, 25, 2),
    Rung(0.5, 20, 3),
    Rung(0.375, 15, 3),
    Rung(0.25, 10, 3),
)
CACHE_BYTES = 600_000_000  # converted pictures of a loop kept in memory, about 190 at 1080p
BT709 = 1  # code point of primaries, transfer and matrix in ITU-T H.273
TV_RANGE = 1  # 16..235
PAPER = (244, 234, 213)  # what a see-through film is laid on where the format can't do it
SAMPLE_FORMATS = {"aac": "fltp", "libopus": "flt"}  # what the sound encoders take
HIDDEN = (
    42,
    33,
    27,
)  # ink under what is transparent, so that shared chroma doesn't bleed a light rim into the outlines


def check_encoder(encoder: str, what: str, ending: str, instead: str) -> None:
    """Raise a RunError if an encoder is missing."""
    try:
        import av
    except ImportError as trouble:
        raise RunError(
            f"{ending} needs the package av, which can't start ({trouble}): pip install av, or make a {instead}"
        ) from trouble
    if encoder not in av.codecs_available:
        raise RunError(
            f"this installation of av has no {what} encoder ({encoder}): pip install --force-reinstall av, or make a {instead}"
        )


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


# ---------------------------------------------------------------- writing
@dataclass(frozen=True)
class Container:
    """What kind of file, and who encodes what is in it: names and settings of the encoding library."""

    name: str
    settings: dict[str, str]
    encoder: str
    sound_encoder: str
    sound_bit_rate: int
    keeps_clear: bool


def save_video(
    container: Container,
    encoder_settings: dict[str, str],
    frames: Frames,
    path: Path,
    ways: Ways,
    progress: Progress,
) -> None:
    """Write a film with its sound."""
    import av

    planes = Planes(
        frames.size,
        is_clear=is_clear(frames) and container.keeps_clear,
        is_laid=is_clear(frames) and not container.keeps_clear,
    )
    rate = Fraction(ways.fps).limit_denominator(1001)
    # "bitexact" keeps the library's release number out of the file
    settings = {"fflags": "+bitexact", **container.settings}
    with av.open(str(path), "w", format=container.name, options=settings) as file:
        said = {"title": ways.title, "comment": ways.scene}  # players show these two
        file.metadata.update({key: text for key, text in said.items() if text})
        stream: Any = file.add_stream(container.encoder, rate=rate)
        stream.width, stream.height, stream.pix_fmt = planes.width, planes.height, planes.format
        stream.options = {
            "threads": str(THREADS),
            "g": str(KEY_INTERVAL),
            **encoder_settings,
        }
        context = stream.codec_context
        context.time_base = 1 / rate
        context.colorspace = context.color_primaries = context.color_trc = BT709
        context.color_range = TV_RANGE
        if planes.is_clear:
            stream.metadata["alpha_mode"] = "1"
        sound = (
            Sound(file, container.sound_encoder, container.sound_bit_rate, ways.samples)
            if ways.samples is not None
            else None
        )
        write(file, stream, frames, planes, sound, progress)


def write(
    file: Any,
    stream: Any,
    frames: Frames,
    planes: Planes,
    sound: Sound | None,
    progress: Progress,
) -> None:
    """Encode a film's pictures, each round once where it comes round, and lay the sound between them.

    Parameters
    ----------
    file, stream
        Where to.
    frames
        The pictures.
    planes
        Makes them ready for the encoder.
    sound
        What is heard, or None.
    progress
        Told how far it is.
    """
    # What belongs to a packet beside its bytes (transparency does) can't be written again.
    plan = (
        Plan(frames.frame_count, 1, 0)
        if planes.is_clear
        else plan_repeats(frames.frame_count, frames.distinct)
    )
    kept: list[Packet] = []
    order = [index % frames.distinct for index in range(plan.segment)]

    def put(packet: Any) -> None:
        if sound is not None:
            for heard in sound.until(packet.dts * packet.time_base):
                file.mux(heard)
        file.mux(packet)

    for done, packet in enumerate(_encode(stream, frames, order, planes, plan.tail), 1):
        if plan.repeats > 1 or packet.pts < plan.tail:
            kept.append(Packet.of(packet))
        put(packet)
        progress(done, plan.segment)
    for turn in range(1, plan.repeats):
        for again in kept:
            put(again.later(turn * plan.segment, stream))
    for again in kept:
        if again.pts < plan.tail:
            put(again.later(plan.repeats * plan.segment, stream))
    if sound is not None:
        for heard in sound.until(None):
            file.mux(heard)


class Sound:
    """The film's sound, encoded, handed out as the pictures get to it."""

    def __init__(self, file: Any, encoder: str, bit_rate: int, samples: Samples) -> None:
        self.stream = file.add_stream(encoder, rate=SOUND_RATE, layout="stereo")
        self.stream.bit_rate = bit_rate
        self.stream.codec_context.format = SAMPLE_FORMATS[encoder]
        self.samples = samples
        self.packets: list[Any] | None = None

    def until(self, moment: Fraction | None) -> Iterator[Any]:
        """Give the packets that begin before a moment of the film; all that are left for None. [s]"""
        if self.packets is None:
            self.packets = list(self._encode())
            self.packets.reverse()
        while self.packets and (
            moment is None or self.packets[-1].pts * self.packets[-1].time_base <= moment
        ):
            yield self.packets.pop()

    def _encode(self) -> Iterator[Any]:
        import av

        context = self.stream.codec_context
        context.open(strict=False)
        is_planar = context.format.is_planar
        block = context.frame_size
        for start in range(0, len(self.samples), block):
            part = self.samples[start : start + block]
            laid = np.ascontiguousarray(part.T if is_planar else part.reshape(1, -1))
            frame = av.AudioFrame.from_ndarray(laid, context.format.name, "stereo")
            frame.sample_rate, frame.pts = SOUND_RATE, start
            frame.time_base = Fraction(1, SOUND_RATE)
            yield from self.stream.encode(frame)
        yield from self.stream.encode(None)


def _encode(
    stream: Any, frames: Frames, order: Sequence[int], planes: Planes, key_at: int
) -> Iterator[Any]:
    """Encode pictures in order, with a key picture at position ``key_at``."""
    from av.video.frame import PictureType

    for position, picture in enumerate(_converted(frames, order, planes)):
        image = planes.image(picture)
        image.pts, image.time_base = position, stream.codec_context.time_base
        image.colorspace, image.color_range = BT709, TV_RANGE
        if position == key_at:
            image.pict_type = PictureType.I
        yield from stream.encode(image)
    yield from stream.encode(None)


def _converted(frames: Frames, order: Sequence[int], planes: Planes) -> Iterator[Pixels]:
    """Give the pictures in order as planes; those that come again are kept while there is room."""
    kept = range(min(frames.distinct, CACHE_BYTES // planes.nbytes))
    is_looping = len(order) > frames.distinct
    cache: dict[int, Pixels] = {}
    seen: set[int] = set()
    to_draw = []
    for index in order:
        if not (is_looping and index in kept and index in seen):
            to_draw.append(index)
        seen.add(index)
    with ahead.drawn(frames, to_draw, planes, (planes.nbytes,)) as pictures:
        for index in order:
            if index in cache:
                yield cache[index]
                continue
            picture = next(pictures)
            if is_looping and index in kept:
                cache[index] = picture = picture.copy()
            yield picture


class Planes:
    """Turns red, green, blue into BT.709 luma and chroma at half the size, repeating the edge to an even size.

    Parameters
    ----------
    size
        Width and height of the pictures. [px]
    is_clear
        Keep what is transparent as a fourth plane at full size.
    is_laid
        The pictures are see-through, and are laid on paper.
    """

    def __init__(
        self, size: tuple[int, int], *, is_clear: bool = False, is_laid: bool = False
    ) -> None:
        from av.video.reformatter import VideoReformatter

        self.width, self.height = (side + side % 2 for side in size)
        self.is_clear, self.is_laid = is_clear, is_laid
        self.nbytes = self.width * self.height * (5 if is_clear else 3) // 2
        self.format = "yuva420p" if is_clear else "yuv420p"
        self.reformatter = VideoReformatter()

    def __call__(self, pixels: Pixels) -> Pixels:
        """Give the planes one after the other, (nbytes,)."""
        import av

        down, across = self.height - pixels.shape[0], self.width - pixels.shape[1]
        if down or across:
            pixels = np.pad(pixels, ((0, down), (0, across), (0, 0)), "edge")
        if self.is_laid:
            pixels = on_paper(pixels)
        elif self.is_clear:
            pixels = np.where(pixels[..., 3:] > 0, pixels, np.array((*HIDDEN, 0), np.uint8))
        image = av.VideoFrame.from_numpy_buffer(np.ascontiguousarray(pixels), "rgba")
        planes = self.reformatter.reformat(
            image,
            format="yuv420p",
            dst_colorspace=BT709,
            dst_color_range="MPEG",
            interpolation="BILINEAR",
            threads=1,
        )
        flat = planes.to_ndarray().astype(np.uint8, copy=False).reshape(-1)
        return np.concatenate([flat, pixels[..., 3].reshape(-1)]) if self.is_clear else flat

    def image(self, planes: Pixels) -> Any:
        """Give the planes as the encoder takes them."""
        import av

        if not self.is_clear:
            return av.VideoFrame.from_numpy_buffer(
                planes.reshape(self.height * 3 // 2, self.width), "yuv420p"
            )
        image = av.VideoFrame(self.width, self.height, "yuva420p")
        start = 0
        for plane in image.planes:
            count = plane.width * plane.height
            lines = np.frombuffer(memoryview(plane), np.uint8).reshape(
                plane.height, plane.line_size
            )
            lines[:, : plane.width] = planes[start : start + count].reshape(
                plane.height, plane.width
            )
            start += count
        return image


def on_paper(pixels: Pixels) -> Pixels:
    """Lay a see-through picture on paper."""
    share = pixels[..., 3:].astype(np.uint16)
    laid = np.empty_like(pixels)
    laid[..., :3] = (
        pixels[..., :3] * share + np.array(PAPER, np.uint16) * (255 - share) + 127
    ) // 255
    laid[..., 3] = 255
    return laid
