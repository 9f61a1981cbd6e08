"""A chart goes out in both units and comes back as the same chart; no text of it is ever a formula."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.body_measures import BODY_MEASURES
from measurements.chart_draft import ChartDraft
from measurements.chart_export import both_units_csv
from measurements.chart_reading import read_chart_file
from measurements.chart_store import load_table
from measurements.chart_workbook import chart_workbook
from measurements.charts import ChartCell, ChartLine, ChartTable
from tests.factories import chart_table, make_cast, make_chart, signed_in

KINDS = ["csv", "xlsx"]


def exported(table: ChartTable, unit: str, kind: str) -> bytes:
    if kind == "xlsx":
        return chart_workbook(table, unit, BODY_MEASURES)
    return ("\ufeff" + both_units_csv(table, unit, BODY_MEASURES)).encode()


def facts(table: ChartTable) -> tuple[object, ...]:
    return table.sizes, [(line.key, line.label, line.mm) for line in table.lines]


def read(data: bytes) -> ChartDraft:
    return read_chart_file(data)


def test_each_measurement_stands_in_both_units():
    table = chart_table({"bust": ("80", "", "87.63")})
    rows = list(csv.reader(io.StringIO(both_units_csv(table, "cm", BODY_MEASURES))))
    assert rows == [
        ["Measurement (cm)", "10", "12", "14"],
        ["Bust (cm)", "80", "", "87.63"],
        ["Bust (in)", "31.496062", "", "34 1/2"],
    ]


def test_the_workbook_holds_numbers_shown_as_a_tape_has_them():
    table = chart_table({"bust": ("80", "", "87.63")})
    sheet = openpyxl.load_workbook(io.BytesIO(chart_workbook(table, "cm", BODY_MEASURES))).active
    assert [cell.value for cell in sheet[2]] == ["Bust (cm)", 80, None, 87.63]
    assert (sheet["D3"].value, sheet["D3"].number_format) == (34.5, "# ?/2")


NAMES = [("bust", "Bust"), ("waist", "Waist"), ("hip", "Hip"), ("head", "Head"), ("sum_a1", "=SUM(A1)"), ("r", "+r"),
         ("hip_at_20_cm", "Hip at 20 cm"), ("bust_of_ours", "Any name")]  # fmt: skip
LABEL = st.one_of(
    st.sampled_from(["6", "08", "XS", "Size 10", "=1+1", "-2", "+4", "@a", "'x", "3X/4X", "1-2", "20W", "5/8", "M,L"]),
    st.text("abcXYZ0123 =+-@'\"();,", min_size=1, max_size=12).map(lambda text: " ".join(text.split())).filter(bool),
)
INCHES = st.integers(16, 6400).map(lambda n: Decimal(n) / 64 * Decimal("25.4"))
TENTHS = st.integers(10, 30_000).map(lambda n: Decimal(n) / 10)
FINE = st.integers(10**6, 10**9).map(lambda n: Decimal(n).scaleb(-6))


@st.composite
def charts(draw: st.DrawFn) -> ChartTable:
    sizes = draw(st.lists(LABEL, min_size=1, max_size=5, unique_by=str.casefold))
    names = draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=5, unique=True))
    lengths = draw(st.sampled_from([INCHES, TENTHS, FINE]))
    lines = []
    for key, label in names:
        row = draw(st.lists(st.none() | lengths, min_size=len(sizes), max_size=len(sizes)))
        lines.append(ChartLine(key, label, tuple(mm and ChartCell(mm, "as typed", "cm") for mm in row)))
    return ChartTable(tuple(sizes), None, tuple(lines))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("unit", ["cm", "in"])
@settings(derandomize=True, database=None, deadline=None, max_examples=60)
@given(table=charts())
def test_what_goes_out_comes_back(kind, unit, table):
    draft = read(exported(table, unit, kind))
    assert draft.refusal is None
    assert [size.label for size in draft.sizes] == list(table.sizes)
    assert [row.key for row in draft.rows] == [line.key for line in table.lines]
    assert [tuple(cell.mm for cell in row.cells) for row in draft.rows] == [line.mm for line in table.lines]


@pytest.mark.parametrize("kind", KINDS)
def test_a_plain_chart_comes_back_to_the_letter_and_can_be_saved(kind):
    table = chart_table({"bust": ("86.5", "90", "94.25"), "high_bust": ("82", "86", "")})
    draft = read(exported(table, "cm", kind))
    assert draft.obstacles == ()
    assert facts(draft.table()) == facts(table)


@pytest.mark.parametrize("kind", KINDS)
def test_a_text_that_begins_like_a_formula_stays_a_text(kind):
    lines = (ChartLine("cmd", '=cmd|"/c calc"!A1', (ChartCell(Decimal(800), "80", "cm"),)),)
    data = exported(ChartTable(("=1+1",), None, lines), "cm", kind)
    if kind == "xlsx":
        cells = [cell for row in openpyxl.load_workbook(io.BytesIO(data)).active for cell in row]
        assert "f" not in {cell.data_type for cell in cells}
        assert all(cell.quotePrefix for cell in cells if cell.data_type == "s")
    else:
        assert all(
            not cell.startswith("=") for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))) for cell in row
        )
    assert [size.label for size in read(data).sizes] == ["=1+1"]


@pytest.mark.django_db
@pytest.mark.parametrize("kind", KINDS)
def test_the_page_gives_the_file_and_the_check_page_takes_it_back(kind):
    cast = make_cast()
    chart = make_chart(cast.studio, chart_table({"bust": ("34.5", "36", "37.625")}, unit="in"), unit="in")
    client = signed_in(cast.designer)
    name, more = ("chart_xlsx", []) if kind == "xlsx" else ("chart_csv", ["both"])
    file = client.get(reverse(name, args=[chart.ref, 1, *more]))
    assert (
        file["Content-Disposition"]
        == f'attachment; filename="saltmarsh-womens-chart-1{"-both.csv" if more else ".xlsx"}"'
    )
    data = {"way": "file", "file-unit": "", "file-file": SimpleUploadedFile(f"c.{kind}", file.content)}
    page = client.post(reverse("chart_new", args=[cast.studio.ref]), data)
    assert page.context["desk"].table().line("bust").mm == load_table(chart.latest()).line("bust").mm
