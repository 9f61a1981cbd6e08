"""The link of an invitation: safe against what opens it by itself, good for one tester, ended when it is revoked."""

from __future__ import annotations

import logging
from datetime import timedelta
from io import StringIO

import pytest
from django.test import Client
from django.utils import timezone

from people.models import AuditEntry
from testing_rounds.access import SESSION_KEY
from testing_rounds.actions.visits import issue_link, revoke_links
from testing_rounds.models import Place, PlaceState
from testing_rounds.models import TesterLink as Link
from tests.factories import make_studio
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Place:
    return make_place(make_round(make_version(make_studio())))


@pytest.fixture
def link(place) -> str:
    return issue_link(place, by=None)


def own_page(place: Place) -> str:
    return f"/test/{place.ref}/"


@pytest.mark.parametrize("method", ["get", "head"])
def test_opening_the_link_changes_nothing(client, place, link, method):
    before = Link.objects.values().get()
    for _ in range(3):
        answer = getattr(client, method)(link)
        assert answer.status_code == 200
    assert SESSION_KEY not in client.session
    assert Link.objects.values().get() == before
    place.refresh_from_db()
    assert (place.state, place.accepted_at) == (PlaceState.INVITED, None)
    assert client.get(own_page(place)).status_code == 404


def test_the_page_of_the_link_says_what_it_is_and_has_one_button(client, link):
    page = client.get(link).content.decode()
    assert "You are invited to sew Pebblewick 0.9" in page
    assert page.count("<button") == 1


def test_the_button_signs_in_and_accepts_the_place(client, place, link):
    answer = client.post(link)
    assert answer["Location"] == own_page(place)
    assert client.get(own_page(place)).status_code == 200
    place.refresh_from_db()
    assert place.state == PlaceState.ACCEPTED
    assert place.accepted_at is not None


def test_pressing_the_button_again_keeps_the_first_day(client, place, link):
    client.post(link)
    first = Place.objects.get().accepted_at
    Client().post(link)
    client.post(link)
    assert Place.objects.get().accepted_at == first
    assert AuditEntry.objects.filter(verb="place_accepted").count() == 1


def test_signing_in_gives_the_session_a_new_key(client, link):
    client.get(link)
    session = client.session
    session["seen"] = True
    session.save()
    before = session.session_key
    client.cookies["sessionid"] = before
    client.post(link)
    assert client.session.session_key != before


def test_the_link_works_on_another_device_while_the_first_stays_in(place, link):
    first, second = Client(), Client()
    first.post(link)
    second.post(link)
    assert [phone.get(own_page(place)).status_code for phone in (first, second)] == [200, 200]


def test_only_a_hash_of_the_link_is_kept(link):
    token = link.strip("/").split("/")[-1]
    assert token not in str(Link.objects.values().get())


@pytest.mark.parametrize("why", ["expired", "revoked", "unknown", "still waiting"])
def test_a_link_that_opens_nothing_says_so_kindly(client, place, link, why):
    if why == "expired":
        Link.objects.update(expires_at=timezone.now() - timedelta(minutes=1))
    elif why == "revoked":
        revoke_links(place, by=None)
    elif why == "unknown":
        link = "/t/no-such-token/"
    else:
        Place.objects.update(state=PlaceState.RESERVE)
    for answer in (client.get(link), client.post(link)):
        assert answer.status_code == 404
        assert "ask the studio for a new one" in answer.content.decode()
    assert SESSION_KEY not in client.session


def test_revoking_ends_an_open_visit_at_once(place):
    phone = arrived(place)
    revoke_links(place, by=None)
    answer = phone.get(own_page(place))
    assert answer.status_code == 404
    assert f'data-forget="{place.ref}"' in answer.content.decode()
    assert phone.post(f"{own_page(place)}save/", {"words": "late"}).status_code == 404


def test_a_new_link_opens_the_place_after_the_old_ones_were_revoked(place, link, client):
    revoke_links(place, by=None)
    client.post(issue_link(place, by=None))
    assert client.get(own_page(place)).status_code == 200


