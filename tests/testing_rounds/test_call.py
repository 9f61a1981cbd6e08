"""The public call: what a stranger sees, sends, and can take back."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from threading import Barrier, Thread
from typing import Any

import pytest
from django.core.mail import EmailMessage
from django.core.mail.backends.locmem import EmailBackend
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from measurements.lengths import read_length
from measurements.models import BodyRecord
from people.models import AuditEntry, Consent
from testing_rounds.actions.panel import apply, choose, invite_tester
from testing_rounds.call_page import picture_words
from testing_rounds.call_picture import call_picture
from testing_rounds.models import Place, PlaceState, Round, RoundState
from tests.factories import Cast, make_cast
from tests.testing_rounds.testers import make_round, make_version

pytestmark = pytest.mark.django_db

SENT = {
    "name": "Nell Harrow",
    "email": "nell@post.example",
    "units": "cm",
    "body_high_bust": "87",
    "body_bust": "92,5",
    "body_waist": "74",
    "body_height": "163",
    "wanted_size": "14",
    "paper": "a4",
    "experience": "some",
    "rounds_before": "1",
    "note": "I sew on Sundays.",
    "adult": "on",
    "consent": "on",
}


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def found(cast) -> Round:
    last = timezone.now().date() + timedelta(days=7)
    return make_round(make_version(cast.studio), state=RoundState.CALL_OPEN, call_closes=last)


@pytest.fixture
def send(found, django_capture_on_commit_callbacks) -> Callable[..., Any]:
    """Send the application from a stranger's browser, with these changes to it."""

    def sent(**changes: Any) -> Any:
        data = {name: value for name, value in (SENT | changes).items() if value is not None}
        with django_capture_on_commit_callbacks(execute=True):
            return Client().post(address(found), data)

    return sent


def address(found: Round) -> str:
    return reverse("call", args=[found.call_ref])


def text(page: Any) -> str:
    return re.sub(r"\s+", " ", page.content.decode())


# what is shown


def test_anybody_with_the_address_reads_what_is_asked_and_given(found):
    page = text(Client().get(address(found)))
    assert "Saltmarsh Row asks you to sew a toile of Pebblewick" in page
    for said in (found.asks, found.gives, "Only this studio sees your measurements and photos", "dry before ironing"):
        assert said in page
    assert found.report_due.strftime("%Y") in page


def test_the_sizes_are_shown_in_both_systems_with_what_is_needed(found):
    page = Client().get(address(found))
    row = next(row for row in re.findall(r"<tr>.*?</tr>", text(page)) if ">12<" in row)
    assert ">92.0<" in row
    assert '36 <span class="fr">1/4</span>' in row
    assert "<b>3</b>" in row
    assert "Testers are needed in every size." in text(page)


def test_a_size_with_all_its_testers_is_full(found):
    for number in range(3):
        Place.objects.create(round=found, alias=f"T{number}", state=PlaceState.INVITED, size="12")
    page = text(Client().get(address(found)))
    assert "Testers are still needed in sizes 10, 14, 16, 18." in page
    assert "full" in page


def test_only_measurements_that_a_zone_uses_are_asked(found):
    form = Client().get(address(found)).context["form"]
    assert form.must == ("high_bust", "bust", "waist", "height")
    assert "upper_arm" in form.may
    Round.objects.filter(pk=found.pk).update(zones=[zone for zone in found.zones if zone["key"] == "bust"])
    assert Client().get(address(found)).context["form"].may == ()


def test_an_unknown_address_is_404(found):
    assert Client().get(reverse("call", args=["nosuchcall"])).status_code == 404
    assert Client().get(reverse("call", args=[found.ref])).status_code == 404


@pytest.mark.parametrize("state", [RoundState.PLANNED, RoundState.SEWING, RoundState.CLOSED])
def test_a_call_that_is_not_open_says_so_kindly_and_takes_nothing(found, send, state):
    Round.objects.filter(pk=found.pk).update(state=state)
    page = Client().get(address(found))
    assert page.status_code == 200
    assert "This call is closed." in text(page)
    assert send().status_code == 409
    assert not Place.objects.exists()


