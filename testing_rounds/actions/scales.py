"""A studio sets the misfit that its testers just call slight."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from measurements.lengths import Length
from people import audit
from people.models import Person, Studio
from testing_rounds.actions.touch import touch_round
from testing_rounds.models import Round, ZoneScales
from testing_rounds.zone_scales import rescaled, with_own


@transaction.atomic
def write_scales(*, studio: Studio, lengths: Mapping[str, Length | None], by: Person) -> int:
    """Write {zone: Length}; None is the usual scale. Every round of the studio that went by its scales is read anew.

    What was stored of earlier readings stays as it was. Returns how many rounds are read anew.
    """
    stored, _made = ZoneScales.objects.select_for_update().get_or_create(studio=studio)
    before = with_own(stored.scales)
    stored.scales = {
        zone: {"mm": str(length.mm), "typed": length.typed if length.stated else f"{length.typed} {length.unit}"}
        for zone, length in lengths.items()
        if length is not None
    }
    stored.save()
    after = with_own(stored.scales)
    audit.record(studio=studio, by=by, verb="zone_scales_written", thing=stored, content=after)
    redone = 0
    for found in Round.objects.select_for_update(of=["self"]).filter(version__pattern__studio=studio):
        zones = rescaled(found.zones, before, after)
        if zones != found.zones:
            Round.objects.filter(pk=found.pk).update(zones=zones)
            touch_round(found.pk)
            redone += 1
    return redone
