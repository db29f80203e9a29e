"""The colours of every picture, by use and by name, and how light they are. Plain numbers: no drawing library is needed here."""

from __future__ import annotations

from animator import materials

# ---------------------------------------------------------------- printed things
PAPER, PAPER_LIT = "#F4EAD5", "#FBF5E8"
TAG, KRAFT = "#EFE2C4", "#C9AE84"
INK, INK_SOFT, INK_FAINT = (
    "#2A211B",
    "#5E4F41",
    "#A8977E",
)  # the faint one is for rules, never for words
MADDER = "#A62B23"  # the printer's second ink: the ampersand, nothing that speaks of a fault
SUN = "#EFD5A0"
NIGHT, MOON = "#1D2B38", "#E6CD98"  # the wall in the evening, and the disc on it
STRING = "#CDB88F"  # the softer ink of words on the night
PUSH, PULL = "#8A4A16", "#296F56"  # effort: the hand pushes, the piece pulls
LAG = "#F2B33D"  # the missing slice; always hatched in the colour of slip

ROSE, CREAM, OCHRE, POND = (
    "#C25B4A",
    "#F3ECDA",
    "#DDA03C",
    "#2C6A6C",
)  # the paint pot on the bench

# ---------------------------------------------------------------- made things: light, middle, low
BIRCH, BIRCH_LIT, PLY_DARK, PLY_LIT = "#DDBD8B", "#EBD3A8", "#9C6E3C", "#E2C595"
WALNUT, WALNUT_DEEP = "#80583A", "#553823"
METALS = {
    "brass": ("#FBE7AE", "#C99B41", "#75541B"),
    "steel": ("#EEF1EF", "#97A0A1", "#434B4E"),
    "copper": ("#F6C9A6", "#B56E45", "#65371E"),
    "aluminium": ("#F7F8F6", "#BCC2C2", "#636B6D"),
    "lead": ("#B9BEC4", "#71787F", "#383D42"),
}
WOODS = {
    "birch": (BIRCH_LIT, BIRCH, PLY_DARK),
    "beech": ("#F0D0A6", "#D9AC7A", "#9A6540"),
    "walnut": ("#A87C58", WALNUT, WALNUT_DEEP),
    "card": ("#FBF5E8", "#E9DCC0", "#B79F77"),
}
SOFT_STUFFS = {
    "rubber": ("#B97A68", "#8A4436", "#4E221B"),
    "leather": ("#B37D4C", "#8A5A34", "#523319"),
    "string": ("#E8DAB6", "#CDB88F", "#7C6A47"),
    "felt": ("#8B9A86", "#66775F", "#3D4A38"),
    "clay": ("#F1E4CB", "#DCC9A6", "#9C8660"),
}

BACK_BOARDS = {"bottle": "#24464B", "wine": "#4E2F3C", "umber": "#54402C", "night": "#2B3A52"}
"""Dark paints for the board at the back of the cabinet: brass, birch and rose stand out on each."""

MARKS = {
    "contact": INK,
    "float": "#15396B",
    "slip": "#925605",
    "slack": "#296F56",
    "jam": "#8A1C16",
    "stall": "#84488F",
    "jerk": "#5B5A12",
    "skip": "#0B5A63",
    "buckle": "#A02C62",
    "strain": "#3F3A9B",
    "seam": "#5E4F41",
}
"""What is said of a piece: each has its own colour AND shape AND word (see ``marks.py``)."""


def channels(colour: str) -> tuple[int, int, int]:
    """Red, green and blue of ``#rrggbb``, 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def mix(a: str, b: str, share: float) -> str:
    """Blend two colours; ``share`` of the second, 0 to 1."""
    return "#" + "".join(
        f"{round(x + (y - x) * share):02X}"
        for x, y in zip(channels(a), channels(b), strict=True)
    )


def paint(name: str | None, otherwise: str = "cream") -> str:
    """Give the colour of a poster paint by its name (the material table has them), or of ``#rrggbb``."""
    paints = materials.paints()
    word = name or otherwise
    if word.startswith("#"):
        return word.upper()
    return paints.get(word, paints[otherwise])


def luminance(colour: str) -> float:
    """Relative luminance of a colour, 0 to 1 (WCAG 2.2, definition of relative luminance).

    Examples
    --------
    >>> luminance("#FFFFFF")
    1.0
    """
    linear = [
        v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
        for v in (c / 255 for c in channels(colour))
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, success criterion 1.4.3).

    Examples
    --------
    >>> contrast("#777777", "#FFFFFF")
    4.478
    >>> contrast("#FF0000", "#FFFFFF")
    3.998
    """
    dark, light = sorted((luminance(a), luminance(b)))
    return (light + 0.05) / (dark + 0.05)
