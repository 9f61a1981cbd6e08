"""What a tester allows: five things, each by itself, each with its day, each to be taken back."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.conf import settings
from django.utils import timezone

from measurements.models import BodyRecord, BodyValue
from people.models import AuditEntry, Consent, ConsentKind
from testing_rounds.actions.reports import save_fields
from testing_rounds.actions.visits import give_consent, keep_promise, withdraw_consent
from testing_rounds.consents import WORDING, WORDS
from testing_rounds.models import Place, Round, RoundState
from tests.factories import make_studio
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Place:
    return make_place(make_round(make_version(make_studio())))


@pytest.fixture
def phone(place):
    return arrived(place)


def consents_page(place: Place) -> str:
    return f"/test/{place.ref}/consents/"


def test_there_is_a_question_for_every_kind():
    assert [words.kind for words in WORDS] == list(ConsentKind)


def test_each_is_given_by_itself_with_its_day_and_wording(phone, place):
    phone.post(consents_page(place), {"adult": "on", "photos": "on"})
    consent = Consent.objects.get()
    assert (consent.subject, consent.kind, consent.wording) == (place.ref, "photos", WORDING)
    assert timezone.now() - consent.given_at < timedelta(minutes=1)


def test_nothing_is_ticked_beforehand(phone, place):
    assert "checked" not in phone.get(consents_page(place)).content.decode()


def test_a_tester_says_first_that_they_are_an_adult(phone, place):
    answer = phone.post(consents_page(place), {"measurements": "on"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Testers are adults." in page
    assert page.count("checked") == 1, "what was ticked stays ticked"
    assert not Consent.objects.exists()
    place.refresh_from_db()
    assert place.adult_at is None


@pytest.mark.parametrize("part", ["measures", "size", "print", "fit", "photos", "steps", "last", "send"])
def test_without_that_no_other_page_opens(phone, place, part):
    assert phone.get(f"/test/{place.ref}/{part}/")["Location"] == consents_page(place)


def test_giving_twice_is_one_consent(phone, place):
    for _ in range(2):
        phone.post(consents_page(place), {"adult": "on", "name": "on"})
    assert Consent.objects.count() == 1
    assert AuditEntry.objects.filter(verb="consent_given").count() == 1


def test_the_day_on_which_they_go_is_said(phone, place):
    day = timezone.now().date() + timedelta(days=settings.BODY_RETENTION_DAYS)
    assert f"{day:%B} {day.year}" in phone.get(consents_page(place)).content.decode()


def test_without_that_consent_no_measurements_are_asked_or_taken(phone, place):
    with_consents(place, "photos")
    assert phone.get(f"/test/{place.ref}/measures/")["Location"] == consents_page(place)
    answer = phone.post(f"/test/{place.ref}/save/", {"body.waist": "74", "unit": "cm"})
    assert "body.waist" in answer.json()["refused"]
    assert not BodyValue.objects.exists()


def test_taking_measurements_back_removes_them_at_once(phone, place):
    with_consents(place)
    save_fields(place=place, fields={"body.waist": "74", "body.bust": "9x", "size": "16"}, unit="cm")
    phone.post(f"{consents_page(place)}measurements/")
    place.refresh_from_db()
    assert not BodyValue.objects.exists()
    assert not BodyRecord.objects.exists()
    assert (place.body, place.pending, place.advised_size, place.size) == (None, {}, "", "16")
    consent = Consent.objects.get(kind="measurements")
    assert consent.withdrawn_at is not None


def test_taking_back_is_asked_before_it_is_done(phone, place):
    with_consents(place)
    assert "removed at once" in phone.get(f"{consents_page(place)}measurements/").content.decode()
    assert Consent.objects.filter(withdrawn_at=None).count() == 2


def test_it_can_be_taken_back_after_the_round_has_closed(phone, place):
    with_consents(place)
    Round.objects.update(state=RoundState.CLOSED)
    phone.post(f"{consents_page(place)}photos/")
    assert Consent.objects.get(kind="photos").withdrawn_at


def test_what_was_taken_back_can_be_given_again_and_both_days_stay(place):
    give_consent(place=place, kind="quote")
    withdraw_consent(place=place, kind="quote")
    give_consent(place=place, kind="quote")
    assert [one.withdrawn_at is None for one in Consent.objects.order_by("id")] == [False, True]


def test_taking_back_is_heard_by_the_pages_of_the_round(place):
    give_consent(place=place, kind="photos")
    before = Round.objects.get().revision
    assert withdraw_consent(place=place, kind="photos")
    assert Round.objects.get().revision == before + 1
    assert not withdraw_consent(place=place, kind="photos")
    assert Round.objects.get().revision == before + 1


def test_the_trail_names_no_person_and_no_measure(phone, place):
    with_consents(place)
    save_fields(place=place, fields={"body.waist": "74"}, unit="cm")
    phone.post(f"{consents_page(place)}measurements/")
    trail = str(list(AuditEntry.objects.values()))
    assert "Tindra" not in trail
    assert "tindra@" not in trail
    assert "74" not in {entry.object_ref for entry in AuditEntry.objects.all()}


def test_on_the_promised_day_the_measurements_go(place):
    with_consents(place)
    save_fields(place=place, fields={"body.waist": "74"}, unit="cm")
    keep_promise(place=place)
    assert BodyValue.objects.count() == 1, "not before the day"
    Consent.objects.update(given_at=timezone.now() - timedelta(days=settings.BODY_RETENTION_DAYS))
    keep_promise(place=place)
    assert not BodyRecord.objects.exists()
