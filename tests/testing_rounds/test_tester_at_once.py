"""The same tester from several places at the same moment: nothing lost, nothing doubled."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from people.models import AuditEntry
from testing_rounds.actions.photos import add_photo
from testing_rounds.actions.reports import save_fields, send_report
from testing_rounds.actions.visits import give_consent
from testing_rounds.models import FitReport, Photo, Place, PrintCheck, Round, ZoneVerdict
from tests.factories import make_studio
from tests.testing_rounds.pictures import saved, toile
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db(transaction=True)
SENDERS = 5


@pytest.fixture
def place() -> Place:
    return with_consents(make_place(make_round(make_version(make_studio()))))


def at_once(*calls: Callable[[], Any]) -> list[Any]:
    """Each call in a thread of its own, all let go together."""
    gate = Barrier(len(calls))

    def run(call: Callable[[], Any]) -> Any:
        try:
            gate.wait(10)
            return call()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(run, calls))


def test_the_same_report_sent_at_once_is_one_report(place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    before = Round.objects.get().revision
    sent = at_once(*[lambda: send_report(place=place)] * SENDERS)
    assert sorted(one.first for one in sent) == [False] * (SENDERS - 1) + [True]
    assert FitReport.objects.count() == 1
    assert Round.objects.get().revision == before + 1
    assert AuditEntry.objects.filter(verb="report_sent").count() == 1


def test_fields_saved_at_once_are_all_kept(place):
    zones = place.round.zones[:SENDERS]

    def say(zone: str) -> Callable[[], Any]:
        return lambda: save_fields(place=place, fields={f"fit.{zone}": "-1", f"fit.{zone}.words": zone}, unit="cm")

    at_once(*[say(zone["key"]) for zone in zones])
    assert set(ZoneVerdict.objects.values_list("zone", "words")) == {(zone["key"], zone["key"]) for zone in zones}
    assert FitReport.objects.count() == 1


def test_texts_that_wait_at_once_are_all_kept(place):
    names = [f"body.{key}" for key in ("bust", "waist", "hip", "height", "neck")]
    at_once(*[lambda name=name: save_fields(place=place, fields={name: "8x"}, unit="cm") for name in names])
    place.refresh_from_db()
    assert set(place.pending) == set(names)


def test_the_same_field_saved_at_once_is_one_row(place):
    at_once(*[lambda: save_fields(place=place, fields={"fit.bust": "1", "print.across": "10"}, unit="cm")] * SENDERS)
    assert (ZoneVerdict.objects.count(), PrintCheck.objects.count()) == (1, 1)


def test_the_same_photo_sent_at_once_is_one_photo(place, settings, tmp_path):
    from io import BytesIO

    options = {"location": tmp_path, "base_url": None}
    default = {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": options}
    settings.STORAGES = {**settings.STORAGES, "default": default}
    content = saved(toile(), "JPEG")

    def send() -> Photo:
        return add_photo(place=place, view="front", source=BytesIO(content), size=len(content), upload_key="k1")

    refs = {photo.ref for photo in at_once(*[send] * SENDERS)}
    assert len(refs) == Photo.objects.count() == 1
    assert len([path for path in tmp_path.rglob("*") if path.is_file()]) == 1, "what came twice is not stored twice"


def test_a_consent_given_at_once_is_one_consent(place):
    given = at_once(*[lambda: give_consent(place=place, kind="name")] * SENDERS)
    assert len({consent.pk for consent in given}) == 1