def test_the_secret_leaves_neither_by_referrer_nor_by_log(client, link, caplog):
    with caplog.at_level(logging.DEBUG):
        pages = [client.get(link), client.post(link), client.get("/t/some-other-token/")]
    assert all(page["Referrer-Policy"] == "strict-origin" for page in pages)
    assert "some-other-token" not in caplog.text
    assert link not in caplog.text


def test_the_button_needs_the_token_of_its_own_page(place, link):
    """Nobody can be signed in as another tester by a form on a foreign page."""
    phone = Client(enforce_csrf_checks=True)
    assert phone.post(link).status_code == 403
    assert phone.get(own_page(place)).status_code == 404


def test_signing_out_ends_this_visit_only(place, link):
    first, second = arrived(place), Client()
    second.post(link)
    answer = first.post(f"{own_page(place)}sign-out/")
    assert f'data-forget="{place.ref}"' in answer.content.decode()
    assert first.get(own_page(place)).status_code == 404
    assert second.get(own_page(place)).status_code == 200


def test_a_tester_of_two_rounds_has_both_on_one_phone(place):
    other = make_place(make_round(make_version(make_studio("Quillpoint"))))
    phone = arrived(place)
    phone.post(issue_link(other, by=None))
    assert phone.get(own_page(place)).status_code == 200
    assert phone.get(own_page(other)).status_code == 200
    phone.post(f"{own_page(place)}sign-out/")
    assert phone.get(own_page(place)).status_code == 404
    assert phone.get(own_page(other)).status_code == 200


PAGES = ["consents", "measures", "size", "print", "fit", "photos", "steps", "last", "send", "stop"]


@pytest.mark.parametrize("part", ["", *PAGES])
def test_another_testers_pages_are_not_there(place, part):
    other = make_place(place.round, alias="T2", email="other@posteo.example")
    with_consents(other)
    phone = arrived(place)
    address = f"/test/{other.ref}/{part}/".replace("//", "/")
    assert phone.get(address).status_code == 404
    assert phone.post(address).status_code in {404, 405}


@pytest.mark.parametrize("part", ["", *PAGES])
def test_every_page_opens_for_its_tester(place, part):
    phone = arrived(with_consents(place))
    answer = phone.get(f"/test/{place.ref}/{part}/".replace("//", "/"))
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "private, no-cache, no-store"


def test_a_refused_form_is_logged_without_its_secret(link):
    (console,) = [handler for handler in logging.getLogger().handlers if type(handler) is logging.StreamHandler]
    usual = console.setStream(StringIO())
    try:
        Client(enforce_csrf_checks=True).post(link)
        logged = console.stream.getvalue()
    finally:
        console.setStream(usual)
    assert "Forbidden" in logged
    assert "/t/..." in logged
    assert link not in logged


@pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
def test_a_page_answers_no_other_method(place, method):
    phone = arrived(with_consents(place))
    for page in ("", "fit/", "save/", "photos/"):
        assert getattr(phone, method)(f"/test/{place.ref}/{page}").status_code == 405


def test_stopping_is_asked_first_and_then_done(place):
    phone = arrived(with_consents(place))
    assert "Do you want to stop testing?" in phone.get(f"{own_page(place)}stop/").content.decode()
    assert Place.objects.get().state == PlaceState.ACCEPTED
    phone.post(f"{own_page(place)}stop/")
    assert Place.objects.get().state == PlaceState.DROPPED_OUT
    page = phone.get(own_page(place)).content.decode()
    assert "You have stopped testing" in page
    assert phone.post(f"{own_page(place)}save/", {"words": "one more"}).status_code == 409


def test_a_finished_tester_cannot_drop_out_by_accident(place):
    phone = arrived(with_consents(place))
    Place.objects.update(state=PlaceState.FINISHED)
    phone.post(f"{own_page(place)}stop/")
    assert Place.objects.get().state == PlaceState.FINISHED
