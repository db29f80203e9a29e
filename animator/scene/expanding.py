"""Said once, meant many times: ``unless stated``, ``like``, groups with copies, and variants -> one flat list of parts.

Works on the text's own tree, so every value keeps the place where it was written. Later words lie over earlier ones:
``unless stated`` < ``like`` < own fields < ``change`` and ``vary`` < variant. A variant's changes are laid where the
part is written, before likenesses and copies are made, so that what is like a changed part changes with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from animator.parts._contract import PARTS
from animator.parts._fields import Sentence, Words
from animator.places import Map, Place, Seq, Text
from animator.problems import Problem, SceneError
from animator.registry import nearest
from animator.scene.telling import inner_model, tell
from animator.units import NUMBER

MOST_PARTS = 300
LONGEST_LIKENESS = 30
TAKEN = ("drive", "frame", "rest", "none", "fitted")
SHARED = ("along", "view", "behind")  # what a group may say for all its members
NAME = re.compile(r"[^\W\d_](?:[\w' -]*[\w'])?")
_ALL_FIGURES = re.compile(r"[0-9]{1,4}")


class Group(Words):
    """Parts that belong together; ``copies`` makes one such group of each name, ``vary`` gives each copy its own value."""

    sample_text = "[ada, bea]"

    kind: Sentence
    parts: dict[str, Any]
    copies: tuple[Sentence, ...] | None = None
    vary: dict[str, Any] = Field(default_factory=dict)
    along: Any = None
    view: Any = None
    behind: Any = None
    note: Sentence | None = None


class Alike(Words):
    """A part or group like another, but for some changes."""

    model_config = ConfigDict(extra="allow")

    like: Sentence
    change: dict[str, Any] = Field(default_factory=dict)
    mirrored_about: Sentence | None = None


@dataclass(frozen=True)
class Change:
    """A value laid over what stands at a path."""

    steps: tuple[str, ...]
    value: Any
    place: Place


@dataclass(frozen=True)
class Mirror:
    """Turned left to right about a point; ``since`` names the fields said after it, which stay as they are written."""

    about: Text
    scope: str
    since: frozenset[str] = frozenset()
    generation: int = 0


class Kept(Map):
    """A map that also remembers what its text can't show."""

    __slots__ = ("mirrors", "only", "said")
    only: tuple[Change, ...]
    """Changes meant for one copy; the first step is its name."""
    mirrors: tuple[Mirror, ...]
    said: dict[str, int]
    """Fields laid over a likeness, and when."""


@dataclass(frozen=True)
class Written:
    """One part of the flat scene: full name, where the name stands, its fields as text, and the mirrors it was turned in."""

    name: str
    place: Place
    tree: Map
    mirrors: tuple[Mirror, ...] = ()

    @property
    def scope(self) -> str:
        """The group it belongs to, with its dot ('' at the top)."""
        head, dot, _ = self.name.rpartition(".")
        return head + dot


# ---------------------------------------------------------------- maps of text
def copied(old: Map) -> Map:
    """Copy a map but not what it holds."""
    new = type(old)(old)
    new.place, new.key_places = old.place, dict(old.key_places)
    if isinstance(old, Kept) and isinstance(new, Kept):
        new.only, new.mirrors, new.said = old.only, old.mirrors, dict(old.said)
    return new


def kept(old: Map) -> Kept:
    """Copy a map into one that remembers."""
    new = Kept(old)
    new.place, new.key_places = old.place, dict(old.key_places)
    new.only, new.mirrors, new.said = (
        (old.only, old.mirrors, dict(old.said)) if isinstance(old, Kept) else ((), (), {})
    )
    return new


def empty_map(place: Place) -> Map:
    """Make a map with nothing in it."""
    new = Map()
    new.place, new.key_places = place, {}
    return new


def put(tree: Map, key: str, value: Any, place: Place | None = None) -> None:
    """Set a key; without a place it keeps the one it has."""
    tree[key] = value
    tree.key_places[key] = place or tree.key_places[key]