def test_the_last_day_still_counts_and_the_next_does_not(found, send):
    today = timezone.now().date()
    Round.objects.filter(pk=found.pk).update(call_closes=today)
    assert b"Send the application" in Client().get(address(found)).content
    Round.objects.filter(pk=found.pk).update(call_closes=today - timedelta(days=1))
    assert b"This call is closed." in Client().get(address(found)).content


# applying


def test_an_application_becomes_a_place_with_its_measurements_until_a_promised_day(found, send, settings):
    page = send()
    place = Place.objects.get()
    assert page.status_code == 200
    assert (place.state, place.alias, place.email) == (PlaceState.APPLIED, "T01", "nell@post.example")
    assert (place.wanted_size, place.paper, place.experience, place.rounds_before) == ("14", "a4", "some", 1)
    assert place.adult_at is not None
    assert {value.key: (value.mm, value.typed) for value in place.body.values.all()}["bust"] == (Decimal(925), "92,5")
    until = timezone.now().date() + timedelta(days=settings.BODY_RETENTION_DAYS)
    assert place.body.keep_until == until
    consent = Consent.objects.get()
    assert (consent.subject, consent.kind, consent.wording) == (place.ref, "measurements", "call-2")


def test_the_size_is_advised_at_once_with_its_reason(found, send):
    page = text(send())
    assert "Thank you. Your application is with Saltmarsh Row." in page
    assert "With these measurements the pattern’s size is <b>12</b>." in page
    assert "92.5 cm (36 3/8 in)" in page
    assert Place.objects.get().advised_size == "12"


def test_measurements_outside_the_range_are_no_refusal(found, send):
    page = text(send(body_bust="140", body_high_bust="130"))
    assert "The sizes of this pattern end before these measurements" in page
    assert Place.objects.get().advised_size == ""


def test_inches_are_read_as_inches(found, send):
    inches = {"body_high_bust": "34 1/4", "body_bust": "36 1/4", "body_waist": "29 1/8", "body_height": "5' 4\""}
    page = text(send(units="in", **inches))
    assert "36 1/4 in (92 cm)" in page
    place = Place.objects.get()
    assert (place.units, place.body.unit) == ("in", "in")
    assert {value.key: value.mm for value in place.body.values.all()}["bust"] == Decimal("920.75")


def test_a_mail_says_so_once_and_repeats_nothing_that_was_typed(found, send, mailoutbox):
    send(name="Cheap watches at http://spam.example")
    (mail,) = mailoutbox
    assert mail.to == ["nell@post.example"]
    assert mail.subject == "Your application to sew Pebblewick 0.9"
    assert "watches" not in mail.body
    assert "They are kept until" in mail.body


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"name": ""}, "name", "What may the studio call you?"),
        ({"email": "nell at post"}, "email", "This is not a whole e-mail address."),
        ({"body_bust": "about 92"}, "body_bust", "cannot be read as a length"),
        ({"body_bust": ""}, "body_bust", "This one is needed to find your size."),
        ({"body_waist": "74 76"}, "body_waist", "more than one number"),
        ({"wanted_size": "99"}, "wanted_size", "Select a valid choice"),
        ({"paper": ""}, "paper", "Choose what you would print."),
        ({"experience": None}, "experience", "New hands are as welcome"),
        ({"rounds_before": "-1"}, "rounds_before", "Write 0 if this would be the first."),
        ({"adult": None}, "adult", "Testers are adults: tick this if you are 18 or over."),
        ({"consent": None}, "consent", "Without your yes the studio may not keep the measurements"),
    ],
)
def test_bad_input_is_said_beside_its_field_and_everything_typed_stays(found, send, changes, field, sentence):
    page = send(**changes)
    assert page.status_code == 422
    assert any(sentence in str(error) for error in page.context["form"].errors[field])
    for name, value in (SENT | changes).items():
        if name not in {"adult", "consent", "units"} and value:
            assert value in page.content.decode(), name
    assert not Place.objects.exists()
    assert not BodyRecord.objects.exists()


def test_an_odd_measurement_is_asked_about_once_and_never_refused(found, send):
    page = send(body_waist="29")
    assert page.status_code == 422
    assert "29 reads as cm here. Is it in?" in text(page)
    assert not Place.objects.exists()
    looked = re.search(r'name="looked" value="([^"]*)"', page.content.decode())
    assert looked
    again = send(body_waist="29", looked=looked[1])
    assert again.status_code == 200
    assert Place.objects.count() == 1


