"""What testers used of the fabric, against what the table asks for."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from releases.models import FabricRequirement, Material
from testing_rounds.fabric_used import Used, read_use
from testing_rounds.models import FitReport
from tests.factories import make_cast, signed_in
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents


def used(*cm: int, size="12"):
    return [Used(size, Decimal(10 * one), Decimal(1000)) for one in cm]


@pytest.mark.parametrize(
    ("cm", "code", "issue"),
    [
        ((101, 104, 90), "too_little", True),
        ((84, 80, 120), "too_much", True),
        ((100, 100), "holds", False),
        ((85, 85, 85), "holds", False),
        ((99, 86), "holds", False),
    ],
)
def test_the_median_decides(cm, code, issue):
    read = read_use(used(*cm), ("12",))
    assert (read.says.code, read.issue, read.reports) == (code, issue, len(cm))


def test_one_report_says_nothing():
    assert read_use(used(150), ("12",)) is None
    assert read_use([], ("12",)) is None


def test_each_size_has_its_own_line_in_order():
    read = read_use([*used(90, 94, size="14"), *used(80, size="10")], ("10", "12", "14"))
    assert [(one.size, one.reports, one.share) for one in read.sizes] == [
        ("10", 1, Decimal("0.8")),
        ("14", 2, Decimal("0.92")),
    ]


@pytest.mark.django_db
def test_the_fabric_page_holds_reports_against_the_widest_layout_that_their_cloth_reaches():
    cast = make_cast()
    version = make_version(cast.studio)
    cloth = Material.objects.create(version=version, number=1, name="Shell")
    for width, tenths in ((1150, 23), (1400, 17)):
        FabricRequirement.objects.create(
            material=cloth, size="14", width_mm=width, content="x", length_mm=1500, tenths_of_metre=tenths
        )
    round_ = make_round(version)
    for alias, width, length in (("T1", 1380, 1900), ("T2", 1150, 2500), ("T3", 900, 9000)):
        place = with_consents(make_place(round_, alias=alias, name=alias, email=f"{alias}@testers.example"))
        arrived(place)
        FitReport.objects.create(
            place=place, version=version, size="14", submitted_at=timezone.now(),
            fabric_width_mm=width, fabric_length_mm=length,
        )  # fmt: skip
    page = signed_in(cast.reviewer).get(reverse("version_fabric", args=[version.ref])).content.decode()
    # 190 of 170 and 250 of 230; the third is narrower than any layout.
    assert "Testers used 1.10 of what the table asks for (median of 2 reports): buyers would run out." in page
