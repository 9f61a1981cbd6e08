"""A round's panel as its page shows it. The number of queries is the same for 4 testers as for 400."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef
from django.utils import timezone
from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.chart_store import load_columns
from measurements.models import BodyValue, ChartRevision, ChartRow
from measurements.translated import in_words
from people.models import ConsentKind
from testing_rounds.bodies import bodies_are_shown
from testing_rounds.call_forms import papers
from testing_rounds.consents import standing
from testing_rounds.coverage import Seat, SizeCover, cover, hints, one_more
from testing_rounds.due import due_day
from testing_rounds.models import FitReport, Place, PlaceState, Round, TesterLink
from testing_rounds.place_advice import fitted_places

MINUS = "−"
LEAST_SHOWN_MM = Decimal("0.5")
STILL_SEWING = frozenset({PlaceState.INVITED, PlaceState.ACCEPTED})
# Within a size: who sews, who could, who waits, who is gone.
RANK = {
    PlaceState.FINISHED: 0,
    PlaceState.ACCEPTED: 0,
    PlaceState.INVITED: 0,
    PlaceState.APPLIED: 2,
    PlaceState.RESERVE: 3,
    PlaceState.DROPPED_OUT: 4,
}


@dataclass(frozen=True)
class Against:
    """One measurement of a tester beside what the pattern is drafted for, both in mm."""

    key: str
    name: str
    own_mm: Decimal
    chart_mm: Decimal | None

    @property
    def off_mm(self) -> Decimal | None:
        return None if self.chart_mm is None else self.own_mm - self.chart_mm

    @property
    def by_mm(self) -> Decimal | None:
        """How far it is off, without the direction."""
        return None if self.off_mm is None else abs(self.off_mm)

    @property
    def sign(self) -> str:
        """None for what shows as nought."""
        if self.off_mm is None or abs(self.off_mm) < LEAST_SHOWN_MM:
            return ""
        return "+" if self.off_mm > 0 else MINUS


@dataclass(frozen=True)
class Row:
    """One person on the page; `against` holds one entry a column, None where nothing is known."""

    place: Place
    seat: Seat
    against: tuple[Against | None, ...]
    report: FitReport | None
    late: bool
    has_link: bool

    @property
    def prefilled(self) -> str:
        """The size that a choice starts from."""
        return self.seat.group


@dataclass(frozen=True)
class Group:
    """One size with its people; `cover` is None for those in no size of the version."""

    cover: SizeCover | None
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Body:
    """A tester's measurements while their consent stands, and what they are compared with."""

    own: Mapping[str, Decimal]
    chart: Mapping[str, Mapping[str, Decimal]]
    height_mm: Decimal | None

    def against(self, key: str, size: str) -> Against | None:
        if key not in self.own:
            return None
        there = self.height_mm if key == "height" else self.chart.get(key, {}).get(size)
        return Against(key, measure_name(key), self.own[key], there)


def measure_name(key: str) -> str:
    return _(BODY_MEASURES[key].name) if key in BODY_MEASURES else key.replace("_", " ").capitalize()


def is_late(place: Place, report: FitReport | None, today: date) -> bool:
    """Whether a report is overdue: somebody was invited, the day has passed, and nothing was sent."""
    due = due_day(place)
    sent = report is not None and report.submitted_at is not None
    return bool(due and today > due and place.state in STILL_SEWING and not sent)


