"""What is done about a finding of the grade check: take its proposal, declare breaks, silence it, hear it again."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from measurements.actions import ChartSaved, edit_chart
from measurements.chart_store import load_table
from measurements.grade_mend import fingerprint, with_breaks, with_proposal
from measurements.grade_types import Finding
from measurements.models import ChartRevision, SilencedFinding, SizeChart
from people.audit import record
from people.models import Person


@transaction.atomic
def take_proposal(*, chart: SizeChart, revision: ChartRevision, finding: Finding, by: Person) -> ChartSaved:
    """Write a finding's proposal as the chart's next revision; `revision` is the one that was checked."""
    table = with_proposal(load_table(revision), finding, chart.unit)
    return edit_chart(chart=chart, table=table, opened=revision, by=by, note=taken_note(finding))


def taken_note(finding: Finding) -> str:
    """What a revision says of itself."""
    said = {"measure": finding.measure.replace("_", " "), "sizes": ", ".join(finding.sizes)}
    return (_("Grade check: %(measure)s, %(sizes)s") % said)[:300]


@transaction.atomic
def declare_breaks(
    *, chart: SizeChart, revision: ChartRevision, measure: str, sizes: Iterable[str], by: Person
) -> ChartSaved:
    """Say where a row's step changes on purpose; writes the chart's next revision where that is new."""
    table = with_breaks(load_table(revision), measure, sizes)
    return edit_chart(chart=chart, table=table, opened=revision, by=by, note=_("Breaks declared"))


@transaction.atomic
def silence_finding(*, chart: SizeChart, finding: Finding, reason: str, by: Person) -> SilencedFinding:
    """Keep a finding as it is, with the reason. Silencing it twice keeps the first."""
    silenced, made = SilencedFinding.objects.get_or_create(
        chart=chart,
        mark=fingerprint(finding),
        lifted=None,
        defaults={
            "measure": finding.measure,
            "kind": finding.kind,
            "sizes": list(finding.sizes),
            "reason": reason,
            "by": by,
        },
    )
    if made:
        record(studio=chart.studio, by=by, verb="finding_silenced", thing=silenced, content=[silenced.mark, reason])
    return silenced


@transaction.atomic
def hear_finding(*, silenced: SilencedFinding, by: Person) -> None:
    """Let a silenced finding speak again; who silenced it, and why, stays on record."""
    held = SilencedFinding.objects.select_for_update().select_related("chart__studio").get(pk=silenced.pk)
    if held.lifted is None:
        held.lifted, held.lifted_by = timezone.now(), by
        held.save(update_fields=["lifted", "lifted_by"])
        record(studio=held.chart.studio, by=by, verb="finding_heard", thing=held)
