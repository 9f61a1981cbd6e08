"""The measurement tables, as a page and as a PDF."""

from __future__ import annotations

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils.module_loading import import_string
from django_tasks_db.models import DBTaskResult

from measurements.chart_reading import read_chart_text
from measurements.chart_store import add_revision
from releases.jobs import make_document
from releases.models import MadeState, MadeTables
from releases.paper import PAPERS
from releases.table_document import tables_pdf
from tests.factories import chart_table, signed_in
from tests.pdf_reading import read_pdf
from tests.releases.things import make_version, with_finished


def address(version, name="measurement_tables_pdf", paper="a4"):
    return reverse(name, args=[version.ref]) + f"?paper={paper}"


def content(response) -> bytes:
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_body_garment_and_ease_stand_in_both_systems(cast, version):
    with_finished(version, cast.owner)
    (table,) = read_pdf(tables_pdf(version, PAPERS["a4"])).tables
    assert table == (
        ("cm / inches", "10", "12", "14"),
        ("Body",),
        ("Bust", "88.0 34 5/8", "92.0 36 1/4", "96.0 37 3/4"),
        ("Waist", "70.0 27 1/2", "74.0 29 1/8", "78.0 30 3/4"),
        ("Hip", "94.0 37", "98.0 38 5/8", "102.0 40 1/8"),
        ("Finished garment",),
        ("Bust", "94.0 37", "98.0 38 5/8", "102.0 40 1/8"),
        ("Waist", "74.0 29 1/8", "78.0 30 3/4", "82.0 32 1/4"),
        ("Length", "64.0 25 1/4", "64.5 25 3/8", "65.0 25 5/8"),
        ("Ease",),
        ("Bust", "6.0 2 3/8", "6.0 2 3/8", "6.0 2 3/8"),
        ("Waist", "4.0 1 5/8", "4.0 1 5/8", "4.0 1 5/8"),
    )


def test_the_document_says_what_it_is(cast, version):
    with_finished(version, cast.owner)
    pdf = read_pdf(tables_pdf(version, PAPERS["letter"]))
    assert pdf.title == "Pebblewick shirt 0.9: measurements"
    assert (pdf.language, pdf.marked, pdf.conformance) == ("en", True, "1")
    assert pdf.pages == ((612, 792),)
    assert [title for _, title in pdf.bookmarks][1:] == ["Body", "Finished garment", "Ease"]
    assert "page 1 of 1" in " ".join(pdf.text.split())
    assert "163.0 cm" in pdf.text
    assert not pdf.fonts_not_embedded


def test_inches_print_as_typed_and_are_not_worked_out_from_centimetres(cast, chart, pattern):
    typed = read_chart_text("inches\t10\t12\t14\nBust\t34 1/8\t35 1/4\t36 3/8")
    add_revision(chart, typed.table("12"), by=cast.owner)
    version = make_version(pattern, chart, cast.owner, number="0.8")
    with_finished(version, cast.owner, "inches\t10\t12\t14\nBust\t37 7/16\t38 9/16\t39 11/16", unit="in")
    (table,) = read_pdf(tables_pdf(version, PAPERS["a4"])).tables
    assert table[2] == ("Bust", "86.5 34 1/8", "89.5 35 1/4", "92.5 36 3/8")
    assert [cell.partition(" ")[2] for cell in table[4][1:]] == ["37 7/16", "38 9/16", "39 11/16"]
    assert [cell.partition(" ")[2] for cell in table[6][1:]] == ["3 5/16"] * 3


def test_only_the_sizes_of_the_version_are_printed(cast, chart, pattern):
    version = make_version(pattern, chart, cast.owner, number="0.8", sizes=["12", "14"])
    (table,) = read_pdf(tables_pdf(version, PAPERS["a4"])).tables
    assert table[0] == ("cm / inches", "12", "14")
    assert table[2][1:] == ("92.0 36 1/4", "96.0 37 3/4")


