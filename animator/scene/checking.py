"""A tree of scene text -> checked scenes, one for the piece as drawn and one for each variant.

The order of complaints keeps echoes away: shapes first, then likenesses and copies, then each part's fields; names
are checked only when every part could be expanded, those of a part only when it could be read, and claims only when every
name is found.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, Field, ValidationError, model_validator

from animator.parts._contract import PARTS, Part, Rides, Turns
from animator.parts._fields import (
    TURNING_PART,
    Material,
    PartOf,
    Ref,
    Sentence,
    Size,
    Where,
    Words,
    Yes,
)
from animator.parts._views import stands_on
from animator.places import Map, Place, Seq, Text
from animator.problems import Problem, SceneError
from animator.registry import nearest
from animator.scene.claims import Claim, parse_claim
from animator.scene.expanding import (
    NAME,
    Change,
    Expansion,
    Written,
    copied,
    empty_map,
    is_none,
    laid,
    paths_of,
    put,
    take,
)
from animator.scene.mirroring import mirrored
from animator.scene.model import Frame, Scene
from animator.scene.shots import Event, RunLength, Shot, ShotText, When, shot, whens_of
from animator.scene.sound import SoundText, sound_of
from animator.scene.telling import THE_SCENE, tell
from animator.scene.views import check_views
from animator.units import Wrong, show, with_article

UNSAID_THICKNESS = (
    4.0  # mm; what a part is reckoned with that says no material, in the frame's stuff
)
OWN_KEYS = ("expect", "run", "shots")  # what a variant may say besides its changes
MOST_VARIANTS, MOST_CLAIMS, MOST_SHOTS = 40, 200, 60


class FrameText(Words):
    """The cabinet: ``width`` and ``height``, its ``material``, and ``lying: yes`` for a piece seen from above."""

    sample_text: ClassVar[str] = "{width: 200, height: 200}"
    says: ClassVar[Mapping[str, str]] = {
        "width": "how wide the cabinet is",
        "height": "how high it is",
        "material": "what it is made of; parts that say no material are reckoned in it",
        "lying": "yes: the piece lies flat and is seen from above",
    }

    width: Size = 200.0
    height: Size = 200.0
    material: Material | None = None
    lying: Yes = False


class Top(Words):
    """What a scene says at the top."""

    says: ClassVar[Mapping[str, str]] = {
        "title": "what the piece is called",
        "about": "a sentence about it",
        "maker": "whose work it is, for the storyboard's title block",
        "client": "for whom it is, for the same",
        "date": "the date on it, for the same, as you would write it",
        "frame": "the cabinet it stands in",
        "main_shaft": "the shaft whose degrees moments are told in; left out, the one the first drive turns",
        "unless_stated": "what all parts of a kind say unless they say otherwise",
        "parts": "name and description of each part",
        "run": "how long it runs",
        "expect": "what a run is held against, one claim a line",
        "variants": "name and changes of each variant",
        "shots": "name and description of each stretch of film",
        "sound": "an audio file that films let hear",
    }

    title: Sentence
    about: Sentence = ""
    maker: Sentence = ""
    client: Sentence = ""
    date: Sentence = ""
    frame: FrameText = FrameText()
    main_shaft: Annotated[Ref, PartOf("shaft")] | None = None
    unless_stated: Mapping[str, Any] = Field(default_factory=dict)
    parts: Mapping[str, Any]
    run: RunLength | None = None
    expect: tuple[Any, ...] = ()
    variants: Mapping[str, Any] = Field(default_factory=dict)
    shots: Mapping[str, ShotText] = Field(default_factory=dict)
    sound: SoundText | None = None

    @model_validator(mode="after")
    def _stays_small(self) -> Top:
        for key, said, most in (
            ("variants", self.variants, MOST_VARIANTS),
            ("expect", self.expect, MOST_CLAIMS),
            ("shots", self.shots, MOST_SHOTS),
        ):
            if len(said) > most:
                raise Wrong(f"{len(said)} of them are too many", f"at most {most}", key=key)
        return self


# ---------------------------------------------------------------- names
class Names:
    """Every part by its full name, and how a name is looked up from inside a group."""

    def __init__(
        self,
        parts: Mapping[str, Part],
        groups: Mapping[str, list[str]],
        unread: Collection[str] = (),
    ) -> None:
        self.parts, self.groups = parts, groups
        self.unread = unread
        """Parts that are there, but couldn't be read: nobody knows their kind or points."""
        self._points: dict[str, Mapping[str, Any]] = {}

    def points(self, name: str) -> Mapping[str, Any]:
        """Give a part's points, reckoned once."""
        if name not in self._points:
            self._points[name] = self.parts[name].points()
        return self._points[name]

    def find(self, text: str, scope: str = "") -> tuple[str, str] | tuple[None, str]:
        """Find a part and what follows its name ('' if nothing): first inside the group ``scope``, then outwards."""
        while True:
            full = scope + text
            if full in self.parts:
                return full, ""
            head, _, tail = full.rpartition(".")
            if head in self.parts:
                return head, tail
            known = next((each for each in (full, head) if each in self.unread), None)
            if known is not None:
                return known, ""
            if not scope:
                return None, ""
            scope = scope[:-1].rpartition(".")[0]
            scope += "." if scope else ""

    def nearest(self, text: str, scope: str = "") -> str | None:
        """Give the part or point that was probably meant."""
        names = [*self.parts, *self.unread]
        words = [
            *names,
            *(name[len(scope) :] for name in names if scope and name.startswith(scope)),
        ]
        points = [f"{name}.{point}" for name in self.parts for point in self.points(name)]
        return nearest(text, [*words, *points])

    def of_kinds(self, kinds: tuple[str, ...]) -> list[str]:
        """Give the names of all parts of some kinds, in file order."""
        return [name for name, part in self.parts.items() if is_wanted(part, kinds)]


