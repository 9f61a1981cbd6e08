"""The files of a tester's version, and the test square before anything is cut."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from releases.models import PatternFile
from testing_rounds.actions.reports import save_fields
from testing_rounds.models import FitReport, Place, PrintCheck
from testing_rounds.print_check import judge
from tests.factories import make_studio
from tests.testing_rounds.testers import arrived, form_of, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def place() -> Place:
    return with_consents(make_place(make_round(make_version(make_studio()))))


@pytest.fixture
def phone(place):
    return arrived(place)


def put_file(place: Place, kind: str = "a4", content: bytes = b"%PDF-1.7 test") -> PatternFile:
    version = place.round.version
    stored = default_storage.save(f"files/{version.pattern.studio.ref}/{kind}", ContentFile(content))
    return PatternFile.objects.create(
        version=version, kind=kind, name=f"{kind}.pdf", digest=kind, stored=stored, size_bytes=len(content), pages=12
    )


def read(place: Place, across: str, down: str = "", unit: str = "cm"):
    return save_fields(place=place, fields={"print.across": across, "print.down": down}, unit=unit)


def page_of(phone, place) -> str:
    return phone.get(f"/test/{place.ref}/print/").content.decode()


def test_the_tester_downloads_the_files_of_the_version(phone, place):
    a4 = put_file(place)
    assert f"/test/{place.ref}/files/{a4.ref}/" in page_of(phone, place)
    answer = phone.get(f"/test/{place.ref}/files/{a4.ref}/")
    assert b"".join(answer.streaming_content) == b"%PDF-1.7 test"
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Cache-Control"] == "private, no-store"
    assert "attachment" in answer["Content-Disposition"]


def test_the_files_of_the_testers_paper_stand_first(phone, place):
    put_file(place, "a4")
    put_file(place, "letter")
    put_file(place, "booklet")
    page = page_of(phone, place)
    assert page.index("A4 pages</b>") < page.index("Instruction booklet") < page.index("Files for other paper")
    assert page.index("Files for other paper") < page.index("Letter pages</b>")


def test_a_file_of_another_version_or_for_another_tester_is_not_there(phone, place):
    own = put_file(place)
    other_place = make_place(make_round(make_version(make_studio("Quillpoint"))))
    other = put_file(other_place)
    assert phone.get(f"/test/{place.ref}/files/{other.ref}/").status_code == 404
    assert phone.get(f"/test/{other_place.ref}/files/{other.ref}/").status_code == 404
    assert arrived(other_place).get(f"/test/{place.ref}/files/{own.ref}/").status_code == 404


# Fits to paper, and their percentages: tests/references/test_print_arithmetic.py.
@pytest.mark.parametrize(
    ("across", "down", "unit", "said"),
    [
        ("10", "10", "cm", "Good to cut."),
        ("10", "", "cm", "Now the other direction"),
        ("100 mm", "10.04", "cm", "Good to cut."),
        ("9.95", "10.02", "cm", "the paper slipped a little"),
        ("9.93", "9.93", "cm", "Good to cut, as far as this can tell."),
        ("9.87", "9.9", "cm", "it may be off"),
        ("9.73", "9.73", "cm", "Please do not cut yet."),
        ("9.73", "", "cm", "Please do not cut yet."),
        ("3.94", "3.94", "cm", "it would be right in inches"),
        ("10", "10", "in", "it would be right in centimetres"),
        ("100", "100", "cm", "it would be right in millimetres"),
        ("25", "25", "cm", "no printer is off by that much"),
        ("4", "4", "in", "exactly the size of the square in the other system"),
    ],
)
def test_what_the_square_says(phone, place, across, down, unit, said):
    save_fields(place=place, fields={"units": unit})
    read(place, across, down, unit)
    assert said in page_of(phone, place)


def test_the_likely_cause_and_what_it_does_to_a_girth_are_said(phone, place):
    read(place, "9.73", "9.73")
    page = page_of(phone, place)
    assert "Your print is at 97.3 %" in page
    assert "The bust of your size 18, meant to be" in page
    assert 'too small by <b><span class="num">3.0 cm' in page
    assert "It looks like a page made for Letter, fitted to A4." in page


def test_a_square_too_small_cannot_prove_a_hundredth(phone):
    place = with_consents(make_place(make_round(make_version(make_studio(), square="50"))))
    read(place, "5", "5")
    assert "This square is too small to tell." in page_of(arrived(place), place)


def test_without_a_square_from_the_studio_what_was_read_is_kept(phone):
    place = with_consents(make_place(make_round(make_version(make_studio(), square=None))))
    read(place, "10", "10")
    assert "The studio has not said yet how large the square is." in page_of(arrived(place), place)
    assert PrintCheck.objects.get().across_mm == Decimal(100)


def test_the_report_takes_the_reading_that_is_further_off(place):
    read(place, "9.98", "9.7")
    save_fields(place=place, fields={"fit.waist": "-1"})
    report = FitReport.objects.get()
    assert (report.test_square_mm, report.file_kind) == (Decimal(97), "a4")
    read(place, "10", "10")
    assert FitReport.objects.get().test_square_mm == Decimal(100)


def test_a_mix_up_of_units_is_not_counted_against_the_print(place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    read(place, "3.94", "3.94")
    assert FitReport.objects.get().test_square_mm is None


def test_a_new_print_is_read_anew_and_the_newest_counts(phone, place):
    save_fields(place=place, fields={"fit.waist": "-1"})
    read(place, "9.73", "9.73")
    phone.post(f"/test/{place.ref}/print/again/")
    assert form_of(phone.get(f"/test/{place.ref}/print/"))["print.across"] == ""
    assert FitReport.objects.get().test_square_mm is None
    read(place, "10", "10")
    assert [check.across_typed for check in PrintCheck.objects.all()] == ["9.73", "10"]
    assert FitReport.objects.get().test_square_mm == Decimal(100)
    assert "1 earlier print is kept beside it." in page_of(phone, place)


def test_asking_twice_for_a_new_print_makes_one(phone, place):
    read(place, "9.73", "9.73")
    for _ in range(2):
        phone.post(f"/test/{place.ref}/print/again/")
    assert PrintCheck.objects.count() == 2


def test_nothing_is_cut_before_it_holds_unless_the_tester_says_so(phone, place):
    read(place, "9.73", "9.73")
    hub = phone.get(f"/test/{place.ref}/").content.decode()
    assert "do not cut yet" in hub
    save_fields(place=place, fields={"print.cut_anyway": "yes"})
    assert "a note is missing" in phone.get(f"/test/{place.ref}/").content.decode()
    assert "Please say what you did about it." in phone.get(f"/test/{place.ref}/fit/").content.decode()
    save_fields(place=place, fields={"print.note": "evened out by hand"})
    assert "Please say what you did about it." not in phone.get(f"/test/{place.ref}/fit/").content.decode()
    check = PrintCheck.objects.get()
    assert (check.cut_anyway, check.note) == (True, "evened out by hand")
    assert "cut anyway" in phone.get(f"/test/{place.ref}/").content.decode()


def test_three_prints_alike_are_the_file_and_two_are_not(phone, place):
    for n in range(2):
        assert "it is the file" not in page_of(phone, place)
        other = make_place(place.round, alias=f"T{n + 2}", email=f"t{n}@quillpoint.example")
        read(other, "9.73", "9.74")
        read(place, "9.72", "9.73")
    assert "3 testers read the same off this file, you among them: it is the file" in page_of(phone, place)


def test_before_the_square_is_read_the_form_asks_for_it_and_keeps_nothing_back(phone, place):
    assert "Please read the test square first" in phone.get(f"/test/{place.ref}/fit/").content.decode()
    read(place, "10", "10")
    assert "Please read the test square first" not in phone.get(f"/test/{place.ref}/fit/").content.decode()


def test_the_pages_of_the_testers_sizes_are_named(phone, place):
    file = put_file(place)
    drawn = [["Size 10"], ["Size 12", "Size 18"], [], ["Size 18"], ["Size 16"]]
    pages = [{"number": n, "layers": layers, "blank": not layers} for n, layers in enumerate(drawn, 1)]
    PatternFile.objects.filter(pk=file.pk).update(pages=5, found={"pages": pages})
    assert "For size 18 print pages <b>1–2, 4–5</b>." in page_of(phone, place)
    save_fields(place=place, fields={"size": "12", "size.waist": "16"})
    assert "For size 12, 16 print pages <b>1–2, 5</b>." in page_of(phone, place)


def test_a_print_from_other_paper_is_told_to_the_report(place):
    save_fields(place=place, fields={"paper": "letter", "fit.waist": "0"})
    read(place, "10", "10")
    assert PrintCheck.objects.get().file_kind == "letter"
    assert FitReport.objects.get().file_kind == "letter"


def test_nothing_read_is_nothing_said():
    assert judge(None, Decimal(100)).state == "unread"
    assert judge(PrintCheck(), Decimal(100)).state == "unread"


def test_the_tester_reads_the_booklet_on_their_paper_and_sees_the_pictures_of_its_steps(phone, place):
    version = place.round.version
    small = default_storage.save("steps/small.jpg", ContentFile(b"jpeg"))
    version.steps_shown.create(number=2, small=small, picture=small, picture_says="Both necks, stay-stitched.")
    Place.objects.update(paper="letter")
    assert f"/test/{place.ref}/booklet.pdf" in page_of(phone, place)
    assert "Your booklet on Letter is being made." in phone.get(f"/test/{place.ref}/booklet.pdf").content.decode()
    assert version.made_tables.get().paper == "letter"
    picture = f"/test/{place.ref}/steps/2/picture/"
    assert picture in phone.get(f"/test/{place.ref}/steps/2/").content.decode()
    assert b"".join(phone.get(picture).streaming_content) == b"jpeg"
    assert phone.get(f"/test/{place.ref}/steps/1/picture/").status_code == 404
    version.steps.all().delete()
    assert phone.get(f"/test/{place.ref}/booklet.pdf").status_code == 404


def test_a_finished_garment_is_not_asked_again_for_a_print_that_was_good(phone, place):
    read(place, "10", "10")
    home = f"/test/{place.ref}.finished/"
    assert "if you printed again" in phone.get(home).content.decode()
    assert "read the test square first" not in phone.get(f"{home}fit/").content.decode()
    read(place, "9.7", "9.7")
    assert "if you printed again" not in phone.get(home).content.decode()
    assert "read the test square first" in phone.get(f"{home}fit/").content.decode()
