"""The booklet of a version: its parts, what stands beside steps, and the PDF made of them."""

from __future__ import annotations

import io

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from releases.actions.steps import write_steps
from releases.booklet import amount, clock, drawings, paired, step_lines
from releases.layouts import lay_all
from releases.models import MadeTables, StepShown, Version
from releases.steps_text import ReadStep
from tests.factories import signed_in
from tests.pdf_reading import read_pdf
from tests.releases.test_fabric import BOXES, list_rows, material, with_pieces
from tests.releases.things import cm, make_version, run_jobs

pytestmark = pytest.mark.django_db
STEPS = ("Join the shoulders.", "Fuse the facings.", "Set the sleeves.")


@pytest.fixture
def sewn(cast, version):
    write_steps(version=version, steps=[ReadStep(i, text) for i, text in enumerate(STEPS, start=1)], by=cast.designer)
    return version


def at(name, version, *more):
    return reverse(name, args=[version.ref, *more])


def photo():
    out = io.BytesIO()
    picture = Image.new("RGB", (60, 40), "#e0e8f8")
    exif = picture.getexif()
    exif[0x010F] = "Maker of the camera"
    picture.save(out, "JPEG", exif=exif)
    return SimpleUploadedFile("step.jpg", out.getvalue(), content_type="image/jpeg")


def typed(**fields):
    return {"suits": "Cotton lawn", "seam_allowance": "1", "notion-0-name": "Zip", "notion-0-amount": "55 cm", **fields}


def beside(client, version, number, **fields):
    return client.post(at("version_booklet_step", version, number), {"picture_says": "A sleeve", **fields})


def test_the_parts_are_typed_saved_and_shown_in_both_units(cast, sewn):
    client = signed_in(cast.designer)
    sent = typed(**{"tool-0-name": "Rotary cutter", "tool-0-optional": "on"})

    assert client.post(at("version_booklet", sewn), sent).status_code == 302

    sewn.refresh_from_db()
    assert (sewn.seam_allowance_mm, sewn.seam_allowance_typed) == (10, "1 cm")
    rows = sewn.notions.values_list("kind", "name", "amount", "optional")
    assert list(rows) == [("notion", "Zip", "55 cm", False), ("tool", "Rotary cutter", "", True)]
    page = signed_in(cast.reviewer).get(at("version_booklet", sewn)).content.decode()
    for words in ("Cotton lawn", "1 cm (3/8 in)", "55 cm (21 5/8 in)", "optional", "Test the iron on a scrap first"):
        assert words in page
    assert "<form method" not in page.partition("<main")[2]


def test_a_row_without_a_name_keeps_all_that_was_typed(cast, sewn):
    answer = signed_in(cast.designer).post(at("version_booklet", sewn), typed(**{"notion-1-amount": "3 m"}))

    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Name it, or empty the row." in page
    assert 'value="3 m"' in page
    assert not sewn.notions.exists()


def test_a_drawing_lists_each_piece_that_it_yields(cast, version):
    rows = [*list_rows(version), *list_rows(version, "Lining", {"sleeve": ("pair", 2, "28 x 36")})]
    lining = material("Lining", kind="lining", widths=[cm("140")])
    with_pieces(version, cast.designer, rows, [material(), lining])
    line = next(one for d in drawings(version) for one in d.lines if one.piece.material.name == "Lining")
    facing = next(one for d in drawings(version) if d.name == "front facing" for one in d.lines)
    sent = {f"piece-{line.key}-differs": "2 cm shorter", f"piece-{facing.key}-drawing": "lower front"}

    signed_in(cast.designer).post(at("version_booklet", version), sent)

    found = {d.name: [(one.piece.name, one.how, one.differs) for one in d.lines] for d in drawings(version)}
    assert found["sleeve"] == [("sleeve", "cut 2 in pairs", ""), ("sleeve", "cut 2 in pairs", "2 cm shorter")]
    assert [name for name, *_ in found["lower front"]] == ["lower front", "front facing"]
    assert "front facing" not in found


def test_a_picture_is_written_anew_and_a_lesson_begins_at_its_mark(cast, sewn):
    client = signed_in(cast.designer)
    lesson = {"lesson_url": "https://lessons.example/sleeve", "lesson_seconds": "4:05"}

    assert beside(client, sewn, 3, picture=photo(), **lesson).status_code == 302

    shown = sewn.steps_shown.get()
    (_, _, line) = step_lines(sewn)
    assert (line.lesson, line.at) == ("https://lessons.example/sleeve#t=245", "4:05")
    picture = client.get(reverse("step_picture", args=[shown.ref]))
    content = b"".join(picture.streaming_content)
    assert b"Maker of the camera" not in content
    assert Image.open(io.BytesIO(content)).size == (60, 40)
    assert signed_in(cast.outsider).get(reverse("step_picture", args=[shown.ref])).status_code == 404


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"picture": SimpleUploadedFile("a.jpg", b"no picture")}, "not a photo that can be read"),
        ({"lesson_url": "https://lessons.example/a", "lesson_seconds": "4 minutes"}, "Write minutes and seconds"),
        ({"lesson_seconds": "4:05"}, "needs the address"),
        ({"lesson_url": "javascript:alert(1)"}, "valid URL"),
    ],
)
def test_what_cannot_stand_beside_a_step_gets_its_sentence(cast, sewn, fields, says):
    answer = beside(signed_in(cast.designer), sewn, 1, **fields)

    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not sewn.steps_shown.exists()


