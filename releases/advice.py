"""What size advice must know of a version: its charts, its pattern, its studio's rules."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from measurements.advice_facts import by_body_measure
from measurements.advice_rules import rules_of
from measurements.chart_store import load_columns
from measurements.size_advice_types import PatternFacts, Row
from releases.models import Fabric, GarmentKind, Version

# Where a kind of garment holds the body, unless its pattern says that it hangs free there.
FITTED: dict[str, tuple[str, ...]] = {
    GarmentKind.DRESS: ("bust", "waist", "hip"),
    GarmentKind.KNIT: ("bust", "waist", "hip"),
    GarmentKind.SKIRT: ("waist", "hip"),
    GarmentKind.TROUSERS: ("waist", "hip"),
}
ABOVE = ("bust", "waist")


def fitted_places(version: Version) -> tuple[str, ...]:
    """The body measurements that the garment holds."""
    pattern = version.pattern
    return tuple(place for place in FITTED.get(pattern.kind, ABOVE) if place not in pattern.free_at)


def stretch_of(version: Version) -> Decimal | None:
    """The stretch that the fabric must have, in per cent; None where it is not said."""
    stretch = version.pattern.carried.get("stretch")
    return None if stretch is None else Decimal(str(stretch))


def pattern_facts(version: Version) -> PatternFacts:
    """What the advice must know of a version; two queries."""
    rules = rules_of(version.pattern.studio)
    columns = load_columns([version.body_chart, version.finished_chart])
    pattern = version.pattern
    return PatternFacts(
        sizes=tuple(version.sizes),
        chart=_rows(version, columns.get(version.body_chart_id or 0, {})),
        finished=by_body_measure(_rows(version, columns.get(version.finished_chart_id or 0, {}))),
        kind=pattern.kind,
        fabric="knit" if pattern.fabric == Fabric.KNIT else "woven",
        fitted=fitted_places(version),
        least_ease=rules.least,
        cup_mm=pattern.cup_mm,
        required_stretch=stretch_of(version),
        rules=rules.hold,
        preference=rules.preference,
    )


def _rows(version: Version, columns: Mapping[str, Mapping[str, Decimal]]) -> dict[str, Row]:
    return {key: tuple(by_size.get(size) for size in version.sizes) for key, by_size in columns.items()}


def measures_asked(version: Version) -> tuple[str, ...]:
    """The body measurements that the advice can use on this version: those of its chart that choose or hold."""
    facts = pattern_facts(version)
    wanted = ("high_bust", "bust") if facts.primary == "bust" else ()
    places = dict.fromkeys((*wanted, facts.primary, *facts.fitted))
    return tuple(place for place in places if place == "high_bust" or facts.known(place))
