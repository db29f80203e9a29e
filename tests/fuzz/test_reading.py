"""Any text is read or refused, with a place inside it; nothing else ever happens."""

import copy
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from animator.parts._contract import PARTS
from animator.parts._fields import keys_of
from animator.problems import SceneError
from animator.scene import read_all

ROOT = Path(__file__).parents[2]
TEXTS = [path.read_text(encoding="utf-8") for path in sorted((ROOT / "scenes").glob("*.yaml"))]
TEXTS += [
    path.read_text(encoding="utf-8") for path in sorted((ROOT / "tests/wrong").glob("*.yaml"))
]
LINES = re.compile("\r\n|[\n\r\x85\u2028\u2029]")

KEYS = sorted({key for cls in PARTS.values() for key in keys_of(cls)})
TOP = [
    "title",
    "about",
    "frame",
    "main shaft",
    "unless stated",
    "parts",
    "run",
    "expect",
    "variants",
    "shots",
    "sound",
]
NAMES = [
    "shaft",
    "cam",
    "lifter",
    "frogs",
    "ada",
    "bea",
    "rod",
    "frame",
    "drive",
    "none",
    "far",
    "w h",
]
WORDS = [
    *NAMES, *PARTS, "group", "right", "up", "90", "12", "-3", "0", "40 rpm", "10 to 20 rpm", "1 N", "0.3 N m", "5 %", "35 g",
    "40 above shaft", "right of cam", "12 left and 3 below lifter.top", "40 left", "20 at 300", "cam.centre", "lifter.top", "ada.cam", "birch ply 6",
    "waxed beech on brass", "0.2 to 0.4", "fitted", "rest", "none", "yes", "knife", "cycloidal", "rose", "from 0 by 90", "no jam", "lifter.lift >= 13 mm",
    "shaft is stopped", "1/0", "1e9", "", "clockwise", "2 turns", "3 s", "rubber band 3", "top", "heron.svg", "../heron.svg", "heron.png", "as drawn",
]  # fmt: skip
PATHS = st.lists(
    st.sampled_from(
        [*NAMES, *KEYS, "1", "2", "9", "parts", "vary", "copies", "change", "like", "programme"]
    ),
    min_size=1,
    max_size=4,
).map(".".join)


def check(text):
    """Read a text; whatever is said of it must point inside it."""
    try:
        scenes = read_all("piece.yaml", text=text)
    except SceneError as error:
        lines = LINES.split(text.removeprefix("\ufeff"))
        assert error.problems
        for problem in error.problems:
            place = problem.place
            assert 1 <= place.line <= len(lines)
            assert place.source == lines[place.line - 1]
            assert (
                1
                <= place.column
                <= place.column + place.length - 1
                <= max(1, len(place.source) + 1)
            )
            assert problem.what.strip()
            assert str(problem)
        assert list(error.problems) == sorted(error.problems, key=lambda problem: problem.place)
        return None
    return scenes


def flow(node):
    """Write a tree as YAML, quoting only what must be."""
    if isinstance(node, dict):
        return (
            "{" + ", ".join(f"{flow(key)}: {flow(value)}" for key, value in node.items()) + "}"
        )
    if isinstance(node, list):
        return "[" + ", ".join(map(flow, node)) + "]"
    return (
        node
        if re.fullmatch(r"[\w' ./%>=<-]+", node)
        and node.strip() == node
        and not node.startswith("-")
        else "'" + node.replace("'", "''") + "'"
    )


