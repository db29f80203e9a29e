"""Where everything starts: loops closed from their dimensions, fitted lengths measured, the turn tried once round.

What can't be put together, or comes apart within one turn, is told at the dimension that would mend it, with the nearest value that does.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from animator.geometry import Pose
from animator.parts._contract import Floats, Part, Slides, Spans, Still, Turns
from animator.parts._fields import SIDES
from animator.parts._slot import Beyond
from animator.places import Map
from animator.problems import Problem, SceneError
from animator.trains import spacing
from animator.units import Wrong
from animator.world.fitting import Course, misfits, moment, outfit, plain, steps_of
from animator.world.linkage import (
    Beside,
    Block,
    End,
    Exhausted,
    Linkage,
    Tangle,
    Tie,
    Unled,
    wrap,
)
from animator.world.proportions import Meets, why_not_round

if TYPE_CHECKING:
    from animator.scene.model import Scene

COARSE = math.radians(10)  # between positions tried for advice; the answer is tried finely
HALVINGS = 10
EFFORT = 250  # large blocks closed for the sake of advice; about a third of a second
LENGTHENED = (1.15, 1.3, 1.5, 1.75, 2.0, 2.5, 3.0)  # of an arm that no rod alone can serve
WIDEN = 1.4  # each further try of a dimension goes so much farther from the written one
# A rod is the cheapest part to cut again, then an arm.
COST: Mapping[str, float] = {"length": 1.0, "arms": 1.5}


def assemble(scene: Scene) -> Scene:
    """Put a scene together.

    Parameters
    ----------
    scene
        As read: checked, references resolved, lengths perhaps still ``fitted``.

    Returns
    -------
    Scene
        The same scene with nothing fitted any more and ``starts``, the pose of every part that has one.

    Raises
    ------
    SceneError
        Something can't be put together, comes apart within one turn, or is in the way of something else.
    """
    scene = replace(scene, parts=_set_apart(scene.parts))
    problems = list(_misplaced(scene))
    if problems:
        raise SceneError(problems)
    linkage = Linkage(scene.parts)
    course = Course(linkage)
    unfit: dict[tuple[str, str], tuple[float, Problem]] = {}

    meets = Meets(linkage)

    def visit(turned: float) -> None:
        course.visit(turned)
        meets.visit(turned)
        for name, part in linkage.parts.items():
            for wrong in part.misfits(linkage):
                amount = wrong.amount if isinstance(wrong, Beyond) else 0.0
                if (name, wrong.key) not in unfit or amount > unfit[name, wrong.key][0]:
                    unfit[name, wrong.key] = amount, _told(scene, linkage, name, wrong)

    try:
        for name in linkage.parts:
            linkage.pose(name)
        problems += _unfitted(scene, linkage)
        if problems:
            raise SceneError(problems)
        _hang_loose(linkage)
        failed = linkage.start()
        if failed is not None:
            raise SceneError([_complain(scene, linkage, *failed, None)])
        _hang_loose(linkage)  # again, from where what carries it has come to stand
        notes = list(_notes(scene, linkage))
        around = linkage.go_round(visit) if linkage.driven else None
        if around is not None:
            raise SceneError([_complain(scene, linkage, *around)])
        if not linkage.driven:
            visit(0.0)
    except Tangle as tangle:
        raise SceneError([_tangled(scene, tangle.name)]) from None
    except Beside as beside:
        raise SceneError([_beside(scene, linkage, beside.name)]) from None
    except Unled as unled:
        raise SceneError([_told(scene, linkage, unled.name, unled.wrong)]) from None
    problems += misfits(scene, linkage, course)
    problems += (problem for _, problem in unfit.values())
    if problems:
        raise SceneError(problems)
    for name, part in list(linkage.parts.items()):
        fitted, sentences = part.suited(linkage)
        if fitted is not part:
            linkage.alter(name, fitted)
        notes += sentences
    notes += meets.notes()
    more = outfit(scene, linkage, course)
    starts = {
        name: linkage.pose(name)
        for name, held in linkage.held.items()
        if not isinstance(held, Spans)
    }
    _rest(linkage, starts, course)
    return scene.assembled(linkage.parts, starts, tuple(notes) + more)


def _set_apart(parts: Mapping[str, Part]) -> dict[str, Part]:
    """Set what stands on a side of something as far from it as their wheels ask for."""
    found = dict(parts)
    for name, part in parts.items():
        held = part.held()
        where = held.at if isinstance(held, (Still, Turns, Slides)) else None
        if where is None or not where.fitted_side or where.ref is None:
            continue
        asked = spacing(parts, where.ref.part, name)
        if asked is not None:
            right, up = SIDES[where.fitted_side]
            offset = right * asked.distance, up * asked.distance
            stands = replace(where, offset=offset, fitted_side="")
            if hasattr(part, "at"):
                found[name] = part.model_copy(update={"at": stands})
            elif hasattr(part, "guide"):
                guide = part.guide.model_copy(update={"at": stands})
                found[name] = part.model_copy(update={"guide": guide})
    return found


def _told(scene: Scene, linkage: Linkage, name: str, wrong: Wrong) -> Problem:
    """Tell at its place what a part finds wrong, and when in the turn if not at once."""
    what = wrong.what
    if linkage.turned:
        what += f" {moment(linkage.parts, linkage.turned)}"
    return Problem(scene.place_of(name, wrong.key), what, wrong.write, wrong.more)


def _rest(linkage: Linkage, starts: dict[str, Pose], course: Course) -> None:
    """Set the collars that carry something; stand it on its collar where the cam is lower, and whatever rides on it with it."""
    parts = linkage.parts
    for name, part in list(parts.items()):
        rests = getattr(part, "rests", None)
        if rests is None or name not in course.low:
            continue
        lifted = course.low[name][0] + rests - course.first[name]
        seat_height = starts[name].y + lifted - linkage.place(name)[1]
        parts[name] = part.model_copy(update={"seat_height": seat_height})
        if lifted > 0:
            held = part.held()
            assert isinstance(held, Slides)
            dx, dy = lifted * math.cos(held.direction), lifted * math.sin(held.direction)
            for other in _riders(parts, name):
                if other in starts:
                    starts[other] = Pose(
                        starts[other].x + dx, starts[other].y + dy, starts[other].angle
                    )


def _riders(parts: Mapping[str, Part], name: str) -> list[str]:
    found = [name]
    for other, part in parts.items():
        on = getattr(part, "on", None)
        if on is not None and on.part in found and other not in found:
            found.append(other)
    return found


# ---------------------------------------------------------------- places that make no sense
def _misplaced(scene: Scene) -> Iterator[Problem]:
    for name, part in scene.parts.items():
        held = part.held()
        around = getattr(part, "around", ())
        for wheel in around if len(around) == 2 else ():  # of more, one may be a tensioner
            if wheel.part in scene.parts and not _is_still(scene, wheel.part, wheel.point):
                yield Problem(
                    scene.place_of(name, "around"),
                    f"'{wheel.text}' would move about with what carries it; the wheels of '{name}' stand in the frame",
                    "a shaft with its own place, for example 'at: [60, 80]'",
                )
        if not isinstance(held, (Still, Turns, Slides)):
            continue
        where = held.at
        field = "guide.at" if isinstance(held, Slides) else "at"
        place = where.place or scene.place_of(name, field)
        if where.fitted_side and where.ref is not None:
            word = (
                where.fitted_side
                if where.fitted_side in ("above", "below", "before", "behind")
                else f"{where.fitted_side} of"
            )
            yield Problem(
                place,
                f"nothing says how far {word} '{where.ref.text}' '{name}' stands",
                f"'{field.rpartition('.')[2]}: 48 {word} {where.ref.text}'",
            )
        elif (
            isinstance(held, Slides)
            and where.ref is not None
            and not any(where.offset)
            and not _is_still(scene, where.ref.part, where.ref.point)
        ):
            yield Problem(
                place,
                f"the guide of '{name}' would move with '{where.ref.text}'; a guide stands in the frame",
                f"a place, for example 'at: [60, 80]' or 'at: 40 above {where.ref.part}'",
            )


def _is_still(scene: Scene, part: str, point: str, depth: int = 0) -> bool:
    """Tell whether a point stands still whatever turns."""
    if part not in scene.parts or depth > len(scene.parts):
        return True
    owner = scene.parts[part]
    held, points = owner.held(), owner.points()
    local = points[point] if point else next(iter(points.values()))
    if isinstance(held, Still):
        return (
            held.at.ref is None
            or any(held.at.offset)
            or _is_still(scene, held.at.ref.part, held.at.ref.point, depth + 1)
        )
    if isinstance(held, Turns):
        return math.hypot(*local) < 1e-9 and (
            held.at.ref is None
            or any(held.at.offset)
            or _is_still(scene, held.at.ref.part, held.at.ref.point, depth + 1)
        )
    if isinstance(held, (Slides, Floats, Spans)):
        return False
    if held.on.part not in scene.parts:
        return True
    return math.hypot(
        local[0] + held.offset[0], local[1] + held.offset[1]
    ) < 1e-9 and _is_still(scene, held.on.part, held.on.point, depth + 1)


def _tangled(scene: Scene, name: str) -> Problem:
    for field in ("at", "guide.at", "on", "from"):
        place = scene.place_of(name, field)
        if place != scene.place_of(name):
            break
    return Problem(
        place,
        f"'{name}' stands on something that stands on '{name}'",
        "a place of the frame, for example '[60, 80]'",
    )


def _beside(scene: Scene, linkage: Linkage, name: str) -> Problem:
    held = linkage.held[name]
    assert isinstance(held, Slides)
    assert held.follows is not None
    cam = held.follows.part
    axis, (x, y) = linkage.pose(cam), linkage.place(name)
    aside = (x - axis.x) * math.sin(held.direction) - (y - axis.y) * math.cos(held.direction)
    is_offset = abs(held.offset) > 0
    what = f"the line of '{name}' passes {abs(aside + held.offset):g} mm beside the middle of '{cam}', too far to rest on it"
    if is_offset and abs(aside) < abs(aside + held.offset):
        return Problem(
            scene.place_of(name, "offset"), what, "'offset: 0', or less than the cam is large"
        )
    at = held.at
    place = at.place or scene.place_of(name, "guide.at")
    words = steps_of(at, -aside * math.sin(held.direction), aside * math.cos(held.direction))
    return Problem(place, what, f"'{name}.guide.at: {words}'")


def _unfitted(scene: Scene, linkage: Linkage) -> Iterator[Problem]:
    """Cranks that nothing measures, and weights that hang on nothing."""
    asked = {name for part in linkage.parts.values() for name, _, _ in part.fits(linkage)}
    for name, part in linkage.parts.items():
        if getattr(part, "radius", None) == "fitted" and name not in asked:
            rods = [
                rod
                for rod, ends in linkage.rods.items()
                if any(end.part == name for end in ends)
            ]
            place = scene.place_of(name, "radius")
            if not rods:
                yield Problem(
                    place,
                    f"nothing says how long '{name}' is: no rod hangs on its pin",
                    f"'{name}.radius: 20'",
                )
            elif all(linkage.length(rod) is None for rod in rods):
                yield Problem(
                    place,
                    f"both '{name}' and '{rods[0]}' are fitted to each other",
                    f"'{name}.radius: 20', and '{rods[0]}' is cut to suit",
                )
        if name in linkage.loose() and _spring_of(linkage, name) is None:
            yield Problem(
                scene.place_of(name),
                f"'{name}' hangs on nothing",
                "'on:' a point or 'at:' a place, or let a rod or a spring end at it",
            )


def _spring_of(linkage: Linkage, name: str) -> tuple[str, End] | None:
    """Find a spring that ends at a loose part, and its other end."""
    for spring, held in linkage.held.items():
        if isinstance(held, Spans):
            part = linkage.parts[spring]
            ends = [getattr(part, "from_", None), getattr(part, "to", None)]
            for here, there in (ends, ends[::-1]):
                if (
                    here is not None
                    and there is not None
                    and here.part == name
                    and there.part != name
                ):
                    return spring, End(there.part, there.point)
    return None


def _hang_loose(linkage: Linkage) -> None:
    """Hang what only a spring holds straight below the spring's other end."""
    for name in linkage.loose():
        found = _spring_of(linkage, name)
        if found is not None:
            x, y = linkage.point(found[1].part, found[1].point)
            own = linkage.parts[found[0]].hung(linkage, name)
            linkage.joints[name] = own or (
                x,
                y - (getattr(linkage.parts[found[0]], "free_length", None) or 30.0),
            )
            linkage.turn(0.0)


