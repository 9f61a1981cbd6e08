"""The declared ease of a version, between plain values and the database."""

from __future__ import annotations

from measurements.intended_ease import IntendedEase
from releases.models import DeclaredEase, FinishedLength, Version


def intended_ease_of(version: Version) -> dict[str, IntendedEase]:
    """{key of the finished measurement: the ease that is meant there}; empty where nothing was declared."""
    return {row.key: IntendedEase(row.key, row.mm / 10, row.tolerance_mm / 10) for row in version.declared_ease.all()}


def copy_ease(version: Version, copied: Version) -> None:
    """Take over what an earlier version meant and which lengths it had; inside the caller's transaction."""
    for model, rows in ((DeclaredEase, copied.declared_ease.all()), (FinishedLength, copied.lengths.all())):
        for row in rows:
            values = {f.name: getattr(row, f.name) for f in model._meta.concrete_fields if f.name not in {"id", "ref"}}
            model.objects.create(**{**values, "version": version})