def take(tree: Map, key: str) -> None:
    """Remove a key, if it is there."""
    tree.pop(key, None)
    tree.key_places.pop(key, None)


def text_at(value: str, place: Place) -> Text:
    """Make a text that stands at a place."""
    new = Text(value)
    new.place = place
    return new


def is_none(value: Any) -> bool:
    """Tell whether a value is the word that takes a thing away."""
    return isinstance(value, Text) and value == "none"


def kind_of(tree: Any) -> str:
    """Give what a part says its kind is, '' if nothing readable."""
    kind = tree.get("kind") if isinstance(tree, Map) else None
    return kind if isinstance(kind, Text) else ""


def part_model(tree: Any) -> type[BaseModel] | None:
    """Give the model of a part's kind, if there is one."""
    return PARTS.get(kind_of(tree))


def laid(old: Any, new: Any, model: type[BaseModel] | None = None) -> Any:
    """Lay one value over another: maps key by key, anything else replaces."""
    if isinstance(new, Map) and isinstance(old, Text) and old and has_short_form(model):
        old = _long_form(old, model)
    if not (isinstance(old, Map) and isinstance(new, Map)):
        return new
    out = copied(old)
    for key, value in new.items():
        lay_key(out, key, value, new.key_places[key], model)
    return out


def lay_key(
    tree: Map, key: str, value: Any, place: Place, model: type[BaseModel] | None
) -> None:
    """Lay one key's value into a map: ``none`` removes it, one of several outlines puts out the others."""
    if is_none(value):
        take(tree, key)
        return
    put_out_others(tree, key, model)
    is_whole = isinstance(value, Map) and "kind" in value
    put(
        tree,
        key,
        value
        if is_whole or key not in tree
        else laid(tree[key], value, inner_model(model, key)),
        place,
    )


def put_out_others(tree: Map, key: str, model: type[BaseModel] | None) -> None:
    """Remove the rivals of a key of which exactly one may be said."""
    rivals = [each.rstrip("_").replace("_", " ") for each in getattr(model, "one_of", ())]
    if key in rivals:
        for rival in rivals:
            if rival != key:
                take(tree, rival)


def has_short_form(model: type[BaseModel] | None) -> bool:
    """Tell whether a plain text can stand for a record."""
    return bool(getattr(model, "short", ""))


def _long_form(value: Text, model: Any) -> Map:
    out = empty_map(value.place)
    put(out, model.short, value, value.place)
    return out


def without_none(tree: Any) -> Any:
    """Drop every key that says ``none``."""
    if not isinstance(tree, Map):
        return tree
    if not any(is_none(value) or isinstance(value, Map) for value in tree.values()):
        return tree
    out = copied(tree)
    for key, value in tree.items():
        if is_none(value):
            take(out, key)
        else:
            out[key] = without_none(value)
    return out


