"""Uploaded files: judged by content, unfolded under a limit, read as a person would have typed them."""

from __future__ import annotations

import datetime as dt
import io
import random
import struct
import zipfile

import openpyxl
import pytest

from measurements.chart_reading import read_chart_file
from measurements.chart_text import ChartError, ChartLimits
from measurements.sheets import file_grids


def workbook(*sheets: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for number, rows in enumerate(sheets):
        sheet = book.create_sheet(f"s{number}")
        for row in rows:
            sheet.append(row)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def rezipped(data: bytes, change: object) -> bytes:
    """The workbook with the bytes of its first sheet passed through `change`."""
    kept = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, change(content) if name.endswith("sheet1.xml") else content)
    return kept.getvalue()


def open_document() -> bytes:
    """A spreadsheet of the other open standard, whatever it is named."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", "<office:document-content/>")
    return kept.getvalue()


CHART = [["Size", 36, 38.0, 40], ["Bust", 86.5, "34 1/2 in", 0.1 + 0.2], ["Waist", 62, None, "66,5"]]


def refusal(data: bytes, limits: ChartLimits = ChartLimits()) -> str:  # noqa: B008
    with pytest.raises(ChartError) as error:
        file_grids(data, limits)
    return error.value.sentence.code


def test_a_size_stays_a_label_and_a_number_loses_the_machines_dust():
    assert file_grids(workbook(CHART)) == (
        (("Size", "36", "38", "40"), ("Bust", "86.5", "34 1/2 in", "0.3"), ("Waist", "62", "", "66,5")),
    )


def test_a_date_is_told_as_the_fraction_it_was():
    draft = read_chart_file(workbook([["Size (in)", 6, 8], ["Bust", 31, dt.datetime(2024, 5, 8)]]))  # noqa: DTZ001
    assert draft.rows[0].cells[1].doubt.code == "date"


def test_a_formula_without_a_saved_result_is_shown_as_one():
    data = workbook([["Size (cm)", 6, 8, 10], ["Bust", 80, "=B2+4", '=HYPERLINK("x")'], ["Waist", 62, 66, 70]])
    (grid,) = file_grids(data)
    assert grid[1] == ("Bust", "80", "=B2+4", '=HYPERLINK("x")')
    draft = read_chart_file(data)
    assert [cell.doubt and cell.doubt.code for cell in draft.rows[0].cells] == [None, "formula", "formula"]
    assert [doubt.code for doubt in draft.obstacles] == ["formula", "formula"]
    assert "“=B2+4” is a formula, not a number." in str(draft.obstacles[0])


def test_a_formula_with_a_saved_result_is_that_result_and_a_fault_stays_visible():
    data = workbook([["Size (cm)", 6, 8], ["Bust", 80, "=B2+4"], ["Waist", 62, "=B3+4"]])

    def calculated(xml: bytes) -> bytes:
        for formula, kind, result in ((b"B2+4", b"", b"84"), (b"B3+4", b' t="e"', b"#REF!")):
            for empty in (b"<v></v>", b"<v />", b"<v/>"):
                cell = b"<f>%b</f>%b</c>" % (formula, empty)
                xml = xml.replace(cell, b"<f>%b</f><v>%b</v></c>" % (formula, result))
            if kind:
                xml = xml.replace(b'r="C3"', b'r="C3"' + kind)
        return xml

    rows = read_chart_file(rezipped(data, calculated)).rows
    assert [row.cells[1].typed for row in rows] == ["84", "#REF!"]
    assert rows[1].cells[1].doubt.code == "unreadable"


def test_a_sheet_of_countless_cells_with_a_formula_is_refused_before_it_is_cut_up():
    data = workbook([["Size", 6], ["Bust", "=B1"]])
    cells = b"<row>" + b"<c />" * 60_000 + b"</row></sheetData>"
    assert refusal(rezipped(data, lambda xml: xml.replace(b"</sheetData>", cells))) == "too_large"


def test_ten_thousand_columns_and_merged_cells_end_in_a_sentence_or_a_chart():
    wide = workbook([["Size", *range(10_000)], ["Bust", *range(10_000)]])
    assert read_chart_file(wide).refusal.code == "too_large"
    book = openpyxl.Workbook()
    for row in (["Women, in cm"], ["Size", 6, 8], ["Bust", 80, 84]):
        book.active.append(row)
    book.active.merge_cells("A1:C1")
    kept = io.BytesIO()
    book.save(kept)
    assert [cell.mm for cell in read_chart_file(kept.getvalue()).rows[0].cells] == [800, 840]


def test_of_several_sheets_the_one_with_the_measurements_is_read():
    notes = [["Read me", "first"], ["made by", "the grader"]]
    draft = read_chart_file(workbook(notes, [["Size", 6, 8], ["Bust", 80, 84], ["Waist", 62, 66]], []))
    assert [row.key for row in draft.rows] == ["bust", "waist"]


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_csv_in_the_codings_that_spreadsheets_write(coding):
    draft = read_chart_file("Size;6;8\nBust;30½;31½\n".encode(coding))
    assert [cell.typed for cell in draft.rows[0].cells] == ["30½", "31½"]


@pytest.mark.parametrize(
    "data",
    [b"PK\x03\x04 not really", workbook(CHART)[:700], b"\xd0\xcf\x11\xe0 an old workbook", b"%PDF-1.7", open_document(),
     b"\x89PNG\r\n", b"\xff\xd8\xff\xe0"],
    ids=["zip", "cut", "old", "pdf", "ods", "png", "jpeg"],
)  # fmt: skip
def test_other_files_are_refused_by_their_content(data):
    assert refusal(data) == "not_a_table"


def test_an_archive_that_is_no_workbook():
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w") as archive:
        archive.writestr("readme.xml", "<a/>")
    assert refusal(kept.getvalue()) == "not_a_table"


def test_an_empty_workbook_has_no_chart():
    assert file_grids(workbook([])) == ()
    assert read_chart_file(workbook([])).refusal.code == "no_chart"


def test_a_file_over_the_limit_is_not_opened():
    assert refusal(workbook(CHART), ChartLimits(most_bytes=100)) == "too_large"


def bomb() -> bytes:
    return rezipped(workbook(CHART), lambda xml: xml.replace(b"<sheetData>", b"<sheetData>" + b" " * 30_000_000))


def test_a_small_file_that_unfolds_to_a_large_one():
    data = bomb()
    assert len(data) < 100_000
    assert refusal(data) == "too_large"


def test_a_file_that_lies_about_its_size_is_never_unfolded_further():
    data = bytearray(bomb())
    at = data.find(b"PK\x01\x02")
    while at != -1:
        if struct.unpack_from("<I", data, at + 24)[0] > 1_000_000:
            struct.pack_into("<I", data, at + 24, 1000)
        at = data.find(b"PK\x01\x02", at + 4)
    assert refusal(bytes(data)) == "not_a_table"


def test_a_cell_at_the_far_corner_is_refused_before_the_sheet_is_laid_out():
    book = openpyxl.Workbook()
    book.active["A1"], book.active["XFD1048576"] = 1, 2
    kept = io.BytesIO()
    book.save(kept)
    assert refusal(kept.getvalue()) == "too_large"
    assert refusal(rezipped(workbook(CHART), lambda xml: xml.replace(b'r="D3"', b"r = 'xfd1048576'"))) == "too_large"


def test_a_sheet_in_another_coding_cannot_hide_its_references():
    def as_utf16(xml: bytes) -> bytes:
        return xml.decode().replace("utf-8", "utf-16").replace('r="D3"', 'r="XFD1048576"').encode("utf-16")

    assert refusal(rezipped(workbook(CHART), as_utf16)) == "not_a_table"


def test_entities_that_multiply_are_not_expanded():
    doctype = b'<!DOCTYPE x [<!ENTITY a "' + b"9" * 1000 + b'"><!ENTITY b "' + b"&a;" * 1000 + b'">]>'

    def with_entities(xml: bytes) -> bytes:
        head, mark, rest = xml.partition(b"<worksheet")
        return head + doctype + mark + rest.replace(b"<v>62</v>", b"<v>" + b"&b;" * 1000 + b"</v>")

    draft = read_chart_file(rezipped(workbook(CHART), with_entities))
    assert all(len(cell.typed) < 200 for row in draft.rows for cell in row.cells)


def test_damaged_workbooks_end_in_a_draft_or_a_sentence():
    """Five hundred workbooks with a part of a sheet cut, doubled or overwritten; the seed is fixed."""
    dice = random.Random(5)
    pieces = [
        b"<",
        b">",
        b'"',
        b"&",
        b"</c>",
        b'r="ZZ99"',
        b't="s"',
        b"<v>99999</v>",
        b"\x00",
        b"\xff",
        b"1e999",
        b"NaN",
    ]

    def damaged(xml: bytes) -> bytes:
        content = bytearray(xml)
        for _ in range(dice.choice([1, 2, 5])):
            at = dice.randrange(len(content))
            content[at : at + dice.randrange(12)] = dice.choice(pieces) * dice.choice([0, 1, 2])
        return bytes(content)

    data = workbook(CHART)
    for _ in range(500):
        draft = read_chart_file(rezipped(data, damaged))
        assert draft.refusal or draft.rows