def is_wanted(part: Part, kinds: tuple[str, ...]) -> bool:
    """Tell whether a part is of one of some kinds (none named: any)."""
    return not kinds or part.kind in kinds or (TURNING_PART in kinds and part.turns_freely)


def resolved(value: Any, look: Callable[[Ref], Ref]) -> Any:
    """Give a field's value with every reference in it looked up; what has none comes back as it is."""
    if isinstance(value, Ref):
        return look(value)
    if isinstance(value, Where):
        return value if value.ref is None else replace(value, ref=look(value.ref))
    if isinstance(value, BaseModel):
        fields = {name: getattr(value, name) for name in type(value).model_fields}
        found = {name: resolved(each, look) for name, each in fields.items()}
        changed = {name: each for name, each in found.items() if each is not fields[name]}
        return value.model_copy(update=changed) if changed else value
    if isinstance(value, dict):
        found = {key: resolved(each, look) for key, each in value.items()}
        return found if any(found[key] is not value[key] for key in value) else value
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        items = tuple(resolved(each, look) for each in value)
        return (
            items
            if any(new is not old for new, old in zip(items, value, strict=True))
            else value
        )
    return value


# ---------------------------------------------------------------- one scene
@dataclass
class _Check:
    """One variant on its way from tree to scene."""

    root: Map
    file: str
    folder: Path
    variant: str | None
    problems: list[Problem]
    taken: Mapping[str, Place]
    """Parts that the variant takes away, and where it says so."""

    def say(self, place: Place | None, what: str, write: str = "", more: str = "") -> None:
        self.problems.append(Problem(place or self.root.place, what, write, more))

    def scene(self, expansion: Expansion) -> Scene | None:
        """Check everything; None if anything is wrong."""
        top = self._top()
        flat = self._flat(expansion)
        if flat is None:
            return None
        parts = self._parts(expansion.flat, has_failed=not flat)
        if len(parts) < len(expansion.flat) or not flat:
            if flat:  # every name is known, so those that the sound parts say can be looked up
                unread = [name for name in expansion.flat if name not in parts]
                self._named(Names(parts, expansion.groups, unread), expansion)
            return None
        named = self._named(Names(parts, expansion.groups), expansion)
        if named is None:
            return None
        self._check_whole(named)
        if top is None:
            return None
        names = Names(named, expansion.groups)
        main = self._main_shaft(top, names)
        claims = self._claims(top, names)
        shots = self._shots(top, names)
        if self.problems:
            return None
        return self._assemble(top, named, expansion.flat, main, claims, shots)

    def _top(self) -> Top | None:
        try:
            return Top.model_validate(self.root, context={"folder": self.folder})
        except ValidationError as error:
            self.problems += tell(error, Top, self.root, self.root.place, THE_SCENE)
            return None

    def _flat(self, expansion: Expansion) -> bool | None:
        """Expand the parts; False if some of that failed, None if there is nothing to go on with."""
        parts = self.root.get("parts")
        if not isinstance(parts, Map):
            return None  # told by Top
        where = self.root.key_places["parts"]
        if not expansion.check_shapes(parts, where):
            return None
        if not parts:
            self.say(
                where, "a scene without parts", "'parts: {shaft: {kind: shaft, at: [100, 60]}}'"
            )
            return None
        stated = self._stated()
        before = len(self.problems)
        expansion.expand(parts, stated)
        return len(self.problems) == before

    def _stated(self) -> Map | None:
        """Check the defaults by themselves, so that a slip in them is told once and not for each part."""
        stated = self.root.get("unless stated")
        if not isinstance(stated, Map):
            return None
        sound = empty_map(stated.place)
        for kind, tree in stated.items():
            where = stated.key_places[kind]
            if kind not in PARTS:
                self._unknown_kind(kind, where)
            elif not isinstance(tree, Map):
                self.say(
                    where, f"'{kind}' says no defaults", f"'{kind}: {{material: birch ply 6}}'"
                )
            else:
                try:
                    PARTS[kind].model_validate(
                        {"kind": kind, **tree}, context={"folder": self.folder}
                    )
                except ValidationError as error:
                    first = [
                        each
                        for each in error.errors()
                        if each["loc"] and each["type"] != "missing"
                    ]
                    if first:
                        self.problems += tell(
                            error, PARTS[kind], tree, where, kind, skip_missing=True
                        )
                        continue
                put(sound, kind, tree, where)
        return sound

    def _unknown_kind(self, kind: str, place: Place) -> None:
        trade = {word: name for name, cls in PARTS.items() for word in cls.also_called}
        mend = trade.get(kind)
        if mend is None:
            near = nearest(kind, [*PARTS, *trade])
            mend = trade.get(near or "") or near
        self.say(
            place,
            f"no kind of part is called '{kind}'",
            f"'{mend}'" if mend else f"one of: {', '.join([*PARTS, 'group'])}",
        )

    def _parts(self, flat: Mapping[str, Written], *, has_failed: bool) -> dict[str, Part]:
        """Read every part; what couldn't be read is told and left out."""
        parts: dict[str, Part] = {}
        for name, written in flat.items():
            tree, kind = written.tree, written.tree.get("kind")
            if kind is None:
                if not has_failed:
                    self.say(
                        written.place, f"'{name}' doesn't say what kind it is", "'kind: ...'"
                    )
            elif not isinstance(kind, Text):
                self.say(
                    tree.key_places["kind"],
                    f"the kind of '{name}' is one or two words",
                    "for example 'kind: shaft'",
                )
            elif kind not in PARTS:
                self._unknown_kind(kind, kind.place)
            else:
                try:
                    part = PARTS[kind].model_validate(tree, context={"folder": self.folder})
                except ValidationError as error:
                    self.problems += tell(
                        error, PARTS[kind], tree, written.place, name, skip_missing=has_failed
                    )
                else:
                    parts[name] = part.model_copy(update={"name": name})
        return parts

    def _named(self, names: Names, expansion: Expansion) -> dict[str, Part] | None:
        """Look every reference up."""
        before = len(self.problems)
        parts = {}
        for name, part in names.parts.items():
            look = partial(
                self._look, names=names, scope=expansion.flat[name].scope, owner=name
            )
            parts[name] = resolved(part, look)
        if len(self.problems) > before or names.unread:
            return None
        for name in parts:
            for mirror in expansion.flat[name].mirrors:
                self._mirror(name, parts, names, mirror)
        return parts if len(self.problems) == before else None

    def _mirror(self, name: str, parts: dict[str, Part], names: Names, mirror: Any) -> None:
        about = mirror.about
        found = self._look(
            Ref(text=str(about), place=about.place, is_point=True), names, mirror.scope, name
        )
        if not found.part:
            return
        try:
            parts[name] = mirrored(parts[name], found, parts, mirror.since)
        except Wrong as wrong:
            self.say(about.place, f"'{name}': {wrong.what}", wrong.write)

    def _look(self, ref: Ref, names: Names, scope: str, owner: str) -> Ref:
        if ref.text == "frame" and ref.may_be_frame:
            return replace(ref, part="frame")
        name, point = names.find(ref.text, scope)
        if name is None:
            self._not_found(ref, names, scope, owner)
            return ref
        if name in names.unread:
            return ref  # told where it is written
        part = names.parts[name]
        points = names.points(name)
        if point and point not in points:
            said = ", ".join(f"{name}.{each}" for each in points)
            mend = nearest(point, points)
            self.say(
                ref.place,
                f"'{name}' has no point '{point}'",
                f"'{name}.{mend}'" if mend else f"one of: {said}",
            )
        elif not is_wanted(part, ref.wants):
            wants = " or ".join(map(with_article, ref.wants))
            there = [each for each in names.of_kinds(ref.wants) if each != owner]
            write = " or ".join(f"'{each}'" for each in _likeliest(ref.text, there))
            self.say(
                ref.place, f"'{name}' is {with_article(part.kind)}; here belongs {wants}", write
            )
        elif name == owner:
            self.say(ref.place, f"'{name}' can't stand on itself", "another part")
        elif ref.is_point and not part.has_places:
            self.say(
                ref.place,
                f"'{name}' is {with_article(part.kind)} and has no point that holds anything",
                "a point of another part",
            )
        else:
            return replace(ref, part=name, point=point or next(iter(points)))
        return ref

    def _not_found(self, ref: Ref, names: Names, scope: str, owner: str) -> None:
        gone = next(
            (name for name in self.taken if f"{ref.text}.".startswith(f"{name}.")), None
        )
        if gone is not None:
            self.say(
                self.taken[gone],
                f"'{owner}' needs '{ref.text}', which this takes away",
                f"'{owner}: none' as well, or another place for '{owner}'",
            )
        elif ref.text in names.groups:
            inner = names.groups[ref.text]
            self.say(
                ref.place,
                f"'{ref.text}' is a group; here belongs one part",
                " or ".join(f"'{each}'" for each in _likeliest("", inner)),
            )
        elif ref.text == "frame":
            self.say(
                ref.place,
                "'frame' can't stand here",
                "a pin 'at' a place of the frame, and the pin's name",
            )
        elif ref.text == "drive":
            self.say(
                ref.place, "'drive' stands only in 'expect'", "the handle's or motor's own name"
            )
        else:
            mend = names.nearest(ref.text, scope)
            wanted = (
                []
                if mend
                else _likeliest(ref.text, names.of_kinds(ref.wants))
                if ref.wants
                else []
            )
            write = f"'{mend}'" if mend else " or ".join(f"'{each}'" for each in wanted)
            self.say(ref.place, f"no part is called '{ref.text}'", write)

    # ------------------------------------------------------------ what only shows when all parts are known
    def _check_whole(self, parts: Mapping[str, Part]) -> None:
        self._check_circles(parts)
        driven: dict[str, str] = {}
        for name, part in parts.items():
            if not part.is_drive:
                continue
            held = part.held()
            shaft = held.on.part if isinstance(held, Rides) else ""
            if shaft in driven:
                self.say(
                    held.on.place if isinstance(held, Rides) else None,
                    f"'{driven[shaft]}' and '{name}' both turn '{shaft}'",
                    "one of them, or 'none' for the other in a variant",
                )
            driven[shaft] = name
        if not self.problems:
            check_views(parts, self.say)
        if not any(part.moves_alone for part in parts.values()):
            self.say(
                self.root.key_places["parts"], "nothing turns this piece", _handle_for(parts)
            )

    def _check_circles(self, parts: Mapping[str, Part]) -> None:
        """Find parts that stand on one another in a circle."""
        stands = {name: list(stands_on(part)) for name, part in parts.items()}
        state: dict[str, int] = {}
        for start in parts:
            path = [start]
            while path:  # depth first, without recursion
                name = path[-1]
                state[name] = 1
                following = next(
                    (
                        ref
                        for ref in stands[name]
                        if ref.part in parts and state.get(ref.part, 0) < 2
                    ),
                    None,
                )
                if following is None:
                    state[name] = 2
                    path.pop()
                elif state.get(following.part) == 1:
                    circle = [*path[path.index(following.part) :], following.part]
                    self.say(
                        following.place,
                        f"these stand on one another in a circle: {', '.join(circle)}",
                        "a place on the frame for one of them, '[120, 90]'",
                    )
                    stands[name].remove(following)
                else:
                    path.append(following.part)

    def _main_shaft(self, top: Top, names: Names) -> str | None:
        if top.main_shaft is not None:
            return self._look(top.main_shaft, names, "", "").part or None
        for part in names.parts.values():
            held = part.held() if part.is_drive else None
            if isinstance(held, Rides):
                return held.on.part
        return None

    def _claims(self, top: Top, names: Names) -> tuple[Claim, ...]:
        claims = []
        for text in top.expect:
            if not isinstance(text, Text):
                place = getattr(text, "place", None)
                self.say(
                    place,
                    "an expectation is one line of text",
                    "for example '- ram.travel >= 30'",
                )
                continue
            claim = parse_claim(text, names)
            if isinstance(claim, Problem):
                self.problems.append(claim)
                continue
            for moment in (claim.start, claim.end):
                if moment is not None and moment.mark:
                    self._check_mark(top, moment.mark, _within(text, moment.text))
            claims.append(claim)
        return tuple(claims)

    def _shots(self, top: Top, names: Names) -> dict[str, Shot]:
        made = {}
        for name, text in top.shots.items():
            on: list[str] = []
            for ref in text.on:
                if ref.text in names.groups:
                    on += names.groups[ref.text]
                else:
                    on.append(self._look(replace(ref, wants=()), names, "", "").part)
            follow = None
            if text.follow is not None:
                ref = self._look(text.follow, names, "", "")
                is_point = bool(names.find(text.follow.text)[1])
                follow = ref.part, ref.point if is_point else ""
            whens: dict[When, When] = {}
            for when in whens_of(text):
                if not isinstance(when, Event):
                    continue
                if when.of is not None:
                    part = self._look(when.of, names, "", "").part
                    whens[when] = replace(when, part=part)
                if when.mark and when.place is not None:
                    self._check_mark(top, when.mark, when.place)
            place = self.root["shots"].key_places[name]
            made[name] = shot(name, text, tuple(on), place, follow, whens)
        return made

    def _check_mark(self, top: Top, mark: str, place: Place) -> None:
        marks = top.sound.marks if top.sound is not None else {}
        if mark in marks:
            return
        if not marks:
            self.say(
                place,
                f"there is no mark '{mark}': no sound of this scene has marks",
                f"'sound: {{file: round.wav, marks: {{{mark}: 0.4 s}}}}'",
            )
            return
        mend = nearest(mark, marks)
        said = ", ".join(f"'mark {each}'" for each in marks)
        self.say(
            place,
            f"the sound has no mark '{mark}'",
            f"'mark {mend}'" if mend else f"one of: {said}",
        )

    def _assemble(
        self,
        top: Top,
        parts: dict[str, Part],
        flat: Mapping[str, Written],
        main: str | None,
        claims: tuple[Claim, ...],
        shots: Mapping[str, Shot],
    ) -> Scene:
        stuff = top.frame.material
        frame = Frame(
            top.frame.width,
            top.frame.height,
            stuff.name if stuff else Frame.stuff,
            (stuff and stuff.size) or Frame.thickness,
            top.frame.lying,
        )
        unsaid = [
            name
            for name, part in parts.items()
            if part.material is None
            and part.mass is None
            and part.has_places
            and not part.is_drive
        ]
        notes = []
        if unsaid:
            notes.append(
                f"No material said for {', '.join(unsaid)}: {frame.stuff} of {show(UNSAID_THICKNESS, 'length')} was taken, the frame's stuff."
            )
        return Scene(
            file=self.file,
            title=top.title,
            about=top.about,
            maker=top.maker,
            client=top.client,
            date=top.date,
            frame=frame,
            parts=parts,
            main_shaft=main,
            run=top.run,
            claims=claims,
            shots=shots,
            variant=self.variant,
            tree=self.root,
            folder=self.folder,
            sound=None if top.sound is None else sound_of(top.sound, self.folder),
            written={name: each.tree for name, each in flat.items()},
            assumptions=tuple(notes),
        )


