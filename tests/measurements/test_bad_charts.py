"""Bad input: a sentence beside it, nothing lost, never a failure; through the reading, and through the page."""

from __future__ import annotations

import html
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.chart_draft import ChartDraft
from measurements.chart_reading import read_chart_rows, read_chart_text
from tests.factories import Cast, make_cast, signed_in
from tests.measurements.test_sheets import bomb, workbook

BAD = {
    "NaN": "unreadable", "inf": "unreadable", "-84": "negative", "1e9": "unreadable", "999999999": "too_long",
    "large": "unreadable", "10 m": "other_unit", "20 m": "implausible", "0": "zero", "=A1": "formula",
    "8/4": "bad_fraction", "84-86": "two_numbers", "84 cm 33 in": "two_units", "2026-05-08": "date",
    "": "no_value", "84 hands": "unknown_unit",
}  # fmt: skip
SIZES = ["6", "8", "10", "12", "14"]
BUST = ["80", "84", "88", "92", "96"]


def read(sizes: list[str], *rows: tuple[str, list[str]]) -> ChartDraft:
    return read_chart_rows(sizes, rows, unit="cm")


@pytest.mark.parametrize(("text", "code"), BAD.items(), ids=repr)
@pytest.mark.parametrize("at", [0, 2, 4])
def test_a_bad_cell_is_told_and_kept_and_its_neighbours_stay(text, code, at):
    row = [*BUST]
    row[at] = text
    (read_row,) = read(SIZES, ("Bust", row)).rows
    assert [cell.typed for cell in read_row.cells] == row
    assert read_row.cells[at].doubt.code == code
    assert str(read_row.cells[at].doubt)
    others = [cell for i, cell in enumerate(read_row.cells) if i != at]
    assert [cell.mm for cell in others] == [Decimal(text) * 10 for i, text in enumerate(BUST) if i != at]
    assert all(cell.doubt is None for cell in others)


def test_one_cell_in_another_unit_is_told():
    (row,) = read(SIZES, ("Bust", ["80", "84", "34 5/8 in", "92", "96"])).rows
    assert [cell.doubt and cell.doubt.code for cell in row.cells] == [None, None, "mixed_units", None, None]


@pytest.mark.parametrize(
    ("sizes", "codes", "stops"),
    [
        (["6", "6", "8"], [None, "same_label", None], True),
        (["s", "S", "M"], [None, "same_label", None], True),
        (["6", "", "8"], [None, "no_label", None], True),
        (["6", "x" * 30, "8"], [None, "long_label", None], True),
        (["6", "8", "10"], [None, None, None], False),
    ],
)
def test_labels_that_cannot_be_told_apart_stop_the_saving(sizes, codes, stops):
    draft = read(sizes, ("Bust", BUST[:3]))
    assert [size.doubt and size.doubt.code for size in draft.sizes] == codes
    assert bool(draft.obstacles) is stops


@pytest.mark.parametrize(
    ("columns", "chart", "cells"),
    [
        (5, [], {}),
        (2, [], {}),
        (1, ["one_size"], {}),
        (-5, ["sizes_turned"], {}),
    ],
    ids=["five", "two", "one", "turned"],
)
def test_few_sizes_and_sizes_the_other_way_round(columns, chart, cells):
    step = 1 if columns > 0 else -1
    sizes, bust = SIZES[::step][: abs(columns)], BUST[::step][: abs(columns)]
    draft = read(sizes, ("Bust", bust))
    assert [doubt.code for doubt in draft.doubts] == chart
    assert {cell.typed: cell.doubt.code for cell in draft.rows[0].cells if cell.doubt} == cells
    assert draft.obstacles == ()


CELL = st.one_of(st.sampled_from([*BAD, *BUST, "34 1/2", "84,5", "840 mm"]), st.text(max_size=10))
LABEL = st.one_of(st.sampled_from(["", "6", "8", "6", "XS", "Size 6", "base"]), st.text(max_size=25))
NAME = st.one_of(st.sampled_from(["", "Bust", "bust", "Waist (in)", "Hip", "Head", "high bust"]), st.text(max_size=15))


