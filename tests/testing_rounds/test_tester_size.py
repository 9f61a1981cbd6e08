"""A tester's measurements, the size they lead to, and the size that is cut."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.conf import settings
from django.utils import timezone

from measurements.body_measures import optional, required
from measurements.models import BodyRecord, BodyValue
from releases.models import GarmentKind
from testing_rounds.actions.reports import save_fields
from testing_rounds.models import FitReport, Place
from tests.factories import make_studio
from tests.testing_rounds.testers import arrived, form_of, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Place:
    return with_consents(make_place(make_round(make_version(make_studio())), size=""))


@pytest.fixture
def phone(place):
    return arrived(place)


def body(place: Place, unit: str = "cm", **measures: str):
    return save_fields(place=place, fields={f"body.{key}": text for key, text in measures.items()}, unit=unit)


def measures_page(phone, place) -> str:
    return phone.get(f"/test/{place.ref}/measures/").content.decode()


@pytest.mark.parametrize("kind", GarmentKind.values)
def test_each_kind_asks_its_own_measurements_and_says_which_are_needed(kind):
    place = with_consents(make_place(make_round(make_version(make_studio(), kind=kind))))
    fields = form_of(arrived(place).get(f"/test/{place.ref}/measures/"))
    taken = {name.removeprefix("body.") for name in fields if name.startswith("body.")}
    fitted = ("waist",) if kind in {"skirt", "trousers"} else ("bust", "waist")
    assert taken == {*required(kind, fitted), *optional(kind, fitted)}


def test_each_says_how_to_take_it(phone, place):
    page = measures_page(phone, place)
    assert "Tie elastic round the middle" in page
    assert "Keep the tape level" in page
    for never in ("weight", "bra", "age"):
        assert f'name="body.{never}"' not in page


def test_a_measurement_is_kept_as_it_was_typed(phone, place):
    body(place, waist="34 1/2", unit="in")
    value = BodyValue.objects.get()
    assert (value.mm, value.typed, value.unit) == (Decimal("876.3"), "34 1/2", "in")
    assert form_of(phone.get(f"/test/{place.ref}/measures/"))["body.waist"] == "34 1/2 in"


def test_a_record_has_its_day_who_helped_and_until_when_it_is_kept(place):
    body(place, waist="74")
    today = timezone.now().date()
    save_fields(place=place, fields={"body_on": f"{today - timedelta(days=2)}", "body_helped": "yes"})
    record = BodyRecord.objects.get()
    assert (record.taken_on, record.helped) == (today - timedelta(days=2), True)
    assert record.keep_until == today + timedelta(days=settings.BODY_RETENTION_DAYS)


@pytest.mark.parametrize(("text", "why"), [("31.2.2026", "This is not a day"), ("2999-01-01", "still to come")])
def test_a_day_that_cannot_be_is_refused_and_kept_beside(phone, place, text, why):
    body(place, waist="74")
    assert why in save_fields(place=place, fields={"body_on": text}).refused["body_on"]
    assert why in measures_page(phone, place)


def test_a_doubtful_measurement_is_asked_again_and_kept(phone, place):
    body(place, high_bust="95", bust="90", waist="29")
    page = measures_page(phone, place)
    assert page.count("The bust is smaller than the high bust here.") == 2
    assert "29 reads as cm here. Is it in?" in page
    assert BodyValue.objects.count() == 3


def test_the_advice_comes_with_its_reason_and_is_kept(phone, place):
    body(place, bust="92", high_bust="87", waist="74", height="163")
    place.refresh_from_db()
    assert place.advised_size == "12"
    page = phone.get(f"/test/{place.ref}/size/").content.decode()
    assert "We advise size 12." in page
    assert "nearest to size 12, drafted for 92 cm (36 1/4 in)" in page


def test_the_wish_for_a_closer_fit_changes_the_advice(place):
    body(place, bust="98", high_bust="93", waist="80", height="163")
    place.refresh_from_db()
    assert place.advised_size == "16"
    save_fields(place=place, fields={"wish": "closer"})
    place.refresh_from_db()
    assert place.advised_size == "14"


def test_outside_the_sizes_nothing_is_guessed(phone, place):
    body(place, bust="128", high_bust="122", waist="112", height="163")
    place.refresh_from_db()
    assert place.advised_size == ""
    page = phone.get(f"/test/{place.ref}/size/").content.decode()
    assert "The sizes of this pattern end before your measurements." in page


def test_taking_the_advice_sets_size_and_blend(phone, place):
    body(place, bust="92", high_bust="87", waist="86", height="163")
    page = phone.get(f"/test/{place.ref}/size/").content.decode()
    assert "Take the advice: size 12, 18 at the waist" in page
    phone.post(f"/test/{place.ref}/size/advice/")
    place.refresh_from_db()
    assert (place.size, place.sizes) == ("12", {"waist": "18"})
    assert "You cut size 12, as advised." in phone.get(f"/test/{place.ref}/size/").content.decode()


def test_the_tester_may_cut_another_size_and_both_are_kept(place):
    body(place, bust="92", high_bust="87", waist="74", height="163")
    save_fields(place=place, fields={"size": "14", "size.bust": "16", "fit.waist": "1"})
    place.refresh_from_db()
    assert (place.advised_size, place.size, place.sizes) == ("12", "14", {"bust": "16"})
    report = FitReport.objects.get()
    assert (report.size, report.sizes) == ("14", {"bust": "16"})


def test_the_report_follows_when_the_size_is_said_later(place):
    save_fields(place=place, fields={"fit.waist": "1"})
    assert FitReport.objects.get().size == ""
    save_fields(place=place, fields={"size": "16", "size.waist": "18"})
    report = FitReport.objects.get()
    assert (report.size, report.sizes) == ("16", {"waist": "18"})
    save_fields(place=place, fields={"size.waist": ""})
    assert FitReport.objects.get().sizes == {}


def test_the_studios_size_stands_until_the_tester_says_otherwise(phone, place):
    Place.objects.update(size="16")
    assert "You cut size 16." in phone.get(f"/test/{place.ref}/size/").content.decode()
    assert form_of(phone.get(f"/test/{place.ref}/size/"))["size"] == "16"
