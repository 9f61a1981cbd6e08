from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from measurements.lengths import Length
from people.audit import record
from people.models import Person, Studio
from releases.models import Pattern

PLAIN = ("name", "kind", "fabric", "chart", "free_at", "about")


@transaction.atomic
def create_pattern(*, studio: Studio, fields: Mapping[str, Any], by: Person) -> Pattern:
    """A new pattern. `fields`: name, kind, fabric, chart, height and cup (Length or None), free_at, about, and perhaps
    for_children."""
    pattern = Pattern(studio=studio)
    _fill(pattern, fields)
    pattern.save()
    record(studio=studio, by=by, verb="pattern_created", thing=pattern, content=dict(fields))
    return pattern


@transaction.atomic
def change_pattern(*, pattern: Pattern, fields: Mapping[str, Any], by: Person) -> Pattern:
    """Write the fields again. Versions keep the chart that they pinned."""
    _fill(pattern, fields)
    pattern.save()
    record(studio=pattern.studio, by=by, verb="pattern_changed", thing=pattern, content=dict(fields))
    return pattern


def _fill(pattern: Pattern, fields: Mapping[str, Any]) -> None:
    for name in PLAIN:
        setattr(pattern, name, fields[name])
    pattern.for_children = bool(fields.get("for_children", pattern.for_children))
    pattern.height_mm, pattern.height_typed = stored(fields["height"])
    pattern.cup_mm, pattern.cup_typed = stored(fields["cup"])


def stored(length: Length | None) -> tuple[Any, str]:
    """A length as two columns: exact millimetres, and the text with its unit."""
    if length is None:
        return None, ""
    return length.mm, length.typed if length.stated else f"{length.typed} {length.unit}"
