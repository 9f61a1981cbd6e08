"""The demo's round: planned, called, sewn and reported through the app's own actions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from io import BytesIO

from django.utils import timezone

from measurements.lengths import read_length
from people.models import ConsentKind, Person, Role
from releases.models import FileKind, Version
from testing_rounds.actions.panel import apply, choose, invite_tester
from testing_rounds.actions.photos import add_photo, make_ready
from testing_rounds.actions.reports import new_print, save_fields, send_report
from testing_rounds.actions.rounds import open_call, plan_round, start_sewing
from testing_rounds.actions.visits import arrive, confirm_adult, give_consent
from testing_rounds.demo import cutting, scenario, signed, studio
from testing_rounds.demo.call import make_call
from testing_rounds.demo.photos import photo
from testing_rounds.demo.scenario import STILL_SEWING, Tester, testers
from testing_rounds.models import Experience, FitReport, Place, Round
from testing_rounds.round_store import zone_entry
from testing_rounds.zones import default_views, default_zones

# The round as it stands when a newcomer sees it: sewn for four weeks, two reports late.
STARTED, DUE, CLOSES = timedelta(days=28), timedelta(days=2), timedelta(days=12)


def build() -> Iterator[str]:
    """Make the demo, telling what is being made. Call in a transaction."""
    today = timezone.now().date()
    yield "studio and size chart"
    people = studio.make_people()
    made = studio.make_studio(people)
    designer = people[Role.DESIGNER]
    chart = studio.make_body_chart(made, designer)
    yield "pattern, version 0.9 and its files"
    version = studio.make_version(made, chart, designer)
    yield "round and panel"
    found = _round(version, today, designer)
    places = {one.name: _place(found, one, designer) for one in panel()}
    start_sewing(found=found, by=designer)
    yield "print checks"
    _replace_the_faulty_file(found.version, designer)
    yield "reports"
    for number, tester in enumerate(testers()):
        _report(places[tester.name], tester, number)
    _half_way(places[scenario.HALF_WAY])
    yield "photos"
    for seed, (name, views) in enumerate(scenario.PHOTOS.items()):
        _photos(places[name], views, seed)
    _spread_in_time(found, today)
    yield "sign-off"
    signed.sign(found.version, people[Role.REVIEWER])
    yield "a second pattern, its call and its applicants"
    make_call(made, chart, today, designer)


def panel() -> list[Tester]:
    """All who have a place: those who reported, and the two who still sew."""
    sewing = [
        Tester(name, size, body, 164.0, "letter", 10.0, 10.0, 0.0, 0.0, lost=False)
        for name, (size, body) in STILL_SEWING.items()
    ]
    return [*testers(), *sewing]


def _round(version: Version, today: date, by: Person) -> Round:
    chart = scenario.BODY
    fields = {
        "name": "Round 1",
        "call_closes": today - STARTED - timedelta(days=7),
        "starts": today - STARTED,
        "report_due": today - DUE,
        "closes": today + CLOSES,
        "per_size": 3,
        "gives": scenario.GIVES,
        "asks": scenario.ASKS,
        "zones": [zone_entry(zone.asked(chart)) for zone in default_zones("shirt")],
        "views": [view.key for view in default_views("shirt")],
    }
    found = plan_round(version=version, fields=fields, by=by)
    open_call(found=found, by=by)
    return found


def _place(found: Round, tester: Tester, by: Person) -> Place:
    """A volunteer applies, is chosen and invited, opens the link, and allows what the demo needs."""
    measures = {**tester.body, "height": tester.height}
    place = apply(
        found=found,
        fields={
            "name": tester.name,
            "email": f"{tester.name.lower()}@testers.example",
            "units": "cm",
            "wanted_size": tester.size,
            "experience": (Experience.SOME, Experience.MUCH, Experience.NEW)[len(tester.name) % 3],
            "paper": tester.paper,
            "rounds_before": len(tester.name) % 3,
            "note": "",
        },
        measures={key: read_length(f"{value:g}", "cm") for key, value in measures.items()},
    )
    choose(place=place, size=tester.size, by=by)
    invite_tester(place=place, by=by)
    if tester.name != scenario.INVITED:
        place = arrive(link=place.links.get())
        confirm_adult(place=place, adult=True)
        for kind in (ConsentKind.MEASUREMENTS, ConsentKind.PHOTOS):
            give_consent(place=place, kind=kind)
        _check_print(place, tester.paper, tester.first_square, cut=tester.cut_from_faulty_file)
    return place


def _check_print(place: Place, paper: str, square: float, *, cut: bool) -> None:
    fields = {"paper": paper, "print.across": f"{square:g}", "print.down": f"{square:g}"}
    save_fields(place=place, fields=fields | ({"print.cut_anyway": "yes"} if cut else {}), unit="cm")


def _replace_the_faulty_file(version: Version, by: Person) -> None:
    """Ten squares alike told that it was the file: the true one takes its place."""
    faulty = version.files.get(kind=FileKind.A4, replaced_at=None)
    studio.put_file(version, FileKind.A4, by, replaces=faulty)


def _report(place: Place, tester: Tester, number: int) -> None:
    if tester.square != tester.first_square:
        new_print(place=place)
        _check_print(place, tester.paper, tester.square, cut=False)
    fields = {**_verdicts(tester), **_toile(tester), **_about(tester, number)}
    saved = save_fields(place=place, fields=fields, unit="cm")
    if saved.refused:
        raise ValueError(f"{tester.name}: {saved.refused}")
    send_report(place=place)


def _verdicts(tester: Tester) -> dict[str, str]:
    """The zones marked, what was altered, and the word that all the rest is fine."""
    fields: dict[str, str] = {}
    for zone in scenario.MEANT:
        if fit := tester.fit(zone):
            fields[f"fit.{zone}"] = str(fit)
            if (change := tester.asks(zone)) is not None:
                fields[f"fit.{zone}.change"] = f"{change:g}"
    if tester.lengthened:
        fields |= {"fit.back_length": "0", "fit.back_length.altered": "yes"}
    if tester.name in scenario.LONE:
        zone, fit = scenario.LONE[tester.name]
        fields[f"fit.{zone}"] = str(fit)
    if tester.name in scenario.WORDS:
        zone, words = scenario.WORDS[tester.name]
        fields[f"fit.{zone}.words"] = words
    return fields | {"rest_fits": "yes"}


def _toile(tester: Tester) -> dict[str, str]:
    """Measured flat, so half of the girth, to the millimetre."""
    return {f"toile.{zone}": f"{tester.measures(zone) / 2:.2f}" for zone in ("bust", "waist")}


def _about(tester: Tester, number: int) -> dict[str, str]:
    fields = {
        "size": tester.size,
        "fabric": scenario.FABRICS[number % len(scenario.FABRICS)],
        "fabric_width": "140",
        "fabric_length": f"{cutting.USED[tester.size]}",
        "difficulty": str(2 + number % 3),
        "hours": scenario.HOURS[number % len(scenario.HOURS)],
    }
    if tester.lengthened:
        fields["changes_before"] = f"Lengthened the bodice by {tester.lengthened:g} cm before cutting, as I always do."
    if tester.lost:
        words = scenario.LOST_WORDS[number % len(scenario.LOST_WORDS)]
        fields |= {"step.9.disagrees": "yes", "step.9.disagrees.words": words}
    if tester.name in scenario.FOUND_OUT:
        fields |= {"step.9.instead": "yes", "step.9.instead.words": scenario.FOUND_OUT[tester.name]}
    return fields


def _half_way(place: Place) -> None:
    """A draft that was put down at the bust: a newcomer can go on with it."""
    fields = {"size": "14", "fit.back_length": "-1", "fit.neck": "0", "fabric": "cotton poplin", "hours": "to_6"}
    save_fields(place=place, fields=fields, unit="cm")


def _photos(place: Place, views: tuple[tuple[str, str], ...], seed: int) -> None:
    for count, (view, zone) in enumerate(views):
        content = photo(seed=seed * 3 + count, folds=[zone] if zone else [], back=view == "back")
        added = add_photo(
            place=place, view=view, source=BytesIO(content), size=len(content), upload_key=f"demo-{count}"
        )
        make_ready(added.ref)


def _spread_in_time(found: Round, today: date) -> None:
    """The reports came one by one over two weeks, not all in this minute."""
    reports = FitReport.objects.filter(place__round=found, submitted_at__isnull=False).order_by("id")
    for number, report in enumerate(reports):
        at = timezone.now() - timedelta(days=16 - number * 14 / max(1, len(reports)), minutes=37 * number % 600)
        FitReport.objects.filter(pk=report.pk).update(submitted_at=at)
