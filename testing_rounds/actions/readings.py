"""Readings kept as they were, so that an old page or PDF can be explained."""

from __future__ import annotations

from django.db import transaction

from testing_rounds.evidence import Evidence, weigh
from testing_rounds.models import Round, StoredReading
from testing_rounds.reading import USUAL_METHOD


@transaction.atomic
def keep_readings(evidence: Evidence, *, method: str = USUAL_METHOD) -> StoredReading:
    """Store what was read, by the round's revision and the method: {stage: [reading of each zone]}.

    Once stored a stage stays as it is; asked again it changes nothing.
    """
    readings = [one.as_dict() for one in evidence.readings.values()]
    stored, made = StoredReading.objects.select_for_update().get_or_create(
        round=evidence.found,
        revision=evidence.found.revision,
        method=method,
        defaults={"readings": {evidence.stage: readings}},
    )
    if not made and evidence.stage not in stored.readings:
        stored.readings = {**stored.readings, evidence.stage: readings}
        stored.save(update_fields=["readings"])
    return stored


def read_and_keep(found: Round) -> None:
    """Read every stage of a round and store it, unless its revision is stored already; nothing without a report."""
    if found.stored_readings.filter(revision=found.revision, method=USUAL_METHOD).exists():
        return
    first = weigh(found)
    for stage in first.stages if first.rows else ():
        keep_readings(first if stage == first.stage else weigh(found, stage=stage))
