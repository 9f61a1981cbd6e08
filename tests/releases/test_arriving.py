"""A file that comes in parts: resumed where the line dropped, taken once, refused like any other."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone

from people.arriving import sweep_arriving, take_part
from releases.models import ArrivingFile, PatternFile
from tests.factories import signed_in
from tests.releases.things import A4, make_file, pdf_bytes

PDF = pdf_bytes(A4, A4)


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    settings.UPLOAD_PART_BYTES = 300
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path, "base_url": None},
        },
    }
    return tmp_path


@pytest.fixture
def client(cast):
    return signed_in(cast.designer)


def begun(client, version, content=PDF, **fields):
    told = {"kind": "a4", "name": "shirt.pdf", "size": len(content), "changed": "17", **fields}
    replace = told.pop("replace", "")
    query = f"?replace={replace}" if replace else ""
    return client.post(reverse("upload_begin", args=[version.ref]) + query, told)


def send(client, where, content, start, length=300):
    part = content[start : start + length]
    return client.post(f"{where}?from={start}", part, content_type="application/octet-stream")


def send_rest(client, told, content=PDF):
    response, at = None, told["received"]
    while at < len(content):
        response = send(client, told["where"], content, at)
        said = response.json()
        if "received" not in said:
            break
        at = said["received"]
    return response


def parts(folder) -> list[str]:
    return [path.name for path in (folder / "arriving").rglob("*") if path.is_file()]


def test_a_file_comes_in_parts(client, version, cast, own_store, django_capture_on_commit_callbacks):
    told = begun(client, version).json()
    assert (told["received"], told["part"]) == (0, 300)
    with django_capture_on_commit_callbacks(execute=True):
        last = send_rest(client, told)
    assert last.json() == {"done": reverse("version_files", args=[version.ref])}
    found = PatternFile.objects.get()
    assert (found.name, found.kind, found.pages, found.by) == ("shirt.pdf", "a4", 2, cast.designer)
    with default_storage.open(found.stored) as kept:
        assert kept.read() == PDF
    assert not ArrivingFile.objects.exists()
    assert parts(own_store) == []
    assert "shirt.pdf is here, with 2 pages." in client.get(last.json()["done"]).content.decode()


def test_it_goes_on_where_the_line_dropped(client, version):
    told = begun(client, version).json()
    send(client, told["where"], PDF, 0)
    assert client.get(told["where"]).json() == {"received": 300}
    again = begun(client, version).json()
    assert (again["where"], again["received"]) == (told["where"], 300)
    assert "done" in send_rest(client, again).json()


def test_a_part_that_comes_twice_or_too_early_is_not_taken(client, version):
    told = begun(client, version).json()
    send(client, told["where"], PDF, 0)
    assert send(client, told["where"], PDF, 0).json() == {"received": 300}
    assert send(client, told["where"], PDF, 600).json() == {"received": 300}
    assert client.post(f"{told['where']}?from=300", b"x" * 301, content_type="application/octet-stream").json() == {
        "received": 300
    }
    assert "done" in send_rest(client, {**told, "received": 300}).json()


def test_two_tabs_with_the_same_part_write_it_once(client, version, own_store):
    begun(client, version)
    one, other = ArrivingFile.objects.get(), ArrivingFile.objects.get()
    assert take_part(one, 0, PDF[:300]) == 300
    assert take_part(other, 0, PDF[:300]) == 300
    assert len(parts(own_store)) == 1


def test_what_is_no_good_is_refused_at_the_end_and_its_parts_go(
    client, version, own_store, django_capture_on_commit_callbacks
):
    content = b"a shirt, not a file"
    with django_capture_on_commit_callbacks(execute=True):
        last = send_rest(client, begun(client, version, content).json(), content)
    assert last.status_code == 422
    assert last.json()["refused"].startswith("This is not a PDF.")
    assert parts(own_store) == []
    assert not PatternFile.objects.exists()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"kind": "poster"}, "Choose a PDF"),
        ({"size": "many"}, "Choose a PDF"),
        ({"size": "0"}, "Choose a PDF"),
        ({"size": "200000001"}, "This file is larger than"),
    ],
)
def test_what_cannot_come_is_refused_at_once(client, version, fields, said):
    response = begun(client, version, **fields)
    assert response.status_code == 422
    assert said in response.json()["refused"]


def test_no_more_than_so_many_at_once(client, version, settings):
    settings.UPLOADS_AT_ONCE = 1
    begun(client, version)
    assert begun(client, version, name="other.pdf").status_code == 422
    assert begun(client, version).status_code == 200


def test_it_takes_the_place_of_another(client, cast, version):
    old = make_file(version, cast.owner)
    send_rest(client, begun(client, version, replace=old.ref).json())
    old.refresh_from_db()
    assert old.replaced_at
    assert version.current_files().count() == 1


def test_stopped_it_leaves_nothing(client, version, own_store, django_capture_on_commit_callbacks):
    told = begun(client, version).json()
    send(client, told["where"], PDF, 0)
    with django_capture_on_commit_callbacks(execute=True):
        client.post(told["where"] + "stop/")
    assert parts(own_store) == []
    assert client.get(told["where"]).status_code == 404


def test_what_nobody_finished_goes_in_the_end(client, version, own_store, django_capture_on_commit_callbacks):
    told = begun(client, version).json()
    send(client, told["where"], PDF, 0)
    assert sweep_arriving(ArrivingFile, timezone.now() - timedelta(hours=1)) == 0
    with django_capture_on_commit_callbacks(execute=True):
        assert sweep_arriving(ArrivingFile, timezone.now() + timedelta(hours=1)) == 1
    assert parts(own_store) == []


def test_others_neither_see_nor_send(client, cast, version):
    told = begun(client, version).json()
    for person in (cast.outsider, cast.reviewer):
        assert signed_in(person).get(told["where"]).status_code == 404
        assert send(signed_in(person), told["where"], PDF, 0).status_code == 404
