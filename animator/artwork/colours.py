"""Colours as an SVG file writes them -> ``#RRGGBB`` and how much they cover."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from animator.artwork.numerals import NUMERAL, numeral
from animator.artwork.refusal import Unusable

_NAMES = """
aliceblue=f0f8ff antiquewhite=faebd7 aqua=00ffff aquamarine=7fffd4 azure=f0ffff beige=f5f5dc
bisque=ffe4c4 black=000000 blanchedalmond=ffebcd blue=0000ff blueviolet=8a2be2 brown=a52a2a
burlywood=deb887 cadetblue=5f9ea0 chartreuse=7fff00 chocolate=d2691e coral=ff7f50
cornflowerblue=6495ed cornsilk=fff8dc crimson=dc143c cyan=00ffff darkblue=00008b
darkcyan=008b8b darkgoldenrod=b8860b darkgray=a9a9a9 darkgreen=006400 darkgrey=a9a9a9
darkkhaki=bdb76b darkmagenta=8b008b darkolivegreen=556b2f darkorange=ff8c00 darkorchid=9932cc
darkred=8b0000 darksalmon=e9967a darkseagreen=8fbc8f darkslateblue=483d8b darkslategray=2f4f4f
darkslategrey=2f4f4f darkturquoise=00ced1 darkviolet=9400d3 deeppink=ff1493 deepskyblue=00bfff
dimgray=696969 dimgrey=696969 dodgerblue=1e90ff firebrick=b22222 floralwhite=fffaf0
forestgreen=228b22 fuchsia=ff00ff gainsboro=dcdcdc ghostwhite=f8f8ff gold=ffd700
goldenrod=daa520 gray=808080 green=008000 greenyellow=adff2f grey=808080 honeydew=f0fff0
hotpink=ff69b4 indianred=cd5c5c indigo=4b0082 ivory=fffff0 khaki=f0e68c lavender=e6e6fa
lavenderblush=fff0f5 lawngreen=7cfc00 lemonchiffon=fffacd lightblue=add8e6 lightcoral=f08080
lightcyan=e0ffff lightgoldenrodyellow=fafad2 lightgray=d3d3d3 lightgreen=90ee90
lightgrey=d3d3d3 lightpink=ffb6c1 lightsalmon=ffa07a lightseagreen=20b2aa lightskyblue=87cefa
lightslategray=778899 lightslategrey=778899 lightsteelblue=b0c4de lightyellow=ffffe0
lime=00ff00 limegreen=32cd32 linen=faf0e6 magenta=ff00ff maroon=800000 mediumaquamarine=66cdaa
mediumblue=0000cd mediumorchid=ba55d3 mediumpurple=9370db mediumseagreen=3cb371
mediumslateblue=7b68ee mediumspringgreen=00fa9a mediumturquoise=48d1cc mediumvioletred=c71585
midnightblue=191970 mintcream=f5fffa mistyrose=ffe4e1 moccasin=ffe4b5 navajowhite=ffdead
navy=000080 oldlace=fdf5e6 olive=808000 olivedrab=6b8e23 orange=ffa500 orangered=ff4500
orchid=da70d6 palegoldenrod=eee8aa palegreen=98fb98 paleturquoise=afeeee palevioletred=db7093
papayawhip=ffefd5 peachpuff=ffdab9 peru=cd853f pink=ffc0cb plum=dda0dd powderblue=b0e0e6
purple=800080 rebeccapurple=663399 red=ff0000 rosybrown=bc8f8f royalblue=4169e1
saddlebrown=8b4513 salmon=fa8072 sandybrown=f4a460 seagreen=2e8b57 seashell=fff5ee
sienna=a0522d silver=c0c0c0 skyblue=87ceeb slateblue=6a5acd slategray=708090 slategrey=708090
snow=fffafa springgreen=00ff7f steelblue=4682b4 tan=d2b48c teal=008080 thistle=d8bfd8
tomato=ff6347 turquoise=40e0d0 violet=ee82ee wheat=f5deb3 white=ffffff whitesmoke=f5f5f5
yellow=ffff00 yellowgreen=9acd32
"""
# CSS Color 4, 6.1: the named colours
NAMED = {
    name: f"#{value.upper()}" for name, value in (row.split("=") for row in _NAMES.split())
}
_CALL = re.compile(r"(rgba?|hsla?)\(([^()]*)\)")
_PART = re.compile(rf"({NUMERAL})(%|deg|turn)?")

Colour = tuple[str, float]
"""``#RRGGBB`` and its alpha, 0 to 1."""


