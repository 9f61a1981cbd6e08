"""A sample of bodies from a CSV or XLSX file: a measurement a column, a body a row, no names.

Only columns whose head is a body measurement are kept: names, addresses and numbers of people stay outside.
Method and limits: docs/algorithms/who-is-served.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from measurements.chart_layout import BLANKS
from measurements.chart_text import LIMITS, ChartError, ChartLimits, Grid
from measurements.lengths import LengthError, Unit, read_length
from measurements.measures import Catalogue, Measure, split_unit
from measurements.sentences import Sentence, gettext_noop, sentence
from measurements.sheets import file_grids

# So many bodies describe a size of a few per cent; national surveys hold some thousands.
MOST_BODIES = 5000
_HEAD_ROWS = 10


@dataclass(frozen=True)
class Sample:
    """Bodies as columns: for each measurement one length in mm a body, None where it was not taken."""

    name: str
    columns: Mapping[str, tuple[Decimal | None, ...]]

    @property
    def size(self) -> int:
        return max(map(len, self.columns.values()), default=0)


@dataclass(frozen=True)
class SampleRead:
    """What a file gave: the columns, what was left out, or a refusal."""

    columns: Mapping[str, tuple[Decimal | None, ...]]
    notes: tuple[Sentence, ...] = ()
    refusal: Sentence | None = None


def read_sample(
    data: bytes,
    *,
    catalogue: Catalogue,
    unit: Unit | None = None,
    most: int = MOST_BODIES,
    limits: ChartLimits = LIMITS,
) -> SampleRead:
    """The sample of a file. `unit` is the person's word on heads that name none."""
    try:
        grids = file_grids(data, limits)
    except ChartError as error:
        return SampleRead({}, refusal=error.sentence)
    for grid in grids:
        for i, row in enumerate(grid[:_HEAD_ROWS]):
            heads = _heads(row, catalogue)
            if heads:
                return _read(grid[i + 1 :], heads, unit, most)
    said = gettext_noop(
        "No column here is headed by a body measurement. Put bust, waist, hip and so on in the first row."
    )
    return SampleRead({}, refusal=sentence("no_columns", said))


def _heads(row: Sequence[str], catalogue: Catalogue) -> dict[int, tuple[Measure, Unit | None]]:
    """{column: (measurement, its stated unit)}; of two columns for one measurement the first."""
    heads: dict[int, tuple[Measure, Unit | None]] = {}
    for i, cell in enumerate(row):
        name, unit = split_unit(cell.replace("_", " "))
        measure = catalogue.find(name)
        if measure and all(measure is not other for other, _ in heads.values()):
            heads[i] = (measure, unit)
    return heads


def _read(rows: Grid, heads: Mapping[int, tuple[Measure, Unit | None]], unit: Unit | None, most: int) -> SampleRead:
    if len(rows) > most:
        said = gettext_noop(
            "A sample has at most %(most)s bodies; this file has %(count)s. A random part of it says as much."
        )
        return SampleRead({}, refusal=sentence("too_many", said, most=most, count=len(rows)))
    columns: dict[str, tuple[Decimal | None, ...]] = {}
    unread: list[str] = []
    for i, (measure, stated) in heads.items():
        texts = [row[i] for row in rows]
        values = [_length(text, stated or unit or _likely(texts, measure), measure) for text in texts]
        unread += [text for text, mm in zip(texts, values, strict=True) if mm is None and text.lower() not in BLANKS]
        columns[measure.key] = tuple(values)
    kept = [any(column) for column in zip(*columns.values(), strict=True)]
    if not any(kept):
        said = gettext_noop("Below the heads of this file stands no length that a body can have. Check the unit.")
        return SampleRead({}, refusal=sentence("no_bodies", said))
    cleaned = {
        key: tuple(mm for mm, keep in zip(column, kept, strict=True) if keep)
        for key, column in columns.items()
        if any(column)
    }
    return SampleRead(cleaned, tuple(_notes(unread, kept)))


def _length(text: str, unit: Unit, measure: Measure) -> Decimal | None:
    """The millimetres of a cell, where it is a length that this measurement can have."""
    try:
        mm = read_length(text, unit).mm
    except LengthError:
        return None
    return mm if measure.plausible(mm) else None


def _likely(texts: Sequence[str], measure: Measure) -> Unit:
    """The unit in which most of the column can be this measurement."""
    units: tuple[Unit, ...] = ("cm", "in", "mm")
    return max(units, key=lambda unit: sum(_length(text, unit, measure) is not None for text in texts[:200]))


def _notes(unread: Sequence[str], kept: Sequence[bool]) -> list[Sentence]:
    notes = []
    if unread:
        said = gettext_noop("%(count)s cells hold no length that a body can have and were left out, such as %(texts)s.")
        notes.append(
            sentence("unread", said, count=len(unread), texts=", ".join(f"“{text[:20]}”" for text in unread[:3]))
        )
    if empty := kept.count(False):
        said = gettext_noop("%(count)s rows hold no measurement and were left out.")
        notes.append(sentence("empty_rows", said, count=empty))
    return notes