def _within(text: Text, bit: str) -> Place:
    """Give the place of the last stretch of a text that reads so."""
    start, place = text.rfind(bit), text.place
    if start < 0 or start + len(bit) > place.length:
        return place
    return replace(place, column=place.column + start, length=len(bit))


def _likeliest(text: str, names: list[str], most: int = 6) -> list[str]:
    """Give the names to propose: all if they are few, else those nearest to what was written."""
    return names if len(names) <= most else difflib.get_close_matches(text, names, most, 0.0)


def _handle_for(parts: Mapping[str, Part]) -> str:
    turning = (name for name, part in parts.items() if isinstance(part.held(), Turns))
    shaft = next(turning, "SHAFT")
    return f"'handle: {{kind: handle, on: {shaft}, speed: 40 rpm}}'"


# ---------------------------------------------------------------- a scene and its variants
def check(
    root: Map,
    file: str,
    slips: Iterable[Problem] = (),
    changes: Iterable[Change] = (),
    only: tuple[str | None] | None = None,
    folder: Path = Path(),
) -> dict[str | None, Scene]:
    """Check a scene and all its variants at once.

    Parameters
    ----------
    root
        The whole text as a tree.
    file
        What the scene's file is called in reports.
    slips
        What was wrong with the text itself.
    changes
        Further changes, laid over each variant.
    only
        The one variant to check (None: as drawn); left out, all of them, and the piece as drawn under None.
    folder
        Where the scene's file lies: the files it names are looked for there.

    Raises
    ------
    SceneError
        Every problem of every variant, once each, in file order.
    """
    problems = list(slips)
    scenes: dict[str | None, Scene] = {}
    for name, tree in _variants(root, problems).items():
        if only is not None and name not in only:
            continue
        found: list[Problem] = []
        scene = _one(root, name, tree, tuple(changes), file, folder, found)
        problems += found
        if scene is not None:
            scenes[name] = scene
    if problems:
        raise SceneError(once(problems))
    return scenes


