"""With FILE_STORE=s3 the same pages work: files are kept, handed out by the app alone, and gone when deleted."""

from __future__ import annotations

import tarfile
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from config.stores import IN_MEMORY, file_store
from people.backups import write_backup
from people.worker import Worker
from releases.files import sweep
from releases.models import PatternFile
from testing_rounds.actions.nightly import sweep_photos
from testing_rounds.models import Photo, PhotoState
from testing_rounds.photo_links import photo_address
from tests.factories import make_cast, signed_in
from tests.holds.s3 import status_without_a_key
from tests.releases.things import A4, make_file, pdf_bytes
from tests.testing_rounds.pictures import NEEDLES, talkative_jpeg
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("s3")]


def keys(bucket: Any) -> list[str]:
    return sorted(found.key for found in bucket.objects.all())


def content(response: Any) -> bytes:
    return b"".join(response) if response.streaming else response.content


def test_a_photo_is_taken_in_prepared_shown_and_taken_out(s3, settings) -> None:
    settings.NIGHTLY_JOBS = []
    settings.HOURLY_JOBS = []
    place = with_consents(make_place(make_round(make_version(make_cast().studio))))
    phone = arrived(place)
    upload = SimpleUploadedFile("a.jpg", talkative_jpeg(), content_type="image/jpeg")
    phone.post(reverse("test_photos", args=[place.ref]), {"photo": upload, "view": "front"})
    assert len(keys(s3)) == 1
    Worker().run(until_empty=True)
    photo = Photo.objects.get()
    assert photo.state == PhotoState.READY
    assert keys(s3) == sorted([photo.large, photo.small])

    for width in (480, 2048):
        shown = phone.get(photo_address(photo.ref, width))
        assert Image.open(BytesIO(content(shown))).format == "JPEG"
        assert Client().get(photo_address(photo.ref, width)).status_code == 404
    stored = b"".join(found.get()["Body"].read() for found in s3.objects.all())
    assert not [needle for needle in NEEDLES if needle.encode() in stored]

    phone.post(reverse("test_photo", args=[place.ref, photo.ref]), {"what": "remove"})
    assert keys(s3) == []
    assert phone.get(photo_address(photo.ref, 480)).status_code == 404


def test_nothing_in_the_store_is_public(s3, s3_address) -> None:
    name = default_storage.save("photos/a/b.jpg", SimpleUploadedFile("b.jpg", b"picture"))
    assert status_without_a_key(f"{s3_address}/toiles/{name}") == 403
    grants = [grant for found in (s3.Object(name), s3) for grant in found.Acl().grants]
    assert {grant["Grantee"]["Type"] for grant in grants} == {"CanonicalUser"}


def test_a_pattern_file_is_kept_once_and_handed_out_by_the_app(s3) -> None:
    cast = make_cast()
    version = make_version(cast.studio)
    pdf = pdf_bytes(A4, A4)
    first = make_file(version, cast.owner, pdf)
    second = make_file(version, cast.owner, pdf, name="again.pdf", kind="letter")
    assert (first.stored, keys(s3)) == (second.stored, [first.stored])
    owner = signed_in(cast.owner)
    assert content(owner.get(reverse("file", args=[first.ref]))) == pdf
    assert signed_in(cast.outsider).get(reverse("file", args=[first.ref])).status_code == 404


def test_a_file_larger_than_memory_holds_is_handed_out_whole(s3) -> None:
    large = bytes(range(256)) * (IN_MEMORY // 256 + 1000)
    name = default_storage.save("files/x/large", SimpleUploadedFile("large", large))
    with default_storage.open(name) as found:
        assert found.read() == large


def test_a_file_that_is_lost_is_not_found(s3) -> None:
    cast = make_cast()
    found = make_file(make_version(cast.studio), cast.owner)
    s3.objects.all().delete()
    assert signed_in(cast.owner).get(reverse("file", args=[found.ref])).status_code == 404


def test_a_file_goes_with_its_row_and_what_no_row_names_is_swept(s3) -> None:
    cast = make_cast()
    version = make_version(cast.studio)
    found = make_file(version, cast.owner)
    loose = default_storage.save(f"files/{cast.studio.ref}/loose", SimpleUploadedFile("loose", b"left behind"))
    photo = default_storage.save("photos/bcdfghjkmn/loose-incoming", SimpleUploadedFile("loose", b"left behind"))
    tomorrow = timezone.now() + timedelta(days=1)
    assert (sweep(tomorrow), sweep_photos(tomorrow)) == ([loose], [photo])
    assert keys(s3) == [found.stored]
    PatternFile.objects.all().delete()
    assert keys(s3) == []


def test_a_store_without_a_bucket_stops_the_start_by_name(monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("S3_BUCKET", "")
    with pytest.raises(ImproperlyConfigured, match="S3_BUCKET"):
        file_store("s3", tmp_path)


def test_a_backup_holds_what_lies_in_the_store(s3, tmp_path) -> None:
    for name in ("photos/a/b.jpg", "files/x/y", "summaries/z.pdf"):
        default_storage.save(name, SimpleUploadedFile("x", name.encode()))
    write_backup(tmp_path / "b.tar")
    with tarfile.open(tmp_path / "b.tar") as archive:
        kept = {
            name.removeprefix("files/"): archive.extractfile(name).read()
            for name in archive.getnames()
            if name.startswith("files/")
        }
    assert kept == {name: name.encode() for name in keys(s3)}