# ---------------------------------------------------------------- the work
@dataclass
class Expansion:
    """Turns a scene's parts into a flat list; problems are gathered, not raised."""

    problems: list[Problem] = field(default_factory=list)
    flat: dict[str, Written] = field(default_factory=dict)
    groups: dict[str, list[str]] = field(default_factory=dict)
    """Group (or copy) -> full names of its parts."""
    _circles: set[frozenset[str]] = field(default_factory=set)
    _count: int = 0
    _generation: int = 0

    def say(self, place: Place, what: str, write: str = "", more: str = "") -> None:
        """Note a problem."""
        self.problems.append(Problem(place, what, write, more))

    # ------------------------------------------------------------ before anything else: are these trees what they should be
    def check_shapes(self, parts: Any, place: Place) -> bool:
        """Check groups and likenesses as written, since all that follows takes their shape for granted."""
        before = len(self.problems)
        if not isinstance(parts, Map):
            self.say(
                place,
                "'parts' wants names and values",
                "'parts: {shaft: {kind: shaft, at: [100, 60]}}'",
            )
            return False
        alike: dict[str, str] = {}
        for name, tree in parts.items():
            where = parts.key_places[name]
            self._check_name(name, where, alike)
            if not isinstance(tree, Map):
                self.say(
                    where, f"'{name}' says nothing about itself", f"'{name}: {{kind: ...}}'"
                )
                continue
            for model in [Alike] * ("like" in tree) + [Group] * (
                kind_of(tree) == "group" and "like" not in tree
            ):
                try:
                    model.model_validate(tree)
                except ValidationError as error:
                    self.problems += tell(error, model, tree, where, name)
            if "parts" in tree and ("like" in tree or kind_of(tree) == "group"):
                self.check_shapes(tree["parts"], where)
            copies = tree.get("copies")
            if isinstance(copies, Seq):
                self._check_copies(copies, where)
        return len(self.problems) == before

    def _check_name(self, name: str, where: Place, alike: dict[str, str]) -> None:
        if name in TAKEN:
            self.say(
                where, f"a part can't be called '{name}'; that word is taken", "another name"
            )
        elif not NAME.fullmatch(name) or len(name) > 60:
            self.say(
                where,
                f"a part can't be called '{name}'",
                "a name of letters, figures, spaces and hyphens that begins with a letter",
            )
        folded = "".join(name.split()).casefold()
        if alike.get(folded) == name:
            self.say(where, f"'{name}' is named twice", "another name")
        elif folded in alike:
            self.say(
                where,
                f"'{name}' and '{alike[folded]}' are too much alike",
                "names that differ by more than capitals and spaces",
            )
        alike[folded] = name

    def _check_copies(self, copies: Seq, where: Place) -> None:
        alike: dict[str, str] = {}
        for name in copies:
            if isinstance(name, Text):
                self._check_name(name, name.place, alike)
        if not 1 <= len(copies) <= MOST_PARTS:
            self.say(where, f"{len(copies)} copies", f"1 to {MOST_PARTS}")

    # ------------------------------------------------------------ changes, laid where a thing is written
    def apply(self, parts: Map, change: Change) -> None:
        """Lay a change over a level of parts (a map that may be changed; what it holds is copied)."""
        name, rest = change.steps[0], change.steps[1:]
        if name not in parts:
            self._apply_elsewhere(parts, change)
        elif rest:
            tree = copied(parts[name])
            put(parts, name, tree)
            self._apply_in_part(parts, name, tree, Change(rest, change.value, change.place))
        elif is_none(change.value):
            take(parts, name)
        elif not isinstance(change.value, Map):
            self.say(
                change.place,
                f"'{name}' is a part, not a value",
                f"'{name}.length: {change.value}' names a field"
                if isinstance(change.value, Text)
                else "",
            )
        elif "kind" in change.value or "like" in change.value:
            put(parts, name, change.value)
        else:
            for key, value in change.value.items():
                self.apply(parts, Change((name, key), value, change.value.key_places[key]))

    def _apply_elsewhere(self, parts: Map, change: Change) -> None:
        name = change.steps[0]
        group = next(
            (
                each
                for each, tree in parts.items()
                if isinstance(tree, Map) and name in (tree.get("copies") or ())
            ),
            None,
        )
        if group is not None:
            tree = kept(parts[group])
            tree.only = (*tree.only, change)
            put(parts, group, tree)
        elif (
            len(change.steps) == 1
            and isinstance(change.value, Map)
            and ("kind" in change.value or "like" in change.value)
        ):
            if self.check_shapes(_alone(name, change), change.place):
                put(parts, name, change.value, change.place)
        else:
            mend = nearest(name, parts)
            write = (
                f"'{'.'.join([mend, *change.steps[1:]])}'"
                if mend
                else "'NAME: {kind: ...}' for a new part"
            )
            self.say(change.place, f"no part is called '{name}'", write)

    def _apply_in_part(self, parts: Map, name: str, tree: Map, change: Change) -> None:
        path = ".".join(change.steps)
        if "like" in tree and path in ("like", "mirrored about"):
            put(tree, path, change.value, change.place)
        elif "like" in tree:
            changes = (
                copied(tree["change"])
                if isinstance(tree.get("change"), Map)
                else empty_map(change.place)
            )
            for older in [key for key in changes if key == path or key.startswith(f"{path}.")]:
                take(changes, older)
            put(changes, path, change.value, change.place)
            put(tree, "change", changes, change.place)
        elif kind_of(tree) == "group":
            self._apply_in_group(tree, change)
        else:
            if isinstance(tree, Kept):
                tree.said[change.steps[0]] = self._generation
            self._apply_in_field(tree, change.steps, change, part_model(tree), name)

    def _apply_in_group(self, tree: Map, change: Change) -> None:
        first, path = change.steps[0], ".".join(change.steps)
        varied = tree.get("vary")
        if isinstance(varied, Map):
            fewer = copied(varied)
            for key in varied:
                if key == path or (
                    key.startswith(f"{path}.")
                    and (
                        not isinstance(change.value, Map)
                        or key[len(path) + 1 :] in change.value
                        or "kind" in change.value
                    )
                ):
                    take(fewer, key)
            put(tree, "vary", fewer)
        if first == "vary" and len(change.steps) > 1:
            more = (
                copied(tree["vary"])
                if isinstance(tree.get("vary"), Map)
                else empty_map(change.place)
            )
            put(more, ".".join(change.steps[1:]), change.value, change.place)
            put(tree, "vary", more, change.place)
        elif first in (*SHARED, "copies", "vary", "note") and len(change.steps) == 1:
            lay_key(tree, first, change.value, change.place, None)
        else:
            steps = (
                change.steps[1:] if first == "parts" and len(change.steps) > 1 else change.steps
            )
            inner = copied(tree["parts"])
            put(tree, "parts", inner)
            self.apply(inner, Change(steps, change.value, change.place))

    def _apply_in_field(
        self,
        node: Map | Seq,
        steps: tuple[str, ...],
        change: Change,
        model: type[BaseModel] | None,
        owner: str,
    ) -> None:
        """Walk down to the last step, copying on the way."""
        step, rest = steps[0], steps[1:]
        if isinstance(node, Seq):
            self._apply_in_list(node, steps, change, model, owner)
            return
        if not rest:
            if step == "kind" and isinstance(node, Map):
                put(node, step, change.value, change.place)
            else:
                lay_key(node, step, change.value, change.place, model)
            return
        put_out_others(node, step, model)
        inner, below = node.get(step), inner_model(model, step)
        if inner is None:
            inner = empty_map(change.place)
        elif isinstance(inner, Text) and has_short_form(below):
            inner = _long_form(inner, below)
        elif isinstance(inner, Map):
            inner = copied(inner)
        elif isinstance(inner, Seq):
            inner = _copied_list(inner)
        else:
            self.say(
                change.place,
                f"'{step}' of '{owner}' has no parts of its own to change",
                f"'{owner}.{step}: ...'",
            )
            return
        put(node, step, inner, node.key_places.get(step, change.place))
        self._apply_in_field(inner, rest, change, below, step)

    def _apply_in_list(
        self,
        node: Seq,
        steps: tuple[str, ...],
        change: Change,
        model: type[BaseModel] | None,
        owner: str,
    ) -> None:
        step, rest = steps[0], steps[1:]
        number = int(step) if _ALL_FIGURES.fullmatch(step) else 0
        if not 1 <= number <= len(node):
            self.say(
                change.place,
                f"'{owner}' is a list of {len(node)}; '{step}' is none of them",
                f"a number from 1 to {len(node)}" if node else "",
            )
            return
        old = node[number - 1]
        if not rest:
            if is_none(change.value):
                del node[number - 1]
            else:
                node[number - 1] = laid(old, change.value, model)
        elif isinstance(old, Map):
            node[number - 1] = copied(old)
            self._apply_in_field(node[number - 1], rest, change, model, f"{owner}.{step}")
        elif isinstance(old, Seq):
            node[number - 1] = _copied_list(old)
            self._apply_in_list(node[number - 1], rest, change, None, f"{owner}.{step}")
        else:
            self.say(change.place, f"'{step}' of '{owner}' has no parts of its own to change")

    # ------------------------------------------------------------ likenesses, groups, copies
    def expand(
        self,
        parts: Map,
        stated: Map | None = None,
        outer: tuple[Map, ...] = (),
        prefix: str = "",
        mirrors: tuple[Mirror, ...] = (),
    ) -> None:
        """Add every part of a level, and of the groups in it, to ``flat``."""
        levels = (parts, *outer)
        for name in list(parts):
            where = parts.key_places[name]
            self._count += 1
            if self._count > MOST_PARTS:
                raise SceneError(
                    [
                        *self.problems,
                        Problem(
                            where,
                            f"more than {MOST_PARTS} parts",
                            "a smaller piece, or fewer copies",
                        ),
                    ]
                )
            tree = self._resolved(name, levels, prefix)
            if tree is None:
                continue
            own = tree.mirrors if isinstance(tree, Kept) else ()
            if kind_of(tree) == "group":
                self._expand_group(name, where, tree, stated, levels, prefix, (*mirrors, *own))
                continue
            usual = stated.get(kind_of(tree)) if stated else None
            if isinstance(usual, Map):
                tree = _with_defaults(usual, tree)
            self._add(prefix + name, where, tree, (*mirrors, *own))

    def _add(self, name: str, where: Place, tree: Map, mirrors: tuple[Mirror, ...]) -> None:
        if name in self.flat:
            self.say(where, f"two parts are called '{name}'", "another name for one of them")
        said = tree.said if isinstance(tree, Kept) else {}
        turned = tuple(
            Mirror(
                each.about,
                each.scope,
                frozenset(key for key, when in said.items() if when >= each.generation),
                each.generation,
            )
            for each in mirrors
        )
        tree = copied(without_none(tree))
        tree.place = where
        self.flat[name] = Written(name, where, tree, turned)
        steps = name.split(".")
        for depth in range(1, len(steps)):
            self.groups.setdefault(".".join(steps[:depth]), []).append(name)

    def _resolved(
        self, name: str, levels: tuple[Map, ...], prefix: str, seen: tuple[str, ...] = ()
    ) -> Map | None:
        """Give a part's own map with its likeness worked out."""
        tree: Map = levels[0][name]
        if "like" not in tree:
            return tree
        model = tree["like"]
        chain = (*seen, name)
        if model in chain:
            circle = frozenset(prefix + each for each in chain[chain.index(model) :])
            if circle not in self._circles:
                self.say(model.place, f"'{name}' is like itself", "another part's name")
            self._circles.add(circle)
            return None
        level = next((depth for depth, each in enumerate(levels) if model in each), None)
        if level is None or len(seen) > LONGEST_LIKENESS:
            mend = nearest(
                model, [each for level_parts in levels for each in level_parts if each != name]
            )
            self.say(
                model.place,
                f"no part is called '{model}'"
                if level is None
                else "a likeness of a likeness, too many times over",
                f"'{mend}'" if mend else "",
            )
            return None
        base = self._resolved(model, levels[level:], prefix, (*seen, name))
        if base is None:
            return None
        self._generation += 1
        out = kept(base)
        about = tree.get("mirrored about")
        if about is not None:
            out.mirrors = (*out.mirrors, Mirror(about, prefix, generation=self._generation))
        own = [key for key in tree if key not in ("like", "change", "mirrored about")]
        for key in own:
            lay_key(out, key, tree[key], tree.key_places[key], part_model(base))
            out.said[key] = self._generation
        holder = empty_map(tree.place)
        put(holder, name, out, tree.place)
        for path, value in (tree.get("change") or {}).items():
            self.apply(
                holder, Change((name, *path.split(".")), value, tree["change"].key_places[path])
            )
        changed: Map = holder[name]
        return changed

    def _expand_group(
        self,
        name: str,
        where: Place,
        tree: Map,
        stated: Map | None,
        levels: tuple[Map, ...],
        prefix: str,
        mirrors: tuple[Mirror, ...],
    ) -> None:
        copies = tree.get("copies") or [None]
        self._generation += 1
        for number, copy in enumerate(copies):
            holder = empty_map(where)
            put(holder, name, copied(tree), where)
            self._vary(holder, name, tree.get("vary") or {}, number, len(copies))
            only = [
                each
                for each in (tree.only if isinstance(tree, Kept) else ())
                if each.steps[0] == copy
            ]
            if any(len(each.steps) == 1 and is_none(each.value) for each in only):
                continue
            for each in only:
                if len(each.steps) == 1 and not isinstance(each.value, Map):
                    self.say(each.place, f"'{copy}' is a copy of '{name}', not a value")
                elif len(each.steps) == 1:
                    for key, value in each.value.items():
                        self.apply(
                            holder, Change((name, key), value, each.value.key_places[key])
                        )
                else:
                    self.apply(holder, Change((name, *each.steps[1:]), each.value, each.place))
            inner = copied(holder[name]["parts"])
            for key in SHARED:
                if key in holder[name]:
                    self._share(inner, key, holder[name][key])
            self.expand(inner, stated, levels, f"{prefix}{copy or name}.", mirrors)
            self._group_is_known(prefix, name, copy)

    def _group_is_known(self, prefix: str, name: str, copy: str | None) -> None:
        if copy is not None:
            self.groups.setdefault(prefix + name, []).extend(
                self.groups.get(f"{prefix}{copy}", [])
            )

    def _vary(self, holder: Map, name: str, varied: Any, number: int, count: int) -> None:
        for path, values in varied.items():
            where = varied.key_places[path]
            steps = isinstance(values, Text) and re.fullmatch(
                rf"from ({NUMBER})( ?[a-z/%]+)? by ({NUMBER})( ?[a-z/%]+)?", values
            )
            if steps:
                unit = steps[4] or steps[2] or ""
                value: Any = text_at(
                    f"{float(steps[1]) + number * float(steps[3]):.10g}{unit}", values.place
                )
            elif isinstance(values, Seq) and len(values) == count:
                value = values[number]
            else:
                if number == 0:
                    said = len(values) if isinstance(values, Seq) else 1
                    self.say(
                        values.place,
                        f"{said} value{'s' * (said != 1)} for {count} copies",
                        "one value for each copy, or 'from 0 by 90'",
                    )
                continue
            self.apply(holder, Change((name, *path.split(".")), value, where))

    def _share(self, parts: Map, key: str, value: Any) -> None:
        for name, tree in parts.items():
            if isinstance(tree, Map) and key not in tree:
                more = copied(tree)
                put(more, key, value, tree.place)
                parts[name] = more


def _with_defaults(usual: Map, tree: Map) -> Map:
    out = kept(tree)
    model = part_model(tree)
    lower = copied(usual)
    for key in tree:
        put_out_others(lower, key, model)
    for key, value in lower.items():
        if key in tree:
            put(out, key, laid(value, tree[key], inner_model(model, key)))
        else:
            put(out, key, value, usual.key_places[key])
    return out


def _copied_list(old: Seq) -> Seq:
    new = Seq(old)
    new.place = old.place
    return new


def _alone(name: str, change: Change) -> Map:
    holder = empty_map(change.place)
    put(holder, name, change.value, change.place)
    return holder


def paths_of(changes: Map, leave: Iterable[str] = ()) -> list[Change]:
    """Read a map of paths and values as changes."""
    return [
        Change(tuple(step.strip() for step in path.split(".")), value, changes.key_places[path])
        for path, value in changes.items()
        if path not in leave
    ]
