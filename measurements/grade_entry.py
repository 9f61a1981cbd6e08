"""A chart file as a table for the grade check: names kept as they were written, gaps where nothing can be read."""

from __future__ import annotations

from dataclasses import dataclass

from measurements.body_measures import BODY_MEASURES
from measurements.chart_draft import ChartDraft, DraftRow
from measurements.chart_reading import read_chart_file, turn_sizes
from measurements.chart_text import LIMITS, ChartLimits
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.grade_rows import slug
from measurements.grade_types import NotRun
from measurements.lengths import Unit
from measurements.measures import Catalogue
from measurements.sentences import Sentence, gettext_noop, sentence

# Without sizes that can be told apart nothing can be said about one.
_NO_SIZES = frozenset({"no_label", "same_label"})
# What is read all the same, and said.
_ROW_DOUBTS = frozenset({"no_name", "same_measure"})
_UNIT_DOUBTS = frozenset({"mixed_units", "other_unit"})


class ChartFileError(ValueError):
    """A file that holds no chart; `sentence` says why."""

    def __init__(self, why: Sentence) -> None:
        super().__init__(str(why))
        self.sentence = why


@dataclass(frozen=True)
class ChartEntry:
    """A chart that was read, its unit, what in it could not be read, and which catalogue knows its rows."""

    table: ChartTable
    unit: Unit
    finished: bool
    unread: tuple[NotRun, ...] = ()


def read_chart(
    data: bytes, *, unit: Unit | None = None, finished: bool | None = None, limits: ChartLimits = LIMITS
) -> ChartEntry:
    """Read a CSV or XLSX chart. Which kind of chart it is, its rows tell where `finished` does not.

    Raises ChartFileError.
    """
    if finished is None:
        body, garment = (read_chart_file(data, unit=unit, catalogue=one, limits=limits) for one in _CATALOGUES)
        finished = _known(garment, FINISHED_MEASURES) > _known(body, BODY_MEASURES)
        draft = garment if finished else body
    else:
        draft = read_chart_file(data, unit=unit, catalogue=_CATALOGUES[finished], limits=limits)
    if draft.refusal:
        raise ChartFileError(draft.refusal)
    for size in draft.sizes:
        if size.doubt and size.doubt.code in _NO_SIZES:
            raise ChartFileError(size.doubt)
    if not any(cell.length for row in draft.rows for cell in row.cells):
        raise ChartFileError(sentence("no_length", gettext_noop("No cell of this chart holds a length.")))
    turned = any(doubt.code == "sizes_turned" for doubt in draft.doubts)
    if turned:
        draft = turn_sizes(draft, catalogue=_CATALOGUES[finished], limits=limits)
    return ChartEntry(_table(draft), "in" if draft.unit == "in" else "cm", finished, tuple(_unread(draft, turned)))


_CATALOGUES: tuple[Catalogue, Catalogue] = (BODY_MEASURES, FINISHED_MEASURES)


def _known(draft: ChartDraft, catalogue: Catalogue) -> tuple[int, int]:
    """How many rows the catalogue knows, and how many of them by their own name."""
    named = sum(row.known and slug(row.label) in {row.key, slug(catalogue[row.key].name)} for row in draft.rows)
    return sum(row.known for row in draft.rows), named


def _table(draft: ChartDraft) -> ChartTable:
    seen: set[str] = set()
    lines = []
    for row in draft.rows:
        key = _key(row)
        while key in seen:
            key += "_again"
        seen.add(key)
        cells = (ChartCell(c.length.mm, c.typed, c.length.unit) if c.length else None for c in row.cells)
        lines.append(ChartLine(key, row.label, tuple(cells)))
    return ChartTable(tuple(size.label for size in draft.sizes), None, tuple(lines))


def _key(row: DraftRow) -> str:
    """The name in the file in small letters and underscores; the measurement's own key where it is spelt out."""
    named = slug(row.label) or row.key
    spelt = {slug(measure.name): measure.key for catalogue in _CATALOGUES for measure in catalogue}
    return row.key if spelt.get(named) == row.key else named


def _unread(draft: ChartDraft, turned: bool) -> list[NotRun]:
    notes = []
    if turned:
        said = gettext_noop("The sizes ran from large to small: they were checked the other way round.")
        notes.append(NotRun("order", sentence("turned", said)))
    for row in draft.rows:
        if row.doubt and row.doubt.code in _ROW_DOUBTS:
            notes.append(NotRun("row", row.doubt))
        for size, cell in zip(draft.sizes, row.cells, strict=True):
            if cell.unread and cell.doubt:
                said = gettext_noop("%(measure)s, %(size)s, was left out: “%(typed)s” is no length.")
                why = sentence("unread", said, measure=row.label, size=size.label, typed=cell.typed[:40])
                notes.append(NotRun("cell", why))
            elif cell.doubt and cell.doubt.code in _UNIT_DOUBTS:
                said = gettext_noop("%(measure)s, %(size)s: “%(typed)s” seems to be in another unit than the rest.")
                why = sentence("other_unit", said, measure=row.label, size=size.label, typed=cell.typed[:40])
                notes.append(NotRun("unit", why))
    return notes
