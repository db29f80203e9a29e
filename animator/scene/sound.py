"""The sound of a scene: an audio file next to it, and the moment of the run at which it begins."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Annotated, Any, ClassVar

from pydantic import Field, ValidationInfo, model_validator

from animator.parts._fields import Reader, Time, Words, text_of
from animator.places import Place, Text
from animator.registry import nearest
from animator.scene.shots import Moment, MomentField
from animator.units import Wrong

ENDINGS = (".wav", ".ogg", ".mp3", ".flac", ".m4a", ".opus")
MOST_LISTED = 200  # files of a folder that are looked through for one that could be meant


class _SoundFile(Reader):
    """The name of an audio file next to the scene or below it."""

    def read(self, value: Any) -> str:
        text = text_of(value, "round.wav")
        plain = PurePosixPath(text.replace("\\", "/"))
        if plain.is_absolute() or ".." in plain.parts or ":" in text or "\0" in text:
            raise Wrong(
                "a sound lies next to the scene or below it",
                f"'{plain.name or 'round.wav'}', and put it there",
            )
        if plain.suffix.lower() not in ENDINGS:
            raise Wrong(
                f"'{plain.name}' is no sound file",
                f"a file that ends in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}",
            )
        return text  # with its place, for those who open it

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "examples": ["round.wav"]}


class SoundText(Words):
    """What the piece lets hear: a ``file`` next to the scene, from the moment of the run at which it ``starts at``."""

    sample_text: ClassVar[str] = "{file: round.wav, starts at: 90}"
    says: ClassVar[Mapping[str, str]] = {
        "file": "an audio file next to the scene; 'sound: round.wav' says the same",
        "starts_at": "the moment of the run at which it begins; left out, the start",
        "marks": "moments of the sound by name, each a time from its start; a shot says 'mark NAME'",
    }
    later: ClassVar[Mapping[str, str]] = {
        "hits": "sounds of landings; 'animator render --clicks' lets findings be heard",
    }
    short: ClassVar[str] = "file"

    file: Annotated[str, _SoundFile()]
    starts_at: MomentField | None = None
    marks: Mapping[str, Time] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _lies_there(self, info: ValidationInfo) -> "SoundText":
        folder = (info.context or {}).get("folder")
        if folder is None:
            return self
        path = folder / self.file
        try:
            is_there = path.is_file() and path.resolve().is_relative_to(folder.resolve())
        except (OSError, RuntimeError) as trouble:
            raise Wrong(
                f"'{self.file}' can't be opened ({trouble})", "another file", key="file"
            ) from None
        if not is_there:
            raise Wrong(
                f"there is no sound file '{self.file}' next to the scene",
                _offer(self.file, folder),
                key="file",
            )
        return self


def _offer(name: str, folder: Path) -> str:
    """Offer what lies there under a similar name."""
    there = [
        each.name
        for each in sorted(folder.iterdir())[:MOST_LISTED]
        if each.suffix.lower() in ENDINGS
    ]
    meant = nearest(name, there, 0.3)
    return f"'{meant}'" if meant else "the name of a file that is there"


@dataclass(frozen=True)
class Sound:
    """The sound of a scene: its file, the moment at which it begins (None: the start of the run), and where the scene names it."""

    path: Path
    starts: Moment | None
    place: Place | None = None
    marks: Mapping[str, float] = field(default_factory=dict)
    """Name -> time from the start of the sound. [s]"""


def sound_of(text: SoundText, folder: Path) -> Sound:
    """Make a scene's sound of its text."""
    place = text.file.place if isinstance(text.file, Text) else None
    return Sound(folder / text.file, text.starts_at, place, dict(text.marks))
