"""What the night does: promised days are kept even where their own job failed, loose photo files go."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone

from people.arriving import sweep_loose_parts
from people.models import AuditEntry, Consent, Role
from testing_rounds.actions.nightly import overdue_places, sweep_photos
from testing_rounds.actions.reports import open_report, save_fields, send_report
from testing_rounds.actions.visits import give_consent, withdraw_consent
from testing_rounds.evidence import weigh
from testing_rounds.jobs import keep_promises
from testing_rounds.models import (
    ArrivingPhoto,
    FitIssue,
    IssueState,
    Photo,
    PhotoState,
    Place,
    PlaceState,
    Round,
    RoundState,
)
from tests.factories import join, make_person, make_studio, signed_in
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db

YEAR = timedelta(days=settings.BODY_RETENTION_DAYS)


@pytest.fixture
def place() -> Place:
    made = with_consents(make_place(make_round(make_version(make_studio()))))
    save_fields(place=made, fields={"body.waist": "74", "fit.waist": "-1"}, unit="cm")
    return made


@pytest.fixture
def photo(place, tmp_path, settings) -> Photo:
    store = settings.STORAGES["default"]
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {**store, "OPTIONS": {**store["OPTIONS"], "location": tmp_path}},
    }
    names = {
        name: default_storage.save(f"photos/{place.ref}/x-{name}", ContentFile(b"picture"))
        for name in ("large", "small")
    }
    return Photo.objects.create(report=open_report(place), view="front", state=PhotoState.READY, **names)


def given(days_ago: timedelta, *kinds: str) -> None:
    Consent.objects.filter(kind__in=kinds).update(given_at=timezone.now() - days_ago)


def night() -> None:
    keep_promises.call()


def test_before_the_day_nothing_goes(place, photo) -> None:
    given(YEAR - timedelta(days=1), "measurements", "photos")
    night()
    place.refresh_from_db()
    assert place.body is not None
    assert Photo.objects.exists()


def test_after_the_day_measurements_and_photos_are_gone_and_the_report_stays(
    place, photo, django_capture_on_commit_callbacks
) -> None:
    given(YEAR + timedelta(days=2), "measurements", "photos")
    with django_capture_on_commit_callbacks(execute=True):
        night()
    place.refresh_from_db()
    assert place.body is None
    assert not Photo.objects.exists()
    assert not default_storage.exists(photo.large)
    assert place.reports.get().verdicts.count() == 1


def test_each_by_its_own_day(place, photo) -> None:
    given(YEAR + timedelta(days=2), "measurements")
    night()
    place.refresh_from_db()
    assert place.body is None
    assert Photo.objects.exists()


def test_photos_that_may_show_the_pattern_stay(place, photo) -> None:
    give_consent(place=place, kind="promotion")
    given(YEAR + timedelta(days=2), "photos")
    night()
    assert Photo.objects.exists()


def test_what_was_kept_no_longer_is_not_written_down_every_night(place) -> None:
    given(YEAR + timedelta(days=2), "measurements", "photos")
    for _ in range(3):
        night()
    assert AuditEntry.objects.filter(verb="kept_no_longer").count() == 1
    assert not overdue_places(timezone.now())


def test_photo_files_that_nothing_names_are_swept_after_a_day(place, photo) -> None:
    loose = default_storage.save(f"photos/{place.ref}/loose-incoming", ContentFile(b"left behind"))
    assert sweep_photos(timezone.now() - timedelta(days=1)) == []
    assert sweep_photos(timezone.now() + timedelta(days=1)) == [loose]
    assert default_storage.exists(photo.large)
    assert default_storage.exists(photo.small)


def applicant(found: Round, alias: str, **fields) -> Place:
    return make_place(found, alias=alias, email=f"{alias.lower()}@posteo.example", **fields)


def test_who_was_never_asked_is_forgotten_a_month_after_the_round(place) -> None:
    found = place.round
    send_report(place=place)
    applied = applicant(found, "T2", state=PlaceState.APPLIED)
    sewed = applicant(found, "T3", state=PlaceState.DROPPED_OUT, accepted_at=timezone.now())
    night()
    Round.objects.update(state=RoundState.CLOSED)
    night()
    assert Place.objects.count() == 3, "counted from the night that found it closed"
    Round.objects.update(closed_on=timezone.now().date() - timedelta(days=settings.APPLICANT_DAYS + 1))
    night()
    assert set(Place.objects.all()) == {place, sewed}
    assert AuditEntry.objects.filter(verb="tester_erased", object_ref=applied.ref).exists()
    Round.objects.update(state=RoundState.SEWING)
    night()
    assert Round.objects.get().closed_on is None


def test_bodies_are_seen_while_the_round_needs_them(place) -> None:
    cast = make_person("Odile Sorrento")
    join(place.round.version.pattern.studio, cast, Role.DESIGNER)
    desk = signed_in(cast)
    report = send_report(place=place).report
    pages = [
        reverse("place", args=[place.ref]),
        reverse("report", args=[report.ref]),
    ]
    file = reverse("round_file", args=[place.round.ref])

    def told() -> list[bool]:
        return [re.search(r"(?<!\w)74(\.0)?(?![\w%])", desk.get(page).content.decode()) is not None for page in pages]

    assert told() == [True, True]
    assert '"waist": 74' in desk.get(file).content.decode()
    issue = FitIssue.objects.create(round=place.round, zone="waist", direction=-1, state=IssueState.FIXED)
    Round.objects.update(state=RoundState.CLOSED)
    assert told() == [True, True], "the proof is still to come"
    FitIssue.objects.filter(pk=issue.pk).update(state=IssueState.CONFIRMED)
    assert told() == [False, False]
    assert "The round no longer needs them" in desk.get(pages[0]).content.decode()
    assert '"waist": 74' not in desk.get(file).content.decode()


def test_what_the_body_explained_stays_set_aside_when_it_is_erased(place) -> None:
    save_fields(place=place, fields={"size": "14", "body.waist": "90", "fit.waist": "-2"}, unit="cm")
    send_report(place=place)
    aside = [answer.zone for answer in weigh(place.round).set_aside]
    assert aside == ["waist"]
    seen = weigh(place.round)
    assert "was worn on" in seen.reasons(seen.set_aside[0])[0].template
    Round.objects.update(state=RoundState.CLOSED)
    later = weigh(Round.objects.get())
    assert later.reasons(later.set_aside[0])[0].values == (), "its numbers go from the pages with the body"
    withdraw_consent(place=place, kind="measurements")
    (answer,) = weigh(Round.objects.get()).set_aside
    assert answer.zone == "waist"
    assert "Measurements that are erased since then explained it." in str(answer.reasons[0])


def test_parts_of_an_upload_that_no_row_names_go(photo, place) -> None:
    loose = default_storage.save(f"arriving/{place.ref}/x-0", ContentFile(b"part"))
    named = default_storage.save(f"arriving/{place.ref}/y-0", ContentFile(b"part"))
    ArrivingPhoto.objects.create(place=place, mark="m", size_bytes=9, parts=[named])
    assert sweep_loose_parts(timezone.now() - timedelta(days=1)) == []
    assert sweep_loose_parts(timezone.now() + timedelta(days=1)) == [loose]
    assert default_storage.exists(named)
