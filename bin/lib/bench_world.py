"""What the bench measures on: invented rounds of any size, the same ones in every run, and browsers in them."""

from __future__ import annotations

import random
from io import BytesIO
from itertools import count
from typing import Any

from django.core.handlers.wsgi import WSGIHandler
from django.test import Client
from django.utils import timezone

from people.actions import create_studio
from people.models import Person, Studio
from releases.models import Version
from testing_rounds.actions.round_files import import_round
from testing_rounds.actions.visits import confirm_adult, give_consent, issue_link
from testing_rounds.models import FitReport, Place, PlaceState, Round, RoundState, ZoneVerdict
from testing_rounds.round_data import Report, RoundData, Zone, ZoneAnswer
from testing_rounds.zones import default_zones

# How often testers say what where nothing is wrong, and what two faults make them say.
FITS = (0,) * 22 + (-1, 1)
TIGHT, LONG = (-1, -1, -2, 0), (1, 2, 1, 0)
CHART = {
    "bust": 92.0,
    "waist": 74.0,
    "hip": 98.0,
    "upper_arm": 29.0,
    "back_waist": 40.5,
    "high_bust": 88.0,
    "thigh": 57.0,
}
BATCH = 5_000
Chart = dict[str, tuple[float | None, ...]]
_numbers = count(1)


def zones(number: int) -> tuple[Zone, ...]:
    """That many zones; beyond the catalogue's the same ones under other names."""
    known = [zone.asked(CHART) for zone in default_zones("dress")]
    more = [Zone(f"{zone.key}_{i}", zone.label, zone.low, zone.high, zone.body_point) for i in (2, 3) for zone in known]
    return tuple([*known, *more][:number])


def invented(reports: int, *, sizes: int = 10, zone_count: int = 12, seed: int = 1) -> RoundData:
    """A round with so many reports, spread over the sizes; each looks at every zone."""
    chance = random.Random(seed)  # noqa: S311  (invented testers, not secrets)
    labels = tuple(str(6 + 2 * i) for i in range(sizes))
    asked = zones(zone_count)
    chart: Chart = {key: tuple(base + 4.0 * i for i in range(-2, sizes - 2)) for key, base in CHART.items()}
    return RoundData(
        pattern=f"Tidewrack {next(_numbers)}",
        fabric="woven",
        version="0.4",
        sizes=labels,
        base_size=labels[min(2, sizes - 1)],
        test_square=10.0,
        body_chart=chart,
        finished_chart={key: tuple((value or 0) + 6 for value in row) for key, row in chart.items()},
        zones=asked,
        reports=tuple(_report(i, labels[i % sizes], i % sizes, asked, chart, chance) for i in range(reports)),
        drafted_height=165.0,
        pattern_extra={"kind": "dress"},
    )


def _report(number: int, size: str, at: int, asked: tuple[Zone, ...], chart: Chart, chance: random.Random) -> Report:
    answers = {}
    for place, zone in enumerate(asked):
        fit = chance.choice(_habit(place, at))
        change = round(chance.uniform(0.5, 3), 1) * -fit if fit and chance.random() < 0.6 else None
        answers[zone.key] = ZoneAnswer(fit, altered=chance.random() < 0.03, change=change)
    body = {key: round((row[at] or 0) + chance.gauss(0, 1.5), 1) for key, row in chart.items()}
    square = 10.0 if chance.random() < 0.95 else 9.8
    return Report(f"T{number:05d}", size, body=body, test_square=square, zones=answers)


def _habit(place: int, at: int) -> tuple[int, ...]:
    """Two planted faults: the third zone is tight in the upper sizes, the sixth long in one."""
    return TIGHT if place == 2 and at > 5 else LONG if (place, at) == (5, 3) else FITS


