"""The proposal as one HTML file: it opens with a double click, loads nothing, and prints without its films."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files
from itertools import count
from typing import TYPE_CHECKING

from animator.pictures.marks import hue_of
from animator.pictures.palette import MARKS
from animator.pictures.sign_outlines import outlines_of
from animator.proposals.letters import face_rules
from animator.proposals.markup import Markup, element, joined
from animator.proposals.plates import Moving, Panel, Shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from animator.proposals.contents import Asked, Contents, Other, Told

NARROW = "(max-width: 44rem)"
SUN_LINES = 31


@dataclass(frozen=True)
class Plates:
    """The pictures of a page. ``strips``: wide and narrow; ``found``: the bench at the gravest finding, where the film doesn't show it already."""

    film: Moving
    panels: Sequence[Panel]
    strips: tuple[Shown, Shown]
    compared: Moving | None = None
    found: Shown | None = None


def page_bytes(contents: Contents, plates: Plates) -> bytes:
    """Lay out the page.

    Parameters
    ----------
    contents
        What it says.
    plates
        What it shows.
    """
    body = _body(contents, plates)
    hues = "\n".join(f".word-{code} {{ color: {hue}; }}" for code, hue in MARKS.items())
    style = f"{face_rules(_letters(body))}\n{_own('page.css')}\n{hues}\n"
    script = _own("page.js")
    guard = "; ".join(
        (
            "default-src 'none'",
            "img-src data:",
            "media-src data:",
            "font-src data:",
            f"style-src '{_hash(style)}'",
            f"script-src '{_hash(script)}'",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=guard),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="color-scheme", content="light"),
        element("meta", name="description", content=contents.about or contents.verdict),
        element("title", contents.title),
        element("link", rel="icon", href="data:,"),
        element("style", Markup(style)),
    )
    whole = joined(
        Markup("<!DOCTYPE html>\n"),
        element("html", head, Markup("\n"), body_with(body, script), lang="en"),
        Markup("\n"),
    )
    return whole.encode("utf-8")


def body_with(body: Markup, script: str) -> Markup:
    """Close the body with its script."""
    return element("body", body, element("script", Markup(script)))


def _own(name: str) -> str:
    return files("animator.proposals").joinpath(name).read_text("utf-8")


def _hash(text: str) -> str:
    """Name a style or script by what it is, so that no other is let in (CSP level 3, hash-source)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode(
        "ascii"
    )


def _letters(body: Markup) -> str:
    """Give every letter that may be set; what lies in data isn't text."""
    import html
    import re

    bare = re.sub(r'(?:src|srcset|poster)="[^"]*"', "", body)
    text = html.unescape(re.sub(r"<[^>]*>", " ", bare))
    return text + text.upper() + "".join(re.findall(r'data-head="([^"]*)"', bare))


def _data(kind: str, data: bytes) -> str:
    return f"data:{kind};base64," + base64.b64encode(data).decode("ascii")


# ---------------------------------------------------------------- the body
def _body(contents: Contents, plates: Plates) -> Markup:
    figures = count(1)
    parts: list[tuple[str, str, Markup]] = [
        ("film", "The piece at work", _film_part(contents, plates, figures)),
        ("storyboard", "One moment after the other", _board_part(plates, figures)),
        ("findings", "What was found", _found_part(contents, plates, figures)),
    ]
    if contents.others:
        parts.append(
            ("variants", "Other ways to build it", _others_part(contents, plates, figures))
        )
    parts += [
        ("figures", "Size, time and effort", _rows_part(contents)),
        ("cautions", "What to mind", _cautions_part(contents)),
    ]
    links = element(
        "nav",
        element(
            "ul",
            *(
                element("li", element("a", heading, href=f"#{name}"))
                for name, heading, _ in parts
            ),
        ),
        aria_label="On this page",
    )
    sections = [
        element(
            "section",
            element("h2", heading, id=f"{name}-heading"),
            inside,
            id=name,
            class_="part",
            aria_labelledby=f"{name}-heading",
        )
        for name, heading, inside in parts
    ]
    return element(
        "div",
        element("a", "Skip to the film", href="#film", class_="skip"),
        _head(contents, links),
        element("main", *sections),
        element(
            "footer",
            element(
                "p",
                f"All that moves on this page was reckoned from the text of {contents.made_from}: its weights, springs and friction moved it, no hand did.",
            ),
            class_="foot",
        ),
        class_="plate",
    )


