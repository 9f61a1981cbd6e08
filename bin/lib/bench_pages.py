"""Pages: their CPU over the floor, their queries, their growth with the database, their sizes."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django.db import connection, reset_queries
from django.db.models import F
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from lib.bench_figures import Figure, interleaved, over, waited
from lib.bench_world import Browser, World, grow
from testing_rounds.actions.reports import save_fields
from testing_rounds.models import FitReport, Round

FLOOR = "floor"
TESTERS = ("test", "test_measures", "test_size", "test_print", "test_fit", "test_photos", "test_last", "test_send")
STUDIOS = ("round", "panel")
ANEW = "round, after a change"


def pages(*, full: bool) -> list[Figure]:
    world = World()
    found = world.round(40)
    owner, asked = world.owner_s_browser(), _pages_of(world, found)
    calls: dict[str, Callable[[], object]] = {FLOOR: partial(owner.get, f"/floor/{found.ref}/"), **asked}
    times = interleaved(calls, rounds=60 if full else 25)
    figures = [Figure("floor: a signed-in table of 10 x 12", times[FLOOR], "ms")]
    for name in asked:
        ratio, came = over(name, FLOOR, times)
        figures.append(Figure(f"{name}, over the floor", ratio, bar=_bar(name), came=came))
    return figures


def _bar(name: str) -> float | None:
    if name.startswith("round"):
        return 3.0 if name in {"round", ANEW} else None
    return 1.5 if name.startswith("test") else None


def _pages_of(world: World, found: Round) -> dict[str, Callable[[], bytes]]:
    owner = world.owner_s_browser()
    place, phone = world.tester(found)
    zone = found.zones[0]["key"]
    fields = {"body.bust": "93", "body.waist": "75", f"fit.{zone}": "-1", f"fit.{found.zones[1]['key']}": "0"}
    save_fields(place=place, fields=fields, unit="cm")
    report = FitReport.objects.filter(place__round=found, submitted_at__isnull=False)[0]
    return {
        **{name: partial(owner.get, reverse(name, args=[found.ref])) for name in STUDIOS},
        ANEW: partial(_anew, owner, found),
        "round_zone": partial(owner.get, reverse("round_zone", args=[found.ref, zone])),
        "round_size": partial(owner.get, reverse("round_size", args=[found.ref, 2])),
        "report": partial(owner.get, reverse("report", args=[report.ref])),
        **{name: partial(phone.get, reverse(name, args=[place.ref])) for name in TESTERS},
        "test_zone": partial(phone.get, reverse("test_zone", args=[place.ref, zone])),
    }


def _anew(owner: Browser, found: Round) -> bytes:
    """The overview after a change, such as a report that came in: nothing that was drawn before can be used."""
    Round.objects.filter(pk=found.pk).update(revision=F("revision") + 1)
    return owner.get(reverse("round", args=[found.ref]))


def queries(*, full: bool) -> list[Figure]:
    counts: dict[str, list[int]] = {}
    for reports in (40, 400, 4_000):
        world = World()
        for name, call in _pages_of(world, world.round(reports)).items():
            call()
            counts.setdefault(name, []).append(_queries(call))
    return [
        Figure(
            f"queries of {name}", max(found), "", bar=12 if len(set(found)) == 1 else 0, came=", ".join(map(str, found))
        )
        for name, found in counts.items()
    ]


def _queries(call: Callable[[], object]) -> int:
    """Statements of one call that read, or begin and end a transaction: not the change that the bench itself makes."""
    reset_queries()
    with CaptureQueriesContext(connection) as asked:
        call()
    return sum(not query["sql"].startswith(("PRAGMA", "UPDATE")) for query in asked.captured_queries)


def growth(*, full: bool) -> list[Figure]:
    world = World()
    found = world.round(40)
    owner: Browser = world.owner_s_browser()
    calls: dict[str, Callable[[], object]] = {
        FLOOR: partial(owner.get, f"/floor/{found.ref}/"),
        "round": partial(owner.get, reverse("round", args=[found.ref])),
        ANEW: partial(_anew, owner, found),
        "studio": partial(owner.get, reverse("studio", args=[world.studio.ref])),
    }
    small, large = 1_000, 100_000 if full else 10_000
    measured = []
    for reports in (small, large):
        grow(reports)
        measured.append((interleaved(calls, rounds=40), waited(calls, rounds=100)))
    figures = []
    for at, (what, bar) in enumerate([("CPU", 1.10), ("95 of 100 within", 1.3)]):
        before, after = (one[at] for one in measured)
        own = after[FLOOR] / before[FLOOR]
        for name in calls:
            if name != FLOOR:
                grown = after[name] / before[name] / own
                came = f"{before[name]:.1f} to {after[name]:.1f} ms; floor {before[FLOOR]:.1f} to {after[FLOOR]:.1f}"
                figures.append(Figure(f"{name}, {what}, {small:,} to {large:,} reports", grown, bar=bar, came=came))
    return figures


def sizes(*, full: bool) -> list[Figure]:
    world = World()
    found = world.round(40)
    asked = _pages_of(world, found)
    figures = []
    for name, call in asked.items():
        bar = 150 if name in {"round", ANEW} else 60 if name.startswith("test") else None
        figures.append(Figure(f"{name}, its page", len(call()) / 1000, "kB", bar=bar))
    return figures