def once(problems: Iterable[Problem]) -> list[Problem]:
    """Leave out what is said twice of one place, for copies and variants that share a text."""
    said: dict[tuple[Any, ...], Problem] = {}
    for problem in problems:
        place = problem.place
        said.setdefault(
            (
                place.file,
                place.line,
                place.column,
                place.length,
                problem.what.rpartition("' ")[2],
            ),
            problem,
        )
    return list(said.values())


def _variants(root: Map, problems: list[Problem]) -> dict[str | None, Map]:
    trees: dict[str | None, Map] = {None: empty_map(root.place)}
    variants = root.get("variants")
    if not isinstance(variants, Map):
        return trees  # a list or a text here is told by Top
    for name, tree in list(variants.items())[:MOST_VARIANTS]:
        where = variants.key_places[name]
        if not NAME.fullmatch(name) or len(name) > 60:
            problems.append(
                Problem(
                    where,
                    f"a variant can't be called '{name}'",
                    "a name of letters, figures, spaces and hyphens that begins with a letter",
                )
            )
        if isinstance(tree, Text) and not tree:
            tree = empty_map(where)
        if isinstance(tree, Map):
            trees[name] = tree
        else:
            problems.append(
                Problem(
                    where,
                    f"'{name}' wants paths and values in braces",
                    f"'{name}: {{handle.speed: 60 rpm}}'",
                )
            )
    return trees


