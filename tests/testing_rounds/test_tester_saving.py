"""Saving field by field: nothing lost, nothing doubled, no tab undoing another."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from measurements.models import BodyValue
from people.models import AuditEntry
from testing_rounds.actions.reports import save_fields
from testing_rounds.models import FitReport, Place, PlaceState, Round, RoundState, StepNote, ZoneVerdict
from tests.factories import make_studio
from tests.testing_rounds.testers import arrived, form_of, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Place:
    return with_consents(make_place(make_round(make_version(make_studio()))))


@pytest.fixture
def phone(place):
    return arrived(place)


@pytest.fixture
def save(phone, place):
    """Send fields as the page's script does, and read the answer."""

    def send(fields, *, unit="cm", **about):
        return phone.post(f"/test/{place.ref}/save/", {**fields, "unit": unit, **about})

    return send


def test_a_field_is_saved_by_itself(save, place):
    answer = save({"words": "The collar stands well."})
    assert answer.status_code == 200
    assert answer.json()["refused"] == {}
    assert FitReport.objects.get().words == "The collar stands well."
    save({"fabric": "linen, 190 g"})
    report = FitReport.objects.get()
    assert (report.words, report.fabric_used) == ("The collar stands well.", "linen, 190 g")


def test_the_last_word_on_a_field_holds(save):
    for text in ("one", "two", "two"):
        save({"words": text})
    assert FitReport.objects.get().words == "two"
    save({"words": ""})
    assert FitReport.objects.get().words == ""


def test_the_same_save_again_changes_and_doubles_nothing(save, place):
    fields = {"fit.waist": "-2", "fit.waist.words": "drags", "step.6.typo": "yes", "step.6.typo.words": "3/8"}
    for _ in range(3):
        save(fields)
    assert (ZoneVerdict.objects.count(), StepNote.objects.count(), FitReport.objects.count()) == (1, 1, 1)
    assert save_fields(place=place, fields=fields, unit="cm").changed is False


@pytest.mark.parametrize("name", ["fit.elbow", "nonsense", "step.1.rude", "body.weight", "size.elbow", "fit.waist.x"])
def test_a_field_that_is_not_asked_is_refused(save, name):
    assert name in save({name: "1"}).json()["refused"]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("fit.waist", "3"),
        ("fit.waist", "-2; drop"),
        ("difficulty", "6"),
        ("hours", "never"),
        ("units", "ells"),
        ("size", "99"),
        ("size.waist", "99"),
        ("same_size_again", "perhaps"),
        ("words", "x" * 6001),
    ],
)
def test_what_is_out_of_range_is_refused_and_changes_nothing(save, name, text):
    save({"words": "stays", "size": "16"})
    assert save({name: text}).json()["refused"][name]
    report = FitReport.objects.get()
    assert (report.words, report.size) == ("stays", "16")
    assert not ZoneVerdict.objects.exists()


def test_signs_that_no_database_holds_are_left_out(save):
    save({"words": "a\x00b\r\nc\x07"})
    assert FitReport.objects.get().words == "ab\nc"


def test_a_length_that_cannot_be_read_stays_as_typed_and_counts_nowhere(save, phone, place):
    save({"body.waist": "74"})
    answer = save({"body.waist": "7x4"}, page="measures").json()
    assert "7x4" in answer["refused"]["body.waist"]
    assert answer["beside"]["body.waist"]["error"] == answer["refused"]["body.waist"]
    assert not BodyValue.objects.exists()
    page = phone.get(f"/test/{place.ref}/measures/")
    assert form_of(page)["body.waist"] == "7x4"
    assert answer["refused"]["body.waist"] in page.content.decode().replace("&#x27;", "'")
    save({"body.waist": "74,5"})
    assert BodyValue.objects.get().mm == Decimal(745)
    place.refresh_from_db()
    assert place.pending == {}


def test_a_page_saves_in_the_unit_that_it_showed(save, phone, place):
    """A tab that still shows centimetres is not read as inches because another one changed the unit."""
    save({"units": "in"})
    save({"body.waist": "74"}, unit="cm")
    value = BodyValue.objects.get()
    assert (value.mm, value.typed) == (Decimal(740), "74")
    assert form_of(phone.get(f"/test/{place.ref}/measures/"))["body.waist"] == "74 cm"


def test_without_javascript_a_page_saves_what_changed_on_it(phone, place):
    page = f"/test/{place.ref}/last/"
    fields = form_of(phone.get(page)) | {"words": "Fine.", "difficulty": "2"}
    answer = phone.post(page, fields)
    assert answer["Location"] == f"/test/{place.ref}/send/"
    report = FitReport.objects.get()
    assert (report.words, report.difficulty, report.hours) == ("Fine.", 2, "")


def test_a_stale_tab_cannot_undo_what_another_one_wrote(phone, place):
    page = f"/test/{place.ref}/last/"
    stale = form_of(phone.get(page))
    phone.post(page, form_of(phone.get(page)) | {"words": "Written in the other tab.", "fabric": "linen"})
    answer = phone.post(page, stale | {"changes_before": "Lengthened by 2 cm.", "fabric": "cotton"})
    report = FitReport.objects.get()
    assert report.words == "Written in the other tab."
    assert report.changes_before == "Lengthened by 2 cm."
    assert report.fabric_used == "linen", "the same field: both are named, nothing is overwritten"
    assert answer.status_code == 422
    assert "On another page “linen” was written here meanwhile." in answer.content.decode()
    again = form_of(answer)
    assert again["fabric"] == "cotton"
    phone.post(page, again)
    assert FitReport.objects.get().fabric_used == "cotton", "sent once more it holds"