# ---------------------------------------------------------------- which dimension can't close
def _complain(
    scene: Scene, linkage: Linkage, block: Block, open_by: float, turned: float | None
) -> Problem:
    """Tell a loop that can't close, and the dimensions that would mend it, rods first."""
    rods = linkage.members(block)
    rod = next(
        (
            rod
            for rod in rods
            if linkage.length(rod) is not None
            and getattr(scene.parts[rod], "length", None) != "fitted"
        ),
        rods[0],
    )
    when = moment(linkage.parts, turned or 0.0)
    mends = sorted(_mends(scene, block), key=lambda mend: mend[0])
    chain = _chain(linkage, block)
    extra = next((linkage.ties[tie] for tie in block.ties if linkage.ties[tie].at), None)
    if extra is not None and not mends:
        return _off_its_pin(scene, linkage, extra, open_by, when)
    if not block.unknowns and turned is None:
        near, tip = linkage.rods[rod]
        apart = math.dist(
            linkage.point(near.part, near.point), linkage.point(tip.part, tip.point)
        )
        what = f"'{rod}' is {linkage.length(rod):g} mm long, but its ends stand {apart:.2f} mm apart and nothing there can give way"
        return Problem(
            scene.place_of(rod, "length"),
            what,
            f"'{rod}.length: {round(apart, 2):g}' or '{rod}.length: fitted'",
        )
    where = (mends[0][1], mends[0][2]) if mends else (rod, "length")
    written = " or ".join(
        f"'{name}.{path}: {rewritten(scene, name, path, value)}' (now {_now(scene, name, path, was)})"
        for _, name, path, was, value in mends[:3]
    )
    if not written:
        written = _pair(scene, block) or "other places for its pivots"
    return Problem(
        scene.place_of(*where),
        f"'{rod}' can't close {when}: {max(open_by, 0.01):.2f} mm stay open",
        written,
        "; ".join(
            filter(None, ("the loop: " + ", ".join(chain), why_not_round(linkage, block)))
        ),
    )


