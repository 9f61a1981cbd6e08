"""The grade check of a chart on its page: findings in place, proposals taken, findings silenced, breaks declared."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from measurements.chart_store import load_table
from measurements.models import SilencedFinding
from people.models import AuditEntry
from tests.factories import chart_table, make_cast, make_chart, signed_in

pytestmark = pytest.mark.django_db
SIZES = ("8", "10", "12", "14", "16", "18")
ROWS = {"bust": ("84", "88", "94", "96", "100", "104"), "waist": ("66", "70", "74", "78", "83", "88")}


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def chart(cast):
    return make_chart(cast.studio, chart_table(ROWS, sizes=SIZES), by=cast.designer)


def address(chart) -> str:
    return reverse("chart_grade", args=[chart.ref])


def told(page: str) -> dict[str, str]:
    """The first finding as its forms send it."""
    return {name: re.search(f'name="{name}" value="([^"]+)"', page)[1] for name in ("finding", "shown")}


def test_a_slip_stands_in_the_list_in_the_table_and_on_the_charts_own_page(cast, chart):
    designer = signed_in(cast.designer)
    page = designer.get(address(chart)).text
    assert "12: bust is 2 cm (13/16 in) too large" in page
    assert page.count('class="found"') == 1
    assert "The grade check has 1 finding." in designer.get(reverse("chart", args=[chart.ref])).text


def test_one_click_takes_the_proposal_as_the_next_revision(cast, chart):
    designer = signed_in(cast.designer)
    sent = told(designer.get(address(chart)).text)
    page = designer.post(address(chart), {**sent, "do": "take"}, follow=True).text
    assert "the chart is now revision 2" in page
    latest = chart.latest()
    assert load_table(latest).line("bust").cells[2].typed == "92"
    assert (latest.by, latest.note) == (cast.designer, "Grade check: bust, 12")
    assert AuditEntry.objects.filter(verb="chart_edited", actor_ref=cast.designer.ref).count() == 1
    assert "is even" in page


def test_a_proposal_that_the_chart_has_outrun_is_not_written(cast, chart):
    designer = signed_in(cast.designer)
    sent = told(designer.get(address(chart)).text)
    page = designer.post(address(chart), {**sent, "shown": "another", "do": "take"}, follow=True).text
    assert "so has the proposal" in page
    assert "does not stand any more" in designer.post(address(chart), {"finding": "x", "do": "take"}, follow=True).text
    assert chart.latest().number == 1


def test_a_finding_is_silenced_with_a_reason_that_stays_on_record(cast, chart):
    designer = signed_in(cast.designer)
    sent = told(designer.get(address(chart)).text)
    refused = designer.post(address(chart), {**sent, "do": "silence", "reason": "  "})
    assert (refused.status_code, "Say why" in refused.text) == (422, True)
    page = designer.post(address(chart), {**sent, "do": "silence", "reason": "A fuller cup from 12."}, follow=True).text
    assert "is even" in page
    assert "A fuller cup from 12." in page
    again = designer.post(address(chart), {**sent, "do": "hear"}, follow=True).text
    assert "one thing to look at" in again
    kept = SilencedFinding.objects.get()
    assert (kept.reason, kept.by, kept.lifted_by, kept.sizes) == (
        "A fuller cup from 12.",
        cast.designer,
        cast.designer,
        ["12"],
    )
    verbs = AuditEntry.objects.filter(object_ref=kept.ref).values_list("verb", flat=True)
    assert sorted(verbs) == ["finding_heard", "finding_silenced"]


def test_a_break_is_declared_row_by_row(cast, chart):
    designer = signed_in(cast.designer)
    page = designer.post(
        address(chart), {"do": "breaks", "measure": "waist", "sizes": ["16", "8", "nonsense"]}, follow=True
    )
    assert "The breaks are declared." in page.text
    assert load_table(chart.latest()).line("waist").breaks == ("16",)
    same = designer.post(address(chart), {"do": "breaks", "measure": "waist", "sizes": ["16"]}, follow=True)
    assert "Nothing had changed." in same.text


def test_a_reviewer_reads_and_does_not_write_and_strangers_find_nothing(cast, chart):
    reviewer = signed_in(cast.reviewer)
    page = reviewer.get(address(chart))
    assert (page.status_code, 'name="do"' in page.text) == (200, False)
    assert reviewer.post(address(chart), {"do": "breaks"}).status_code == 404
    assert signed_in(cast.outsider).get(address(chart)).status_code == 404


def test_a_chart_of_one_size_and_an_empty_chart_have_their_page(cast):
    for table in (chart_table({"bust": ("88",)}, sizes=("12",)), chart_table({"bust": ("", "", "")})):
        chart = make_chart(cast.studio, table, name=f"Chart of {len(table.sizes)}")
        assert signed_in(cast.designer).get(address(chart)).status_code == 200