def test_a_wide_range_is_grouped_a_page_a_unit_system(cast, chart, pattern):
    sizes = tuple(str(2 * i) for i in range(26))
    add_revision(chart, chart_table({"bust": tuple(str(76 + 3 * i) for i in range(26))}, sizes, "20"), by=cast.owner)
    version = make_version(pattern, chart, cast.owner, number="0.8")
    pdf = read_pdf(tables_pdf(version, PAPERS["letter"]))
    assert pdf.pages == ((792, 612),) * 4
    assert [table[0][0] for table in pdf.tables] == ["cm", "cm", "inches", "inches"]
    assert pdf.tables[0][0][1:] + pdf.tables[1][0][1:] == sizes
    assert pdf.tables[1][2] == ("Bust", *(f"{76 + 3 * i:.1f}" for i in range(13, 26)))
    assert [title for level, title in pdf.bookmarks if level == 2] == [
        "Centimetres, sizes 0 to 24",
        "Centimetres, sizes 26 to 50",
        "Inches, sizes 0 to 24",
        "Inches, sizes 26 to 50",
    ]


def test_a_version_without_charts_still_prints_a_page(cast, version):
    version.body_chart = None
    assert "no charts yet" in read_pdf(tables_pdf(version, PAPERS["a4"])).text


@pytest.mark.parametrize(("asked", "width"), [("a4", 595), ("letter", 612), ("papyrus", 595), ("", 595)])
def test_the_paper_is_the_one_asked_for_or_a4(cast, version, asked, width):
    response = signed_in(cast.reviewer).get(address(version, paper=asked))
    assert response["Content-Type"] == "application/pdf"
    assert "no-store" in response["Cache-Control"]
    assert round(read_pdf(response.content).pages[0][0]) == width


@pytest.mark.parametrize("name", ["measurement_tables", "measurement_tables_pdf"])
def test_another_studio_finds_nothing(cast, version, name):
    assert signed_in(cast.outsider).get(address(version, name)).status_code == 404
    assert signed_in(cast.owner).post(address(version, name)).status_code == 405


def test_the_page_shows_what_the_document_prints(cast, version):
    with_finished(version, cast.owner)
    page = signed_in(cast.reviewer).get(address(version, "measurement_tables")).content.decode()
    for piece in ("Finished garment", "92.0", 'class="base">12', "paper=letter"):
        assert piece in page


class TestLong:
    """Tables with more rows than a page may wait for are made by the worker."""

    @pytest.fixture(autouse=True)
    def one_row_at_once(self, settings):
        settings.PDF_ROWS_AT_ONCE = 2

    def work(self):
        """Do the jobs that wait, as a worker would, on this test's connection."""
        for job in DBTaskResult.objects.filter(status="READY"):
            import_string(job.task_path).call(*job.args_kwargs["args"])
            DBTaskResult.objects.filter(pk=job.pk).update(status="SUCCESSFUL")

    def test_it_is_made_once_while_a_page_waits(self, cast, version, django_capture_on_commit_callbacks):
        client = signed_in(cast.reviewer)
        for _ in range(2):
            page = client.get(address(version))
            assert "being made" in page.content.decode()
        waiting = client.get(address(version), headers={"HX-Request": "true"}).content.decode()
        assert 'hx-trigger="every 2s"' in waiting
        assert "<html" not in waiting
        self.work()
        assert "Open the PDF" in client.get(address(version), headers={"HX-Request": "true"}).content.decode()
        assert read_pdf(content(client.get(address(version)))).tables[0][0][0] == "cm / inches"
        assert MadeTables.objects.count() == 1

    def test_run_twice_it_is_written_once(self, cast, version):
        signed_in(cast.owner).get(address(version))
        self.work()
        made = MadeTables.objects.get()
        make_document.call(made.ref)
        assert MadeTables.objects.get().stored == made.stored

    def test_other_tables_make_another_document_and_the_old_one_goes(
        self, cast, version, django_capture_on_commit_callbacks
    ):
        client = signed_in(cast.owner)
        client.get(address(version))
        self.work()
        old = MadeTables.objects.get().stored
        with_finished(version, cast.owner)
        with django_capture_on_commit_callbacks(execute=True):
            assert "being made" in client.get(address(version)).content.decode()
        assert not default_storage.exists(old)
        assert MadeTables.objects.get().state == MadeState.WAITING

    def test_what_failed_is_tried_again_when_asked(self, cast, version):
        client = signed_in(cast.owner)
        client.get(address(version))
        MadeTables.objects.update(state=MadeState.FAILED)
        assert "Try again" in client.get(address(version)).content.decode()
        client.get(address(version) + "&again=1")
        assert MadeTables.objects.get().state == MadeState.WAITING

    def test_another_studio_waits_for_nothing(self, cast, version):
        assert signed_in(cast.outsider).get(address(version)).status_code == 404
        assert not MadeTables.objects.exists()
