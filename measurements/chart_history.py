"""The revisions of a chart with what each of them changed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from measurements.chart_changes import ChartChanges, changes
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.models import ChartRevision, ChartRow, ChartValue, Size


@dataclass(frozen=True)
class Entry:
    """One revision; `changed` is None for the first."""

    revision: ChartRevision
    table: ChartTable
    changed: ChartChanges | None


def entries(revisions: Sequence[ChartRevision]) -> list[Entry]:
    """Revisions newest first, each compared with the one after it in the list; the last is compared with nothing."""
    tables = load_tables(revisions)
    return [
        Entry(
            revision,
            tables[revision.pk],
            changes(tables[older.pk], tables[revision.pk]) if older else None,
        )
        for revision, older in zip(revisions, [*revisions[1:], None], strict=True)
    ]


def load_tables(revisions: Sequence[ChartRevision]) -> dict[int, ChartTable]:
    """The charts of several revisions by primary key, in three queries."""
    pks = [revision.pk for revision in revisions]
    sizes: dict[int, list[Size]] = defaultdict(list)
    rows: dict[int, list[ChartRow]] = defaultdict(list)
    for size in Size.objects.filter(revision__in=pks).order_by("position"):
        sizes[size.revision_id].append(size)
    for row in ChartRow.objects.filter(revision__in=pks).order_by("position"):
        rows[row.revision_id].append(row)
    values = ChartValue.objects.filter(row__revision__in=pks)
    cells = {(value.row_id, value.size_id): ChartCell(value.mm, value.typed, value.unit) for value in values}
    return {pk: _table(sizes[pk], rows[pk], cells) for pk in pks}


def _table(sizes: list[Size], rows: list[ChartRow], cells: dict[tuple[int, int], ChartCell]) -> ChartTable:
    return ChartTable(
        tuple(size.label for size in sizes),
        next((size.label for size in sizes if size.is_base), None),
        tuple(
            ChartLine(row.key, row.label, tuple(cells.get((row.pk, size.pk)) for size in sizes), tuple(row.breaks))
            for row in rows
        ),
    )
