"""What a PDF says of itself, and which are refused. Rules and table: docs/algorithms/pdf-facts.md."""

from __future__ import annotations

import zlib
from pathlib import Path

import pikepdf
import pytest

from releases.pdf_child import inspect
from releases.pdf_facts import PdfError, distinct_sizes, paper_of, read_facts
from tests.measurements.tables import worked_table
from tests.releases.things import A4, LETTER, pdf_bytes

LIMITS = {"most_pages": 50, "memory_bytes": 600_000_000, "seconds": 5}


def saved(folder: Path, content: bytes) -> Path:
    path = folder / "some.pdf"
    path.write_bytes(content)
    return path


def refused(path: Path) -> str:
    """The reason, found alike in this process and in the child."""
    with pytest.raises(PdfError) as here:
        read_facts(path, LIMITS["most_pages"])
    with pytest.raises(PdfError) as there:
        inspect(path, **LIMITS)
    assert here.value.code == there.value.code
    return there.value.code


@pytest.mark.parametrize("row", worked_table("pdf-facts.md", "The size of a page"), ids=lambda row: row["mm"])
def test_a_page_is_as_large_as_it_is_seen(tmp_path, row):
    size = tuple(float(side) for side in row["box, points"].split(" x "))
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=size)
        pdf.pages[0].obj.UserUnit = int(row["UserUnit"])
        pdf.pages[0].obj.Rotate = int(row["turned"])
        pdf.save(tmp_path / "some.pdf")
    (found,) = inspect(tmp_path / "some.pdf", **LIMITS).page_mm
    assert " x ".join(f"{side:.1f}" for side in found) == row["mm"]


def test_the_crop_box_is_what_is_printed(tmp_path):
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=(700, 900))
        pdf.pages[0].obj.CropBox = [50, 50, 50 + 612, 50 + 792]
        pdf.save(tmp_path / "some.pdf")
    assert read_facts(tmp_path / "some.pdf").page_mm == ((215.9, 279.4),)


def test_pages_come_in_order(tmp_path):
    facts = inspect(saved(tmp_path, pdf_bytes(A4, LETTER)), **LIMITS)
    assert facts.pages == 2
    assert facts.page_mm == ((210.0, 297.0), (215.9, 279.4))


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"a shirt, not a file", "not_pdf"),
        (b"", "not_pdf"),
        (b"%PDF-1.7\nnothing follows", "broken"),
        (pdf_bytes(A4)[:-120], "broken"),
        (pdf_bytes(), "no_pages"),
        (pdf_bytes(*[A4] * 51), "too_many_pages"),
        (pdf_bytes(A4, encryption=pikepdf.Encryption(owner="toile", user="toile")), "encrypted"),
        (pdf_bytes(A4, encryption=pikepdf.Encryption(owner="toile", user="")), "encrypted"),
    ],
    ids=["text", "empty", "only a header", "cut short", "no pages", "many pages", "password", "restricted"],
)
def test_what_is_no_good_is_refused(tmp_path, content, reason):
    assert refused(saved(tmp_path, content)) == reason


def test_a_script_is_refused(tmp_path):
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=A4)
        pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert('sew')")
        pdf.save(tmp_path / "some.pdf")
    assert refused(tmp_path / "some.pdf") == "script"


def test_opening_at_a_page_is_no_script(tmp_path):
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=A4)
        pdf.Root.OpenAction = pikepdf.Array([pdf.pages[0].obj, pikepdf.Name.Fit])
        pdf.save(tmp_path / "some.pdf")
    assert read_facts(tmp_path / "some.pdf").pages == 1


def test_a_tree_of_pages_that_points_at_itself_is_broken(tmp_path):
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=A4)
        pdf.Root.Pages.Kids = pikepdf.Array([pdf.Root.Pages])
        pdf.save(tmp_path / "some.pdf")
    assert refused(tmp_path / "some.pdf") == "broken"


def test_a_page_without_a_size_is_broken(tmp_path):
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=A4)
        pdf.pages[0].obj.MediaBox = [0, 0, 0, 0]
        pdf.save(tmp_path / "some.pdf")
    assert refused(tmp_path / "some.pdf") == "broken"


def test_content_that_unfolds_to_gigabytes_is_not_unfolded(tmp_path):
    """300 MB of zeros pack into 300 kB; only the page's dictionary is read."""
    pressed = zlib.compressobj(9)
    packed = b"".join(pressed.compress(bytes(1_000_000)) for _ in range(300)) + pressed.flush()
    with pikepdf.new() as pdf:
        pdf.add_blank_page(page_size=A4)
        stream = pikepdf.Stream(pdf, b"")
        stream.write(packed, filter=pikepdf.Name.FlateDecode)
        pdf.pages[0].obj.Contents = stream
        pdf.save(tmp_path / "some.pdf", compress_streams=False)
    assert inspect(tmp_path / "some.pdf", **{**LIMITS, "memory_bytes": 250_000_000}).pages == 1


def test_a_reader_out_of_memory_says_broken_and_harms_nobody(tmp_path):
    with pytest.raises(PdfError, match="broken"):
        inspect(saved(tmp_path, pdf_bytes(A4)), **{**LIMITS, "memory_bytes": 20_000_000})


@pytest.mark.parametrize(
    ("sizes", "paper"),
    [
        ([(210.0, 297.0), (297.0, 210.0)], "a4"),
        ([(209.9, 296.7)], "a4"),
        ([(215.9, 279.4)], "letter"),
        ([(210.0, 297.0), (215.9, 279.4)], None),
        ([(841.0, 1189.0)], "large"),
        ([(210.0, 297.0), (914.4, 1219.2)], "large"),
        ([(148.0, 210.0)], None),
    ],
)
def test_pages_tell_the_paper(sizes, paper):
    assert paper_of(sizes) == paper


def test_sizes_alike_to_a_millimetre_are_one():
    found = distinct_sizes([(210.0, 297.0), (215.9, 279.4), (210.2, 297.1)])
    assert found == (((210.0, 297.0), 2), ((215.9, 279.4), 1))
