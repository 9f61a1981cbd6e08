"""Where the findings of a grade check stand in a chart: a mark a cell, for the grid."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from measurements.charts import ChartTable
from measurements.grade_types import KINDS, Finding
from measurements.sentences import Sentence


@dataclass(frozen=True)
class GradeMark:
    """What a cell is marked with: the kind of finding, its sentence, the length proposed for this cell (mm or None).

    `on_step` tells that the mark belongs to the step up to this size (a break), not to the cell.
    """

    kind: str
    says: Sentence
    proposed: Decimal | None = None
    on_step: bool = False


def marks(table: ChartTable, findings: Iterable[Finding]) -> dict[tuple[str, str], GradeMark]:
    """{(row key, size label): mark} for the rows and sizes of the table.

    A cell with several findings shows the first in the order of KINDS. Hand in only the findings of this chart.
    """
    rows = {line.key for line in table.lines}
    found: dict[tuple[str, str], GradeMark] = {}
    for finding in sorted(findings, key=lambda one: KINDS.index(one.kind)):
        proposed = dict(finding.proposed)
        for place, size in enumerate(finding.sizes):
            if finding.measure in rows and size in table.sizes:
                step = finding.kind == "break" and (place == 0 or size in finding.declare)
                mark = GradeMark(finding.kind, finding.says, proposed.get(size), step)
                found.setdefault((finding.measure, size), mark)
    return found
