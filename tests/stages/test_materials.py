"""The table of stuffs and friction: what its sources say, and which row is taken."""

import math
from importlib import resources

import pytest
import yaml

from animator import materials
from animator.units import Range

TABLE = yaml.safe_load(
    resources.files("animator").joinpath("materials.yaml").read_text(encoding="utf-8")
)


@pytest.mark.parametrize(
    ("first", "second", "state", "low", "high"),
    [
        # lowest kinetic to highest static of the sources named in the table
        (
            "birch",
            "beech",
            "dry",
            0.20,
            0.75,
        ),  # kinetic 0.20-0.40 and 0.30-0.50, static 0.40-0.65 and 0.40-0.75
        ("birch", "birch", "waxed", 0.04, 0.20),  # kinetic 0.04-0.16, static 0.16-0.20
        ("steel", "beech", "dry", 0.20, 0.75),  # kinetic 0.20-0.50, static 0.45-0.75
        ("steel", "steel", "dry", 0.08, 0.80),  # kinetic 0.08-0.50, static 0.45-0.80
        ("brass", "steel", "dry", 0.44, 0.51),
        ("leather", "steel", "oiled", 0.12, 0.20),
    ],
)
def test_range_runs_from_lowest_kinetic_to_highest_static(first, second, state, low, high):
    assert materials.pair(first, second, state).range == Range(low, high)
    assert materials.pair(second, first, state).range == Range(low, high)


def test_named_pair_goes_before_its_families():
    assert materials.pair("brass", "steel").range != materials.pair("brass", "aluminium").range
    assert not materials.pair("brass", "steel").is_guess


def test_pair_nobody_measured_is_the_widest_and_says_so():
    found = materials.pair("felt", "rubber")
    assert found.is_guess
    assert found.range.high >= 0.8


def test_every_value_names_a_source_that_is_there():
    named = [row["source"] for row in TABLE["stuffs"].values()]
    named += [
        each for row in [*TABLE["pairs"], *TABLE["bearings"].values()] for each in row["source"]
    ]
    assert set(named) == set(TABLE["sources"])


def test_every_range_runs_forwards():
    for row in TABLE["stuffs"].values():
        assert 0 < row["density"][0] <= row["density"][1] < 12_000
    for row in TABLE["pairs"]:
        for state in materials.STATES:
            low, high = row.get(state, row["dry"])
            assert 0 < low < high < 1.5


def test_sheet_of_paper_weighs_what_it_should():
    # A4 of 160 g/m2 is 9.979 g: at the table's density that is a sheet of 0.2 mm
    density = materials.stuff("paper").density.at(0.5)
    thickness = 160e-6 / density
    assert 297 * 210 * thickness * density == pytest.approx(9.979, abs=1e-3)
    assert thickness == pytest.approx(0.2, abs=0.01)


def test_round_band_stretches_by_its_modulus_and_area():
    assert materials.stuff("rubber band").axial_stiffness(3) == pytest.approx(
        1.5e6 * math.pi * 9 / 4
    )


def test_spring_belt_stretches_as_its_coil():
    # 4 mm outside, wire 0.7: G d^5 / (8 D^3) with D = 3.3
    assert materials.stuff("spring belt").axial_stiffness(4) == pytest.approx(
        1e6 * 79_300 * 0.7**5 / (8 * 3.3**3)
    )


def test_beech_has_no_stiffness_as_a_belt():
    assert materials.stuff("beech").axial_stiffness(3) is None
