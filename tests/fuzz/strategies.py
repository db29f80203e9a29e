"""Whole scenes, made up of the mechanisms that makers put together, as text.

Most numbers are such as a maker would choose; now and then one is anything its field allows, so that pieces which can't be put together
come up too. The kinds of ``DRAWN`` turn up; ``changed.py`` tries all of them by changing their own scenes.
"""

from __future__ import annotations

import math
from typing import Any

import yaml
from hypothesis import strategies as st

from animator.outlines import LAWS

WILD = 12  # one number in so many is anything the field allows
STUFFS = (
    "birch ply 6",
    "beech 8",
    "steel 5",
    "brass 3",
    "birch 10",
    "card 1",
    "acrylic 3",
    "lime 6",
)
RUBS = ("0.1", "0.15 to 0.3", "waxed birch on birch", "dry beech on steel", "0.4 to 0.55")
PAINTS = ("rose", "cream", "slate", "ochre", "umber")
WAYS = ("up", "right", "left", "down", "60", "135")


class Maker:
    """Draws numbers and parts from one stream of choices, and keeps the parts it made."""

    def __init__(self, draw: Any) -> None:
        self._draw = draw
        self.parts: dict[str, dict[str, Any]] = {}
        self.main = "main"

    def pick(self, *choices: Any) -> Any:
        return self._draw(st.sampled_from(choices))

    def chance(self, times: int) -> bool:
        """True once in so many times."""
        return bool(self._draw(st.integers(0, times - 1)) == 0)

    def number(self, low: float, high: float, least: float = 0.5, most: float = 400.0) -> float:
        """A number of one decimal a maker would choose, or now and then anything between ``least`` and ``most``."""
        if self.chance(WILD * 4):
            low, high = least, most
        low, high = sorted((math.ceil(low * 10), math.floor(high * 10)))
        return self._draw(st.integers(low, high)) / 10

    def some(self, part: dict[str, Any], **fields: Any) -> dict[str, Any]:
        """Say some of the fields that may be left out."""
        for field, value in fields.items():
            if self.chance(3):
                part[field.replace("_", " ")] = value() if callable(value) else value
        return part

    def add(self, name: str, **fields: Any) -> str:
        """Add a part under a name of its own."""
        while name in self.parts:
            name += " again"
        part = {
            field.rstrip("_").replace("_", " "): value
            for field, value in fields.items()
            if value is not None
        }
        self.some(
            part,
            material=lambda: self.pick(*STUFFS),
            mass=lambda: f"{self.number(5, 60, 0.5, 500):g} g",
        )
        if part["kind"] == "weight":
            part["mass"] = f"{self.number(5, 60, 1, 500):g} g"
        if part["kind"] in ("compression spring", "extension spring", "belt", "chain"):
            part.pop("material", None)
            part.pop("mass", None)
        self.parts[name] = part
        return name

    # ------------------------------------------------------------ small things
    def shaft(self, x: float, y: float, name: str = "shaft") -> str:
        part: dict[str, Any] = {"kind": "shaft", "at": [round(x, 1), round(y, 1)]}
        self.some(
            part,
            bearing=lambda: self.pick(
                {"ball": "yes"},
                {"friction": self.pick(*RUBS)},
                {"play": 0.1, "friction": "0.2"},
            ),
            drag_torque=lambda: f"{self.number(0.5, 20):g} N mm",
        )
        return self.add(name, **part)

    def guide(self, where: Any, length: float) -> dict[str, Any]:
        guide: dict[str, Any] = {"at": where, "length": length}
        if self.chance(4):
            guide["ideal"] = "yes"
        else:
            self.some(
                guide,
                clearance=lambda: self.number(0.1, 0.4, 0, 2),
                friction=lambda: self.pick(*RUBS),
            )
        return guide

    def figure(self, on: str) -> None:
        shapes = [
            self.pick(
                {"disc": self.number(6, 30)},
                {
                    "block": [self.number(5, 30), self.number(5, 40)],
                    "at": [0, self.number(1, 20)],
                },
                {
                    "outline": [[-10, 0], [12, 4], [self.number(1, 10), 30]],
                    "paint": self.pick(*PAINTS),
                },
            )
            for _ in range(self.pick(1, 2, 3))
        ]
        self.add("figure", kind="figure", on=on, artwork={"shapes": shapes})

    def spring(self, kind: str, from_: str, to: str) -> None:
        coil: dict[str, Any] = {"kind": kind, "from": from_, "to": to}
        if self.chance(3):
            coil |= {"wire": 0.5, "coil diameter": 6, "coils": self.pick(8, 15, 30)}
        else:
            coil["rate"] = f"{self.number(0.1, 2, 0.1, 5) / 10:g} N/mm"
        coil |= self.pick(
            {}, {"free length": self.number(10, 60)}, {"preload": f"{self.number(0.1, 1):g} N"}
        )
        self.add("coil", **coil)

    # ------------------------------------------------------------ mechanisms
    def drive(self) -> None:
        turns = self.pick("clockwise", "anticlockwise")
        if self.chance(3):
            self.add(
                "motor",
                kind="motor",
                on=self.main,
                speed=f"{self.number(10, 60, 2, 150):g} rpm",
                stall_torque=f"{self.number(50, 500):g} N mm",
                turns=turns,
            )
            return
        handle: dict[str, Any] = {
            "kind": "handle",
            "on": self.main,
            "speed": self.pick("40 rpm", "20 to 50 rpm", "90 rpm"),
            "turns": turns,
        }
        self.some(
            handle,
            radius=lambda: self.number(30, 60),
            strength=lambda: self.pick("10 N", "4 N", "0.3 N m"),
            angle=lambda: self.pick(*WAYS),
            starts_over=lambda: self.pick(45, 90, 180),
        )
        self.add("handle", **handle)

    def crank(self, radius: float) -> str:
        if self.chance(3):
            wheel = self.add(
                "disc",
                kind="wheel",
                on=self.main,
                radius=radius + 6,
                pins={"pin": f"{radius:g} {self.pick('up', 'right', 'at 200')}"},
            )
            return f"{wheel}.pin"
        crank = self.add(
            "crank", kind="crank", on=self.main, radius=radius, angle=self.pick(*WAYS)
        )
        return f"{crank}.pin"

    def slider_crank(self, x: float, y: float) -> None:
        radius = self.number(6, 24)
        rod = self.number(2.5 * radius, 4.5 * radius)
        offset = self.number(0, 0.4 * radius, 0, 40)
        length = self.number(12, 30)
        middle = radius + rod + 6 + length / 2
        stroke = 2 * radius
        pin = self.crank(radius)
        way = self.pick("right", "left", "up")
        # language: places are right and up; the offset lies to one side
        place = {
            "right": [x + middle, y + offset],
            "left": [x - middle, y + offset],
            "up": [x + offset, y + middle],
        }[way]
        ram = self.add(
            "ram",
            kind="slider",
            slides=way,
            length=round(stroke + length + 20 + self.number(0, 20), 1),
            guide=self.guide([round(v, 1) for v in place], length),
        )
        self.add("rod", kind="rod", from_=pin, to=f"{ram}.pin", length=round(rod, 1))
        if self.chance(2):
            self.figure(f"{ram}.tip")

    def four_bar(self, x: float, y: float) -> None:
        crank = self.number(6, 18)
        ground = self.number(50, 90)
        arm = self.number(1.6 * crank, 0.7 * ground)
        pin = self.crank(crank)
        lever: dict[str, Any] = {
            "kind": "lever",
            "at": [round(x + ground, 1), round(y + self.number(0, 10), 1)],
            "arms": {
                "end": f"{arm:g} up",
                "hand": f"{self.number(20, 60):g} at {self.pick(20, 80, 300)}",
            },
        }
        self.some(lever, bearing=lambda: {"friction": self.pick(*RUBS)})
        rocker = self.add("rocker", **lever)
        rod: dict[str, Any] = {
            "kind": "rod",
            "from": pin,
            "to": f"{rocker}.end",
            "length": self.pick(round(math.hypot(ground, arm), 1), "fitted"),
        }
        self.some(rod, knee="up", holes={"hole": 20})
        self.add("link", **rod)
        if self.chance(2):
            self.figure(f"{rocker}.hand")
        if self.chance(3):
            self.add("bob", kind="weight", mass="10 g", on=f"{rocker}.hand")
        if self.chance(3):
            peg = self.add("peg", kind="pin", at=[round(x + ground + 40, 1), round(y + 90, 1)])
            self.spring("extension spring", f"{rocker}.hand", peg)
        if self.chance(4):
            flap = self.add(
                "flap",
                kind="lever",
                at=[round(x + ground + 60, 1), round(y + 30, 1)],
                arms={"end": f"{arm + 10:g} up"},
            )
            self.add(
                "wire", kind="rod", from_=f"{rocker}.end", to=f"{flap}.end", length="fitted"
            )

    def pencil(self, on: str) -> None:
        if self.chance(2):
            part: dict[str, Any] = {"kind": "pencil", "on": on}
            self.some(part, trail=lambda: self.pick(30, 120, 360))
            self.add("pencil", **part)

    def coupler(self, x: float, y: float) -> None:
        crank, ground = self.number(6, 18), self.number(50, 90)
        arm = self.number(1.6 * crank, 0.7 * ground)
        pin = self.crank(crank)
        rocker = self.add(
            "rocker",
            kind="lever",
            at=[round(x + ground, 1), round(y + self.number(0, 10), 1)],
            arms={"end": f"{arm:g} up"},
        )
        far = round(math.hypot(ground, arm), 1)
        holes = {"a": [0, 0], "b": [far, self.pick(0, 8, -8)], "c": [self.number(10, 60), 30]}
        pinned = {"a": pin, "b": f"{rocker}.end"}
        if self.chance(6):
            pinned["c"] = self.add("nail", kind="pin", at=[round(x + 60, 1), round(y + 80, 1)])
        elif self.chance(6):
            del pinned["b"]
        part: dict[str, Any] = {"kind": "plate", "holes": holes, "pinned": pinned}
        self.some(part, knee=lambda: self.pick("up", "down"))
        plate = self.add("plate", **part)
        self.pencil(f"{plate}.c")
        if self.chance(3):
            flap = self.add(
                "flap",
                kind="lever",
                at=[round(x + ground + 60, 1), round(y + 30, 1)],
                arms={"end": f"{arm + 10:g} up"},
            )
            self.add("tie", kind="rod", from_=f"{plate}.c", to=f"{flap}.end", length="fitted")

    def oar(self, x: float, y: float) -> None:
        radius, away = self.number(6, 24), self.number(45, 80)
        pin = self.crank(radius)
        part: dict[str, Any] = {
            "kind": "swivel guide",
            "at": [round(x + away, 1), round(y + self.number(0, 20), 1)],
            "length": self.number(8, 16),
        }
        if self.chance(3):
            part["ideal"] = "yes"
        else:
            self.some(
                part,
                clearance=lambda: self.number(0.1, 0.4, 0, 2),
                friction=lambda: self.pick(*RUBS),
            )
        eye = self.add("rowlock", **part)
        oar = self.add(
            "oar",
            kind="rod",
            from_=pin,
            through=eye,
            length=round(away + radius + self.number(20, 70), 1),
        )
        self.pencil(f"{oar}.tip")

    def slotted(self, part: dict[str, Any]) -> dict[str, Any]:
        if self.chance(3):
            part["ideal"] = "yes"
            return part
        return self.some(
            part,
            play=lambda: self.number(0.05, 0.3, 0, 2),
            friction=lambda: self.pick(*RUBS),
            pin_diameter=lambda: self.pick(3, 5),
        )

    def shaper(self, x: float, y: float) -> None:
        radius = self.number(8, 24)
        away = self.number(1.3 * radius, 3 * radius)
        pin = self.crank(radius)
        part: dict[str, Any] = {
            "kind": "slotted lever",
            "at": [round(x, 1), round(y - away, 1)],
            "slot": {"from": math.floor(away - radius), "to": math.ceil(away + radius)},
            "driver": pin,
            "arms": {"end": f"{away + radius + 20:g} up"},
        }
        arm = self.add("arm", **self.slotted(part))
        self.pencil(f"{arm}.end")

    def yoke(self, x: float, y: float) -> None:
        radius, length = self.number(6, 24), self.number(12, 30)
        pin = self.crank(radius)
        middle = radius + 12 + length / 2
        part: dict[str, Any] = {
            "kind": "yoke",
            "slides": self.pick("right", "right", "up"),
            "slot": round(2 * radius + self.number(1, 6), 1),
            "length": round(2 * radius + middle + length, 1),
            "driver": pin,
        }
        upright = part["slides"] == "up"
        part["guide"] = self.guide(
            [
                round(x + (0 if upright else middle), 1),
                round(y + (middle if upright else 0), 1),
            ],
            length,
        )
        yoke = self.add("yoke", **self.slotted(part))
        self.pencil(f"{yoke}.tip")

    def outline(self) -> dict[str, Any]:
        base = self.number(14, 30)
        kind = self.pick("programme", "eccentric", "egg", "drop", "poses")
        if kind == "eccentric":
            return {"eccentric": {"radius": base, "throw": self.number(0, 0.6 * base, 0, base)}}
        if kind == "egg":
            nose = self.number(0.3 * base, 0.8 * base)
            return {
                "egg": {
                    "radius": base,
                    "nose radius": nose,
                    "reach": round(base - nose + self.number(2, 10), 1),
                }
            }
        if kind == "drop":
            return {
                "base radius": base,
                "drop": {
                    "lift": self.number(4, 14),
                    "rise over": self.pick(300, 330, 340),
                    "fall over": self.pick(5, 10),
                },
            }
        if kind == "poses":
            lifts = [self.number(0, 10, 0, 40) for _ in range(self.pick(3, 4, 6))]
            return {
                "base radius": base,
                "poses": {round(360 * i / len(lifts)): lift for i, lift in enumerate(lifts)},
            }
        lift, over = self.number(3, 14), self.pick(70, 90, 120, 150)
        steps: list[dict[str, Any]] = [
            {"rise": lift, "over": over},
            {"dwell": self.pick(20, 40)},
            {"fall": lift, "over": over},
            {"dwell": "rest"},
        ]
        for step in steps:
            if "over" in step:
                self.some(step, law=lambda: self.pick(*LAWS))
        return {"base radius": base, "programme": steps}

    def cam(self, on: str) -> tuple[str, float]:
        shape = self.outline()
        size = shape.get("base radius", 0.0) or next(iter(shape.values()))["radius"]
        reach = size + 16 + (shape.get("eccentric", {}).get("throw", 0.0))
        cam: dict[str, Any] = {"kind": "cam", "on": on, **shape}
        self.some(cam, phase=lambda: self.pick(30, 90, 200))
        return self.add("cam", **cam), reach

    def follower(self, x: float, y: float) -> None:
        cam, reach = self.cam(self.main)
        length = self.number(10, 36)
        middle = reach + 8 + length / 2
        angle = self.pick(90, 0, 180, 60)
        place = [
            round(x + middle * math.cos(math.radians(angle)), 1),
            round(y + middle * math.sin(math.radians(angle)), 1),
        ]
        part: dict[str, Any] = {
            "kind": "follower", "follows": cam, "slides": angle, "length": round(length + 40 + self.number(0, 30), 1), "guide": self.guide(place, length),
            "tip": self.pick("knife", {"roller diameter": self.number(4, 12)}, {"flat width": self.number(30, 60)}),
        }  # fmt: skip
        self.some(
            part,
            offset=lambda: self.pick(3, -4),
            spring=lambda: self.pick(
                {"rate": "0.02 N/mm", "preload": "0.3 N"}, {"preload": "1 N"}
            ),
        )
        lifter = self.add("lifter", **part)
        if self.chance(2):
            self.figure(f"{lifter}.top")

    def disc(self, x: float, y: float) -> None:
        cam, reach = self.cam(self.main)
        length = self.number(12, 30)
        part: dict[str, Any] = {
            "kind": "friction disc", "follows": cam, "offset": self.pick(6, 10, -8, 0), "diameter": self.number(50, 80),
            "guide": self.guide([round(x, 1), round(y + reach + 12 + length / 2, 1)], length),
        }  # fmt: skip
        self.some(
            part,
            friction=lambda: self.pick("leather on beech", "0.3", "rubber on beech"),
            rests=lambda: self.number(0, 2, 0, 10),
        )
        ice = self.add("ice", **part)
        if self.chance(2):
            self.figure(f"{ice}.top")

    def loop(self, x: float, y: float) -> None:
        apart = self.number(70, 120)
        if self.chance(2):
            teeth, other, pitch = (
                self.pick(10, 12, 17),
                self.pick(15, 24, 30),
                self.pick(4, 5, 6),
            )
            links = 2 * math.ceil((2 * apart / pitch + (teeth + other) / 2) / 2)
            rest, lean = links - (teeth + other) / 2, ((other - teeth) / math.tau) ** 2
            apart = round(
                math.floor(
                    pitch * (rest + math.sqrt(max(rest * rest - 8 * lean, 0.0))) / 4 * 10
                )
                / 10,
                1,
            )
            far = self.shaft(x + apart, y, "far shaft")
            wheels = [
                self.add("small sprocket", kind="sprocket", on=self.main, teeth=teeth),
                self.add("large sprocket", kind="sprocket", on=far, teeth=other),
            ]
            self.add("chain", kind="chain", around=wheels, pitch=pitch)
        else:
            far = self.shaft(x + apart, y, "far shaft")
            wheels = [
                self.add(
                    "small pulley", kind="pulley", on=self.main, diameter=self.number(16, 40)
                ),
                self.add("large pulley", kind="pulley", on=far, diameter=self.number(20, 60)),
            ]
            belt: dict[str, Any] = {
                "kind": "belt",
                "around": wheels,
                "made of": self.pick(
                    "rubber band 3", "spring belt 4", "round leather 4", "string 2"
                ),
            }
            belt |= self.pick(
                {"stretched": f"{self.number(2, 15):g} %"},
                {"tension": f"{self.number(0.5, 4):g} N"},
            )
            self.some(belt, crossed="yes", friction=lambda: self.pick("0.3", "rubber on beech"))
            self.add("belt", **belt)
        if self.chance(2):
            wheel = self.add(
                "turntable",
                kind="wheel",
                on=far,
                radius=self.number(20, 60),
                pins={"hare": "20 up"},
            )
            self.figure(f"{wheel}.hare")

    def seesaw(self, x: float, y: float) -> None:
        beam = self.add(
            "beam",
            kind="lever",
            at=[round(x, 1), round(y, 1)],
            arms={
                "left": f"{self.number(20, 60):g} left",
                "right": f"{self.number(20, 60):g} right",
            },
        )
        peg = self.add("peg", kind="pin", at=[round(x + 30, 1), round(y - 40, 1)])
        self.spring(self.pick("compression spring", "extension spring"), f"{beam}.right", peg)
        if self.chance(2):
            self.add("idler", kind="pulley", at=f"{beam}.left", diameter=12)
        if self.chance(2):
            self.add("stop", kind="pin", on=f"{beam}.left", diameter=4)
        if self.chance(3):
            self.parts[beam]["stops"] = {"clockwise": 30, "anticlockwise": 30}

    def hanging(self, x: float, y: float) -> None:
        hook = self.add("hook", kind="pin", at=[round(x, 1), round(y, 1)])
        bob = self.add("bob", kind="weight", mass="20 g")
        if self.chance(2):
            self.add("stay", kind="rod", from_=hook, to=bob, length=self.number(20, 60))
        else:
            self.spring("extension spring", hook, bob)

    def sprung(self, x: float, y: float) -> None:
        """A beam brought back by a wound spring, a strip, a band or a detent, with a flap or a pea on it."""
        beam = self.add(
            "sprung beam",
            kind="lever",
            at=[round(x, 1), round(y, 1)],
            arms={
                "left": f"{self.number(20, 60):g} left",
                "right": f"{self.number(20, 60):g} right",
            },
        )
        if self.chance(2):
            wound: dict[str, Any] = {"kind": "torsion spring", "on": beam}
            if self.chance(2):
                wound |= {"wire": 0.8, "coil diameter": 9, "coils": self.pick(3, 6)}
            else:
                wound["rate"] = f"{self.number(0.1, 2, 0.1, 5):g} N mm/deg"
            if self.chance(2):
                wound |= {
                    "pushes": "clockwise",
                    "preload torque": f"{self.number(1, 20):g} N mm",
                }
            self.bare("wound spring", **wound)
        if self.chance(2):
            self.bare(
                "strip",
                kind="leaf spring",
                at=[round(x + self.number(50, 110), 1), round(y + self.number(-6, 0), 1)],
                points="left",
                length=self.number(40, 80, 10, 120),
                width=8,
                material=self.pick("spring steel 0.3", "brass 0.5", "birch ply 1"),
                presses=f"{beam}.right",
                pushes=self.pick("up", "down"),
            )
        if self.chance(2):
            peg = self.add("band peg", kind="pin", at=[round(x, 1), round(y + 40, 1)])
            self.bare(
                "band",
                kind="rubber band",
                from_=peg,
                to=f"{beam}.left",
                length=self.number(15, 40),
                width=self.number(1, 3),
                thickness=1,
                loops=self.pick(1, 2),
            )
        if self.chance(2):
            self.bare(
                "click",
                kind="detent",
                on=beam,
                radius=self.number(15, 40),
                spring={"preload": f"{self.number(0.2, 2):g} N"},
                **self.pick({"notches": 6}, {"holds at": [0, 40]}),
            )
        if self.chance(2):
            fold = self.bare(
                "fold",
                kind="hinge",
                at=f"{beam}.left",
                width=self.number(8, 30),
                length=self.number(2, 6),
                material=self.pick("card 0.3", "leather 1", "paper 0.2"),
            )
            self.figure(fold)
        if self.chance(2):
            pea: dict[str, Any] = {"kind": "projectile", "rests in": f"{beam}.right"}
            self.some(pea, diameter=lambda: self.number(4, 14), released_at=20)
            self.add("pea", **pea)

    def bare(self, name: str, **fields: Any) -> str:
        """Add a part of which no material or weight is made up."""
        found = self.add(name, **fields)
        part = self.parts[found]
        part.pop("mass", None)
        if "material" in fields:
            part["material"] = fields["material"]
        else:
            part.pop("material", None)
        return found


