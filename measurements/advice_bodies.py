"""A table of bodies, one a row, each column a measurement; a row that cannot be read keeps its reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal

from measurements.advice_text import AdviceError, body_length, fitting_unit, refuse
from measurements.body_measures import BODY_MEASURES
from measurements.chart_layout import BLANKS
from measurements.chart_text import ChartError, ChartLimits, Grid
from measurements.lengths import Unit
from measurements.measures import split_unit
from measurements.sentences import Sentence, gettext_noop
from measurements.sheets import file_grids

# Far more bodies than a chart has cells: surveys have thousands of people.
LIMITS = ChartLimits(most_bytes=20_000_000, most_unpacked=60_000_000, most_cells=2_000_000)


@dataclass(frozen=True)
class BodyRow:
    """One body: mm by measurement. `trouble` tells why it cannot be read; `name` is its first cell, where that is
    none of its measurements."""

    name: str
    body: dict[str, Decimal] = field(default_factory=dict)
    trouble: Sentence | None = None


@dataclass(frozen=True)
class _Column:
    at: int
    place: str
    unit: Unit
    stated: bool


def read_bodies(data: bytes, unit: Unit) -> list[BodyRow]:
    """The bodies of a CSV or XLSX file, in its order; `unit` holds for columns that name none.

    Raises AdviceError where the file is no table, or no column is a measurement.
    """
    try:
        grids = file_grids(data, LIMITS)
    except ChartError as wrong:
        raise AdviceError(wrong.sentence) from None
    grid: Grid = grids[0] if grids else ()
    columns = [_fitting(column, grid[1:]) for column in _columns(grid[0], unit)] if grid else []
    if not columns:
        said = gettext_noop("The file of bodies needs a first row that names measurements, such as bust, waist, hip.")
        raise refuse("no_columns", said)
    named = all(column.at for column in columns)
    return [_row(line, columns, line[0] if named else "") for line in grid[1:]]


def _columns(header: tuple[str, ...], unit: Unit) -> Iterator[_Column]:
    seen: set[str] = set()
    for at, cell in enumerate(header):
        name, stated = split_unit(cell)
        measure = BODY_MEASURES.find(name)
        if measure is None:
            continue
        if measure.key in seen:
            raise refuse("twice", gettext_noop("The column “%(name)s” is there twice."), name=name)
        seen.add(measure.key)
        yield _Column(at, measure.key, stated or unit, bool(stated))


def _fitting(column: _Column, lines: Iterable[tuple[str, ...]]) -> _Column:
    """The column in the unit that its numbers fit, where none of them fits the chart's."""
    measured = ((column.place, line[column.at]) for line in lines if line[column.at].lower() not in BLANKS)
    return replace(column, unit=column.unit if column.stated else fitting_unit(measured, column.unit))


def _row(line: tuple[str, ...], columns: list[_Column], name: str) -> BodyRow:
    try:
        filled = (column for column in columns if line[column.at].lower() not in BLANKS)
        return BodyRow(name, {c.place: body_length(c.place, line[c.at], c.unit) for c in filled})
    except AdviceError as wrong:
        return BodyRow(name, trouble=wrong.sentence)
