"""The page on which a panel is chosen, what follows from it, and the mails of a round before they leave."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core import mail
from django.urls import reverse

from measurements.lengths import read_length
from measurements.models import BodyValue
from people.mail import look_source
from testing_rounds import jobs
from testing_rounds.actions import panel as actions
from testing_rounds.actions.mails import tell_applicant, tell_of_stop
from testing_rounds.actions.visits import arrive, issue_link, stop_testing
from testing_rounds.mail_page import MAILS
from testing_rounds.models import MailKind, MailSent, Place, PlaceState, Round, RoundState
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.testers import form_of, make_round, make_version

pytestmark = pytest.mark.django_db

# Bodies of size 12 (bust 92, high bust 87, waist 74) with different cups, figures and heights.
BODIES = {
    "Ada": ("87", "92", "74", "163"),
    "Bea": ("85.5", "92.5", "74", "172"),
    "Cora": ("88.5", "91", "77", "163"),
    "Dora": ("87", "92", "74", "163"),
    "Edda": ("87", "92", "74", "163"),
    "Fay": ("87", "92", "74", "163"),
    "Gro": ("87", "92", "74", "163"),
}


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def found(cast) -> Round:
    return make_round(make_version(cast.studio), state=RoundState.CALL_OPEN)


@pytest.fixture
def people(found) -> dict[str, Place]:
    return {name: apply(found, name, body) for name, body in BODIES.items()}


def apply(found: Round, name: str, body: tuple[str, ...]) -> Place:
    keys = ("high_bust", "bust", "waist", "height")
    fields = {
        "name": name,
        "email": f"{name.lower()}@post.example",
        "units": "cm",
        "wanted_size": "12",
        "experience": "new" if name == "Dora" else "some",
        "paper": "a4",
        "rounds_before": 0,
        "note": "",
        "adult": True,
    }
    lengths = {key: read_length(text, "cm") for key, text in zip(keys, body, strict=True)}
    return actions.apply(found=found, fields=fields, measures=lengths)


def text(page: Any) -> str:
    return re.sub(r"\s+", " ", page.content.decode())


def choice(found: Round) -> str:
    return reverse("panel_choice", args=[found.ref])


def test_the_lot_is_drawn_once_kept_and_shown(cast, found, people):
    studio = signed_in(cast.designer)
    assert "not drawn yet" in text(studio.get(choice(found)))
    studio.post(choice(found), {"do": "draw"})
    found.refresh_from_db()
    drawn = found.lot
    studio.post(choice(found), {"do": "draw"})
    found.refresh_from_db()
    assert found.lot == drawn != ""
    assert drawn in text(studio.get(choice(found)))


def test_the_best_choice_is_shown_with_reasons_changed_and_taken(cast, found, people):
    actions.draw_lot(found=found, by=cast.owner)
    studio = signed_in(cast.designer)
    page = studio.get(choice(found))
    form = form_of(page)
    marks = {name: form[f"p-{place.ref}"] for name, place in people.items()}
    # Three seats and one in reserve: the fuller cup, the smaller cup with its waist, the beginner.
    assert {name for name, mark in marks.items() if mark == "panel"} == {"Bea", "Cora", "Dora"}
    assert sum(mark == "reserve" for mark in marks.values()) == 1
    for said in (
        "fuller cup than drafted",
        "smaller cup than drafted",
        "taller than drafted for: a wrong length would show",
        "sewn only a few things",
        "proven: no other lacks less",
    ):
        assert said in text(page)
    instead = next(name for name, mark in marks.items() if mark == "no")
    form |= {f"p-{people['Bea'].ref}": "no", f"p-{people[instead].ref}": "panel"}
    changed = studio.post(choice(found), {**form, "do": "look"}, headers={"HX-Request": "true"})
    assert "<html" not in text(changed)
    assert "Your choice misses 18 more points than the best one." in text(changed)
    assert "Size 12: nobody with a fuller cup than drafted." in text(changed)
    assert f'id="{people[instead].ref}-panel" value="panel" checked' in text(changed)
    taken = studio.post(choice(found), {**form, "do": "take"}, follow=True)
    assert "3 testers are chosen, 1 in reserve" in text(taken)
    chosen = found.places.filter(state=PlaceState.APPLIED, size="12")
    assert set(chosen.values_list("name", flat=True)) == {instead, "Cora", "Dora"}
    assert not mail.outbox or all("invited" not in one.subject for one in mail.outbox)
    again = form_of(studio.get(choice(found)))
    assert again[f"p-{people[instead].ref}"] == "panel", "the page opens with what was taken"
    best = form_of(studio.get(choice(found) + "?best"))
    assert best[f"p-{people['Bea'].ref}"] == "panel"


def test_a_mark_cannot_seat_whom_the_choice_does_not_weigh(cast, found, people):
    actions.draw_lot(found=found, by=cast.owner)
    stranger = Place.objects.create(round=found, alias="T99", state=PlaceState.APPLIED, name="Out", email="o@p.example")
    signed_in(cast.designer).post(choice(found), {f"p-{stranger.ref}": "panel", "do": "take"})
    stranger.refresh_from_db()
    assert stranger.size == ""


def test_applicants_are_answered_once_and_refused_ones_measurements_go(cast, found, people):
    studio = signed_in(cast.designer)
    actions.set_reserve(place=people["Ada"], by=cast.designer)
    panel = reverse("panel", args=[found.ref])
    assert "Tell the one in reserve" in text(studio.get(panel))
    studio.post(panel, {"do": "tell_reserves"})
    asked = text(studio.post(panel, {"do": "decline_rest"}))
    assert "Tell 6 applicants that there is no place?" in asked
    assert Place.objects.filter(state=PlaceState.DROPPED_OUT).count() == 0
    studio.post(panel, {"do": "decline_rest", "sure": "yes"})
    assert BodyValue.objects.filter(record__place__round=found).values("record").distinct().count() == 1
    mail.outbox.clear()
    for _ in range(2):
        jobs.answer_applicant.call(people["Ada"].ref, MailKind.RESERVE)
        jobs.answer_applicant.call(people["Bea"].ref, MailKind.DECLINED)
    assert [one.subject for one in mail.outbox] == [
        "You are in reserve for Pebblewick 0.9",
        "No place this time: Pebblewick 0.9",
    ]
    assert "erased today" in mail.outbox[1].body
    assert "Who waits for an answer" not in text(studio.get(panel))


def test_when_a_tester_stops_the_editors_hear_of_it_and_a_reserve_moves_up(
    cast, found, people, django_capture_on_commit_callbacks
):
    for name in ("Bea", "Cora", "Dora"):
        actions.choose(place=people[name], size="12", by=cast.designer)
        actions.invite_tester(place=people[name], by=cast.designer)
    for name in ("Ada", "Edda"):
        actions.set_reserve(place=people[name], by=cast.designer)
    issue_link(people["Dora"], by=None)
    arrive(link=people["Dora"].links.latest("pk"))
    mail.outbox.clear()
    people["Dora"].refresh_from_db()
    stop_testing(place=people["Dora"])
    people["Dora"].refresh_from_db()
    for _ in range(2):
        tell_of_stop(place=people["Dora"])
    assert sorted(one.to[0] for one in mail.outbox) == sorted([cast.owner.email, cast.designer.email])
    assert "Somebody in reserve can move up" in mail.outbox[0].body
    assert "Dora" not in mail.outbox[0].body
    studio = signed_in(cast.designer)
    page = text(studio.get(reverse("panel", args=[found.ref])))
    assert "Dora has stopped in size 12." in page
    moving = re.search(r"Move (Ada|Edda) up and invite", page)
    assert moving
    mail.outbox.clear()
    with django_capture_on_commit_callbacks(execute=True):
        studio.post(reverse("place", args=[people[moving[1]].ref]), {"do": "move_up"})
    place = Place.objects.get(pk=people[moving[1]].pk)
    assert (place.state, place.size) == (PlaceState.INVITED, "12")
    assert [one.to for one in mail.outbox] == [[place.email]]
    assert "A place is free" not in text(studio.get(reverse("panel", args=[found.ref])))


def test_every_mail_is_shown_before_it_leaves_and_holds_no_secret(cast, found, people):
    studio = signed_in(cast.reviewer)
    overview = text(studio.get(reverse("round_mails", args=[found.ref])))
    for kind in MAILS:
        assert str(kind.title) in overview
        page = studio.get(reverse("round_mail", args=[found.ref, kind.key]))
        look = studio.get(reverse("round_mail_html", args=[found.ref, kind.key]))
        assert page.context["message"].subject in look.content.decode()
        assert "/t/the-testers-own-link/" in page.context["message"].body or "/t/" not in page.context["message"].body
        assert look_source() in look["Content-Security-Policy"]
        assert "sandbox" in look["Content-Security-Policy"]
        assert look["X-Frame-Options"] == "SAMEORIGIN"
        assert "frame-src 'self'" in page["Content-Security-Policy"]
    assert not MailSent.objects.exists()
    assert not Place.objects.filter(links__isnull=False).exists()
    assert studio.get(reverse("round_mail", args=[found.ref, "no-such"])).status_code == 404


def test_the_reminders_of_each_tester_are_listed_in_their_own_time(cast, found, people):
    Place.objects.filter(pk=people["Ada"].pk).update(
        state=PlaceState.ACCEPTED, size="12", timezone="America/Los_Angeles"
    )
    page = text(signed_in(cast.designer).get(reverse("round_mails", args=[found.ref])))
    assert "One tester is reminded of the report." in page
    assert "America/Los_Angeles" in page
    assert page.count("09:00") == 3
    assert page.count("to come") == 3


def test_an_answer_that_came_too_late_is_not_sent(found, people):
    jobs.answer_applicant.call(people["Ada"].ref, MailKind.RESERVE)
    assert not MailSent.objects.exists()
    assert tell_applicant(place=Place(round=found), kind=MailKind.RESERVE) is False
