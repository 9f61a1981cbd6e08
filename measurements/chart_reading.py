"""Reading a size chart from pasted text, a file or a grid.

Reading never fails on the content: what cannot be read is kept as typed, with the reason beside it. A text or
file that holds no chart gives a draft with a refusal. Method and limits: docs/algorithms/chart-import.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from measurements.body_measures import BODY_MEASURES
from measurements.chart_doubts import (
    UNIT_WORDS,
    CellRead,
    RowRead,
    cell_doubts,
    chart_doubts,
    row_doubts,
    size_doubts,
    sizes_turned,
)
from measurements.chart_draft import ChartDraft, DraftCell, DraftRow, DraftSize
from measurements.chart_layout import BLANKS, Layout, LayoutRow, find_layout, known_names
from measurements.chart_text import LIMITS, ChartError, ChartLimits, Grid, text_grid, tidy
from measurements.lengths import DecimalMark, LengthError, Unit, inches_as_fraction, read_length
from measurements.measures import Catalogue, split_unit
from measurements.second_unit import disagreements, kept_rows, second_unit_rows
from measurements.sentences import Sentence, gettext_noop, sentence
from measurements.sheets import file_grids

_COMMA_DECIMAL = re.compile(r"(?<!\d)(?:\d{1,3},(?:\d{1,2}|\d{4,})|0,\d+)(?![\d,.])", re.ASCII)
_POINT_DECIMAL = re.compile(r"\d\.\d", re.ASCII)
_FORMULA = gettext_noop("“%(typed)s” is a formula, not a number. Save the sheet with its results, or type the number.")
_ZERO = gettext_noop(
    "“%(typed)s” is no length: no measurement of a chart is 0. Leave the cell empty if it is not known."
)
_NO_VALUE = sentence("no_value", gettext_noop("There is no value here."))


def read_chart_text(
    text: str, *, unit: Unit | None = None, catalogue: Catalogue = BODY_MEASURES, limits: ChartLimits = LIMITS
) -> ChartDraft:
    """Read pasted text or CSV text.

    `unit` is the person's word on bare numbers. Without it the sheet's own word holds, else the likeliest unit.
    """
    try:
        grid = text_grid(text, limits)
    except ChartError as error:
        return _refused(error.sentence, unit)
    return _from_grid(grid, unit, catalogue, limits)


def read_chart_file(
    data: bytes, *, unit: Unit | None = None, catalogue: Catalogue = BODY_MEASURES, limits: ChartLimits = LIMITS
) -> ChartDraft:
    """Read an uploaded XLSX or CSV file; of several sheets the one with the most known measurements."""
    try:
        grids = file_grids(data, limits)
    except ChartError as error:
        return _refused(error.sentence, unit)
    best = max(grids, key=lambda grid: _names_in(grid, catalogue), default=())
    return _from_grid(best, unit, catalogue, limits)


def read_chart_rows(
    sizes: Sequence[str],
    rows: Iterable[tuple[str, Sequence[str]]],
    *,
    unit: Unit,
    catalogue: Catalogue = BODY_MEASURES,
    limits: ChartLimits = LIMITS,
) -> ChartDraft:
    """Read a chart typed into a grid: size labels, and rows of a label or key with their cells."""
    layout_rows = []
    for label, cells in rows:
        name, stated = split_unit(tidy(label, limits.most_characters))
        padded = [*cells, *[""] * len(sizes)][: len(sizes)]
        layout_rows.append(LayoutRow(name, stated, tuple(tidy(cell, limits.most_characters) for cell in padded)))
    labels = tuple(tidy(size, limits.most_characters) for size in sizes)
    return _draft(Layout(labels, tuple(layout_rows)), unit, catalogue, limits, every_row=True)


def turn_sizes(draft: ChartDraft, *, catalogue: Catalogue = BODY_MEASURES, limits: ChartLimits = LIMITS) -> ChartDraft:
    """The same chart with its sizes in the opposite order, judged anew."""
    rows = [(row.typed_label, [cell.typed for cell in row.cells[::-1]]) for row in draft.rows]
    labels = [size.label for size in draft.sizes[::-1]]
    return read_chart_rows(labels, rows, unit=draft.unit, catalogue=catalogue, limits=limits)


def _refused(why: Sentence, unit: Unit | None) -> ChartDraft:
    return ChartDraft(unit or "cm", refusal=why)


def _names_in(grid: Grid, catalogue: Catalogue) -> int:
    return known_names([cell for row in grid[:200] for cell in row[:60] if cell], catalogue)


def _from_grid(grid: Grid, unit: Unit | None, catalogue: Catalogue, limits: ChartLimits) -> ChartDraft:
    layout = find_layout(grid, catalogue)
    if not layout.sizes or not layout.rows:
        said = gettext_noop("There is no chart here. Put the sizes in the first row and a measurement in each row.")
        return _refused(sentence("no_chart", said), unit)
    if known := unit or layout.unit:
        draft = _draft(layout, known, catalogue, limits)
        return replace(draft, doubts=(*_conflict(unit, layout.unit), *draft.doubts))
    return _draft(layout, _likeliest_unit(layout, catalogue, limits), catalogue, limits, guessed=True)


def _conflict(chosen: Unit | None, stated: Unit | None) -> tuple[Sentence, ...]:
    if chosen is None or stated is None or chosen == stated:
        return ()
    said = gettext_noop("The sheet says %(stated)s; it was read as %(chosen)s, as you chose.")
    return (sentence("unit_conflict", said, stated=stated, chosen=chosen),)


def _draft(
    layout: Layout,
    unit: Unit,
    catalogue: Catalogue,
    limits: ChartLimits,
    *,
    guessed: bool = False,
    every_row: bool = False,
) -> ChartDraft:
    if len(layout.sizes) > limits.most_sizes or len(layout.rows) > limits.most_rows:
        said = gettext_noop("A chart has at most %(sizes)s sizes and %(rows)s measurements. Copy the chart alone.")
        return _refused(sentence("too_large", said, sizes=limits.most_sizes, rows=limits.most_rows), unit)
    twice = _read_rows(layout, unit, catalogue)
    # A row that stands in a grid under somebody's hands is not taken out of it.
    repeats = {} if every_row else second_unit_rows(twice, unit)
    read, places = kept_rows(twice, repeats), kept_rows(layout.rows, repeats)
    turned = sizes_turned(read)
    return ChartDraft(
        unit,
        sizes=tuple(map(DraftSize, layout.sizes, size_doubts(layout.sizes))),
        rows=tuple(
            _draft_row(row, place.unit is not None, doubt, cell_doubts(row, turned=turned))
            for row, place, doubt in zip(read, places, row_doubts(read), strict=True)
        ),
        doubts=(
            *chart_doubts(layout.sizes, read, guessed=unit if guessed else None, left_out=layout.left_out),
            *_repeated(twice, repeats),
            *disagreements(read, layout.sizes),
        ),
        unit_guessed=guessed,
    )


def _repeated(rows: Sequence[RowRead], repeats: Mapping[int, int]) -> tuple[Sentence, ...]:
    if not repeats:
        return ()
    taken = rows[next(iter(repeats.values()))].unit
    said = gettext_noop("Measurements that stand here in both units were read as %(unit)s; the other row agrees.")
    return (sentence("both_units", said, unit=UNIT_WORDS[taken]),)


def _draft_row(row: RowRead, unit_stated: bool, doubt: Sentence | None, doubts: Sequence[Sentence | None]) -> DraftRow:
    cells = (DraftCell(cell.typed, cell.length, why) for cell, why in zip(row.cells, doubts, strict=True))
    return DraftRow(row.key, row.label, row.unit, tuple(cells), doubt, row.measure is not None, unit_stated)


def _read_rows(layout: Layout, unit: Unit, catalogue: Catalogue) -> list[RowRead]:
    mark = _decimal_mark(layout)
    return [_read_row(row, row.unit or unit, catalogue, mark) for row in layout.rows]


def _read_row(row: LayoutRow, unit: Unit, catalogue: Catalogue, mark: DecimalMark | None) -> RowRead:
    measure = catalogue.find(row.label)
    label = measure.name if measure and row.label == measure.key else row.label
    key = measure.key if measure else re.sub(r"[^a-z0-9]+", "_", label.lower()).strip("_")[:60] or "row"
    return RowRead(label, key, measure, unit, tuple(_read_cell(cell, unit, mark) for cell in row.cells))


def _read_cell(typed: str, unit: Unit, mark: DecimalMark | None) -> CellRead:
    if typed.lower() in BLANKS:
        return CellRead(typed, None, _NO_VALUE)
    if typed.startswith("="):
        return CellRead(typed, None, sentence("formula", _FORMULA, typed=typed))
    try:
        length = read_length(typed, unit, decimal_mark=mark)
    except LengthError as error:
        return CellRead(typed, None, error.sentence)
    return CellRead(typed, length) if length.mm else CellRead(typed, None, sentence("zero", _ZERO, typed=typed))


def _decimal_mark(layout: Layout) -> DecimalMark | None:
    """The mark that the whole chart uses, so that `31,125` among `33,25` is no riddle; None when it uses both."""
    texts = [cell for row in layout.rows for cell in row.cells]
    comma = any(_COMMA_DECIMAL.search(text) for text in texts)
    point = any(_POINT_DECIMAL.search(text) for text in texts)
    return None if comma == point else "," if comma else "."


def _likeliest_unit(layout: Layout, catalogue: Catalogue, limits: ChartLimits) -> Unit:
    """The unit under which most bare numbers fit their measurements; a tie goes by fractions, then to cm."""
    if len(layout.sizes) > limits.most_sizes or len(layout.rows) > limits.most_rows:
        return "cm"
    fractions = any(inches_as_fraction(cell) for row in layout.rows for cell in row.cells)
    order: tuple[Unit, ...] = ("in", "cm", "mm") if fractions else ("cm", "in", "mm")
    return max(order, key=lambda unit: _fitting(_read_rows(layout, unit, catalogue)))


def _fitting(rows: Iterable[RowRead]) -> int:
    return sum(
        row.measure.plausible(cell.length.mm) for row in rows if row.measure for cell in row.cells if cell.length
    )
