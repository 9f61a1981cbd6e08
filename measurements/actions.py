"""What changes a size chart. Each verb is one transaction, and leaves its entry in the trail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from measurements.chart_changes import Merged, changes, merge
from measurements.chart_store import add_revision, load_table
from measurements.charts import ChartTable
from measurements.ease import LEAST_EASE_MM
from measurements.lengths import Length
from measurements.models import AdviceRules, ChartAbout, ChartRevision, SizeChart
from people.audit import record
from people.models import Person, Studio


@dataclass(frozen=True)
class ChartSaved:
    """What an edit wrote: the revision, or None where nothing had changed; and whose it was put together with."""

    revision: ChartRevision | None
    together_with: ChartRevision | None = None


class ChartConflictError(Exception):
    """Somebody changed the same cells since the chart was opened; nothing was written.

    `merged` holds both people's changes, `latest` the revision that came between.
    """

    def __init__(self, merged: Merged, latest: ChartRevision) -> None:
        super().__init__(f"{len(merged.conflicts)} cells")
        self.merged = merged
        self.latest = latest


@transaction.atomic
def make_chart(
    *,
    studio: Studio,
    name: str,
    table: ChartTable,
    unit: str,
    cm_step: Decimal | str,
    inch_parts: int,
    by: Person,
    about: str = ChartAbout.BODY,
    note: str = "",
) -> SizeChart:
    """A new chart with its first revision. `unit` (cm or in) is what bare numbers will be typed in later."""
    chart = SizeChart.objects.create(
        studio=studio, name=name, about=about, unit=unit, cm_step=cm_step, inch_parts=inch_parts
    )
    add_revision(chart, table, by=by, note=note)
    record(studio=studio, by=by, verb="chart_made", thing=chart, content=table)
    return chart


@transaction.atomic
def edit_chart(*, chart: SizeChart, table: ChartTable, opened: ChartRevision, by: Person, note: str = "") -> ChartSaved:
    """Write the next revision, where something changed since `opened`, together with what others saved meanwhile.

    Raises ChartConflictError where the same cell was changed in two ways.
    """
    SizeChart.objects.select_for_update().get(pk=chart.pk)
    latest = ChartRevision.objects.select_related("by").filter(chart=chart).order_by("-number")[0]
    before = load_table(opened)
    if not changes(before, table):
        return ChartSaved(None)
    if latest.pk == opened.pk:
        return ChartSaved(_write(chart, table, by, note))
    newest = load_table(latest)
    merged = merge(before, table, newest)
    if merged.conflicts:
        raise ChartConflictError(merged, latest)
    if not changes(newest, merged.table):
        return ChartSaved(None, latest)
    return ChartSaved(_write(chart, merged.table, by, note), latest)


def _write(chart: SizeChart, table: ChartTable, by: Person, note: str) -> ChartRevision:
    revision = add_revision(chart, table, by=by, note=note)
    record(studio=chart.studio, by=by, verb="chart_edited", thing=revision, content=table)
    return revision


@transaction.atomic
def describe_chart(*, chart: SizeChart, by: Person, **said: Any) -> bool:
    """Set the chart's name and how its lengths are shown; False where nothing changed."""
    fields = {name: value for name, value in said.items() if str(getattr(chart, name)) != str(value)}
    if not fields:
        return False
    for name, value in fields.items():
        setattr(chart, name, value)
    chart.save(update_fields=list(fields))
    record(studio=chart.studio, by=by, verb="chart_described", thing=chart, content=fields)
    return True


@transaction.atomic
def write_advice_rules(*, studio: Studio, fields: Mapping[str, Any], by: Person) -> AdviceRules:
    """A studio's rules for size advice.

    `fields`: preference; least_bust, least_waist, least_hip, comfort, roomy, cup (Length); blend_sizes. None is the
    usual rule.
    """
    rules, _ = AdviceRules.objects.get_or_create(studio=studio)
    rules.preference, rules.blend_sizes = fields["preference"], fields["blend_sizes"]
    least = {place: fields[f"least_{place}"] for place in LEAST_EASE_MM}
    rules.least = {place: {"mm": str(of.mm), "typed": _with_unit(of)} for place, of in least.items() if of}
    for name in ("comfort", "roomy", "cup"):
        length = fields[name]
        setattr(rules, f"{name}_mm", length.mm if length else None)
        setattr(rules, f"{name}_typed", _with_unit(length))
    rules.save()
    record(studio=studio, by=by, verb="advice_rules_written", thing=rules, content=dict(fields))
    return rules


def _with_unit(length: Length | None) -> str:
    """What was typed, so that it means the same to a reader of the other unit."""
    if length is None:
        return ""
    return length.typed if length.stated else f"{length.typed} {length.unit}"
