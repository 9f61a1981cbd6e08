"""Charts between plain values and the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.db import transaction

from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.models import ChartAbout, ChartRevision, ChartRow, ChartValue, Size, SizeChart
from people.models import Person, Studio


def load_table(revision: ChartRevision) -> ChartTable:
    """The chart of a revision, in three queries."""
    return load_tables([revision])[revision.pk]


def load_tables(revisions: Sequence[ChartRevision]) -> dict[int, ChartTable]:
    """{revision pk: its chart} of several revisions, in three queries."""
    sizes, rows = defaultdict(list), defaultdict(list)
    for size in Size.objects.filter(revision__in=revisions).order_by("position"):
        sizes[size.revision_id].append(size)
    for row in ChartRow.objects.filter(revision__in=revisions).order_by("position"):
        rows[row.revision_id].append(row)
    values = ChartValue.objects.filter(row__revision__in=revisions).values_list("row", "size", "mm", "typed", "unit")
    cells = {(row, size): ChartCell(mm, typed, unit) for row, size, mm, typed, unit in values}
    return {one.pk: _table(sizes[one.pk], rows[one.pk], cells) for one in revisions}


def _table(sizes: Sequence[Size], rows: Sequence[ChartRow], cells: Mapping[tuple[int, int], ChartCell]) -> ChartTable:
    return ChartTable(
        sizes=tuple(size.label for size in sizes),
        base=next((size.label for size in sizes if size.is_base), None),
        lines=tuple(
            ChartLine(row.key, row.label, tuple(cells.get((row.pk, s.pk)) for s in sizes), tuple(row.breaks))
            for row in rows
        ),
    )


@transaction.atomic
def add_revision(chart: SizeChart, table: ChartTable, *, by: Person | None, note: str = "") -> ChartRevision:
    """Write the table as the chart's next revision. The caller audits."""
    SizeChart.objects.select_for_update().get(pk=chart.pk)
    last = chart.latest()
    revision = ChartRevision.objects.create(chart=chart, number=last.number + 1 if last else 1, by=by, note=note)
    sizes = Size.objects.bulk_create(
        Size(revision=revision, position=i, label=label, is_base=label == table.base)
        for i, label in enumerate(table.sizes)
    )
    rows = ChartRow.objects.bulk_create(
        ChartRow(revision=revision, position=i, key=line.key, label=line.label, breaks=list(line.breaks))
        for i, line in enumerate(table.lines)
    )
    ChartValue.objects.bulk_create(
        ChartValue(row=row, size=size, mm=cell.mm, typed=cell.typed, unit=cell.unit)
        for row, line in zip(rows, table.lines, strict=True)
        for size, cell in zip(sizes, line.cells, strict=True)
        if cell is not None
    )
    return revision


def load_columns(revisions: list[ChartRevision | None]) -> dict[int, dict[str, dict[str, Decimal]]]:
    """{revision pk: {measure: {size label: mm}}} of several revisions, in one query."""
    columns: dict[int, dict[str, dict[str, Decimal]]] = {r.pk: {} for r in revisions if r is not None}
    cells = ChartRow.objects.filter(revision__in=columns).order_by("position", "values__size__position")
    for pk, key, label, mm in cells.values_list("revision_id", "key", "values__size__label", "values__mm"):
        column = columns[pk].setdefault(key, {})
        if label is not None:
            column[label] = mm
    return columns


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
