"""Signing up, in and out; passwords; confirming an address. In the words that people read."""

from __future__ import annotations

import re
import time
from types import SimpleNamespace

import pytest
from allauth.account.models import EmailAddress
from allauth.core.internal import ratelimit
from django.core import mail
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from people.models import Person
from tests.factories import PASSWORD, make_person, signed_in

pytestmark = pytest.mark.django_db
ADDRESS = "imelda@saltmarsh.example"
WRONG = "That e-mail and password do not go together."


@pytest.fixture
def imelda() -> Person:
    return make_person("Imelda Tarrowby", email=ADDRESS)


def sign_in(client: Client, password: str = PASSWORD, login: str = ADDRESS, **data: str):
    return client.post(reverse("account_login"), {"login": login, "password": password, **data})


def is_signed_in(client: Client) -> bool:
    return "_auth_user_id" in client.session


def sign_up(client: Client, **data: str):
    everything = {"email": ADDRESS, "name": "Imelda Tarrowby", "password1": PASSWORD, **data}
    return client.post(reverse("account_signup"), everything)


def links_in(text: str) -> list[str]:
    return re.findall(r"https?://[^/\s]+(/\S+)", text)


def test_the_way_in_offers_sign_in_and_an_account(client: Client) -> None:
    page = client.get(reverse("home")).content.decode()
    assert f'action="{reverse("account_login")}"' in page
    assert reverse("account_signup") in page
    assert "Testers need no password" in page


def test_signing_up_asks_for_three_things_and_signs_in(client: Client) -> None:
    answer = sign_up(client)
    assert answer["Location"] == reverse("home")
    person = Person.objects.get()
    assert (person.email, person.name) == (ADDRESS, "Imelda Tarrowby")
    assert person.check_password(PASSWORD)
    assert client.get(reverse("home"))["Location"] == reverse("studio_new")


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("email", "imelda@", "not a whole e-mail"),
        ("email", "", "Type your e-mail"),
        ("name", " ", "Type the name"),
        ("password1", "short", "10 characters"),
        ("password1", "", "Type a password"),
        ("password1", "password123", "too common"),
    ],
)
def test_a_sign_up_with_a_mistake_says_which_and_keeps_the_rest(
    client: Client, field: str, typed: str, words: str
) -> None:
    page = sign_up(client, **{field: typed}).content.decode()
    assert words in page
    assert 'aria-invalid="true"' in page
    for name, value in {"email": ADDRESS, "name": "Imelda Tarrowby"}.items():
        assert field == name or f'value="{value}"' in page
    assert not Person.objects.exists()


def test_an_address_that_is_taken_on_a_machine_without_mail(client: Client, imelda: Person) -> None:
    assert "already an account" in sign_up(client, email=ADDRESS.upper()).content.decode()
    assert Person.objects.count() == 1


def test_with_a_mail_server_the_address_is_confirmed_first(client: Client, with_mail_server: None) -> None:
    assert sign_up(client)["Location"] == reverse("account_email_verification_sent")
    assert not is_signed_in(client)
    assert "is on its way to you" in client.get(reverse("account_email_verification_sent")).content.decode()
    (letter,) = mail.outbox
    (path,) = links_in(letter.body)
    assert "Is imelda@saltmarsh.example yours?" in client.get(path).content.decode()
    assert not EmailAddress.objects.get().verified
    client.post(path)
    assert EmailAddress.objects.get().verified
    assert sign_in(Client())["Location"] == reverse("home")


def test_with_a_mail_server_a_taken_address_gets_the_same_answer(client: Client, with_mail_server: None) -> None:
    make_person(email=ADDRESS)
    taken, free = sign_up(client), sign_up(Client(), email="new@saltmarsh.example")
    assert (taken.status_code, taken["Location"]) == (free.status_code, free["Location"])
    assert "already have an account" in mail.outbox[0].subject
    assert Person.objects.count() == 2


def test_a_confirmation_that_no_longer_works_says_so(client: Client) -> None:
    page = client.get(reverse("account_confirm_email", args=["MQ:1abc:def"])).content.decode()
    assert "no longer works" in page


@pytest.fixture
def with_mail_server(settings: Settings) -> None:
    settings.ACCOUNT_EMAIL_VERIFICATION = "mandatory"


def test_signing_in_and_out(client: Client, imelda: Person) -> None:
    assert sign_in(client)["Location"] == reverse("home")
    assert is_signed_in(client)
    page = client.get(reverse("account_logout"))
    assert page.status_code == 200
    assert is_signed_in(client), "looking at the page signs nobody out"
    client.post(reverse("account_logout"))
    assert not is_signed_in(client)


def test_the_address_may_be_typed_in_capitals(client: Client, imelda: Person) -> None:
    assert sign_in(client, login=ADDRESS.upper()).status_code == 302


def test_known_and_unknown_people_get_the_same_answer(client: Client, imelda: Person) -> None:
    pages = [
        re.sub(r"value=\"[^\"]*\"", "", sign_in(client, "not the password", login).content.decode())
        for login in (ADDRESS, "nobody@saltmarsh.example")
    ]
    assert WRONG in pages[0]
    assert pages[0] == pages[1]


