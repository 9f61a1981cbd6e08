"""Where photos are shown: only with the permission, written down, and named again when it is taken back."""

from __future__ import annotations

from io import BytesIO

import pytest
from django.core import mail
from django.urls import reverse

from people.models import AuditEntry
from testing_rounds.actions.photos import add_photo, edit_photo, make_ready, remove_photo
from testing_rounds.actions.reports import save_fields, send_report
from testing_rounds.actions.uses import recalled_uses
from testing_rounds.actions.visits import give_consent, withdraw_consent
from testing_rounds.jobs import tell_recalled
from testing_rounds.models import Photo, PhotoUse, Place
from testing_rounds.photo_edits import Edits
from testing_rounds.shown_check import to_take_down
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.pictures import saved, toile
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db
PAGE = "https://saltmarsh.example/pebblewick"


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def place(cast) -> Place:
    made = with_consents(make_place(make_round(make_version(cast.studio))), "measurements", "photos", "promotion")
    save_fields(place=made, fields={"size": "14", "fit.waist": "-1"})
    send_report(place=made)
    return made


@pytest.fixture
def photo(place, settings, tmp_path) -> Photo:
    options = {"location": tmp_path, "base_url": None}
    default = {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": options}
    settings.STORAGES = {**settings.STORAGES, "default": default}
    made = add_photo(place=place, view="front", source=BytesIO(saved(toile(), "JPEG")), size=900)
    make_ready(made.ref)
    return Photo.objects.get()


def page_of(place: Place) -> str:
    return reverse("round_shown", args=[place.round.ref])


def show(cast: Cast, place: Place, photo: Photo):
    return signed_in(cast.designer).post(page_of(place), {"photo": photo.ref, "what": "page", "where": PAGE})


def test_a_use_is_written_down_once(cast, place, photo):
    assert "One photo may show the pattern." in signed_in(cast.reviewer).get(page_of(place)).content.decode()
    assert show(cast, place, photo).status_code == 302
    assert show(cast, place, photo).status_code == 302
    assert PhotoUse.objects.get().where == PAGE
    assert AuditEntry.objects.filter(verb="photo_shown").count() == 1
    assert PAGE in arrived(place).get(reverse("test_data", args=[place.ref])).content.decode()


def test_without_the_permission_no_photo_is_offered_or_taken(cast, place, photo):
    withdraw_consent(place=place, kind="promotion")
    assert "No photo of this round may show the pattern." in signed_in(cast.owner).get(page_of(place)).content.decode()
    assert "This photo may no longer be shown." in show(cast, place, photo).content.decode()
    assert not PhotoUse.objects.exists()


TAKEN_BACK = {
    "permission": lambda place, photo: withdraw_consent(place=place, kind="promotion"),
    "the photo removed": lambda place, photo: remove_photo(photo=photo),
    "a face covered": lambda place, photo: edit_photo(photo=photo, edits=Edits(boxes=((0, 0, 0.5, 0.5),))),
}


@pytest.mark.parametrize("how", TAKEN_BACK)
def test_taken_back_it_names_every_place_until_it_is_down(cast, place, photo, how):
    show(cast, place, photo)
    before = arrived(place).get(reverse("test_take_back", args=[place.ref, "promotion"])).content.decode()
    assert PAGE in before, "the tester sees it too"
    TAKEN_BACK[how](place, photo)
    (use,) = recalled_uses(place.round)
    page = signed_in(cast.reviewer).get(page_of(place)).content.decode()
    assert "One photo is to be taken down." in page
    assert PAGE in page
    (standing,) = to_take_down(place.round.version)
    assert PAGE in standing.says
    tell_recalled.call(place.round.ref)
    signed_in(cast.owner).post(reverse("photo_taken_down", args=[use.ref]))
    assert not recalled_uses(place.round).exists()


def test_the_studio_is_told_by_mail(cast, place, photo, django_capture_on_commit_callbacks):
    show(cast, place, photo)
    withdraw_consent(place=place, kind="promotion")
    with django_capture_on_commit_callbacks(execute=True):
        tell_recalled.call(place.round.ref)
    assert sorted(one for sent in mail.outbox for one in sent.to) == sorted([cast.owner.email, cast.designer.email])
    assert PAGE in mail.outbox[0].body
    assert page_of(place) in mail.outbox[0].body


def test_given_again_it_may_be_shown_again(cast, place, photo):
    show(cast, place, photo)
    withdraw_consent(place=place, kind="promotion")
    give_consent(place=place, kind="promotion")
    show(cast, place, photo)
    assert not recalled_uses(place.round).exists()
