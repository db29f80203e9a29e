"""A film as MP4: H.264 in 4:2:0, even size, constant rate, BT.709 converted and tagged, index in front, so that it plays everywhere."""

from __future__ import annotations

from pathlib import Path

from animator.outputs._contract import FORMATS, Format, Frames, Progress, Ways
from animator.outputs._video import (
    LADDER,
    LARGEST_SIDE,
    QUALITIES,
    Container,
    check_encoder,
    save_video,
)

ENCODER = "libx264"
PRESETS = {False: "veryfast", True: "ultrafast"}
CRF = {False: (19, 23, 27, 32), True: (23, 27, 30, 34)}  # by eye, common practice, no source
FINER_CHROMA = "chroma-qp-offset=-6"  # flat inks come out within a colour difference of 2, for 15 % more bytes
SOUND_BIT_RATE = 128_000  # common practice for two channels, no source


@FORMATS.add(".mp4")
class Mp4(Format):
    """H.264 film, with AAC sound."""

    largest_side = LARGEST_SIDE
    can_be_clear = False
    has_sound = True
    qualities = QUALITIES
    ladder = LADDER

    def check(self) -> None:
        check_encoder(ENCODER, "H.264", "MP4", ".gif")

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        container = Container(
            "mp4", {"movflags": "+faststart"}, ENCODER, "aac", SOUND_BIT_RATE, keeps_clear=False
        )
        settings = {
            "preset": PRESETS[ways.is_draft],
            "crf": str(CRF[ways.is_draft][ways.quality]),
            "x264-params": FINER_CHROMA,
            "forced-idr": "1",
        }
        save_video(container, settings, frames, path, ways, progress)
