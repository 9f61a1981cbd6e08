"""Asking for a summary, waiting for it, reading it; and what becomes of it when a permission is taken back."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django_tasks_db.models import DBTaskResult

from people.models import AuditEntry
from testing_rounds.actions import summaries
from testing_rounds.actions.touch import touch_round
from testing_rounds.actions.visits import withdraw_consent
from testing_rounds.jobs import make_summary
from testing_rounds.models import PhotoState, Summary
from tests.factories import make_cast, signed_in
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}


@pytest.fixture
def cast():
    return make_cast()


@pytest.fixture
def found(cast):
    return make_round(make_version(cast.studio))


@pytest.fixture(autouse=True)
def quick(monkeypatch, settings):
    """The document itself is tested elsewhere; every round is long."""
    settings.PDF_ROWS_AT_ONCE = 0
    told = []

    def summary_pdf(round_, paper, *, tell):
        tell(1)
        told.append(Summary.objects.get().done if Summary.objects.count() == 1 else None)
        return f"%PDF {paper.key} {round_.revision}".encode()

    monkeypatch.setattr("testing_rounds.summary_document.summary_pdf", summary_pdf)
    return told


def page_of(found):
    return reverse("summary", args=[found.ref])


def file_of(asked):
    return reverse("summary_file", args=[asked.ref])


def ask(client, found, paper="a4"):
    response = client.post(page_of(found), {"paper": paper})
    assert response.status_code == 302
    return response["Location"]


def work():
    """Do the jobs that wait, as a worker would, on this test's connection."""
    for job in DBTaskResult.objects.filter(status="READY"):
        import_string(job.task_path).call(*job.args_kwargs["args"])
        DBTaskResult.objects.filter(pk=job.pk).update(status="SUCCESSFUL")


def body(response):
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_a_reviewer_asks_waits_and_reads(cast, found, quick):
    client = signed_in(cast.reviewer)
    address = ask(client, found, "letter")
    page = client.get(address).content.decode()
    assert "The summary on Letter is being made." in page
    assert "It waits for its turn." in page
    assert "Look again" in page
    work()
    assert quick == [1]
    ready = client.get(address, headers=HTMX).content.decode()
    assert "Open the PDF" in ready
    assert "hx-get" not in ready
    assert "<html" not in ready
    response = client.get(address)
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == 'inline; filename="pebblewick_0.9_fit_summary_letter.pdf"'
    assert "no-store" in response["Cache-Control"]
    assert body(response).startswith(b"%PDF letter")


def test_a_waiting_page_is_left_alone_while_nothing_has_changed(cast, found):
    client = signed_in(cast.owner)
    address = ask(client, found)
    assert client.get(address + "?seen=waiting-0", headers=HTMX).status_code == 204
    Summary.objects.update(done=2)
    changed = client.get(address + "?seen=waiting-0", headers=HTMX)
    assert 'value="2"' in changed.content.decode()
    assert "seen=waiting-2" in changed.content.decode()


def test_asked_twice_it_is_one_document_and_one_job(cast, found):
    client = signed_in(cast.owner)
    assert ask(client, found) == ask(client, found)
    assert Summary.objects.count() == DBTaskResult.objects.filter(task_path__endswith="make_summary").count() == 1
    assert AuditEntry.objects.filter(verb="summary_asked").count() == 1
    ask(client, found, "letter")
    assert Summary.objects.count() == 2


