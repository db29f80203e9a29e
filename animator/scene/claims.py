"""Expectations: one line of text -> a claim that a run can be held against.

claim    = ( [ "no" ] finding [ "of" part ] | measure test | part "is" state ) [ "at least once" ] [ span ]
test     = ( ">=" | "<=" | ">" | "<" ) value | "=" value "within" quantity | "between" quantity "and" quantity
value    = quantity | measure of the same unit          measure = part [ "." point ] "." word | "drive." word
span     = "at" moment | "from" moment "to" moment      moment  = degrees | time | turns | "mark" name of a mark of the sound
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from animator.places import Place, Text
from animator.problems import Problem
from animator.registry import nearest
from animator.scene.shots import Moment, parse_moment
from animator.units import NUMBER, Wrong, parse, with_article

if TYPE_CHECKING:
    from animator.scene.checking import Names

# word -> sort of quantity (units.py). What each word's value is: see findings.
MEASURES: Mapping[str, str] = {
    **dict.fromkeys(("lift", "height", "travel", "gap", "slack", "stretch", "range"), "length"),
    **dict.fromkeys(("swing", "turns", "spin", "back-slip", "pressure angle"), "angle"),
    "overrun": "angle",
    "transmission angle": "angle",
    "bow": "length",
    "time ratio": "count",
    "speed": "turning speed",
    **dict.fromkeys(("hit speed", "launch speed"), "speed"),
    **dict.fromkeys(("contact force", "tension", "push", "force", "side force"), "force"),
    **dict.fromkeys(("torque", "start torque"), "torque"),
    **dict.fromkeys(("slip", "standstill", "current share", "strain"), "share"),
    **dict.fromkeys(("running time", "on time"), "time"),
    **dict.fromkeys(("steps", "hits"), "count"),
}
FINDINGS = (
    "slip",
    "jam",
    "stall",
    "float",
    "jerk",
    "slack",
    "buckle",
    "strain",
    "skip",
    "seam",
)
STATES = (
    *("running", "stopped", "taut", "slack"),
    *("lit", "dark", "open", "closed", "locked", "free"),
)
LATER: Mapping[str, str] = {
    "clash": "finding parts that clash",
}
LONGEST = 300  # characters; the longest sensible claim has under a hundred
_CLAIM = re.compile(
    r"(?:(?P<left>.+?) (?:(?P<op>>=|<=|>|<|=) (?P<right>.+?)(?: within (?P<tolerance>.+?))?|between (?P<low>.+?) and (?P<high>.+?)|is (?P<state>[\w-]+))"
    r"|(?P<no>no )?(?P<finding>[\w-]+)(?: of (?P<of>.+?))?)"
    r"(?P<once> at least once)?(?: at (?P<at>(?!least once)\S.*?)| from (?P<start>.+?) to (?P<end>.+?))?"
)


Op = Literal[">=", "<=", ">", "<", "=", "between", ""]
OPS: Mapping[str, Op] = {">=": ">=", "<=": "<=", ">": ">", "<": "<", "=": "="}


@dataclass(frozen=True)
class Measure:
    """Something measured of a part: ``part`` is its full name or ``drive``, ``point`` '' for the part itself, ``sort`` as in ``units.py``."""

    part: str
    point: str
    word: str
    sort: str
    text: str


@dataclass(frozen=True)
class Claim:
    """One expectation.

    ``kind`` says which fields count:

    * ``finding``: ``finding`` (of ``part``, '' for any) must appear, or must not where ``is_denied``;
    * ``measure``: ``left`` ``op`` ``values``, one value or measure, two for ``between``; ``=`` holds within ``tolerance``;
    * ``state``: ``part`` is in ``state``.

    It must hold at every moment of its span, or at least ``once``. Without a span that is the whole run;
    with ``start`` alone it is that one moment. Values are in internal units.
    """

    kind: Literal["finding", "measure", "state"]
    text: str
    place: Place
    part: str = ""
    finding: str = ""
    is_denied: bool = False
    left: Measure | None = None
    op: Op = ""
    values: tuple[float | Measure, ...] = ()
    tolerance: float | None = None
    state: str = ""
    once: bool = False
    start: Moment | None = None
    end: Moment | None = None


class _Refused(Exception):
    def __init__(self, what: str, bit: str = "", write: str = "", more: str = "") -> None:
        self.what, self.bit, self.write, self.more = what, bit, write, more


def parse_claim(text: Text, names: Names) -> Claim | Problem:
    """Read one expectation, or say what is wrong with it."""
    try:
        return _parse(text, names)
    except _Refused as refused:
        place = text.place
        start = text.find(refused.bit) if refused.bit else -1
        if start >= 0 and start + len(refused.bit) <= place.length:
            place = replace(place, column=place.column + start, length=len(refused.bit))
        return Problem(place, refused.what, refused.write, refused.more)


def _parse(text: Text, names: Names) -> Claim:
    found = _CLAIM.fullmatch(text) if len(text) <= LONGEST else None
    if not found:
        raise _Refused("this claim can't be read", write=_better(text))
    once, (start, end) = bool(found["once"]), _span(found["at"], found["start"], found["end"])
    if found["finding"]:
        return _finding(text, found, names, once, start, end)
    if found["state"]:
        if found["state"] not in STATES:
            raise _unknown("state", found["state"], STATES)
        return Claim(
            "state",
            str(text),
            text.place,
            _part(found["left"], names),
            state=found["state"],
            once=once,
            start=start,
            end=end,
        )
    left = _measure(found["left"], names)
    if found["low"]:
        low, high = (_quantity(found[end_], left.sort) for end_ in ("low", "high"))
        if low > high:
            raise _Refused(
                "the smaller of the two comes first",
                f"{found['low']} and {found['high']}",
                f"'between {found['high']} and {found['low']}'",
            )
        return Claim(
            "measure",
            str(text),
            text.place,
            left=left,
            op="between",
            values=(low, high),
            once=once,
            start=start,
            end=end,
        )
    value = _value(found["right"], left, names)
    if found["op"] == "=" and not found["tolerance"] and left.sort != "count":
        raise _Refused(
            "nothing measured is exactly equal",
            "=",
            f"'{found['left']} = {found['right']} within {_tenth(found['right'])}'",
        )
    if found["tolerance"] and found["op"] != "=":
        raise _Refused(
            "'within' belongs to '='",
            f"within {found['tolerance']}",
            f"'{found['left']} = {found['right']} within {found['tolerance']}'",
        )
    tolerance = (
        _quantity(found["tolerance"], left.sort, at_least_zero=True)
        if found["tolerance"]
        else None
    )
    return Claim(
        "measure",
        str(text),
        text.place,
        left=left,
        op=OPS[found["op"]],
        values=(value,),
        tolerance=tolerance,
        once=once,
        start=start,
        end=end,
    )


def _finding(
    text: Text,
    found: re.Match[str],
    names: Names,
    once: bool,
    start: Moment | None,
    end: Moment | None,
) -> Claim:
    word = found["finding"]
    if word not in FINDINGS:
        if (
            not found["no"]
            and not found["of"]
            and word not in LATER
            and nearest(word, FINDINGS) is None
        ):
            raise _Refused("this claim can't be read", write=_better(text))
        raise _unknown("finding", word, FINDINGS)
    part = _part(found["of"], names) if found["of"] else ""
    return Claim(
        "finding",
        str(text),
        text.place,
        part,
        word,
        bool(found["no"]),
        once=once,
        start=start,
        end=end,
    )


def _unknown(sort: str, word: str, known: Iterable[str]) -> _Refused:
    if word in LATER:
        return _Refused(f"not yet: {LATER[word]} ('{word}')", word)
    mend = nearest(word, known)
    return _Refused(
        f"no {sort} is called '{word}'",
        word,
        f"'{mend}'" if mend else f"one of: {', '.join(known)}",
    )


def _better(text: str) -> str:
    if re.search(r"=[<>]", text):
        return f"'{text.replace('=>', '>=').replace('=<', '<=')}'"
    signs = {
        "≥": ">=",
        "≤": "<=",
        "==": "=",
        "more than": ">",
        "less than": "<",
        "at most": "<=",
        "at least": ">=",
    }
    for sign, meant in signs.items():
        if sign in text and not text.endswith("at least once"):
            return f"'{' '.join(text.replace(sign, f' {meant} ').split())}'"
    return "'PART.MEASURE >= AMOUNT', 'PART.MEASURE between A and B', 'no jam' or 'PART is stopped'"


def _tenth(text: str) -> str:
    """Propose a tolerance in the unit of what was written."""
    found = re.match(NUMBER, text)
    unit = text[found.end() :].strip() if found else ""
    return f"0.1 {unit}".strip()


def _part(text: str, names: Names) -> str:
    if text == "drive":
        return "drive"
    name, point = names.find(text)
    if name is None:
        mend = names.nearest(text)
        raise _Refused(f"no part is called '{text}'", text, f"'{mend}'" if mend else "")
    if point:
        raise _Refused(f"'{text}' is a point; here belongs a part", text, f"'{name}'")
    return name


def _measure(text: str, names: Names) -> Measure:
    head, _, word = text.rpartition(".")
    if not head:
        spaced = next(
            (
                each
                for each in sorted(MEASURES, key=len, reverse=True)
                if text.endswith(f" {each}")
            ),
            None,
        )
        if spaced and names.find(text.removesuffix(f" {spaced}"))[0]:
            raise _Refused(
                "a dot stands between a part and what is measured",
                text,
                f"'{text.removesuffix(f' {spaced}')}.{spaced}'",
            )
        if names.find(text)[0]:
            raise _Refused(
                f"'{text}' says nothing that is measured", text, f"for example '{text}.travel'"
            )
        mend = names.nearest(text)
        raise _Refused(
            f"no part is called '{text}'",
            text,
            f"'{mend}'" if mend else "for example 'ram.travel >= 30'",
        )
    if word not in MEASURES:
        name, point = names.find(text)
        if name is not None and (not point or point in names.points(name)):
            raise _Refused(
                f"'{text}' says nothing that is measured", text, f"for example '{text}.travel'"
            )
        known = [each for each in MEASURES if each not in LATER]
        mend = nearest(word, known)
        raise _Refused(
            f"nothing called '{word}' is measured",
            word,
            f"'{mend}'" if mend else f"one of: {', '.join(known)}",
        )
    if word in LATER:
        raise _unknown("measure", word, MEASURES)
    if head == "drive":
        return Measure("drive", "", word, MEASURES[word], text)
    name, point = names.find(head)
    if name is None:
        mend = names.nearest(head)
        raise _Refused(f"no part is called '{head}'", head, f"'{mend}.{word}'" if mend else "")
    if point and point not in names.points(name):
        raise _Refused(
            f"'{name}' has no point '{point}'",
            head,
            f"one of: {', '.join(f'{name}.{each}' for each in names.points(name))}",
        )
    return Measure(name, point or "", word, MEASURES[word], text)


def _quantity(text: str, sort: str, *, at_least_zero: bool = False) -> float:
    try:
        return parse(text, sort, low=0 if at_least_zero else None)
    except Wrong as wrong:
        bit = text[wrong.start : wrong.start + wrong.length] if wrong.length else text
        raise _Refused(wrong.what, bit, wrong.write) from None


def _value(text: str, left: Measure, names: Names) -> float | Measure:
    if not re.match(r"[^\W\d_]", text) or "." not in text:
        return _quantity(text, left.sort)
    other = _measure(text, names)
    if other.sort != left.sort:
        raise _Refused(
            f"'{left.text}' is {with_article(left.sort)}, '{text}' {with_article(other.sort)}",
            text,
        )
    return other


def _moment(bit: str) -> Moment:
    """Read a moment of a claim: what ``parse_moment`` reads, or a mark of the scene's sound, which is looked up later."""
    mark = bit.removeprefix("mark ").strip()
    return (
        Moment(None, None, bit, mark) if bit.startswith("mark ") and mark else parse_moment(bit)
    )


def _span(
    at: str | None, start: str | None, end: str | None
) -> tuple[Moment | None, Moment | None]:
    moments = []
    for bit in (at or start, end):
        try:
            moments.append(_moment(bit) if bit else None)
        except Wrong as wrong:
            raise _Refused(wrong.what, bit or "", wrong.write) from None
    first, last = moments
    if first and last:
        for before, after in ((first.angle, last.angle), (first.time, last.time)):
            if before is not None and after is not None and after <= before:
                raise _Refused(
                    f"'{last.text}' is not after '{first.text}'", last.text, "a later moment"
                )
    return first, last
