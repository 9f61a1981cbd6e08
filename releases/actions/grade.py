from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from measurements.chart_store import load_table
from measurements.charts import ChartTable
from measurements.grade_mend import with_breaks, with_proposal
from measurements.grade_types import Finding
from measurements.models import ChartRevision
from people.audit import record
from people.models import Person
from releases.actions.finished import write_finished
from releases.actions.refused import Refused
from releases.models import Version


@transaction.atomic
def take_finished_proposal(*, version: Version, finding: Finding, by: Person) -> ChartRevision:
    """Write a finding's proposal into the finished measurements of a draft. Raises Refused once it is tested."""
    chart, table = _finished(version)
    return write_finished(
        version=version, table=with_proposal(table, finding, chart.chart.unit), unit=chart.chart.unit, by=by
    )


@transaction.atomic
def declare_finished_breaks(
    *, version: Version, measure: str, sizes: Iterable[str], by: Person
) -> ChartRevision | None:
    """Say where the garment's step changes on purpose; None where nothing had changed. Raises Refused."""
    chart, table = _finished(version)
    said = with_breaks(table, measure, sizes)
    if said == table:
        return None
    return write_finished(version=version, table=said, unit=chart.chart.unit, by=by)


def _finished(version: Version) -> tuple[ChartRevision, ChartTable]:
    chart = version.finished_chart
    if chart is None:
        raise Refused(_("There are no finished measurements yet."))
    return chart, load_table(chart)


@transaction.atomic
def declare_grade_facts(*, version: Version, facts: Mapping[str, Any], by: Person) -> None:
    """Write seam pairs, gathers, the opening and the sewn base. They say what is meant: they may change at any time."""
    version.grade_facts = dict(facts)
    version.save(update_fields=["grade_facts"])
    record(
        studio=version.pattern.studio, by=by, verb="grade_facts_declared", thing=version, content=version.grade_facts
    )
