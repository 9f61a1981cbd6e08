"""A chart that comes inside another file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from measurements.chart_store import add_revision
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.models import ChartAbout, ChartRevision, SizeChart
from people.models import Person, Studio


def chart_from_columns(
    *,
    studio: Studio,
    name: str,
    about: ChartAbout,
    sizes: Sequence[str],
    base: str | None,
    columns: Mapping[str, Sequence[Decimal | None]],
    by: Person | None,
) -> ChartRevision:
    """Write {measure: millimetres per size} as a new chart. Lengths are shown to 0.1 cm: the file's own digits."""
    chart = SizeChart.objects.create(studio=studio, name=name, about=about, cm_step="0.1")
    lines = tuple(
        ChartLine(
            key,
            key.replace("_", " ").capitalize(),
            tuple(None if mm is None else ChartCell(mm, f"{(mm / 10).normalize():f}", "cm") for mm in values),
        )
        for key, values in columns.items()
    )
    return add_revision(chart, ChartTable(tuple(sizes), base, lines), by=by)
