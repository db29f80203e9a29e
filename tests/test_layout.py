"""The house rules that can be read off the files: who imports whom, and that every kind is tried and shown."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "animator"

# The data's way. A room imports only from those before it (and from itself).
ROOMS = [
    "",
    "artwork",
    "outlines",
    "parts",
    "scene",
    "world",
    "motion",
    "findings",
    "pictures",
    "outputs",
    "proposals",
    "screens",
    "commands",
    "cli",
]
# A part's own methods, run when they are called, may reach for the tools of these rooms; at the top of the file they may not.
LENT_TO_PARTS = {"world", "pictures", "findings", "motion"}
HOMES = {
    "pymunk": {
        "parts",
        "world",
        "motion/recording.py",
    },  # the recorder reads all bodies out of the engine at once
    "yaml": {"scene", "materials"},
    "skia": {"pictures", "outputs", "screens"},
    "av": {"outputs", "screens", "sounds"},
    "PIL": {"artwork", "pictures", "outputs", "screens"},
    "shapely": {"artwork"},
    "contourpy": {"artwork"},
    "imageio": {"outputs"},
    "imageio_ffmpeg": {"outputs"},
    "pygame": {"screens"},
    "fontpkg": {"pictures"},
    "fontTools": {"pictures", "proposals"},
    "rich": {"commands"},
    "click": {"commands", "cli"},
}
HEAVY = {
    "numpy",
    "pymunk",
    "skia",
    "scipy",
    "pygame",
    "av",
    "PIL",
    "imageio",
    "shapely",
    "contourpy",
}


class Import:
    """One import of the package: what it names, from where, and whether it runs with the module."""

    def __init__(self, path: Path, line: int, name: str, is_late: bool) -> None:
        inside = path.relative_to(PACKAGE)
        self.room = (
            inside.parts[0]
            if len(inside.parts) > 1
            else ("cli" if inside.stem == "cli" else "")
        )
        self.homes = {inside.parts[0].removesuffix(".py"), inside.as_posix()}
        self.place = f"{path.relative_to(ROOT)}:{line}"
        self.name, self.is_late = name, is_late

    @property
    def target(self) -> str | None:
        """Room of what is imported, "" for the ground floor, None for what is not ours."""
        first, *rest = self.name.split(".")
        if first != "animator":
            return None
        return rest[0] if rest and rest[0] in ROOMS else ""


def walk(node: ast.AST, is_late: bool = False) -> Iterator[tuple[int, str, bool]]:
    """Every import that can run; those for the type checker only are passed over."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Import):
            yield from ((child.lineno, alias.name, is_late) for alias in child.names)
        elif isinstance(child, ast.ImportFrom):
            assert child.level == 0, "imports are written in full"
            module = child.module or ""
            if module == "animator":
                yield from (
                    (child.lineno, f"animator.{alias.name}", is_late) for alias in child.names
                )
            else:
                yield child.lineno, module, is_late
        elif isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
            continue
        else:
            is_inside = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
            yield from walk(child, is_late or is_inside)


def imports() -> list[Import]:
    return [
        Import(path, *found)
        for path in sorted(PACKAGE.rglob("*.py"))
        if path.name != "__main__.py" and path != PACKAGE / "__init__.py"
        for found in walk(ast.parse(path.read_text("utf-8")))
    ]


def test_imports_go_one_way() -> None:
    strays = [
        f"{found.place}: {found.room or 'the ground floor'} imports {found.name}"
        for found in imports()
        if found.target is not None
        and ROOMS.index(found.target) > ROOMS.index(found.room)
        and not (found.room == "parts" and found.is_late and found.target in LENT_TO_PARTS)
    ]
    assert not strays, "\n".join(strays)


def test_engines_stay_in_their_homes() -> None:
    strays = [
        f"{found.place}: {engine} belongs in {' or '.join(sorted(HOMES[engine]))}"
        for found in imports()
        if (engine := found.name.split(".")[0]) in HOMES and not found.homes & HOMES[engine]
    ]
    assert not strays, "\n".join(strays)


def kinds() -> list[str]:
    """Names under which the files of parts/ add a kind, read from the text so that a broken file fails one test, not all."""
    found = []
    for path in sorted((PACKAGE / "parts").glob("[!_]*.py")):
        found += re.findall(r'^@PARTS\.add\("([^"]+)"\)', path.read_text("utf-8"), re.MULTILINE)
    return found


def test_every_kind_is_one_file_named_after_it() -> None:
    files = {path.stem for path in (PACKAGE / "parts").glob("[!_]*.py")}
    assert len(files) >= 20
    assert {kind.replace(" ", "_") for kind in kinds()} == files


@pytest.mark.parametrize("kind", kinds())
def test_kind_has_its_test(kind: str) -> None:
    assert (ROOT / "tests" / "parts" / f"test_{kind.replace(' ', '_')}.py").is_file()


@pytest.mark.parametrize("kind", kinds())
def test_kind_stands_in_some_scene(kind: str) -> None:
    says = re.compile(rf"\bkind:\s*{kind}\s*[,}}\n#]")
    assert any(
        says.search(path.read_text("utf-8")) for path in (ROOT / "scenes").rglob("*.yaml")
    )


def loaded_after(words: list[str], folder: Path) -> tuple[set[str], int, str]:
    """Run the command in a fresh process: which of the heavy libraries it loaded, how it ended, what it said."""
    code = (
        "import sys\n"
        "from animator.cli import main\n"
        f"sys.argv = {['animator', *words]!r}\n"
        "ended = 0\n"
        "try:\n    main()\n"
        "except SystemExit as end:\n    ended = end.code or 0\n"
        f"print('LOADED', *({HEAVY!r} & set(sys.modules)))\n"
        "print('ENDED', ended)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=folder, capture_output=True, text=True, check=True
    )
    loaded = re.search(r"^LOADED(.*)$", done.stdout, re.MULTILINE)
    ended = re.search(r"^ENDED (\d+)$", done.stdout, re.MULTILINE)
    assert loaded is not None
    assert ended is not None
    return set(loaded[1].split()), int(ended[1]), done.stdout + done.stderr


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    loaded, ended, said = loaded_after(["--help"], tmp_path)
    assert ended == 0
    assert "render" in said
    assert not loaded


def test_report_of_reading_errors_loads_nothing_heavy(tmp_path: Path) -> None:
    (tmp_path / "wrong.yaml").write_text(
        "title: Wrong\nparts:\n  wheel: {kind: wheeel, radius: 10}\n", "utf-8"
    )
    loaded, ended, said = loaded_after(["check", "wrong.yaml"], tmp_path)
    assert ended == 2
    assert "wrong.yaml:3:" in said
    assert not loaded


def test_refusing_a_drawing_loads_nothing_heavy(tmp_path: Path) -> None:
    (tmp_path / "heron.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="9mm"><g id="neck"><path d="M0 0h9v9z"/></g></svg>'
    )
    (tmp_path / "wrong.yaml").write_text(
        "title: Wrong\nparts:\n  shaft: {kind: shaft, at: [9, 9]}\n  heron: {kind: figure, on: shaft, artwork: {file: heron.svg, piece: nek}}\n",
        "utf-8",
    )
    loaded, ended, said = loaded_after(["check", "wrong.yaml"], tmp_path)
    assert ended == 2
    assert "no group of heron.svg is called 'nek'" in said
    assert not loaded
