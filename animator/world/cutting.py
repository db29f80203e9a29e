"""Cams that can't be cut or followed as they are asked for, and the nearest ones that can: each mend is laid out and checked before it is told."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from animator import outlines
from animator.outlines import Lift, Tip, Way
from animator.outlines.loudness import openings
from animator.parts._contract import Slides
from animator.problems import Problem

if TYPE_CHECKING:
    from animator.scene.model import Scene
    from animator.world.linkage import Linkage

STEEPEST = math.radians(
    60
)  # the push aside is then 1.7 times that along the way: nothing follows
GENTLE = math.radians(
    45
)  # the usual limit of swinging followers (Norton; Rothbart; from memory); what a mend must keep to
LARGEST = 5.0  # times the base radius; a larger cam is another piece
YOKE_PLAY = 0.2  # mm; what a yoke is made wider than its cam
LOOSE = 0.5  # mm; a yoke that may rattle more than this at some angle knocks
PARTS_OF_TURN = 720


def riding(linkage: Linkage, name: str) -> tuple[Way, Tip, str] | None:
    """How a follower or a lever stands to the cam it follows, its tip, and the cam's name; None for what follows none."""
    part: Any = linkage.parts[name]
    held = linkage.held[name]
    if isinstance(held, Slides) and held.follows is not None:
        stance, tip, _ = linkage.stance(name)
        return stance, tip, held.follows.part
    if getattr(part, "by", None) is not None:
        cam = part.follows.part
        axis = linkage.pose(cam)
        pivot = linkage.place(name)
        return (
            outlines.swing_of(linkage.parts, name, (axis.x, axis.y), pivot),
            outlines.tip_of(part),
            cam,
        )
    return None


def uncuttable(scene: Scene, linkage: Linkage, name: str) -> Iterator[Problem]:
    """Insist that a cam's first follower can follow it: that it fits its groove or yoke, feels every bend, isn't pushed too far askew, and reaches where it is touched."""
    found = riding(linkage, name)
    if found is None:
        return
    stance, tip, cam_name = found
    cam: Any = linkage.parts[cam_name]
    misfit = _in_groove(scene, name, cam, tip) or _in_yoke(scene, name, cam, tip, stance)
    if misfit is not None:
        yield misfit
        return
    if outlines.first_follower(linkage.parts, cam_name) != name or cam.drop:
        return
    lift = outlines.lift_of(cam)
    if lift is None:
        return
    if cam.groove:
        tip = tip._replace(wall=cam.groove.width / 2)
    try:
        bend = outlines.undercut(lift, cam.base_radius, tip, stance)
        steep = outlines.steepest(lift, cam.base_radius, tip, stance)
    except ValueError:  # its lever says so
        return
    is_new = bool(cam.poses or cam.loudness) or not isinstance(linkage.held[name], Slides)
    if bend is not None:
        yield _folded(scene, linkage, name, cam, tip, stance, lift, bend)
    elif is_new and not lift.corners and abs(steep[1]) > STEEPEST:
        yield Problem(
            _place(scene, cam),
            f"'{cam.name}' is too steep for '{name}': at {math.degrees(steep[0]):.0f} degrees of its turn it would push {math.degrees(abs(steep[1])):.0f} degrees askew",
            _mends(cam, tip, stance, lift, GENTLE),
            f"with the push so far aside nothing is lifted; up to {math.degrees(GENTLE):.0f} degrees is usual",
        )
    elif tip.half_width is not None:
        yield from _beyond_the_flat(scene, linkage, name, cam, tip, stance, lift)


def _place(scene: Scene, cam: Any) -> Any:
    field = "loudness" if cam.loudness else "poses" if cam.poses else "base radius"
    return scene.place_of(cam.name, field)


def _in_groove(scene: Scene, name: str, cam: Any, tip: Tip) -> Problem | None:
    """Tell a follower that doesn't go into its groove."""
    if not cam.groove:
        return None
    if not tip.radius:
        return Problem(
            scene.place_of(name, "tip"),
            f"only a roller runs in a groove, and '{name}' has none",
            f"'{name}.tip: {{roller diameter: {plain(max(cam.groove.width - 0.2, 1.0))}}}'",
        )
    play = cam.groove.width - 2 * tip.radius
    if play <= 0:
        return Problem(
            scene.place_of(cam.name, "groove.width"),
            f"the groove of '{cam.name}' is {plain(cam.groove.width)} mm wide, too narrow for the roller of '{name}', {plain(2 * tip.radius)} mm",
            f"'{cam.name}.groove.width: {plain(2 * tip.radius + 0.2)}' or '{name}.tip.roller diameter: {plain(cam.groove.width - 0.2)}'",
        )
    return None


