"""HTML by the piece: whatever is text is escaped, because only what this module made counts as markup."""

from __future__ import annotations

from html import escape

VOID = frozenset({"img", "meta", "link", "source", "track", "col", "br", "hr"})
"""Elements without an end tag (WHATWG HTML, 13.1.2)."""


class Markup(str):
    """Text that is markup already."""

    __slots__ = ()


Inside = str | None
"""What stands in an element: text is escaped, ``Markup`` is kept, None is nothing."""


def joined(*inside: Inside) -> Markup:
    """Put pieces one after the other.

    Examples
    --------
    >>> joined("a < b", Markup("<br>"), None)
    'a &lt; b<br>'
    """
    return Markup(
        "".join(
            piece if isinstance(piece, Markup) else escape(piece)
            for piece in inside
            if piece is not None
        )
    )


def element(name: str, /, *inside: Inside, **attributes: str | int | bool | None) -> Markup:
    """Make one element.

    Parameters
    ----------
    name
        Of the element.
    inside
        What stands in it.
    attributes
        ``class_`` and ``for_`` stand for the words Python keeps for itself; other underscores become hyphens. True gives the bare name, False and None leave it
        out.

    Examples
    --------
    >>> element("p", "fish & chips", class_="menu", hidden=True)
    '<p class="menu" hidden>fish &amp; chips</p>'
    >>> element("img", src="a.png", alt='the "best"')
    '<img src="a.png" alt="the &quot;best&quot;">'
    """
    said = ""
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        key = key.rstrip("_").replace("_", "-")
        said += f" {key}" if value is True else f' {key}="{escape(str(value))}"'
    if name in VOID:
        return Markup(f"<{name}{said}>")
    return Markup(f"<{name}{said}>{joined(*inside)}</{name}>")
