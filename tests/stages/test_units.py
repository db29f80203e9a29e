import math

import pytest

from animator.units import (
    MOST,
    SAMPLES,
    TRADE_UNITS,
    UNITS,
    Range,
    Wrong,
    measure,
    parse,
    parse_range,
    show,
)


@pytest.mark.parametrize(
    ("text", "sort", "value"),
    [
        ("12", "length", 12.0),
        ("1.5 cm", "length", 15.0),
        ("1/2 in", "length", 12.7),
        ("1 1/2 in", "length", 38.1),
        ("-4", "length", -4.0),
        ("90", "angle", math.pi / 2),
        ("2 turns", "angle", 4 * math.pi),
        ("60 rpm", "turning speed", 2 * math.pi),
        ("1.2 kg", "mass", 1200.0),
        ("10 N", "force", 10e6),
        ("100 gf", "force", 100 * 9806.65),
        ("0.3 N m", "torque", 0.3e9),
        ("30 N mm", "torque", 30e6),
        ("1 kg cm", "torque", 98.0665e6),  # a kilogram's weight, 9.80665 N, on 10 mm
        ("0.08 N/mm", "rate", 0.08e6),
        ("2 N m/rad", "turning rate", 2e9),
        ("5 %", "share", 0.05),
        ("250 ms", "time", 0.25),
    ],
)
def test_quantity_is_kept_in_internal_units(text, sort, value):
    assert parse(text, sort) == pytest.approx(value, rel=1e-12)


def test_every_sample_reads_as_its_own_sort():
    for sort, sample in SAMPLES.items():
        assert measure(sample, [sort])[1] == sort
    assert set(SAMPLES) == set(UNITS) == set(MOST)


def test_what_is_shown_reads_back():
    for sort, units in UNITS.items():
        for unit in units:
            assert parse(show(1.25 * units[unit], sort, unit), sort) == pytest.approx(
                1.25 * units[unit]
            )


def test_no_unit_stands_for_two_sorts():
    units = [unit for each in UNITS.values() for unit in each]
    assert len(units) == len(set(units))


@pytest.mark.parametrize(
    ("text", "sort", "what", "write"),
    [
        ("40", "turning speed", "a turning speed without a unit", "'40 rpm'"),
        ("80 g", "rate", "'80 g' is a mass; this wants a rate", "for example '0.08 N/mm'"),
        ("13.5 g", "length", "'13.5 g' is a mass; this wants a length", "'13.5 mm'"),
        ("1,5 N", "force", "a decimal comma", "'1.5 N'"),
        ("40 rmp", "turning speed", "no unit is called 'rmp'", "'40 rpm'"),
        ("2 m m", "length", "no unit is called 'm m'", "'2 mm'"),
        ("1/0", "length", "'1/0' divides by nothing", ""),
        (
            "1e9 rpm",
            "turning speed",
            "'1e9 rpm' is too much for a turning speed",
            "at most 6000 rpm",
        ),
        ("high", "length", "'high' is not a length", "for example '12 mm'"),
        ("1 oz", "mass", "no unit is called 'oz'", "'28.35 g'"),
        ("1/2 inch", "length", "no unit is called 'inch'", "'1/2 in'"),
        ("1 rev per second", "turning speed", "no unit is called 'rev per second'", "'60 rpm'"),
        ("60 revs a minute", "turning speed", "no unit is called 'revs a minute'", "'60 rpm'"),
        ("2 revolutions", "angle", "no unit is called 'revolutions'", "'2 turns'"),
        ("2 kg", "force", "'2 kg' is a mass; this wants a force", "'19.6 N'"),
        ("5 MN", "force", "no unit is called 'MN'", "one of these after the number: N, mN, gf"),
    ],
)
def test_slip_is_told_with_the_makers_own_number(text, sort, what, write):
    with pytest.raises(Wrong) as caught:
        parse(text, sort)
    assert (caught.value.what, caught.value.write) == (what, write)


def test_wrong_half_of_a_quantity_is_pointed_at():
    with pytest.raises(Wrong) as caught:
        parse("40 rmp", "turning speed")
    assert "40 rmp"[caught.value.start :][: caught.value.length] == "rmp"


@pytest.mark.parametrize("text", ["9" * 400, "1e400", "-1e9", "nan", "inf", "٣"])
def test_number_that_is_none_or_huge_is_refused(text):
    with pytest.raises(Wrong):
        parse(text, "length")


def test_range_shares_its_unit_and_has_a_middle():
    ends = parse_range("30 to 50 rpm", "turning speed")
    assert ends == parse_range("30 rpm to 50 rpm", "turning speed")
    assert ends.at(0.5) == pytest.approx(parse("40 rpm", "turning speed"))
    assert parse_range("0.3", "ratio") == Range(0.3, 0.3)


def test_range_that_runs_backwards_is_turned_round_in_the_advice():
    with pytest.raises(Wrong) as caught:
        parse_range("50 to 30 rpm", "turning speed")
    assert caught.value.write == "'30 to 50 rpm'"


def test_range_in_a_strange_unit_is_mended_at_both_ends():
    with pytest.raises(Wrong) as caught:
        parse_range("1 to 2 rps", "turning speed")
    wrong = caught.value
    assert wrong.write == "'60 to 120 rpm'"
    assert "1 to 2 rps"[wrong.start : wrong.start + wrong.length] == "rps"


@pytest.mark.parametrize("unit", TRADE_UNITS)
def test_advice_for_a_unit_of_the_trade_keeps_the_size(unit):
    sort = next(sort for sort, units in UNITS.items() if TRADE_UNITS[unit][0] in units)
    if unit in UNITS[sort]:
        return  # the table has it too
    with pytest.raises(Wrong) as caught:
        parse(f"1 {unit}", sort)
    meant, factor = TRADE_UNITS[unit]
    assert parse(caught.value.write.strip("'"), sort) == pytest.approx(
        factor * UNITS[sort][meant], rel=1e-3
    )