def breadths(cam: Any, stance: Way) -> list[float]:
    """How broad a cam is under two parallel flats, over half a turn. [mm]"""
    half = PARTS_OF_TURN // 2
    flat = Tip(half_width=math.inf)
    reach = [
        outlines.start_reach(cam, flat, math.tau * i / PARTS_OF_TURN, stance)
        for i in range(PARTS_OF_TURN)
    ]
    return [reach[i] + reach[i + half] for i in range(half)]


def _in_yoke(scene: Scene, name: str, cam: Any, tip: Tip, stance: Way) -> Problem | None:
    """Tell a cam that isn't equally broad all round, or broader than the yoke round it."""
    if not tip.opening:
        return None
    broad = breadths(cam, stance)
    least, most = min(broad), max(broad)
    if most - least > LOOSE:
        at = 180 * broad.index(most) / len(broad)
        lift = outlines.lift_of(cam)
        rise = (
            max(r[0] for _, r in lift.samples()) - min(r[0] for _, r in lift.samples())
            if lift is not None
            else (most - least)
        )
        throw, radius = rise / 2, cam.base_radius + rise / 2
        return Problem(
            scene.place_of(cam.name),
            f"'{cam.name}' is {plain(most)} mm broad at {at:.0f} degrees and {plain(least)} mm elsewhere; a yoke needs the same breadth all round",
            f"a second half turn that undoes the first, or '{cam.name}.eccentric: {{radius: {plain(radius)}, throw: {plain(throw)}}}', which is equally broad by nature",
            f"the yoke is that of '{name}'",
        )
    if tip.opening < most:
        return Problem(
            scene.place_of(name, "tip.yoke"),
            f"'{cam.name}' is {plain(most)} mm broad and doesn't turn in the yoke of '{name}', {plain(tip.opening)} mm",
            f"'{name}.tip.yoke: {plain(math.ceil((most + YOKE_PLAY) * 10 - 1e-6) / 10)}'",
        )
    return None


def _folded(
    scene: Scene, linkage: Linkage, name: str, cam: Any, tip: Tip, stance: Way, lift: Lift, bend: tuple[float, float],
) -> Problem:  # fmt: skip
    """Tell an outline that bends more sharply than its follower can feel."""
    angle, radius = bend
    mends = _options(
        cam,
        tip,
        stance,
        lift,
        STEEPEST if not isinstance(linkage.held[name], Slides) else math.inf,
    )
    degrees = math.degrees(angle)
    if tip.half_width is not None:
        what = f"the outline of '{cam.name}' folds over itself at {degrees:.0f} degrees of its turn: a flat can't feel a hollow"
    elif tip.wall and radius < 0:
        what = f"the outer wall of the groove of '{cam.name}' folds at {degrees:.0f} degrees: the roller's way is hollow there with a radius of {plain(-radius)} mm, less than half the groove ({plain(tip.wall)} mm)"
    else:
        what = f"the roller's way round '{cam.name}' bends to a radius of {plain(radius)} mm at {degrees:.0f} degrees, more sharply than the roller itself ({plain(tip.radius)} mm)"
        if radius > 1 and not tip.wall:
            mends.append(f"'{name}.tip.roller diameter: {plain(math.floor(radius * 4) / 2)}'")
    return Problem(
        scene.place_of(cam.name, "base radius")
        if not (cam.loudness or cam.poses)
        else _place(scene, cam),
        what,
        " or ".join(mends[:3]) or "a smaller rise, or one over more degrees",
        f"the follower is '{name}'",
    )


def _beyond_the_flat(
    scene: Scene, linkage: Linkage, name: str, cam: Any, tip: Tip, stance: Way, lift: Lift
) -> Iterator[Problem]:
    assert tip.half_width is not None
    low = stance.seat(cam.base_radius, tip)
    aside = max(
        abs(outlines.face(rise, low + rise[0], stance).aside) for _, rise in lift.samples()
    )
    if aside <= tip.half_width:
        return
    owner: Any = linkage.parts[name]
    is_disc = hasattr(owner, "top_height")
    path, value = (
        ("diameter", 2 * math.hypot(aside, owner.offset))
        if is_disc
        else ("tip.yoke", 2 * aside)
        if tip.opening
        else ("tip.flat width", 2 * aside)
    )
    yield Problem(
        scene.place_of(name, path),
        f"'{cam.name}' touches '{name}' {plain(aside)} mm beside its middle, beyond the flat's edge at {plain(tip.half_width)} mm",
        f"'{name}.{path}: {plain(half_up(value + 1))}'",
    )


