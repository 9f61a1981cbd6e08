from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction

from measurements.intended_ease import USUAL_TOLERANCE_CM
from measurements.lengths import Length
from people.audit import record
from people.models import Person
from releases.actions.patterns import stored
from releases.actions.refused import draft_only
from releases.actions.versions import PINNED
from releases.models import DeclaredEase, FinishedLength, Pattern, Version

USUAL_TOLERANCE = Length(USUAL_TOLERANCE_CM * 10, f"{USUAL_TOLERANCE_CM} cm", "cm", stated=True)


@transaction.atomic
def declare_ease(
    *, version: Version, declared: Mapping[str, tuple[Length, Length | None]], stretch: float | None, by: Person
) -> None:
    """Write what ease is meant at each finished measurement, in place of what was declared before.

    It may change at any time: it says what was meant, and nothing that was sewn. A tolerance that is None is the
    usual one. `stretch` is the per cent that a knit fabric must give; None where it is not said.
    """
    version.declared_ease.all().delete()
    DeclaredEase.objects.bulk_create(_row(version, key, *pair) for key, pair in declared.items())
    pattern = Pattern.objects.select_for_update().get(pk=version.pattern_id)
    carried = {key: value for key, value in pattern.carried.items() if key != "stretch"}
    pattern.carried = carried if stretch is None else {**carried, "stretch": stretch}
    pattern.save(update_fields=["carried"])
    version.pattern.carried = pattern.carried
    said = {key: [ease.mm, tolerance.mm if tolerance else None] for key, (ease, tolerance) in declared.items()}
    record(studio=pattern.studio, by=by, verb="ease_declared", thing=version, content=[said, stretch])


def _row(version: Version, key: str, ease: Length, tolerance: Length | None) -> DeclaredEase:
    mm, typed = stored(ease)
    tolerance_mm, tolerance_typed = stored(tolerance or USUAL_TOLERANCE)
    return DeclaredEase(
        version=version, key=key, mm=mm, typed=typed, tolerance_mm=tolerance_mm, tolerance_typed=tolerance_typed
    )


@transaction.atomic
def write_length(
    *, version: Version, of: FinishedLength | None, change_mm: Decimal, fields: Mapping[str, Any], by: Person
) -> FinishedLength:
    """A further length of a draft, or a change of one. `fields`: name, along, laps; change, height, lining (Length)."""
    draft_only(version, PINNED)
    length = of or FinishedLength(version=version)
    for name in ("name", "along", "laps"):
        setattr(length, name, fields[name])
    length.change_mm, length.change_typed = change_mm, stored(fields["change"])[1]
    length.height_mm, length.height_typed = stored(fields["height"])
    length.lining_mm, length.lining_typed = stored(fields["lining"])
    length.save()
    record(studio=version.pattern.studio, by=by, verb="length_written", thing=length, content=dict(fields))
    return length


@transaction.atomic
def remove_length(*, length: FinishedLength, by: Person) -> None:
    """Take a length off a draft. Raises Refused once the version is tested."""
    draft_only(length.version, PINNED)
    record(studio=length.version.pattern.studio, by=by, verb="length_removed", thing=length)
    length.delete()
