from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext_lazy as _

from measurements.models import ChartRevision
from people.audit import record
from people.models import Person
from releases.actions.booklet import copy_booklet, copy_shown
from releases.actions.fabric import copy_cutting_list
from releases.actions.patterns import stored
from releases.actions.refused import Refused, draft_only
from releases.actions.sign_off import carry_sign_offs
from releases.actions.stale import note_change
from releases.ease_store import copy_ease
from releases.models import Pattern, Step, Version, VersionState
from releases.stale import Change
from releases.stale_store import rows_touched
from releases.tables import charts_of

PINNED = _("This version is no longer a draft: what was sewn stays as it was. Start the next version instead.")


def create_version(
    *, pattern: Pattern, body_chart: ChartRevision, fields: Mapping[str, Any], copied: Version | None, by: Person
) -> Version:
    """A draft, pinned to this revision of the body chart.

    `fields`: number, sizes, base_size, what_changed, test_square (Length or None), copy_finished, copy_steps; the last
    two take the finished measurements (with the ease that is meant, the lengths, the cutting list and the booklet's
    parts) and the steps (with what stands beside them) of `copied`.
    Raises Refused when the number is taken.
    """
    try:
        with transaction.atomic():
            return _create(pattern, body_chart, fields, copied, by)
    except IntegrityError:
        raise Refused(number_taken(pattern, fields["number"])) from None


def _create(
    pattern: Pattern, body_chart: ChartRevision, fields: Mapping[str, Any], copied: Version | None, by: Person
) -> Version:
    version = Version(pattern=pattern, body_chart=body_chart)
    _fill(version, fields)
    if copied and fields["copy_finished"]:
        version.finished_chart = copied.finished_chart
        version.grade_facts = copied.grade_facts
    version.save()
    if copied and fields["copy_finished"]:
        copy_ease(version, copied)
        copy_cutting_list(version, copied)
        copy_booklet(version, copied)
        others = rows_touched(charts_of(copied)[0], charts_of(version)[0])
        carry_sign_offs(version=version, copied=copied, touched=Change("chart", others).sizes)
    if copied and fields["copy_steps"]:
        Step.objects.bulk_create(Step(version=version, number=s.number, text=s.text) for s in copied.steps.all())
        copy_shown(version, copied)
    record(studio=pattern.studio, by=by, verb="version_created", thing=version, content=dict(fields))
    return version


def number_taken(pattern: Pattern, number: str) -> str:
    return str(_("%(pattern)s already has a version %(number)s.")) % {"pattern": pattern.name, "number": number}


def change_version(*, version: Version, fields: Mapping[str, Any], by: Person) -> Version:
    """Write what may change: all fields of a draft, later only what_changed. Raises Refused."""
    try:
        with transaction.atomic():
            held = Version.objects.select_for_update().get(pk=version.pk)
            if held.is_draft:
                _fill(held, fields)
            held.what_changed = fields["what_changed"]
            held.save()
            record(studio=version.pattern.studio, by=by, verb="version_changed", thing=version, content=dict(fields))
            return held
    except IntegrityError:
        raise Refused(number_taken(version.pattern, fields["number"])) from None


@transaction.atomic
def take_over_chart(*, version: Version, by: Person) -> ChartRevision | None:
    """Move a draft to the newest revision of its chart, and drop sizes that are gone. None: nothing is newer."""
    held = draft_only(version, PINNED)
    newest = held.newer_chart()
    if newest is None:
        return None
    before = charts_of(held)[0]
    labels = [size.label for size in newest.sizes.all()]
    held.body_chart = newest
    held.sizes = [label for label in labels if label in held.sizes] or labels
    if held.base_size not in held.sizes:
        held.base_size = next((size.label for size in newest.sizes.all() if size.is_base), "")
    held.save()
    record(studio=version.pattern.studio, by=by, verb="chart_taken_over", thing=version, content=newest.ref)
    note_change(version=held, change=Change("chart", rows_touched(before, charts_of(held)[0])), by=by)
    return newest


@transaction.atomic
def begin_testing(*, version: Version, by: Person) -> None:
    """Somebody is about to sew it: from here its charts, sizes and steps stay. Nothing happens to one already there."""
    held = Version.objects.select_for_update().get(pk=version.pk)
    if not held.is_draft:
        return
    held.state = VersionState.IN_TESTING
    held.save(update_fields=["state"])
    version.state = held.state
    record(studio=version.pattern.studio, by=by, verb="testing_begun", thing=version)


def _fill(version: Version, fields: Mapping[str, Any]) -> None:
    for name in ("number", "sizes", "base_size", "what_changed"):
        setattr(version, name, fields[name])
    version.test_square_mm, version.test_square_typed = stored(fields["test_square"])