def _off_its_pin(
    scene: Scene, linkage: Linkage, tie: Tie, open_by: float, when: str
) -> Problem:
    """Tell a hole of a plate that doesn't meet what it is pinned to, and where it would."""
    assert tie.at is not None
    pose = linkage.pose(tie.part)
    x, y = linkage.point(tie.at.part, tie.at.point)
    dx, dy = x - pose.x, y - pose.y
    c, s = math.cos(pose.angle), math.sin(pose.angle)
    there = c * dx + s * dy, -s * dx + c * dy
    name = f"{tie.at.part}.{tie.at.point}" if tie.at.point else tie.at.part
    return Problem(
        scene.place_of(tie.part, f"holes.{tie.hole}"),
        f"the hole '{tie.hole}' of '{tie.part}' stands {open_by:.2f} mm from '{name}' {when}, and nothing there can give way",
        f"'{tie.part}.holes.{tie.hole}: [{plain(there[0])}, {plain(there[1])}]'"
        if when == "at the start"
        else f"two pins for '{tie.part}', or a rod between the third hole and '{name}'",
        "two pins hold a plate; a third one only fits where it goes along by itself",
    )


def rewritten(scene: Scene, name: str, path: str, value: float) -> str:
    """Write a dimension the way it stands in the scene: an arm keeps its direction (``40 up`` -> ``60.5 up``), a hole is a place."""
    node: Any = scene.written.get(name)
    field, _, key = path.partition(".")
    for step in filter(None, (field, key)):
        node = node.get(step) if isinstance(node, Map) else None
    if isinstance(node, list):
        x, y = getattr(scene.parts[name].with_dimension(path, value), field)[key]
        return f"[{plain(x)}, {plain(y)}]"
    way = re.search(r" (right|up|left|down|at \S.*)$", node) if isinstance(node, str) else None
    return f"{value:g}{way[0] if way else ''}"


