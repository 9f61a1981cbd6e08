"""A round with one tester in it, and a phone on which that tester has opened the link."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from html.parser import HTMLParser
from typing import Any

from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from measurements.chart_store import add_revision
from measurements.models import ChartAbout, SizeChart
from people.models import Studio
from releases.models import Pattern, Step, Version, VersionState
from testing_rounds.actions.visits import confirm_adult, give_consent, issue_link
from testing_rounds.models import Place, PlaceState, Round, RoundState
from testing_rounds.round_store import zone_entry
from testing_rounds.zones import default_zones
from tests.factories import chart_table

SIZES = ("10", "12", "14", "16", "18")
BODY = {
    "high_bust": ("83", "87", "91", "96", "101"),
    "bust": ("88", "92", "96", "101", "106"),
    "waist": ("70", "74", "78", "83", "88"),
    "hip": ("94", "98", "102", "107", "112"),
    "upper_arm": ("27.4", "28.6", "29.8", "31.4", "33"),
    "back_waist": ("40", "40.5", "41", "41.5", "42"),
}
FINISHED = {
    "bust": ("94", "98", "102", "107", "112"),
    "waist": ("74", "78", "82", "87", "89.5"),
    "upper_arm": ("32.4", "33.6", "34.8", "36", "37.2"),
    "back_length": ("39", "39.5", "40", "40.5", "41"),
}
STEPS = (
    "Cut all pieces. Mark the notches and the bust points.",
    "Stay-stitch both necks 6 mm (1/4 in) from the edge.",
    "Sew the bust darts and press them down.",
    "Join the shoulders, front to back, with 1 cm (3/8 in).",
    "Set in the sleeves flat, notch to notch.",
    "Sew sides and sleeves in one seam, 1.5 cm (3/8 in).",
)


def make_version(studio: Studio, *, kind: str = "shirt", square: str | None = "100", **fields: Any) -> Version:
    """A version of a pattern, in testing, with both charts, a test square of 10 cm and six steps."""
    by_row = {"body": BODY, "finished": FINISHED}
    revisions = {}
    for about, rows in by_row.items():
        chart = SizeChart.objects.create(studio=studio, name=f"Pebblewick, {about}", about=ChartAbout(about))
        revisions[about] = add_revision(chart, chart_table(dict(rows), SIZES), by=None)
    pattern = Pattern.objects.create(
        studio=studio,
        name=fields.pop("name", "Pebblewick"),
        kind=kind,
        chart=revisions["body"].chart,
        free_at=["hip"],
        cup_mm=Decimal(50),
        height_mm=Decimal(1630),
    )
    version = Version.objects.create(
        pattern=pattern,
        number="0.9",
        state=VersionState.IN_TESTING,
        body_chart=revisions["body"],
        finished_chart=revisions["finished"],
        sizes=list(SIZES),
        base_size="12",
        test_square_mm=Decimal(square) if square else None,
        test_square_typed="10 cm" if square else "",
    )
    Step.objects.bulk_create(Step(version=version, number=i, text=text) for i, text in enumerate(STEPS, 1))
    return version


def make_round(version: Version, **fields: Any) -> Round:
    """A round that sews now and reports in a fortnight."""
    today = timezone.now().date()
    return Round.objects.create(
        **{
            "version": version,
            "name": "First round",
            "state": RoundState.SEWING,
            "starts": today - timedelta(days=7),
            "report_due": today + timedelta(days=14),
            "closes": today + timedelta(days=21),
            "zones": [zone_entry(zone.asked()) for zone in default_zones(version.pattern.kind)],
            "views": ["front", "side", "back", "close_up"],
            "gives": "The final pattern in all sizes, and your name in the thanks if you like.",
            "asks": "Sew a toile from your own cloth, about six hours, and tell us how it fits.",
            **fields,
        }
    )


def make_place(round_: Round, **fields: Any) -> Place:
    """An invited tester: Tindra Oake, size 18 asked."""
    known = {"state": PlaceState.INVITED, "alias": "T1", "name": "Tindra Oake", "email": "tindra@posteo.example"}
    return Place.objects.create(round=round_, **{**known, "size": "18", "paper": "a4", **fields})


def with_consents(place: Place, *kinds: str) -> Place:
    """The tester is an adult and allows these (measurements and photos, unless named)."""
    confirm_adult(place=place, adult=True)
    for kind in kinds or ("measurements", "photos"):
        give_consent(place=place, kind=kind)
    place.refresh_from_db()
    return place


def arrived(place: Place, **options: Any) -> Client:
    """A phone on which this tester has pressed the button of the link."""
    phone = Client(**options)
    phone.post(issue_link(place, by=None))
    return phone


class Fields(HTMLParser):
    """The fields of a page as a browser would send them."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self.area = self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attrs}
        name = at.get("name", "")
        if tag == "input" and name:
            self._input(name, at)
        elif tag == "textarea":
            self.area, self.found[name] = name, ""
        elif tag == "select":
            self.select = name
        elif tag == "option" and ("selected" in at or self.select not in self.found):
            self.found[self.select] = at.get("value", "")

    def _input(self, name: str, at: dict[str, str]) -> None:
        picked = at.get("type") not in {"radio", "checkbox"} or "checked" in at
        if picked and at.get("type") not in {"submit", "file"}:
            self.found[name] = at.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.area = ""

    def handle_data(self, data: str) -> None:
        if self.area:
            self.found[self.area] += data


def form_of(page: HttpResponse) -> dict[str, str]:
    """What a browser without JavaScript would send of a page: every field as it stands, and what it was."""
    fields = Fields()
    fields.feed(page.content.decode())
    return fields.found
