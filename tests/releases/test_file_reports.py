"""What the files of a version hold, and whether they agree with it and with one another."""

from __future__ import annotations

import pytest
from django.urls import reverse

from releases.actions import add_file
from releases.jobs import look_again, look_into_file
from releases.models import PatternFile
from releases.pdf.agreement import FileSeen, VersionSays, findings
from releases.pdf.compare import Reprint
from releases.pdf.inspection import look
from releases.pdf.layers import Meaning, PrintList, meaning, print_lists
from releases.pdf_facts import PdfFacts
from tests.factories import signed_in
from tests.releases.drawn import in_mm, pdf_of, saved, tiled, words
from tests.releases.things import run_jobs, upload

SIZES = ("10", "12", "14")


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "store", "base_url": None},
        },
    }


@pytest.mark.parametrize(
    ("name", "means"),
    [
        ("Size 12", Meaning(("12",))),
        ("12", Meaning(("12",))),
        ("sizes 10-14", Meaning(SIZES)),
        ("10, 14", Meaning(("10", "14"))),
        ("View B, size 14", Meaning(("14",), "B")),
        ("view a", Meaning((), "A")),
        ("Size 16", Meaning((), "", "16")),
        ("112", Meaning()),
        ("Text", Meaning()),
        ("seam 1.2 cm", Meaning()),
    ],
)
def test_the_name_of_a_layer_tells_its_sizes(name, means):
    assert meaning(name, SIZES) == means


def test_each_size_prints_what_concerns_it():
    reprint = [Reprint(1, ("",)), Reprint(2, ("Size 12",)), Reprint(4, ("Size 12", "Text"))]
    assert print_lists(reprint, SIZES, ["Size 10", "Size 12", "Text"]) == [
        PrintList(("10", "14"), "", (1, 4)),
        PrintList(("12",), "", (1, 2, 4)),
    ]
    views = [Reprint(1, ("View A, 12",)), Reprint(2, ("View B",))]
    assert print_lists(views, SIZES, ["View A, 12", "View B"]) == [
        PrintList(("12",), "A", (1,)),
        PrintList(SIZES, "B", (2,)),
    ]


def square(side: float = 100, said: str = "version 0.9, 2026-11-25") -> str:
    return in_mm(f"20 20 {side} {side} re S {words(20, 280, said)}")


@pytest.mark.parametrize(
    ("kind", "content", "codes"),
    [
        ("a4", pdf_of(square()), {"font"}),
        ("letter", pdf_of(square()), {"font", "other_sheet"}),
        ("projector", pdf_of(square(), square()), {"font", "in_tiles"}),
        ("a4", pdf_of(square(50)), {"font", "other_square"}),
        ("a4", pdf_of(square(said="version 0.8")), {"font", "other_version"}),
        ("booklet", pdf_of(in_mm("20 20 50 60 re S")), {"no_words"}),
        ("a4", tiled(), {"font", "no_square", "unknown_size", "size_without_layer"}),
    ],
)
def test_a_file_is_held_against_its_version(tmp_path, kind, content, codes):
    version = VersionSays("0.9", ("10", "12", "18"), 100.0)
    told = findings([FileSeen("f", kind, "x.pdf", look(saved(tmp_path, content)))], version)
    assert {finding.says.code for finding in told} == codes


def test_files_are_held_against_one_another(tmp_path):
    files = [
        FileSeen(str(i), kind, f"{kind}.pdf", look(saved(tmp_path, content)))
        for i, (kind, content) in enumerate(
            [
                ("a4", pdf_of(square(), layers=["Size 10", "Size 12"])),
                ("large", pdf_of(square(said="version 0.9, 2026-11-26"), layers=["Size 10"])),
            ]
        )
    ]
    told = [(one.ref, one.says.code) for one in findings(files, VersionSays("0.9", ("10", "12"), 100.0))]
    assert ("1", "other_layers") in told
    assert ("1", "other_date") in told
    assert not {code for ref, code in told if ref == "0"} & {"other_layers", "other_date"}


def add(version, by, content, kind="a4"):
    facts = PdfFacts(((210.0, 297.0),))
    return add_file(version=version, upload=upload(content), name="a.pdf", kind=kind, facts=facts, replaces=None, by=by)


def test_a_worker_looks_at_what_came(cast, version):
    first = add(version, cast.owner, tiled())
    page = reverse("version_files", args=[version.ref])
    client = signed_in(cast.designer)
    assert "It is being looked at." in client.get(page).content.decode()
    run_jobs()
    shown = client.get(page, headers={"HX-Request": "true"}).content.decode()
    assert "hx-get" not in shown
    assert "Size 10, Size 12, Size 14" in shown
    assert "No test square was found in the drawing." in shown
    first.refresh_from_db()
    assert first.found["layers"] == ["Size 10", "Size 12", "Size 14"]


def test_one_content_is_looked_at_once(cast, version, monkeypatch):
    content = tiled()
    add(version, cast.owner, content)
    run_jobs()
    second = add(version, cast.owner, content, kind="projector")
    monkeypatch.setattr("releases.file_facts.inspected", None)
    look_into_file.func(second.ref)
    assert PatternFile.objects.get(pk=second.pk).found["layers"]


def test_a_file_that_was_looked_at_by_an_earlier_method_is_looked_at_again(cast, version):
    made = add(version, cast.owner, tiled())
    run_jobs()
    PatternFile.objects.filter(pk=made.pk).update(found={"method": "earlier"})
    look_again.func()
    run_jobs()
    made.refresh_from_db()
    assert made.found["layers"] == ["Size 10", "Size 12", "Size 14"]


def test_a_file_that_cannot_be_looked_at_says_so(cast, version):
    add(version, cast.owner, b"%PDF-1.7 nothing")
    run_jobs()
    shown = signed_in(cast.designer).get(reverse("version_files", args=[version.ref])).content.decode()
    assert "This PDF is damaged or cut short." in shown