def _now(scene: Scene, name: str, path: str, was: float) -> str:
    """Write what stands there now: a hole as a place, anything else as a length."""
    text = rewritten(scene, name, path, was)
    return text if text.startswith("[") else f"{was:g}"


def _chain(linkage: Linkage, block: Block) -> list[str]:
    """Names of the parts of a loop: its rods, then what they move."""
    found = linkage.members(block)
    found += [name for name in block.unknowns if name in linkage.parts and name not in found]
    return found


def _mends(scene: Scene, block: Block) -> Iterator[tuple[float, str, str, float, float]]:
    """Let one dimension of a loop give way at a time, until the piece goes round: (cost, part, path, now, then)."""
    linkage, effort = Linkage(scene.parts), [EFFORT]
    seen: set[tuple[str, str]] = set()
    for rod in linkage.members(block):
        ends = linkage.rods[rod]
        for name, point in [(rod, "")] + [(end.part, end.point) for end in ends]:
            if name not in linkage.parts:
                continue
            for path, now in linkage.parts[name].dimensions().items():
                is_meant = (
                    name == rod
                    or path == f"{path.partition('.')[0]}.{point}"
                    or (path == "radius" and point == "pin")
                    or (path == "length" and point == "tip")
                )
                if not is_meant or (name, path) in seen or now <= 0:
                    continue
                seen.add((name, path))
                value = _nearest_closing(scene, name, path, now, effort)
                if value is not None:
                    yield (
                        abs(value / now - 1) * COST.get(path.partition(".")[0], 2.0),
                        name,
                        path,
                        now,
                        value,
                    )


