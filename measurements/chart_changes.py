"""What differs between two states of a chart, and how two people's changes of one chart come together.

Method, limits and a worked example: docs/algorithms/chart-changes.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from measurements.charts import ChartCell, ChartLine, ChartTable

Place = tuple[str, str]
Value = TypeVar("Value")


@dataclass(frozen=True)
class CellChange:
    """One cell that two states share and that differs: measurement (key, label), size, both cells."""

    key: str
    label: str
    size: str
    before: ChartCell | None
    after: ChartCell | None


@dataclass(frozen=True)
class ChartChanges:
    """All that differs. Sizes and rows that came or went stand here whole, not cell by cell."""

    cells: tuple[CellChange, ...] = ()
    sizes_added: tuple[str, ...] = ()
    sizes_gone: tuple[str, ...] = ()
    rows_added: tuple[str, ...] = ()
    rows_gone: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    base: tuple[str | None, str | None] | None = None
    reordered: bool = False
    breaks: bool = False

    def __bool__(self) -> bool:
        return self != ChartChanges()


@dataclass(frozen=True)
class CellConflict:
    """A cell that two people changed in two ways since both opened the chart."""

    key: str
    size: str
    mine: ChartCell | None
    theirs: ChartCell | None


@dataclass(frozen=True)
class Merged:
    """Two people's changes together. Where they conflict the table holds mine, and the conflict holds both."""

    table: ChartTable
    conflicts: tuple[CellConflict, ...] = ()


def changes(before: ChartTable, after: ChartTable) -> ChartChanges:
    """What an edit did."""
    old, new = _cells(before), _cells(after)
    labels = {line.key: line.label for line in before.lines}
    return ChartChanges(
        cells=tuple(
            CellChange(line.key, line.label, size, old[line.key, size], new[line.key, size])
            for line in after.lines
            for size in after.sizes
            if (line.key, size) in old and old[line.key, size] != new[line.key, size]
        ),
        sizes_added=_missing(after.sizes, before.sizes),
        sizes_gone=_missing(before.sizes, after.sizes),
        rows_added=tuple(line.label for line in after.lines if line.key not in labels),
        rows_gone=tuple(line.label for line in before.lines if after.line(line.key) is None),
        renamed=tuple(
            (labels[line.key], line.label) for line in after.lines if labels.get(line.key, line.label) != line.label
        ),
        base=(before.base, after.base) if before.base != after.base else None,
        reordered=_reordered(before.sizes, after.sizes) or _reordered(_keys(before), _keys(after)),
        breaks=any(set(old_line.breaks) != set(line.breaks) for old_line, line in _shared(before, after)),
    )


def merge(opened: ChartTable, mine: ChartTable, theirs: ChartTable) -> Merged:
    """My changes and theirs, both made from `opened`. Nothing that either wrote is lost."""
    cells = {"opened": _cells(opened), "mine": _cells(mine), "theirs": _cells(theirs)}
    touched = [place for place in cells["theirs"] if _differs(cells["opened"].get(place), cells["theirs"][place])]
    touched += [place for place in cells["mine"] if _differs(cells["opened"].get(place), cells["mine"][place])]
    keys = _merged_order(_keys(opened), _keys(mine), _keys(theirs), {key for key, _ in touched})
    sizes = _merged_order(opened.sizes, mine.sizes, theirs.sizes, {size for _, size in touched})
    conflicts: list[CellConflict] = []

    def cell(place: Place) -> ChartCell | None:
        mine_cell, theirs_cell = (_at(cells, who, place) for who in ("mine", "theirs"))
        was = cells["opened"].get(place)
        if mine_cell == was:
            return theirs_cell
        if _differs(was, theirs_cell) and _differs(mine_cell, theirs_cell):
            conflicts.append(CellConflict(*place, mine_cell, theirs_cell))
        return mine_cell

    lines = tuple(_merged_line(key, opened, mine, theirs, sizes, cell) for key in keys)
    base = _pick(opened.base, mine.base, theirs.base)
    return Merged(ChartTable(sizes, base if base in sizes else None, lines), tuple(conflicts))


def _merged_line(
    key: str,
    opened: ChartTable,
    mine: ChartTable,
    theirs: ChartTable,
    sizes: Sequence[str],
    cell: Callable[[Place], ChartCell | None],
) -> ChartLine:
    known = [line for table in (mine, theirs, opened) if (line := table.line(key))]
    was, my, their = (table.line(key) or known[0] for table in (opened, mine, theirs))
    breaks = _pick(was.breaks, my.breaks, their.breaks)
    return ChartLine(
        key,
        _pick(was.label, my.label, their.label),
        tuple(cell((key, size)) for size in sizes),
        tuple(size for size in breaks if size in sizes),
    )


def _pick(opened: Value, mine: Value, theirs: Value) -> Value:
    """Whose word holds: whoever changed it; mine where both did."""
    return theirs if mine == opened else mine


def _merged_order(
    opened: Sequence[str], mine: Sequence[str], theirs: Sequence[str], touched: set[str]
) -> tuple[str, ...]:
    """Sizes or rows of both: what either added, without what either took out untouched by the other."""
    gone = {name for name in opened if (name not in mine or name not in theirs) and name not in touched}
    lead, other = (mine, theirs) if _reordered(opened, mine) or tuple(theirs) == tuple(opened) else (theirs, mine)
    order = [name for name in lead if name not in gone]
    for name in (*other, *opened):
        if name not in order and name not in gone:
            order.insert(_place_after(order, other if name in other else opened, name), name)
    return tuple(order)


def _place_after(order: Sequence[str], source: Sequence[str], name: str) -> int:
    """Where a name belongs: right after the nearest one that stands before it in its source."""
    for before in reversed(source[: list(source).index(name)]):
        if before in order:
            return list(order).index(before) + 1
    return 0


def _cells(table: ChartTable) -> dict[Place, ChartCell | None]:
    return {(line.key, size): cell for line in table.lines for size, cell in zip(table.sizes, line.cells, strict=True)}


def _at(cells: dict[str, dict[Place, ChartCell | None]], who: str, place: Place) -> ChartCell | None:
    """A person's cell; where they took its size or row out, the cell as it was opened."""
    return cells[who][place] if place in cells[who] else cells["opened"].get(place)


def _differs(one: ChartCell | None, other: ChartCell | None) -> bool:
    return _mm(one) != _mm(other)


def _mm(cell: ChartCell | None) -> Decimal | None:
    return cell.mm if cell else None


def _keys(table: ChartTable) -> tuple[str, ...]:
    return tuple(line.key for line in table.lines)


def _missing(names: Iterable[str], among: Sequence[str]) -> tuple[str, ...]:
    return tuple(name for name in names if name not in among)


def _reordered(before: Sequence[str], after: Sequence[str]) -> bool:
    return [name for name in before if name in after] != [name for name in after if name in before]


def _shared(before: ChartTable, after: ChartTable) -> list[tuple[ChartLine, ChartLine]]:
    return [(old, line) for line in after.lines if (old := before.line(line.key))]
