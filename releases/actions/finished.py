from __future__ import annotations

from django.db import transaction
from django.utils.translation import gettext as _

from measurements.chart_store import add_revision
from measurements.charts import ChartTable
from measurements.length_display import style_that_keeps
from measurements.models import ChartAbout, ChartRevision, SizeChart
from people.audit import record
from people.models import Person
from releases.actions.refused import draft_only
from releases.actions.stale import done_anew, note_change
from releases.actions.versions import PINNED
from releases.models import Pattern, Version
from releases.stale import Change
from releases.stale_store import rows_touched
from releases.tables import charts_of


@transaction.atomic
def write_finished(*, version: Version, table: ChartTable, unit: str, by: Person) -> ChartRevision:
    """Write the finished measurements of a draft as the next revision of the pattern's finished chart.

    Other versions keep the revision that they pinned. Raises Refused once the version is tested.
    """
    held = draft_only(version, PINNED)
    before = charts_of(held)[1]
    chart = held.finished_chart.chart if held.finished_chart else _chart_of(version.pattern, unit)
    _show_to_the_digit(chart, table, unit)
    revision = add_revision(chart, table, by=by, note=_("for version %(number)s") % {"number": held.number})
    held.finished_chart = revision
    held.save(update_fields=["finished_chart"])
    version.finished_chart = revision
    record(studio=version.pattern.studio, by=by, verb="finished_written", thing=version, content=_told(table))
    touched = rows_touched(before, charts_of(held)[1])
    note_change(version=held, change=Change("finished", touched), by=by)
    if any(one.key == "opening" for one in touched):
        done_anew(version=held, deed="opening", by=by)
    return revision


def _chart_of(pattern: Pattern, unit: str) -> SizeChart:
    """The finished chart that an earlier version of the pattern began, or a new one."""
    earlier = pattern.versions.exclude(finished_chart=None).select_related("finished_chart__chart").first()
    if earlier and earlier.finished_chart:
        return earlier.finished_chart.chart
    name = (_("%(pattern)s, finished garment") % {"pattern": pattern.name})[:120]
    return SizeChart.objects.create(studio=pattern.studio, name=name, about=ChartAbout.FINISHED, unit=unit)


def _show_to_the_digit(chart: SizeChart, table: ChartTable, unit: str) -> None:
    """Published tables must come out as they were typed: the coarsest steps that keep every cell."""
    cells = [cell for line in table.lines for cell in line.cells if cell]
    style = style_that_keeps(
        (cell.mm for cell in cells if cell.unit != "in"), (cell.mm for cell in cells if cell.unit == "in")
    )
    chart.cm_step, chart.inch_parts = style.cm_step, style.inch_denominator
    chart.unit = "in" if unit == "in" else "cm"
    chart.save(update_fields=["cm_step", "inch_parts", "unit"])


def _told(table: ChartTable) -> list[object]:
    return [table.sizes, [[line.key, line.mm] for line in table.lines]]