def colour(text: str) -> Colour:
    """Read one colour: a name, ``#rgb``, ``#rrggbb`` (each with alpha or without), ``rgb()`` or ``hsl()``.

    Examples
    --------
    >>> colour("#1af"), colour("tomato"), colour("rgb(100%, 0 0 / 50%)")
    (('#11AAFF', 1.0), ('#FF6347', 1.0), ('#FF0000', 0.5))
    """
    plain = text.strip().lower()
    if plain in NAMED:
        return NAMED[plain], 1.0
    if plain == "transparent":
        return "#000000", 0.0
    if re.fullmatch(r"#(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})", plain):
        digits = plain[1:] if len(plain) > 5 else "".join(d + d for d in plain[1:])
        return f"#{digits[:6].upper()}", int(digits[6:] or "ff", 16) / 255
    found = _CALL.fullmatch(plain)
    if found:
        parts = _PART.findall(found[2])
        rest = _PART.sub("", found[2])
        if len(parts) in (3, 4) and not rest.strip(" ,/\t\r\n"):
            alpha = _share(parts[3], 1.0) if len(parts) == 4 else 1.0
            mixed = _red_green_blue if found[1].startswith("rgb") else _hue
            return mixed(parts), alpha
    raise Unusable(
        f"no colour is called '{text.strip()[:40]}'", "use a name, or '#' and six figures"
    )


def _share(part: tuple[str, str], whole: float) -> float:
    value = numeral(part[0]) / (100.0 if part[1] == "%" else whole)
    return min(max(value, 0.0), 1.0)


def _red_green_blue(parts: list[tuple[str, str]]) -> str:
    return hexed(_share(part, 255.0) for part in parts[:3])


def _hue(parts: list[tuple[str, str]]) -> str:
    """CSS Color 4, 7.1: hsl to rgb."""
    turn = numeral(parts[0][0]) / (1.0 if parts[0][1] == "turn" else 360.0) * 12
    full, light = _share(parts[1], 100.0), _share(parts[2], 100.0)
    reach = full * min(light, 1 - light)
    ways = [(n + turn) % 12 for n in (0, 8, 4)]
    return hexed(light - reach * max(-1.0, min(k - 3, 9 - k, 1.0)) for k in ways)


def hexed(channels: Iterable[float]) -> str:
    """Write three channels, 0 to 1, as ``#RRGGBB``."""
    return "#" + "".join(f"{round(value * 255):02X}" for value in channels)


def channels(hue: str) -> tuple[float, ...]:
    """Red, green and blue of ``#RRGGBB``, 0 to 1."""
    return tuple(int(hue[i : i + 2], 16) / 255 for i in (1, 3, 5))


def blended(stops: Sequence[tuple[float, Colour]]) -> Colour:
    """Give the flat colour that a gradient comes to: its mean from one end to the other, what shows more counting more.

    ``stops`` are (place from 0 to 1, colour), in order.

    Examples
    --------
    >>> blended([(0.0, ("#000000", 1.0)), (1.0, ("#FFFFFF", 1.0))])
    ('#808080', 1.0)
    """
    ends = [(0.0, stops[0][1]), *stops, (1.0, stops[-1][1])]
    sums, alphas = [0.0, 0.0, 0.0], 0.0
    for (a, (hue, alpha)), (b, (next_hue, next_alpha)) in pairwise(ends):
        wide = max(b - a, 0.0) / 2
        for one, weight in ((hue, wide * alpha), (next_hue, wide * next_alpha)):
            for i, value in enumerate(channels(one)):
                sums[i] += value * weight
            alphas += weight
    if alphas <= 0:
        return stops[0][1][0], 0.0
    return hexed(value / alphas for value in sums), alphas
