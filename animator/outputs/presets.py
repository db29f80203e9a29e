"""What a film is for: size, rate, length and bytes that go together, by plain names."""

from __future__ import annotations

from dataclasses import dataclass

MAIL_BYTES = 5_100_000  # 7 MB on its way: letters carry a file as text, which makes it 1.3684 times as large (RFC 2045, base64 in lines of 76)


@dataclass(frozen=True)
class Preset:
    """What goes together.

    ``says``: one line for the help. ``ending``: the format where none is asked for. ``size`` [px] and ``longest`` [s]: None leaves the format's own
    size and the film's own length. ``most_bytes``: None sets no limit.
    """

    says: str
    ending: str
    size: tuple[int, int] | None = None
    longest: float | None = None
    most_bytes: int | None = None


PRESETS = {
    "email": Preset(
        "at most 5.1 MB, which an e-mail carries as 7 MB", ".gif", most_bytes=MAIL_BYTES
    ),
    "square": Preset(
        "1080x1080 and at most 30 s, for square posts", ".mp4", (1080, 1080), longest=30.0
    ),
}
