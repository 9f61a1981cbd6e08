"""How measurement tables lie on paper: which way the sheet is turned, which unit, which sizes a table holds.

Never smaller than 7.5 pt, so a range that is too wide is not shrunk. Tried in turn:
both systems on an upright sheet; both on a turned one; a table a unit system on a turned one; and where even that
is too wide, groups of neighbouring sizes as equal as can be.
Method and limits: docs/algorithms/measurement-tables.md. Lengths are Decimals in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil

# Margins of the sheet and the column of names, as the style sheet for paper draws them.
MARGINS_MM = 28.0
NAMES_MM, NAMES_CLOSE_MM = 38.0, 34.0
# A column that holds "137.5" above "54 1/8" at 9.5 pt, at 8.5 pt, and either of them alone at 8.5 pt (measured).
ROOMY_MM, BOTH_MM, ALONE_MM = 13.0, 11.6, 10.6
BOTH = ("cm", "in")


@dataclass(frozen=True)
class TableRow:
    """One measurement over the sizes of a table; None where it is not given. `note` explains it in a few words."""

    key: str
    label: str
    cells: tuple[Decimal | None, ...]
    note: str = ""


@dataclass(frozen=True)
class TableBlock:
    """Rows of one sort (`body`, `finished` or `ease`) and how their chart shows lengths."""

    key: str
    rows: tuple[TableRow, ...]
    cm_step: str = "0.5"
    inch_parts: int = 8

    def at(self, columns: slice) -> TableBlock:
        return replace(self, rows=tuple(replace(row, cells=row.cells[columns]) for row in self.rows))


@dataclass(frozen=True)
class Tables:
    """All measurements of a version: its sizes in order, the base size, the blocks."""

    sizes: tuple[str, ...]
    base: str
    blocks: tuple[TableBlock, ...]

    @property
    def rows(self) -> int:
        return sum(len(block.rows) for block in self.blocks)


@dataclass(frozen=True)
class Sheet:
    """One table: the units that it shows, its sizes, and its share of every row."""

    units: tuple[str, ...]
    sizes: tuple[str, ...]
    blocks: tuple[TableBlock, ...]


@dataclass(frozen=True)
class Layout:
    """The tables of a document. `close` asks for the smaller type; `turned` for the sheet on its side."""

    sheets: tuple[Sheet, ...]
    turned: bool
    close: bool

    @property
    def rows(self) -> int:
        return sum(len(block.rows) for sheet in self.sheets for block in sheet.blocks)


def lay_out(tables: Tables, width_mm: float, height_mm: float) -> Layout:
    """Tables for a sheet of this width and height (upright)."""
    count = len(tables.sizes)
    for turned, across in ((False, width_mm), (True, height_mm)):
        for close, names, column in ((False, NAMES_MM, ROOMY_MM), (True, NAMES_CLOSE_MM, BOTH_MM)):
            if count <= _columns(across, names, column):
                return Layout(_sheets(tables, [BOTH], 1), turned, close)
    parts = ceil(count / _columns(height_mm, NAMES_CLOSE_MM, ALONE_MM))
    close = ceil(count / parts) > _columns(height_mm, NAMES_MM, ROOMY_MM)
    return Layout(_sheets(tables, [("cm",), ("in",)], parts), turned=True, close=close)


def on_screen(tables: Tables, first: str = "body") -> Sheet:
    """The one table of a web page: both systems, every size. The block `first` leads and the body closes."""
    order = {"body": 1, first: -1}
    return Sheet(BOTH, tables.sizes, tuple(sorted(tables.blocks, key=lambda block: order.get(block.key, 0))))


def _columns(across_mm: float, names_mm: float, column_mm: float) -> int:
    return int((across_mm - MARGINS_MM - names_mm) / column_mm)


def _sheets(tables: Tables, units: Sequence[tuple[str, ...]], parts: int) -> tuple[Sheet, ...]:
    groups = _groups(len(tables.sizes), parts)
    return tuple(
        Sheet(unit, tables.sizes[group], tuple(block.at(group) for block in tables.blocks))
        for unit in units
        for group in groups
    )


def _groups(count: int, parts: int) -> list[slice]:
    """So many runs of neighbours, the longer ones first, none longer than another by more than one."""
    short, longer = divmod(count, max(1, parts))
    ends = [i * short + min(i, longer) for i in range(parts + 1)]
    return [slice(a, b) for a, b in itertools.pairwise(ends)]
