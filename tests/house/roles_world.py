"""The small world of the role table: one studio with all its things, seven readers, and the address of every route."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from io import BytesIO
from typing import Any

from allauth.account.models import EmailAddress, EmailConfirmationHMAC
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from measurements.sample_actions import keep_sample
from people.actions import invite
from people.demo_links import demo_link
from people.models import Invitation, Person
from people.refs import new_token, token_hash
from releases.models import (
    ArrivingFile,
    FabricRequirement,
    FileComparison,
    FileKind,
    MadeState,
    MadeTables,
    Material,
    PatternFile,
    Stale,
    StepShown,
    VersionState,
)
from testing_rounds.actions.mails import NO_REMINDERS
from testing_rounds.actions.panel import SIGNER
from testing_rounds.actions.reports import open_report, save_fields, send_report
from testing_rounds.actions.visits import issue_link
from testing_rounds.models import (
    ArrivingPhoto,
    FitIssue,
    Photo,
    PhotoState,
    PhotoUse,
    Place,
    PlaceState,
    PrintCheck,
    Round,
    RoundState,
    Summary,
)
from testing_rounds.photo_links import photo_address
from tests.factories import Cast, make_cast, make_chart, signed_in
from tests.house.roles_table import ROLES
from tests.testing_rounds.testers import arrived, make_place, make_round, make_version, with_consents

ZONE = "bust"
MADE_UP = "bcdfghjkmn"


@dataclass
class World:
    """What the addresses name, and a browser's cookies for each role."""

    cast: Cast
    named: dict[str, str] = field(default_factory=dict)
    others: dict[str, str] = field(default_factory=dict)
    cookies: dict[str, dict[str, str]] = field(default_factory=dict)

    def browser(self, role: str, **options: Any) -> Client:
        """A new browser with what this role's browser holds."""
        client = Client(raise_request_exception=False, **options)
        for name, value in self.cookies[role].items():
            client.cookies[name] = value
        return client


@dataclass(frozen=True)
class Route:
    """One route of the resolver: its name, how it is written, what it takes."""

    name: str
    written: str
    parts: tuple[str, ...]
    view: Any

    @property
    def first(self) -> str:
        return self.written.strip("^").split("/")[0]

    def key(self, part: str) -> str:
        """What a part of the address names: `ref` is told by the first word, the others by their own name."""
        return f"{self.first}/{part}" if part in {"ref", "token", "key"} else part

    def address(self, named: dict[str, str], **instead: Any) -> str:
        values = {part: instead.get(part, named[self.key(part)]) for part in self.parts}
        return reverse(self.name, kwargs=values)


def routes(resolver: URLResolver | None = None, before: str = "") -> list[Route]:
    """Every route there is."""
    found = []
    for pattern in (resolver or get_resolver()).url_patterns:
        written = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            groups = re.compile(str(pattern.pattern.regex.pattern)).groupindex
            found.append(Route(str(pattern.name), written, tuple(groups), pattern.callback))
        else:
            found += routes(pattern, written)
    return found


def make_world() -> World:
    world = World(make_cast())
    _people(world)
    version = _releases(world)
    _round(world, make_round(version))
    _call(world, make_round(version, name="Second round", state=RoundState.CALL_OPEN))
    _others(world)
    _browsers(world)
    return world


@contextmanager
def shared_world(blocker: Any) -> Iterator[World]:
    """A world made once for all tests of a module, which roll back what each of their requests does."""
    with blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


def _people(world: World) -> None:
    cast = world.cast
    address = EmailAddress.objects.create(user=cast.outsider, email=cast.outsider.email, primary=True)
    invitation = invite(studio=cast.studio, email="invited@saltmarsh.example", role="designer", by=cast.owner)
    token = new_token()
    Invitation.objects.filter(pk=invitation.pk).update(token_hash=token_hash(token))
    world.named |= {
        "studios/ref": cast.studio.ref,
        "person_ref": cast.reviewer.ref,
        "invitation_ref": invitation.ref,
        "invitations/token": token,
        "demo/token": demo_link(cast.owner).strip("/").split("/")[-1],
        "uidb36": "1",
        "password/key": "set-password",
        "confirm/key": EmailConfirmationHMAC(address).key,
    }