def test_another_odd_measurement_is_asked_about_anew(found, send):
    page = send(body_waist="29")
    looked = re.search(r'name="looked" value="([^"]*)"', page.content.decode())
    assert looked
    assert send(body_waist="28", looked=looked[1]).status_code == 422


# once more


def without_typing(page: Any, *typed: str) -> str:
    shown = text(page)
    for word in typed:
        shown = shown.replace(word, "")
    return shown


def test_a_second_application_takes_the_place_of_the_first(found, send, mailoutbox):
    send()
    send(name="Nell H.", email="NELL@post.example", body_waist="78", body_bust="96", body_high_bust="91")
    place = Place.objects.get()
    assert (place.name, place.alias, place.advised_size) == ("Nell H.", "T01", "14")
    assert BodyRecord.objects.count() == 1
    assert {value.key: value.mm for value in place.body.values.all()}["waist"] == Decimal(780)
    assert "It takes the place of the one before." in mailoutbox[1].body


def test_nobody_learns_from_the_page_whether_an_address_is_known(found, send, cast, mailoutbox):
    fresh = without_typing(send(email="first@post.example"), "first@post.example")
    again = without_typing(send(email="first@post.example"), "first@post.example")
    place = Place.objects.get()
    choose(place=place, size="12", by=cast.designer)
    invite_tester(place=place, by=cast.designer)
    invited = without_typing(send(email="first@post.example"), "first@post.example")
    counts = [re.sub(r'name="csrf\w+" value="\w+"|<b>\d</b>', "", page) for page in (fresh, again, invited)]
    assert counts[0] == counts[1] == counts[2]
    assert len(mailoutbox) == 3


def test_the_public_form_changes_nothing_once_a_link_was_sent(found, send, cast, mailoutbox):
    send()
    place = Place.objects.get()
    choose(place=place, size="12", by=cast.designer)
    invite_tester(place=place, by=cast.designer)
    send(name="Somebody else", body_waist="90")
    place.refresh_from_db()
    assert (place.name, place.state) == ("Nell Harrow", PlaceState.INVITED)
    assert {value.key: value.mm for value in place.body.values.all()}["waist"] == Decimal(740)
    assert "nothing was changed" in mailoutbox[-1].body


def test_who_was_taken_off_the_list_may_apply_again(found, send):
    send()
    Place.objects.update(state=PlaceState.DROPPED_OUT, dropped_at=timezone.now())
    send()
    assert Place.objects.get().state == PlaceState.APPLIED


def test_two_rounds_have_a_place_each(cast, found, send):
    send()
    other = make_round(found.version, name="Second round", state=RoundState.CALL_OPEN)
    Client().post(address(other), SENT)
    assert Place.objects.filter(email="nell@post.example").count() == 2


# limits


def test_many_applications_from_one_place_wait_and_lose_nothing(found, send, settings):
    settings.APPLICATIONS_PER_HOUR = 2
    for number in range(2):
        assert send(email=f"n{number}@post.example").status_code == 200
    page = send(email="n3@post.example")
    assert page.status_code == 429
    assert "Nothing is lost: send it later." in text(page)
    assert "I sew on Sundays." in text(page)
    assert Place.objects.count() == 2


def test_one_mail_address_is_not_written_to_without_end(found, send, settings, mailoutbox):
    settings.APPLICATIONS_PER_ADDRESS = 2
    for _number in range(4):
        send()
    assert len(mailoutbox) == 2


def test_input_that_was_refused_counts_as_no_application(found, send, settings):
    settings.APPLICATIONS_PER_HOUR = 1
    send(name="")
    assert send().status_code == 200


@pytest.mark.django_db(transaction=True)
def test_a_mail_server_that_is_down_loses_no_application(found, settings):
    settings.EMAIL_BACKEND = "tests.testing_rounds.test_call.NoPost"
    page = Client().post(address(found), SENT)
    assert page.status_code == 200
    assert "could not leave just now; the application is safe." in text(page)
    assert Place.objects.count() == 1


