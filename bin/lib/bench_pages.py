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
from testing_rounds.actions.readings import read_and_keep
from testing_rounds.actions.reports import save_fields
from testing_rounds.models import FitReport, Round

FLOOR = "floor"
TESTERS = ("test", "test_measures", "test_size", "test_print", "test_fit", "test_photos", "test_last", "test_send")
STUDIOS = ("round", "panel")
# After a report came in: once the worker has read the round again (a second later), and before.
ANEW, UNREAD = "round, after a change", "round, before the worker has read it"


def pages(*, full: bool) -> list[Figure]:
    world = World()
    found = world.round(40)
    owner, asked = world.owner_s_browser(), _pages_of(world, found)
    calls: dict[str, Callable[[], object]] = {FLOOR: partial(owner.get, f"/floor/{found.ref}/"), **asked}
    times = interleaved(calls, rounds=60 if full else 25, before=_changes(found))
    figures = [Figure("floor: a signed-in table of 10 x 12", times[FLOOR], "ms")]
    for name in asked:
        ratio, came = over(name, FLOOR, times)
        figures.append(Figure(f"{name}, over the floor", ratio, bar=_bar(name), came=came))
    return figures


def _bar(name: str) -> float | None:
    if name.startswith("round"):
        return 3.0 if name in {"round", ANEW, UNREAD} else None
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
        ANEW: partial(owner.get, reverse("round", args=[found.ref])),
        UNREAD: partial(owner.get, reverse("round", args=[found.ref])),
        "round_zone": partial(owner.get, reverse("round_zone", args=[found.ref, zone])),
        "round_size": partial(owner.get, reverse("round_size", args=[found.ref, 2])),
        "report": partial(owner.get, reverse("report", args=[report.ref])),
        **{name: partial(phone.get, reverse(name, args=[place.ref])) for name in TESTERS},
        "test_zone": partial(phone.get, reverse("test_zone", args=[place.ref, zone])),
    }


def _changes(found: Round) -> dict[str, Callable[[], None]]:
    """What happens before the overview is asked for after a change: nothing that was drawn before can be used."""

    def changed() -> None:
        Round.objects.filter(pk=found.pk).update(revision=F("revision") + 1)

    def changed_and_read() -> None:
        changed()
        read_and_keep(Round.objects.get(pk=found.pk))

    return {ANEW: changed_and_read, UNREAD: changed}


def queries(*, full: bool) -> list[Figure]:
    counts: dict[str, list[int]] = {}
    for reports in (40, 400, 4_000):
        world = World()
        found = world.round(reports)
        changes = _changes(found)
        for name, call in _pages_of(world, found).items():
            call()
            changes.get(name, int)()
            counts.setdefault(name, []).append(_queries(call))
    return [
        Figure(
            f"queries of {name}", max(found), "", bar=12 if len(set(found)) == 1 else 0, came=", ".join(map(str, found))
        )
        for name, found in counts.items()
    ]


def _queries(call: Callable[[], object]) -> int:
    """Statements of one call that read, or begin and end a transaction."""
    reset_queries()
    with CaptureQueriesContext(connection) as asked:
        call()
    return sum(not query["sql"].startswith("PRAGMA") for query in asked.captured_queries)


def growth(*, full: bool) -> list[Figure]:
    world = World()
    found = world.round(40)
    owner: Browser = world.owner_s_browser()
    calls: dict[str, Callable[[], object]] = {
        FLOOR: partial(owner.get, f"/floor/{found.ref}/"),
        "round": partial(owner.get, reverse("round", args=[found.ref])),
        ANEW: partial(owner.get, reverse("round", args=[found.ref])),
        "studio": partial(owner.get, reverse("studio", args=[world.studio.ref])),
    }
    changes = _changes(found)
    small, large = 1_000, 100_000 if full else 10_000
    measured = []
    for reports in (small, large):
        grow(reports)
        measured.append((interleaved(calls, rounds=40, before=changes), waited(calls, rounds=100, before=changes)))
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
        bar = 150 if name == "round" else 60 if name.startswith("test") else None
        figures.append(Figure(f"{name}, its page", len(call()) / 1000, "kB", bar=bar))
    return figures
