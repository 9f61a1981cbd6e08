"""Zones to look at again beside one that changed: what rounds add to the marks of a change."""

from __future__ import annotations

from collections.abc import Iterator

from measurements.sentences import Term, gettext_noop, sentence
from releases.models import Version
from releases.stale import Change, Mark, span
from releases.tables import charts_of
from testing_rounds.models import Round
from testing_rounds.zones import CATALOGUE, linked


def linked_zones(version: Version, change: Change) -> Iterator[Mark]:
    """Of each finished measurement that changed, the zones that go with its own, where testers were asked of them and
    no measurement of the chart stands for them (that one is marked by itself)."""
    if change.kind != "finished":
        return
    asked = _asked(version)
    measured = {line.key for line in charts_of(version)[1].lines}
    for row in change.touched:
        own = next((zone for zone in CATALOGUE.values() if zone.finished and zone.finished[0] == row.key), None)
        for key in linked(own.key) if own else ():
            other = CATALOGUE[key]
            if key in asked and not measured & set(other.finished):
                why = gettext_noop("The %(other)s goes with the %(measure)s, which changed in %(sizes)s.")
                values = {
                    "other": Term(other.label),
                    "measure": Term(row.name),
                    "sizes": span(row.sizes, version.sizes),
                }
                yield Mark("zones", row.sizes, sentence("linked", why, **values))


def _asked(version: Version) -> set[str]:
    """The zones of every round of the pattern."""
    rounds = Round.objects.filter(version__pattern=version.pattern_id)
    return {entry["key"] for zones in rounds.values_list("zones", flat=True) for entry in zones}
