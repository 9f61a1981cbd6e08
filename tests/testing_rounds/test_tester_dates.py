"""A tester's days in their own time, more of them, a calendar file; and what came after the file that they took."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from releases.models import FileComparison, MadeState
from releases.pdf.compare import METHOD
from testing_rounds.actions.reports import save_fields
from testing_rounds.calendar_file import CalendarDay, calendar_file, folded
from testing_rounds.due import days_left, due_day, due_moment
from testing_rounds.evidence import weigh
from testing_rounds.models import FileTaken, Place, Round
from testing_rounds.panel_page import is_late
from tests.factories import make_studio
from tests.testing_rounds.test_tester_print import put_file
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db
DUE = date(2026, 12, 9)


@pytest.fixture
def place() -> Place:
    round_ = make_round(make_version(make_studio()), report_due=DUE, closes=DUE + timedelta(days=4))
    return with_consents(make_place(round_))


@pytest.fixture
def phone(place):
    return arrived(place)


@pytest.mark.parametrize(
    ("zone", "ends"),
    [("", "2026-12-10T00:00"), ("Pacific/Auckland", "2026-12-09T11:00"), ("America/Los_Angeles", "2026-12-10T08:00")],
)
def test_the_last_day_ends_where_the_tester_lives(place, zone, ends):
    save_fields(place=place, fields={"timezone": zone})
    place.refresh_from_db()
    moment = due_moment(place)
    assert moment == datetime.fromisoformat(ends).replace(tzinfo=UTC)
    assert days_left(place, moment - timedelta(minutes=1)) == 0
    assert days_left(place, moment) == -1


@pytest.mark.parametrize("zone", ["Europe/Nowhere", "../../etc/passwd", "x" * 60])
def test_a_zone_that_is_not_known_is_refused(place, zone):
    assert save_fields(place=place, fields={"timezone": zone}).refused


def test_the_page_names_the_zone_and_takes_another(phone, place):
    page = f"/test/{place.ref}/dates/"
    assert "midnight UTC" in phone.get(page).content.decode()
    phone.post(page, {"timezone": "Europe/Helsinki"})
    assert "in your time, Europe/Helsinki" in phone.get(page).content.decode()
    assert "in your time, Europe/Helsinki" in phone.get(f"/test/{place.ref}/").content.decode()
    assert phone.post(page, {"timezone": "Europe/Nowhere"}).status_code == 422


def test_three_more_days_and_then_what_the_round_has_left(phone, place):
    said = []
    for _ in range(3):
        answer = phone.post(f"/test/{place.ref}/dates/more/", follow=True)
        said.append(answer.content.decode())
        place.refresh_from_db()
    assert "You have 3 more days." in said[0]
    assert "You have 1 more day." in said[1]
    assert "There is no more time in this round." in said[2]
    assert due_day(place) == DUE + timedelta(days=4)


def test_a_calendar_reads_the_days(phone, place):
    save_fields(place=place, fields={"timezone": "Europe/Helsinki"})
    phone.post(f"/test/{place.ref}/dates/more/")
    answer = phone.get(f"/test/{place.ref}/dates/calendar.ics")
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    lines = answer.content.decode().replace("\r\n ", "").split("\r\n")
    assert lines[0] == "BEGIN:VCALENDAR"
    assert "DTEND:20261212T220000Z" in lines, "midnight of the 12th in Helsinki"
    assert "SEQUENCE:3" in lines
    assert f"UID:{place.ref}-due@second-toile" in lines
    assert f"DTSTART;VALUE=DATE:{DUE + timedelta(days=4):%Y%m%d}" in lines
    assert not any(line.startswith("TZID") or "VTIMEZONE" in line for line in lines)


def test_lines_are_folded_and_signs_escaped():
    """RFC 5545, 3.1 and 3.3.11."""
    written = folded("SUMMARY:" + "ü" * 100)
    assert all(len(line) <= 75 for line in written.split(b"\r\n"))
    assert written.replace(b"\r\n ", b"").decode() == "SUMMARY:" + "ü" * 100 + "\r\n"
    day = CalendarDay("u", date(2026, 1, 2), "Hem; side, neck\\edge\nnext")
    content = calendar_file([day], name="n", now=timezone.now()).decode()
    assert "SUMMARY:Hem\\; side\\, neck\\\\edge\\nnext\r\n" in content


def newer_version(place: Place):
    """The pattern's next version, with one step put otherwise, and a round in which the same person sews it."""
    old = place.round.version
    new = make_version(old.pattern.studio, name="Another")
    new.pattern, new.number = old.pattern, "1.0"
    new.save()
    step = new.steps.get(number=6)
    step.text = step.text.replace("1.5 cm (3/8 in)", "1 cm (3/8 in)")
    step.save()
    return with_consents(make_place(make_round(new, name="Second round")))


def downloaded(phone, place: Place, file) -> bytes:
    return b"".join(phone.get(f"/test/{place.ref}/files/{file.ref}/").streaming_content)


