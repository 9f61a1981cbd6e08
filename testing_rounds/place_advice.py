"""Size advice for a tester's place: the version's charts and the tester's measures, as the pure advice wants them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from measurements.advice_facts import by_body_measure
from measurements.chart_store import load_columns
from measurements.size_advice import advise
from measurements.size_advice_types import PatternFacts, Row, SizeAdvice
from releases.models import GarmentKind, Version
from testing_rounds.models import Place

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


def pattern_facts(version: Version) -> PatternFacts:
    """What the advice must know of a version; two queries."""
    columns = load_columns([version.body_chart, version.finished_chart])
    pattern = version.pattern
    stretch = pattern.carried.get("stretch")
    return PatternFacts(
        sizes=tuple(version.sizes),
        chart=_rows(version, columns.get(version.body_chart_id or 0, {})),
        finished=by_body_measure(_rows(version, columns.get(version.finished_chart_id or 0, {}))),
        kind=pattern.kind,
        fabric="knit" if pattern.fabric == "knit" else "woven",
        fitted=fitted_places(version),
        cup_mm=pattern.cup_mm,
        required_stretch=None if stretch is None else Decimal(str(stretch)),
    )


def advise_place(place: Place, body: Mapping[str, Decimal], facts: PatternFacts | None = None) -> SizeAdvice | None:
    """The advice for these measures (mm by measurement) and the tester's wish; None where nothing is known yet."""
    version = place.round.version
    if not body or version.body_chart_id is None or not version.sizes:
        return None
    wish = place.wish if place.wish in {"closer", "roomier"} else "usual"
    return advise(dict(body), facts or pattern_facts(version), wish)  # type: ignore[arg-type]


def _rows(version: Version, columns: Mapping[str, Mapping[str, Decimal]]) -> dict[str, Row]:
    return {key: tuple(by_size.get(size) for size in version.sizes) for key, by_size in columns.items()}
