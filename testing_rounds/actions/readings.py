"""Readings kept as they were, so that an old page or PDF can be explained."""

from __future__ import annotations

from django.db import transaction

from testing_rounds.evidence import Evidence
from testing_rounds.models import StoredReading
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
