"""Long documents to print standard: nothing too small, no row alone, heads again, open in three readers."""

from __future__ import annotations

import ctypes
import io
import shutil
import subprocess

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from measurements.chart_store import add_revision
from releases.paper import PAPERS
from releases.table_document import tables_pdf
from tests.factories import chart_table
from tests.pdf_reading import read_pdf
from tests.releases.things import make_version

SIZES, ROWS, LEAST_PT = 24, 30, 7.5
LABELS = tuple(str(2 * i) for i in range(SIZES))


@pytest.fixture(params=["a4", "letter"])
def document(request, cast, chart, pattern):
    """The tables of a chart of 24 sizes by 30 measurements."""
    rows = {f"measure_{i}": tuple(f"{60 + i + 2.5 * j:.1f}" for j in range(SIZES)) for i in range(ROWS)}
    add_revision(chart, chart_table(rows, LABELS, "20"), by=cast.owner)
    version = make_version(pattern, chart, cast.owner, number="0.8")
    return tables_pdf(version, PAPERS[request.param])


def letter_sizes(page):
    """The type sizes on a page in points, as PDFium reads them; what it adds itself (ends of lines) has none."""
    text = page.get_textpage()
    for i in range(text.count_chars()):
        matrix = pdfium.FS_MATRIX()
        if pdfium.FPDFText_IsGenerated(text, i) or not pdfium.FPDFText_GetMatrix(text, i, ctypes.byref(matrix)):
            continue
        yield pdfium.FPDFText_GetFontSize(text, i) * abs(matrix.d)


@pytest.mark.django_db
def test_a_chart_of_24_sizes_by_30_rows_prints_readable_whole_and_tagged(document):
    read = read_pdf(document)
    # Groups of neighbouring sizes, each with every measurement in its first column, once in each system.
    # A table that goes on over pages has its head on each of them.
    rows: dict[tuple[str, ...], list[str]] = {}
    for head, *body in read.tables:
        rows.setdefault(head, []).extend(row[0] for row in body)
    heads = list(rows)
    assert [size for head in heads for size in head[1:]] == [*LABELS, *LABELS]
    assert [head[0] for head in heads] == ["cm", "cm", "inches", "inches"]
    assert all(names == ["Body", *(f"Measure {i}" for i in range(ROWS))] for names in rows.values())
    assert (read.marked, read.conformance, read.fonts_not_embedded) == (True, "1", frozenset())
    with pypdfium2.PdfDocument(document) as opened:
        pages = [opened[i] for i in range(len(opened))]
        assert min(size for page in pages for size in letter_sizes(page)) >= LEAST_PT
        texts = [page.get_textpage().get_text_bounded() for page in pages]
    for text in texts:
        on_page = sum(f"Measure {i}" in text for i in range(ROWS))
        # No row alone on a page, and the sizes stand above the rows of every page.
        assert on_page >= 2, text
        assert any(" ".join(head[1:4]) in " ".join(text.split()) for head in heads), text
    with pikepdf.open(io.BytesIO(document)) as pdf:
        # qpdf's own check of syntax and structure.
        assert pdf.check_pdf_syntax() == []
        assert not any("/XObject" in page.resources and _pictures(page) for page in pdf.pages)
    poppler = shutil.which("pdftotext")
    if poppler:
        said = subprocess.run([poppler, "-", "-"], input=document, capture_output=True, check=True)
        assert not said.stderr
        assert said.stdout.decode().count("\f") == len(texts)


def _pictures(page):
    return [one for one in page.resources.XObject.values() if str(one.get("/Subtype")) == "/Image"]
