"""Hostile pictures through the real upload: none breaks the server, none gets into the store as it came."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Iterator
from io import BytesIO

import pytest
from django.contrib.messages import get_messages
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from testing_rounds.actions.photos import UNPREPARED, make_ready
from testing_rounds.models import Photo, PhotoState, Place
from tests.factories import make_studio
from tests.house.project import ROOT
from tests.testing_rounds.pictures import DATA, png_head, saved, talkative_jpeg, talkative_png, toile
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db

SOUND = {
    "jpeg": talkative_jpeg(),
    "progressive": saved(toile(), "JPEG", progressive=True),
    "png": talkative_png(),
    "webp": saved(toile(), "WEBP"),
    "moving webp": saved(toile(), "WEBP", save_all=True, append_images=[toile()]),
    "moving png": saved(toile(), "PNG", save_all=True, append_images=[toile()]),
    "heic": (DATA / "turned.heic").read_bytes(),
}


def png_chunk(kind: bytes, data: bytes) -> bytes:
    return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")


def png_with(chunk: bytes) -> bytes:
    """A sound PNG with one more chunk right behind its head."""
    sound = saved(toile(), "PNG")
    return sound[:33] + chunk + sound[33:]


def archive() -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        made.writestr("run.html", "<script>alert(1)</script>")
    return out.getvalue()


def looping_notes() -> bytes:
    """A JPEG whose Exif directory names itself as the next one, and as the one with the place."""
    head = b"MM\x00*\x00\x00\x00\x08"
    directory = b"\x00\x01" + b"\x88\x25\x00\x04\x00\x00\x00\x01\x00\x00\x00\x08" + b"\x00\x00\x00\x08"
    return saved(toile(), "JPEG", exif=b"Exif\x00\x00" + head + directory)


BOMB = zlib.compress(b"\x00" * 40_000_000, 9)
CRAFTED = {
    "a bomb in a text": png_with(png_chunk(b"zTXt", b"Comment\x00\x00" + BOMB)),
    "a bomb in a profile": png_with(png_chunk(b"iCCP", b"p\x00\x00" + BOMB)),
    "a bomb of rows": png_head(400, 300, BOMB),
    "wide as a thread": png_head(2_000_000_000, 1, BOMB),
    "no width": png_head(0, 100),
    "a jpeg and an archive": saved(toile(), "JPEG") + archive(),
    "a page in a comment": saved(toile(), "JPEG", comment="<script>alert(1)</script>"),
    "a page first": b"<html><script>alert(1)</script></html>" + saved(toile(), "JPEG"),
    "notes that lead to themselves": looping_notes(),
    "postscript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
    "a drawing that reads files": b'<svg xmlns="http://www.w3.org/2000/svg"><image href="file:///etc/passwd"/></svg>',
    "gif": saved(toile(), "GIF", save_all=True, append_images=[toile()] * 3),
    "tiff": saved(toile().convert("F"), "TIFF"),
    "icon": saved(toile((64, 64)), "ICO"),
    "nothing": b"",
    "one byte": b"\xff",
}


def damaged(seed: int) -> Iterator[tuple[str, bytes]]:
    """Sound pictures cut short, with bytes changed, doubled, or taken out: the same ones every time."""
    chance = random.Random(seed)
    for name, sound in SOUND.items():
        for part in (0.02, 0.3, 0.9, 0.99):
            yield f"{name}, cut at {part}", sound[: int(len(sound) * part)]
        for number in range(12):
            changed = bytearray(sound)
            for _ in range(1 + number):
                changed[chance.randrange(len(changed))] = chance.randrange(256)
            yield f"{name}, changed {number}", bytes(changed)
        at = chance.randrange(len(sound) // 2)
        yield f"{name}, doubled", sound[:at] + sound
        yield f"{name}, a hole", sound[:at] + sound[at + 20 :]


@pytest.fixture
def place() -> Place:
    return with_consents(make_place(make_round(make_version(make_studio()))))


@pytest.fixture
def phone(place: Place) -> Client:
    return arrived(place, raise_request_exception=False)


def send(phone: Client, place: Place, content: bytes, name: str = "a.jpg", kind: str = "image/jpeg") -> Photo | None:
    """Send a picture as the plain form does and let the job prepare it. None: it was refused at the door."""
    before = set(Photo.objects.values_list("ref", flat=True))
    file = SimpleUploadedFile(name, content, content_type=kind)
    phone.cookies.pop("messages", None)
    answer = phone.post(f"/test/{place.ref}/photos/", {"photo": file, "view": "front"})
    assert answer.status_code == 302, answer.status_code
    photo = Photo.objects.exclude(ref__in=before).first()
    assert (photo is None) == bool(list(get_messages(answer.wsgi_request)))
    if photo is not None:
        make_ready(photo.ref)
        photo.refresh_from_db()
        # Every failure is the picture's and has its sentence; none is ours.
        assert photo.state in {PhotoState.READY, PhotoState.FAILED}
        assert photo.trouble != UNPREPARED
    return photo


def assert_clean(photo: Photo) -> None:
    """What is kept is a JPEG of ours: it opens, ends where it ends, and holds nothing but the picture."""
    for name in (photo.large, photo.small):
        with default_storage.open(name) as found:
            content = found.read()
        with Image.open(BytesIO(content)) as picture:
            picture.load()
            assert (picture.format, picture.mode) == ("JPEG", "RGB")
            assert not {"exif", "comment", "icc_profile", "xmp"} & set(picture.info)
        assert content.endswith(b"\xff\xd9")
        assert b"<script" not in content


@pytest.mark.parametrize("content", SOUND.values(), ids=SOUND)
@pytest.mark.parametrize("name", ["a.jpg", "a.exe", "../../a.png", "a.pdf", "ä\u202egpj.html"])
def test_a_sound_picture_is_taken_whatever_it_is_called(phone, place, content, name) -> None:
    photo = send(phone, place, content, name=name, kind="application/pdf")
    assert photo is not None
    assert photo.state == PhotoState.READY
    assert_clean(photo)


@pytest.mark.parametrize("content", CRAFTED.values(), ids=CRAFTED)
def test_a_crafted_file_is_refused_or_made_harmless(phone, place, content) -> None:
    photo = send(phone, place, content)
    if photo is not None and photo.state == PhotoState.READY:
        assert_clean(photo)
    elif photo is not None:
        assert not default_storage.exists(photo.incoming or f"photos/{place.ref}/{photo.ref}-incoming")


@pytest.mark.parametrize("seed", [1, 2])
def test_damage_of_every_kind_is_borne(phone, place, settings, seed) -> None:
    settings.PHOTOS_PER_REPORT = 1000
    for name, content in damaged(seed):
        photo = send(phone, place, content)
        if photo is not None and photo.state == PhotoState.READY:
            assert_clean(photo)
        if ", cut at 0.02" in name or ", cut at 0.3" in name:
            assert photo is None or photo.state == PhotoState.FAILED, name
    assert phone.get(f"/test/{place.ref}/photos/").status_code == 200


MEASURED = """
import json, sys
from io import BytesIO
from lib.bench_memory import peak_bytes
from testing_rounds.photo_work import PhotoError, inspect_photo, make_photo
content = sys.stdin.buffer.read()
before = peak_bytes()
try:
    inspect_photo(BytesIO(content), len(content))
    make_photo(BytesIO(content))
    said = "made"
