"""A measurement that stands in a chart twice, once a unit: `Bust (cm)` and below it `Bust (in)`.

Published charts print both systems, and so does the export here. One of the two rows is the chart; the other is
looked at only to see that it agrees with it.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from typing import TypeVar

from measurements.allowance_pairs import same_allowance
from measurements.chart_doubts import CellRead, RowRead
from measurements.lengths import Length, Unit
from measurements.sentences import Sentence, gettext_noop, sentence

Row = TypeVar("Row")


def second_unit_rows(rows: Sequence[RowRead], unit: Unit) -> dict[int, int]:
    """{row that only repeats: the row that it repeats}, by their positions.

    Of two rows that agree, the one in the chart's own `unit` is the chart, else the upper one. Rows that disagree
    both stay.
    """
    first: dict[str, int] = {}
    repeats: dict[int, int] = {}
    for i, row in enumerate(rows):
        other = first.setdefault(row.key, i)
        if other != i and (rows[other].unit == "in") != (row.unit == "in") and disagreement(rows[other], row) is None:
            kept, left = (i, other) if row.unit == unit != rows[other].unit else (other, i)
            repeats[left] = kept
            first[row.key] = kept
    return repeats


def disagreements(rows: Sequence[RowRead], sizes: Sequence[str]) -> Iterator[Sentence]:
    """Where a measurement stands in both units and they are not the same length."""
    first: dict[str, RowRead] = {}
    for row in rows:
        other = first.setdefault(row.key, row)
        if (other.unit == "in") == (row.unit == "in") or (at := disagreement(other, row)) is None:
            continue
        one, two = other.cells[at], row.cells[at]
        said = gettext_noop("%(label)s stands here in both units, and they differ at %(size)s: %(one)s and %(two)s.")
        shown = {"one": f"{one.typed or '–'} {other.unit}", "two": f"{two.typed or '–'} {row.unit}"}
        yield sentence("units_differ", said, label=row.label, size=sizes[at], **shown)


def disagreement(one: RowRead, other: RowRead) -> int | None:
    """The first size at which two rows are not the same length, each rounded as it may be in print."""
    pairs = zip(one.cells, other.cells, strict=True)
    return next((i for i, (a, b) in enumerate(pairs) if not _agree(a, b)), None)


def _agree(one: CellRead, other: CellRead) -> bool:
    if one.length is None or other.length is None:
        return one.length is other.length is None and one.typed == other.typed
    metric, inches = sorted((one.length, other.length), key=_is_inches)
    return same_allowance(metric.mm, inches.mm)


def _is_inches(length: Length) -> bool:
    return length.unit == "in"


def kept_rows(rows: Sequence[Row], repeats: Container[int]) -> list[Row]:
    """The rows without those that only repeat."""
    return [row for i, row in enumerate(rows) if i not in repeats]
