"""The charts of a version as tables, and what the grade check finds in them.

A revision of a chart never changes, so its table is kept in memory by its ref; what the check of two tables finds
is kept likewise.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property, partial

from django.conf import settings

from measurements.chart_store import load_tables
from measurements.charts import ChartTable
from measurements.grade_check import check_grade
from measurements.grade_types import Finding, GradeFacts
from measurements.models import ChartRevision
from releases.ease_store import intended_ease_of
from releases.models import Version
from testing_rounds.kept_parts import KeptParts

_tables: KeptParts[ChartTable] = KeptParts(settings.CHARTS_KEPT)
_findings: KeptParts[tuple[Finding, ...]] = KeptParts(settings.CHARTS_KEPT)


def tables_of(revisions: Iterable[ChartRevision | None]) -> dict[int, ChartTable]:
    """{revision pk: its table}; three queries for all that are not kept."""
    wanted = {revision.pk: revision for revision in revisions if revision is not None}
    missing = [revision for revision in wanted.values() if revision.ref not in _tables]
    made = load_tables(missing) if missing else {}
    return {pk: _tables.get(one.ref, partial(_made, made, one)) for pk, one in wanted.items()}


def _made(made: Mapping[int, ChartTable], revision: ChartRevision) -> ChartTable:
    """The table just read; read alone where it was kept a moment ago and has gone since."""
    return made[revision.pk] if revision.pk in made else load_tables([revision])[revision.pk]


@dataclass(frozen=True)
class Charts:
    """The charts of a version as tables, in the sizes that each has."""

    finished: ChartTable
    body: ChartTable | None
    version: Version = field(repr=False)

    @classmethod
    def of(cls, version: Version) -> Charts | None:
        """None where the version has no finished chart: there is nothing to change a number in."""
        if version.finished_chart is None:
            return None
        tables = tables_of([version.finished_chart, version.body_chart])
        body = tables[version.body_chart.pk] if version.body_chart else None
        return cls(tables[version.finished_chart.pk], body, version)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What the grade check finds, with the ease that the version declares; one query."""
        version = self.version
        ease = {key: (float(one.cm), float(one.tolerance_cm)) for key, one in intended_ease_of(version).items()}
        facts = GradeFacts(
            kind=version.pattern.kind, fabric=version.pattern.fabric, base=version.base_size or None, ease=ease
        )
        refs = tuple(one.ref for one in (version.body_chart, version.finished_chart) if one)
        key = (refs, facts.kind, facts.fabric, facts.base, tuple(ease.items()))
        return _findings.get(key, lambda: tuple(check_grade(self.body, self.finished, facts).findings))


def columns(table: ChartTable) -> dict[str, dict[str, Decimal]]:
    """{measure: {size: mm}} of the cells that are filled."""
    return {
        line.key: {size: mm for size, mm in zip(table.sizes, line.mm, strict=True) if mm is not None}
        for line in table.lines
    }
