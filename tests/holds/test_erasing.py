"""Erased is gone: needles planted wherever a person can leave a word are searched for in the bytes that are kept."""

from __future__ import annotations

import json
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from people.actions import invite
from people.models import AuditEntry, Consent, Person, Studio
from people.own_data import erase_person
from people.personal_data import export
from releases.models import LaunchWord, Stale
from testing_rounds.actions.erasing import erase_tester
from testing_rounds.actions.messages import send_message
from testing_rounds.actions.photo_parts import begin_photo
from testing_rounds.actions.photos import add_photo, make_ready
from testing_rounds.actions.reports import save_fields, send_report
from testing_rounds.actions.summaries import ask_for_summary
from testing_rounds.actions.uses import note_use, recalled_uses
from testing_rounds.actions.weighing import weigh_by_hand
from testing_rounds.evidence import weigh
from testing_rounds.models import Decision, DecisionKind, FitIssue, MailKind, MailSent, Photo, Place, Round
from testing_rounds.summary_document import write
from tests.database_file import bytes_of_sqlite
from tests.factories import PASSWORD, Cast, make_cast, signed_in
from tests.pdf_reading import read_pdf
from tests.testing_rounds.pictures import saved, toile
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

pytestmark = pytest.mark.django_db(transaction=True)

NAME, ADDRESS, ALIAS = "Needlina Quozzleby", "needlina@quozzleby.example", "NEEDLE-ALIAS"
SAID = (
    "note", "words", "zone", "step", "square", "message", "held", "fabric", "changed", "finished", "notions",
)  # fmt: skip
WORDS = [f"needle-{what}" for what in SAID]
LENGTH = "91.37"
NEEDLES = [NAME, "Quozzleby", ADDRESS, ALIAS, LENGTH, *WORDS]


