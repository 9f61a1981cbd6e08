"""What the pages of a version and of a studio say of its rounds: registered with releases, which knows no rounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import Count, Q, QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from releases.models import Version
from releases.registry import NextStep, VersionPart, add_next_step, add_version_part
from testing_rounds.models import PlaceState, Round, RoundState

SEWING = (PlaceState.ACCEPTED, PlaceState.FINISHED)
ACTIONS = {
    RoundState.PLANNED: gettext_lazy("Open the plan"),
    RoundState.CALL_OPEN: gettext_lazy("Choose testers"),
    RoundState.SEWING: gettext_lazy("Read the reports"),
    RoundState.CLOSED: gettext_lazy("Open the evidence"),
}


def register() -> None:
    add_version_part(VersionPart("rounds", "testing_rounds/version_rounds.html", rounds_part))
    add_next_step(next_steps)


def rounds_part(request: HttpRequest, version: Version) -> dict[str, Any]:
    """The rounds of a version, newest first, with a sentence each."""
    found = _counted(Round.objects.filter(version=version)).order_by("-created", "-id")
    return {"rounds": [{"round": one, "step": _step(one)} for one in found]}


def next_steps(versions: Sequence[Version]) -> Mapping[int, NextStep]:
    """By version, what its newest round waits for; in one query for all of them."""
    # Oldest first, so that the newest one stands.
    rounds = _counted(Round.objects.filter(version__in=versions)).order_by("created", "id")
    return {one.version_id: _step(one) for one in rounds}


def _counted(rounds: QuerySet[Round]) -> QuerySet[Round]:
    """Each round with how many applied, sew, and have sent a report. Counting drops the usual order."""
    return rounds.annotate(
        applied=Count("places", distinct=True),
        sewing=Count("places", filter=Q(places__state__in=SEWING), distinct=True),
        sent=Count("places__reports", filter=Q(places__reports__submitted_at__isnull=False), distinct=True),
    )


def _step(one: Any) -> NextStep:
    state = RoundState(one.state)
    page = "panel" if state == RoundState.CALL_OPEN else "round"
    return NextStep(_standing(one, state), str(ACTIONS[state]), reverse(page, args=[one.ref]))


def _standing(one: Any, state: RoundState) -> str:
    name = {"name": one.name}
    if state == RoundState.PLANNED:
        return _("%(name)s is planned; its call is not open yet.") % name
    if state == RoundState.CALL_OPEN:
        said = ngettext(
            "%(name)s calls for testers; %(count)s has applied.",
            "%(name)s calls for testers; %(count)s have applied.",
            one.applied,
        )
        return said % {**name, "count": one.applied}
    if state == RoundState.SEWING:
        said = ngettext(
            "%(name)s is being sewn; %(sent)s of %(count)s report is in.",
            "%(name)s is being sewn; %(sent)s of %(count)s reports are in.",
            one.sewing,
        )
        return said % {**name, "sent": one.sent, "count": one.sewing}
    said = ngettext("%(name)s is closed with %(sent)s report.", "%(name)s is closed with %(sent)s reports.", one.sent)
    return said % {**name, "sent": one.sent}