def test_what_changed_since_the_version_that_was_printed(phone, place):
    old = put_file(place)
    downloaded(phone, place, old)
    assert FileTaken.objects.get().file == old
    assert "Nothing changed" in phone.get(f"/test/{place.ref}/changed/").content.decode()
    again = newer_version(place)
    new = put_file(again)
    new.digest = "other"
    new.save()
    phone = arrived(again)
    page = phone.get(f"/test/{again.ref}/print/").content.decode()
    assert "You printed version 0.9 before." in page
    phone.post(f"/test/{again.ref}/changed/")
    made = FileComparison.objects.get()
    assert (made.old_digest, made.new_digest) == (old.digest, "other")
    reprint = [{"page": 2, "layers": ["Size 18"]}, {"page": 3, "layers": ["Size 10"]}, {"page": 5, "layers": [""]}]
    result = {"changed": [], "added": [], "removed": [], "moved_mm": None, "reprint": reprint, "edition": []}
    made.state, made.method = MadeState.READY, METHOD
    made.result = {**result, "old_pages": 12, "new_pages": 12, "unread": False}
    made.save()
    page = phone.get(f"/test/{again.ref}/changed/").content.decode()
    assert "Print pages 2, 5 again." in page
    assert "<del>1.5</del> <ins>1</ins>" in page
    downloaded(phone, again, new)
    assert "Nothing changed" in phone.get(f"/test/{again.ref}/changed/").content.decode()


def test_another_testers_files_say_nothing(phone, place):
    other = make_place(place.round, alias="T2", email="suda@saltmarsh.example")
    FileTaken.objects.create(place=other, file=put_file(place))
    assert "Nothing changed" in phone.get(f"/test/{place.ref}/changed/").content.decode()


def test_the_finished_garment_has_a_report_of_its_own(phone, place):
    Round.objects.update(finished_due=DUE + timedelta(days=2))
    save_fields(place=place, fields={"fit.waist": "-2", "words": "The toile.", "print.across": "9.7", "size": "18"})
    hub = phone.get(f"/test/{place.ref}/").content.decode()
    visit = f"{place.ref}.finished"
    assert f'href="/test/{visit}/"' in hub
    assert "finished garment" in phone.get(f"/test/{visit}/").content.decode()
    for page in ("measures", "size", "print", "fit", "fit/waist", "photos", "steps", "last", "send", "dates"):
        assert phone.get(f"/test/{visit}/{page}/").status_code == 200, page
    fields = {"fit.waist": "1", "words": "To wear.", "notions": "9 buttons", "size": "16", "fit.waist.change": "x1"}
    answer = phone.post(f"/test/{visit}/save/", {**fields, "print.across": "10", "print.down": "10", "unit": "cm"})
    assert list(answer.json()["refused"]) == ["fit.waist.change"]
    place.refresh_from_db()
    toile, finished = place.reports.order_by("id")
    assert [(one.stage, one.words, one.size) for one in (toile, finished)] == [
        ("toile", "The toile.", "18"),
        ("finished", "To wear.", "16"),
    ]
    assert [one.verdicts.get().fit for one in (toile, finished)] == [-2, 1]
    assert (toile.test_square_mm, finished.test_square_mm) == (97, 100)
    assert place.size == "18"
    assert 'value="x1"' not in phone.get(f"/test/{place.ref}/fit/waist/").content.decode()
    assert 'value="x1"' in phone.get(f"/test/{visit}/fit/waist/").content.decode()
    assert phone.post(f"/test/{visit}/send/").status_code == 302
    toile.refresh_from_db()
    finished.refresh_from_db()
    assert finished.submitted_at
    assert not toile.submitted_at


def test_a_phone_may_keep_no_measurement_and_nothing_of_a_sent_report(phone, place):
    def kept(page: str) -> bool:
        return "X-May-Keep" in phone.get(f"/test/{place.ref}/{page}").headers

    save_fields(place=place, fields={"fit.waist": "-2", "fit.bust": "1", "size": "18"})
    pages = ("", "fit/", "fit/bust/", "steps/", "steps/6/", "last/", "fit/waist/", "measures/", "photos/", "print/")
    assert [page for page in pages if kept(page)] == ["", "fit/", "fit/bust/", "steps/", "steps/6/", "last/"]
    questions = phone.get(f"/test/{place.ref}/fit/?questions=all").content.decode()
    assert questions.count('id="question"') == len(place.round.zones)
    phone.post(f"/test/{place.ref}/send/")
    assert not any(kept(page) for page in pages)


@pytest.mark.parametrize("stage", ["toile", "other", "", "finished.finished"])
def test_there_are_two_garments_and_no_third(phone, place, stage):
    assert phone.get(f"/test/{place.ref}.{stage}/").status_code == 404


def test_nobody_is_late_in_the_days_that_they_asked_for(phone, place):
    phone.post(f"/test/{place.ref}/dates/more/")
    place.refresh_from_db()
    found = Round.objects.get()
    for late, day in ((False, DUE + timedelta(days=3)), (True, DUE + timedelta(days=4))):
        assert is_late(place, None, day) is late
        assert [one.pk for one in weigh(found).late(day)] == [place.pk] * late