class Panel:
    """Everybody of a round, read at once."""

    def __init__(self, found: Round) -> None:
        self.round, self.version = found, found.version
        self.today = timezone.now().date()
        opens = TesterLink.objects.live(timezone.now()).filter(place=OuterRef("pk"))
        self.places = list(found.places.annotate(has_link=Exists(opens)))
        for place in self.places:
            place.round = found
        self.reports = _first_reports(FitReport.objects.filter(place__round=found).order_by("id"))
        chart = self.version.body_chart
        self.chart = load_columns([chart])[chart.pk] if chart else {}
        self.breaks = breaks_of(chart)
        self.papers = papers(self.version)
        self.bodies = self._bodies()
        self.columns = [key for key in fitted_places(self.version) if key in self.chart] + ["height"]
        self.rows = [self._row(place) for place in self.places]

    def _bodies(self) -> dict[int, Body]:
        """Measurements of those whose consent stands, while the round needs them."""
        if not bodies_are_shown(self.round):
            return {}
        allowed = standing(self.places)
        owned: dict[int, dict[str, Decimal]] = defaultdict(dict)
        for value in BodyValue.objects.filter(record__place__round=self.round).select_related("record__place"):
            owned[value.record.place.pk][value.key] = value.mm
        height = self.version.pattern.height_mm
        return {
            place.pk: Body(owned[place.pk], self.chart, height)
            for place in self.places
            if place.pk in owned and ConsentKind.MEASUREMENTS in allowed[place.ref]
        }

    def _row(self, place: Place) -> Row:
        body, report = self.bodies.get(place.pk), self.reports.get(place.pk)
        seat = self._seat(place, body)
        against = tuple(body.against(key, seat.group) if body else None for key in self.columns)
        late = is_late(place, report, self.today)
        return Row(place, seat, against, report, late, place.has_link)  # type: ignore[attr-defined]

    def _seat(self, place: Place, body: Body | None) -> Seat:
        tall = body.against("height", "") if body else None
        return Seat(
            state=place.state,
            size=place.size,
            advised=place.advised_size,
            # Where the advice finds no size for a body, the tester's own guess is no place on the tape either.
            wanted="" if body and not place.advised_size else place.wanted_size,
            experience=place.experience,
            paper=place.paper,
            rounds_before=place.rounds_before,
            height_off_mm=tall.off_mm if tall else None,
        )

    @property
    def seats(self) -> list[Seat]:
        return [row.seat for row in self.rows]

    @property
    def cover(self) -> tuple[SizeCover, ...]:
        more = one_more(self.version.sizes, self.breaks)
        return cover(self.version.sizes, self.round.per_size, self.seats, more)

    @property
    def groups(self) -> list[Group]:
        """Every size in its order, then those in none; within a size who sews comes first."""
        by_size: dict[str, list[Row]] = defaultdict(list)
        for row in sorted(self.rows, key=_rank):
            by_size[row.seat.group if row.seat.group in self.version.sizes else ""].append(row)
        groups = [Group(one, tuple(by_size[one.size])) for one in self.cover]
        return [*groups, *([Group(None, tuple(by_size[""]))] if by_size[""] else [])]

    @property
    def hints(self) -> list[str]:
        found = hints(self.version.sizes, self.seats, papers=self.papers, breaks=self.breaks)
        return [in_words(one) for one in found]

    @property
    def chosen(self) -> list[Row]:
        """Chosen and not invited yet."""
        return [row for row in self.rows if row.place.state == PlaceState.APPLIED and row.place.size]

    def context(self) -> dict[str, Any]:
        panel = [row for row in self.rows if row.seat.on_panel]
        return {
            "columns": [measure_name(key) for key in self.columns],
            "groups": self.groups,
            "cover": self.cover,
            "one_more": one_more(self.version.sizes, self.breaks),
            "hints": self.hints,
            "chosen": self.chosen,
            "late": [row for row in self.rows if row.late],
            "on_panel": len(panel),
            "asked": sum(one.asked for one in self.cover),
            "reported": sum(bool(row.report and row.report.submitted_at) for row in self.rows),
            "waiting": sum(seat.waiting for seat in self.seats),
            "needed": [one.size for one in self.cover if one.needed],
            "papers": self.papers,
        }


def _rank(row: Row) -> tuple[int, int]:
    chosen = row.place.state == PlaceState.APPLIED and bool(row.place.size)
    return (1 if chosen else RANK[PlaceState(row.place.state)], row.place.pk)


def _first_reports(reports: Iterable[FitReport]) -> dict[int, FitReport]:
    """{place pk: its first report}; one that was sent before one that was not."""
    found: dict[int, FitReport] = {}
    for report in reports:
        first = found.setdefault(report.place_id, report)
        if report.submitted_at and not first.submitted_at:
            found[report.place_id] = report
    return found


def breaks_of(chart: ChartRevision | None) -> set[str]:
    """The sizes at which a break of this chart is declared; none without a chart."""
    return {size for row in ChartRow.objects.filter(revision=chart) for size in row.breaks} if chart else set()
