"""Reminders: when each leaves in the tester's own time, what ends them, and that none leaves twice."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from people.mail import MailNotSent
from testing_rounds.actions import mails
from testing_rounds.actions.mails import send_reminders, tell_of_report
from testing_rounds.actions.visits import ask_for_days
from testing_rounds.jobs import send_reminders as job
from testing_rounds.models import FitReport, MailSent, Place, PlaceState, Round, RoundState
from testing_rounds.reminders import due_now
from tests.factories import Cast, make_cast
from tests.holds.servers import DEADLINE, database_url
from tests.house.project import ROOT
from tests.testing_rounds.testers import make_place, make_round, make_version

pytestmark = pytest.mark.django_db

DUE = date(2031, 5, 10)


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def found(cast) -> Round:
    return make_round(make_version(cast.studio), report_due=DUE, closes=DUE + timedelta(days=20))


@pytest.fixture
def place(found) -> Place:
    return make_place(found, state=PlaceState.ACCEPTED, timezone="Pacific/Auckland")


def at(day: int, hour: int) -> datetime:
    """A moment of May 2031, in UTC."""
    return datetime(2031, 5, 1, tzinfo=UTC) + timedelta(days=day - 1, hours=hour)


def kinds(now: datetime) -> list[str]:
    return [str(one.kind) for one in due_now(now)]


@pytest.mark.parametrize(
    ("zone", "moment", "kind"),
    [
        # Nine in the morning of the 7th, 10th and 12th in Auckland (UTC+12) is nine in the evening before, in UTC.
        ("Pacific/Auckland", at(6, 20), []),
        ("Pacific/Auckland", at(6, 21), ["before"]),
        ("Pacific/Auckland", at(9, 21), ["day"]),
        ("Pacific/Auckland", at(11, 21), ["after"]),
        # In Los Angeles (UTC-7) the same days begin 19 hours later.
        ("America/Los_Angeles", at(7, 15), []),
        ("America/Los_Angeles", at(7, 16), ["before"]),
        ("America/Los_Angeles", at(10, 16), ["day"]),
        ("America/Los_Angeles", at(12, 16), ["after"]),
        # Nobody is woken: from eight in the evening on it waits for the next morning.
        ("America/Los_Angeles", at(11, 3), []),
        ("", at(10, 9), ["day"]),
        # A worker that was down catches up for two days; after that, silence.
        ("", at(9, 12), ["before"]),
        ("", at(14, 12), ["after"]),
        ("", at(15, 12), []),
        ("", at(30, 12), []),
    ],
)
def test_each_reminder_leaves_in_the_tester_s_own_day(place, zone, moment, kind):
    Place.objects.update(timezone=zone)
    assert kinds(moment) == kind


@pytest.mark.parametrize(
    "change",
    [
        lambda place: Place.objects.update(state=PlaceState.DROPPED_OUT),
        lambda place: Place.objects.update(state=PlaceState.INVITED),
        lambda place: Place.objects.update(email=""),
        lambda place: Place.objects.update(reminders_off=timezone.now()),
        lambda place: Round.objects.update(state=RoundState.CLOSED),
        lambda place: Round.objects.update(report_due=None),
        lambda place: FitReport.objects.create(
            place=place, version=place.round.version, submitted_at=timezone.now(), size="18"
        ),
    ],
)
def test_nobody_is_reminded_of_what_is_done_or_not_theirs_to_do(place, change):
    assert kinds(at(10, 1)) == ["day"]
    change(place)
    assert kinds(at(10, 1)) == []


def test_whoever_asked_for_more_days_is_reminded_on_the_new_day_alone(place):
    send_reminders(due_now(at(7, 1)))
    ask_for_days(place=place)
    assert kinds(at(9, 21)) == []
    assert kinds(at(12, 21)) == ["day"]
    assert kinds(at(14, 21)) == ["after"]


def test_the_finished_garment_has_its_own_day_once_the_toile_is_told(place):
    Round.objects.update(finished_due=DUE + timedelta(days=10))
    assert kinds(at(19, 21)) == []
    FitReport.objects.create(place=place, version=place.round.version, submitted_at=timezone.now(), size="18")
    Place.objects.update(state=PlaceState.FINISHED)
    assert kinds(at(19, 21)) == ["day"]
    send_reminders(due_now(at(19, 21)))
    assert "finished garment" in mail.outbox[0].body
    assert "?to=finished" in mail.outbox[0].body


def test_a_reminder_has_both_forms_a_link_that_signs_in_and_an_end_in_one_click(place):
    assert send_reminders(due_now(at(11, 21))) == 1
    (letter,) = mail.outbox
    assert letter.subject == "More days for Pebblewick 0.9, or stop?"
    assert [form.mimetype for form in letter.alternatives] == ["text/html"]
    days = re.search(r"http://[^/]+(/t/[\w-]+/\?to=dates)", letter.body)
    assert days
    phone = Client()
    assert phone.get(days[1]).status_code == 200
    assert phone.post(days[1])["Location"] == reverse("test_dates", args=[place.ref])
    # RFC 8058: one HTTPS address in List-Unsubscribe, and a POST to it without cookies or a token of a form.
    assert letter.extra_headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    address = letter.extra_headers["List-Unsubscribe"].strip("<>")
    path = address.removeprefix("http://127.0.0.1:8000")
    program = Client(enforce_csrf_checks=True)
    assert program.get(path).status_code == 200
    place.refresh_from_db()
    assert place.reminders_off is None, "opening the address changes nothing"
    answer = program.post(path, {"List-Unsubscribe": "One-Click"})
    assert answer.status_code == 200
    place.refresh_from_db()
    assert place.reminders_off
    assert kinds(at(10, 1)) == []
    program.post(path, {"do": "again"})
    place.refresh_from_db()
    assert place.reminders_off is None


def test_a_forged_end_of_reminders_is_no_address(place):
    assert Client().post(reverse("reminders_stop", args=[f"{place.ref}:made-up"])).status_code == 404


def test_the_same_moment_twice_sends_once(place):
    due = due_now(at(10, 1))
    assert send_reminders(due) == 1
    assert send_reminders(due) == 0
    assert kinds(at(10, 1)) == []
    assert len(mail.outbox) == 1
    assert MailSent.objects.get().sent_at


def test_a_report_that_comes_in_meanwhile_stops_its_reminder(place):
    due = due_now(at(10, 1))
    FitReport.objects.create(place=place, version=place.round.version, submitted_at=timezone.now(), size="18")
    assert send_reminders(due) == 0


def test_a_mail_server_that_does_not_answer_delays_and_loses_nothing(place, monkeypatch):
    def refuse(_self: object) -> None:
        raise ConnectionRefusedError("no server")

    with monkeypatch.context() as down:
        down.setattr("django.core.mail.backends.locmem.EmailBackend.open", refuse)
        with pytest.raises(MailNotSent):
            send_reminders(due_now(at(10, 1)))
    assert not MailSent.objects.exists()
    assert send_reminders(due_now(at(10, 1))) == 1


def test_a_mail_that_may_have_left_is_not_tried_again(place, monkeypatch):
    def drop(*_args: object) -> None:
        raise MailNotSent

    with monkeypatch.context() as broken:
        broken.setattr(mails, "send", drop)
        assert send_reminders(due_now(at(10, 1))) == 0
    assert MailSent.objects.get().sent_at is None
    assert kinds(at(10, 1)) == []


def test_each_editor_is_told_of_a_report_once_however_often_the_job_runs(cast, place):
    report = FitReport.objects.create(place=place, version=place.round.version, submitted_at=timezone.now(), size="18")
    for _ in range(2):
        tell_of_report(report=report)
    assert sorted(letter.to[0] for letter in mail.outbox) == sorted([cast.owner.email, cast.designer.email])


@pytest.mark.django_db(transaction=True)
def test_a_worker_killed_as_a_mail_leaves_sends_it_no_second_time(tmp_path):
    today = timezone.now().date()
    cast = make_cast()
    for number in (1, 2):
        found = make_round(make_version(cast.studio, name=f"Tidewrack {number}"), report_due=today)
        make_place(found, state=PlaceState.ACCEPTED, email=f"t{number}@post.example", timezone=a_zone_of_day())
    record = tmp_path / "mails"
    env = {
        **os.environ,
        "DATABASE_URL": database_url(),
        "DATA_DIR": str(tmp_path),
        "PYTHONPATH": str(ROOT),
        "DJANGO_SETTINGS_MODULE": "tests.worker_settings",
        "MAIL_BACKEND": "tests.testing_rounds.dying_mail.Backend",
        "MAILS": str(record),
    }
    command = [sys.executable, str(ROOT / "manage.py"), "work", "--until-empty"]
    for more, ends_with in (({"DIE": "1"}, 9), ({}, 0)):
        job.enqueue()
        assert (
            subprocess.run(command, cwd=ROOT, env={**env, **more}, timeout=DEADLINE, check=False).returncode
            == ends_with
        )
    addresses = [line.split()[0] for line in record.read_text().splitlines()]
    assert sorted(addresses) == ["t1@post.example", "t2@post.example"]
    assert MailSent.objects.filter(sent_at=None).count() == 1


def a_zone_of_day() -> str:
    """A time zone in which it is about noon now and today's date is that of UTC."""
    hour = timezone.now().hour
    return f"Etc/GMT{hour - 12:+}" if hour != 12 else "UTC"
