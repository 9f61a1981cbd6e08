"""Messages between a tester and the studio: told by mail without a word of them, read after signing in, sent once."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from testing_rounds.actions.mails import tell_of_message
from testing_rounds.actions.messages import mark_read, send_message
from testing_rounds.models import FitReport, Message, Place, PlaceState
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.testers import arrived, form_of, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db

ASKED = "Did you sew the sides with 1.5 cm? <b>Tell us.</b>"


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def place(cast) -> Place:
    return with_consents(make_place(make_round(make_version(cast.studio)), state=PlaceState.ACCEPTED))


def page_of_studio(place: Place) -> str:
    return reverse("place_messages", args=[place.ref])


def page_of_tester(place: Place) -> str:
    return reverse("test_messages", args=[place.ref])


def text(page: Any) -> str:
    return re.sub(r"\s+", " ", page.content.decode())


def told() -> None:
    """Run what the jobs would."""
    for message in Message.objects.all():
        tell_of_message(message=message)


def test_the_studio_asks_and_the_tester_answers(cast, place):
    report = FitReport.objects.create(place=place, version=place.round.version, submitted_at=timezone.now(), size="18")
    studio, phone = signed_in(cast.designer), arrived(place)
    form = form_of(studio.get(page_of_studio(place)))
    page = studio.post(page_of_studio(place), {**form, "text": ASKED}, follow=True)
    assert "&lt;b&gt;Tell us." in text(page)
    assert Message.objects.get().report == report
    assert "One new message from the studio" in text(phone.get(reverse("test", args=[place.ref])))
    told()
    (letter,) = mail.outbox
    assert letter.to == [place.email]
    assert "Did you sew" not in letter.body + letter.alternatives[0].content
    link = re.search(r"http://[^/]+(/t/[\w-]+/\?to=messages)", letter.body)
    assert link
    other_phone = Client()
    assert other_phone.post(link[1])["Location"] == page_of_tester(place)
    assert "has written to you" in text(other_phone.get(page_of_tester(place)))
    other_phone.post(page_of_tester(place), {"text": "Yes, with 1 cm.", "key": "bcdfghjkmn"})
    assert "Write to the studio" in text(phone.get(reverse("test", args=[place.ref]))), "answering is reading"
    told()
    assert sorted(one.to[0] for one in mail.outbox[1:]) == sorted([cast.owner.email, cast.designer.email])
    assert page_of_studio(place) in mail.outbox[1].body
    assert "One new message from the tester" in text(studio.get(reverse("report", args=[report.ref])))


def test_a_double_tap_is_one_message_and_one_mail(cast, place):
    studio = signed_in(cast.designer)
    form = {**form_of(studio.get(page_of_studio(place))), "text": ASKED}
    for _ in range(2):
        studio.post(page_of_studio(place), form)
    told()
    told()
    assert Message.objects.count() == 1
    assert len(mail.outbox) == 1


def test_lines_written_one_after_another_are_announced_once(cast, place):
    for number in range(3):
        send_message(place=place, text=f"Line {number}.", sent_key=str(number), by=cast.designer)
        told()
    assert len(mail.outbox) == 1
    mark_read(place=place, by_tester=True)
    send_message(place=place, text="And one more.", sent_key="more", by=cast.designer)
    tell_of_message(message=Message.objects.latest("pk"))
    assert len(mail.outbox) == 2


def test_a_message_can_be_read_without_an_answer(cast, place):
    message = send_message(place=place, text="The sleeve is lovely.", sent_key="1", by=None)
    studio = signed_in(cast.designer)
    assert "has written to you" in text(studio.get(page_of_studio(place)))
    studio.post(page_of_studio(place), {"do": "read"})
    message.refresh_from_db()
    assert message.read_at
    assert "What you and Tindra Oake have written." in text(studio.get(page_of_studio(place)))


@pytest.mark.parametrize("who", ["studio", "tester"])
def test_an_empty_message_is_asked_for_a_word(cast, place, who):
    client, page = (
        (signed_in(cast.designer), page_of_studio(place))
        if who == "studio"
        else (arrived(place), page_of_tester(place))
    )
    answer = client.post(page, {"text": " "})
    assert answer.status_code == 422
    assert "Write a word first." in text(answer)


def test_a_page_of_messages_has_an_end_and_keeps_what_was_typed(cast, place, settings):
    settings.MESSAGES_PER_PLACE = 1
    send_message(place=place, text="One.", sent_key="1", by=cast.designer)
    answer = arrived(place).post(page_of_tester(place), {"text": "Two."})
    assert "no room for more messages" in text(answer)
    assert "Two." in text(answer)


def test_reviewers_read_and_do_not_write(cast, place):
    send_message(place=place, text="The sleeve is lovely.", sent_key="1", by=None)
    reviewer = signed_in(cast.reviewer)
    page = text(reviewer.get(page_of_studio(place)))
    assert "The sleeve is lovely." in page
    assert "<textarea" not in page
    assert reviewer.post(page_of_studio(place), {"text": "x"}).status_code == 404
