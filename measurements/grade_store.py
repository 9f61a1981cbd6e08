"""The grade check of stored charts: what it says now, and what somebody has silenced with a reason."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from measurements.body_measures import BODY_MEASURES
from measurements.chart_page import PageRow, page_rows
from measurements.chart_store import load_table
from measurements.charts import ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.grade_check import check_grade
from measurements.grade_mend import fingerprint, proposal_mark
from measurements.grade_page import places_found
from measurements.grade_types import KIND_NAMES, ChartName, Finding, GradeFacts, GradeReport
from measurements.models import ChartAbout, ChartRevision, SilencedFinding, SizeChart
from measurements.sentences import Term

# Checks that only a finished garment can be put to: on a body chart they are not even missing.
OF_THE_GARMENT = frozenset({"cap", "pair", "gather", "sweep", "opening", "base"})


@dataclass(frozen=True)
class Looked:
    """A finding with what a page needs beside it: its number, what it is known by, and who silenced it."""

    number: int
    finding: Finding
    key: str
    shown: str
    silenced: SilencedFinding | None = None
    can_take: bool = False

    @property
    def name(self) -> Term:
        return KIND_NAMES[self.finding.kind]


@dataclass(frozen=True)
class GradeView:
    """The check of one or two charts: what is open, what is silenced, what was not checked."""

    report: GradeReport
    open: tuple[Looked, ...]
    silenced: tuple[Looked, ...]

    def numbered_for(self, about: str) -> list[tuple[int, Finding]]:
        """The open findings of a stored chart, by what it is about."""
        return self.numbered("body" if about == ChartAbout.BODY else "finished")

    def numbered(self, chart: ChartName) -> list[tuple[int, Finding]]:
        return [(one.number, one.finding) for one in self.open if one.finding.chart == chart]

    def find(self, key: str) -> Looked | None:
        return next((one for one in (*self.open, *self.silenced) if one.key == key), None)


def grade_view(
    body: ChartTable | None,
    finished: ChartTable | None,
    charts: dict[ChartName, SizeChart | None],
    facts: GradeFacts,
    may_take: frozenset[ChartName] = frozenset(),
) -> GradeView:
    """Check the charts. `may_take` are those whose proposals can be taken with one click."""
    report = check_grade(body, finished, facts)
    silent = _silenced(chart for chart in charts.values() if chart)
    opened: list[Looked] = []
    quiet: list[Looked] = []
    for finding in report.findings:
        chart, key = charts.get(finding.chart), fingerprint(finding)
        reason = silent.get((chart.pk, key)) if chart else None
        takes = finding.chart in may_take and finding.measure != "size" and bool(finding.proposed or finding.declare)
        into = quiet if reason else opened
        into.append(Looked(len(into) + 1, finding, key, proposal_mark(finding), reason, takes))
    return GradeView(report, tuple(opened), tuple(quiet))


def _silenced(charts: Iterable[SizeChart]) -> dict[tuple[int, str], SilencedFinding]:
    rows = SilencedFinding.objects.filter(chart__in=list(charts), lifted=None).select_related("by")
    return {(row.chart_id, row.mark): row for row in rows}


def chart_view(chart: SizeChart, revision: ChartRevision, *, may_edit: bool) -> tuple[GradeView, tuple[PageRow, ...]]:
    """The check of one stored chart alone, and its rows with the findings in place."""
    table = load_table(revision)
    name: ChartName = "body" if chart.about == ChartAbout.BODY else "finished"
    takes = frozenset({name}) if may_edit and name == "body" else frozenset[ChartName]()
    catalogue = BODY_MEASURES if name == "body" else FINISHED_MEASURES
    body, finished = (table, None) if name == "body" else (None, table)
    view = grade_view(body, finished, {name: chart}, GradeFacts(base=table.base), takes)
    if name == "body":
        missing = tuple(one for one in view.report.not_run if one.check not in OF_THE_GARMENT)
        view = replace(view, report=replace(view.report, not_run=missing))
    return view, page_rows(table, catalogue, None, places_found(table, view.numbered(name)))