def _head(contents: Contents, links: Markup) -> Markup:
    pieces: list[str] = []
    for n, piece in enumerate(contents.title.split("&")):
        if n:
            pieces.append(element("span", "&", class_="and"))
        pieces.append(piece)
    return element(
        "header",
        element(
            "div",
            _sun(),
            element("h1", *pieces),
            element("p", contents.about, class_="about") if contents.about else None,
            class_="crest",
        ),
        element(
            "dl",
            *(
                element("div", element("dt", name), element("dd", said))
                for name, said in contents.block
            ),
            class_="block",
        ),
        element(
            "p",
            sign(contents.verdict_code),
            element("span", contents.verdict),
            class_="verdict",
        ),
        links,
        class_="head",
    )


def sign(code: str) -> Markup:
    """Draw one of the engraved signs; its word stands beside it, so a screen reader passes it over."""
    hue = hue_of(code)
    paths = [
        element("path", d=outline.data, fill=hue)
        if not outline.width
        else element(
            "path", d=outline.data, fill="none", stroke=hue, stroke_width=f"{outline.width:.2g}"
        )
        for outline in outlines_of(code)
    ]
    return element(
        "svg", *paths, viewBox="-1.15 -1.15 2.3 2.3", class_="sign", aria_hidden="true"
    )


def _sun() -> Markup:
    """Draw the ruled disc of every plate: an ornament behind the title."""
    lines = []
    for n in range(SUN_LINES):
        y = -1 + 2 * (n + 0.5) / SUN_LINES
        x = (1 - y * y) ** 0.5
        lines.append(f"M{-x:.3f} {y:.3f}H{x:.3f}")
    return element(
        "svg",
        element("path", d="".join(lines), stroke="#EFD5A0", stroke_width="0.034", fill="none"),
        viewBox="-1 -1 2 2",
        class_="sun",
        aria_hidden="true",
    )


def _image(shown: Shown, class_: str | None = None, is_late: bool = True) -> Markup:
    width, height = shown.size
    return element(
        "img",
        src=_data("image/webp", shown.data),
        alt=shown.alt,
        width=width,
        height=height,
        class_=class_,
        loading="lazy" if is_late else None,
    )


def _caption(figures: Iterator[int], *said: str) -> Markup:
    return element("figcaption", element("b", f"Fig. {next(figures)}."), *said)


def _video(moving: Moving, name: str, caption: Markup) -> Markup:
    """Show a film with the browser's own controls; on paper its poster stands there."""
    width, height = moving.poster.size
    track = None
    if moving.cues:
        track = element(
            "track",
            kind="captions",
            srclang="en",
            label="What happens",
            src=_data("text/vtt", captions(moving.cues).encode("utf-8")),
        )
    video = element(
        "video",
        element("source", src=_data("video/mp4", moving.data), type="video/mp4"),
        track,
        "This reader can't show films; the pictures below tell the same.",
        controls=True,
        muted=True,
        loop=True,
        playsinline=True,
        preload="metadata",
        poster=_data("image/webp", moving.poster.data),
        width=width,
        height=height,
        aria_label=name,
    )
    on_paper = _image(moving.poster, "only-paper framed", is_late=False)
    return element("figure", video, on_paper, caption)


def captions(cues: Sequence[tuple[float, float, str]]) -> str:
    """Write captions of a film, so that what happens can be read along (WebVTT).

    Examples
    --------
    >>> print(captions([(0.0, 1.5, "It rises.")]))
    WEBVTT
    <BLANKLINE>
    00:00.000 --> 00:01.500
    It rises.
    <BLANKLINE>
    """
    rows = ["WEBVTT", ""]
    for start, end, words in cues:
        safe = words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        rows += [f"{_clock(start)} --> {_clock(end)}", safe, ""]
    return "\n".join(rows)


def _clock(seconds: float) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes):02d}:{rest:06.3f}"


# ---------------------------------------------------------------- its parts
def _film_part(contents: Contents, plates: Plates, figures: Iterator[int]) -> Markup:
    note = f" {contents.film_note}" if contents.film_note else ""
    caption = _caption(figures, f"{plates.film.caption}{note}")
    return _video(plates.film, f"Film: {contents.title}", caption)


