"""The declared ease of a version, between plain values and the database."""

from __future__ import annotations

from measurements.intended_ease import IntendedEase
from releases.models import Version


def intended_ease_of(version: Version) -> dict[str, IntendedEase]:
    """{key of the finished measurement: the ease that is meant there}; empty where nothing was declared."""
    return {row.key: IntendedEase(row.key, row.mm / 10, row.tolerance_mm / 10) for row in version.declared_ease.all()}