@pytest.fixture(autouse=True)
def own_store(settings, tmp_path) -> Path:
    options = {"location": tmp_path, "base_url": None}
    default = {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": options}
    settings.STORAGES = {**settings.STORAGES, "default": default}
    return tmp_path


@pytest.fixture
def cast() -> Cast:
    return make_cast()


def bytes_of_the_database() -> bytes:
    """SQLite: the file itself, and the log that it writes ahead. PostgreSQL: every row of every table as text."""
    if connection.vendor == "sqlite":
        return bytes_of_sqlite()
    with connection.cursor() as cursor:
        found = []
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT t::text FROM {connection.ops.quote_name(table)} t")
            found += [row for (row,) in cursor.fetchall()]
    return "\n".join(found).encode()


def bytes_of_the_files(folder: Path) -> bytes:
    found = []
    for path in folder.rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            found.append(content if path.suffix != ".pdf" else " ".join(read_pdf(content).texts).encode())
    return b"\n".join(found)


def seen(folder: Path, needles: list[str]) -> set[str]:
    sessions = json.dumps([session.get_decoded() for session in Session.objects.all()], default=str)
    kept = bytes_of_the_database() + bytes_of_the_files(folder) + sessions.encode()
    return {needle for needle in needles if needle.encode() in kept}


def planted(cast: Cast) -> tuple[Place, Client]:
    """A tester who left words everywhere, with a photo, a summary that quotes them, and a job that failed over them."""
    found = make_round(make_version(cast.studio))
    place = make_place(found, name=NAME, email=ADDRESS, alias=ALIAS, note=WORDS[0])
    with_consents(place, "measurements", "photos", "promotion", "name", "quote")
    phone = arrived(place)
    said = {
        "body.bust": LENGTH, "size": "14", "fit.bust": "-2", "fit.waist": "1", "fit.waist.words": WORDS[2],
        "step.2.lost.words": WORDS[3], "print.across": "10", "print.down": "10", "print.note": WORDS[4],
        "words": WORDS[1], "body.hip": WORDS[6], "fabric": WORDS[7], "changes_before": WORDS[8],
    }  # fmt: skip
    refused = save_fields(place=place, fields=said).refused
    assert set(refused) <= {"body.hip"}, refused
    report = send_report(place=place).report
    photo = add_photo(place=place, view="front", source=BytesIO(saved(toile((300, 200)), "JPEG")), size=9_000)
    make_ready(photo.ref)
    send_message(place=place, text=WORDS[5], sent_key="k", by=None, report=report)
    weigh_by_hand(report=report, zones=["waist"], what="aside", reason=f"{NAME} wore a coat", by=cast.owner)
    issue = FitIssue.objects.create(round=found, zone="bust", direction=-1, sizes=["14"])
    Decision.objects.create(issue=issue, kind=DecisionKind.LEAVE, words=f"Only {NAME} says so.", by=cast.owner)
    note_use(photo=photo, what="page", where=f"https://shop.example/{ALIAS[:6]} of {NAME}", by=cast.owner)
    write(ask_for_summary(found=Round.objects.get(pk=found.pk), paper="a4", by=cast.owner))
    _planted_beside(cast, place, photo)
    job = DBTaskResult.objects.filter(args_kwargs__icontains=photo.ref).first()
    DBTaskResult.objects.filter(pk=job.pk).update(status="FAILED", traceback=f"It broke at {NAME}.")
    return Place.objects.get(pk=place.pk), phone


def _planted_beside(cast: Cast, place: Place, photo: Photo) -> None:
    """The report on the finished garment, a photo half way, what the studio wrote about the pattern, a mail."""
    finished = Place.objects.get(pk=place.pk)
    finished.stage = "finished"
    fields = {"size": "14", "fit.bust": "0", "words": WORDS[9], "notions": WORDS[10]}
    assert not save_fields(place=finished, fields=fields).refused
    send_report(place=finished)
    arriving = begin_photo(place=place, view="back", size=5_000, told=("b.jpg",))
    client = arrived(place)
    client.post(f"/test/{place.ref}/photos/parts/{arriving.ref}/?from=0", b"x" * 99, "application/octet-stream")
    assert arriving.__class__.objects.get().received == 99
    version = place.round.version
    Stale.objects.create(version=version, what="tables", since=timezone.now(), reason=f"{NAME} has them.")
    LaunchWord.objects.create(version=version, kind="override", reason=f"{NAME} may wait.", by=cast.owner)
    send_message(place=place, text=f"Dear {NAME}", sent_key="s", by=cast.owner, report=photo.report)
    MailSent.objects.create(place=place, kind=MailKind.MESSAGE, about=place.round.ref, reader=place.ref)


def counted(found: Round) -> dict[Any, tuple[int, int]]:
    """How many answers count, and how many are set aside, in every cell."""
    cells = weigh(Round.objects.get(pk=found.pk)).counts.cells
    return {key: (len(cell.counted_answers), len(cell.aside)) for key, cell in cells.items()}


def test_nothing_of_an_erased_tester_is_left_but_the_counts(cast, own_store, caplog) -> None:
    place, phone = planted(cast)
    before, old_ref = counted(place.round), place.ref
    assert seen(own_store, NEEDLES) == set(NEEDLES), "each needle is there to be found"
    archive = zipfile.ZipFile(BytesIO(b"".join(phone.get(f"/test/{place.ref}/data/file/"))))
    told = archive.read("data.json").decode()
    assert [needle for needle in NEEDLES if needle not in told] == []
    assert [name for name in archive.namelist() if name.endswith(".jpg")] == [f"{place.ref}/photos/{_photo()}.jpg"]
    assert WORDS[5] in phone.get(f"/test/{place.ref}/data/").content.decode()

    assert phone.get(f"/test/{place.ref}/data/erase/").status_code == 200
    gone = phone.post(f"/test/{place.ref}/data/erase/")
    assert "It is gone." in gone.content.decode()
    assert f'data-forget="{old_ref}"' in gone.content.decode(), "the phone forgets its copy too"

    assert seen(own_store, NEEDLES) == set()
    assert [path for path in own_store.rglob("*") if path.is_file()] == []
    assert counted(place.round) == before
    assert phone.get(f"/test/{old_ref}/").status_code == 404
    left = Place.objects.get()
    assert left.ref != old_ref
    assert (left.name, left.email, left.body, left.adult_at, left.links.count()) == ("", "", None, None, 0)
    assert not DBTaskResult.objects.filter(args_kwargs__icontains=old_ref).exists()
    assert not Session.objects.exists()
    assert AuditEntry.objects.filter(verb="tester_erased", object_ref=old_ref).exists(), "the trail is whole"
    assert Consent.objects.filter(subject=old_ref).count() == 5
    assert [use.photo for use in recalled_uses(place.round)] == [None], "the studio still has to take it down"
    assert not [needle for needle in NEEDLES if needle in caplog.text]
    file = signed_in(cast.owner).get(reverse("round_file", args=[place.round.ref]))
    assert file.status_code == 200
    content = b"".join(file) if file.streaming else file.content
    assert not [needle for needle in NEEDLES if needle.encode() in content]


def _photo() -> str:
    return Photo.objects.get().ref


def test_a_draft_goes_whole_and_the_studio_can_erase_for_a_tester(cast, own_store) -> None:
    place = make_place(make_round(make_version(cast.studio)), name=NAME, email=ADDRESS, alias=ALIAS)
    save_fields(place=with_consents(place), fields={"size": "14", "words": WORDS[1]})
    owner = signed_in(cast.owner)
    assert owner.get(f"/places/{place.ref}/erase/").status_code == 200
    owner.post(f"/places/{place.ref}/erase/")
    assert not Place.objects.exists()
    assert seen(own_store, NEEDLES) == set()


def test_other_rounds_of_the_same_studio_go_too_when_asked(cast, own_store) -> None:
    version = make_version(cast.studio)
    place, other = (make_place(make_round(version, name=name), name=NAME, email=ADDRESS) for name in ("One", "Two"))
    elsewhere = make_place(make_round(make_version(cast.other_studio)), email=ADDRESS)
    phone = arrived(with_consents(place))
    phone.post(f"/test/{place.ref}/data/erase/", {"others": "on"})
    assert list(Place.objects.all()) == [elsewhere]
    assert not Place.objects.filter(pk=other.pk).exists()


def test_an_account_goes_with_its_name_and_leaves_its_work(cast, own_store) -> None:
    designer = cast.designer
    Person.objects.filter(pk=designer.pk).update(name=NAME, email=ADDRESS)
    designer.refresh_from_db()
    invite(studio=cast.other_studio, email=ADDRESS, role="reviewer", by=cast.outsider)
    issue = FitIssue.objects.create(round=make_round(make_version(cast.studio)), zone="bust", direction=-1)
    Decision.objects.create(issue=issue, kind=DecisionKind.LEAVE, words="It stays.", by=designer)
    desk = Client()
    desk.login(email=ADDRESS, password=PASSWORD)
    told = zipfile.ZipFile(BytesIO(b"".join(desk.get("/me/data/file/")))).read("data.json").decode()
    assert NAME in told
    assert "1 thing; it stays with the studio" in desk.get("/me/data/").content.decode()
    assert desk.post("/me/data/erase/", {"password": "guessed"}).status_code == 422
    assert "Your account is gone." in desk.post("/me/data/erase/", {"password": PASSWORD}).content.decode()
    assert seen(own_store, NEEDLES) == set()
    assert Decision.objects.get().by is None
    assert desk.get("/me/").status_code == 302


def test_the_only_owner_hands_over_first_or_takes_the_empty_studio_along(cast, own_store) -> None:
    desk = signed_in(cast.owner)
    refused = desk.post("/me/data/erase/", {"password": PASSWORD})
    assert "Make someone else an owner first." in refused.content.decode()
    planted(cast)
    cast.studio.memberships.exclude(person=cast.owner).delete()
    assert "Saltmarsh Row" in desk.get("/me/data/erase/").content.decode()
    erase_person(person=cast.owner)
    assert list(Studio.objects.all()) == [cast.other_studio]
    assert seen(own_store, NEEDLES) == set()
    assert [path for path in own_store.rglob("*") if path.is_file()] == []


def test_erasing_twice_or_without_a_report_says_nothing_twice(cast) -> None:
    place, _phone = planted(cast)
    with export(place) as first, export(Place.objects.get(pk=place.pk)) as second:
        assert first.read() == second.read(), "the same data make the same file"
    erase_tester(places=[place], by=None)
    erase_tester(places=[Place.objects.get(pk=place.pk)], by=None)
    assert Place.objects.count() == 1
