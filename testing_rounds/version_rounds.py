"""What rounds add to a version's page and to the studio's list: where each stands, and what is next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.models import Version
from releases.registry import NextStep
from testing_rounds.models import PlaceState, Round, RoundState

SEWS = (PlaceState.INVITED, PlaceState.ACCEPTED, PlaceState.FINISHED)


@dataclass(frozen=True)
class RoundLine:
    """One round of a version: where it stands in a sentence, and the page that matters now."""

    round: Round
    standing: str
    url: str


def version_part(request: HttpRequest, version: Version) -> Mapping[str, Any]:
    """The rounds of a version, the newest first."""
    return {"rounds": [RoundLine(one, _standing(one), _page(one)) for one in _counted(version.rounds.all())]}


def next_steps(versions: Sequence[Version]) -> dict[int, NextStep]:
    """{version pk: what is next} by the newest round of each; one query for all of them."""
    found: dict[int, NextStep] = {}
    for one in _counted(Round.objects.filter(version__in=versions)):
        if one.version_id not in found:
            found[one.version_id] = NextStep(f"{one.name}: {_standing(one)}", _action(one), _page(one))
    return found


def _counted(rounds: QuerySet[Round]) -> QuerySet[Round]:
    return rounds.annotate(
        applied=Count("places", filter=Q(places__state=PlaceState.APPLIED, places__size=""), distinct=True),
        sewing=Count("places", filter=Q(places__state__in=SEWS), distinct=True),
        sent=Count("places", filter=Q(places__reports__submitted_at__isnull=False), distinct=True),
    ).order_by("-created", "-id")  # counting drops the order of the model


def _standing(one: Any) -> str:
    if one.state == RoundState.PLANNED:
        return _("planned, and the call is not open yet.")
    if one.state == RoundState.CALL_OPEN:
        said = ngettext(
            "the call is open, %(applied)s application waits, %(sewing)s invited.",
            "the call is open, %(applied)s applications wait, %(sewing)s invited.",
            one.applied,
        )
        return said % {"applied": one.applied, "sewing": one.sewing}
    counts = {"sent": one.sent, "all": max(one.sewing, one.sent)}
    if one.state == RoundState.SEWING:
        return _("being sewn, %(sent)s of %(all)s have reported.") % counts
    return _("closed, %(sent)s of %(all)s have reported.") % counts


def _action(one: Round) -> str:
    return {
        RoundState.PLANNED: _("Open the call"),
        RoundState.CALL_OPEN: _("Choose testers"),
        RoundState.SEWING: _("Read the reports"),
        RoundState.CLOSED: _("Read the reports"),
    }[RoundState(one.state)]


def _page(one: Round) -> str:
    """The panel until it is sewn; then the reports."""
    sewn = one.state in {RoundState.SEWING, RoundState.CLOSED}
    return reverse("round" if sewn else "panel", args=[one.ref])
