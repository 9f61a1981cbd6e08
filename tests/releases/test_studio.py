"""The studio's page: what is there, what is next; patterns written and read."""

from __future__ import annotations

import pytest
from django.urls import reverse

from people.models import AuditEntry
from releases import registry
from releases.models import Pattern, Version
from releases.registry import NextStep
from tests.factories import make_chart, signed_in
from tests.releases.things import cm, make_file, make_pattern, make_version, with_finished

GIVEN = {
    "name": "Pebblewick shirt",
    "kind": "shirt",
    "fabric": "woven",
    "chart": "",
    "height": "163",
    "cup": "5,0",
    "free_at": ["hip"],
    "about": "Button front.",
}


def studio_page(cast, person=None):
    return signed_in(person or cast.owner).get(reverse("studio", args=[cast.studio.ref]))


def ticks(page) -> list[bool]:
    return [step.done for step in page.context["firsts"]]


@pytest.fixture
def in_a_round(monkeypatch):
    """As a later app says it: every version is in a round."""

    def steps(versions):
        return {version.pk: NextStep("Two of three reports are in.", "Read them", "/rounds/x/") for version in versions}

    monkeypatch.setattr(registry, "_next_steps", [steps])


def test_an_empty_studio_says_what_to_do_first(cast):
    page = studio_page(cast)
    assert page.context["headline"] == "Nothing is laid out yet. Begin with the sizes."
    assert ticks(page) == [False] * 4
    assert reverse("chart_new", args=[cast.studio.ref]) in page.content.decode()


def test_each_of_the_four_things_is_ticked_when_it_is_done(cast):
    chart = make_chart(cast.studio)
    assert ticks(studio_page(cast)) == [True, False, False, False]
    pattern = make_pattern(cast.studio, cast.owner, chart=chart)
    assert ticks(studio_page(cast)) == [True, False, False, False]
    version = make_version(pattern, chart, cast.owner, test_square=None)
    assert ticks(studio_page(cast)) == [True, True, False, False]
    make_file(version, cast.owner)
    assert ticks(studio_page(cast)) == [True, True, False, False], "a file without its test square proves nothing"
    Version.objects.update(test_square_mm=100)
    page = studio_page(cast)
    assert ticks(page) == [True, True, True, False]
    assert reverse("round_new", args=[version.ref]) in page.content.decode()


def test_after_the_first_round_the_list_stands_alone(cast, version, in_a_round):
    page = studio_page(cast)
    assert not page.context["firsts"]
    assert page.context["headline"] == "One pattern, and no version is in testing."
    assert "Two of three reports are in." in page.content.decode()
    assert 'href="/rounds/x/"' in page.content.decode()


def test_what_is_next_goes_from_the_chart_to_the_round(cast):
    chart = make_chart(cast.studio)
    pattern = make_pattern(cast.studio, cast.owner)

    def standing() -> tuple[str, str]:
        (line,) = studio_page(cast).context["lines"]
        return line.next.standing, line.next.action

    assert standing() == ("No size chart is chosen yet.", "Choose its chart")
    Pattern.objects.update(chart=chart)
    assert standing() == ("It has no version yet.", "Start its first version")
    version = make_version(pattern, chart, cast.owner, test_square=None)
    needs = "Version 0.9 still needs the finished measurements, a file to print and the length of its test square."
    assert standing() == (needs, "Type the finished measurements")
    with_finished(version, cast.owner)
    make_file(version, cast.owner)
    assert standing() == ("Version 0.9 still needs the length of its test square.", "Give the test square")
    Version.objects.update(test_square_mm=100)
    assert standing() == ("Version 0.9 is ready for a round.", "Plan a round")
    Version.objects.update(state="in_testing")
    assert standing() == ("Version 0.9 is in testing.", "Open the version")


def test_the_newest_version_speaks_for_its_pattern(cast, chart, pattern):
    for number in ("0.8", "0.9", "0.85"):
        make_version(pattern, chart, cast.owner, number=number)
    (line,) = studio_page(cast).context["lines"]
    assert line.version.number == "0.85"


def test_the_page_asks_as_often_for_ten_patterns_as_for_one(cast, chart, django_assert_num_queries):
    def queries() -> int:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        client = signed_in(cast.owner)
        with CaptureQueriesContext(connection) as caught:
            client.get(reverse("studio", args=[cast.studio.ref]))
        return len(caught)

    make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)
    once = queries()
    for i in range(9):
        make_version(make_pattern(cast.studio, cast.owner, chart=chart, name=f"Shirt {i}"), chart, cast.owner)
    assert queries() == once