DRAWN = frozenset(
    {
        "belt",
        "cam",
        "chain",
        "compression spring",
        "crank",
        "detent",
        "extension spring",
        "figure",
        "follower",
        "friction disc",
        "handle",
        "hinge",
        "leaf spring",
        "lever",
        "motor",
        "pencil",
        "pin",
        "plate",
        "projectile",
        "pulley",
        "rod",
        "rubber band",
        "shaft",
        "slider",
        "slotted lever",
        "sprocket",
        "swivel guide",
        "torsion spring",
        "weight",
        "wheel",
        "yoke",
    }
)
MECHANISMS = (
    "sprung",
    "coupler",
    "oar",
    "shaper",
    "yoke",
    "slider_crank",
    "four_bar",
    "follower",
    "disc",
    "loop",
    "seesaw",
    "hanging",
)


@st.composite
def scenes(draw: Any) -> str:
    """Whole scenes as text: a driven shaft and one to three mechanisms, some of them in a group."""
    maker = Maker(draw)
    x, y = maker.number(60, 140), maker.number(60, 140)
    maker.main = maker.shaft(x, y, "main")
    maker.drive()
    for name in draw(st.lists(st.sampled_from(MECHANISMS), min_size=1, max_size=3)):
        side = maker.number(0, 150, 0, 300) if name in ("seesaw", "hanging", "sprung") else 0.0
        getattr(maker, name)(x + side, y + (150 if side else 0))
    if maker.chance(6):
        group = {
            "kind": "group",
            "parts": {
                "post": {"kind": "pin", "at": [20, 20]},
                "flag": {
                    "kind": "figure",
                    "on": "post.centre",
                    "artwork": {"shapes": [{"disc": 10}]},
                },
            },
        }
        maker.parts["flags"] = group
    frame = {"width": 300, "height": 240, "material": maker.pick("birch ply 9", "beech 10")}
    tree = {"title": "Something that moves", "frame": frame, "parts": maker.parts, "run": "1 s"}
    return yaml.safe_dump(
        tree, sort_keys=False, default_flow_style=None, width=10_000, allow_unicode=True
    )
