"""A chart as it was read, before anyone saves it: every cell with its text, its length and its doubt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.lengths import Length, Unit
from measurements.sentences import Sentence

# Doubts that stop a chart from being saved: two sizes or rows could not be told apart.
OBSTACLES = frozenset({"no_label", "same_label", "long_label", "no_name", "same_measure"})


@dataclass(frozen=True)
class DraftCell:
    """One cell: the text as typed, the length when it could be read, what is doubtful about it."""

    typed: str
    length: Length | None = None
    doubt: Sentence | None = None

    @property
    def mm(self) -> Decimal | None:
        return self.length.mm if self.length else None

    @property
    def unread(self) -> bool:
        """Whether something stands here that is no length; an empty cell is only a gap."""
        return self.length is None and self.doubt is not None and self.doubt.code != "no_value"


@dataclass(frozen=True)
class DraftSize:
    label: str
    doubt: Sentence | None = None


@dataclass(frozen=True)
class DraftRow:
    """One measurement: the key that it is kept under, the label without its unit, the unit of its bare numbers.

    `known` tells whether the key is a measurement of the catalogue; `unit_stated`, whether the row named its unit.
    """

    key: str
    label: str
    unit: Unit
    cells: tuple[DraftCell, ...]
    doubt: Sentence | None = None
    known: bool = True
    unit_stated: bool = False

    @property
    def typed_label(self) -> str:
        """The label that reads back the same way: with the unit when the row named one."""
        return f"{self.label} ({self.unit})" if self.unit_stated else self.label


@dataclass(frozen=True)
class ChartDraft:
    """A chart before it is saved. A `refusal` says why there is none.

    `unit_guessed` tells that neither the person nor the sheet named the unit.
    """

    unit: Unit
    sizes: tuple[DraftSize, ...] = ()
    rows: tuple[DraftRow, ...] = ()
    doubts: tuple[Sentence, ...] = ()
    unit_guessed: bool = False
    refusal: Sentence | None = None

    @property
    def doubtful_cells(self) -> int:
        return sum(cell.doubt is not None for row in self.rows for cell in row.cells)

    @property
    def obstacles(self) -> tuple[Sentence, ...]:
        """What must be put right before the chart can be saved; every other doubt may stand."""
        return (self.refusal,) if self.refusal else tuple(self._obstacles())

    def _obstacles(self) -> Iterator[Sentence]:
        for doubt in (*(size.doubt for size in self.sizes), *(row.doubt for row in self.rows)):
            if doubt and doubt.code in OBSTACLES:
                yield doubt
        for row in self.rows:
            yield from (cell.doubt for cell in row.cells if cell.doubt and cell.unread)

    def table(self, base: str | None = None) -> ChartTable:
        """The draft as a chart. Raises ValueError while there are obstacles."""
        if obstacles := self.obstacles:
            raise ValueError(str(obstacles[0]))
        return readable_table(self, base)


def readable_table(draft: ChartDraft, base: str | None = None) -> ChartTable:
    """What could be read of a draft; a cell that could not is silent. Its sizes and rows must be told apart."""
    lines = (ChartLine(row.key, row.label, tuple(map(_chart_cell, row.cells))) for row in draft.rows)
    return ChartTable(tuple(size.label for size in draft.sizes), base, tuple(lines))


def _chart_cell(cell: DraftCell) -> ChartCell | None:
    return ChartCell(cell.length.mm, cell.length.typed, cell.length.unit) if cell.length else None
