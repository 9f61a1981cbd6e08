"""Pattern files: taken by their content, kept once, handed only to those who may, gone when nobody names them."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO

import pikepdf
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from people.models import AuditEntry
from releases import files as store
from releases.actions import Refused, begin_testing, remove_file
from releases.models import PatternFile
from tests.factories import make_chart, signed_in
from tests.releases.things import A4, LETTER, make_file, make_pattern, make_version, pdf_bytes, upload


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path, "base_url": None},
        },
    }
    return tmp_path


def address(version):
    return reverse("version_files", args=[version.ref])


@pytest.fixture
def send(cast, version):
    client = signed_in(cast.designer)

    def post(content, kind="a4", name="pebblewick.pdf", replace=""):
        query = f"?replace={replace}" if replace else ""
        return client.post(address(version) + query, {"kind": kind, "file": upload(content, name)}, follow=True)

    return post


def stored(folder) -> list[str]:
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


def test_a_pdf_is_taken_with_its_facts(cast, version, send, own_store):
    page = send(pdf_bytes(A4, A4, LETTER), name="Pebblewick 0.9 A4.pdf").content.decode()
    found = PatternFile.objects.get()
    assert (found.name, found.kind, found.pages) == ("Pebblewick 0.9 A4.pdf", "a4", 3)
    assert found.page_mm == [[210.0, 297.0], [210.0, 297.0], [215.9, 279.4]]
    assert found.by == cast.designer
    assert "Pebblewick 0.9 A4.pdf is here, with 3 pages." in page
    assert "A4 (210 × 297 mm) on 2 pages, Letter (216 × 279 mm) on 1 page" in page
    assert stored(own_store) == [found.digest]
    assert AuditEntry.objects.filter(verb="file_added", object_ref=found.ref).exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\x89PNG\r\n", "This is not a PDF."),
        (pdf_bytes(A4)[:-100], "This PDF is damaged or cut short."),
        (pdf_bytes(A4, encryption=pikepdf.Encryption(owner="o", user="u")), "This PDF is locked."),
        (pdf_bytes(), "This PDF has no pages."),
        (b"", "The submitted file is empty."),
    ],
    ids=["picture", "cut short", "locked", "no pages", "empty"],
)
def test_what_is_no_good_is_refused_with_one_sentence(send, own_store, content, said):
    response = send(content, kind="letter", name="shirt.pdf")
    assert response.status_code == 422
    assert said in response.content.decode()
    assert '<option value="letter" selected>' in response.content.decode()
    assert not PatternFile.objects.exists()
    assert stored(own_store) == []


def test_a_file_beyond_the_limit_is_refused_before_it_is_read(send, settings):
    settings.PATTERN_FILE_BYTES = 100
    assert "This file is larger than 100\xa0bytes." in send(b"x" * 101).content.decode()


def test_many_pages_are_refused_with_the_limit(send, settings):
    settings.PATTERN_FILE_PAGES = 2
    assert "This PDF has more than 2 pages." in send(pdf_bytes(A4, A4, A4)).content.decode()


def test_a_file_too_many_is_refused_and_leaves_nothing(cast, version, send, settings, own_store):
    make_file(version, cast.owner)
    settings.FILES_PER_VERSION = 1
    assert "has so many files already" in send(pdf_bytes(LETTER)).content.decode()
    assert len(stored(own_store)) == 1


def test_pages_that_are_not_what_they_were_said_to_be_are_remarked(send):
    assert "its pages have another size" in send(pdf_bytes(LETTER), kind="a4").content.decode()
    assert "its pages have another size" not in send(pdf_bytes(LETTER), kind="letter").content.decode()
    assert "its pages have another size" not in send(pdf_bytes((2384, 3370)), kind="large").content.decode()


def test_one_content_is_kept_once(cast, version, send, own_store):
    send(pdf_bytes(A4))
    with default_storage.open(PatternFile.objects.get().stored) as kept:
        same = kept.read()
    send(same, name="again.pdf")
    assert PatternFile.objects.count() == 2
    assert len(stored(own_store)) == 1


def test_the_same_content_in_two_studios_is_kept_apart(cast, version, own_store):
    theirs = make_chart(cast.other_studio)
    other = make_version(make_pattern(cast.other_studio, cast.outsider, chart=theirs), theirs, cast.outsider)
    content = pdf_bytes(A4)
    names = {make_file(version, cast.owner, content).stored, make_file(other, cast.outsider, content).stored}
    assert len(names) == 2


def opened(person, found) -> bytes:
    response = signed_in(person).get(reverse("file", args=[found.ref]))
    content = b"".join(response.streaming_content)
    response.close()
    return content


class TestReplacing:
    def test_the_file_before_stays_in_the_history(self, cast, version, send):
        old = make_file(version, cast.owner, name="first.pdf")
        page = send(pdf_bytes(A4, A4), replace=old.ref).content.decode()
        old.refresh_from_db()
        assert old.replaced_at is not None
        assert [found.name for found in version.current_files()] == ["pebblewick.pdf"]
        assert "Replaced files" in page
        assert "first.pdf" in page
        assert opened(cast.reviewer, old)

    def test_the_form_says_what_it_takes_the_place_of(self, cast, version):
        old = make_file(version, cast.owner, kind="letter")
        page = signed_in(cast.owner).get(address(version) + f"?replace={old.ref}").content.decode()
        assert "In the place of pebblewick.pdf" in page
        assert '<option value="letter" selected>' in page

    def test_a_file_of_another_version_cannot_be_replaced_here(self, cast, chart, pattern, version):
        other = make_file(make_version(pattern, chart, cast.owner, number="1.0"), cast.owner)
        assert signed_in(cast.owner).get(address(version) + f"?replace={other.ref}").status_code == 404


class TestHandingOut:
    def test_the_studios_people_get_it_under_a_plain_name(self, cast, version):
        content = pdf_bytes(A4)
        found = make_file(version, cast.owner, content, name="../../évil\r\n.pdf")
        response = signed_in(cast.reviewer).get(reverse("file", args=[found.ref]))
        assert b"".join(response.streaming_content) == content
        response.close()
        assert response["Content-Type"] == "application/pdf"
        assert response["Content-Disposition"] == 'attachment; filename="pebblewick_shirt_0.9_a4.pdf"'
        assert response["X-Content-Type-Options"] == "nosniff"
        assert response["Cache-Control"] == "private, no-store"

    def test_strangers_find_nothing(self, cast, version, client):
        there = reverse("file", args=[make_file(version, cast.owner).ref])
        assert signed_in(cast.outsider).get(there).status_code == 404
        assert client.get(there).status_code == 404
        assert signed_in(cast.owner).post(there).status_code == 405
        assert signed_in(cast.owner).get(reverse("file", args=["nothing"])).status_code == 404


class TestRemoving:
    def ask(self, person, found):
        return signed_in(person).post(reverse("file_remove", args=[found.ref]), follow=True)

    def test_its_content_goes_when_the_change_is_certain(
        self, cast, version, own_store, django_capture_on_commit_callbacks
    ):
        found = make_file(version, cast.owner)
        with django_capture_on_commit_callbacks() as waiting:
            assert "pebblewick.pdf is gone." in self.ask(cast.designer, found).content.decode()
        assert len(stored(own_store)) == 1, "until the transaction ends the file may still be needed"
        for act in waiting:
            act()
        assert stored(own_store) == []

    def test_a_content_that_another_row_names_stays(self, cast, version, own_store, django_capture_on_commit_callbacks):
        content = pdf_bytes(A4)
        first, second = (make_file(version, cast.owner, content) for _ in range(2))
        with django_capture_on_commit_callbacks(execute=True):
            remove_file(found=first, by=cast.owner)
        assert stored(own_store) == [second.digest]

    def test_the_contents_of_a_studio_go_with_it(self, cast, version, own_store, django_capture_on_commit_callbacks):
        make_file(version, cast.owner)
        with django_capture_on_commit_callbacks(execute=True):
            version.pattern.delete()
        assert stored(own_store) == []

    def test_once_sewn_from_it_can_only_be_replaced(self, cast, version):
        found = make_file(version, cast.owner)
        begin_testing(version=version, by=cast.owner)
        assert "Testers may have sewn from this file." in self.ask(cast.designer, found).content.decode()
        with pytest.raises(Refused):
            remove_file(found=found, by=cast.owner)
        assert (
            reverse("file_remove", args=[found.ref]) not in signed_in(cast.owner).get(address(version)).content.decode()
        )

    def test_a_reviewer_and_strangers_remove_nothing(self, cast, version):
        found = make_file(version, cast.owner)
        assert self.ask(cast.reviewer, found).status_code == 404
        assert self.ask(cast.outsider, found).status_code == 404
        assert PatternFile.objects.exists()


def test_a_content_that_vanished_meanwhile_is_stored_again(cast, version, monkeypatch):
    """Between storing and writing the row, another removal took the content."""
    kept = store.keep

    def keep_and_lose(content, **about):
        name = kept(content, **about)
        default_storage.delete(name)
        return name

    monkeypatch.setattr("releases.actions.files.keep", keep_and_lose)
    assert default_storage.exists(make_file(version, cast.owner).stored)


def test_the_sweep_removes_what_no_version_names(cast, version, own_store):
    found = make_file(version, cast.owner)
    default_storage.save(f"files/{cast.studio.ref}/left-behind", ContentFile(b"half a file"))
    out = StringIO()
    call_command("sweep_files", stdout=out)
    assert "0 removed" in out.getvalue(), "a young file may belong to an upload under way"
    assert store.sweep(timezone.now() + timedelta(hours=1)) == [f"files/{cast.studio.ref}/left-behind"]
    assert stored(own_store) == [found.digest]


def test_the_sweep_of_an_empty_store_removes_nothing(db):
    assert store.sweep(timezone.now()) == []
