"""What a scene can say besides the kinds of part, half a page a topic, made from the tables and records that read it."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from animator import materials
from animator.outlines import LAWS
from animator.parts._contract import PARTS, Part
from animator.parts._fields import (
    SIDES,
    WAYS,
    Artwork,
    Bearing,
    Guide,
    Shape,
    Spring,
    Stops,
    Tip,
)
from animator.parts.cam import Step
from animator.scene.checking import FrameText, Top
from animator.scene.claims import FINDINGS, MEASURES, STATES
from animator.scene.claims import LATER as LATER_WORDS
from animator.scene.kinds import tell_record
from animator.scene.shots import ShotText
from animator.units import BARE, SAMPLES, UNITS

MEASURED: Mapping[str, str] = {
    "lift": "highest less lowest",
    "height": "above the frame's lower edge",
    "travel": "from one end of its way to the other",
    "gap": "how far it is off what it should touch",
    "slack": "how much too long it is",
    "stretch": "by how much its length changes",
    "swing": "from one end of its swing to the other",
    "turns": "how far it has turned, either way",
    "spin": "about its own axis for each turn of the main shaft",
    "pressure angle": "between the push on it and the way it can slide",
    "transmission angle": "between a rod and the arm it moves, or the normal of the slide",
    "bow": "how far a point strays from the line between its two farthest places",
    "time ratio": "how many times as long its slower way takes as its quicker",
    "speed": "how fast it turns",
    "hit speed": "how fast it lands after a gap",
    "launch speed": "how fast it leaves what throws it",
    "range": "how far it flies, from where it is let go to where it lands",
    "strain": "of a spring or band: how much of what it bears",
    "contact force": "where it touches what it follows",
    "tension": "in the tight side of a belt or chain; the largest along a string",
    "push": "of a wire",
    "force": "at the knob; of a spring its push or pull",
    "side force": "of a stem on the sides of its guide",
    "torque": "of the drive",
    "start torque": "the drive's largest until it is up to speed",
    "slip": "what is lost of the length due",
    "standstill": "of the time",
    "running time": "how long it runs; of a switched motor, how long it is switched on",
    "on time": "how long a switch is closed, a lamp lit or a motor switched on",
    "overrun": "how far a motor's shaft turns on after it is switched off",
    "current share": "what a motor takes of its stall current, its start left out",
    "hits": "landings in each turn of the main shaft",
    "steps": "teeth or stations it goes on in each turn of the main shaft",
    "back-slip": "how far a wheel runs back before its pawl catches it",
}
FOUND: Mapping[str, str] = {
    "slip": "a belt or disc that loses too much of each turn",
    "jam": "a standstill, held by the rubbing in a guide",
    "stall": "a standstill because the drive is too weak",
    "float": "a gap where contact should hold",
    "jerk": "something that turns unevenly",
    "slack": "a string, belt or spring that hangs loose",
    "buckle": "a wire that is pushed harder than it bears, and bows out",
    "strain": "a spring or band bent, wound or stretched past what it bears",
    "skip": "a pawl or a tooth that jumps over what should have held it",
    "seam": "a loop whose end doesn't meet its beginning",
}


@dataclass(frozen=True)
class Topic:
    """One thing to explain: a sentence for the list, other words it is found by, lines to copy, and what is told between."""

    summary: str
    words: tuple[str, ...]
    copy: str
    """Lines of a scene: parts where they are indented, else what stands beside ``parts``."""
    tell: Callable[[int], Iterator[str]]


def tell_topic(name: str, width: int = 96) -> Iterator[str]:
    """Give the lines that explain a topic."""
    topic = TOPICS[name]
    yield name
    yield from _paragraph(f"{topic.summary}.", width)
    yield ""
    yield from topic.tell(width)
    yield ""
    yield "  To copy:"
    yield ""
    yield from (f"    {line}".rstrip() for line in topic.copy.splitlines())


def find_topic(word: str) -> str | None:
    """Give the topic that a word belongs to."""
    if word in TOPICS:
        return word
    return next((name for name, topic in TOPICS.items() if word in topic.words), None)


def _paragraph(text: str, width: int) -> Iterator[str]:
    return iter(textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="  "))


def _table(rows: Mapping[str, str], width: int) -> Iterator[str]:
    column = max(map(len, rows)) + 4
    for name, text in rows.items():
        yield from textwrap.wrap(
            text,
            width,
            initial_indent=f"  {name}".ljust(column) + " ",
            subsequent_indent=" " * (column + 1),
        )


def _places(width: int) -> Iterator[str]:
    yield from _paragraph(
        "Millimetres, right and up in the part's own view, from the frame's lower left corner or from a point of another part.",
        width,
    )
    yield ""
    yield from _table(
        {
            "[120, 90]": "right and up from the corner",
            "crank.pin": "a part's point; a bare part stands for its main point",
            "40 above camshaft": f"a distance and a side ({', '.join(SIDES)}) of a part or point",
            "30 left and 12 above camshaft": "two of them",
            "20 behind camshaft": "farther back, in a view from the top",
        },
        width,
    )
    yield ""
    yield from _paragraph(
        f"A direction is {', '.join(WAYS)} or degrees, anticlockwise from the right; an arm is a length and a direction: '40 left', '40 at 210'. "
        "'on' fixes a part to another, 'at' gives it a place, 'from' and 'to' pin a rod or spring, 'follows' rests it on a cam, 'around' lays a belt or chain.",
        width,
    )


def _units(width: int) -> Iterator[str]:
    rows = {}
    for sort, units in UNITS.items():
        bare = "; a bare number is " + (
            "mm" if sort == "length" else "degrees" if sort == "angle" else "right"
        )
        said = ", ".join(units) or "a bare number"
        rows[sort] = (
            f"{said}{bare if sort in BARE and units else ''}; for example {SAMPLES[sort]}"
        )
    yield from _table(rows, width)
    yield ""
    yield from _paragraph(
        "What isn't known exactly is a range: 30 to 50 rpm. Fractions are fine: 1/2 in, 1 1/2 in.",
        width,
    )


def _materials(width: int) -> Iterator[str]:
    yield from _paragraph(
        "A stuff, then the sheet's thickness or the rod's diameter: 'birch ply 6', 'steel 3'. Weight and friction follow from it.",
        width,
    )
    yield ""
    families: dict[str, list[str]] = {}
    for name, stuff in materials.stuffs().items():
        families.setdefault(stuff.family, []).append(
            f"{name} ({stuff.density.at(0.5) * 1e3:.2g} g/cm3)"
        )
    yield from _table({family: ", ".join(names) for family, names in families.items()}, width)


def _paints(width: int) -> Iterator[str]:
    names = [f"{name} {ink}" for name, ink in materials.paints().items()]
    yield from _paragraph(", ".join(names), width)
    yield ""
    yield from _paragraph(
        'Any other colour is written with its figures, in quotes: "#c0392b".', width
    )


def _friction(width: int) -> Iterator[str]:
    yield from _paragraph(
        f"Left out, it follows from the two materials. Said, it is a number (0.3), a range (0.2 to 0.35) or a pair of the table with its state ({', '.join(materials.STATES)}; dry unless said): 'waxed beech on brass'. "
        "A range is what isn't known exactly; all ranges of a piece stand low, in the middle or high together.",
        width,
    )
    yield ""
    rows = {}
    for first, second in (("beech", "beech"), ("beech", "steel"), ("brass", "steel"), ("rubber", "steel"), ("leather", "brass"), ("nylon", "steel"), ("card", "beech")):  # fmt: skip
        said: dict[str, str] = {}
        for state in materials.STATES:
            low, high = materials.pair(first, second, state).range
            said.setdefault(
                f"{low:g} to {high:g}", state
            )  # waxed or oiled as dry: not in the table
        rows[f"{first} on {second}"] = ", ".join(
            f"{state} {span}" for span, state in said.items()
        )
    yield from _table(rows, width)
    ball, oiled = materials.ball_bearing().range, materials.oiled_bearing().range
    yield ""
    yield from _paragraph(
        f"In bearings: ball {ball.low:g} to {ball.high:g}, oiled {oiled.low:g} to {oiled.high:g}.",
        width,
    )


def _programme(width: int) -> Iterator[str]:
    yield from _paragraph(
        "Steps one after the other that make a whole turn; lifts are set on the cam's base radius, 'dwell: rest' takes what is left.",
        width,
    )
    yield ""
    yield from tell_record(Step, width)
    yield ""
    yield from _paragraph(
        f"Laws: {', '.join(LAWS)}. Cycloidal and modified sine start and stop softly; straight and parabolic knock.",
        width,
    )


def _views(width: int) -> Iterator[str]:
    yield from tell_record(Part, width, ("view", "along", "behind"))
    yield ""
    yield from _paragraph(
        "Front: right and up. Side: from the right, back and up. Top: right and back; what turns there lies flat and doesn't fall. "
        "A part that says no view has that of what it is on or follows. Parts work together within one view; upright slides look the same in front and side, and a friction disc carries a turning from one view into another. "
        "Nearer parts are drawn later: by 'along' where it is said, else in the order of the file.",
        width,
    )


def _frame(width: int) -> Iterator[str]:
    yield from tell_record(FrameText, width)


def _scene(width: int) -> Iterator[str]:
    yield from tell_record(Top, width)


def _stated(width: int) -> Iterator[str]:
    yield from _paragraph(
        f"For each kind, what its parts say unless they say otherwise. Kinds: {', '.join(PARTS)}. 'none' takes a thing away again.",
        width,
    )


def _like(width: int) -> Iterator[str]:
    yield from _paragraph(
        "'like: PART' takes over all that a part or group says; own words lie over it, and 'change' reaches inside: paths joined by dots. "
        "'mirrored about: POINT' turns it left to right about a point.",
        width,
    )


def _group(width: int) -> Iterator[str]:
    yield from _paragraph(
        "Inside, the parts name one another as they are; from outside with the group's name and a dot: 'frogs.ada.cam'. "
        "'copies' makes one such group of each name; 'vary' gives each copy its own value, from a list or evenly: 'from 0 by 90'. "
        "'view', 'along' and 'behind' hold for all its parts.",
        width,
    )


def _variants(width: int) -> Iterator[str]:
    yield from _paragraph(
        "Each variant names what it changes by its path, joined by dots: a value, or 'none' to take a thing away. Its 'expect' is added to the scene's; its 'run' and 'shots' take their place. "
        "All variants are checked whichever is asked for: 'animator check piece.yaml --variant NAME'.",
        width,
    )


def _expect(width: int) -> Iterator[str]:
    yield from _paragraph("One claim a line. A finding that must be there, or not:", width)
    yield ""
    yield from _table({word: FOUND[word] for word in FINDINGS}, width)
    yield ""
    yield from _paragraph(
        "A measure, 'PART.MEASURE' ('drive.MEASURE' for handle or motor), held against >=, <=, > or < AMOUNT, 'between A and B' or '= A within B':",
        width,
    )
    yield ""
    rows: dict[str, str] = {}
    for word, sort in MEASURES.items():
        if word not in LATER_WORDS:
            unit = next(iter(UNITS[sort]), "a number")
            rows[f"{word} [{unit}]"] = MEASURED[word]
    yield from _table(rows, width)
    yield ""
    states = [state for state in STATES if state not in LATER_WORDS]
    yield from _paragraph(
        f"Or a state: 'PART is STATE' ({', '.join(states)}). After any of them: 'at least once', 'at MOMENT' or 'from MOMENT to MOMENT'; a moment is degrees of the main shaft, '2 s' or '3 turns'. Without them it must hold all the time.",
        width,
    )


def _run(width: int) -> Iterator[str]:
    yield from _paragraph(
        "Turns or degrees of the main shaft, or a time, from the start. The main shaft is the one the first drive turns, unless 'main shaft' names another.",
        width,
    )


def _shots(width: int) -> Iterator[str]:
    yield from _paragraph(
        "Each has a name; 'animator render piece.yaml --shot NAME' films it, '--shots' all of them one after another. A moment is degrees of the main shaft, '2 s', '3 turns', what the run shows ('first jam', 'last float of lifter'), a mark of the sound ('mark bell'), or so much from one of these ('20 before first slip', '0.2 s after mark bell').",
        width,
    )
    yield ""
    yield from tell_record(ShotText, width)


def _artwork(width: int) -> Iterator[str]:
    yield from tell_record(Artwork, width)
    yield ""
    yield from _paragraph("Each shape says exactly one of disc, block and outline:", width)
    yield ""
    yield from tell_record(Shape, width)
    yield ""
    yield from _paragraph(
        "A file lies next to the scene or below it: 'artwork: heron.svg' takes all of it, 'artwork: {file: heron.svg, piece: neck}' the group whose id is 'neck'. "
        "A file whose width and height are in mm, with a viewBox, has its true size; any other is given a 'height'. "
        "An element of the class 'point' is not drawn but names a place: id 'pivot' is where the whole file hangs, 'neck.pivot' where the piece 'neck' does, "
        "and 'neck.beak' becomes the part's own point 'beak', for others to be pinned to. Without a pivot it hangs by the middle of its foot.",
        width,
    )
    yield ""
    yield from _paragraph(
        "So a jointed figure is several parts with one file: the body a figure, the arm a lever 'at: body.shoulder' or a rod. On a rod a point 'tip' points to its far end. "
        "What lies on other shapes is painted on them, the rest is sawn from one sheet; the mass follows that outline, the part's material and its thickness. "
        "A gradient becomes its mean colour; filters and blends are left out; letters, clips, masks, patterns, scripts and links are refused.",
        width,
    )
    yield ""
    yield from _paragraph(
        "A PNG is cut out by its alpha; without alpha, and a JPEG always, by its outline against a plain sheet, so leave room all round. Both are given a 'height'.",
        width,
    )


def _shared(width: int) -> Iterator[str]:
    yield from tell_record(
        Part, width, [name for name in Part.model_fields if name not in ("kind", "name")]
    )


TOPICS: Mapping[str, Topic] = {
    "scene": Topic("What a file says at the top", ("title", "about", "main shaft", "top", "parts"), "title: The nodding goose\nparts:\n  shaft: {kind: shaft, at: [100, 60]}\n  handle: {kind: handle, on: shaft, speed: 40 rpm}\nrun: 2 turns", _scene),
    "shared": Topic("What every part may say", ("mass", "note", "inertia", "centre of mass", "every part"), "  hare: {kind: wheel, on: camshaft, radius: 20, material: birch ply 6, mass: 24 g, paint: rose, note: weighed in May}", _shared),
    "places": Topic("Where parts stand, and which way they point", ("place", "at", "on", "from", "to", "arm", "arms", "direction", "directions", "points", "right", "left", "above", "below"), "  near shaft: {kind: shaft, at: [40, 60]}\n  far shaft: {kind: shaft, at: 30 left and 12 above camshaft}\n  crank: {kind: crank, on: near shaft, radius: 12, angle: up}\n  peg: {kind: pin, on: crank.pin}", _places),
    "units": Topic("What numbers are written in", ("unit", "length", "angle", "speed", "force", "torque", "time", "range", "ranges"), "  crank: {kind: crank, on: camshaft, radius: 1/2 in}\n  slow shaft: {kind: shaft, at: [40, 60], drag torque: 5 N mm}\n  motor: {kind: motor, on: slow shaft, speed: 40 rpm, stall torque: 0.3 N m}", _units),
    "materials": Topic("What parts are made of", ("material", "stuff", "stuffs", "made of", "density"), "  hare: {kind: wheel, on: camshaft, radius: 20, material: birch ply 6}", _materials),
    "paints": Topic("The house's colours", ("paint", "colour", "colours", "color", "colors"), "  hare: {kind: wheel, on: camshaft, radius: 20, paint: rose}\n  hound: {kind: wheel, on: camshaft, radius: 16, paint: \"#c0392b\"}", _paints),
    "friction": Topic("How much things rub", ("pairs", "waxed", "oiled", "dry"), "  stiff shaft: {kind: shaft, at: [40, 60], bearing: {friction: 0.2 to 0.35}}\n  waxed: {kind: follower, follows: lift cam, guide: {at: 60 above camshaft, friction: waxed beech on brass}}", _friction),
    "guide": Topic("The hole a stem or bar slides in", ("guides", "clearance", "ideal"), "  rider: {kind: follower, follows: lift cam, guide: {at: 60 above camshaft, length: 30, clearance: 0.1, friction: 0.15 to 0.3}}", lambda width: tell_record(Guide, width)),
    "bearing": Topic("The hole a shaft or lever turns in", ("bearings", "play", "ball"), "  free shaft: {kind: shaft, at: [40, 60], bearing: {ball: yes}}\n  stiff shaft: {kind: shaft, at: [60, 60], bearing: {play: 0.1, friction: 0.2 to 0.35}}", lambda width: tell_record(Bearing, width)),
    "stops": Topic("How far a shaft or lever may turn", ("stop",), "  lever: {kind: lever, at: [40, 90], arms: {hand: 40 up}, stops: {clockwise: 60, anticlockwise: 10}}", lambda width: tell_record(Stops, width)),
    "tip": Topic("What a follower touches its cam with; exactly one of these", ("tips", "roller", "flat", "knife"), "  rider: {kind: follower, follows: lift cam, guide: {at: 60 above camshaft}, tip: {roller diameter: 10}}\n  presser: {kind: follower, follows: lift cam, guide: {at: 60 above camshaft}, tip: {flat width: 20}}", lambda width: tell_record(Tip, width)),
    "spring": Topic("What presses a follower on its cam; springs between parts are the kinds compression spring and extension spring", ("springs", "preload", "rate"), "  rider: {kind: follower, follows: lift cam, guide: {at: 60 above camshaft}, spring: {rate: 0.05 N/mm, preload: 0.5 N}}", lambda width: tell_record(Spring, width)),
    "programme": Topic("What a cam does in one turn", ("programmes", "program", "law", "laws", "dwell", "rise", "fall", "step"), "  slow cam:\n    kind: cam\n    on: camshaft\n    base radius: 18\n    programme:\n      - {rise: 14, over: 120, law: cycloidal}\n      - {dwell: 90}\n      - {fall: 14, over: 50, law: modified sine}\n      - {dwell: rest}", _programme),
    "artwork": Topic("How a figure looks: a file, or shapes drawn in the scene", ("shapes", "shape", "disc shape", "block", "outline", "drawing", "svg", "png", "jpeg", "picture", "pivot", "piece"), "  goose: {kind: figure, on: camshaft, artwork: {shapes: [{block: [16, 40], at: [0, 20], paint: cream}, {disc: 24, at: [0, 50], paint: rose}]}}", _artwork),
    "views": Topic("From where a part is seen, and what covers what", ("view", "along", "behind", "front", "side", "top view"), "  table shaft: {kind: shaft, at: [40, 60], view: top}\n  table: {kind: wheel, on: table shaft, radius: 30}\n  hound: {kind: wheel, on: camshaft, radius: 16, along: 12}\n  fence: {kind: wheel, on: camshaft, radius: 20, behind: hound}", _views),
    "frame": Topic("The cabinet the piece stands in", ("cabinet", "lying"), "frame: {width: 240, height: 180, material: birch ply 6}", _frame),
    "unless stated": Topic("What many parts say, once", ("default", "defaults", "unless"), "unless stated:\n  cam: {material: birch ply 6}\n  follower: {material: steel 5, guide: {at: 60 above camshaft, length: 30}}", _stated),
    "like": Topic("One part like another", ("change", "mirrored about", "mirrored", "mirror"), "  second cam: {like: lift cam, phase: 90}\n  second rider: {like: lifter, follows: second cam, change: {guide.length: 24}}", _like),
    "group": Topic("Parts that belong together, and copies of them", ("groups", "copies", "copy", "vary"), "  frogs:\n    kind: group\n    copies: [ada, bea, cleo]\n    vary: {cam.phase: from 0 by 90, frog.paint: [rose, ochre, pond]}\n    parts:\n      cam: {kind: cam, on: camshaft, eccentric: {radius: 20, throw: 8}}\n      lift: {kind: follower, follows: cam, guide: {at: 60 above camshaft}}\n      frog: {kind: figure, on: lift.top, artwork: {shapes: [{disc: 24, at: [0, 12]}]}}", _group),
    "variants": Topic("The same piece with changes", ("variant", "none"), "variants:\n  as drawn:\n    expect: [no jam]\n  fast:\n    handle.speed: 150 rpm\n  short guide:\n    lifter.guide.length: 12\n    lifter.spring: none", _variants),
    "expect": Topic("What a run is held against", ("claim", "claims", "expectation", "expectations", "measure", "measures", "finding", "findings", "state", "states", "test", "tests"), "expect:\n  - no jam\n  - float of lifter at least once from 180 to 360\n  - lifter.lift = 16 mm within 0.5 mm\n  - drive.torque <= 0.3 N m from 1 s to 2 s\n  - lifter.side force between 0 N and 3 N\n  - camshaft is running at 90", _expect),
    "run": Topic("How long the piece runs", ("moment", "moments"), "run: 4 turns", _run),
    "shots": Topic("Stretches of film", ("shot", "stills", "caption", "look", "freeze", "follow", "hold", "closer"), "shots:\n  whole turn: {from: 0, to: 360, stills: [0, 90, 180, 270], caption: Up and down}\n  landing: {from: 205, to: 265, look: bench, speed: 1/4, on: [lift cam, lifter]}\n  in the air: {from: 30 before first float, to: 30 after last float, freeze: first float, hold: 2 s, speed: 1/8, look: bench}\n  the beak: {from: 0, to: 360, follow: lifter, move: glide}\n  the top: {at: 90, hold: 2 s}", _shots),
}  # fmt: skip
