"""What changed since the version before: files compared by a worker, measurements, pieces, fabric, notions, steps; on a
page and as a document."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone

from releases.actions import write_steps
from releases.file_comparisons import ask_for_comparisons, file_pairs
from releases.models import FileComparison, MadeState, Piece, Version
from releases.pdf_facts import PdfError
from releases.steps_text import ReadStep
from releases.version_changes import line_changes, step_changes
from tests.factories import signed_in
from tests.pdf_reading import read_pdf
from tests.releases.drawn import tiled
from tests.releases.test_file_reports import add
from tests.releases.things import FINISHED, make_version, run_jobs, with_finished


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path, "base_url": None},
        },
    }


@pytest.fixture
def later(cast, chart, pattern, version):
    """The next version, a minute younger."""
    Version.objects.filter(pk=version.pk).update(created=timezone.now() - timedelta(minutes=1))
    return make_version(pattern, chart, cast.owner, number="1.0")


def page(version) -> str:
    return reverse("version_changed", args=[version.ref])


def text(response) -> str:
    return " ".join(response.content.decode().split())


def test_the_first_version_has_nothing_to_be_compared_with(cast, version):
    assert "Version 0.9 is the first" in text(signed_in(cast.reviewer).get(page(version)))


def test_the_pages_to_print_again_by_size(cast, version, later):
    add(version, cast.owner, tiled())
    add(later, cast.owner, tiled(version="1.0", longer={"12": 15.0}, put_in=5))
    client = signed_in(cast.reviewer)
    assert "Not compared yet." in text(client.get(page(later)))
    run_jobs()
    shown = text(client.get(page(later)))
    assert "Since 0.9, 4 pages must be printed again." in shown
    assert '<th scope="row">12</th><td>1–3, 5</td><td class="n">7</td>' in shown
    assert '<td>5</td><td class="n">7</td>' in shown
    assert "no reason to print again" in shown
    made = FileComparison.objects.get()
    assert client.get(reverse("changed_page", args=[made.ref, 7])).status_code == 404
    assert signed_in(cast.outsider).get(reverse("changed_page", args=[made.ref, 2])).status_code == 404
    drawn = client.get(reverse("changed_page", args=[made.ref, 2]))
    assert drawn["Content-Type"] == "image/svg+xml"
    assert b"stroke-dasharray" in b"".join(drawn.streaming_content)
    drawn.close()


def test_a_moved_drawing_is_said(cast, version, later):
    add(version, cast.owner, tiled())
    add(later, cast.owner, tiled(shift=(12.0, -7.0)))
    run_jobs()
    shown = text(signed_in(cast.reviewer).get(page(later)))
    assert "The drawing moved on its pages since 0.9: print all of it again." in shown
    assert "1.2 cm to the right, 0.7 cm down" in shown
    assert '<th scope="row">all sizes</th><td>1–6</td>' in shown


def test_two_contents_are_compared_once(cast, version, later):
    add(version, cast.owner, tiled())
    add(later, cast.owner, tiled(put_in=3))
    run_jobs()
    assert ask_for_comparisons(later, again=True) == 0
    (pair,) = file_pairs(later, version)
    assert pair.result is not None
    assert FileComparison.objects.count() == 1


def test_one_that_failed_is_tried_again_when_asked(cast, version, later, monkeypatch):
    def refuse(*_):
        raise PdfError("broken")

    with monkeypatch.context() as patched:
        patched.setattr("releases.file_comparisons.compared", refuse)
        add(version, cast.owner, tiled())
        add(later, cast.owner, tiled(put_in=3))
        run_jobs()
    client = signed_in(cast.designer)
    assert "They could not be compared" in text(client.get(page(later)))
    assert ask_for_comparisons(later) == 0
    client.post(reverse("version_compare", args=[later.ref]))
    run_jobs()
    assert FileComparison.objects.get().state == MadeState.READY


def test_pictures_go_with_their_comparison(cast, version, later, django_capture_on_commit_callbacks):
    add(version, cast.owner, tiled())
    add(later, cast.owner, tiled(longer={"12": 15.0}))
    run_jobs()
    made = FileComparison.objects.get()
    names = list(made.pictures.values())
    assert all(map(default_storage.exists, names))
    with django_capture_on_commit_callbacks(execute=True):
        made.delete()
    assert not any(map(default_storage.exists, names))


@pytest.fixture
def changed_all_round(cast, version, later):
    with_finished(version, cast.owner)
    with_finished(later, cast.owner, FINISHED.replace("64\t64.5\t65", "65.5\t66\t66.5").replace("78", "78.5"))
    steps = ["Sew the shoulders.", "Press open."], ["Stay the neck.", "Sew the shoulders, ends to ends.", "Press open."]
    for one, told in zip((version, later), steps, strict=True):
        write_steps(version=one, steps=[ReadStep(i, said) for i, said in enumerate(told, 1)], by=cast.owner)
    for one, count in ((version, 2), (later, 4)):
        cloth = one.materials.create(number=1, name="Shell")
        piece = Piece.objects.create(material=cloth, number=1, name="Facing", count=count)
        piece.boxes.create(size="12", length_mm=200, length_typed="20", width_mm=Decimal("92.5"), width_typed="9.25")
        cloth.requirements.create(
            size="12", width_mm=1400, content="x", tenths_of_metre=15 + count, eighths_of_yard=11 + 2 * count
        )
    return later


def test_measurements_pieces_fabric_and_steps(cast, changed_all_round):
    shown = text(signed_in(cast.reviewer).get(page(changed_all_round)))
    assert "no page must be printed again; what is said of the pattern changed" in shown
    assert '<th scope="row">Length</th><td>all sizes</td><td class="n">+<span class="num">1.5 cm' in shown
    assert '<th scope="row">Waist</th><td>12</td>' in shown
    assert "4 in pairs, lengthwise, 12: 20 × 9.25 cm" in shown
    assert "1.7 m, 1 7/8 yd" in shown
    assert "shoulders, ends to ends.</ins>" in shown
    assert "Step 1 is new" in shown
    assert "Step 2, was 1" in shown


def test_the_same_as_a_document(cast, changed_all_round):
    response = signed_in(cast.reviewer).get(reverse("version_changed_pdf", args=[changed_all_round.ref]))
    assert response["Content-Type"] == "application/pdf"
    assert "what_changed" in response["Content-Disposition"]
    said = " ".join(read_pdf(response.content).text.split())
    assert "Pebblewick shirt, version 1.0" in said
    assert "Step 1 is new" in said


def test_notions_and_tools_are_compared(cast, version, later):
    for one, amount in ((version, "35 cm"), (later, "40 cm")):
        one.notions.create(number=1, name="Zip", amount=amount)
    later.notions.create(number=2, kind="tool", name="Point turner", optional=True)
    shown = text(signed_in(cast.reviewer).get(page(later)))
    assert "<h2>Notions</h2>" in shown
    assert ">40 cm<" in shown
    assert "<h2>Tools</h2>" in shown
    assert ">optional<" in shown


def test_lines_that_came_and_went():
    old, new = {"Zip": "35 cm", "Thread": "1"}, {"Button": "7", "Thread": "1"}
    assert [(line.what, line.before, line.now) for line in line_changes(old, new)] == [
        ("Button", "", "7"),
        ("Zip", "35 cm", ""),
    ]


def test_a_step_that_only_has_another_number_did_not_change():
    old = [(1, "Stay the neck."), (2, "Press open.")]
    assert step_changes(old, [(1, "Stay  the neck."), (5, "Press open.")]) == []
    (gone,) = step_changes(old, old[1:])
    assert (gone.old, gone.new) == (1, None)