def test_a_reviewer_reads_and_is_offered_no_change(cast, version):
    page = studio_page(cast, cast.reviewer).content.decode()
    assert "Pebblewick shirt" in page
    assert reverse("pattern_new", args=[cast.studio.ref]) not in page


def test_strangers_find_nothing(cast, pattern, client):
    addresses = [
        reverse("studio", args=[cast.studio.ref]),
        reverse("pattern_new", args=[cast.studio.ref]),
        reverse("pattern", args=[pattern.ref]),
        reverse("pattern_edit", args=[pattern.ref]),
        reverse("version_new", args=[pattern.ref]),
    ]
    for address in addresses:
        assert signed_in(cast.outsider).get(address).status_code == 404
        assert client.get(address).status_code == 404
    for address in addresses[1:2] + addresses[3:]:
        assert signed_in(cast.reviewer).post(address, GIVEN).status_code == 404
    assert signed_in(cast.owner).post(addresses[0]).status_code == 405


class TestWriting:
    def new(self, cast, **fields):
        client = signed_in(cast.designer)
        return client.post(reverse("pattern_new", args=[cast.studio.ref]), {**GIVEN, **fields})

    def test_a_pattern_is_kept_as_typed(self, cast, chart):
        response = self.new(cast, chart=chart.pk)
        pattern = Pattern.objects.get()
        assert response.url == reverse("version_new", args=[pattern.ref])
        assert (pattern.name, pattern.kind, pattern.chart, pattern.free_at) == (
            "Pebblewick shirt",
            "shirt",
            chart,
            ["hip"],
        )
        assert (pattern.height_mm, pattern.height_typed) == (1630, "163 cm")
        assert (pattern.cup_mm, pattern.cup_typed) == (50, "5,0 cm")
        entry = AuditEntry.objects.get(verb="pattern_created")
        assert (entry.actor_ref, entry.object_ref) == (cast.designer.ref, pattern.ref)

    def test_inches_are_read_in_the_persons_unit(self, cast):
        cast.designer.units = "in"
        cast.designer.save()
        self.new(cast, height="64 1/8", cup="2")
        pattern = Pattern.objects.get()
        assert (str(pattern.height_mm), pattern.height_typed) == ("1628.775000", "64 1/8 in")
        page = signed_in(cast.designer).get(reverse("pattern_edit", args=[pattern.ref]))
        assert 'value="64 1/8"' in page.content.decode()

    def test_what_cannot_be_read_is_said_and_nothing_typed_is_lost(self, cast):
        response = self.new(cast, name="", height="tall", cup="99")
        page = response.content.decode()
        assert response.status_code == 422
        assert "“tall” cannot be read as a length" in page
        assert "Longer than 30 cm" in page
        assert 'value="tall"' in page
        assert "Button front." in page
        assert not Pattern.objects.exists()

    def test_a_chart_of_another_studio_cannot_be_chosen(self, cast):
        theirs = make_chart(cast.other_studio)
        assert self.new(cast, chart=theirs.pk).status_code == 422

    def test_without_a_chart_the_pattern_is_shown_first(self, cast):
        response = self.new(cast)
        assert response.url == reverse("pattern", args=[Pattern.objects.get().ref])
        asked = signed_in(cast.designer).get(reverse("version_new", args=[Pattern.objects.get().ref]), follow=True)
        assert "Choose the size chart first" in asked.content.decode()

    def test_a_change_is_written_and_versions_keep_their_chart(self, cast, version):
        other = make_chart(cast.studio, name="Another chart")
        address = reverse("pattern_edit", args=[version.pattern.ref])
        signed_in(cast.designer).post(address, {**GIVEN, "name": "Pebblewick", "chart": other.pk, "free_at": []})
        version.refresh_from_db()
        assert (version.pattern.name, version.pattern.chart, version.pattern.free_at) == ("Pebblewick", other, [])
        assert version.body_chart.chart != other


def test_the_patterns_page_tells_what_it_is_drafted_for(cast, chart):
    pattern = make_pattern(cast.studio, cast.owner, chart=chart, free_at=["hip", "bust"], height=cm("163"))
    version = make_version(pattern, chart, cast.owner, what_changed="Longer bodice.")
    page = signed_in(cast.reviewer).get(reverse("pattern", args=[pattern.ref])).content.decode()
    for piece in ("Pebblewick shirt 0.9 is in draft.", "163.0 cm", "hip, bust", "Longer bodice.", version.ref):
        assert piece in page
    assert reverse("pattern_edit", args=[pattern.ref]) not in page
