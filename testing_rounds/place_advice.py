"""Size advice for a tester's place: the tester's measures and wish, on the version that the round tests."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from measurements.size_advice import advise
from measurements.size_advice_types import PatternFacts, Preference, SizeAdvice
from releases.advice import fitted_places, pattern_facts
from testing_rounds.models import Place, Wish

__all__ = ["advise_place", "fitted_places", "pattern_facts"]
WISHES: dict[str, Preference] = {Wish.CLOSER: "closer", Wish.ROOMIER: "roomier"}


def advise_place(place: Place, body: Mapping[str, Decimal], facts: PatternFacts | None = None) -> SizeAdvice | None:
    """The advice for these measures (mm by measurement); None where nothing is known yet.

    A tester's own wish goes before the studio's fit.
    """
    version = place.round.version
    if not body or version.body_chart_id is None or not version.sizes:
        return None
    return advise(dict(body), facts or pattern_facts(version), WISHES.get(place.wish))