VALUES = st.recursive(
    st.sampled_from(WORDS),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(
            st.sampled_from(
                [
                    *KEYS,
                    *NAMES,
                    "rise",
                    "over",
                    "dwell",
                    "length",
                    "at",
                    "disc",
                    "outline",
                    "preload",
                ]
            ),
            inner,
            max_size=4,
        ),
    ),
    max_leaves=8,
)
SOUND = {
    "shaft": {"kind": "shaft", "at": ["100", "60"], "bearing": {"play": "0.1"}},
    "handle": {"kind": "handle", "on": "shaft", "speed": "30 to 40 rpm"},
    "crank": {"kind": "crank", "on": "shaft", "radius": "12", "angle": "30"},
    "rod": {"kind": "rod", "from": "crank.pin", "to": "ram.pin", "length": "70", "holes": {"mid": "30"}},
    "ram": {"kind": "slider", "slides": "right", "guide": {"at": "90 right of shaft", "length": "12"}},
    "hip": {"kind": "pin", "at": ["150", "60"]},
    "leg": {"kind": "lever", "at": "30 right and 8 above hip", "arms": {"foot": "20 at 300", "hook": "10 up"}, "stops": {"clockwise": "60"}},
    "cam": {"kind": "cam", "on": "shaft", "programme": [{"rise": "9", "over": "120"}, {"dwell": "60"}, {"fall": "9", "over": "90"}, {"dwell": "rest"}]},
    "lifter": {"kind": "follower", "follows": "cam", "tip": {"roller diameter": "8"}, "guide": {"at": "60 above shaft"}, "spring": {"preload": "1 N"}},
    "bird": {"kind": "figure", "on": "lifter.top", "artwork": {"shapes": [{"disc": "20", "paint": "rose"}, {"outline": [["0", "0"], ["9", "0"], ["4", "8"]]}]}, "points": {"beak": ["3", "9"]}},
    "wheel": {"kind": "wheel", "on": "shaft", "radius": "30", "pins": {"a": "20 up"}},
    "pull": {"kind": "extension spring", "from": "leg.foot", "to": "hip", "rate": "0.05 N/mm"},
    "far": {"like": "leg", "mirrored about": "hip", "change": {"arms.foot": "21 at 300"}},
    "frogs": {
        "kind": "group", "copies": ["ada", "bea"], "vary": {"along": "from 50 by 45", "cam.phase": ["0", "90"]},
        "parts": {"cam": {"kind": "cam", "on": "shaft", "eccentric": {"radius": "20", "throw": "5"}}, "lifter": {"kind": "follower", "follows": "cam", "guide": {"at": "70 above shaft"}}},
    },
    "pair": {"like": "frogs", "copies": ["cleo", "dot"], "mirrored about": "hip"},
}  # fmt: skip
SOUND_TOP = {
    "unless stated": {"cam": {"base radius": "14"}, "lever": {"material": "birch ply 6"}},
    "expect": ["no jam", "ram.travel >= 20 mm", "lifter.lift = 9 mm within 0.2 mm from 10 to 3 turns"],
    "variants": {
        "slow": {"handle.speed": "10 rpm", "expect": ["no stall"]},
        "other": {"cam": {"drop": {"lift": "6"}}, "leg.arms.foot": "25 at 290", "ada.cam.phase": "40", "frogs.lifter.length": "50", "cam.drop.lift": "7"},
        "bare": {"wheel": "none", "cam.programme.1.rise": "9", "pair.cam.phase": "9"},
    },
    "shots": {"all": {"from": "0", "to": "360", "on": ["ram", "frogs"], "stills": ["90"]}},
    "frame": {"width": "300", "height": "200"},
    "run": "2 turns",
}  # fmt: skip


def spots(node, path=()):
    """Give every path inside a tree."""
    steps = (
        node.items()
        if isinstance(node, dict)
        else enumerate(node)
        if isinstance(node, list)
        else ()
    )
    for step, inner in steps:
        yield (*path, step)
        yield from spots(inner, (*path, step))


@st.composite
def scenes(draw):
    """Make a sound scene and then a few slips in it."""
    tree = copy.deepcopy({"title": "x", "parts": SOUND})
    for key in draw(st.sets(st.sampled_from(sorted(SOUND_TOP)))):
        tree[key] = copy.deepcopy(SOUND_TOP[key])
    for _ in range(draw(st.integers(0, 3))):
        *path, last = draw(st.sampled_from(list(spots(tree))))
        node = tree
        for step in path:
            node = node[step]
        change = draw(st.sampled_from(["value", "value", "value", "take", "rename", "add"]))
        if change == "value":
            node[last] = draw(VALUES)
        elif change == "take":
            del node[last]
        elif isinstance(node, dict):
            key = draw(
                st.one_of(
                    st.sampled_from(
                        [
                            *KEYS,
                            *NAMES,
                            "parts",
                            "copies",
                            "vary",
                            "like",
                            "change",
                            "mirrored about",
                        ]
                    ),
                    PATHS,
                )
            )
            node[key] = node.pop(last) if change == "rename" else draw(VALUES)
    return tree


@pytest.mark.fuzz
@given(st.text(max_size=200))
@settings(max_examples=400, deadline=None)
def test_any_text_is_read_or_refused_with_a_place(text):
    check(text)


@pytest.mark.fuzz
@given(st.text(alphabet=":-{}[],#&*!|>'\"%@`?~ \n\tab1.\u2028\x85é\ufeff", max_size=60))
@settings(max_examples=1500, deadline=None)
def test_any_signs_are_read_or_refused_with_a_place(text):
    check(text)


@pytest.mark.fuzz
@given(st.data())
@settings(max_examples=800, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_slip_of_the_pen_is_read_or_refused_with_a_place(data):
    text = data.draw(st.sampled_from(TEXTS))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        until = min(len(text), at + data.draw(st.sampled_from([0, 0, 1, 2, 5, 40])))
        text = (
            text[:at]
            + data.draw(
                st.one_of(
                    st.sampled_from(
                        [
                            "",
                            "\t",
                            "\n",
                            " ",
                            ": ",
                            "{",
                            "}",
                            "[",
                            "'",
                            '"',
                            "#",
                            "- ",
                            "&a ",
                            "*a",
                            "!x ",
                            ", ",
                            "none",
                            "like: ",
                        ]
                    ),
                    st.sampled_from(WORDS),
                    st.text(max_size=3),
                )
            )
            + text[until:]
        )
    check(text)


@pytest.mark.fuzz
@given(scenes())
@settings(
    max_examples=1500,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
def test_any_tree_is_read_or_refused_with_a_place(tree):
    check("".join(f"{flow(key)}: {flow(value)}\n" for key, value in tree.items()))


@pytest.mark.fuzz
@given(st.binary(max_size=120))
@settings(
    max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_bytes_are_read_or_refused_with_a_place(tmp_path, raw):
    path = tmp_path / "piece.yaml"
    path.write_bytes(raw)
    with pytest.raises(SceneError):
        read_all(path)
