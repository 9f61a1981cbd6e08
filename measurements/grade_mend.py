"""A chart with a proposal of the grade check taken, or with its breaks declared: the next revision to be."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal

from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.grade_types import Finding
from measurements.length_display import LengthStyle, plain


def fingerprint(finding: Finding) -> str:
    """What a finding is known by, whatever its numbers: its chart, measurement, kind and sizes."""
    return hashlib.sha256("\0".join(finding.mark).encode()).hexdigest()[:16]


def proposal_mark(finding: Finding) -> str:
    """What tells a proposal that was shown from one that the charts have changed since."""
    told = [finding.mark, *((size, f"{mm:f}") for size, mm in finding.proposed), finding.declare]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:16]


def with_proposal(table: ChartTable, finding: Finding, unit: str) -> ChartTable:
    """The chart with the proposed lengths, typed in `unit` (cm or in), or with the break declared that was missing."""
    if finding.declare and not _kept(table, finding):
        line = table.line(finding.measure)
        return with_breaks(table, finding.measure, (*(line.breaks if line else ()), *finding.declare))
    proposed = dict(finding.proposed)
    return _with_line(table, finding.measure, lambda line: replace(line, cells=_cells(table, line, proposed, unit)))


def _kept(table: ChartTable, finding: Finding) -> bool:
    """Whether the finding proposes lengths for this chart."""
    return any(size in table.sizes for size, _ in finding.proposed)


def with_breaks(table: ChartTable, key: str, sizes: Iterable[str]) -> ChartTable:
    """The chart with the breaks of one row at exactly these sizes; the first size has no step to break."""
    wanted = set(sizes)
    breaks = tuple(size for size in table.sizes[1:] if size in wanted)
    return _with_line(table, key, lambda line: replace(line, breaks=breaks))


def _with_line(table: ChartTable, key: str, change: Callable[[ChartLine], ChartLine]) -> ChartTable:
    return replace(table, lines=tuple(change(line) if line.key == key else line for line in table.lines))


def _cells(table: ChartTable, line: ChartLine, proposed: dict[str, Decimal], unit: str) -> tuple[ChartCell | None, ...]:
    return tuple(
        _cell(proposed[size], unit) if size in proposed else cell
        for size, cell in zip(table.sizes, line.cells, strict=True)
    )


def _cell(mm: Decimal, unit: str) -> ChartCell:
    if unit != "in":
        return ChartCell(mm, plain(mm / 10), "cm")
    return ChartCell(mm, LengthStyle(16).number(mm, "in"), "in")
