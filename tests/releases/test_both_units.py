"""The report of a version: every place where its two printed units do not belong together."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse

from releases.actions import write_steps
from releases.models import Version
from releases.steps_text import read_steps
from tests.factories import Cast, chart_table, make_cast, make_chart, signed_in
from tests.releases.things import make_pattern, make_version

pytestmark = pytest.mark.django_db
STEPS = """1. Sew at 1.5 cm (3/8 in).
2. Hem 2 cm (3/4 in); cut 2 in lining.
3. Trim to 3 mm.
4. 7 mm (1/4 in), then 6 mm (1/4 in)."""


@pytest.fixture
def cast() -> Cast:
    return make_cast()


def version_of(cast: Cast, rows: dict[str, tuple[str, ...]], steps: str = "") -> Version:
    chart = make_chart(cast.studio, chart_table(rows))
    version = make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)
    if steps:
        write_steps(version=version, steps=read_steps(steps).steps, by=cast.owner)
    return version


def page_of(cast: Cast, version: Version) -> str:
    return html.unescape(signed_in(cast.reviewer).get(reverse("version_units", args=[version.ref])).content.decode())


def test_each_wrong_place_is_listed_with_what_to_write(cast):
    page = page_of(cast, version_of(cast, {"bust": ("88", "92", "96")}, STEPS))
    assert "In 2 places version 0.9 prints two units that do not belong together." in page
    for place, printed, proposed in [
        ("Step 1", "1.5 cm (3/8 in)", "1.5 cm (5/8 in)"),
        ("Step 3", "3 mm", "3 mm (1/8 in)"),
        ("Step 4", "7 mm (1/4 in)", "6 mm (1/4 in)"),
    ]:
        row = page[page.index(f'<th scope="row">{place}</th>') :].partition("</tr>")[0]
        assert printed in row
        assert proposed in row
    assert '<th scope="row">Step 2</th>' not in page


def test_a_table_that_is_rounded_too_far_is_listed_with_the_finer_numbers(cast):
    page = page_of(cast, version_of(cast, {"bust": ("88", "92", "96"), "upper_arm": ("27.24", "29", "30.2")}))
    row = page[page.index("Body, Upper arm, size 10") :].partition("</tr>")[0]
    assert "27 cm (10 3/4 in)" in row, "272.4 mm, shown as 270 beside 273.05"
    assert "27.2 cm (10 3/4 in)" in row


def test_where_all_agrees_the_page_says_so(cast):
    page = page_of(cast, version_of(cast, {"bust": ("88", "92", "96")}))
    assert "Both units agree wherever version 0.9 prints them." in page
    assert "4 lengths are printed in both units" in page, "three of the chart, and the test square"
