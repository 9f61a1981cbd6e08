"""The grade check of a version: body and garment together, and what is declared beside them."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from measurements.chart_store import load_table
from measurements.models import ChartAbout, SilencedFinding
from releases.actions import begin_testing, write_finished
from releases.models import Version
from tests.factories import chart_table, make_cast, make_chart, signed_in
from tests.releases.things import make_pattern, make_version

pytestmark = pytest.mark.django_db
SIZES = ("8", "10", "12", "14", "16", "18")
BODY = {"bust": ("84", "88", "92", "96", "101", "106"), "hip": ("90", "94", "98", "102", "107", "112")}
WORN = {
    "bust": ("90", "94", "98", "102", "105", "112"),
    "back_side": ("30",) * 6,
    "front_side": ("30", "30", "30", "30", "30.5", "30"),
    "sweep": ("106", "110", "114", "118", "123", "128"),
}


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def version(cast) -> Version:
    chart = make_chart(cast.studio, chart_table(BODY, sizes=SIZES), by=cast.designer)
    made = make_version(make_pattern(cast.studio, cast.designer, chart=chart), chart, cast.designer)
    write_finished(version=made, table=chart_table(WORN, sizes=SIZES), unit="cm", by=cast.designer)
    return made


def address(version: Version, name: str = "version_grade") -> str:
    return reverse(name, args=[version.ref])


def told(page: str) -> dict[str, str]:
    return {name: re.search(f'name="{name}" value="([^"]+)"', page)[1] for name in ("finding", "shown")}


def test_ease_is_judged_a_size_and_the_proposal_becomes_the_next_finished_chart(cast, version):
    designer = signed_in(cast.designer)
    page = designer.get(address(version)).text
    assert "16: bust of the garment is 2 cm (13/16 in) too small" in page
    assert "Grade check: 1 finding" in designer.get(reverse("version", args=[version.ref])).text
    done = designer.post(address(version), {**told(page), "do": "take"}, follow=True).text
    assert "the finished measurements are now revision 2" in done
    version.refresh_from_db()
    assert load_table(version.finished_chart).line("bust").cells[4].typed == "107"
    assert "is even" in done


def test_what_was_sewn_stays_as_it_was(cast, version):
    designer = signed_in(cast.designer)
    sent = told(designer.get(address(version)).text)
    begin_testing(version=version, by=cast.designer)
    page = designer.get(address(version)).text
    assert "proposals are taken in the next version" in page
    assert 'value="take"' not in page
    assert "no longer a draft" in designer.post(address(version), {**sent, "do": "take"}, follow=True).text
    assert version.finished_chart.chart.latest().number == 1


def test_a_silenced_finding_of_the_garment_belongs_to_its_chart(cast, version):
    designer = signed_in(cast.designer)
    sent = told(designer.get(address(version)).text)
    assert designer.post(address(version), {**sent, "do": "silence", "reason": ""}).status_code == 422
    page = designer.post(
        address(version), {**sent, "do": "silence", "reason": "Cut close on purpose."}, follow=True
    ).text
    assert "Cut close on purpose." in page
    assert SilencedFinding.objects.get().chart.about == ChartAbout.FINISHED


def test_breaks_of_the_garment_are_declared(cast, version):
    said = {"do": "breaks", "measure": "bust", "sizes": ["16"]}
    page = signed_in(cast.designer).post(address(version), said, follow=True).text
    assert "The breaks are declared." in page
    version.refresh_from_db()
    assert load_table(version.finished_chart).line("bust").breaks == ("16",)


def test_seam_pairs_the_opening_and_the_sewn_base_are_declared_and_held_against(cast, version):
    designer, at = signed_in(cast.designer), address(version, "version_grade_facts")
    said = {
        "opening": "stepped", "foot": "sweep", "pair_0_a": "back_side", "pair_0_b": "front_side", "pair_0_by": "0",
        "gather_0_a": "sweep", "gather_0_b": "bust", "gather_0_by": "1.16", "sewn_bust": "98.5",
    }  # fmt: skip
    page = designer.post(at, said, follow=True).text
    assert "Seam pair" in page
    assert "12: bust is 98 cm (38 9/16 in) in the nest; the base that was sewn measures 98.5 cm" in page
    version.refresh_from_db()
    assert version.grade_facts["pairs"] == [["back_side", "front_side", "0"]]
    shown = designer.get(at).text
    assert 'value="98.5"' in shown
    assert 'value="1.16"' in shown
    copied = make_version(
        version.pattern, version.body_chart.chart, cast.designer, number="1.0", copied=version, copy_finished=True
    )
    assert copied.grade_facts == version.grade_facts


def test_half_a_pair_is_asked_for_beside_its_field_and_nothing_typed_is_lost(cast, version):
    said = {"pair_0_a": "back_side", "pair_1_a": "bust", "pair_1_b": "bust", "pair_0_by": "0.3", "sewn_bust": "wide"}
    page = signed_in(cast.designer).post(address(version, "version_grade_facts"), said)
    assert page.status_code == 422
    for words in ("Choose both measurements.", "not sewn to itself", 'value="0.3"', 'value="wide"'):
        assert words in page.text
    version.refresh_from_db()
    assert version.grade_facts == {}


def test_a_version_without_a_garment_says_what_to_do(cast):
    chart = make_chart(cast.studio)
    bare = make_version(make_pattern(cast.studio, cast.designer, chart=chart), chart, cast.designer)
    designer = signed_in(cast.designer)
    assert "Type the finished measurements" in designer.get(address(bare)).text
    assert "no finished measurements" in designer.get(address(bare, "version_grade_facts")).text