def _lay_own(whole: Map, key: str, value: Any, place: Place) -> None:
    """Lay a variant's own claims, run or shots over the scene's: claims are added, the others replace."""
    if is_none(value):
        take(whole, key)
    elif key == "expect" and isinstance(value, Seq) and isinstance(whole.get(key), Seq):
        both = Seq([*whole[key], *value])
        both.place = value.place
        put(whole, key, both, place)
    else:
        put(whole, key, value, place)


def _one(
    root: Map,
    name: str | None,
    tree: Map,
    more: tuple[Change, ...],
    file: str,
    folder: Path,
    problems: list[Problem],
) -> Scene | None:
    whole = copied(root)
    expansion = Expansion(problems)
    changes = [*paths_of(tree, OWN_KEYS), *more]
    if changes:
        if not expansion.check_shapes(
            root.get("parts"), root.key_places.get("parts", root.place)
        ):
            return None
        put(whole, "parts", copied(root["parts"]))
    for change in changes:
        if not all(change.steps):
            problems.append(
                Problem(
                    change.place,
                    "a path is names joined by dots",
                    "for example 'lifter.guide.length'",
                )
            )
        elif change.steps[0] == "frame" and len(change.steps) > 1:
            frame = empty_map(change.place)
            put(frame, ".".join(change.steps[1:]), change.value, change.place)
            put(
                whole,
                "frame",
                laid(whole.get("frame", empty_map(change.place)), frame),
                change.place,
            )
        else:
            expansion.apply(whole["parts"], change)
    for key in OWN_KEYS:
        if key in tree:
            _lay_own(whole, key, tree[key], tree.key_places[key])
    if problems:
        return None
    taken = {
        change.steps[0]: change.place
        for change in changes
        if len(change.steps) == 1 and is_none(change.value)
    }
    return _Check(whole, file, folder, name, problems, taken).scene(expansion)
