"""What whatever is wired makes a maker mind."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from animator.findings.report import Caution


def low_voltage() -> Caution:
    """Give the caution for lamps, switches and motors: keep to extra-low voltage."""
    from animator.findings.report import Caution

    return Caution(
        what="Extra-low voltage",
        sentence="Run lamps, switches and motors from batteries or a safety transformer, well under 50 V alternating or 120 V direct (toys 24 V), with a fuse, and let licensed people do whatever touches the mains.",
        figure=50.0,
        unit="V",
        source="SELV of IEC 61140 and IEC 60364-4-41; toys IEC 62115 (from memory)",
    )
