"""What ``check`` says, as one model that also documents its JSON."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Plain(BaseModel):
    """A frozen record without surprises."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Measure(Plain):
    """One measured quantity in the unit a maker uses; what ``value`` means depends on the word (extent, largest, share ...)."""

    value: float
    unit: str
    min: float
    max: float
    mean: float
    end: float


class Mend(Plain):
    """A change that was tried and works: the path in the scene and the text to write there."""

    path: str
    value: str
    sentence: str


class Finding(Plain):
    """Something the run showed. ``at`` tells at which end of the friction ranges it appears (``low``, ``middle``, ``high``, or ``all``)."""

    code: str
    part: str
    from_s: float
    to_s: float
    from_deg: float
    to_deg: float
    amount: float
    unit: str
    at: str
    sentence: str
    why: str
    mend: tuple[Mend, ...] = ()


class Expectation(Plain):
    """One claim of the scene and what was measured."""

    text: str
    met: bool
    measured: float | None = None
    unit: str = ""
    at: str = ""


class Theory(Plain):
    """What a closed form says of a measure, beside which the run can be seen; no finding asks it."""

    measure: str
    value: float
    unit: str
    source: str


class Energy(Plain):
    """Where the turning effort went, in joules, over the counted span."""

    work_in_J: float
    heat_J: dict[str, float]
    stored_J: float
    residual_percent: float


class TrustReport(Plain):
    """How far the run can be believed."""

    ok: bool
    dt_s: float
    iterations: int
    joint_error_mm: float
    verify_percent: float | None = None
    verify_by_measure_percent: dict[str, float] = {}
    """With ``--verify``: by how much each measure changes at half the step, of its own size."""
    sentence: str = ""
    """What is wrong, if it can't be trusted."""


class Caution(Plain):
    """One thing to mind: ``what`` in a few words, a sentence or two, the ``figure`` that asks for it with its unit, and where the rule stands."""

    what: str
    sentence: str
    figure: float | None = None
    unit: str = ""
    source: str = ""


class LoopReport(Plain):
    """How a film of the run goes round: it ``closes``, ``jumps`` a little at the best join there is, or ``fades``: passes softly over a join that can't be made."""

    join: str
    seconds: float
    turns: int
    part: str
    jump_mm: float
    jump_deg: float
    sentence: str


class Report(Plain):
    """Everything ``check`` has to say of one variant."""

    scene: str
    variant: str | None
    seconds: float
    turns: float
    measures: dict[str, Measure]
    findings: tuple[Finding, ...]
    expectations: tuple[Expectation, ...]
    energy: Energy
    trust: TrustReport
    assumptions: tuple[str, ...]
    theory: tuple[Theory, ...] = ()
    cautions: tuple[Caution, ...] = ()
    loop: LoopReport | None = None
    """None for a piece that stands, or that doesn't get round once."""
