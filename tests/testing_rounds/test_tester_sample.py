"""Testers as a sample of bodies: only those whose permission names this use, a person once, never fewer than twenty."""

from __future__ import annotations

import html
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from measurements.models import BodyRecord, BodyValue
from people.models import Consent
from testing_rounds.actions.visits import give_consent, withdraw_consent
from testing_rounds.models import Place
from testing_rounds.tester_sample import sample_of_testers
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.testers import make_place, make_round, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return make_cast()


def measured(round_, number: int, cm: str = "92", day: int = 1, **fields) -> Place:
    place = make_place(round_, **{"alias": f"T{number}", "email": f"t{number}@saltmarsh.example", **fields})
    place.body = BodyRecord.objects.create(studio=round_.version.pattern.studio, taken_on=date(2026, 9, day))
    place.save()
    BodyValue.objects.bulk_create(
        BodyValue(record=place.body, key=key, mm=Decimal(cm) * 10, typed=cm, unit="cm") for key in ("bust", "hip")
    )
    give_consent(place=place, kind="measurements")
    return place


def test_a_person_counts_once_as_last_measured_and_only_while_allowed(cast):
    version = make_version(cast.studio)
    first, second = make_round(version), make_round(version, name="Second round")
    measured(first, 1, "90")
    measured(second, 1, "91", day=20, email="T1@saltmarsh.example")
    older = measured(first, 2, "95")
    Consent.objects.filter(subject=older.ref).update(wording="1")
    withdraw_consent(place=measured(first, 3, "97"), kind="measurements")
    measured(make_round(make_version(cast.other_studio)), 4, "99")
    assert sample_of_testers(cast.studio).columns == {"bust": (Decimal(910),), "hip": (Decimal(910),)}


@pytest.mark.parametrize(
    ("testers", "said"), [(19, "one more body is needed"), (20, "% of the 20 bodies of your own testers")]
)
def test_the_page_of_a_chart_offers_them_from_twenty_on(cast, testers, said):
    version = make_version(cast.studio)
    round_ = make_round(version)
    for number in range(testers):
        measured(round_, number, str(88 + number))
    page = signed_in(cast.reviewer).get(reverse("chart_served", args=[version.body_chart.chart.ref]))
    assert said in html.unescape(page.content.decode())
