"""One's own page, the page about what is kept, demo links, and the pages for when something goes wrong."""

from __future__ import annotations

import pytest
from django.core import signing
from django.core.exceptions import ImproperlyConfigured
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from config import settings as shipped
from config.safety import refuse_unsafe
from people import demo_links
from people.demo_links import demo_link
from people.models import Person
from tests.factories import make_cast, make_person, signed_in

pytestmark = pytest.mark.django_db


def test_name_units_and_language_are_saved() -> None:
    person = make_person()
    answer = signed_in(person).post(reverse("me"), {"name": "K. Lissak", "units": "in", "language": "en-us"})
    assert answer["Location"] == reverse("me")
    person.refresh_from_db()
    assert (person.name, person.units, person.language) == ("K. Lissak", "in", "en-us")


def test_a_mistake_changes_nothing_and_keeps_what_was_typed() -> None:
    person = make_person("Kwabena Lissak")
    page = signed_in(person).post(reverse("me"), {"name": " ", "units": "in", "language": "en-us"}).content.decode()
    assert "Type the name" in page
    assert "You are Kwabena Lissak here." in page
    assert '<input type="radio" name="units" value="in"' in page
    person.refresh_from_db()
    assert person.units == "cm"


def test_only_ones_own_things_can_be_changed() -> None:
    person = make_person()
    data = {"name": "K", "units": "cm", "language": "en", "email": "other@saltmarsh.example", "is_active": ""}
    signed_in(person).post(reverse("me"), data)
    stored = Person.objects.get()
    assert (stored.email, stored.is_active) == (person.email, True)


def test_what_is_kept_says_the_days_that_the_settings_say(settings: Settings) -> None:
    settings.BODY_RETENTION_DAYS, settings.TESTER_LINK_DAYS, settings.INVITATION_DAYS = 333, 111, 22
    page = Client().get(reverse("privacy")).content.decode()
    for words in ("333 days", "111 days", "22 days", "Only the studio that you sew for", "the law holds"):
        assert words in page


def test_a_demo_link_signs_an_invented_person_in(settings: Settings) -> None:
    settings.DEMO_SIGN_IN = True
    cast, client = make_cast(), Client()
    assert client.get(demo_link(cast.owner))["Location"] == reverse("home")
    assert client.get(reverse("me")).status_code == 200


def test_a_demo_link_never_signs_a_real_person_in(settings: Settings) -> None:
    settings.DEMO_SIGN_IN = True
    real = make_person(email="someone@gmx.net")
    with pytest.raises(ValueError, match="invented"):
        demo_link(real)
    forged = signing.dumps(real.ref, salt=demo_links.SALT)
    assert Client().get(reverse("demo_sign_in", args=[forged])).status_code == 404


def test_a_demo_link_does_nothing_where_it_is_off(settings: Settings) -> None:
    settings.DEMO_SIGN_IN = True
    person = make_person()
    link = demo_link(person)
    settings.DEMO_SIGN_IN = False
    assert Client().get(link).status_code == 404
    with pytest.raises(ValueError, match="DEMO_SIGN_IN"):
        demo_link(person)


def test_false_and_old_demo_links_do_nothing(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.DEMO_SIGN_IN = True
    link = demo_link(make_person())
    assert Client().get(link[:-3] + "xx/").status_code == 404
    assert Client().get(reverse("demo_sign_in", args=[signing.dumps("ref", salt="another")])).status_code == 404
    monkeypatch.setattr(demo_links, "MAX_AGE_SECONDS", -1)
    assert Client().get(link).status_code == 404


def test_a_production_server_refuses_demo_links() -> None:
    unsafe = {name: getattr(shipped, name) for name in dir(shipped) if name.isupper()}
    with pytest.raises(ImproperlyConfigured, match="DEMO_SIGN_IN must be off"):
        refuse_unsafe({**unsafe, "PRODUCTION": True, "DEMO_SIGN_IN": True})


def test_nothing_at_an_address_offers_a_way_on() -> None:
    answer = Client().get("/no/such/place/")
    assert answer.status_code == 404
    assert reverse("account_login") in answer.content.decode()
    assert "Go to your studio" in signed_in(make_cast().owner).get("/no/such/place/").content.decode()


def test_a_form_without_its_token_is_told_kindly() -> None:
    answer = Client(enforce_csrf_checks=True).post(reverse("account_login"), {})
    assert answer.status_code == 403
    assert "nothing was sent" in answer.content.decode()


def test_the_page_for_a_broken_server_needs_nothing_from_it() -> None:
    page = render_to_string("500.html")
    assert "it was not you" in page
    assert "<script" not in page
