"""Every change that a reading can see counts the round up; live pages ask for that number."""

from __future__ import annotations

from django.db.models import F

from testing_rounds.models import Round


def touch_round(round_id: int) -> None:
    """Count the round's revision up by one."""
    Round.objects.filter(pk=round_id).update(revision=F("revision") + 1)