except PhotoError as error:
    said = error.code
print(json.dumps({"said": said, "grown": peak_bytes() - before}))
"""


def measured(content: bytes) -> dict:
    """What a process of its own says of a picture, and by how much it grew, in bytes."""
    env = {**os.environ, "PYTHONPATH": f"{ROOT}:{ROOT / 'bin'}"}
    command = [sys.executable, "-c", MEASURED]
    done = subprocess.run(command, cwd=ROOT, env=env, input=content, capture_output=True, check=True)
    return json.loads(done.stdout)


LARGE = (8000, 6000)


@pytest.mark.parametrize(
    ("content", "said", "most"),
    [
        (CRAFTED["a bomb in a text"], None, 150_000_000),
        (CRAFTED["a bomb in a profile"], None, 150_000_000),
        (CRAFTED["a bomb of rows"], None, 150_000_000),
        (CRAFTED["wide as a thread"], "too_many_pixels", 150_000_000),
        (png_head(60_000, 60_000), "too_many_pixels", 150_000_000),
        (saved(Image.new("RGB", LARGE, "grey"), "JPEG"), "made", 400_000_000),
        (saved(Image.new("RGB", LARGE, "grey"), "JPEG", progressive=True), "made", 400_000_000),
        (saved(Image.new("RGBA", (4000, 4000), "grey"), "PNG"), "made", 400_000_000),
    ],
    ids=["text", "profile", "rows", "thread", "town", "48 megapixels", "48 progressive", "16 see-through"],
)
def test_memory_stays_within_its_bounds(content, said, most) -> None:
    found = measured(content)
    assert said in {None, found["said"]}
    assert found["grown"] < most
