"""A film as WebM: VP9 in 4:2:0 with BT.709 tagged, and a fourth plane where the backdrop is transparent."""

from __future__ import annotations

from pathlib import Path

from animator.outputs._contract import FORMATS, Format, Frames, Progress, Ways, is_clear
from animator.outputs._video import (
    LADDER,
    LARGEST_SIDE,
    QUALITIES,
    Container,
    check_encoder,
    save_video,
)

ENCODER = "libvpx-vp9"
SPEEDS = {False: 4, True: 8}  # 0 is slowest and smallest
CRF = {False: (24, 31, 37, 45), True: (34, 40, 44, 50)}  # by eye, common practice, no source
SOUND_BIT_RATE = 96_000  # common practice for two channels, no source


@FORMATS.add(".webm")
class WebM(Format):
    """VP9 film with Opus sound; the one film with sound whose backdrop can be transparent."""

    largest_side = LARGEST_SIDE
    has_sound = True
    qualities = QUALITIES
    ladder = LADDER

    def check(self) -> None:
        check_encoder(ENCODER, "VP9", "WebM", ".mp4")

    def save(self, frames: Frames, path: Path, ways: Ways, progress: Progress) -> None:
        container = Container("webm", {}, ENCODER, "libopus", SOUND_BIT_RATE, keeps_clear=True)
        settings = {
            "deadline": "good",
            "cpu-used": str(SPEEDS[ways.is_draft]),
            "crf": str(CRF[ways.is_draft][ways.quality]),
            "b": "0",
            "row-mt": "1",
            # hidden pictures between those that are shown are not possible with transparency
            "auto-alt-ref": "0" if is_clear(frames) else "1",
        }
        save_video(container, settings, frames, path, ways, progress)