class NoPost(EmailBackend):
    """A mail server that does not answer."""

    def send_messages(self, messages: list[EmailMessage]) -> int:
        raise ConnectionRefusedError


# taking it back


def take_back_address(mailoutbox: list[EmailMessage]) -> str:
    found = re.search(r"http://[^/]+(/call/\S+/take-back/\S+)", str(mailoutbox[0].body))
    assert found
    return found[1]


def test_an_application_is_erased_by_its_mails_address_and_a_button(found, send, mailoutbox):
    send()
    place, page = Place.objects.get(), take_back_address(mailoutbox)
    assert "Take back your application for Pebblewick?" in text(Client().get(page))
    assert Place.objects.count() == 1
    assert "Your application is erased." in text(Client().post(page))
    assert not Place.objects.exists()
    assert not BodyRecord.objects.exists()
    assert Consent.objects.get(subject=place.ref).withdrawn_at is not None
    assert "Your application is erased." in text(Client().get(page))


def test_who_was_invited_takes_things_back_on_their_own_pages(found, send, cast, mailoutbox):
    send()
    place = Place.objects.get()
    choose(place=place, size="12", by=cast.designer)
    invite_tester(place=place, by=cast.designer)
    page = take_back_address(mailoutbox)
    assert "You have a link of your own by now." in text(Client().post(page))
    assert Place.objects.count() == 1


def test_a_forged_address_erases_nothing(found, send, mailoutbox):
    send()
    page = take_back_address(mailoutbox)
    assert Client().post(page.rstrip("/") + "x/").status_code == 404
    other = reverse("call_take_back", args=[found.call_ref, Place.objects.get().ref])
    assert Client().post(other).status_code == 404
    assert Place.objects.count() == 1


# the trail, and races


def test_the_trail_holds_no_word_of_an_application(found, send):
    send()
    trail = " ".join(f"{entry.verb} {entry.object_ref} {entry.digest}" for entry in AuditEntry.objects.all())
    assert "applied" in trail
    for word in ("Nell", "nell@post.example", "Sundays", "92"):
        assert word not in re.sub(r"[0-9a-f]{64}", "", trail).replace(Place.objects.get().ref, "")


@pytest.mark.django_db(transaction=True)
def test_applications_at_one_moment_get_names_of_their_own(cast, found):
    together, trouble = Barrier(4), []

    def one(number: int) -> None:
        fields = {**SENT, "email": f"n{number % 3}@post.example", "rounds_before": 0}
        try:
            together.wait()
            apply(found=found, fields=fields, measures={"bust": read_length("92", "cm")})
        except Exception as wrong:
            trouble.append(wrong)
        finally:
            connection.close()

    threads = [Thread(target=one, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not trouble
    assert sorted(Place.objects.values_list("alias", flat=True)) == ["T01", "T02", "T03"]
    assert BodyRecord.objects.count() == 3


def test_a_shared_call_shows_a_picture_of_ours(found):
    page = Client().get(reverse("call", args=[found.call_ref])).content.decode()
    said = dict(re.findall(r'<meta property="og:([\w:]+)" content="([^"]*)">', page))
    assert said["title"] == "Sew a toile of Pebblewick, and say how it fits"
    assert said["image"].startswith("http://127.0.0.1:8000/call/")
    assert said["url"].endswith(reverse("call", args=[found.call_ref]))
    picture = Client().get(said["image"].removeprefix("http://127.0.0.1:8000"))
    with Image.open(BytesIO(picture.content)) as image:
        assert (image.format, image.size) == ("PNG", (1200, 630))
        assert [int(said[f"image:{side}"]) for side in ("width", "height")] == [1200, 630]
    assert picture["Cache-Control"] == "public, max-age=3600"
    assert len(picture.content) < 300_000


def test_a_picture_sets_long_and_foreign_words(found):
    title = "Sew a toile of " + "Čepice Überrock " * 30
    assert call_picture("Švec", title, ("a line",)) != call_picture("Švec", title, ("another",))


def test_a_closed_call_keeps_its_picture_and_says_so(found):
    assert picture_words(found)[2][0].startswith("Sizes 10 to 18")
    Round.objects.update(state=RoundState.CLOSED)
    found.refresh_from_db()
    assert picture_words(found)[2] == ("This call is closed.",)
