"""Finding the chart in a grid of cells: which way it lies, its sizes, its rows, the unit that it states."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from measurements.chart_text import Grid
from measurements.lengths import LengthError, Unit, read_length
from measurements.measures import Catalogue, split_unit, stated_unit

BLANKS = frozenset({"", "-", "–", "—", "n/a", "na", "x", ".", "?"})
_SIZE = re.compile(
    r"(?:size\s*)?(?:\d{1,3}(?:[./-]\d{1,3})?\s*[a-z]{0,2}|\d?x{0,5}[sl]|m|base|one size)", re.IGNORECASE
)
_SIZE_WORD = re.compile(r"^size[\s.:]+(?=\S)", re.IGNORECASE)
_UNIT_HEADS = frozenset({"unit", "units", "measured in"})


@dataclass(frozen=True)
class LayoutRow:
    """One measurement as it stands in the sheet: its label, the unit beside it, the text of its cells."""

    label: str
    unit: Unit | None
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Layout:
    """A chart with measurements as rows. `left_out` holds headings between them that are no rows."""

    sizes: tuple[str, ...]
    rows: tuple[LayoutRow, ...]
    unit: Unit | None = None
    left_out: tuple[str, ...] = ()


def known_names(cells: Sequence[str], catalogue: Catalogue) -> int:
    return sum(catalogue.find(cell) is not None for cell in cells)


def find_layout(grid: Grid, catalogue: Catalogue) -> Layout:
    """The chart in a grid; without sizes or rows when there is none."""
    titles, table = _without_titles(grid)
    if not table or len(table[0]) < 2:
        return Layout((), ())
    exported = _says_measurement(table[0][0])
    if not exported and _lies_across(table, catalogue):
        table = tuple(zip(*table, strict=True))
    header, body = _header(table, catalogue)
    unit_column = _unit_column(header, body)
    columns = [i for i in range(1, len(header)) if i != unit_column]
    rows, headings = [], []
    for line in body:
        label, unit = split_unit(line[0])
        if unit_column is not None:
            unit = stated_unit(line[unit_column]) or unit
        row = LayoutRow(label or line[0], unit, tuple(line[i] for i in columns))
        if any(row.cells) or catalogue.find(label):
            rows.append(row)
        else:
            headings.append(line[0])
    sizes = tuple(header[i] if exported else _SIZE_WORD.sub("", header[i]) for i in columns)
    unit = _unit_stated(header[0], *titles, *headings)
    return Layout(sizes, tuple(rows), unit, tuple(text for text in headings if text))


def _says_measurement(corner: str) -> bool:
    """Whether the corner says that measurements run down, as an exported chart does: no need to find out."""
    return split_unit(corner)[0].lower() in {"measurement", "measurements"}


def _without_titles(grid: Grid) -> tuple[tuple[str, ...], Grid]:
    """Lines above the table that hold one cell only are titles."""
    titles: list[str] = []
    for i, row in enumerate(grid):
        filled = [cell for cell in row if cell]
        if len(filled) > 1:
            return tuple(titles), _without_empty_columns(grid[i:])
        titles.extend(filled)
    return tuple(titles), ()


def _without_empty_columns(grid: Grid) -> Grid:
    used = [i for i in range(len(grid[0])) if any(row[i] for row in grid)]
    return tuple(tuple(row[i] for i in used) for row in grid)


def _lies_across(table: Grid, catalogue: Catalogue) -> bool:
    """Whether the sizes run down and the measurements across."""
    down = [row[0] for row in table[1:]]
    across = table[0][1:]
    known_down, known_across = known_names(down, catalogue), known_names(across, catalogue)
    if known_down != known_across:
        return known_across > known_down
    return _sizes_in(down) > _sizes_in(across)


def _sizes_in(cells: Sequence[str]) -> float:
    """The share of cells that look like size labels."""
    return sum(_SIZE.fullmatch(cell) is not None for cell in cells) / max(1, len(cells))


def _header(table: Grid, catalogue: Catalogue) -> tuple[tuple[str, ...], Grid]:
    """The line of sizes and the lines below; a table that begins with a measurement has no sizes yet."""
    first = table[0]
    if catalogue.find(first[0]) and all(_is_length(cell) for cell in first[1:] if cell):
        return ("",) * len(first), table
    return first, table[1:]


def _is_length(cell: str) -> bool:
    try:
        read_length(cell, "cm")
    except LengthError:
        return False
    return True


def _unit_column(header: Sequence[str], body: Grid) -> int | None:
    for i in range(1, len(header)):
        named = [line[i] for line in body if line[i]]
        if header[i].lower() in _UNIT_HEADS or (named and all(map(_is_unit, named))):
            return i
    return None


def _is_unit(cell: str) -> bool:
    name, unit = split_unit(cell)
    return unit is not None and not name


def _unit_stated(*texts: str) -> Unit | None:
    """The one unit that corner, titles and headings name between them."""
    found = {unit for text in texts if (unit := stated_unit(text))}
    return found.pop() if len(found) == 1 else None
