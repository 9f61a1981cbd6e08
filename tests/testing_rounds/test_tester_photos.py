"""Photos: one upload is one photo, prepared by a job, seen only by those who may."""

from __future__ import annotations

import json
from io import BytesIO

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django_tasks_db.models import DBTaskResult
from PIL import Image

from testing_rounds.actions import photos as photo_actions
from testing_rounds.actions.photos import make_ready
from testing_rounds.actions.reports import save_fields, send_report
from testing_rounds.actions.visits import give_consent, keep_promise, withdraw_consent
from testing_rounds.models import ArrivingPhoto, Photo, PhotoState, Place, Round, RoundState
from testing_rounds.photo_links import photo_address
from tests.factories import Cast, make_cast, signed_in
from tests.testing_rounds.pictures import DATA, NEEDLES, png_head, saved, talkative_jpeg, toile
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def place(cast) -> Place:
    return with_consents(make_place(make_round(make_version(cast.studio))))


@pytest.fixture
def phone(place) -> Client:
    return arrived(place)


def begin(phone: Client, place: Place, content: bytes, *, view: str = "front", key: str = "k1", name: str = "a.jpg"):
    told = {"view": view, "name": name, "size": len(content), "changed": key}
    return phone.post(f"/test/{place.ref}/photos/begin/", told)


def send_part(phone: Client, where: str, content: bytes, start: int, size: int):
    return phone.post(f"{where}?from={start}", content[start : start + size], content_type="application/octet-stream")


def upload(phone: Client, place: Place, content: bytes, **options):
    """Send one photo as the page's script does: announced, then in parts."""
    answer = begin(phone, place, content, **options)
    told = answer.json()
    where, size = "", 0
    while "where" in told or "received" in told:
        where, size = told.get("where") or where, told.get("part") or size
        answer = send_part(phone, where, content, told["received"], size)
        told = answer.json()
    return answer


def ready(phone: Client, place: Place, content: bytes | None = None, **options) -> Photo:
    upload(phone, place, content or talkative_jpeg(), **options)
    photo = Photo.objects.latest("id")
    make_ready(photo.ref)
    photo.refresh_from_db()
    return photo


def address(photo: Photo, width: int = 480) -> str:
    return photo_address(photo.ref, width)


def status(window: Client, photo: Photo) -> int:
    answer = window.get(address(photo))
    if answer.streaming:
        answer.getvalue()  # reading it to its end closes the file
    return answer.status_code


