"""A round as a file in the browser: out, and in again; a broken one gets a sentence and changes nothing."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from releases.models import Pattern
from testing_rounds.models import FitReport, Round
from tests.factories import make_cast, signed_in
from tests.testing_rounds.test_round_store import ODD

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast():
    return make_cast()


def send(cast, content: str, by=None):
    address = reverse("round_file_import", args=[cast.studio.ref])
    file = SimpleUploadedFile("round.json", content.encode(), "application/json")
    return signed_in(by or cast.designer).post(address, {"file": file}, follow=True)


def test_a_round_file_becomes_a_round_and_comes_out_the_same(cast):
    page = send(cast, json.dumps(ODD))
    made = Round.objects.get()
    assert page.redirect_chain[-1][0] == reverse("round", args=[made.ref])
    assert "with all its reports" in page.content.decode()
    out = signed_in(cast.designer).get(reverse("round_file", args=[made.ref]))
    assert out["Content-Disposition"] == 'attachment; filename="skerry-0.2-b.json"'
    assert json.loads(out.content) == ODD


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("{", "line 1, column 2"),
        (json.dumps({**ODD, "unit": "in"}), "must be &quot;cm&quot;"),
        (json.dumps(ODD).replace('"fit": -2', '"fit": 7'), "report 1 (T01), zone bust: fit is 7"),
        (json.dumps({**ODD, "sizes": ["S", "S", "M"]}), "Nothing was read"),
    ],
)
def test_a_broken_file_gets_one_sentence_that_names_the_place(cast, content, sentence):
    page = send(cast, content)
    assert page.status_code == 422
    assert sentence in page.content.decode()
    assert not Pattern.objects.exists()


def test_a_file_that_is_too_large_is_not_read(cast, settings):
    settings.ROUND_FILE_BYTES = 100
    assert "larger than" in send(cast, json.dumps(ODD)).content.decode()


def test_a_version_that_is_there_already_is_not_doubled(cast):
    send(cast, json.dumps(ODD))
    page = send(cast, json.dumps(ODD))
    assert page.status_code == 422
    assert "already has Skerry 0.2 b" in page.content.decode()
    assert FitReport.objects.count() == len(ODD["reports"])


def test_a_reviewer_and_a_stranger_bring_nothing_in(cast):
    for person in (cast.reviewer, cast.outsider):
        assert send(cast, json.dumps(ODD), by=person).status_code == 404
    assert not Round.objects.exists()