def test_pictures_follow_their_steps_to_new_numbers(cast, sewn, django_capture_on_commit_callbacks):
    client = signed_in(cast.designer)
    beside(client, sewn, 1, picture=photo())
    beside(client, sewn, 3, picture=photo(), lesson_url="https://lessons.example/sleeve")
    gone = sewn.steps_shown.get(number=1).picture

    texts = ["Set the sleeves.", "Fuse the facings."]
    with django_capture_on_commit_callbacks(execute=True):
        write_steps(version=sewn, steps=[ReadStep(i, t) for i, t in enumerate(texts, start=1)], by=cast.designer)

    assert [(one.number, one.lesson_url) for one in sewn.steps_shown.all()] == [(1, "https://lessons.example/sleeve")]
    assert not default_storage.exists(gone)


def test_the_next_version_takes_the_booklet_over(cast, sewn, pattern, chart, django_capture_on_commit_callbacks):
    client = signed_in(cast.designer)
    client.post(at("version_booklet", sewn), typed())
    beside(client, sewn, 3, picture=photo())
    sewn.refresh_from_db()
    copy = {"number": "1.0", "copy_finished": True, "copy_steps": True}

    made = make_version(pattern, chart, cast.designer, copied=sewn, **copy)

    assert (made.suits, made.seam_allowance_mm, made.notions.get().name) == ("Cotton lawn", 10, "Zip")
    stored = made.steps_shown.get().picture
    with django_capture_on_commit_callbacks(execute=True):
        Version.objects.filter(pk=sewn.pk).delete()
    assert default_storage.exists(stored)
    with django_capture_on_commit_callbacks(execute=True):
        StepShown.objects.all().delete()
    assert not default_storage.exists(stored)


def test_the_booklet_is_put_together_by_a_worker(cast, sewn):
    with_pieces(sewn, cast.designer, list_rows(sewn, boxes=dict(list(BOXES.items())[:2])))
    lay_all(sewn.ref)
    client = signed_in(cast.designer)
    client.post(at("version_booklet", sewn), typed())
    beside(client, sewn, 3, picture=photo(), lesson_url="https://lessons.example/s", lesson_seconds="4:05")
    address = at("version_booklet_pdf", sewn) + "?paper=letter"

    assert "is being made" in client.get(address).content.decode()
    MadeTables.objects.update(pages_done=7)
    waiting = client.get(address, headers={"HX-Request": "true"}).content.decode()
    assert "7 pages are laid out" in waiting
    run_jobs()
    read = read_pdf(b"".join(client.get(address).streaming_content))

    text = " ".join(read.text.split())
    for words in ("Cotton lawn", "Zip: 55 cm (21 5/8 in)", "1 cm (3/8 in)", "cut 2 in pairs", "Set the sleeves",
                  "Lesson from 4:05", "Test the iron on a scrap first", "Layouts", "Bust"):  # fmt: skip
        assert words in text, words
    assert (read.marked, read.conformance, read.pages[0]) == (True, "1", (612, 792))
    # The same words are the same document; other words are another.
    assert b"".join(client.get(address).streaming_content).startswith(b"%PDF")
    client.post(at("version_booklet", sewn), typed(suits="Linen"))
    assert "is being made" in client.get(address).content.decode()


def test_all_layouts_are_one_document_made_in_the_background(cast, version, settings):
    settings.LAYOUTS_AT_ONCE = 2
    with_pieces(version, cast.designer, list_rows(version, boxes=dict(list(BOXES.items())[:2])))
    lay_all(version.ref)
    client = signed_in(cast.reviewer)

    assert "document of their own" in read_pdf(client.get(at("version_fabric_pdf", version)).content).text
    address = at("version_fabric_pdf", version) + "?every=1&paper=a4"
    assert "layouts of every size on A4" in client.get(address).content.decode()
    run_jobs()
    text = read_pdf(b"".join(client.get(address).streaming_content)).text
    assert all(f"size {size}" in text for size in version.sizes)


def test_lengths_get_their_partner_and_seconds_a_clock():
    assert [amount(text) for text in ("7", "3/8 in elastic", "20 cm (7 7/8 in)")] == [
        "7",
        "3/8 in (1 cm) elastic",
        "20 cm (7 7/8 in)",
    ]
    assert paired(cm("2.5").mm) == "2.5 cm (1 in)"
    assert [clock(n) for n in (5, 245, 3675)] == ["0:05", "4:05", "1:01:15"]
