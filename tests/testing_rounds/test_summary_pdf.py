"""The fit-issue summary read back from its PDF: what stands on it, and what must not."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from typing import Any

import pikepdf
import pytest
from django.core.management import call_command
from django.db import transaction

from people.models import ConsentKind, Person
from releases.paper import PAPERS
from testing_rounds.actions.decisions import decide
from testing_rounds.actions.round_files import import_round
from testing_rounds.actions.visits import give_consent, withdraw_consent
from testing_rounds.evidence import weigh
from testing_rounds.models import FitReport, Place, Round, StoredReading
from testing_rounds.summary_document import summary_pdf
from tests.factories import make_studio
from tests.pdf_reading import ReadPdf, read_pdf
from tests.testing_rounds.rounds import BACK, BUST, a_report, a_round

pytestmark = pytest.mark.django_db

CHARTS = ("version__pattern__studio", "version__body_chart__chart", "version__finished_chart__chart")
WHY = "The waist of size 18 was traced from the old block; it is drawn anew between 16 and 20."


def the_round(**which: Any) -> Round:
    return Round.objects.select_related(*CHARTS).get(**which or {"version__pattern__name": "Pebblewick"})


def pictures(content: bytes) -> int:
    """How many different photos (JPEG) the file holds."""
    with pikepdf.open(io.BytesIO(content)) as pdf:
        return sum(
            str(one.get("/Subtype", "")) == "/Image" and "/DCTDecode" in repr(one.get("/Filter"))
            for one in pdf.objects
            if isinstance(one, pikepdf.Stream)
        )


def links(content: bytes) -> list[str]:
    """The addresses outside the file that it leads to."""
    with pikepdf.open(io.BytesIO(content)) as pdf:
        notes = [note for page in pdf.pages for note in page.get("/Annots", [])]
        return [str(note.A.URI) for note in notes if "/A" in note and "/URI" in note.A]


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker: Any) -> Any:
    """The demo's round with a decision, and one tester in size 18 who may be quoted; on both papers."""
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("demo", stdout=io.StringIO())
        found = the_round()
        by = Person.objects.get(name="Kwabena Lissak")
        decide(evidence=weigh(found), zone="waist", direction=-1, kind="one_size", words=WHY, fixed_in=None, by=by)
        report = FitReport.objects.filter(size="18", submitted_at__isnull=False).select_related("place").first()
        report.words = f"{report.place.name} again: I can close it, but not sit down in it."
        report.save()
        give_consent(place=report.place, kind=ConsentKind.QUOTE)
        silent = FitReport.objects.filter(size="24", submitted_at__isnull=False).first()
        silent.words = "Nobody may read this outside the studio."
        silent.save()
        made = {key: summary_pdf(found, paper) for key, paper in PAPERS.items()}
        yield {"contents": made, "read": {key: read_pdf(content) for key, content in made.items()}, "quoted": report}
        transaction.set_rollback(True)


def plain(pdf: ReadPdf) -> str:
    return " ".join(pdf.text.split())


@pytest.mark.parametrize(("paper", "points"), [("a4", (595.28, 841.89)), ("letter", (612, 792))])
def test_every_page_is_the_paper_that_was_chosen(demo, paper, points):
    pages = demo["read"][paper].pages
    assert len(pages) >= 5
    for page in pages:
        assert page == pytest.approx(points, abs=0.1)
    assert "The back length is short" in " ".join(demo["read"][paper].texts[0].split()), "the first page says it"


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_tagged_titled_and_brings_its_fonts(demo, paper):
    pdf = demo["read"][paper]
    assert (pdf.marked, pdf.conformance, pdf.language) == (True, "1", "en")
    assert pdf.title == "Pebblewick 0.9, Round 1: fit summary"
    assert not pdf.fonts_not_embedded
    assert {name.partition("-")[0] for name in pdf.fonts} == {"Archivo", "Piazzolla"}
    assert f"page 1 of {len(pdf.pages)}" in plain(pdf)


def test_the_bookmarks_are_its_parts_in_order(demo):
    titles = [title for level, title in demo["read"]["a4"].bookmarks if level <= 2]
    assert titles == [
        "Two things still to decide, one decided, and two sizes need more reports.",
        "Every size, every zone",
        "1. The back length is short in the whole range",
        "2. The upper arm is tight towards the large sizes: 18 to 24",
        "3. The waist is tight in size 18 alone",
        "Size by size",
        "Set aside, with the reason",
        "Notes on the steps",
        "What is not known yet",
    ]


def test_readings_counts_and_decisions_stand_on_it(demo):
    said = plain(demo["read"]["letter"])
    for sentence in (
        "23 of 25 short over all sizes.",
        "11 of 12 tight in 18 to 24; 0 of 15 in the other sizes.",
        "3 of 3 tight in 18; 0 of 20 in the other sizes.",
        "Alike in every size: look at the draft.",
        "Strength: all but certain, 99 %.",
        "Testers’ range, 90 %:",
        "Open: nobody has decided.",
        WHY,
        "Kwabena Lissak",
        "12 of 29 testers",
        "Size 10 needs one more report at the bust.",
        "The test square reads 97.5 mm",
    ):
        assert sentence in said, sentence


