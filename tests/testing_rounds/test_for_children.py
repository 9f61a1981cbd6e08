"""A pattern for children: its cautions on the call, size and age only, no photos."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from testing_rounds.actions.photos import PhotoRefused, add_photo
from testing_rounds.models import Place, RoundState
from tests.factories import make_chart, make_studio
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def version():
    studio = make_studio()
    make_chart(studio)
    version = make_version(studio)
    version.pattern.for_children = True
    version.pattern.save()
    return version


def test_the_call_shows_the_cautions_and_asks_for_size_and_age_alone(version):
    call = make_round(version, state=RoundState.CALL_OPEN)
    address = reverse("call", args=[call.call_ref])
    page = Client().get(address).content.decode()

    for words in ("No cords near a child’s neck", "has fire rules", "can be swallowed", "Testers are adults"):
        assert words in page
    assert 'name="child_age"' in page
    assert "body_" not in page

    sent = {"name": "Solveig", "email": "s@saltmarsh.example", "wanted_size": "12", "paper": "a4", "experience": "some"}
    refused = Client().post(address, {**sent, "rounds_before": "0", "adult": "on", "consent": "on"})
    assert refused.status_code == 422
    assert "whole years" in refused.content.decode()
    assert "<p" in Client().post(
        address, {**sent, "rounds_before": "0", "adult": "on", "consent": "on", "child_age": "4"}
    ).content.decode()  # fmt: skip
    place = Place.objects.get(round=call)
    assert (place.child_age, place.wanted_size, place.body) == (4, "12", None)


def test_no_photos_and_no_measurements_are_asked_of_a_child(version):
    place = with_consents(make_place(make_round(version)), "photos", "measurements")
    client = arrived(place)

    for name in ("test_photos", "test_measures"):
        answer = client.get(reverse(name, args=[place.visit]), follow=True)
        assert answer.redirect_chain
        assert "no child photos" in answer.content.decode()
    with pytest.raises(PhotoRefused, match="no child photos"):
        add_photo(place=place, view="front", source=None, size=1)
    asked = client.get(reverse("test_consents", args=[place.visit])).content.decode()
    assert 'name="quote"' in asked
    assert 'name="photos"' not in asked
