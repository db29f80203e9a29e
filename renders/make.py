"""Makes every picture of the gallery from the demo scenes, and its index.

``python renders/make.py`` makes what is stale, ``python renders/make.py --all`` everything; names of pictures make just those. The index,
README.md beside this file, notes for each picture what the scene said when it was made, so that a test can tell a stale one.
"""

import argparse
import hashlib
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
SCENES = HERE.parent / "scenes"
INDEX = HERE / "README.md"
ARTWORK = re.compile(r"\bart/[\w-]+\.\w+")  # files that a scene draws from
MARK = re.compile(r"<!-- (\S+) (\w+) -->")
ABOUT = re.compile(r"^about:(.+)$", re.MULTILINE)
SMALL = (
    *("render", "--look", "bench", "--size", "480x270", "--fps", "10"),
    *("--seconds", "4", "--max-size", "80kB"),
)  # a single kind's film
BUSY = (
    *("render", "--look", "bench", "--size", "400x225", "--fps", "8"),
    *("--seconds", "4", "--max-size", "98kB"),
)  # of one in which so much moves that it would shrink to a stamp
MUCH_MOVES = frozenset(
    [
        "cam",
        "gear",
        "geneva-wheel",
        "intermittent-gear",
        "paddle-gear",
        "ring-gear",
        "sprocket",
        "tyre",
        "weight",
    ]
)


@dataclass(frozen=True)
class Picture:
    """One picture of the gallery: its file, its scene, the command that makes it, and what it shows."""

    name: str
    scene: str
    command: tuple[str, ...]
    caption: str

    @property
    def mark(self) -> str:
        """What the scene and the command say now, shortened."""
        text = (SCENES / f"{self.scene}.yaml").read_bytes() + " ".join(self.command).encode()
        for file in sorted(set(ARTWORK.findall(text.decode()))):
            text += (SCENES / file).read_bytes()
        return hashlib.sha256(text).hexdigest()[:12]

    def make(self) -> None:
        """Make the picture with the program's own command."""
        verb, *rest = self.command
        call = [sys.executable, "-m", "animator", verb, f"{self.scene}.yaml", *rest, "--quiet"]
        done = subprocess.run(
            [*call, "-o", str(HERE / self.name)], cwd=SCENES, check=False
        ).returncode
        if done not in (
            0,
            1,
        ):  # 1: made, but the piece jams or a claim isn't met, as some are meant to
            sys.exit(f"{self.name} could not be made")


