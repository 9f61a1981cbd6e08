"""A version's page and a studio's list know the rounds."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from testing_rounds.models import FitReport, Place, Round
from testing_rounds.version_page import next_steps
from tests.factories import make_cast, make_chart, signed_in
from tests.releases.things import make_pattern, make_version


@pytest.fixture
def cast(db):
    return make_cast()


@pytest.fixture
def version(cast):
    chart = make_chart(cast.studio)
    return make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)


def make_round(version, state="planned", *, places=(), reports=0, name="Round 1"):
    made = Round.objects.create(version=version, name=name, state=state)
    there = [Place.objects.create(round=made, alias=f"{name} {i}", state=one) for i, one in enumerate(places)]
    for place in there[:reports]:
        FitReport.objects.create(place=place, version=version, submitted_at=timezone.now())
    for place in there[reports:]:
        FitReport.objects.create(place=place, version=version)
    return made


@pytest.mark.parametrize(
    ("state", "places", "reports", "said", "page"),
    [
        ("planned", (), 0, "Round 1 is planned; its call is not open yet.", "round"),
        ("call_open", ("applied",), 0, "Round 1 calls for testers; 1 has applied.", "panel"),
        ("sewing", ("accepted", "finished", "reserve"), 1, "Round 1 is being sewn; 1 of 2 reports are in.", "round"),
        ("closed", ("finished", "dropped_out"), 1, "Round 1 is closed with 1 report.", "round"),
    ],
)
def test_what_a_round_waits_for(version, state, places, reports, said, page):
    made = make_round(version, state, places=places, reports=reports)
    step = next_steps([version])[version.pk]
    assert (step.standing, step.url) == (said, reverse(page, args=[made.ref]))


def test_the_newest_round_speaks_for_its_version(version):
    make_round(version, "closed")
    make_round(version, "planned", name="Round 2")
    assert next_steps([version])[version.pk].standing.startswith("Round 2 is planned")


def test_one_query_for_all_versions(cast, version):
    make_round(version, "sewing", places=("accepted",) * 3, reports=2)
    with CaptureQueriesContext(connection) as caught:
        next_steps([version, make_version(version.pattern, version.pattern.chart, cast.owner, number="1.0")])
    assert len([query for query in caught if "testing_rounds_round" in query["sql"]]) == 1


def test_the_versions_page_lists_its_rounds_or_how_to_begin(cast, version):
    address = reverse("version", args=[version.ref])
    assert "Nobody has been asked to sew it yet." in signed_in(cast.owner).get(address).content.decode()
    assert "Plan a round" not in signed_in(cast.reviewer).get(address).content.decode()
    make_round(version, "sewing", places=("accepted",))
    page = signed_in(cast.reviewer).get(address).content.decode()
    assert "Round 1 is being sewn; 0 of 1 report is in." in page
    assert "Read the reports" in page


def test_the_studios_first_steps_are_done_with_the_first_round(cast, version):
    address = reverse("studio", args=[cast.studio.ref])
    assert signed_in(cast.owner).get(address).context["firsts"]
    make_round(version)
    page = signed_in(cast.owner).get(address)
    assert not page.context["firsts"]
    assert "Round 1 is planned" in page.content.decode()