def _board_part(plates: Plates, figures: Iterator[int]) -> Markup:
    panels = [
        element(
            "li",
            element("figure", _image(panel.picture), element("figcaption", panel.caption)),
        )
        for panel in plates.panels
    ]
    wide, narrow = plates.strips
    strip = element(
        "picture",
        element(
            "source",
            media=f"screen and {NARROW}",
            srcset=_data("image/webp", narrow.data),
            width=narrow.size[0],
            height=narrow.size[1],
        ),
        _image(wide),
    )
    return joined(
        element("ol", *panels, class_="board"),
        element(
            "figure",
            strip,
            _caption(
                figures,
                "The whole of it on one strip: how far it goes, what the hand feels below it, and where each picture was taken.",
            ),
        ),
    )


def _found_part(contents: Contents, plates: Plates, figures: Iterator[int]) -> Markup:
    pieces: list[str | None] = []
    if contents.told:
        pieces.append(element("div", *(_card(told) for told in contents.told), class_="cards"))
        if plates.found is not None:
            pieces.append(
                element(
                    "figure",
                    _image(plates.found, "framed"),
                    _caption(figures, "Where and when: the piece on the bench at that moment."),
                )
            )
    else:
        pieces.append(
            element(
                "p",
                "Nothing jams, stalls, floats, slips or jerks, with the least friction or with the most.",
            )
        )
    if contents.asked:
        pieces.append(_asked(contents.asked))
    return joined(*pieces)


def _card(told: Told) -> Markup:
    rows: list[str] = [element("dt", "Where and when"), element("dd", told.where)]
    if told.why:
        rows += [element("dt", "Why"), element("dd", told.why)]
    if told.mends:
        rows.append(element("dt", "What would mend it"))
        rows += [element("dd", mend) for mend in told.mends]
    return element(
        "article",
        element("h3", sign(told.code), element("span", told.code, class_=f"word-{told.code}")),
        element("p", told.sentence, class_="said"),
        element("dl", *rows),
        class_="card",
    )


def _table(
    caption: str, heads: Sequence[str], rows: Sequence[Markup], class_: str = "stacked"
) -> Markup:
    return element(
        "div",
        element(
            "table",
            element("caption", caption),
            element(
                "thead", element("tr", *(element("th", head, scope="col") for head in heads))
            ),
            element("tbody", *rows),
            class_=class_,
        ),
        class_="wide",
    )


def _asked(asked: Sequence[Asked]) -> Markup:
    rows = [
        element(
            "tr",
            element("th", claim.text, scope="row"),
            element("td", claim.measured, data_head="Measured"),
            element(
                "td",
                element(
                    "b",
                    "met" if claim.is_met else "not met",
                    class_="good" if claim.is_met else "bad",
                ),
            ),
        )
        for claim in asked
    ]
    return _table(
        "What was asked of it, and what came of it at its worst",
        ("Asked", "Measured", "Verdict"),
        rows,
    )


def _others_part(contents: Contents, plates: Plates, figures: Iterator[int]) -> Markup:
    pieces: list[str] = []
    if plates.compared is not None:
        caption = _caption(
            figures,
            "All of them on one clock and at one scale, with what each got and what it lost.",
        )
        pieces.append(_video(plates.compared, f"Film: {contents.title}, side by side", caption))
    rows = [_other(other) for other in contents.others]
    pieces.append(
        _table(
            "The variants, and what each shows",
            ("Variant", "What is different", "What it shows", "Most effort"),
            rows,
        )
    )
    return joined(*pieces)


def _other(other: Other) -> Markup:
    return element(
        "tr",
        element("th", other.name, scope="row"),
        element("td", other.different, data_head="Different"),
        element("td", sign(other.code), other.sentence),
        element("td", other.effort, class_="number", data_head="Most effort"),
    )


def _rows_part(contents: Contents) -> Markup:
    rows = [
        element(
            "tr",
            element("th", row.what, scope="row"),
            element("td", row.value, class_="number"),
            element("td", row.remark),
        )
        for row in contents.rows
    ]
    return joined(
        _table(
            "Reckoned, at the friction such stuffs have", ("What", "How much", "Remark"), rows
        ),
        element("h3", "How far to trust these numbers"),
        element("ul", *(element("li", said) for said in contents.trust), class_="trust"),
    )


def _cautions_part(contents: Contents) -> Markup:
    return element(
        "ul",
        *(element("li", element("b", each.what), each.sentence) for each in contents.cautions),
        class_="cautions",
    )
