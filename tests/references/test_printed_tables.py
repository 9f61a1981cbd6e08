"""Published size charts, imported and printed as a PDF, come out to the printed digit.

Sources: data/SOURCES.md (the pattern industry's chart of November 1967; ASTM D5585-11e1, table 1; a metric textbook).
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from measurements.chart_reading import read_chart_file
from measurements.chart_store import add_revision
from measurements.length_display import style_that_keeps
from measurements.models import SizeChart
from releases.models import Version
from tests.factories import Cast, make_cast, signed_in
from tests.pdf_reading import ReadPdf, read_pdf
from tests.releases.things import make_pattern, make_version

DATA = Path(__file__).parent / "data"
INCHES = ["pattern_chart_1967_misses", "pattern_chart_1967_womens", "astm_d5585_11e1"]


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


def published(name: str, delimiter: str = ",") -> list[list[str]]:
    """The lines of the file: sizes first, then a measurement each."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.reader(lines, delimiter=delimiter))[1:]


def version_of(cast: Cast, name: str) -> Version:
    """A version drafted to the published chart, read through the import."""
    draft = read_chart_file((DATA / f"{name}.csv").read_bytes())
    cells = [cell for row in draft.rows for cell in row.cells]
    metric, inches = [[c.mm for c in cells if (c.length.unit == "in") is wanted] for wanted in (False, True)]
    style = style_that_keeps(metric, inches)
    chart = SizeChart.objects.create(
        studio=cast.studio, name=name, unit=draft.unit, cm_step=style.cm_step, inch_parts=style.inch_denominator
    )
    add_revision(chart, draft.table(), by=cast.owner)
    return make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)


def printed(cast: Cast, version: Version, paper: str) -> ReadPdf:
    address = reverse("measurement_tables_pdf", args=[version.ref])
    return read_pdf(signed_in(cast.reviewer).get(address, {"paper": paper}).content)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", INCHES)
def test_an_inch_chart_prints_to_the_digit(cast, name, paper):
    sizes, *lines = published(name)
    pdf = printed(cast, version_of(cast, name), paper)
    head, _body, *rows = (row for table in pdf.tables for row in table)
    assert head[1:] == tuple(sizes[1:])
    assert [row[0] for row in rows] == [line[0] for line in lines]
    assert [[cell.partition(" ")[2] for cell in row[1:]] for row in rows] == [line[1:] for line in lines]


def test_a_metric_chart_prints_to_the_digit(cast):
    sizes, *lines = published("metric_textbook", ";")
    (table,) = printed(cast, version_of(cast, "metric_textbook"), "a4").tables
    assert table[0][1:] == tuple(sizes[1:])
    shown = [[f"{float(cell.split()[0]):g}" for cell in row[1:]] for row in table[2:]]
    assert shown == [[cell.replace(",", ".") for cell in line[1:]] for line in lines]


def test_the_1967_misses_chart_goes_through_the_browsers_own_upload_of_a_garment(cast):
    """The same reader takes finished measurements: the chart read as a garment without any ease."""
    version = version_of(cast, "pattern_chart_1967_misses")
    address = reverse("version_finished", args=[version.ref])
    client = signed_in(cast.designer)
    sheet = SimpleUploadedFile("chart.csv", (DATA / "pattern_chart_1967_misses.csv").read_bytes())
    page = client.post(address, {"do": "read", "file": sheet, "unit": ""})
    rows = page.context["rows"]
    grid = {f"label-{i}": row["label"] for i, row in enumerate(rows)}
    grid |= {f"c{i}.{cell['at']}": cell["text"] for i, row in enumerate(rows) for cell in row["cells"]}
    saved = client.post(address, {"do": "save", "unit": "in", "shown": page.context["grid"].digest, **grid})
    assert saved.status_code == 302
    version.refresh_from_db()
    (table,) = printed(cast, version, "letter").tables
    garment = table[table.index(("Finished garment",)) + 1 : table.index(("Ease",))]
    assert [[cell.partition(" ")[2] for cell in row[1:]] for row in garment] == [
        line[1:] for line in published("pattern_chart_1967_misses")[1:]
    ]
    assert {cell for row in table[table.index(("Ease",)) + 1 :] for cell in row[1:]} == {"0.0 0"}