def test_a_wrong_password_keeps_the_address_and_stands_beside_the_field(client: Client, imelda: Person) -> None:
    page = sign_in(client, "not the password").content.decode()
    assert f'value="{ADDRESS}"' in page
    assert re.search(r'name="password"[^>]*aria-invalid="true"', page)


def test_a_place_to_return_to_is_kept_and_another_site_is_not(client: Client, imelda: Person) -> None:
    page = client.get(reverse("account_login"), {"next": "/me/"}).content.decode()
    assert '<input type="hidden" name="next" value="/me/"' in page
    assert sign_in(client, next="/me/")["Location"] == "/me/"
    assert sign_in(Client(), next="https://elsewhere.example/")["Location"] == reverse("home")


def test_guessing_is_blocked_by_the_tenth_try_and_the_right_password_works_later(
    client: Client, imelda: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    pages = [sign_in(client, f"guess {n}").content.decode() for n in range(10)]
    assert WRONG in pages[0]
    assert "Too many tries" in pages[9]
    assert "Too many tries" in sign_in(client).content.decode(), "not even the right one, while it is blocked"
    later = time.time() + 5 * 60 + 1
    monkeypatch.setattr(ratelimit, "time", SimpleNamespace(time=lambda: later, monotonic=time.monotonic, sleep=None))
    assert sign_in(client)["Location"] == reverse("home")


def test_guessing_over_many_accounts_is_blocked_by_address(client: Client, imelda: Person) -> None:
    answers = [sign_in(client, "a guess", f"someone{n}@saltmarsh.example") for n in range(31)]
    assert answers[0].status_code == 200
    assert WRONG not in answers[-1].content.decode()
    assert sign_in(client).status_code != 302


def test_a_blocked_person_elsewhere_does_not_block_another(client: Client, imelda: Person) -> None:
    for n in range(8):
        sign_in(client, f"guess {n}", "someone@saltmarsh.example")
    assert sign_in(client).status_code == 302


def test_a_forgotten_password_is_set_anew_by_mail(client: Client, imelda: Person) -> None:
    assert client.post(reverse("account_reset_password"), {"email": ADDRESS})["Location"] == reverse(
        "account_reset_password_done"
    )
    (letter,) = mail.outbox
    assert letter.to == [ADDRESS]
    (path,) = links_in(letter.body)
    form_path = client.get(path)["Location"]
    new = "a fourth toile at night"
    mismatch = client.post(form_path, {"password1": new, "password2": new + "!"}).content.decode()
    assert "same password" in mismatch
    assert client.post(form_path, {"password1": new, "password2": new})["Location"] == reverse(
        "account_reset_password_from_key_done"
    )
    assert sign_in(Client(), new).status_code == 302
    assert WRONG in sign_in(Client()).content.decode()
    assert "no longer works" in Client().get(path).content.decode(), "the link works once"


def test_a_reset_for_an_unknown_address_gets_the_same_answer(client: Client, imelda: Person) -> None:
    known, unknown = (
        client.post(reverse("account_reset_password"), {"email": address})
        for address in (ADDRESS, "nobody@saltmarsh.example")
    )
    assert (known.status_code, known["Location"]) == (unknown.status_code, unknown["Location"])
    assert "No account" in mail.outbox[1].subject


def test_a_mail_server_that_does_not_answer_is_told_not_hidden(
    client: Client, imelda: Person, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(mail.EmailMessage, "send", no_mail_server)
    answer = client.post(reverse("account_reset_password"), {"email": ADDRESS})
    assert "did not leave" in caplog.text
    assert "The mail did not leave" in client.get(answer["Location"]).content.decode()


def no_mail_server(message: mail.EmailMessage, fail_silently: bool = False) -> int:
    raise ConnectionRefusedError("no mail server here")


def test_changing_the_password_asks_for_the_old_one_and_stays_signed_in(imelda: Person) -> None:
    client, new = signed_in(imelda), "a fourth toile at night"
    url = reverse("account_change_password")
    wrong = client.post(url, {"oldpassword": "no", "password1": new, "password2": new}).content.decode()
    assert "not the password that you have now" in wrong
    client.post(url, {"oldpassword": PASSWORD, "password1": new, "password2": new})
    assert is_signed_in(client)
    assert sign_in(Client(), new).status_code == 302


def test_strangers_are_sent_to_sign_in_before_their_own_pages(client: Client) -> None:
    for name in ("me", "account_change_password", "studio_new"):
        assert client.get(reverse(name))["Location"].startswith(reverse("account_login"))


@pytest.mark.parametrize("name", ["account_login", "account_signup", "account_logout", "me", "home", "privacy"])
def test_odd_methods_are_refused(client: Client, imelda: Person, name: str) -> None:
    client.force_login(imelda)
    for method in ("TRACE", "DELETE", "PUT", "PATCH"):
        assert client.generic(method, reverse(name)).status_code in {302, 405}


def test_every_mail_is_in_our_words_as_text_and_as_html(client: Client, imelda: Person) -> None:
    client.post(reverse("account_reset_password"), {"email": ADDRESS})
    client.post(reverse("account_reset_password"), {"email": "nobody@saltmarsh.example"})
    for letter in mail.outbox:
        assert [form.mimetype for form in letter.alternatives] == ["text/html"]
        assert "example.com" not in letter.body
        assert "&#" not in letter.body
