"""The scenes of single kinds with some of their numbers changed, as a maker does who tries what happens."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

SHARES = (0.5, 0.8, 0.9, 0.95, 1.05, 1.1, 1.25, 2.0)
NUMBER = re.compile(r"(?<![\w#.-])\d+(?:\.\d+)?(?![\w%.])")


@st.composite
def changed(draw: Any, path: Path) -> str:
    """The text of a scene with one to three numbers of its parts made smaller or larger."""
    text = path.read_text("utf-8")
    begin, end = text.index("\nparts:"), text.find("\nexpect:")
    body = text[begin:end]
    # drawings don't matter here, and their numbers are the most
    open_to_change = [
        found for found in NUMBER.finditer(body) if "artwork" not in _line(body, found.start())
    ]
    chosen = draw(
        st.lists(st.sampled_from(open_to_change), min_size=1, max_size=3, unique=True)
    )
    for found in sorted(chosen, key=lambda each: -each.start()):
        share = draw(st.sampled_from(SHARES))
        value = float(found[0]) * share
        told = f"{round(value) if '.' not in found[0] and value >= 5 else round(value, 2):g}"
        body = body[: found.start()] + told + body[found.end() :]
    return text[:begin] + body + "\n"


def _line(text: str, at: int) -> str:
    end = text.find("\n", at)
    return text[text.rfind("\n", 0, at) + 1 : end if end >= 0 else None]
