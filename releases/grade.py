"""The grade check of a version: its two charts together, with what the version declares beside them."""

from __future__ import annotations

from measurements.chart_page import PageRow, page_rows
from measurements.charts import ChartTable
from measurements.ease import ease_rows
from measurements.finished_measures import FINISHED_MEASURES
from measurements.grade_facts import facts_of
from measurements.grade_page import places_found
from measurements.grade_store import GradeView, grade_view
from measurements.grade_types import ChartName, GradeFacts
from measurements.models import SizeChart
from releases.ease_store import intended_ease_of
from releases.models import Version
from releases.tables import charts_of


def grade_facts(version: Version) -> GradeFacts:
    """What the version says beside its charts: kind, fabric, base, the ease that is meant, seams, the opening."""
    said = dict(version.grade_facts)
    meant = intended_ease_of(version)
    said |= {
        "kind": version.pattern.kind,
        "fabric": version.pattern.fabric,
        "base": version.base_size,
        "ease": {key: [str(one.cm), str(one.tolerance_cm)] for key, one in meant.items()},
    }
    return facts_of(said)[0]


def version_grade(version: Version, *, may_edit: bool) -> tuple[GradeView, tuple[PageRow, ...]]:
    """What the check says of the version, and the finished rows with the findings and the ease in place."""
    body, finished = charts_of(version)
    charts: dict[ChartName, SizeChart | None] = {
        "body": version.body_chart.chart if version.body_chart else None,
        "finished": version.finished_chart.chart if version.finished_chart else None,
    }
    takes: frozenset[ChartName] = frozenset({"finished"}) if may_edit and version.is_draft else frozenset()
    view = grade_view(_or_none(body), _or_none(finished), charts, grade_facts(version), takes)
    ease = {row.finished_key: [cell.mm if cell else None for cell in row.cells] for row in ease_rows(body, finished)}
    places = places_found(finished, view.numbered("finished"))
    return view, page_rows(finished, FINISHED_MEASURES, None, places, ease)


def _or_none(table: ChartTable) -> ChartTable | None:
    return table if table.lines else None