def test_the_table_of_a_reading_has_both_units(demo):
    tables = demo["read"]["a4"].tables
    waist = next(table for table in tables if "Chart, waist" in table[0])
    asked = ("Size", "Reports say", "Changes asked for", "Testers’ estimate, 90 %")
    assert waist[0] == (*asked, "Chart, waist", "Finished", "Step", "Ease")
    row = next(row for row in waist if row[0] == "18")
    assert row[1] == "3 of 3 tight"
    assert row[2] == "+2.5 + 1"
    assert re.fullmatch(r"\+\d(\.\d)? cm \(.*\); \+\d(\.\d)? to \+\d(\.\d)? cm", row[3]), row[3]
    assert row[4] == "88.0 34 5/8"


def test_every_size_and_zone_is_in_the_first_table(demo):
    matrix = demo["read"]["a4"].tables[0]
    assert matrix[0][1:11] == ("6", "8", "10", "12", "14", "16", "18", "20", "22", "24")
    assert [row[0].partition(" Larger")[0] for row in matrix[2:4]] == [
        "Back length short or long",
        "Upper arm tight or loose",
    ]
    assert len(matrix) == 2 + 14


@pytest.mark.parametrize("paper", PAPERS)
def test_no_tester_is_named(demo, paper):
    said = demo["read"][paper].text
    for place in Place.objects.all():
        assert place.name not in said
        assert place.email not in said
    assert "T01" in said


def test_only_words_that_may_be_quoted_are_quoted(demo):
    said = plain(demo["read"]["a4"])
    assert "(a tester) again: I can close it, but not sit down in it." in said
    assert "I can close the button at the waist" in said
    assert "Nobody may read this" not in said
    assert "they may not be quoted" in said


def test_a_permission_taken_back_takes_the_photo_and_the_words_out(demo):
    before = pictures(demo["contents"]["a4"])
    place = demo["quoted"].place
    withdraw_consent(place=place, kind=ConsentKind.QUOTE)
    for other in Place.objects.all():
        withdraw_consent(place=other, kind=ConsentKind.PHOTOS)
    content = summary_pdf(the_round(), PAPERS["a4"])
    said = plain(read_pdf(content))
    assert before > 0
    assert pictures(content) == 0
    assert "not sit down in it" not in said
    assert "I can close the button" not in said
    assert "they may not be shown" in said


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_leads_nowhere_outside_itself(demo, paper):
    assert links(demo["contents"][paper]) == []


def test_what_it_shows_is_kept(demo):
    stored = StoredReading.objects.filter(round=the_round()).last()
    assert f"state {stored.revision} of the round" in plain(demo["read"]["a4"])
    assert {one["zone"] for one in stored.readings["toile"]} >= {"back_length", "upper_arm", "waist"}


def imported(**more: Any) -> Round:
    made = import_round(studio=make_studio("Tidemark"), data=replace(a_round([], zones=(BUST, BACK)), **more), by=None)
    return the_round(pk=made.pk)


def test_a_round_without_reports_says_so_on_one_page():
    pdf = read_pdf(summary_pdf(imported(), PAPERS["a4"]))
    assert len(pdf.pages) == 1
    assert "The round closed without a report." in pdf.text
    assert "no report is in yet" in plain(pdf).lower()


def test_two_sizes():
    reports = tuple(a_report(f"T{i}", "6" if i < 3 else "8", {"bust": -1, "back_length": 0}) for i in range(6))
    sizes = {"sizes": ("6", "8"), "body_chart": {}, "finished_chart": {}}
    pdf = read_pdf(summary_pdf(imported(reports=reports, **sizes), PAPERS["letter"]))
    assert "6 of 6 tight" in plain(pdf)
    assert pdf.tables[0][0][1:3] == ("6", "8")


def test_many_sizes_stand_in_groups_and_none_is_lost():
    sizes = tuple(str(2 * i) for i in range(24))
    reports = tuple(a_report(f"T{i}", size, {"bust": 0, "back_length": 0}) for i, size in enumerate(sizes))
    made = imported(reports=reports, sizes=sizes, body_chart={}, finished_chart={})
    pdf = read_pdf(summary_pdf(made, PAPERS["a4"]))
    groups = [table[0][1:] for table in pdf.tables if table[0][0] == "Zone" or table[1][0].startswith("Counted")]
    shown = [size for group in groups for size in group if size in sizes]
    assert shown == list(sizes)
    assert [len([size for size in group if size in sizes]) for group in groups] == [12, 12]
    assert "Every size, every zone: sizes 0 to 22" in [title for _, title in pdf.bookmarks]
