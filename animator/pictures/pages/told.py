"""Findings as a page tells them: the gravest first, brought into the round that is shown, their parts called by name as people do."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from animator.pictures.lettering import sentence

if TYPE_CHECKING:
    from animator.findings.report import Finding

SEVERITY = (
    "jam",
    "stall",
    "float",
    "slip",
    "buckle",
    "skip",
    "clash",
    "strain",
    "slack",
    "jerk",
    "seam",
)
ARTICLES = "the|its|his|her|a|an|every|each|this|that|no|one"
NO_BREAK = "\N{NO-BREAK SPACE}"


def in_span(
    findings: Iterable[Finding], span: tuple[float, float], goes_round: bool
) -> list[Finding]:
    """Bring findings of other rounds into the one that is shown: what happens in one happens in each."""
    start, stop = span
    period = stop - start
    out = []
    for f in findings:
        if goes_round and period > 0 and f.to_s - f.from_s < 0.9 * period:
            shift = math.floor((f.from_s - start) / period) * period
            f = f.model_copy(update={"from_s": f.from_s - shift, "to_s": f.to_s - shift})
        out.append(f)
    return out


def by_weight(findings: Iterable[Finding]) -> list[Finding]:
    """Findings with the gravest first; of one kind and part only one."""
    seen: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        key = finding.code, finding.part
        if key not in seen or finding.at in ("middle", "all"):
            seen[key] = finding
    return sorted(
        seen.values(),
        key=lambda f: (SEVERITY.index(f.code) if f.code in SEVERITY else 99, f.from_s),
    )


def in_words(text: str, names: Iterable[str]) -> str:
    """Put a report's sentence as one reads it aloud: 'the' before a part's bare name, a figure kept with its unit.

    Names that begin with a capital are proper names and stand as they are.

    Examples
    --------
    >>> in_words("loop loses 8 turns: load wheel lags", ["loop", "load wheel", "wheel"])
    'The loop loses 8 turns: the load wheel lags.'
    """
    common = sorted((n for n in names if n and n[0].islower()), key=len, reverse=True)
    if common:

        def called(match: re.Match[str]) -> str:
            before = match.string[: match.start()]
            is_called = re.search(rf"\b({ARTICLES})\s+(\w+\s+)?$", before, re.IGNORECASE)
            return match[0] if is_called else f"the {match[0]}"

        names_found = rf"(?<![\w.'-])({'|'.join(map(re.escape, common))})(?![\w-]|\.\w)"
        text = re.sub(names_found, called, text)
    text = re.sub(r"(?<=\d) (?=(mm|cm|ms|s|N|g|rpm|J)\b)", NO_BREAK, text)
    return sentence(text.replace(f"N{NO_BREAK}mm", "N mm").replace("N mm", f"N{NO_BREAK}mm"))
