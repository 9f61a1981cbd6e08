"""The misfit that a tester just calls slight, zone by zone: a studio's own where it set one."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from people.models import Studio
from testing_rounds.models import ZoneScales
from testing_rounds.zones import CATALOGUE


def scales_of(studio: Studio) -> dict[str, float]:
    """{zone: cm} of every zone of the catalogue; one query."""
    stored = ZoneScales.objects.filter(studio=studio).first()
    return with_own(stored.scales if stored else {})


def with_own(own: Mapping[str, Mapping[str, Any]]) -> dict[str, float]:
    """The usual scales, with those that a studio set in their place."""
    usual = {key: zone.scale_cm for key, zone in CATALOGUE.items()}
    return {**usual, **{key: float(Decimal(said["mm"]) / 10) for key, said in own.items() if key in usual}}


def rescaled(
    zones: list[dict[str, Any]], before: Mapping[str, float], after: Mapping[str, float]
) -> list[dict[str, Any]]:
    """A round's zones with the new scales. A zone that carries another figure, as from a round file, keeps it."""
    return [
        {**entry, "scale_cm": after[entry["key"]]}
        if entry["key"] in after and entry.get("scale_cm") == before[entry["key"]]
        else entry
        for entry in zones
    ]
