"""A table of fabric lengths over widths: a wider cloth never needs more, a larger garment never less.

Finds the cells that break that order, the likeliest misprint first. Plain values; any unit, the same throughout.
Method: docs/algorithms/fabric-widths.md.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

Place = tuple[int, int]


@dataclass(frozen=True)
class Misprint:
    """One cell out of order: its row and column, its value, and between which values it would stand in order.

    `low` or `high` is None where nothing in the table limits it on that side.
    """

    row: int
    column: int
    value: Fraction
    low: Fraction | None
    high: Fraction | None


def misprints(rows: Sequence[Sequence[Fraction | None]]) -> tuple[Misprint, ...]:
    """The cells to doubt: rows from small to large, columns from narrow to wide, None where a cell is empty.

    The cell that is out of order with most others is doubted first and set aside, until the rest is in order.
    """
    cells = {(r, c): value for r, row in enumerate(rows) for c, value in enumerate(row) if value is not None}
    doubted: list[Place] = []
    while faults := Counter(place for pair in _out_of_order(cells) for place in pair):
        worst = max(faults, key=lambda place: (faults[place], place))
        doubted.append(worst)
        del cells[worst]
    found = ((place, rows[place[0]][place[1]]) for place in doubted)
    return tuple(Misprint(*place, value, *_limits(place, cells)) for place, value in found if value is not None)


def _out_of_order(cells: Mapping[Place, Fraction]) -> Iterator[tuple[Place, Place]]:
    """Pairs in one row of which the wider needs more, and in one column of which the larger needs less."""
    for (row, column), value in cells.items():
        for (other_row, other_column), other in cells.items():
            wider = row == other_row and column < other_column and value < other
            larger = column == other_column and row < other_row and value > other
            if wider or larger:
                yield (row, column), (other_row, other_column)


def _limits(place: Place, cells: Mapping[Place, Fraction]) -> tuple[Fraction | None, Fraction | None]:
    row, column = place
    low = [v for (r, c), v in cells.items() if (r == row and c > column) or (c == column and r < row)]
    high = [v for (r, c), v in cells.items() if (r == row and c < column) or (c == column and r > row)]
    return max(low, default=None), min(high, default=None)
