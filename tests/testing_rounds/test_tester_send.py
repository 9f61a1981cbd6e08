"""Sending a report: once, whole, and open to correction."""

from __future__ import annotations

import pytest
from django.core import mail

from people.models import AuditEntry
from testing_rounds.actions.reports import NotReady, save_fields, send_report
from testing_rounds.actions.visits import withdraw_consent
from testing_rounds.jobs import tell_editors
from testing_rounds.models import FitReport, Place, PlaceState, Round, RoundState
from testing_rounds.round_store import load_round
from tests.factories import Cast, make_cast
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def place(cast) -> Place:
    return with_consents(make_place(make_round(make_version(cast.studio))))


@pytest.fixture
def phone(place):
    return arrived(place)


def page(place: Place) -> str:
    return f"/test/{place.ref}/send/"


def test_an_empty_report_is_not_sent_and_says_what_it_lacks(phone, place):
    Place.objects.update(size="")
    phone.post(page(place))
    assert not FitReport.objects.filter(submitted_at__isnull=False).exists()
    shown = phone.get(page(place)).content.decode()
    assert "Which size did you cut?" in shown
    assert "How does it fit? Mark one place at least" in shown
    assert "Send the report" not in shown


@pytest.mark.parametrize("said", [{"fit.waist": "-1"}, {"rest_fits": "yes"}])
def test_one_mark_or_all_fine_is_enough(phone, place, said):
    save_fields(place=place, fields=said)
    assert phone.post(page(place))["Location"] == f"/test/{place.ref}/"
    place.refresh_from_db()
    assert place.state == PlaceState.FINISHED
    assert FitReport.objects.get().submitted_at == place.finished_at
    assert "Your report is with the studio." in phone.get(f"/test/{place.ref}/").content.decode()


def test_sending_twice_is_sending_once(phone, place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    phone.post(page(place))
    first, revision = FitReport.objects.get().submitted_at, Round.objects.get().revision
    for _ in range(3):
        phone.post(page(place))
    assert FitReport.objects.get().submitted_at == first
    assert Round.objects.get().revision == revision
    assert AuditEntry.objects.filter(verb="report_sent").count() == 1
    assert send_report(place=place).first is False


def test_sending_is_news_for_the_round(place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    before = Round.objects.get().revision
    send_report(place=place)
    assert Round.objects.get().revision == before + 1


def test_before_it_is_sent_a_report_is_in_no_reading_and_afterwards_whole(place):
    save_fields(
        place=place,
        fields={
            "body.waist": "88",
            "size.waist": "16",
            "print.across": "10",
            "print.down": "10",
            "fit.waist": "-2",
            "fit.waist.change": "2.5",
            "fit.bust": "1",
            "fit.bust.altered": "yes",
            "toile.waist": "44",
            "step.6.disagrees": "yes",
            "step.6.disagrees.words": "1.5 cm is not 3/8 in",
        },
        unit="cm",
    )
    assert load_round(place.round).reports == ()
    send_report(place=place)
    (report,) = load_round(place.round).reports
    assert (report.tester, report.size, report.sizes, report.file) == ("T1", "18", {"waist": "16"}, "a4")
    assert (report.body, report.toile, report.test_square) == ({"waist": 88.0}, {"waist": 88.0}, 10.0)
    assert {key: (answer.fit, answer.altered, answer.change) for key, answer in report.zones.items()} == {
        "waist": (-2, False, 2.5),
        "bust": (1, True, None),
    }
    assert report.steps == ({"step": 6, "kind": "disagrees", "text": "1.5 cm is not 3/8 in"},)


def test_a_correction_is_saved_at_once_and_heard(phone, place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    send_report(place=place)
    before = Round.objects.get().revision
    phone.post(f"/test/{place.ref}/save/", {"fit.waist": "-2"})
    assert load_round(place.round).reports[0].zones["waist"].fit == -2
    assert Round.objects.get().revision == before + 1
    assert AuditEntry.objects.filter(verb="report_corrected").count() == 1
    phone.post(f"/test/{place.ref}/save/", {"fit.waist": "-2"})
    assert Round.objects.get().revision == before + 1, "the same word again is no news"


def test_a_change_of_units_is_no_correction(phone, place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    send_report(place=place)
    before = Round.objects.get().revision
    phone.post(f"/test/{place.ref}/save/", {"units": "in"})
    assert Round.objects.get().revision == before


def test_measurements_taken_back_after_sending_leave_the_reading(place):
    save_fields(place=place, fields={"fit.waist": "-1", "body.waist": "88"})
    send_report(place=place)
    withdraw_consent(place=place, kind="measurements")
    assert load_round(place.round).reports[0].body == {}


def test_a_closed_round_takes_no_report(phone, place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    Round.objects.update(state=RoundState.CLOSED)
    phone.post(page(place))
    assert FitReport.objects.get().submitted_at is None
    assert "This round has closed" in phone.get(page(place)).content.decode()


def test_what_cannot_be_read_is_named_before_sending(phone, place):
    save_fields(place=place, fields={"fit.waist": "-1", "body.waist": "7x", "fabric_width": "1,2,3"})
    shown = phone.get(page(place)).content.decode()
    assert "Something on “Your measurements” cannot be read yet" in shown
    assert "Something on “Fabric and time” cannot be read yet" in shown
    send_report(place=place)
    assert FitReport.objects.get().submitted_at


def test_the_last_look_shows_what_was_said(phone, place):
    save_fields(place=place, fields={"fit.waist": "-2", "fit.neck": "0", "size.waist": "16", "words": "Lovely collar."})
    shown = phone.get(page(place)).content.decode()
    for words in ("much too tight", "1 place fine", "not said", "16 at: Waist", "Lovely collar."):
        assert words in shown


def test_not_ready_names_the_pages(place):
    with pytest.raises(NotReady) as refused:
        send_report(place=place)
    assert set(refused.value.missing) == {"fit"}


def test_the_editors_are_told_and_nothing_personal_with_it(cast, place, django_capture_on_commit_callbacks):
    save_fields(place=place, fields={"fit.waist": "-2", "words": "Secret words."})
    report = send_report(place=place).report
    with django_capture_on_commit_callbacks(execute=True):
        tell_editors.func(report.ref)
    assert sorted(letter.to[0] for letter in mail.outbox) == sorted([cast.owner.email, cast.designer.email])
    letter = mail.outbox[0]
    assert letter.subject == "A fit report has come in: Pebblewick 0.9, size 18"
    assert f"/reports/{report.ref}/" in letter.body
    assert "Tindra" not in letter.body + letter.subject
    assert "Secret" not in letter.body


def test_the_hub_says_what_comes_next(phone, place):
    hub = f"/test/{place.ref}/"
    assert "Take your measurements" in phone.get(hub).content.decode()
    measures = {"body.bust": "106", "body.high_bust": "101", "body.waist": "88", "body.height": "163"}
    save_fields(place=place, fields=measures, unit="cm")
    assert "Print, and measure the test square" in phone.get(hub).content.decode()
    save_fields(place=place, fields={"print.across": "10", "print.down": "10"}, unit="cm")
    assert "Sew the toile, try it on" in phone.get(hub).content.decode()
    save_fields(place=place, fields={"rest_fits": "yes"})
    assert "Read it through and send it." in phone.get(hub).content.decode()