PICTURES = [
    Picture("heron.gif", "heron", ("render", "--look", "client"), "A cam lifts the heron slowly, lets him wait, and drops him."),
    Picture("heron-bench.gif", "heron", ("render", "--variant", "fast", "--look", "bench", "--size", "640x360", "--fps", "20"), "Turned four times as fast, the lifter flies off its cam; the glass shows by how much."),
    Picture("heron-storyboard.png", "heron", ("storyboard", "--width", "800"), "The moments of a turn, chosen from the motion."),
    Picture("eel.gif", "eel", ("render", "--look", "client", "--size", "640x360", "--fps", "20", "--max-size", "270kB"), "One cam draws the neck back and lifts the eel; where it falls away, both let go."),
    Picture("eel-bench.gif", "eel", ("render", "--variant", "fast", "--look", "bench", "--size", "640x360", "--fps", "20"), "Fifteen times as fast, and the follower leaves its cam: a firmer spring holds it."),
    Picture("eel-evening.png", "eel", ("still", "--at", "126", "--look", "client", "--backdrop", "evening", "--size", "640x360"), "The same piece by lamplight."),
    Picture("eel-storyboard.png", "eel", ("storyboard", "--width", "800"), "The heron and the eel on a sheet."),
    Picture("mole.gif", "mole", ("render", "--variant", "fixed", "--look", "client", "--size", "640x360", "--fps", "20"), "A bigger cam and a longer guide, and up he comes."),
    Picture("mole-bench.gif", "mole", ("render", "--look", "bench", "--size", "640x360", "--fps", "20"), "The same mole as he was first drawn: the push goes sideways and the stem wedges in its guide."),
    Picture("mole-storyboard.png", "mole", ("storyboard", "--variant", "fixed", "--width", "800"), "The mended mole, moment by moment."),
    Picture("baker.gif", "baker", ("render", "--look", "client", "--size", "640x360", "--fps", "20"), "Crank, rod and ram: one lean into the dough for every turn."),
    Picture("baker-bench.gif", "baker", ("render", "--variant", "stiff dough", "--look", "bench", "--size", "640x360", "--fps", "20"), "Stiffer dough, and the hand is too weak: all stands still."),
    Picture("baker-storyboard.png", "baker", ("storyboard", "--width", "800"), "The baker's turn on a sheet."),
    Picture("skater.gif", "skater", ("render", "--look", "client", "--size", "640x360", "--fps", "20", "--max-size", "270kB"), "An egg-shaped cam lifts the ice and turns it."),
    Picture("skater-bench.gif", "skater", ("render", "--look", "bench", "--size", "640x360", "--fps", "12.5", "--max-size", "250kB"), "The egg does two jobs, and the turning isn't even: the plan from above shows why."),
    Picture("skater-storyboard.png", "skater", ("storyboard", "--width", "800"), "The skater's turn on a sheet."),
    Picture("carousel.gif", "carousel", ("compare", "--variant", "band", "--variant", "spring belt", "--variant", "chain", "--size", "640x360", "--fps", "20", "--max-size", "700kB"), "One load driven three ways for ten turns of the handle: what each got, was due and lost."),
    Picture("carousel-client.gif", "carousel", ("render", "--variant", "chain", "--look", "client", "--seconds", "6", "--size", "640x360", "--fps", "20", "--max-size", "270kB"), "The carousel on its chain: four turns for ten of the handle."),
    Picture("carousel-bench.gif", "carousel", ("render", "--variant", "band", "--look", "bench", "--size", "640x360", "--fps", "12.5", "--max-size", "250kB"), "The rubber band slips; the bar, the slice and the count tell by how much."),
    Picture("carousel-storyboard.png", "carousel", ("storyboard", "--variant", "band", "--width", "800"), "The carousel on its rubber band."),
    Picture("smith.gif", "smith", ("render", "--look", "client", "--size", "640x360", "--fps", "20"), "A motor lifts the hammer, a snail-shaped cam lets it drop."),
    Picture("smith-bench.gif", "smith", ("render", "--variant", "weak motor", "--look", "bench", "--size", "640x360", "--fps", "20"), "A weaker motor, and the hammer stays where it is."),
    Picture("smith-storyboard.png", "smith", ("storyboard", "--width", "800"), "The smith's blow on a sheet."),
    Picture("eel-proposal.html", "eel", ("proposal", "--alone", "--max-size", "760kB"), "The page for the client of the heron and the eel."),
    Picture("mole-proposal.html", "mole", ("proposal", "--max-size", "940kB"), "The mole's page: what is wrong with him, and what mends it."),
    Picture("allotment.gif", "allotment", ("render", "--look", "client", "--size", "640x360", "--fps", "20", "--max-size", "400kB"), "One handle, three wooden wheels, six movements: rod, cam, drop, belt, lever and string."),
    Picture("allotment-bench.gif", "allotment", ("render", "--look", "bench", "--size", "640x360", "--fps", "12.5", "--max-size", "260kB"), "The allotment on the bench: what the hand feels over a turn."),
    Picture("allotment-storyboard.png", "allotment", ("storyboard", "--width", "800"), "A Sunday's turn on a sheet."),
    Picture("harbour.gif", "harbour", ("render", "--look", "client", "--size", "640x360", "--fps", "16", "--max-size", "480kB"), "A small motor turns the whole sky by a rubber tyre; at night the lighthouse is lit."),
    Picture("harbour-bench.gif", "harbour", ("render", "--variant", "a child holds the sun", "--look", "bench", "--size", "640x360", "--fps", "12.5", "--max-size", "260kB"), "A child holds the sun: the tyre slips, the motor runs on, nothing breaks."),
    Picture("harbour-storyboard.png", "harbour", ("storyboard", "--width", "800"), "Day and night over the harbour."),
    Picture("porter.gif", "porter", ("render", "--look", "client", "--size", "640x360", "--fps", "12.5", "--max-size", "450kB"), "A coin wakes the night porter: he speaks as his sound does, and everything stops by itself."),
    Picture("porter-bench.gif", "porter", ("render", "--look", "bench", "--size", "640x360", "--fps", "10", "--max-size", "280kB"), "The same night with its sequence chart: strips, switches, motors and lamps."),
    Picture("porter-storyboard.png", "porter", ("storyboard", "--width", "800"), "The porter's night on a sheet."),
    Picture("porter.mp4", "porter", ("render", "--look", "client", "--size", "640x360", "--fps", "20", "--max-size", "600kB"), "The same night with his voice: the mouth keeps to it, and the film carries it."),
]  # fmt: skip