@settings(derandomize=True, database=None, deadline=None, max_examples=150)
@given(
    sizes=st.lists(LABEL, max_size=6),
    rows=st.lists(st.tuples(NAME, st.lists(CELL, max_size=6)), max_size=5),
    unit=st.sampled_from(["cm", "in", "mm"]),
)
def test_whatever_is_typed_is_kept_and_either_read_or_told(sizes, rows, unit):
    draft = read_chart_rows(sizes, rows, unit=unit)
    for row in draft.rows:
        for cell in row.cells:
            assert cell.length is not None or (cell.doubt is not None and str(cell.doubt))
            assert cell.mm is None or 0 < cell.mm <= 100_000
    if len(draft.rows) == len(rows):
        for row, (_name, cells) in zip(draft.rows, rows, strict=True):
            kept = [" ".join(text.split()) for text in cells[: len(sizes)]]
            assert [cell.typed for cell in row.cells][: len(kept)] == kept
    if not draft.obstacles:
        assert len(draft.table().sizes) == len(set(draft.table().sizes))


def test_unknown_names_are_told_once_and_not_beside_each_row():
    rows = "\n".join(f"Own {letter}\t{30 + i}\t{31 + i}" for i, letter in enumerate("abcdef"))
    draft = read_chart_text(f"Size (cm)\t6\t8\n{rows}")
    assert [row.doubt for row in draft.rows] == [None] * 6
    assert [doubt.code for doubt in draft.doubts] == ["unknown_measures"]
    assert "Own a; Own b" in str(draft.doubts[0])


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


def sheet(sizes: list[str], rows: list[tuple[str, list[str]]]) -> str:
    lines = ["\t".join(["Size", *sizes]), *("\t".join([name, *cells]) for name, cells in rows)]
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("sizes", "cells", "said"),
    [
        (["6", "8", "10"], ["80", "NaN", "88"], "“NaN” cannot be read as a length."),
        (["6", "8", "10"], ["80", "-84", "88"], "“-84” has a sign."),
        (["6", "8", "10"], ["80", "20 m", "88"], "is unusual for this measurement"),
        (["6", "8", "10"], ["80", "0", "88"], "no measurement of a chart is 0"),
        (["6", "8", "10"], ["80", "1e9", "88"], "“1e9” cannot be read as a length."),
        (["6", "8", "10"], ["80", "=B2+4", "88"], "“=B2+4” is a formula, not a number."),
        (["6", "6", "10"], ["80", "84", "88"], "The size 6 is there twice."),
        (["10", "8", "6"], ["88", "84", "80"], "The sizes run from large to small."),
        (["6"], ["80"], "There is only one size here"),
        (["6", "8"], ["80", "98"], "more than a fifth of the size before"),
    ],
)
def test_the_page_tells_it_and_keeps_what_was_typed(cast, sizes, cells, said):
    data = {"way": "paste", "paste-text": sheet(sizes, [("Bust", cells)]), "paste-unit": "cm"}
    answer = signed_in(cast.designer).post(reverse("chart_new", args=[cast.studio.ref]), data)
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 200
    assert said in page
    for text in cells:
        assert f'value="{text}"' in page


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xd0\xcf\x11\xe0 an old workbook", "This file is no XLSX or CSV table."),
        (b"%PDF-1.7", "This file is no XLSX or CSV table."),
        (b"PK\x03\x04 broken", "This file is no XLSX or CSV table."),
        (bomb(), "This is far more than a size chart."),
        (workbook([["Size", *range(10_000)], ["Bust", *range(10_000)]]), "A chart has at most 60 sizes"),
        (workbook([["Size (cm)", 6, 8], ["Bust", 80, "=B2+4"]]), "“=B2+4” is a formula, not a number."),
    ],
    ids=["xls", "pdf", "broken", "bomb", "wide", "formula"],
)
def test_a_hostile_file_ends_in_a_sentence_on_the_page(cast, content, said):
    data = {"way": "file", "file-unit": "cm", "file-file": SimpleUploadedFile("chart.xlsx", content)}
    answer = signed_in(cast.designer).post(reverse("chart_new", args=[cast.studio.ref]), data)
    assert answer.status_code == 200
    assert said in html.unescape(answer.content.decode())
