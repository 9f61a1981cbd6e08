"""What the testers of a version used of its fabric: from the reports and the layouts to `fabric_used`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django.http import HttpRequest

from releases.models import FabricRequirement, Version
from testing_rounds.fabric_used import Used, read_use
from testing_rounds.models import FitReport

# A cloth sold as 140 may measure 138: a report belongs to the widest layout that its cloth reaches within this.
NARROWER_MM = Decimal(20)
TENTH_OF_A_METRE_MM = 100


def fabric_part(request: HttpRequest, version: Version) -> Mapping[str, Any]:
    """The section of the fabric page: what testers used, or nothing to say."""
    return {"use": read_use(used_by_testers(version), version.sizes)}


def used_by_testers(version: Version) -> Iterator[Used]:
    """Every sent report that tells length and width of its cloth, beside what its size needs of the first cloth."""
    reports = FitReport.objects.filter(
        version=version, submitted_at__isnull=False, fabric_length_mm__gt=0, fabric_width_mm__gt=0
    )
    first = version.materials.filter(cut_from=None).first()
    needs: dict[str, list[FabricRequirement]] = {}
    for need in first.requirements.exclude(tenths_of_metre=None).order_by("-width_mm") if first else ():
        needs.setdefault(need.size, []).append(need)
    for report in reports:
        width, length = report.fabric_width_mm or Decimal(0), report.fabric_length_mm or Decimal(0)
        fitting = [need for need in needs.get(report.size, ()) if need.width_mm <= width + NARROWER_MM]
        if fitting and fitting[0].tenths_of_metre:
            yield Used(report.size, length, Decimal(fitting[0].tenths_of_metre * TENTH_OF_A_METRE_MM))
