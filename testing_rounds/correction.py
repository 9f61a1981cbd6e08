"""What to change by how much: the testers' estimate and the grade check's number joined into one proposal.

Where the grade check finds a slip at the same place, in the same direction and in a size that complains, its number is
taken and the testers confirm it or not; else the testers' estimate is taken. Both are always told. Lengths in mm, + is
bigger. Method and limits: docs/algorithms/next-version.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from statistics import median
from typing import Literal

from measurements.length_display import rounded
from measurements.sentences import Sentence, gettext_noop, sentence

Kind = Literal["draft", "grade", "one_size"]
Source = Literal["grade_check", "testers", "asked", "none"]
Range = tuple[Decimal, Decimal]

NO_CHANGE = Decimal(0)
# What a row may be rounded to, the coarsest first: 1/2 cm, 1 mm; 1/8 and 1/16 in.
METRIC_STEPS = (Decimal(5), Decimal(1))
INCH_STEPS = (Decimal("3.175"), Decimal("1.5875"))
KINDS: dict[str, Kind] = {
    "whole_range": "draft",
    "growing_up": "grade",
    "growing_down": "grade",
    "from_size": "grade",
    "one_size": "one_size",
}
_ = gettext_noop


@dataclass(frozen=True)
class Estimate:
    """The testers' estimate: a change per size and the range it lies in (90 %); `asked` where it is only the median of
    the changes that they asked for, with the least and the most of these."""

    by_size: Mapping[str, Decimal]
    ranges: Mapping[str, Range] = field(default_factory=dict)
    asked: bool = False


@dataclass(frozen=True)
class Graded:
    """What the grade check says of the same measurement: its sentence and the change it proposes per size."""

    says: Sentence
    by_size: Mapping[str, Decimal]


@dataclass(frozen=True)
class Correction:
    """One proposal: the change per size that is taken, both numbers it was taken from, and why."""

    measure: str
    kind: Kind
    source: Source
    changes: Mapping[str, Decimal]
    estimate: Estimate
    graded: Graded | None
    agrees: bool | None
    says: Sentence

    @property
    def known(self) -> bool:
        return bool(self.changes)


def correct(
    measure: str,
    shape: str,
    direction: int,
    touched: Sequence[str],
    sizes: Sequence[str],
    *,
    estimate: Estimate,
    graded: Iterable[Graded] = (),
    steps: Sequence[Decimal] = METRIC_STEPS,
) -> Correction:
    """Join both for one zone. `direction` is that of the complaint (-1: too small), `touched` the sizes it names,
    `steps` the row's rounding, coarsest first (rounding_of)."""
    kind = KINDS.get(shape, "one_size")
    slip = next((one for one in graded if _same_place(one, direction, touched)), None)
    taken = _rounded(kind, estimate, touched, sizes, steps)
    if slip is None:
        source: Source = "none" if not taken else "asked" if estimate.asked else "testers"
        return Correction(measure, kind, source, taken, estimate, None, None, sentence(f"from_{source}", _FROM[source]))
    changes = {size: change for size, change in slip.by_size.items() if change}
    agrees = _agrees(changes, estimate, taken)
    code = "grade_alone" if agrees is None else "grade_confirmed" if agrees else "grade_differs"
    if agrees is not None and estimate.asked:
        # What single testers ask for is no range: it tells the direction.
        agrees = all(
            estimate.by_size[size] * change > 0 for size, change in changes.items() if size in estimate.by_size
        )
        code = "grade_asked" if agrees else "grade_differs"
    kind = _kind_of(changes, sizes) if changes else kind
    return Correction(measure, kind, "grade_check", changes, estimate, slip, agrees, sentence(code, _FROM[code]))


def _kind_of(changes: Mapping[str, Decimal], sizes: Sequence[str]) -> Kind:
    """What such numbers are a change of: the draft where all sizes share one, else one size or the grade."""
    if set(changes) == set(sizes) and len(set(changes.values())) == 1:
        return "draft"
    return "one_size" if len(changes) == 1 else "grade"