@pytest.mark.parametrize(
    ("shown", "now", "typed", "kept", "both"),
    [
        (["one"], "one", "two", "two", False),
        (["one"], "else", "two", "else", True),
        (["one"], "two", "two", "two", False),
        (["one"], "else", "one", "else", False),
        (["one", "tw"], "tw", "two", "two", False),
        (["one"], "", "two", "", True),
        ([], "else", "two", "two", False),
    ],
    ids=["nobody else", "both wrote", "the same", "taken back", "its own try arrived", "emptied", "without a basis"],
)
def test_two_pages_on_one_field(save, shown, now, typed, kept, both):
    save({"words": now})
    answer = save({"words": typed, "was.words": shown}, page="last").json()
    assert FitReport.objects.filter(words=kept).exists() or not kept
    assert list(answer["both"]) == (["words"] if both else [])


def test_both_are_told_in_the_words_of_the_field(save):
    save({"fit.waist": "-2", "rest_fits": "yes", "body.bust": "106"})
    about = {"was.fit.waist": "", "was.rest_fits": "", "was.body.bust": "100"}
    both = save({"fit.waist": "1", "body.bust": "101", "rest_fits": "", **about}).json()["both"]
    assert both["fit.waist"] == {
        "title": "How it fits, waist",
        "stands": "-2",
        "stands_words": "Much too tight",
        "here_words": "A bit loose",
    }
    assert (both["body.bust"]["title"], both["body.bust"]["stands"]) == ("Your measurements, bust", "106")
    assert "rest_fits" not in both, "nothing was changed here"


def test_line_ends_of_a_form_are_no_change(phone, place, save):
    save({"words": "one\ntwo"})
    page = f"/test/{place.ref}/last/"
    fields = form_of(phone.get(page))
    save({"words": "three"})
    fields["words"] = fields["words"].replace("\n", "\r\n")
    phone.post(page, fields)
    assert FitReport.objects.get().words == "three"


def test_a_tick_taken_out_is_a_change(phone, place, save):
    save({"fit.waist": "-1", "fit.waist.altered": "yes"})
    page = f"/test/{place.ref}/fit/waist/"
    fields = form_of(phone.get(page))
    assert fields.pop("fit.waist.altered") == "yes"
    phone.post(page, fields)
    assert ZoneVerdict.objects.get().altered is False


def test_bad_input_without_javascript_comes_back_with_its_sentence(phone, place):
    page = f"/test/{place.ref}/last/"
    long = "x" * 6001
    answer = phone.post(page, form_of(phone.get(page)) | {"fabric_width": "1,2,3", "words": long})
    assert answer.status_code == 422
    fields = form_of(answer)
    assert (fields["fabric_width"], fields["words"]) == ("1,2,3", long)
    assert "This is longer than 6000 signs" in answer.content.decode()


def test_saving_a_draft_leaves_no_trail_and_no_news(save):
    save({"fit.waist": "-1", "words": "draft"})
    assert not AuditEntry.objects.filter(verb__startswith="report").exists()
    before = Round.objects.get().revision
    save({"fit.waist": "1"})
    assert Round.objects.get().revision == before


@pytest.mark.parametrize("why", ["round closed", "dropped out"])
def test_when_it_is_over_nothing_is_written_and_the_page_says_why(save, phone, place, why):
    save({"words": "in time", "fit.waist": "-1"})
    if why == "round closed":
        Round.objects.update(state=RoundState.CLOSED)
        said = "This round has closed"
    else:
        Place.objects.update(state=PlaceState.DROPPED_OUT)
        said = "You have stopped testing"
    answer = save({"words": "too late"})
    assert answer.status_code == 409
    assert said in answer.json()["closed"]
    page = f"/test/{place.ref}/last/"
    shown = phone.get(page).content.decode()
    assert said in shown
    assert '<fieldset class="all" disabled>' in shown
    phone.post(page, {"was.words": "in time", "words": "too late"})
    assert FitReport.objects.get().words == "in time"


def test_more_fields_than_a_page_has_are_refused(save):
    assert save({f"fit.z{i}": "1" for i in range(201)}).status_code == 400


def test_the_answer_brings_the_parts_of_the_page_that_changed(save):
    answer = save({"fit.waist": "-2"}, page="fit", at="waist").json()
    assert "much too tight" in answer["live"]["live_marked"]
    assert "I would let it out by" in answer["beside"]["fit.waist.change"]["label"]
    assert 'id="live_form"' in answer["live"]["live_form"]


def test_a_page_takes_few_queries_and_little_room(phone, place, save):
    save({"fit.waist": "-2", "fit.bust": "1", "rest_fits": "yes", "toile.bust": "54", "body.waist": "88"})
    for page in ("", "measures/", "size/", "print/", "fit/waist/", "steps/", "last/", "send/", "photos/"):
        with CaptureQueriesContext(connection) as queries:
            answer = phone.get(f"/test/{place.ref}/{page}")
        assert answer.status_code == 200
        assert len(queries) <= 12, f"{page}: {len(queries)}"
        assert len(answer.content) <= 60_000, f"{page}: {len(answer.content)}"
