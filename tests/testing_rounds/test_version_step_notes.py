"""What testers noted at a step stands beside it on the version's wording page."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse
from django.utils import timezone

from testing_rounds.models import NoteKind, StepNote
from tests.factories import join, make_chart, make_person, make_studio, signed_in
from tests.testing_rounds.testers import make_place, make_round, make_version


@pytest.mark.django_db
def test_notes_of_sent_reports_stand_at_their_step():
    studio, owner = make_studio(), make_person()
    join(studio, owner, "owner")
    make_chart(studio)
    version = make_version(studio)
    version.steps.get_or_create(number=2, defaults={"text": "Set the sleeve."})
    round_ = make_round(version)
    for alias, text, sent in (("T1", "Which notch?", timezone.now()), ("T2", "Not sent yet.", None)):
        place = make_place(round_, alias=alias, name=alias, email=f"{alias}@saltmarsh.example")
        report = place.reports.create(version=version, size="12", submitted_at=sent)
        StepNote.objects.create(report=report, step=2, kind=NoteKind.LOST, text=text)

    page = html.unescape(signed_in(owner).get(reverse("version_wording", args=[version.ref])).content.decode())

    step = page.partition('id="step-2"')[2].partition("</li></ol>")[0]
    assert "One note of a tester" in step
    assert "Which notch?" in step
    assert "size 12" in step
    assert "Not sent yet." not in page