def _same_place(one: Graded, direction: int, touched: Sequence[str]) -> bool:
    """Whether a finding speaks of a size that complains, and would change it the way that the testers want."""
    return any(one.by_size.get(size, NO_CHANGE) * direction < 0 for size in touched)


def _agrees(changes: Mapping[str, Decimal], estimate: Estimate, taken: Mapping[str, Decimal]) -> bool | None:
    """Whether the testers' range holds the grade check's number in the sizes that both speak of; None: no size."""
    both = [size for size in changes if size in estimate.ranges and (size in taken or size in estimate.by_size)]
    if not both:
        return None
    return all(estimate.ranges[size][0] <= changes[size] <= estimate.ranges[size][1] for size in both)


def _rounded(
    kind: Kind, estimate: Estimate, touched: Sequence[str], sizes: Sequence[str], steps: Sequence[Decimal]
) -> dict[str, Decimal]:
    """The estimate as a pattern cutter would write it: one number for a draft, the sizes named for the others."""
    if kind == "draft":
        one = _one_number(estimate, steps)
        return dict.fromkeys(sizes, one) if one else {}
    named = {size: _to_step(estimate.by_size[size], estimate.ranges.get(size), steps) for size in touched
             if size in estimate.by_size}  # fmt: skip
    return {size: change for size, change in named.items() if change}


def _one_number(estimate: Estimate, steps: Sequence[Decimal]) -> Decimal:
    """The mean over the sizes, inside the range that the sizes share (or the mean of their ranges)."""
    if not estimate.by_size:
        return Decimal(0)
    mean = sum(estimate.by_size.values(), Decimal(0)) / len(estimate.by_size)
    if not estimate.ranges:
        return _to_step(mean, None, steps)
    lows, highs = zip(*estimate.ranges.values(), strict=True)
    shared = max(lows), min(highs)
    if shared[0] > shared[1]:
        shared = sum(lows, Decimal(0)) / len(lows), sum(highs, Decimal(0)) / len(highs)
    return _to_step(mean, shared, steps)


def _to_step(value: Decimal, within: Range | None, steps: Sequence[Decimal]) -> Decimal:
    """Rounded to the coarsest step that stays inside the range; to the finest where none does."""
    for step in steps:
        near = rounded(value, step)
        if near and (within is None or within[0] <= near <= within[1]):
            return near
    return rounded(value, steps[-1])


def rounding_of(row: Iterable[Decimal | None], *, inches: bool = False) -> tuple[Decimal, ...]:
    """The steps that a row may be rounded to: from the coarsest that keeps all its values, down."""
    steps, values = INCH_STEPS if inches else METRIC_STEPS, [mm for mm in row if mm is not None]
    keeps = [step for step in steps if all(abs(mm - rounded(mm, step)) < Decimal("0.001") for mm in values)]
    return tuple(step for step in steps if not keeps or step <= keeps[0])


def asked_estimate(asked: Mapping[str, Sequence[Decimal]], *, pooled: bool) -> Estimate:
    """The median of the changes that testers asked for, per size or (`pooled`, for a draft) over all of them."""
    if pooled:
        every = [change for changes in asked.values() for change in changes]
        asked = {size: every for size, changes in asked.items() if changes} if every else {}
    told = {size: changes for size, changes in asked.items() if changes}
    return Estimate(
        {size: Decimal(median(changes)) for size, changes in told.items()},
        {size: (min(changes), max(changes)) for size, changes in told.items()},
        asked=True,
    )


_FROM = {
    "none": _("Neither the testers nor the grade check give a number: measure, and type it."),
    "testers": _("The grade check finds nothing here: the testers’ estimate is taken, rounded as the chart is."),
    "asked": _(
        "The grade check finds nothing here: the median of the changes asked for is taken, rounded as the chart is."
    ),
    "grade_confirmed": _(
        "The grade check’s number is taken; the testers’ range holds it in every size that both name."
    ),
    "grade_asked": _("The grade check’s number is taken; what testers ask for goes the same way."),
    "grade_differs": _(
        "The grade check’s number is taken, and the testers’ range does not hold it: measure before you cut."
    ),
    "grade_alone": _("The grade check’s number is taken; of these sizes the testers say no number."),
}