# ---------------------------------------------------------------- the nearest cam that works
def _mends(cam: Any, tip: Tip, stance: Way, lift: Lift, limit: float) -> str:
    return (
        " or ".join(_options(cam, tip, stance, lift, limit)[:3])
        or "less lift, or the same lift over more degrees"
    )


def _options(cam: Any, tip: Tip, stance: Way, lift: Lift, limit: float) -> list[str]:
    """Give what would do, the least change of each sort, each laid out and found good."""

    def works(changed: Any) -> bool:
        there = outlines.lift_of(changed)
        if there is None:
            return False
        try:
            return (
                outlines.undercut(there, changed.base_radius, tip, stance) is None
                and abs(outlines.steepest(there, changed.base_radius, tip, stance)[1]) <= limit
            )
        except ValueError:
            return False

    found = []
    base = outlines.smallest_base(lift, tip, stance, LARGEST * cam.base_radius, limit)
    if base is not None and works(cam.model_copy(update={"base_radius": half_up(base)})):
        found.append(f"'{cam.name}.base radius: {plain(half_up(base))}'")
    if cam.loudness:
        found += _softer(cam, works)
    elif cam.poses:
        found += _lower(cam, works)
    return found


def _softer(cam: Any, works: Callable[[Any], bool]) -> Iterator[str]:
    """Mends of a cam from a sound: smoother, fewer words a turn, less lift."""
    sound = cam.loudness

    def changed(**said: float) -> Any:
        return cam.model_copy(update={"loudness": sound.model_copy(update=said)})

    longest = (sound.ends - sound.from_) / 4
    for step in range(1, 40):
        smooth = round(sound.smooth * 1.12**step, 2)
        if smooth > longest:
            break
        if works(changed(smooth=smooth)):
            yield f"'{cam.name}.loudness.smooth: {smooth:g} s'"
            break
    words = openings(sound.hearing)
    for count in range(len(words) - 1, 0, -1):
        # shut where it pauses before the next word
        end = round((words[count - 1][1] + words[count][0]) / 2, 2)
        if end - sound.from_ >= 2 * sound.smooth and works(changed(to=end)):
            time = end - sound.from_
            yield f"'{cam.name}.loudness.to: {end:g} s', fewer words a turn, which then takes {time:.3g} s"
            break
    for step in range(1, 30):
        lift = math.floor(sound.lift * 0.93**step * 10) / 10
        if lift > 0 and works(changed(lift=lift)):
            yield f"'{cam.name}.loudness.lift: {plain(lift)}'"
            break


def _lower(cam: Any, works: Callable[[Any], bool]) -> Iterator[str]:
    """Mends of a cam from poses: the same poses, less high."""
    for step in range(1, 40):
        share = 0.95**step
        poses = {angle: round(height * share, 1) for angle, height in cam.poses.items()}
        if works(cam.model_copy(update={"poses": poses})):
            if len(poses) <= 8:
                told = ", ".join(
                    f"{_moment(cam, angle)}: {plain(height)}" for angle, height in poses.items()
                )
                if cam.turn_time:
                    told += f", {cam.turn_time:g} s: {plain(next(iter(poses.values())))}"
                yield f"'{cam.name}.poses: {{{told}}}'"
            else:
                yield f"poses of {share:.0%} of their heights"
            return


def _moment(cam: Any, angle: float) -> str:
    if cam.turn_time:
        return f"{round(angle / math.tau * cam.turn_time, 3):g} s"
    return f"{round(math.degrees(angle), 3):g}"


def plain(value: float) -> str:
    """Write a length as a maker does: at most two digits after the point."""
    return f"{round(value, 2) + 0.0:g}"


def half_up(value: float) -> float:
    """Round up to half millimetres."""
    return math.ceil(round(value * 2, 6)) / 2


def lost_at_corners(linkage: Linkage, cam: str) -> float:
    """How much lift a tip loses where the lift has a corner that it can't follow. [mm]"""
    part: Any = linkage.parts[cam]
    follower = outlines.first_follower(linkage.parts, cam)
    lift = outlines.lift_of(part)
    if follower is None or lift is None or part.drop or not lift.corners:
        return 0.0
    found = riding(linkage, follower)
    if found is None:
        return 0.0
    stance, tip, _ = found
    outline = outlines.outline_of(part, tip, stance)
    low = stance.seat(part.base_radius, tip)
    near = [
        corner + math.radians(step) for corner in lift.corners for step in (-2, -1, 0, 1, 2)
    ]
    return max(
        low + lift.at(angle)[0] - outline.reach(tip, stance, angle + lift.phase)
        for angle in near
    )