def _pair(scene: Scene, block: Block) -> str:
    """Two dimensions that together let a piece go round when none does alone: an arm made longer step by step, and its rod cut to it."""
    linkage, effort = Linkage(scene.parts), [EFFORT]
    for rod in linkage.members(block):
        cuts = linkage.parts[rod].dimensions()
        for end in linkage.rods[rod] if cuts else ():
            own, length = next(iter(cuts.items()))
            path = f"arms.{end.point}"
            if (
                end.part not in block.unknowns
                or end.part not in linkage.parts
                or path not in linkage.parts[end.part].dimensions()
            ):
                continue
            now = linkage.parts[end.part].dimensions()[path]
            for times in LENGTHENED:
                value = math.ceil(now * times)
                parts = {
                    **scene.parts,
                    end.part: scene.parts[end.part].with_dimension(path, value),
                }
                cut = _nearest_closing(replace(scene, parts=parts), rod, own, length, effort)
                if cut is not None:
                    arm = rewritten(scene, end.part, path, value)
                    bar = rewritten(scene, rod, own, cut)
                    return f"'{end.part}.{path}: {arm}' (now {now:g}) and '{rod}.{own}: {bar}' (now {_now(scene, rod, own, length)})"
    return ""


def _nearest_closing(
    scene: Scene, name: str, path: str, now: float, effort: list[int]
) -> float | None:
    """Value nearest to the written one with which everything closes all the way round, on half millimetres outward. [mm]"""

    def closes(value: float, step: float = COARSE) -> bool:
        trial = Linkage(
            {**scene.parts, name: scene.parts[name].with_dimension(path, value)}, effort
        )
        try:
            _hang_loose(trial)
            return trial.start() is None and (
                not trial.driven or trial.go_round(step=step) is None
            )
        except (Beside, Exhausted, Unled):
            return False

    reach = 0.5
    last = {1: now, -1: now}
    while reach < 3 * now and effort[0] > 0:
        for way in (1, -1):
            value = now + way * reach
            if not now / 4 < value < now * 4:
                continue
            if not closes(value):
                last[way] = value
                continue
            shut, open_ = value, last[way]
            for _ in range(HALVINGS):
                middle = (shut + open_) / 2
                shut, open_ = (middle, open_) if closes(middle) else (shut, middle)
            rounded = (math.ceil if way > 0 else math.floor)(round(shut * 2, 6)) / 2
            return next(
                (
                    value
                    for value in (rounded, rounded + way * 0.5, shut)
                    if value > 0 and closes(value, math.radians(5))
                ),
                None,
            )
        reach *= WIDEN
    return None


# ---------------------------------------------------------------- what was decided
def _notes(scene: Scene, linkage: Linkage) -> Iterator[str]:
    for name, length in linkage.fitted.items():
        yield (
            f"{name} is cut to {length:.2f} mm"
            if name in linkage.rods
            else f"{name} is made {length:.2f} mm long"
        )
    for block in linkage.started:
        if block.choices > 1 and not any(
            getattr(linkage.parts[rod], "knee", None) for rod in linkage.members(block)
        ):
            yield f"{linkage.members(block)[0]} could close two ways; taken is the one nearer the drawing ('knee' says otherwise)"
    for name, held in linkage.held.items():
        if (
            isinstance(held, Turns)
            and name in linkage.values
            and name not in linkage.led
            and name not in linkage.threaded
            and name not in linkage.led
            and abs(wrap(linkage.values[name] - linkage.drawn[name])) > math.radians(0.05)
        ):
            way = wrap(linkage.values[name] - linkage.drawn[name])
            yield f"{name} starts {abs(math.degrees(way)):.1f} degrees {'anticlockwise' if way > 0 else 'clockwise'} of where it is drawn"
