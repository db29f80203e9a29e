"""A report as text for a terminal: headings, short lines, words of the bench."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from animator.findings.report import Expectation, Finding, Measure, Report

EVERYWHERE = {
    "all": "at every friction",
    "low": "with the least friction",
    "middle": "with middling friction",
    "high": "with the most friction",
    "slow": "turned slowly",
    "fast": "turned fast",
}
NARROWEST = 50  # columns; below this nothing can be read anyhow
ENOUGH = 0.005  # of the work in; smaller places of heat are told together
HARDLY = 0.01  # of a turn
NOTHING = 5e-4  # in any unit a maker uses: half a micrometre, half a thousandth of a newton
LEAST = 0.001
RANGED = ("lift", "height", "speed", "contact force", "tension", "torque", "force")


def tell(report: Report, width: int = 96) -> Iterator[tuple[str, str]]:
    """Give the report line by line: (sort, text), where the sort is ``title``, ``heading``, ``good``, ``bad`` or ``plain``.

    Parameters
    ----------
    report
        What to tell.
    width
        Columns of the terminal.
    """
    width = max(width, NARROWEST)
    variant = f", variant {report.variant}" if report.variant else ""
    yield "title", f"{report.scene}{variant}"
    yield from _wrapped(
        _span(report),
        width,
        "",
    )
    if report.loop is not None:
        yield from _wrapped(report.loop.sentence, width, "")
    yield from _findings(report.findings, width)
    if report.expectations:
        yield "heading", "Expectations"
        for claim in report.expectations:
            yield from _expectation(claim, width)
    if report.measures:
        yield "heading", "Measures at middling friction (from lowest to highest in brackets)"
        yield from _measures(report.measures, width)
    if report.theory:
        yield "heading", "Theory beside it"
        for form in report.theory:
            run = report.measures[form.measure]
            text = f"{form.measure} {_number(run.value)} {run.unit}, by theory {_number(form.value)} {form.unit}: {form.source}"
            yield from _wrapped(text, width, "      ", "  ")
    yield from _effort(report, width)
    yield from _trust(report, width)
    if report.cautions:
        yield "heading", "What to mind"
        for caution in report.cautions:
            yield from _wrapped(f"{caution.what}: {caution.sentence}", width, "    ", "  ")
    if report.assumptions:
        yield "heading", "Taken for granted, as the scene doesn't say"
        for sentence in report.assumptions:
            yield from _wrapped(sentence, width, "  ")


def _span(report: Report) -> str:
    """Say over what the measures count."""
    turns, seconds = f"{report.turns:.3g}", f"{report.seconds:.3g}"
    if abs(report.turns) < HARDLY:
        return f"It hardly turned in the {seconds} s that are counted."
    plural = "turn is" if turns == "1" else "turns are"
    return f"{turns} {plural} counted, {seconds} s, after the start."


def _wrapped(
    text: str, width: int, indent: str, first: str | None = None, sort: str = "plain"
) -> Iterator[tuple[str, str]]:
    opening = indent if first is None else first
    for line in textwrap.wrap(
        text,
        width,
        initial_indent=opening,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    ):
        yield sort, line


def _findings(findings: tuple[Finding, ...], width: int) -> Iterator[tuple[str, str]]:
    yield "heading", "What happens"
    if not findings:
        yield "good", "  Nothing jams, stalls, floats, slips or jerks."
    for finding in findings:
        at = EVERYWHERE.get(finding.at) or " or ".join(
            EVERYWHERE.get(name, name) for name in finding.at.split(", ")
        )
        yield "bad", f"  {finding.code}: {finding.part}, {at}"
        # sentences are printed as they stand: a part's name is written as its maker writes it, so no capital is put on it
        yield from _wrapped(finding.sentence + ".", width, "    ")
        if finding.why:
            yield from _wrapped(finding.why, width, "    ")
        for mend in finding.mend:
            yield from _wrapped(
                f"{mend.path}: {mend.value}", width, "            ", "    write   ", "good"
            )
            yield from _wrapped(mend.sentence, width, "            ")


def _expectation(claim: Expectation, width: int) -> Iterator[tuple[str, str]]:
    verdict = "met      " if claim.met else "not met  "
    text = claim.text
    if claim.measured is not None:
        text += f"   (measured {_number(claim.measured)} {claim.unit}".rstrip()
        text += ")" if claim.at in ("all", "") else f", {EVERYWHERE.get(claim.at, claim.at)})"
    elif not claim.met:
        text += "   (it never came to that)"
    yield from _wrapped(
        text, width, "           ", f"  {verdict}", "good" if claim.met else "bad"
    )


def _measures(measures: Mapping[str, Measure], width: int) -> Iterator[tuple[str, str]]:
    by_part: dict[str, list[str]] = {}
    for name, measure in measures.items():
        part, _, word = name.rpartition(".")
        ends = measure
        if word == "height" and f"{part}.lift" in measures:
            continue  # told with the lift
        if word == "lift":
            ends = measures.get(f"{part}.height", measure)
        text = f"{word} {_number(measure.value)} {measure.unit}".rstrip()
        if word in RANGED and _number(ends.min) != _number(ends.max):
            text += f" [{_number(ends.min)} to {_number(ends.max)}]"
        if word == "force" and measure.min < 0 and f"{part}.start torque" in measures:
            text += ", below 0 it pulls the hand along"
        by_part.setdefault(part, []).append(text)
    column = min(max(map(len, by_part)) + 4, 24)
    for part, texts in by_part.items():
        yield from _wrapped(
            ", ".join(texts), width, " " * column, f"  {part}".ljust(column - 1) + " "
        )


def _number(value: float) -> str:
    """Write a number with three or four figures, as much as can be trusted.

    Examples
    --------
    >>> _number(13.9987), _number(0.02945), _number(1234.5), _number(-0.00002)
    ('14', '0.0294', '1234', '0')
    """
    if abs(value) < NOTHING:
        return "0"
    return (
        f"{value:.0f}"
        if abs(value) >= 1000
        else f"{float(f'{value:.4g}' if abs(value) >= 1 else f'{value:.3g}'):g}"
    )


def _least(value: float) -> str:
    """Write a small amount; what is less than anyone could measure is not told to its last figure."""
    return f"{value:.2g}" if value >= LEAST else f"less than {LEAST:g}"


def _effort(report: Report, width: int) -> Iterator[tuple[str, str]]:
    energy = report.energy
    if energy.work_in_J <= 0:
        return
    yield (
        "heading",
        f"Where the turning effort goes ({_number(1000 * energy.work_in_J)} mJ in all)",
    )
    rest = 0.0
    for place, joule in energy.heat_J.items():
        if joule < ENOUGH * energy.work_in_J:
            rest += joule
            continue
        yield "plain", f"  {100 * joule / energy.work_in_J:5.1f} %  {place}"
    if abs(rest) > ENOUGH * energy.work_in_J:
        yield "plain", f"  {100 * rest / energy.work_in_J:5.1f} %  other places"
    if abs(energy.stored_J) > ENOUGH * energy.work_in_J:
        yield (
            "plain",
            f"  {100 * energy.stored_J / energy.work_in_J:5.1f} %  still in springs, weights and what moves",
        )


def _trust(report: Report, width: int) -> Iterator[tuple[str, str]]:
    trust = report.trust
    yield "heading", "Trust"
    if not trust.ok:
        yield from _wrapped(f"Not to be trusted: {trust.sentence}.", width, "  ", sort="bad")
    yield from _wrapped(
        f"Step {1000 * trust.dt_s:g} ms, {trust.iterations} iterations; joints within {max(trust.joint_error_mm, LEAST):.2g} mm; "
        f"{_least(report.energy.residual_percent)} % of the work not accounted for.",
        width,
        "  ",
    )
    if trust.verify_percent is not None:
        changed = {
            name: change
            for name, change in trust.verify_by_measure_percent.items()
            if change >= 0.01
        }
        yield from _wrapped(
            f"At half the step no measure changes by more than {trust.verify_percent:.2g} %.",
            width,
            "  ",
            sort="good" if trust.ok else "bad",
        )
        for name, change in sorted(changed.items(), key=lambda row: -row[1]):
            yield "plain", f"    {name}: {change:.2g} %"
