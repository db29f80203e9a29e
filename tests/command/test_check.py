"""The commands that tell: check, trace, parts, schema; what they print, and how they end."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from animator.findings.report import Report
from tests.command.running import QUICK, SCENES, call, run


# ---------------------------------------------------------------- check
def test_a_sound_piece_ends_with_nothing(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("check", piece, "--variant", "right") == 0
    said = capsys.readouterr()
    assert "quick, variant right" in said.out
    assert "met      ram.travel = 36 mm within 0.1 mm" in said.out
    assert "Nothing jams, stalls, floats, slips or jerks." in said.out
    assert "Where the turning effort goes" in said.out
    assert "Step 0." in said.out
    assert not said.err
    assert "\x1b" not in said.out  # no colours where nobody sees them
    assert max(map(len, said.out.splitlines())) <= 110


def test_a_claim_that_is_not_met_ends_with_one(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("check", piece, "--variant", "wrong") == 1
    assert "not met  ram.travel >= 50 mm   (measured 36 mm" in capsys.readouterr().out


def test_quiet_says_nothing(piece: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("check", piece, "--variant", "wrong", "--quiet") == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == ""


def test_json_is_one_object_of_the_model(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("check", piece, "--json") == 0
    text = capsys.readouterr().out
    report = Report.model_validate_json(text)
    row = json.loads(text)
    assert list(row) == [
        "scene",
        "variant",
        "seconds",
        "turns",
        "measures",
        "findings",
        "expectations",
        "energy",
        "trust",
        "assumptions",
        "theory",
        "cautions",
        "loop",
    ]
    assert (report.scene, report.variant) == ("quick", None)
    assert report.measures["ram.travel"].value == pytest.approx(36, abs=0.05)
    assert set(row["measures"]["ram.travel"]) == {"value", "unit", "min", "max", "mean", "end"}
    assert report.turns == pytest.approx(1.0, abs=0.01)
    assert report.trust.verify_percent is None


def test_json_of_all_variants_is_a_list(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("check", piece, "--all", "--json", "--verify") == 1
    rows = json.loads(capsys.readouterr().out)
    reports = [Report.model_validate(row) for row in rows]
    assert [report.variant for report in reports] == ["right", "wrong"]
    assert [report.expectations[0].met for report in reports] == [True, False]
    assert all(report.trust.verify_percent is not None for report in reports)


def test_the_piece_as_drawn_takes_the_claims_of_the_variant_that_changes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "drawn.yaml"
    path.write_text(
        QUICK
        + "variants:\n  slow: {handle.speed: 60 rpm}\n  as drawn: {expect: [ram.travel >= 50 mm]}\n",
        "utf-8",
    )
    assert call("check", path, "--json") == 1
    report = Report.model_validate_json(capsys.readouterr().out)
    assert report.variant is None
    assert not report.expectations[0].met


@pytest.mark.slow
def test_a_jam_is_told_in_words_with_what_frees_it(capsys: pytest.CaptureFixture[str]) -> None:
    """On the mole, but with one candidate and one end of its friction alone, or it takes a while."""
    from animator.findings import examining, jam

    only = ("lifter.guide.friction",)
    old = jam.Jam.mends

    def fewer(self: jam.Jam, evidence: object, finding: object) -> object:
        return (each for each in old(self, evidence, finding) if each.path in only)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(jam.Jam, "mends", fewer)
        patch.setattr(examining, "_ends", lambda scene: (examining.MIDDLE,))
        assert call("check", SCENES / "mole.yaml") == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "jam: lifter, at every friction" in said
    assert "lifter wedges in its guide when camshaft has turned 44 degrees" in said
    assert "write lifter.guide.friction: 0.05 to 0.1" in said


# ---------------------------------------------------------------- refusals
@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("check", "nowhere.yaml"), "nowhere.yaml"),
        (("check", "quick.yaml", "--variant", "rigt"), "did you mean --variant 'right'?"),
        (("check", "quick.yaml", "--variant", "zebra"), "it has 'right', 'wrong'"),
        (("check", "quick.yaml", "--all", "--variant", "right"), "leave out --variant"),
        (("check",), "Missing argument 'SCENE'"),
        (("chek", "quick.yaml"), "chek"),
        (("render", "quick.yaml", "--fps", "0"), "more than 0 and at most 240"),
        (("render", "quick.yaml", "--fps", "many"), "'many' is no number of pictures a second"),
        (("render", "quick.yaml", "--seconds", "-1"), "more than 0 and at most 600"),
        (
            ("render", "quick.yaml", "--size", "100000x100000"),
            "each side may have 64 to 7680 px",
        ),
        (("render", "quick.yaml", "--size", "big"), "for example 1280x720"),
        (("render", "quick.yaml", "-o", "film.xyz"), "film.xyz: a film can't be made as .xyz"),
        (("render", "quick.yaml", "-o", "film.gif", "--fps", "60"), "give --fps 50"),
        (("render", "quick.yaml", "--shot", "first"), "has no shot 'first'"),
        (("compare", "quick.yaml", "--variant", "rigth"), "did you mean --variant 'right'?"),
        (("storyboard", "quick.yaml", "-o", "sheet.gif"), "write sheet.png"),
        (("still", "quick.yaml", "--at", "noon"), "'noon' is no moment"),
        (("trace", "quick.yaml", "-o", "trace.xls"), "write trace.csv"),
        (("parts", "conrodd"), "did you mean 'rod'?"),
        (("parts", "zither"), "neither a kind of part nor a topic is called 'zither'"),
        (("parts", "zebra"), "'animator parts' lists them all"),
    ],
)
def test_refusals_are_one_sentence_and_end_with_two(
    words: tuple[str, ...], sentence: str, piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(*words) == 2
    said = capsys.readouterr()
    assert sentence in said.err
    assert "Traceback" not in said.err
    assert len(said.err.splitlines()) <= 3
    assert said.out == ""
    assert [path.name for path in piece.parent.iterdir()] == ["quick.yaml"]


def test_problems_of_a_scene_are_told_with_their_places(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "wrong.yaml"
    path.write_text(
        QUICK.replace("240 rpm", "240").replace("radius: 18", "raduis: 18"), "utf-8"
    )
    for command in (
        ("check",),
        ("check", "--all"),
        ("render", "--draft"),
        ("storyboard",),
        ("trace",),
        ("compare",),
        ("still",),
    ):
        assert call(command[0], path, *command[1:]) == 2
        said = capsys.readouterr().err
        assert "wrong.yaml:5:" in said
        assert "write '240 rpm'" in said
        assert "write 'radius'" in said


def test_a_fault_of_ours_is_owned_up_to(
    piece: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stumble(*words: object) -> None:
        raise ZeroDivisionError("a cog came off")

    monkeypatch.setattr("animator.findings.examining.check", stumble)
    assert call("check", piece) == 3
    said = capsys.readouterr().err
    assert "our own fault" in said
    assert "ZeroDivisionError: a cog came off" in said
    assert "in stumble" in said


# ---------------------------------------------------------------- the others
def test_a_trace_has_every_quantity_on_one_clock(
    piece: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("trace", piece, "-o", "out.csv") == 0
    assert "out.csv" in capsys.readouterr().out
    with Path("out.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0][:2] == ["time [s]", "main shaft [deg]"]
    for name in (
        "ram.travel [mm]",
        "ram.x [mm]",
        "handle.torque [N mm]",
        "shaft.turns [turns]",
        "work of handle [J]",
    ):
        assert name in rows[0], name
    assert len({len(row) for row in rows}) == 1
    clock = [float(row[0]) for row in rows[1:]]
    assert clock[0] == 0.0
    assert clock[-1] == pytest.approx(
        0.125 + 0.25, abs=0.01
    )  # a quarter turn at half the speed, then one turn
    travel = [float(row[rows[0].index("ram.x [mm]")]) for row in rows[1:]]
    assert max(travel) - min(travel) == pytest.approx(36, abs=0.1)


def test_default_names_are_the_scenes_and_the_variants(piece: Path) -> None:
    assert call("trace", piece, "--quiet") == 0
    assert call("trace", piece, "--variant", "right", "--quiet") == 0
    assert sorted(path.name for path in piece.parent.glob("*.csv")) == [
        "quick-right.csv",
        "quick.csv",
    ]


def test_parts_are_listed_and_explained(capsys: pytest.CaptureFixture[str]) -> None:
    from animator.parts._contract import PARTS

    assert call("parts") == 0
    listed = capsys.readouterr().out
    assert all(kind in listed for kind in PARTS)
    for kind, cls in PARTS.items():
        assert call("parts", kind.replace(" ", "_")) == 0
        told = capsys.readouterr().out
        assert told.startswith(kind)
        assert all(word in told for word in cls.also_called[:1])
        assert "Every part may also say" in told


def test_parts_are_found_by_the_trades_words_and_topics_beside_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    from animator.scene.topics import TOPICS

    assert call("parts", "axle") == 0
    assert capsys.readouterr().out.startswith("shaft\n")
    assert call("parts", "claims") == 0
    assert capsys.readouterr().out.startswith("expect\n")
    assert call("parts") == 0
    listed = capsys.readouterr().out.partition("Besides the kinds:")[2]
    assert all(f"\n{name} " in listed for name in TOPICS)


def test_the_schema_is_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call("schema") == 0
    printed = json.loads(capsys.readouterr().out)
    assert call("schema", "-o", tmp_path / "scene.json", "--quiet") == 0
    assert json.loads((tmp_path / "scene.json").read_text("utf-8")) == printed
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    "command",
    [
        "render",
        "compare",
        "storyboard",
        "still",
        "proposal",
        "check",
        "trace",
        "parts",
        "schema",
    ],
)
def test_every_help_shows_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(command, "--help") == 0
    said = capsys.readouterr().out
    assert f"  animator {command}" in said.partition("For example:")[2]


def test_commands_are_listed_in_the_order_one_meets_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert call("--help") == 0
    said = capsys.readouterr().out
    listed = said.partition("Commands:")[2]
    assert listed.index("render") < listed.index("check") < listed.index("schema")


def test_whoever_stops_reading_gets_no_traceback(tmp_path: Path) -> None:
    done = run(tmp_path, "--version")
    assert done.returncode == 0
    assert done.stdout.startswith("animator ")