class World:
    """A studio with one owner, and rounds as they are asked for."""

    def __init__(self) -> None:
        number = next(_numbers)
        self.owner = Person.objects.create_user(f"owner{number}@saltmarsh.example", None, name="Imelda Tarrowby")
        self.studio: Studio = create_studio(name="Saltmarsh Row", by=self.owner)

    def round(self, reports: int, **options: Any) -> Round:
        made = import_round(studio=self.studio, data=invented(reports, **options), by=self.owner)
        Round.objects.filter(pk=made.pk).update(state=RoundState.SEWING)
        return Round.objects.get(pk=made.pk)

    def owner_s_browser(self) -> Browser:
        client = Client(SERVER_NAME="127.0.0.1")
        client.force_login(self.owner)
        return Browser(client)

    def tester(self, found: Round) -> tuple[Place, Browser]:
        """A tester amid the round, with everything allowed, and the phone on which the link was opened."""
        number = next(_numbers)
        size = found.version.sizes[2]
        place = Place.objects.create(
            round=found, alias=f"X{number}", state=PlaceState.INVITED, name="Tindra", size=size
        )
        client = Client(SERVER_NAME="127.0.0.1")
        client.post(issue_link(place, by=None))
        confirm_adult(place=place, adult=True)
        for kind in ("measurements", "photos"):
            give_consent(place=place, kind=kind)
        return Place.objects.get(pk=place.pk), Browser(client)


class Browser:
    """Asks the app as the web server does, with somebody's cookies."""

    app = WSGIHandler()

    def __init__(self, client: Client) -> None:
        self.cookie = "; ".join(f"{name}={morsel.value}" for name, morsel in client.cookies.items())

    def get(self, path: str) -> bytes:
        return self.ask("GET", path)

    def ask(self, method: str, path: str, body: bytes = b"", kind: str = "", **headers: str) -> bytes:
        """The content of the answer. Raises AssertionError for an answer that is no success."""
        path, _, query = path.partition("?")
        environ = {
            "REQUEST_METHOD": method,
            "PATH_INFO": path,
            "QUERY_STRING": query,
            "SERVER_NAME": "127.0.0.1",
            "SERVER_PORT": "80",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "REMOTE_ADDR": "127.0.0.1",
            "HTTP_COOKIE": self.cookie,
            "CONTENT_TYPE": kind,
            "CONTENT_LENGTH": str(len(body)),
            "wsgi.url_scheme": "http",
            "wsgi.input": BytesIO(body),
            "wsgi.errors": BytesIO(),
            **headers,
        }
        statuses: list[str] = []
        response = self.app(environ, lambda status, *_: statuses.append(status))  # type: ignore[arg-type]
        content = b"".join(response)
        response.close()
        assert statuses[0][0] in "23", f"{path}: {statuses[0]}"
        return content


def grow(to: int, *, rounds_a_studio: int = 20, reports_a_round: int = 50) -> None:
    """Fill the database up to that many reports, in studios of their own; each report marks twelve zones."""
    have = FitReport.objects.count()
    while have < to:
        studio = Studio.objects.create(name=f"Studio {next(_numbers)}")
        made = import_round(studio=studio, data=invented(0), by=None)
        pattern = made.version.pattern
        versions = Version.objects.bulk_create(
            Version(pattern=pattern, number=f"1.{i}", sizes=made.version.sizes, body_chart=made.version.body_chart)
            for i in range(rounds_a_studio)
        )
        rounds = Round.objects.bulk_create(Round(version=version, name="R", zones=made.zones) for version in versions)
        for found in rounds:
            _fill(found, min(reports_a_round, to - have))
            have += min(reports_a_round, to - have)


def _fill(found: Round, reports: int) -> None:
    chance, sizes = random.Random(found.pk), found.version.sizes  # noqa: S311
    now = timezone.now()
    places = Place.objects.bulk_create(
        Place(round=found, state=PlaceState.FINISHED, alias=f"T{i}", size=sizes[i % len(sizes)]) for i in range(reports)
    )
    rows = FitReport.objects.bulk_create(
        FitReport(place=place, version=found.version, size=place.size, submitted_at=now) for place in places
    )
    verdicts = (
        ZoneVerdict(report=row, zone=zone["key"], fit=chance.choice(FITS)) for row in rows for zone in found.zones
    )
    ZoneVerdict.objects.bulk_create(verdicts, batch_size=BATCH)
