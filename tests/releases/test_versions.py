"""A version: begun, changed while it is a draft, pinned once it is sewn."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from measurements.chart_store import add_revision
from people.models import AuditEntry
from releases import registry
from releases.actions import Refused, begin_testing, take_over_chart, write_steps
from releases.forms.versions import next_number
from releases.models import Version, VersionState
from releases.registry import VersionPart
from releases.steps_text import read_steps
from tests.factories import chart_table, signed_in
from tests.releases.things import make_file, with_finished

GIVEN = {"number": "1.0", "sizes": ["10", "12", "14"], "base_size": "12", "test_square": "10", "what_changed": "New."}
PAGES = ("version", "version_edit", "version_finished", "version_steps", "version_files")


def get(person, version, name="version"):
    return signed_in(person).get(reverse(name, args=[version.ref]))


def post(person, version, data, name="version_edit"):
    return signed_in(person).post(reverse(name, args=[version.ref]), data)


def sewn(version: Version, by) -> Version:
    begin_testing(version=version, by=by)
    return version


class TestNew:
    def ask(self, cast, pattern, **fields):
        return signed_in(cast.designer).post(reverse("version_new", args=[pattern.ref]), {**GIVEN, **fields})

    def test_it_pins_the_chart_as_it_stands(self, cast, chart, pattern):
        self.ask(cast, pattern, sizes=["14", "10"], base_size="10")
        made = Version.objects.get()
        assert made.body_chart == chart.latest()
        assert (made.number, made.sizes, made.base_size) == ("1.0", ["10", "14"], "10")
        assert (made.test_square_mm, made.test_square_typed) == (100, "10 cm")
        assert made.state == VersionState.DRAFT
        assert AuditEntry.objects.filter(verb="version_created", object_ref=made.ref).exists()
        add_revision(chart, chart_table({"bust": ("87", "91", "95")}), by=cast.owner)
        made.refresh_from_db()
        assert made.body_chart.number == 1

    def test_the_form_offers_the_charts_sizes_and_its_base(self, cast, pattern):
        page = signed_in(cast.owner).get(reverse("version_new", args=[pattern.ref]))
        assert page.context["form"].initial["sizes"] == ["10", "12", "14"]
        assert page.context["form"].initial["base_size"] == "12"
        assert page.context["form"].initial["number"] == "0.9"

    @pytest.mark.parametrize(
        ("fields", "said"),
        [
            ({"number": ""}, "This field is required."),
            ({"number": "0.9"}, "Pebblewick shirt already has a version 0.9."),
            ({"sizes": []}, "This field is required."),
            ({"sizes": ["11"]}, "Select a valid choice."),
            ({"sizes": ["10"], "base_size": "14"}, "The base size must be one of the version"),
            ({"test_square": "huge"}, "“huge” cannot be read as a length"),
            ({"test_square": "1"}, "Shorter than 2 cm"),
        ],
    )
    def test_what_is_wrong_is_said_and_what_was_typed_stays(self, cast, version, fields, said):
        response = self.ask(cast, version.pattern, what_changed="Kept words.", **fields)
        assert response.status_code == 422
        assert said in response.content.decode()
        assert "Kept words." in response.content.decode()
        assert Version.objects.count() == 1

    def test_it_takes_over_what_is_asked_of_the_version_before(self, cast, version):
        with_finished(version, cast.owner)
        write_steps(version=version, steps=read_steps("1. Cut\n3. Sew").steps, by=cast.owner)
        self.ask(cast, version.pattern, copy_finished="on", copy_steps="on")
        made = Version.objects.get(number="1.0")
        assert made.finished_chart == version.finished_chart
        assert list(made.steps.values_list("number", "text")) == [(1, "Cut"), (3, "Sew")]

    def test_it_takes_over_nothing_that_was_not_asked(self, cast, version):
        with_finished(version, cast.owner)
        self.ask(cast, version.pattern)
        made = Version.objects.get(number="1.0")
        assert made.finished_chart is None
        assert not made.steps.exists()

    def test_measurements_typed_for_the_next_version_leave_the_one_before_alone(self, cast, version):
        with_finished(version, cast.owner)
        before = version.finished_chart
        self.ask(cast, version.pattern, copy_finished="on")
        made = Version.objects.get(number="1.0")
        with_finished(made, cast.owner, "cm\t10\t12\t14\nBust\t95\t99\t103")
        version.refresh_from_db()
        assert version.finished_chart == before
        assert made.finished_chart.chart == before.chart
        assert (before.number, made.finished_chart.number) == (1, 2)

    @pytest.mark.parametrize(("number", "guess"), [("0.8", "0.9"), ("0.9", ""), ("1.0", "1.1"), ("b", ""), ("7", "8")])
    def test_the_next_number_is_guessed_only_where_it_is_plain(self, number, guess):
        assert next_number(number) == guess


class TestChanging:
    def test_all_of_a_draft_may_change(self, cast, version):
        post(cast.designer, version, {**GIVEN, "sizes": ["12", "14"], "test_square": "4 in"})
        version.refresh_from_db()
        assert (version.number, version.sizes, version.what_changed) == ("1.0", ["12", "14"], "New.")
        assert (version.test_square_mm, version.test_square_typed) == (Decimal("101.6"), "4 in")

    def test_once_sewn_only_the_words_change(self, cast, version):
        sewn(version, cast.owner)
        post(cast.designer, version, {**GIVEN, "what_changed": "The hem is explained."})
        version.refresh_from_db()
        assert (version.number, version.sizes) == ("0.9", ["10", "12", "14"])
        assert version.what_changed == "The hem is explained."
        assert "only its words may change" in get(cast.owner, version, "version_edit").content.decode()

    @pytest.mark.parametrize("name", ["version_steps", "version_finished"])
    def test_once_sewn_steps_and_measurements_stay(self, cast, version, name):
        sewn(version, cast.owner)
        page = get(cast.owner, version, name).content.decode()
        assert "stay as they were sewn" in page
        assert "<textarea" not in page
        data = {"text": "1. New", "do": "save", "label-0": "Bust", "c0.0": "90", "unit": "cm"}
        post(cast.owner, version, data, name)
        version.refresh_from_db()
        assert version.finished_chart is None
        assert not version.steps.exists()

    def test_testing_begins_once(self, cast, version):
        sewn(sewn(version, cast.owner), cast.owner)
        assert AuditEntry.objects.filter(verb="testing_begun").count() == 1
        Version.objects.update(state=VersionState.ON_SALE)
        begin_testing(version=version, by=cast.owner)
        version.refresh_from_db()
        assert version.state == VersionState.ON_SALE


class TestNewerChart:
    @pytest.fixture
    def newer(self, cast, chart, version):
        table = chart_table({"bust": ("87", "91", "95")}, sizes=("10", "12", "16"))
        return add_revision(chart, table, by=cast.owner, note="Bust measured again.")

    def test_a_draft_announces_it_and_waits(self, cast, version, newer):
        page = get(cast.owner, version).content.decode()
        assert "has a newer revision, 2" in page
        assert "Bust measured again." in page
        assert "Take it over" in page
        assert "Take it over" not in get(cast.reviewer, version).content.decode()

    def test_taken_over_it_keeps_the_sizes_that_are_left(self, cast, version, newer):
        response = post(cast.designer, version, {}, "version_chart")
        assert response.url == reverse("version", args=[version.ref])
        version.refresh_from_db()
        assert version.body_chart == newer
        assert (version.sizes, version.base_size) == (["10", "12"], "12")
        assert "newer revision" not in get(cast.owner, version).content.decode()

    def test_with_nothing_newer_nothing_happens(self, cast, version):
        assert take_over_chart(version=version, by=cast.owner) is None
        assert not AuditEntry.objects.filter(verb="chart_taken_over").exists()

    def test_once_sewn_the_chart_is_pinned_for_good(self, cast, version, newer):
        sewn(version, cast.owner)
        assert "newer revision" not in get(cast.owner, version).content.decode()
        with pytest.raises(Refused, match="no longer a draft"):
            take_over_chart(version=version, by=cast.owner)
        response = signed_in(cast.owner).post(reverse("version_chart", args=[version.ref]), follow=True)
        assert "no longer a draft" in response.content.decode()
        version.refresh_from_db()
        assert version.body_chart.number == 1


class TestPage:
    def test_it_says_what_is_missing_first(self, cast, version):
        page = get(cast.owner, version)
        assert page.context["headline"] == "Version 0.9 still needs the finished measurements and a file to print."
        assert "Nothing is known of the finished garment." in page.content.decode()

    def test_it_shows_garment_ease_and_body_in_both_systems(self, cast, version):
        with_finished(version, cast.owner)
        make_file(version, cast.owner)
        page = get(cast.reviewer, version)
        assert page.context["headline"] == "Version 0.9 is ready for a round."
        assert [block.key for block in page.context["sheet"].blocks] == ["finished", "ease", "body"]
        body = page.content.decode()
        for piece in ("94.0", "6.0", "10.0 cm", "pebblewick.pdf", "A4 (210 × 297 mm)", "No steps yet."):
            assert piece in body

    def test_a_later_app_adds_its_part(self, cast, version, monkeypatch):
        part = VersionPart(
            "rounds", "releases/step_list.html", lambda request, found: {"steps": [{"number": 7, "text": found.number}]}
        )
        monkeypatch.setattr(registry, "_parts", {"rounds": part})
        page = get(cast.owner, version).content.decode()
        assert '<section id="rounds">' in page
        assert '<span class="no">7</span>' in page

    def test_a_reviewer_is_offered_no_change(self, cast, version):
        page = get(cast.reviewer, version).content.decode()
        for name in ("version_edit", "version_finished", "version_steps", "version_files"):
            assert reverse(name, args=[version.ref]) not in page

    @pytest.mark.parametrize("name", PAGES)
    def test_strangers_find_nothing(self, cast, version, client, name):
        assert get(cast.outsider, version, name).status_code == 404
        assert client.get(reverse(name, args=[version.ref])).status_code == 404

    @pytest.mark.parametrize("name", [*PAGES[1:], "version_chart"])
    def test_a_reviewer_changes_nothing(self, cast, version, name):
        assert post(cast.reviewer, version, GIVEN, name).status_code == 404
        assert post(cast.outsider, version, GIVEN, name).status_code == 404
        assert get(cast.owner, version, "version_chart").status_code == 405


class TestSteps:
    def send(self, cast, version, text, **more):
        return post(cast.designer, version, {"text": text, **more}, "version_steps")

    def test_steps_in_order_are_saved_at_once(self, cast, version):
        response = self.send(cast, version, "1. Cut\n2. Sew\nslowly")
        assert response.url == reverse("version", args=[version.ref])
        assert list(version.steps.values_list("number", "text")) == [(1, "Cut"), (2, "Sew\nslowly")]
        assert "1. Cut\n\n2. Sew\nslowly" in get(cast.owner, version, "version_steps").context["form"].initial["text"]

    def test_odd_numbers_are_shown_before_they_are_saved(self, cast, version):
        shown = self.send(cast, version, "1. Cut\n3. Sew")
        page = shown.content.decode()
        assert "There is no step 2." in page
        assert '<span class="no">3</span>' in page
        assert not version.steps.exists()
        again = shown.context["form"].initial
        assert self.send(cast, version, **again).status_code == 302
        assert list(version.steps.values_list("number", flat=True)) == [1, 3]

    def test_another_text_than_the_one_shown_is_shown_again(self, cast, version):
        again = self.send(cast, version, "1. Cut\n3. Sew").context["form"].initial
        assert self.send(cast, version, "1. Cut\n5. Sew", shown=again["shown"]).status_code == 200
        assert not version.steps.exists()

    def test_too_many_steps_are_refused_and_the_text_stays(self, cast, version, settings):
        settings.STEPS_PER_VERSION = 2
        response = self.send(cast, version, "1. Cut\n2. Sew\n3. Press")
        assert response.status_code == 422
        assert "There are more than 2 steps here." in response.content.decode()
        assert "3. Press" in response.content.decode()

    def test_an_empty_text_takes_the_steps_away(self, cast, version):
        self.send(cast, version, "1. Cut")
        self.send(cast, version, "")
        assert not version.steps.exists()