def test_run_twice_the_first_file_stands(cast, found):
    ask(signed_in(cast.owner), found)
    work()
    asked = Summary.objects.get()
    late = default_storage.save("summaries/late.pdf", ContentFile(b"%PDF"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(summaries.transaction, "on_commit", lambda do, robust: do())
        summaries.settle(summary=asked, stored=late)
    make_summary.call(asked.ref)
    assert Summary.objects.get().stored == asked.stored
    assert not default_storage.exists(late)


def test_a_newer_report_asks_for_a_newer_summary(cast, found, django_capture_on_commit_callbacks):
    client = signed_in(cast.owner)
    first = ask(client, found)
    work()
    old = Summary.objects.get()
    assert "as it stands now" in client.get(page_of(found)).content.decode()
    touch_round(found.pk)
    page = client.get(page_of(found)).content.decode()
    assert "Made before the newest report or change; make it again." in page
    assert body(client.get(first)).startswith(b"%PDF a4")
    assert ask(client, found) != first
    with django_capture_on_commit_callbacks(execute=True):
        work()
    assert Summary.objects.count() == 1
    assert not default_storage.exists(old.stored)


def test_a_failed_one_says_so_and_is_tried_again(cast, found, monkeypatch):
    client = signed_in(cast.owner)

    def breaks(*_args, **_more):
        raise RuntimeError("no paper")

    with monkeypatch.context() as patch:
        patch.setattr("testing_rounds.summary_document.summary_pdf", breaks)
        address = ask(client, found)
        with pytest.raises(RuntimeError):
            work()
    page = client.get(address).content.decode()
    assert "could not be made" in page
    assert "Try again" in page
    DBTaskResult.objects.all().delete()
    assert ask(client, found) == address
    work()
    assert Summary.objects.get().state == PhotoState.READY


def test_one_that_waits_too_long_may_be_asked_for_again(cast, found):
    client = signed_in(cast.owner)
    address = ask(client, found)
    DBTaskResult.objects.all().delete()
    assert "Try again" not in client.get(address).content.decode()
    Summary.objects.update(made=timezone.now() - timedelta(minutes=3))
    assert "Try again" in client.get(address).content.decode()
    ask(client, found)
    assert DBTaskResult.objects.count() == 1


def test_a_short_one_is_made_at_once(cast, found, settings):
    settings.PDF_ROWS_AT_ONCE = 1000
    client = signed_in(cast.owner)
    assert body(client.get(ask(client, found))).startswith(b"%PDF a4")


def test_a_permission_taken_back_takes_stored_summaries_with_it(cast, found, django_capture_on_commit_callbacks):
    place = with_consents(make_place(found), "photos")
    client = signed_in(cast.owner)
    address = ask(client, found)
    work()
    stored = Summary.objects.get().stored
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_consent(place=place, kind="photos")
    assert client.get(address).status_code == 404
    assert not default_storage.exists(stored)


def test_a_permission_taken_back_while_it_is_made_lets_nothing_through(
    cast, found, monkeypatch, django_capture_on_commit_callbacks
):
    place = with_consents(make_place(found), "photos")

    def meanwhile(*_args, **_more):
        withdraw_consent(place=place, kind="photos")
        return b"%PDF with a photo"

    monkeypatch.setattr("testing_rounds.summary_document.summary_pdf", meanwhile)
    ask(signed_in(cast.owner), found)
    asked = Summary.objects.get()
    with django_capture_on_commit_callbacks(execute=True):
        work()
    assert not Summary.objects.exists()
    assert not default_storage.exists(f"summaries/{cast.studio.ref}/{asked.ref}.pdf")


def test_files_that_nothing_names_are_swept_away(found):
    lost = default_storage.save("summaries/someone/lost.pdf", ContentFile(b"%PDF"))
    assert lost not in summaries.sweep_summaries(timezone.now() - timedelta(days=1))
    assert lost in summaries.sweep_summaries(timezone.now() + timedelta(minutes=1))
    assert not default_storage.exists(lost)


def test_another_studio_finds_nothing(cast, found):
    ask(signed_in(cast.owner), found)
    work()
    stranger = signed_in(cast.outsider)
    assert stranger.get(page_of(found)).status_code == 404
    assert stranger.post(page_of(found), {"paper": "a4"}).status_code == 404
    assert stranger.get(file_of(Summary.objects.get())).status_code == 404
    assert signed_in(cast.owner).get(reverse("summary_file", args=["nothing"])).status_code == 404


def test_a_paper_that_there_is_not_is_a4(cast, found):
    ask(signed_in(cast.owner), found, "papyrus")
    assert Summary.objects.get().paper == "a4"
