"""The next version of a pattern, drafted from what a round decided."""

from __future__ import annotations

from collections.abc import Sequence

from django.db import transaction
from django.utils.translation import gettext as _

from measurements.lengths import Length
from people import audit
from people.models import Person
from releases.actions.finished import write_finished
from releases.actions.refused import Refused
from releases.actions.versions import create_version
from releases.models import Version
from testing_rounds.actions.touch import touch_round
from testing_rounds.chart_tables import Charts
from testing_rounds.decided import Decided, decided_in
from testing_rounds.models import FitIssue, IssueState, Round
from testing_rounds.next_version import by_hand, next_chart


@transaction.atomic
def draft_next_version(*, found: Round, number: str, by: Person) -> Version:
    """A draft with the accepted numbers in its finished chart, the steps of the version before, and what changed.

    The issues that it carries are fixed in it; none is confirmed before reports say so. Raises Refused when nothing
    is decided, or when the number is taken (so a double tap drafts one).
    """
    Round.objects.select_for_update(of=["self"]).get(pk=found.pk)
    going = [one for one in decided_in(found) if one.goes_in]
    old = found.version
    if not going:
        raise Refused(_("Nothing is decided that the next version would carry: decide first."))
    if old.body_chart is None:
        raise Refused(_("This version has no size chart to stand on."))
    charts = Charts.of(old)
    made = next_chart(charts, going)
    fields = {
        "number": number,
        "sizes": old.sizes,
        "base_size": old.base_size,
        "what_changed": what_changed(going, old),
        "test_square": Length(old.test_square_mm, old.test_square_typed, "cm", stated=True)
        if old.test_square_mm
        else None,
        "copy_finished": True,
        "copy_steps": True,
    }
    version = create_version(pattern=old.pattern, body_chart=old.body_chart, fields=fields, copied=old, by=by)
    if made and made.changes and old.finished_chart:
        write_finished(version=version, table=made.table, unit=old.finished_chart.chart.unit, by=by)
    for one in going:
        _fixed_in(one.issue, version, by)
    touch_round(found.pk)
    audit.record(
        studio=old.pattern.studio,
        by=by,
        verb="next_version_drafted",
        thing=version,
        content=[found.ref, [[one.issue.ref, one.decision.changes] for one in going]],
    )
    return version


def what_changed(going: Sequence[Decided], old: Version) -> str:
    """What testers read: each decision with its numbers, then what is still to do by hand."""
    first = _("Since %(number)s:") % {"number": old.number}
    lines = [f"{one.title}: {one.numbers}." if one.numbers else f"{one.title}. {by_hand(one)}" for one in going]
    return "\n".join([first, *(f"- {line}" for line in lines)])


def _fixed_in(issue: FitIssue, version: Version, by: Person) -> None:
    issue.fixed_in, issue.state = version, IssueState.FIXED
    issue.save(update_fields=["fixed_in", "state"])
    audit.record(studio=version.pattern.studio, by=by, verb="issue_fixed", thing=issue, content=version.ref)
