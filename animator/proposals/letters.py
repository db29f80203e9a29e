"""The three faces cut down to the letters a page uses, to be carried inside it (the Open Font License allows embedding, and subsets in documents)."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping

from animator.pictures.lettering import Face, face_bytes

FACES: Mapping[str, tuple[Face, str, int]] = {
    # name in the page: face, style, weight
    "plate-title": ("title", "normal", 400),
    "plate-title-italic": ("title-i", "italic", 400),
    "plate-text": ("text", "normal", 400),
    "plate-text-italic": ("text-i", "italic", 400),
    "plate-label": ("label", "normal", 500),
    "plate-label-bold": ("label-b", "normal", 700),
}
FAMILY = {name: name.removesuffix("-italic").removesuffix("-bold") for name in FACES}
ALWAYS = "0123456789 .,:;–-()%°×'…"


def face_rules(text: str) -> str:
    """Give the style rules that bring the faces, cut to the letters of a text."""
    letters = sorted(set(text) | set(ALWAYS))
    rules = []
    for name, (face, style, weight) in FACES.items():
        wanted = "".join(letters)
        if name == "plate-title-italic":  # only ever an ampersand
            if "&" not in letters:
                continue
            wanted = "&"
        data = base64.b64encode(subset(face, wanted)).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"{FAMILY[name]}";font-style:{style};font-weight:{weight};font-display:block;'
            f'src:url("data:font/woff2;base64,{data}") format("woff2")}}'
        )
    return "\n".join(rules)


def subset(face: Face, letters: str) -> bytes:
    """Cut a face down to some letters, kept with their kerning and ligatures, as WOFF2."""
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    font = TTFont(io.BytesIO(face_bytes(face)), lazy=True)
    options = Options()
    options.layout_features = ["kern", "liga", "mark", "mkmk", "ccmp", "locl"]
    options.hinting = False
    options.name_IDs = [0, 1, 2, 13, 14]  # the licence stays with the letters
    options.notdef_outline = True
    options.drop_tables += ["DSIG", "FFTM", "meta"]
    cutter = Subsetter(options)
    cutter.populate(text=letters)
    cutter.subset(font)
    font.flavor = "woff2"
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()
