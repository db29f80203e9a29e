"""Where measured speeds are kept: one line a number, with the day and the processor."""

from __future__ import annotations

import csv
import datetime
import os
import platform
from pathlib import Path

RESULTS = Path(__file__).with_name("results.csv")
COLUMNS = [
    "date",
    "processor",
    "cores",
    "benchmark",
    "scene",
    "number",
    "value",
    "unit",
    "wanted",
]


def processor() -> str:
    """What the machine calls its processor."""
    about = Path("/proc/cpuinfo")
    if about.is_file():
        for line in about.read_text("utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    return platform.processor() or platform.machine()


def keep(
    benchmark: str, scene: str, number: str, value: float, unit: str, wanted: str = ""
) -> None:
    """Print a number and add it to the table.

    Parameters
    ----------
    benchmark, scene, number
        What was measured, on what.
    value
        The number, in ``unit``.
    wanted
        What it should be, ``<= 1.3``.
    """
    line = [
        datetime.date.today().isoformat(),
        processor(),
        os.cpu_count(),
        benchmark,
        scene,
        number,
        f"{value:.4g}",
        unit,
        wanted,
    ]
    print(
        f"{benchmark}: {scene}: {number} = {value:.4g} {unit}"
        + (f" (wanted {wanted})" if wanted else ""),
        flush=True,
    )
    is_new = not RESULTS.exists()
    with RESULTS.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        if is_new:
            writer.writerow(COLUMNS)
        writer.writerow(line)
