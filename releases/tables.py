"""The measurement tables of a version, from its charts: body, finished garment, ease."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.chart_store import load_table
from measurements.charts import ChartLine, ChartTable
from measurements.ease import ease_rows
from measurements.finished_lengths import finished_row
from measurements.finished_measures import FINISHED_MEASURES
from measurements.measures import Catalogue
from measurements.models import ChartRevision
from releases.models import Version
from releases.table_layout import TableBlock, TableRow, Tables

EMPTY = ChartTable((), None, ())


def charts_of(version: Version) -> tuple[ChartTable, ChartTable]:
    """The body chart and the finished chart that the version pins, each in the version's sizes.

    A revision never changes, and a page asks several times: they are kept with the version that was read.
    """
    mark = (version.body_chart_id, version.finished_chart_id, tuple(version.sizes))
    kept: tuple[Any, tuple[ChartTable, ChartTable]] | None = getattr(version, "_charts_kept", None)
    if kept is None or kept[0] != mark:
        kept = (mark, (_pinned(version.body_chart, version), _pinned(version.finished_chart, version)))
        version._charts_kept = kept  # type: ignore[attr-defined]
    return kept[1]


def _pinned(revision: ChartRevision | None, version: Version) -> ChartTable:
    return EMPTY if revision is None else in_sizes(load_table(revision), version.sizes)


def in_sizes(table: ChartTable, sizes: Iterable[str]) -> ChartTable:
    """The chart in these sizes; a size that it does not know has no values. No sizes asked: all of them."""
    wanted = tuple(sizes) or table.sizes
    places = {label: i for i, label in enumerate(table.sizes)}
    lines = (
        ChartLine(
            line.key,
            line.label,
            tuple(line.cells[places[size]] if size in places else None for size in wanted),
            line.breaks,
        )
        for line in table.lines
    )
    return ChartTable(wanted, table.base if table.base in wanted else None, tuple(lines))


def measurement_tables(version: Version) -> Tables:
    """Everything that a buyer measures by; a block without rows is left out."""
    body, finished = charts_of(version)
    blocks = (
        _block("body", _lines(body, BODY_MEASURES), version.body_chart),
        _block("finished", _with_lengths(version, _lines(finished, FINISHED_MEASURES)), version.finished_chart),
        ease_block(body, finished, version.finished_chart),
    )
    sizes = body.sizes or finished.sizes
    return Tables(sizes, version.base_size or body.base or "", tuple(block for block in blocks if block.rows))


def ease_block(body: ChartTable, finished: ChartTable, shown_as: ChartRevision | None = None) -> TableBlock:
    """Finished minus body, shown as the finished chart is."""
    return _block("ease", _ease(body, finished), shown_as)


def _block(key: str, rows: Iterable[TableRow], revision: ChartRevision | None) -> TableBlock:
    shown = tuple(row for row in rows if any(cell is not None for cell in row.cells))
    if revision is None:
        return TableBlock(key, shown)
    return TableBlock(key, shown, str(revision.chart.cm_step), revision.chart.inch_parts)


def _lines(table: ChartTable, catalogue: Catalogue) -> Iterable[TableRow]:
    for line in table.lines:
        note = _(catalogue[line.key].definition) if line.key in catalogue else ""
        yield TableRow(line.key, line.label, line.mm, note)


def _with_lengths(version: Version, rows: Iterable[TableRow]) -> Iterable[TableRow]:
    """Each row, and after it what the version's further lengths make of it."""
    lengths = list(version.lengths.all()) if version.finished_chart_id else []
    for row in rows:
        yield row
        for length in lengths:
            if length.along == row.key:
                label = _("%(measure)s, %(length)s") % {"measure": row.label, "length": length.name}
                yield TableRow(f"{row.key}:{length.name}", label, finished_row(row.cells, length.change_mm))


def _ease(body: ChartTable, finished: ChartTable) -> Iterable[TableRow]:
    for row in ease_rows(body, finished):
        line = finished.line(row.finished_key)
        cells = tuple(ease.mm if ease else None for ease in row.cells)
        yield TableRow(row.finished_key, line.label if line else row.finished_key, cells)
