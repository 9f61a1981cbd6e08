"""The accepted numbers of a decision: one field a size for the change, and what the garment then measures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from measurements.fields import LengthInput
from measurements.length_display import ALLOWANCE_STYLE
from measurements.lengths import Length, Unit
from testing_rounds.correction import Range
from testing_rounds.models import DecisionKind
from testing_rounds.next_chart import Accepted, SizeBeforeAfter, apply_decisions, before_after
from testing_rounds.zone_correction import ZoneCorrection

# A correction of more than this is another draft; a slip of the finger is more likely.
MOST_MM = Decimal(300)
NUMBERED = (DecisionKind.DRAFT, DecisionKind.GRADE, DecisionKind.ONE_SIZE)


@dataclass(frozen=True)
class ChangeRow:
    """One size of the form: what either source says, the field, and the garment before and after."""

    size: str
    base: bool
    numbers: SizeBeforeAfter
    graded: Decimal | None
    estimate: Decimal | None
    within: Range | None
    field: forms.BoundField | None


def name_of(position: int) -> str:
    return f"change-{position}"


def number_fields(proposal: ZoneCorrection, unit: Unit, form_id: str) -> dict[str, LengthInput]:
    """A field for each size, filled with the proposed change. They stand outside their form, so they name it."""
    fields = {}
    for position, size in enumerate(proposal.charts.finished.sizes):
        field = LengthInput(
            label=_("Change in size %(size)s") % {"size": size},
            required=False,
            signed=True,
            unit=unit,
            most=MOST_MM,
            initial=_text(proposal.correction.changes.get(size), unit),
        )
        field.widget.attrs |= {"form": form_id, "aria-label": field.label, "autocomplete": "off"}
        fields[name_of(position)] = field
    return fields


def _text(change: Decimal | None, unit: Unit) -> str:
    if not change:
        return ""
    return f"{'+' if change > 0 else '-'}{ALLOWANCE_STYLE.number(abs(change), unit)}"


def changes_of(proposal: ZoneCorrection, cleaned: Mapping[str, Any], unit: Unit) -> dict[str, tuple[Decimal, str]]:
    """{size: (mm, text)} of the sizes that change. A proposed number that stands untouched is taken exactly."""
    found = {}
    for position, size in enumerate(proposal.charts.finished.sizes):
        typed: Length | None = cleaned.get(name_of(position))
        proposed = proposal.correction.changes.get(size)
        if typed is None or not typed.mm:
            continue
        exact = proposed if proposed and typed.typed == _text(proposed, unit) else typed.mm
        found[size] = exact, typed.typed if typed.stated else f"{typed.typed} {unit}"
    return found


def recorded(proposal: ZoneCorrection, changes: Mapping[str, tuple[Decimal, str]]) -> dict[str, Any]:
    """The numbers as a decision keeps them: {} where nothing changes. `source` is "own" once one was edited."""
    if not changes:
        return {}
    untouched = {size: mm for size, (mm, _text) in changes.items()} == dict(proposal.correction.changes)
    return {
        "measure": proposal.measure,
        "source": proposal.correction.source if untouched else "own",
        "by_size": {size: {"mm": str(mm), "typed": text} for size, (mm, text) in changes.items()},
    }


def change_rows(
    proposal: ZoneCorrection, changes: Mapping[str, Decimal], fields: Iterable[forms.BoundField | None], base: str
) -> tuple[ChangeRow, ...]:
    """The rows of the table, with the garment as these changes would make it."""
    charts, found = proposal.charts, proposal.correction
    then = apply_decisions(charts.finished, [Accepted(proposal.measure, changes)]).table
    (row,) = before_after(charts.finished, then, charts.body, {proposal.measure})
    graded = found.graded.by_size if found.graded else {}
    return tuple(
        ChangeRow(
            size=one.size,
            base=one.size == base,
            numbers=one,
            graded=graded.get(one.size),
            estimate=found.estimate.by_size.get(one.size),
            within=found.estimate.ranges.get(one.size),
            field=field,
        )
        for one, field in zip(row.sizes, fields, strict=True)
    )
