"""One tester of a panel, as the studio sees them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.chart_store import load_columns
from measurements.translated import in_words
from people.models import Consent, ConsentKind
from releases.size_page import place_lines
from testing_rounds.bodies import bodies_are_shown
from testing_rounds.consents import WORDS, standing
from testing_rounds.message_forms import unread
from testing_rounds.models import FitReport, Place, PlaceState, PrintCheck, RoundState
from testing_rounds.panel_page import Against, Body, is_late
from testing_rounds.place_advice import advise_place, pattern_facts
from testing_rounds.print_check import PrintVerdict, judge

IN_WORK = (RoundState.CALL_OPEN, RoundState.SEWING)


@dataclass(frozen=True)
class May:
    """What can be done with a place in its state; the page offers this and no more."""

    choose: bool
    invite: bool
    invite_again: bool
    new_link: bool
    reserve: bool
    decline: bool
    back: bool
    drop: bool
    revoke: bool


def place_context(place: Place) -> dict[str, Any]:
    found, version = place.round, place.round.version
    reports = list(place.reports.all())
    link = place.links.order_by("-pk").first()
    live = bool(link and link.is_live(timezone.now()))
    consents, shown = standing([place])[place.ref], bodies_are_shown(found)
    return {
        "place": place,
        "round": found,
        "version": version,
        "pattern": version.pattern,
        "measured": _measured(place, consents) if shown else [],
        "put_away": bool(place.body and not shown),
        **(_advised(place, consents) if shown else {"advice": None}),
        "compared": place.size or place.advised_size,
        "blends": _blends(place),
        "consents": [(words.title, consents.get(words.kind)) for words in WORDS],
        "prints": _prints(place),
        "link": link,
        "link_is_live": live,
        "reports": reports,
        "sent": next((report for report in reports if report.submitted_at), None),
        "unread": unread(place, by_tester=False),
        "written": place.messages.count(),
        "late": is_late(place, _sent_or_first(reports), timezone.now().date()),
        "may": may(place, live=live),
        "sizes": version.sizes,
        "prefilled": place.size or place.advised_size or place.wanted_size,
    }


def may(place: Place, *, live: bool) -> May:
    state, opened = place.state, place.round.state in IN_WORK
    waiting = state in {PlaceState.APPLIED, PlaceState.RESERVE}
    gone = state == PlaceState.DROPPED_OUT
    chosen = state == PlaceState.APPLIED and bool(place.size)
    return May(
        choose=waiting or state == PlaceState.INVITED,
        invite=opened and (chosen or (gone and bool(place.size))),
        invite_again=opened and state == PlaceState.INVITED,
        new_link=state in {PlaceState.ACCEPTED, PlaceState.FINISHED} or (gone and bool(place.accepted_at)),
        reserve=state == PlaceState.APPLIED,
        decline=waiting,
        back=not place.accepted_at and (chosen or state in {PlaceState.RESERVE, PlaceState.INVITED} or gone),
        drop=waiting or state in {PlaceState.INVITED, PlaceState.ACCEPTED},
        revoke=live,
    )


def _advised(place: Place, consents: dict[str, Consent]) -> dict[str, Any]:
    """What size advice says of the tester's measurements today, with its reasons; nothing without consent."""
    if place.body is None or ConsentKind.MEASUREMENTS not in consents:
        return {"advice": None}
    facts = pattern_facts(place.round.version)
    advice = advise_place(place, {value.key: value.mm for value in place.body.values.all()}, facts)
    if advice is None:
        return {"advice": None}
    return {"advice": advice, "reasons": list(map(in_words, advice.reasons)), "lines": place_lines(advice, facts)}


def _measured(place: Place, consents: dict[str, Consent]) -> list[Against]:
    """Every measurement of the tester beside the chart, in the order of the catalogue; none without consent."""
    if place.body is None or ConsentKind.MEASUREMENTS not in consents:
        return []
    version = place.round.version
    chart = load_columns([version.body_chart])[version.body_chart.pk] if version.body_chart else {}
    own = {value.key: value.mm for value in place.body.values.all()}
    body = Body(own, chart, version.pattern.height_mm)
    order = [measure.key for measure in BODY_MEASURES if measure.key in own]
    order += [key for key in own if key not in BODY_MEASURES]
    found = (body.against(key, place.size or place.advised_size) for key in order)
    return [one for one in found if one is not None]


def _blends(place: Place) -> list[tuple[str, str]]:
    """The zones cut in another size, by name."""
    labels = {entry["key"]: _(entry["label"]) for entry in place.round.zones}
    return [(capfirst(labels.get(key, key)), size) for key, size in place.sizes.items()]


def _prints(place: Place) -> list[tuple[PrintCheck, PrintVerdict]]:
    square = place.round.version.test_square_mm
    return [(check, judge(check, square)) for check in place.print_checks.all()]


def _sent_or_first(reports: list[FitReport]) -> FitReport | None:
    return next((report for report in reports if report.submitted_at), reports[0] if reports else None)
