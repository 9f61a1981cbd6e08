"""The choice of a language: kept by the browser, the person and the tester; mails, numbers and sewing words follow."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import translation
from django.utils.translation import trans_real

from measurements.sentences import sentence
from measurements.templatetags.lengths import both, cm
from measurements.translated import in_words
from people.dialect import US_WORDS, in_us_words
from people.mail import send, written
from tests.factories import make_person, signed_in
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version

IN_FRENCH = '<html lang="fr">'


@pytest.fixture(autouse=True)
def _english() -> Iterator[None]:
    """A request leaves its language behind in the thread; the next test begins in English."""
    with translation.override("en"):
        yield


@pytest.mark.django_db
def test_a_stranger_reads_in_the_browsers_language_until_they_choose_one() -> None:
    browser = Client(headers={"accept-language": "fr-CA,fr;q=0.9"})
    assert IN_FRENCH in browser.get("/").content.decode()
    answer = browser.post(reverse("language"), {"language": "en-us", "next": "/privacy/"})
    assert answer["Location"] == "/privacy/"
    assert '<html lang="en-us">' in browser.get("/").content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("sent", [{"language": "xx", "next": "/"}, {"language": "fr", "next": "https://else.example/"}])
def test_a_language_that_is_not_there_and_a_page_elsewhere_are_refused(sent: dict[str, str]) -> None:
    answer = Client().post(reverse("language"), sent)
    assert answer["Location"] == "/"
    assert ("django_language" in answer.cookies) == (sent["language"] == "fr")


@pytest.mark.django_db
def test_a_persons_own_language_comes_before_the_browsers() -> None:
    person = make_person()
    browser = signed_in(person)
    browser.post(reverse("me"), {"name": "K. Lissak", "units": "cm", "language": "fr"})
    page = browser.get(reverse("me"), headers={"accept-language": "en"})
    assert IN_FRENCH in page.content.decode()
    assert page["Content-Language"] == "fr"


@pytest.mark.django_db
def test_a_tester_chooses_once_for_pages_and_mails() -> None:
    from testing_rounds.actions.mails import message_mail
    from tests.factories import make_studio

    place = make_place(make_round(make_version(make_studio())))
    phone = arrived(place)
    phone.post(reverse("test_language", args=[place.ref]), {"language": "fr"})
    phone.cookies.pop("django_language")
    assert IN_FRENCH in phone.get(f"/test/{place.ref}/").content.decode()
    place.refresh_from_db()
    html = str(message_mail(place, path="/t/x/").alternatives[0].content)
    assert IN_FRENCH in html


@pytest.mark.django_db
def test_a_mail_is_in_the_readers_language() -> None:
    context = {"name": "Odile", "studio": "Atelier", "place": None, "to_studio": False, "page": "https://a.example/"}
    for language in ("fr", ""):
        send(written(to="odile@a.example", template="mail/message.txt", context=context, language=language))
    french, other = (message.alternatives[0].content for message in mail.outbox)
    assert IN_FRENCH in french
    assert '<html lang="en">' in other


@pytest.mark.parametrize(("language", "shown"), [("en", "86.5"), ("en-us", "86.5"), ("fr", "86,5")])
def test_numbers_follow_the_language_where_they_are_shown(language: str, shown: str) -> None:
    with translation.override(language):
        assert cm(Decimal(865)) == shown
        assert f"{shown} cm" in both(Decimal(865))
        said = in_words(sentence("x", "%(girth)s, %(ratio)s, %(typed)s", girth=Decimal(865), ratio="1.25", typed="1.5"))
    assert said == f"{shown} cm (34 in), {'1,25' if language == 'fr' else '1.25'}, 1.5"


@pytest.mark.parametrize(
    ("uk", "us"),
    [
        ("Toiles, tacked", "Muslins, basted"),
        ("the ZIP of %(zip)s {toile} <i class='toile'>", "the ZIPPER of %(zip)s {toile} <i class='toile'>"),
        ("Second Toile", "Second Toile"),
        ("zipped attack in 3 centimetres", "zipped attack in 3 centimeters"),
    ],
)
def test_sewing_words_change_and_nothing_else(uk: str, us: str) -> None:
    assert in_us_words(uk) == us
    assert in_us_words(us) == us


def test_each_pair_takes_the_same_article() -> None:
    vowels = "aeiou"
    assert not {uk for uk, us in US_WORDS.items() if (uk[0] in vowels) != (us[0] in vowels)}


def test_american_readers_find_their_words() -> None:
    with translation.override("en-us"):
        assert translation.gettext("finished garment") == "finished garment"
        assert translation.gettext("toile") == "muslin"


@pytest.mark.parametrize("asked", ["en", "en-gb"])
def test_other_readers_of_english_keep_the_british_words(asked: str) -> None:
    with translation.override(translation.get_supported_language_variant(asked)):
        assert translation.gettext("toile") == "toile"


def test_a_text_is_looked_up_once_in_each_language() -> None:
    for language, said in (("fr", "Taille 8"), ("en", "Size 8"), ("fr", "Taille 8")):
        with translation.override(language):
            assert translation.gettext("Size %(size)s") % {"size": 8} == said
            assert translation.gettext_lazy("Size %(size)s") % {"size": 8} == said
    assert "cache_info" in dir(trans_real.translation("fr").gettext)
