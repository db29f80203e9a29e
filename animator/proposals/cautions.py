"""What to mind with this piece, in a client's words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from animator.findings.report import Caution
from animator.pictures.pages.told import in_words

if TYPE_CHECKING:
    from animator.findings.examining import Checked


def cautions_of(checked: Checked) -> tuple[Caution, ...]:
    """Give the report's cautions, read aloud."""
    parts = checked.motion.scene.parts
    return tuple(
        each.model_copy(update={"sentence": in_words(each.sentence, parts)})
        for each in checked.report.cautions
    )
