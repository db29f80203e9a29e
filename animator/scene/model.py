"""The scene as the rest of the program sees it: flat, checked, with every reference resolved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from animator.geometry import Pose
from animator.places import Map, Place, Seq, Text

if TYPE_CHECKING:
    from animator.parts._contract import Part
    from animator.scene.claims import Claim
    from animator.scene.shots import Moment, Shot
    from animator.scene.sound import Sound


@dataclass(frozen=True)
class Frame:
    """The cabinet the piece stands in: width and height [mm], what it is made of and how thick [mm]."""

    width: float = 200.0
    height: float = 200.0
    stuff: str = "birch ply"
    thickness: float = 4.0
    is_lying: bool = False


@dataclass(frozen=True)
class Scene:
    """One variant of one piece.

    ``parts``: full name -> part, in file order, references resolved to full names. After assembly nothing in them is ``fitted`` any more, and
    ``starts`` holds each part's pose at the start. ``tree`` is the text it came from (for mends), ``written`` each part's own text
    after groups, likenesses and variants are worked out, still with the places of the file; ``assumptions`` lists the
    defaults that were taken, in sentences. Files that the scene names lie in ``folder`` or below it.
    """

    file: str
    title: str
    about: str
    frame: Frame
    parts: Mapping[str, Part]
    main_shaft: str | None
    run: Moment | None
    claims: tuple[Claim, ...]
    shots: Mapping[str, Shot]
    variant: str | None
    tree: Map
    folder: Path = Path()
    sound: Sound | None = None
    written: Mapping[str, Map] = field(default_factory=dict)
    assumptions: tuple[str, ...] = ()
    maker: str = ""
    client: str = ""
    date: str = ""
    starts: Mapping[str, Pose] = field(default_factory=dict)

    def place_of(self, part: str, path: str = "") -> Place:
        """Tell where a part's field is written (``length``, ``guide.length``, ``arms.jaw``), or the nearest thing that is written."""
        node: Any = self.written[part]
        place: Place = node.place
        for step in path.split(".") if path else ():
            if isinstance(node, Map) and step in node:
                place, node = node.key_places[step], node[step]
            elif isinstance(node, list) and step.isdigit() and 1 <= int(step) <= len(node):
                node = node[int(step) - 1]
            else:
                return place
        return node.place if path and isinstance(node, Text | Seq) else place

    def assembled(
        self, parts: Mapping[str, Part], starts: Mapping[str, Pose], notes: tuple[str, ...]
    ) -> Scene:
        """Give the same scene with fitted lengths filled in and starting poses."""
        return replace(
            self, parts=dict(parts), starts=dict(starts), assumptions=self.assumptions + notes
        )
