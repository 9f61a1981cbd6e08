"""The wording page of a version: findings at their steps, taken, silenced, heard again; the facts as a file."""

from __future__ import annotations

import html
import io
import json
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from weasyprint import HTML

from releases.actions import add_file, write_steps
from releases.booklet_text import steps_of_pages
from releases.models import Material, Notion, Piece, Version, VersionState
from releases.pdf_facts import PdfFacts
from releases.registry import StepNote
from releases.steps_text import read_steps
from releases.wording.facts import read_facts
from releases.wording_facts import version_facts
from releases.wording_page import open_findings, wording_page
from tests.factories import Cast, chart_table, make_cast, make_chart, signed_in
from tests.releases.things import make_pattern, make_version

pytestmark = pytest.mark.django_db
STEPS = """1. Sew the fronts to the backs with 1 cm (5/8 in)
seams. Trim to 3 mm.
2. Hem 2 cm (3/4 in).
3. As in step 9, set in the zip of 35 cm (14 in)."""


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def version(cast) -> Version:
    chart = make_chart(cast.studio, chart_table({"bust": ("88", "92", "96")}))
    made = make_version(make_pattern(cast.studio, cast.owner, chart=chart), chart, cast.owner)
    made.seam_allowance_mm, made.hem_mm = Decimal(10), Decimal(20)
    made.save()
    cloth = Material.objects.create(version=made, number=1, name="Shell")
    for i, name in enumerate(["front", "back", "back facing"], start=1):
        Piece.objects.create(material=cloth, number=i, name=name, count=2)
    Notion.objects.create(version=made, number=1, name="zip", amount="55 cm (21 5/8 in)")
    write_steps(version=made, steps=read_steps(STEPS).steps, by=cast.owner)
    return made


def page_of(client, version: Version) -> str:
    return html.unescape(client.get(reverse("version_wording", args=[version.ref])).content.decode())


def send(cast: Cast, version: Version, **data: str):
    return signed_in(cast.owner).post(reverse("version_wording", args=[version.ref]), data)


def key_of(version: Version, kind: str) -> str:
    return next(one.key for one in wording_page(version).open if one.found.kind == kind)


def test_each_finding_stands_at_its_step_with_what_to_write(cast, version):
    page = page_of(signed_in(cast.reviewer), version)
    first, second, third = (page.partition(f'id="step-{n}"')[2].partition('id="step-')[0] for n in (1, 2, 3))
    assert "1 cm (3/8 in)" in first
    assert "3 mm (1/8 in)" in first
    assert "Line 2 of the step." in first
    assert "finding" not in second
    assert "55 cm (21 5/8 in)" in third
    assert "There is no step 9; the last is 3." in third
    assert "No step sews back facing." in page.partition('id="elsewhere"')[2].partition('id="steps"')[0]
    assert "Write it so" not in page, "a reviewer reads"
    assert "Wording: 5 findings" in html.unescape(
        signed_in(cast.reviewer).get(reverse("version", args=[version.ref])).content.decode()
    )


def test_proposed_words_are_written_into_their_step_alone(cast, version):
    send(cast, version, do="take", finding=key_of(version, "unit"))
    assert version.steps.get(number=1).text.endswith("seams. Trim to 3 mm (1/8 in).")
    assert version.steps.get(number=2).text == "Hem 2 cm (3/4 in)."
    assert open_findings(version) == 4
    assert "not there any more" in html.unescape(
        send(cast, version, do="take", finding="gone").wsgi_request._messages._queued_messages[0].message
    )


def test_words_that_testers_have_stay(cast, version):
    key = key_of(version, "unit")
    Version.objects.update(state=VersionState.IN_TESTING)
    send(cast, version, do="take", finding=key)
    assert "3 mm (1/8 in)" not in version.steps.get(number=1).text


def test_a_finding_is_silenced_with_a_reason_and_heard_again(cast, version):
    key = key_of(version, "zip")
    refused = send(cast, version, do="silence", finding=key, reason=" ")
    assert refused.status_code == 422
    assert "Say why" in html.unescape(refused.content.decode())
    send(cast, version, do="silence", finding=key, reason="It is the pocket's zip.")
    page = page_of(signed_in(cast.owner), version)
    assert "It is the pocket's zip." in page.partition('id="silenced"')[2]
    assert open_findings(version) == 4
    send(cast, version, do="hear", finding=version.silenced_wording.get().ref)
    assert open_findings(version) == 5


def test_only_those_who_edit_may_change_and_strangers_see_nothing(cast, version):
    address = reverse("version_wording", args=[version.ref])
    assert signed_in(cast.reviewer).post(address, {"do": "take"}).status_code == 404
    assert signed_in(cast.outsider).get(address).status_code == 404


def test_notes_of_testers_stand_at_their_step(cast, version, monkeypatch):
    note = StepNote("Wren", "12", "lost", "Which edge is up?", "/reports/x/#steps")
    monkeypatch.setattr("releases.registry._step_notes", [lambda _: {2: [note]}])
    step = page_of(signed_in(cast.owner), version).partition('id="step-2"')[2].partition('id="step-3"')[0]
    assert "Which edge is up?" in step
    assert "Wren, size 12" in step


def test_the_facts_are_a_file_that_reads_back(cast, version):
    answer = signed_in(cast.reviewer).get(reverse("version_wording_facts", args=[version.ref]))
    assert answer["Content-Disposition"].startswith("attachment")
    facts = read_facts(json.loads(answer.content))
    assert facts.lengths == {"seam allowance": 10, "hem": 20, "zip": 550}
    assert facts.sizes == tuple(version.sizes)
    assert [(piece.name, piece.count, piece.fold) for piece in facts.pieces][2] == ("back facing", 2, False)
    assert facts.dialect == "uk"
    assert version_facts(version)["steps"] == 3


def test_steps_are_taken_out_of_the_booklet(cast, version):
    made = io.BytesIO()
    HTML(string="<p>Welcome.</p><p>1. Sew the darts.</p><p>2. Press them.</p><p>3 / 4</p>").write_pdf(made)
    upload = SimpleUploadedFile("booklet.pdf", made.getvalue(), content_type="application/pdf")
    facts = PdfFacts(((210, 297),))
    add_file(
        version=version, kind="booklet", name="booklet.pdf", upload=upload, facts=facts, replaces=None, by=cast.owner
    )
    page = signed_in(cast.owner).get(reverse("version_steps", args=[version.ref]) + "?from=booklet").content.decode()
    typed = html.unescape(page.partition("<textarea")[2].partition(">")[2].partition("</textarea>")[0])
    assert [(step.number, step.text) for step in read_steps(typed).steps] == [(1, "Sew the darts."), (2, "Press them.")]
    assert version.steps.count() == 3, "nothing is saved yet"


def test_words_parted_at_the_end_of_a_line_are_whole_again():
    assert (
        steps_of_pages(["Cover\n1. Sew the interfac-\ning.\nPage 2", "2. Press."])
        == "1. Sew the interfacing.\n2. Press."
    )
    assert steps_of_pages(["No steps here."]) == ""