def _releases(world: World) -> Any:
    studio = world.cast.studio
    chart = make_chart(studio)
    sample = keep_sample(
        studio=studio, name="Customers", source="", columns={"bust": [Decimal(900)]}, by=world.cast.owner
    )
    version = make_version(studio)
    draft = version.pattern.versions.create(
        number="1.0", state=VersionState.DRAFT, body_chart=version.body_chart, sizes=version.sizes, base_size="12"
    )
    file = _file(version)
    MadeTables.objects.create(version=version, paper="a4", content="x", state=MadeState.WAITING)
    cloth = Material.objects.create(version=draft, number=1, name="Shell", widths=[{"mm": "1400", "typed": "140"}])
    laid = FabricRequirement.objects.create(material=cloth, size="12", width_mm=1400, content="x")
    drawn = default_storage.save(f"compared/{studio.ref}/roles.svg", ContentFile(b"<svg/>"))
    compared = FileComparison.objects.create(
        studio=studio, old_digest="0", new_digest="1", method=1, state=MadeState.READY, pictures={"1": drawn}
    )
    arriving = ArrivingFile.objects.create(
        version=draft, by=world.cast.owner, kind=FileKind.A4, name="b.pdf", mark="m", size_bytes=9
    )
    mark = Stale.objects.create(version=draft, what="tables", since=timezone.now())
    draft.steps.create(number=1, text="Join the shoulders.")
    beside = default_storage.save(f"steps/{studio.ref}/roles.jpg", ContentFile(b"jpeg"))
    shown = StepShown.objects.create(version=draft, number=1, picture=beside, small=beside)
    StepShown.objects.create(version=version, number=1, picture=beside, small=beside)
    world.named |= {
        "step-pictures/ref": shown.ref,
        "stale/ref": mark.ref,
        "check": "sizes",
        "comparisons/ref": compared.ref,
        "uploads/ref": arriving.ref,
        "page": "1",
        "charts/ref": chart.ref,
        "layouts/ref": laid.ref,
        "samples/ref": sample.ref,
        "number": "1",
        "unit": "cm",
        "patterns/ref": version.pattern.ref,
        "versions/ref": draft.ref,
        "files/ref": file.ref,
        "file_ref": file.ref,
    }
    return version


def _file(version: Any) -> PatternFile:
    stored = default_storage.save(f"files/{version.pattern.studio.ref}/roles", ContentFile(b"%PDF-1.4"))
    return PatternFile.objects.create(
        version=version, kind=FileKind.A4, name="a4.pdf", digest="0" * 64, stored=stored, size_bytes=8, pages=1
    )


def _round(world: World, round_: Round) -> None:
    place = with_consents(make_place(round_), "measurements", "photos")
    world.cookies["tester"] = _cookies(arrived(place))
    other = make_place(round_, alias="T2", name="Suda Fennimore", email="suda@saltmarsh.example")
    world.cookies["other tester"] = _cookies(arrived(with_consents(other)))
    place.refresh_from_db()
    save_fields(place=place, fields={"size": "14", f"fit.{ZONE}": "-1"})
    report = send_report(place=place).report
    photo = _photo(report)
    PrintCheck.objects.create(place=place, file_kind=FileKind.A4, across_mm=100, across_typed="10")
    FitIssue.objects.create(round=round_, zone=ZONE, direction=-1, sizes=["14"])
    use = PhotoUse.objects.create(photo=photo, round=round_, photo_ref=photo.ref, where="The pattern's page")
    arriving = ArrivingPhoto.objects.create(place=place, view="front", mark="m", size_bytes=9)
    summary = Summary.objects.create(round=round_, revision=1, paper="a4", asked_by=world.cast.owner)
    world.named |= {
        "rounds/ref": round_.ref,
        "reports/ref": report.ref,
        "zone": ZONE,
        "step": "2",
        "file": "a4",
        "position": "2",
        "size": "14",
        "places/ref": place.ref,
        "test/ref": place.ref,
        "photos/ref": photo.ref,
        "photo_ref": photo.ref,
        "signed": photo_address(photo.ref, 480).strip("/").split("/")[-1],
        "arriving_ref": arriving.ref,
        "shown/ref": use.ref,
        "width": "480",
        "kind": "photos",
        "summaries/ref": summary.ref,
        "t/token": issue_link(place, by=None).strip("/").split("/")[-1],
    }


def _photo(report: Any) -> Photo:
    out = BytesIO()
    Image.new("RGB", (8, 10)).save(out, "JPEG")
    name = default_storage.save("photos/roles/small.jpg", ContentFile(out.getvalue()))
    return Photo.objects.create(
        report=report, view="front", upload_key=new_token()[:40], state=PhotoState.READY, large=name, small=name
    )


def _call(world: World, round_: Round) -> None:
    applied = Place.objects.create(
        round=round_, alias="T1", state=PlaceState.APPLIED, email="applied@saltmarsh.example", applied_at=timezone.now()
    )
    world.named |= {
        "call_ref": round_.call_ref,
        "call/token": SIGNER.sign(applied.ref),
        "reminders/token": NO_REMINDERS.sign(applied.ref),
        "mail": "day",
    }


def _others(world: World) -> None:
    """Things of the other studio and of the other tester."""
    cast = world.cast
    invitation = invite(studio=cast.other_studio, email="asked@quillpoint.example", role="designer", by=cast.outsider)
    version = make_version(cast.other_studio)
    theirs = Place.objects.get(email="suda@saltmarsh.example")
    world.others = {
        "outsider": cast.outsider.ref,
        "other invitation": invitation.ref,
        "other file": _file(version).ref,
        "other photo": _photo(open_report(theirs)).ref,
        "other arriving": ArrivingPhoto.objects.create(place=theirs, mark="m", size_bytes=9).ref,
    }


def _browsers(world: World) -> None:
    people: dict[str, Person] = {
        "other studio": world.cast.outsider,
        "reviewer": world.cast.reviewer,
        "designer": world.cast.designer,
        "owner": world.cast.owner,
    }
    world.cookies |= {role: _cookies(signed_in(person)) for role, person in people.items()}
    world.cookies["anonymous"] = {}
    assert set(world.cookies) == set(ROLES)


def _cookies(client: Client) -> dict[str, str]:
    return {name: morsel.value for name, morsel in client.cookies.items()}