def stored() -> set[str]:
    """Every file in the store of photos."""
    try:
        folders = default_storage.listdir("photos")[0]
    except FileNotFoundError:
        return set()
    return {f"photos/{folder}/{name}" for folder in folders for name in default_storage.listdir(f"photos/{folder}")[1]}


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path):
    options = {"location": tmp_path, "base_url": None}
    default = {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": options}
    settings.STORAGES = {**settings.STORAGES, "default": default}


def test_an_upload_waits_for_the_job_and_is_then_ready(phone, place, django_capture_on_commit_callbacks):
    answer = upload(phone, place, talkative_jpeg())
    assert "Arrived, being prepared." in answer.json()["tile"]
    photo = Photo.objects.get()
    assert (photo.state, photo.view) == (PhotoState.WAITING, "front")
    assert DBTaskResult.objects.get(task_path="testing_rounds.jobs.prepare_photo").args_kwargs["args"] == [photo.ref]
    with django_capture_on_commit_callbacks(execute=True):
        make_ready(photo.ref)
    photo.refresh_from_db()
    assert (photo.state, photo.width, photo.height, photo.incoming) == (PhotoState.READY, 160, 120, "")
    assert stored() == {photo.large, photo.small}, "the upload itself is not kept"
    assert "<img" in phone.get(f"/test/{place.ref}/photos/{photo.ref}/").content.decode()


def test_nothing_of_the_phone_is_left_in_what_is_kept(phone, place, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        ready(phone, place, talkative_jpeg(6), name="needle-text.jpg")
    kept = b""
    for name in stored():
        with default_storage.open(name) as file:
            kept += file.read()
    assert not [needle for needle in NEEDLES if needle.encode() in kept]
    assert "needle" not in str(list(Photo.objects.values())) + str(stored())


def test_a_job_that_runs_twice_makes_one_photo(phone, place, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        photo = ready(phone, place)
        before = stored()
        make_ready(photo.ref)
    assert stored() >= {photo.large, photo.small}
    assert stored() <= before
    assert Photo.objects.get().large == photo.large


def test_two_workers_at_once_leave_the_files_of_one(phone, place, monkeypatch, django_capture_on_commit_callbacks):
    """The second worker finishes while the first is still at it: its files stay, the first one's go."""
    upload(phone, place, talkative_jpeg())
    photo = Photo.objects.get()
    settle = photo_actions._settle

    def meanwhile(*args, **fields):
        monkeypatch.setattr(photo_actions, "_settle", settle)
        make_ready(photo.ref)
        settle(*args, **fields)

    monkeypatch.setattr(photo_actions, "_settle", meanwhile)
    with django_capture_on_commit_callbacks(execute=True):
        make_ready(photo.ref)
    photo.refresh_from_db()
    assert photo.state == PhotoState.READY
    assert stored() == {photo.large, photo.small}


def test_a_photo_sent_twice_is_one_photo(phone, place):
    answers = [upload(phone, place, talkative_jpeg()) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [200, 200, 200]
    assert Photo.objects.count() == 1
    assert len(stored()) == 1


def test_two_photos_of_the_same_view_are_two(phone, place):
    upload(phone, place, talkative_jpeg(), key="k1")
    upload(phone, place, saved(toile((200, 100)), "JPEG"), key="k2")
    assert Photo.objects.filter(view="front").count() == 2


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"not a photo", "This is not a photo that can be read here."),
        (b"", "This file is empty."),
        (b"\xff\xd8\xff\xe0 and then nothing", "This photo is damaged"),
        (png_head(60_000, 60_000), "too many pixels"),
    ],
)
def test_what_is_no_photo_gets_its_sentence_at_once(phone, place, content, said):
    answer = upload(phone, place, content)
    assert answer.status_code == 422
    assert said in answer.json()["refused"]
    assert not Photo.objects.exists()
    assert not stored()


def test_a_photo_over_the_limit_of_bytes_is_refused(phone, place, monkeypatch):
    monkeypatch.setattr("releases.picture_work.PHOTO_BYTES", 1000)
    assert "larger than" in upload(phone, place, saved(toile((400, 400)), "PNG", compress_level=0)).json()["refused"]


def test_a_photo_that_breaks_half_way_says_so_and_can_be_removed(phone, place, django_capture_on_commit_callbacks):
    whole = saved(toile((800, 600)), "JPEG")
    with django_capture_on_commit_callbacks(execute=True):
        photo = ready(phone, place, whole[: len(whole) // 2])
    assert photo.state == PhotoState.FAILED
    assert "This photo is damaged" in phone.get(f"/test/{place.ref}/photos/").content.decode()
    assert not stored()
    assert phone.get(address(photo)).status_code == 404


def test_when_preparing_fails_on_our_side_it_can_be_tried_again(phone, place, monkeypatch, caplog):
    with monkeypatch.context() as broken:
        broken.setattr("testing_rounds.photo_work.make_photo", lambda source: 1 / 0)
        photo = ready(phone, place)
    assert (photo.state, bool(photo.incoming)) == (PhotoState.FAILED, True)
    page = phone.get(f"/test/{place.ref}/photos/").content.decode()
    assert "Something went wrong here, not with your photo." in page
    phone.post(f"/test/{place.ref}/photos/{photo.ref}/", {"what": "again"})
    make_ready(photo.ref)
    photo.refresh_from_db()
    assert photo.state == PhotoState.READY


def test_without_javascript_several_go_in_one_form(phone, place):
    files = [SimpleUploadedFile(f"{n}.jpg", saved(toile((100 + n, 100)), "JPEG")) for n in range(3)]
    answer = phone.post(
        f"/test/{place.ref}/photos/", {"photo": [*files, SimpleUploadedFile("x", b"no")], "view": "back"}
    )
    assert answer["Location"] == f"/test/{place.ref}/photos/"
    assert Photo.objects.filter(view="back").count() == 3
    assert "This is not a photo" in phone.get(answer["Location"]).content.decode()


def test_a_form_without_a_photo_says_so(phone, place):
    phone.post(f"/test/{place.ref}/photos/", {"view": "back"})
    assert "Choose a photo first." in phone.get(f"/test/{place.ref}/photos/").content.decode()


def test_there_is_a_limit_to_photos(phone, place, settings):
    settings.PHOTOS_PER_REPORT = 1
    upload(phone, place, talkative_jpeg())
    answer = upload(phone, place, saved(toile((200, 100)), "JPEG"), key="k2")
    assert "There are 1 photos already." in answer.json()["refused"]
    assert len(stored()) == 1


def test_a_view_that_is_not_asked_is_another_view(phone, place):
    upload(phone, place, talkative_jpeg(), view="<script>")
    assert Photo.objects.get().view == ""


def test_without_the_consent_nothing_is_taken_in(phone, place):
    withdraw_consent(place=place, kind="photos")
    assert "Allow photos first" in upload(phone, place, talkative_jpeg()).json()["refused"]
    assert not Photo.objects.exists()
    assert 'type="file"' not in phone.get(f"/test/{place.ref}/photos/").content.decode()


def test_after_the_round_nothing_is_taken_in_but_a_photo_can_be_taken_out(phone, place):
    photo = ready(phone, place)
    Round.objects.update(state=RoundState.CLOSED)
    assert "has closed" in upload(phone, place, saved(toile((90, 90)), "JPEG"), key="k2").json()["refused"]
    phone.post(f"/test/{place.ref}/photos/{photo.ref}/", {"what": "remove"})
    assert not Photo.objects.exists()


def test_taking_a_photo_out_removes_its_files(phone, place, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        photo = ready(phone, place)
        phone.post(f"/test/{place.ref}/photos/{photo.ref}/", {"what": "remove"})
    assert not stored()
    assert phone.get(address(photo)).status_code == 404


def test_another_testers_photo_can_be_neither_seen_nor_touched(phone, place):
    photo = ready(phone, place)
    other = with_consents(make_place(place.round, alias="T2", email="t2@posteo.example"))
    stranger = arrived(other)
    assert stranger.get(address(photo)).status_code == 404
    for ref in (place.ref, other.ref):
        assert stranger.post(f"/test/{ref}/photos/{photo.ref}/", {"what": "remove"}).status_code == 404
    assert Photo.objects.exists()


def send(place: Place) -> None:
    save_fields(place=place, fields={"fit.waist": "-1"})
    send_report(place=place)


def test_who_may_see_a_photo(cast, phone, place):
    """Its tester always; the studio's people once the report is sent and while it is allowed; nobody else."""
    photo = ready(phone, place)
    people = {"owner": cast.owner, "designer": cast.designer, "reviewer": cast.reviewer}
    windows = {name: signed_in(person) for name, person in people.items()}
    strangers = {"anonymous": Client(), "other studio": signed_in(cast.outsider)}

    def see() -> dict[str, int]:
        return {name: status(window, photo) for name, window in (windows | strangers).items()}

    nobody, staff = dict.fromkeys(windows | strangers, 404), dict.fromkeys(windows, 200) | dict.fromkeys(strangers, 404)
    assert see() == nobody, "a draft is the tester's own"
    send(place)
    assert see() == staff
    withdraw_consent(place=place, kind="photos")
    assert see() == nobody, "hidden at once"
    assert status(phone, photo) == 200
    give_consent(place=place, kind="photos")
    assert see() == staff


def test_a_photo_is_sent_so_that_nothing_keeps_it(phone, place):
    photo = ready(phone, place)
    answer = phone.get(address(photo, 2048))
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"] == "inline"
    assert Image.open(BytesIO(answer.getvalue())).size == (160, 120)


@pytest.mark.parametrize("width", ["0", "1000", "large", "../480"])
def test_only_the_two_sizes_exist(phone, place, width):
    photo = ready(phone, place)
    signed = address(photo).split("/")[-2]
    assert phone.get(f"/photos/{photo.ref}/{width}/{signed}/").status_code == 404


def test_an_address_that_names_no_photo_is_not_there(phone):
    assert phone.get(photo_address("zzzzzzzzzz", 480)).status_code == 404


def test_a_link_to_a_photo_is_signed_for_it_alone_and_dies(phone, place, settings):
    photo, other = ready(phone, place), ready(phone, place, saved(toile((90, 90)), "JPEG"), key="k2")
    link = address(photo)
    assert status(phone, photo) == 200
    assert phone.get(link.replace(photo.ref, other.ref)).status_code == 404
    assert phone.get(link.replace("/480/", "/2048/")).status_code == 404
    assert phone.get(f"/photos/{photo.ref}/")["Location"].startswith(f"/photos/{photo.ref}/2048/")
    assert Client().get(f"/photos/{photo.ref}/").status_code == 404
    settings.PHOTO_LINK_SECONDS = -1
    assert phone.get(link).status_code == 404
    assert "no-store" in phone.get(link)["Cache-Control"]


def test_a_photo_goes_on_where_the_line_dropped(phone, place, settings, django_capture_on_commit_callbacks):
    settings.PHOTO_PART_BYTES = 700
    content = talkative_jpeg()
    told = begin(phone, place, content).json()
    assert send_part(phone, told["where"], content, 0, 700).json() == {"received": 700}
    assert send_part(phone, told["where"], content, 0, 700).json() == {"received": 700}, "twice is once"
    assert f"Front: {100 * 700 // len(content)} % is here" in phone.get(f"/test/{place.ref}/photos/").content.decode()
    again = begin(phone, place, content).json()
    assert (again["where"], again["received"]) == (told["where"], 700)
    assert phone.get(told["where"]).json() == {"received": 700}
    with django_capture_on_commit_callbacks(execute=True):
        assert "tile" in upload(phone, place, content).json()
    assert stored() == {Photo.objects.get().incoming}
    assert not ArrivingPhoto.objects.exists()
    assert not default_storage.listdir(f"arriving/{place.ref}")[1]


def test_what_was_begun_can_be_stopped_and_is_nobody_else_s(phone, place, django_capture_on_commit_callbacks):
    content = talkative_jpeg()
    where = begin(phone, place, content).json()["where"]
    send_part(phone, where, content, 0, 500)
    stranger = arrived(with_consents(make_place(place.round, alias="T2", email="t2@posteo.example")))
    assert stranger.get(where).status_code == 404
    with django_capture_on_commit_callbacks(execute=True):
        phone.post(f"{where}stop/")
    assert phone.get(where).status_code == 404
    assert not default_storage.listdir(f"arriving/{place.ref}")[1]


def picture(photo: Photo) -> Image.Image:
    with default_storage.open(photo.large) as file:
        return Image.open(BytesIO(file.read()))


def test_a_photo_is_turned_covered_and_cropped_and_what_it_was_is_gone(
    phone, place, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        photo = ready(phone, place, saved(toile((400, 300)), "JPEG"))
    before, link = stored(), address(photo)
    page = f"/test/{place.ref}/photos/{photo.ref}/change/"
    assert phone.get(page).status_code == 200
    drawn = {"turn": 90, "crop": [0, 0, 1, 0.5], "strokes": [{"radius": 0.1, "points": [[0.9, 0.1]]}], "boxes": []}
    phone.post(page, {"drawn": json.dumps(drawn)})
    assert phone.get(link).status_code == 404, "nobody sees it until the change is made"
    assert DBTaskResult.objects.latest("enqueued_at").args_kwargs["args"] == [photo.ref]
    with django_capture_on_commit_callbacks(execute=True):
        make_ready(photo.ref)
    photo.refresh_from_db()
    assert (photo.state, photo.width, photo.height, photo.edits) == (PhotoState.READY, 300, 200, None)
    assert stored() == {photo.large, photo.small}
    assert not stored() & before
    shown = picture(photo)
    assert max(abs(a - b) for a, b in zip(shown.getpixel((270, 40)), (118, 116, 112), strict=True)) < 12
    assert shown.getpixel((270, 150))[0] > 150, "the red band, on the right after the turn"


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Nothing is changed yet"),
        ({"cut_left": "60", "cut_right": "40"}, "Too little of the photo would be left."),
        ({"cut_left": "120"}, "less than or equal to 100"),
        ({"drawn": "{"}, "This change could not be read."),
        ({"drawn": '{"turn": 45}'}, "This change could not be read."),
        ({"drawn": '{"strokes": [{"radius": 0.1, "points": [[NaN, 0]]}]}'}, "This change could not be read."),
    ],
)
def test_a_change_that_cannot_be_made_says_why(phone, place, sent, said):
    photo = ready(phone, place)
    answer = phone.post(f"/test/{place.ref}/photos/{photo.ref}/change/", sent)
    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_in_numbers_it_needs_no_script(phone, place):
    photo = ready(phone, place)
    phone.post(f"/test/{place.ref}/photos/{photo.ref}/change/", {"cut_bottom": "50", "cover_bottom": "20"})
    make_ready(photo.ref)
    photo.refresh_from_db()
    assert (photo.width, photo.height) == (160, 60)


def test_a_photo_of_a_sent_report_is_news_for_the_round(phone, place):
    send(place)
    before = Round.objects.get().revision
    photo = ready(phone, place)
    after_adding = Round.objects.get().revision
    phone.post(f"/test/{place.ref}/photos/{photo.ref}/", {"what": "remove"})
    assert before < after_adding < Round.objects.get().revision


def test_on_the_promised_day_the_photos_go_unless_they_may_show_the_pattern(phone, place, settings):
    ready(phone, place)
    give_consent(place=place, kind="promotion")
    settings.BODY_RETENTION_DAYS = 0
    keep_promise(place=place)
    assert Photo.objects.count() == 1
    withdraw_consent(place=place, kind="promotion")
    keep_promise(place=place)
    assert not Photo.objects.exists()


def test_a_photo_from_a_phone_that_writes_heic(phone, place):
    photo = ready(phone, place, (DATA / "turned.heic").read_bytes(), name="IMG_1.HEIC")
    assert (photo.state, photo.width, photo.height) == (PhotoState.READY, 120, 160)
