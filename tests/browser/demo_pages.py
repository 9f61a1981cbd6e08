"""The demo as a browser test walks it: who reads which pages, and what their addresses name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any

from allauth.account.forms import default_token_generator
from allauth.account.models import EmailAddress, EmailConfirmationHMAC
from allauth.account.utils import user_pk_to_url_str
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from measurements.lengths import read_length
from measurements.sample_actions import keep_sample
from people.actions import create_studio, invite
from people.demo_links import demo_link
from people.models import Invitation, Person, Studio
from people.refs import new_token, token_hash
from releases.actions.versions import create_version
from releases.fabric_store import asked, full_layout
from releases.models import FabricRequirement, Version
from testing_rounds.actions.mails import NO_REMINDERS
from testing_rounds.actions.panel import SIGNER, apply, draw_lot
from testing_rounds.actions.photos import add_photo, make_ready
from testing_rounds.actions.rounds import open_call, plan_round
from testing_rounds.actions.summaries import ask_for_summary
from testing_rounds.actions.visits import issue_link
from testing_rounds.demo import scenario
from testing_rounds.models import FitReport, Photo, PhotoState, Place, Round
from tests.house.roles_table import RULES
from tests.house.roles_world import Route, routes
from tests.testing_rounds.pictures import saved, toile

# What answers GET and is no page, with what it is instead.
NO_PAGE = {
    "health": "one word for a machine",
    "demo_sign_in": "signs in and goes on to the studio",
    "chart_csv": "a download",
    "chart_xlsx": "a download",
    "chart_since": "what the grid of a chart asks for every few seconds",
    "changed_page": "a picture",
    "version_changed_pdf": "a download",
    "version_wording_facts": "a download",
    "version_fabric_pdf": "a download",
    "step_picture": "a picture",
    "test_step_picture": "a picture",
    "upload": "what a file on its way asks for",
    "file": "a download",
    "round_file": "a download",
    "test_file": "a download",
    "call_picture": "a picture",
    "round_mail_html": "a mail, shown in a frame of another page",
    "photo": "a picture",
    "photo_open": "a picture",
    "own_data_file": "a download",
    "test_data_file": "a download",
    "test_calendar": "a download",
    "test_worker": "a script",
    "test_photo": "a part of the page of photos",
    "test_photo_parts": "what a photo on its way asks for",
}
# A sample of bodies, in millimetres: every third has no waist.
BODIES = {
    "bust": [Decimal(840 + 7 * number) for number in range(40)],
    "waist": [Decimal(660 + 8 * number) if number % 3 else None for number in range(40)],
    "hip": [Decimal(900 + 7 * number) for number in range(40)],
}
# Pages that send some readers on, to another page of this list.
SENDS_ON = frozenset(
    {
        "account_change_password",
        "account_logout",
        "account_reset_password_from_key",
        "account_set_password",
        "chart_check",
    }
)
VERSION_PAGES = (
    "version",
    "version_edit",
    "version_finished",
    "version_steps",
    "version_files",
    "version_changed",
    "version_ease",
    "version_fabric",
    "version_launch",
    "sign_off",
    "measurement_tables",
)
ROUND_PAGES = ("round", "round_plan", "panel", "summary", "next_version", "resew")
# What looks another way to an owner or a reviewer than to a designer, who reads all the rest of the studio.
OWNER_PAGES = frozenset({"studio_people", "member_remove", "erase_account", "version_launch"})
REVIEWER_PAGES = frozenset({"studio", "version", "round", "sign_off", "sign_off_size"})
# What looks another way once the report is sent, and to a tester who has not been here yet.
SENT_PAGES = frozenset({"test", "test_fit", "test_zone", "test_photos", "test_send", "test_changed", "test_messages"})
INVITED_PAGES = frozenset({"test", "test_consents", "test_stop"})


@dataclass(frozen=True)
class Reader:
    """Somebody in front of a browser. `more`: further addresses of a route, as parts that differ or a query.

    `only`: the names of the pages that they open, where it is not all that the table of rules lets them.
    """

    name: str
    role: str
    enters: str
    named: Mapping[str, str]
    more: Mapping[str, list[dict[str, Any]]] = field(default_factory=dict)
    only: frozenset[str] | None = None

    def pages(self) -> Iterator[tuple[str, str]]:
        """The name and the address of each page. Raises KeyError for a route with a part that has no value here."""
        for route in routes():
            if self._reads(route):
                for parts in ({}, *self.more.get(route.name, [])):
                    changed = dict(parts)
                    query = changed.pop("?", "")
                    yield route.name, route.address(dict(self.named), **changed) + query

    def _reads(self, route: Route) -> bool:
        rule = RULES[route.name]
        if rule.get is None or route.name in NO_PAGE or self.role not in rule.get.who:
            return False
        if self.only is not None:
            return route.name in self.only
        return self.role == "anonymous" or "anonymous" not in rule.get.who


def make_demo() -> dict[str, list[Reader]]:
    """The demo with a little more: a draft, a planned round, an open call, and a studio that has nothing yet."""
    call_command("demo", stdout=StringIO())
    owner, designer, reviewer = (
        Person.objects.get(email=email) for _name, email in (scenario.OWNER, scenario.DESIGNER, scenario.REVIEWER)
    )
    named, more = _studio(owner, designer)
    return {
        "studio": [
            Reader("designer", "designer", demo_link(designer), named, more),
            Reader("reviewer", "reviewer", demo_link(reviewer), named, only=REVIEWER_PAGES),
            Reader("owner", "owner", demo_link(owner), named, only=OWNER_PAGES),
            _newcomer(),
        ],
        "testers": [*_testers(), _stranger(designer)],
    }


def _studio(owner: Person, designer: Person) -> tuple[dict[str, str], dict[str, list[dict[str, Any]]]]:
    rounds = Round.objects.select_related("version__pattern__studio", "version__body_chart__chart")
    found = rounds.get(version__pattern__name=scenario.PATTERN)
    version, studio = found.version, found.version.pattern.studio
    draft, planned, called = _beside(found, designer)
    invite(studio=studio, email="invited@saltmarsh.example", role="designer", by=owner)
    waiting = ask_for_summary(found=found, paper="a4", by=designer)
    reviewer = studio.memberships.get(role="reviewer").person
    keep_sample(studio=studio, name="Customers", source="", columns=BODIES, by=designer)
    sent, far = _report(scenario.SENT), FitReport.objects.filter(submitted_at__isnull=False).latest("id")
    named = {
        "studios/ref": studio.ref,
        "person_ref": reviewer.ref,
        "charts/ref": version.body_chart.chart.ref,
        "number": "1",
        "patterns/ref": version.pattern.ref,
        "versions/ref": version.ref,
        "rounds/ref": found.ref,
        "zone": "back_length",
        "mail": "after",
        "step": "9",
        "file": "a4",
        "position": "5",
        "reports/ref": sent.ref,
        "places/ref": sent.place.ref,
        "summaries/ref": waiting.ref,
        "layouts/ref": _laid(version).ref,
    }
    file = version.current_files().first()
    more: dict[str, list[dict[str, Any]]] = {
        **{name: [{"ref": draft.ref}] for name in VERSION_PAGES},
        **{name: [{"ref": called.ref}, {"ref": planned.ref}] for name in ROUND_PAGES},
        "panel_choice": [{"ref": called.ref}],
        "place_messages": [{"ref": called.places.get().ref}],
        "round_mail": [{"mail": "invitation"}],
        "round_zone": [{"zone": "neck"}, {"ref": called.ref}],
        "round_step": [{"step": "1"}],
        "sign_off_size": [{"position": "4"}],
        "round_prints": [{"file": "letter"}, {"file": "booklet"}],
        "round_cell": [{"zone": "waist"}, {"ref": called.ref}],
        "round_size": [{"position": "0"}, {"ref": called.ref}],
        "report": [{"ref": far.ref}, {"ref": FitReport.objects.filter(submitted_at__isnull=False).earliest("id").ref}],
        "place": [{"ref": place.ref} for place in (_place(scenario.INVITED), called.places.get())],
    }
    more["round"].append({"?": "?size=18"})
    more["version_files"].append({"?": f"?replace={file.ref}"})
    return named, more


def _laid(version: Version) -> FabricRequirement:
    """One layout, as a worker would make it; the others are still asked for."""
    one = next(iter(asked(version)))
    return FabricRequirement.objects.create(
        material=one.cloth.material, size=one.size, width_mm=one.width_mm, **full_layout(one)
    )


def _beside(found: Round, by: Person) -> tuple[Version, Round, Round]:
    """The next version as a draft; a round of it that is planned; a round of the sewn version whose call is open."""
    version, today = found.version, timezone.now().date()
    fields = {
        "number": "0.91",
        "sizes": version.sizes,
        "base_size": version.base_size,
        "what_changed": "The back is longer.",
        "test_square": read_length("10", "cm"),
        "copy_finished": True,
        "copy_steps": True,
    }
    draft = create_version(pattern=version.pattern, body_chart=version.body_chart, fields=fields, copied=version, by=by)
    days = {"call_closes": 7, "starts": 14, "report_due": 35, "closes": 42}
    plan = {
        **{name: getattr(found, name) for name in ("per_size", "gives", "asks", "zones", "views")},
        **{name: today + timedelta(days=count) for name, count in days.items()},
    }
    planned = plan_round(version=draft, fields={**plan, "name": "Round of the draft"}, by=by)
    called = plan_round(version=version, fields={**plan, "name": "Second round"}, by=by)
    open_call(found=called, by=by)
    called.refresh_from_db()
    _applied(called)
    draw_lot(found=called, by=by)
    return draft, planned, called


def _applied(called: Round) -> None:
    fields = {
        "name": "Maren",
        "email": "maren@testers.example",
        "units": "in",
        "wanted_size": "14",
        "experience": "some",
        "paper": "a4",
        "rounds_before": 1,
        "note": "I sew in the evenings.",
    }
    typed = {"high_bust": "36", "bust": "38", "waist": "31", "hip": "41", "height": "64 1/2"}
    apply(found=called, fields=fields, measures={key: read_length(text, "in") for key, text in typed.items()})


def _newcomer() -> Reader:
    person = Person.objects.create_user("new@saltmarsh.example", name="Ottla Brandvold")
    studio = create_studio(name="A studio with nothing in it", by=person)
    pages = frozenset({"studio", "charts", "chart_new", "pattern_new", "studio_people"})
    return Reader("newcomer", "owner", demo_link(person), {"studios/ref": studio.ref}, only=pages)


def _testers() -> list[Reader]:
    everything = {"kind": "photos", "zone": "waist", "number": "9"}
    more: dict[str, list[dict[str, Any]]] = {
        "test_fit": [{"?": "?side=back"}],
        "test_zone": [{"zone": "back_length"}],
        "test_step": [{"number": "0"}],
    }
    return [
        Reader("tester, half way", "tester", *_entered(scenario.HALF_WAY, everything), more),
        Reader("tester, sent", "tester", *_entered(scenario.SENT, everything), only=SENT_PAGES),
        Reader("tester, invited", "tester", *_entered(scenario.INVITED, {}), only=INVITED_PAGES),
    ]


def _entered(name: str, named: dict[str, str]) -> tuple[str, dict[str, str]]:
    place = _place(name)
    photo = _photo(place).ref if named else ""
    return issue_link(place, by=None), {"test/ref": place.ref, "photo_ref": photo, **named}


def _photo(place: Place) -> Photo:
    """A photo of this tester that is ready."""
    found = Photo.objects.filter(report__place=place, state=PhotoState.READY).first()
    if found is None:
        content = saved(toile(), "JPEG")
        found = add_photo(place=place, view="front", source=BytesIO(content), size=len(content))
        make_ready(found.ref)
    return found


def _stranger(designer: Person) -> Reader:
    called = Round.objects.get(name="Second round")
    token = new_token()
    Invitation.objects.filter(email="invited@saltmarsh.example").update(token_hash=token_hash(token))
    address = EmailAddress.objects.create(user=designer, email=designer.email, primary=True)
    closed = Round.objects.earliest("id").call_ref
    named = {
        "invitations/token": token,
        "uidb36": user_pk_to_url_str(designer),
        "password/key": default_token_generator.make_token(designer),
        "confirm/key": EmailConfirmationHMAC(address).key,
        "call_ref": called.call_ref,
        "reminders/token": NO_REMINDERS.sign(_place(scenario.SENT).ref),
        "call/token": SIGNER.sign(called.places.get().ref),
        "t/token": issue_link(_place(scenario.INVITED), by=None).strip("/").split("/")[-1],
    }
    more = {
        "call": [{"call_ref": closed}],
        "account_reset_password_from_key": [{"key": "long-gone"}],
        "account_signup": [{"?": f"?next={reverse('invitation', args=[token])}"}],
    }
    return Reader("stranger", "anonymous", "/", named, more)


def _place(name: str) -> Place:
    return Place.objects.get(round__version__pattern__studio=_demo_studio(), name=name)


def _report(name: str) -> FitReport:
    return FitReport.objects.select_related("place").get(place=_place(name))


def _demo_studio() -> Studio:
    return Studio.objects.get(name=scenario.STUDIO)