def of_kinds() -> list[Picture]:
    """Give a small film of each kind's own scene, named after the kind; its caption is what the scene says of itself."""
    found = []
    for path in sorted((SCENES / "kinds").glob("*.yaml")):
        about = ABOUT.search(path.read_text(encoding="utf-8"))
        caption = about[1].strip().strip("\"'") if about else path.stem
        command = BUSY if path.stem in MUCH_MOVES else SMALL
        found.append(Picture(f"kinds/{path.stem}.gif", f"kinds/{path.stem}", command, caption))
    return found


def shown(picture: Picture) -> str:
    """Give the line of the index that shows a picture, or leads to it."""
    leads = {".html": "Open the page", ".mp4": "Play the film, with its sound"}
    ending = Path(picture.name).suffix
    if ending in leads:
        return f"[{leads[ending]}]({picture.name})"
    return f"![{picture.caption}]({picture.name})"


def write_index(marks: dict[str, str]) -> None:
    """Write the gallery page; ``marks``: what each picture was made from."""
    lines = [
        "# Gallery",
        "",
        "Made from `scenes/` by `python renders/make.py`; nothing here is drawn by hand.",
        "",
    ]
    for picture in [*PICTURES, *of_kinds()]:
        words = " ".join(f'"{word}"' if " " in word else word for word in picture.command)
        verb, _, rest = words.partition(" ")
        lines += [
            f"## {picture.caption}",
            "",
            shown(picture),
            "",
            f"`animator {verb} scenes/{picture.scene}.yaml {rest}".rstrip()
            + f" -o {picture.name}`",
            f"<!-- {picture.name} {marks.get(picture.name, 'unknown')} -->",
            "",
        ]
    INDEX.write_text("\n".join(lines), encoding="utf-8")


def noted() -> dict[str, str]:
    """What the index says of each picture: name -> mark."""
    return dict(MARK.findall(INDEX.read_text(encoding="utf-8"))) if INDEX.exists() else {}


def main() -> None:
    """Make what was asked for."""
    asks = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asks.add_argument("names", nargs="*", help="pictures to make")
    asks.add_argument("--all", action="store_true", help="make every picture anew")
    asked = asks.parse_args()
    marks = noted()
    for picture in [*PICTURES, *of_kinds()]:
        is_stale = marks.get(picture.name) != picture.mark or not (HERE / picture.name).exists()
        if asked.all or picture.name in asked.names or (not asked.names and is_stale):
            print(picture.name, flush=True)
            picture.make()
            marks[picture.name] = picture.mark  # others keep theirs, stale as they may be
    write_index(marks)


if __name__ == "__main__":
    main()
