"""The engraved signs as outlines for files that hold drawings as text: the same signs as on every picture."""

from __future__ import annotations

from dataclasses import dataclass

from animator.pictures.ink import Path
from animator.pictures.marks import _sign


@dataclass(frozen=True)
class Outline:
    """One layer of a sign for half height 1: path data, and the width of its line (0: filled)."""

    data: str
    width: float


def outlines_of(code: str) -> tuple[Outline, ...]:
    """Give the layers of a sign, from the lowest; its colour is ``hue_of(code)``."""
    sign = _sign(code, True)
    slim = 0.12 if code == "slip" else 0.15
    layers = ((sign.solid, 0.0), (sign.thin, slim), (sign.lines, sign.w))
    return tuple(Outline(_data(path), width) for path, width in layers if not path.isEmpty())


def _data(path: Path) -> str:
    out = []
    for verb, points in path:
        spots = [f"{q.x():.3g} {q.y():.3g}" for q in points]
        name = str(verb).rpartition(".k")[2].removesuffix("_Verb")
        if name == "Move":
            out.append(f"M{spots[0]}")
        elif name == "Line":
            out.append(f"L{spots[1]}")
        elif name == "Quad":
            out.append(f"Q{spots[1]} {spots[2]}")
        elif name == "Cubic":
            out.append(f"C{spots[1]} {spots[2]} {spots[3]}")
        elif name == "Conic":  # a quarter of a circle, the only conic a sign has
            (x0, y0), (x1, y1), (x2, y2) = ((q.x(), q.y()) for q in points)
            k = 0.5522847498  # 4/3 (sqrt 2 - 1): a cubic that leaves the circle by 0.03 %
            ends = (
                x0 + k * (x1 - x0),
                y0 + k * (y1 - y0),
                x2 + k * (x1 - x2),
                y2 + k * (y1 - y2),
            )
            a, b, c, d = (f"{v:.3g}" for v in ends)
            out.append(f"C{a} {b} {c} {d} {spots[2]}")
        elif name == "Close":
            out.append("Z")
    return "".join(out)
