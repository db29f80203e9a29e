from __future__ import annotations

import numpy as np
import pytest

from animator.findings.report import Finding, Mend
from animator.pictures.readings import effort
from animator.proposals.cautions import cautions_of
from animator.proposals.contents import SOUND, contents_of
from animator.proposals.figures import rows_of
from animator.proposals.markup import Markup, element, joined
from tests.proposals._made import checked


def test_only_what_was_made_as_markup_is_markup() -> None:
    said = element("p", "<b>", element("i", "&"), title='"<>')
    assert said == '<p title="&quot;&lt;&gt;">&lt;b&gt;<i>&amp;</i></p>'
    assert joined(Markup("<b>"), "<b>") == "<b>&lt;b&gt;"


@pytest.mark.slow
def test_a_good_piece_is_called_sound_and_its_claims_met() -> None:
    contents = contents_of(checked("heron"))
    assert contents.verdict == f"{SOUND} All 4 things asked of it are met."
    assert contents.verdict_code == "contact"
    assert contents.told == ()
    assert all(asked.is_met for asked in contents.asked)


@pytest.mark.slow
def test_a_jam_is_the_first_thing_said_whatever_was_asked() -> None:
    contents = contents_of(checked("mole"))
    assert contents.verdict_code == "jam"
    assert contents.verdict.startswith(
        "The lifter wedges in its guide when the camshaft has turned"
    )
    assert "asked" not in contents.verdict
    assert contents.told[0].where.endswith("at every friction")


@pytest.mark.slow
def test_what_would_mend_it_is_told_without_paths() -> None:
    piece = checked("mole")
    mend = Mend(
        path="lifter.guide.length", value="40", sentence="a guide 40 mm long holds the stem"
    )
    found = tuple(f.model_copy(update={"mend": (mend,)}) for f in piece.report.findings)
    report = piece.report.model_copy(update={"findings": found})
    told = contents_of(type(piece)(piece.motion, piece.ends, report)).told[0]
    assert told.mends == ("A guide 40\N{NO-BREAK SPACE}mm long holds the stem.",)


@pytest.mark.slow
def test_a_seam_is_a_matter_of_the_film_and_no_finding() -> None:
    contents = contents_of(checked("carousel"))
    assert [told.code for told in contents.told] == ["slip"]
    assert "its join" in contents.film_note


@pytest.mark.slow
def test_effort_runs_from_the_least_to_the_most_friction() -> None:
    piece = checked("heron")
    peaks = []
    for motion in piece.ends.values():
        given = effort(motion)
        assert given is not None
        peaks.append(float(np.max(given.values[motion.begins :])))
    row = next(row for row in rows_of(piece) if row.what == "Most that the hand gives")
    low, high = (float(word) for word in row.value.split("\N{NO-BREAK SPACE}")[0].split(" to "))
    assert low == pytest.approx(min(peaks), abs=0.006)
    assert high == pytest.approx(max(peaks), abs=0.006)
    assert low < high


@pytest.mark.slow
def test_a_piece_that_stands_says_how_far_it_came_and_how_far_it_should() -> None:
    rows = {row.what: row for row in rows_of(checked("mole"))}
    assert rows["It comes as far as"].value == "44°"
    assert rows["The mole rises"].remark == "of the 14\N{NO-BREAK SPACE}mm it is meant to"


@pytest.mark.slow
def test_cautions_follow_from_what_a_piece_has() -> None:
    heron, mole = (
        {each.what for each in cautions_of(checked(name))} for name in ("heron", "mole")
    )
    assert "Springs and stretched bands" in heron
    assert "Springs and stretched bands" not in mole  # neither spring nor band
    assert "Motor" not in heron | mole
    for name in ("heron", "mole"):
        last = cautions_of(checked(name))[-1]
        assert last.what == "Rules"
        assert "licensed practice" in last.sentence


@pytest.mark.slow
def test_variants_say_what_is_different_in_the_scenes_own_values() -> None:
    piece = checked("heron")
    other = checked("heron", "fast with a firmer spring")
    contents = contents_of(piece, [("fast with a firmer spring", other.motion, other.report)])
    assert (
        contents.others[0].different
        == "handle's speed: 150 rpm; lifter's spring preload: 0.9 N"
    )
    assert contents.others[0].sentence == SOUND


def test_whoever_names_a_client_on_the_way_is_heard() -> None:
    block = dict(contents_of(checked("heron"), said={"client": "The ferry inn"}).block)
    assert block["Client"] == "The ferry inn"
    assert "Date" not in block


def test_a_run_that_is_not_trusted_is_told_before_anything_else() -> None:
    piece = checked("heron")
    trust = piece.report.trust.model_copy(update={"ok": False, "sentence": "joints came apart"})
    report = piece.report.model_copy(update={"trust": trust})
    contents = contents_of(type(piece)(piece.motion, piece.ends, report))
    assert contents.verdict == "This run is not to be trusted: joints came apart."
    assert contents.trust[0] == "Not to be trusted: joints came apart."


def test_findings_of_several_sentences_begin_each_with_a_capital() -> None:
    piece = checked("mole")
    jam: Finding = piece.report.findings[0]
    told = contents_of(piece).told[0]
    assert ". hill cam" in jam.why
    assert ". The hill cam" in told.why
