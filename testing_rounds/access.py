"""Gatekeepers of rounds, reports and testers' places: the thing, or 404 to a stranger.

A tester is not signed in as a person: the session holds the link that was opened, and each request asks whether
that link still lives. Revoking it ends the visit at once.
"""

from __future__ import annotations

from django.http import Http404, HttpRequest
from django.utils import timezone

from people.access import EVERY_ROLE, membership_for
from testing_rounds.evidence import stored_with
from testing_rounds.models import FitReport, Place, PlaceState, Round, Stage, TesterLink

SESSION_KEY = "tester_links"


def round_for(
    request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE, *, with_reading: bool = False
) -> Round:
    """The round of that ref, for its studio's people in one of the roles; `with_reading`: with what is read of it."""
    rounds = stored_with(Round.objects.all()) if with_reading else Round.objects.all()
    found = (
        rounds.select_related(
            "version__pattern__studio", "version__body_chart__chart", "version__finished_chart__chart"
        )
        .filter(ref=ref)
        .first()
    )
    if found is None:
        raise Http404
    membership_for(request, found.version.pattern.studio, roles)
    return found


def report_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> FitReport:
    """A submitted report of that ref, for its studio's people in one of the roles."""
    report = (
        FitReport.objects.select_related(
            "place__round__version__pattern__studio",
            "place__round__version__body_chart__chart",
            "place__round__version__finished_chart",
            "version",
        )
        .filter(ref=ref, submitted_at__isnull=False)
        .first()
    )
    if report is None:
        raise Http404
    membership_for(request, report.place.round.version.pattern.studio, roles)
    return report


def place_for(request: HttpRequest, ref: str, roles: frozenset[str] = EVERY_ROLE) -> Place:
    """The tester's place of that ref, for its studio's people in one of the roles."""
    place = (
        Place.objects.select_related(
            "round__version__pattern__studio",
            "round__version__body_chart__chart",
            "round__version__finished_chart",
            "body",
        )
        .filter(ref=ref)
        .first()
    )
    if place is None:
        raise Http404
    membership_for(request, place.round.version.pattern.studio, roles)
    return place


def own_place(request: HttpRequest, visit: str) -> Place:
    """The tester's own place, if this browser opened a link to it that still lives; else 404.

    `visit` is its ref, or its ref and the finished garment (Place.visit).
    """
    ref, dot, stage = visit.partition(".")
    if dot and stage != Stage.FINISHED:
        raise Http404
    link_refs, now = request.session.get(SESSION_KEY, []), timezone.now()
    # Every page of a tester asks this: what can be told from the row itself is not asked of the database.
    links = TesterLink.objects.filter(ref__in=link_refs, place__ref=ref)
    opened = links.select_related("place__round__version__pattern__studio")
    place = next((link.place for link in opened if link.is_live(now)), None)
    if place is None or place.state in {PlaceState.APPLIED, PlaceState.RESERVE}:
        raise Http404
    place.stage = stage or Stage.TOILE.value
    return place
