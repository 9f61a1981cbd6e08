"""A round from its plan to its close."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from people import audit
from people.models import Person
from releases.actions.refused import Refused
from releases.actions.versions import begin_testing
from releases.models import Version
from testing_rounds.actions.touch import touch_round
from testing_rounds.models import Round, RoundState, ZoneVerdict

PLAN = (
    "name",
    "call_closes",
    "starts",
    "report_due",
    "closes",
    "per_size",
    "gives",
    "asks",
    "zones",
    "views",
)
# Where a round may go next. A call may be opened again while it is sewn, and a closed round may go on.
MOVES: Mapping[str, tuple[str, ...]] = {
    RoundState.PLANNED: (RoundState.CALL_OPEN, RoundState.SEWING),
    RoundState.CALL_OPEN: (RoundState.SEWING, RoundState.CLOSED),
    RoundState.SEWING: (RoundState.CALL_OPEN, RoundState.CLOSED),
    RoundState.CLOSED: (RoundState.SEWING,),
}


@transaction.atomic
def plan_round(*, version: Version, fields: Mapping[str, Any], by: Person) -> Round:
    """A planned round of this version.

    `fields`: name, call_closes, starts, report_due, closes (dates or None), per_size, gives, asks, zones (each as in
    a round file), views (keys); finished_due where finished garments are asked for.
    """
    made = Round(version=version)
    _fill(made, fields)
    made.save()
    _tell(made, by, "round_planned", fields)
    return made


@transaction.atomic
def change_plan(*, found: Round, fields: Mapping[str, Any], by: Person) -> Round:
    """Write the plan anew. Raises Refused when a zone that testers have answered is left out."""
    held = _held(found)
    _keep_answered_zones(held, {entry["key"] for entry in fields["zones"]})
    _fill(held, fields)
    held.save()
    touch_round(held.pk)
    _tell(held, by, "round_plan_changed", fields)
    return held


def open_call(*, found: Round, by: Person) -> Round:
    """Let strangers apply, for the first time or again. From here the version is in testing. Raises Refused."""
    return _move(found, RoundState.CALL_OPEN, "call_opened", by)


def start_sewing(*, found: Round, by: Person) -> Round:
    """End the call, or go on with a round that was closed. From here the version is in testing. Raises Refused."""
    return _move(found, RoundState.SEWING, "sewing_started", by)


def close_round(*, found: Round, by: Person) -> Round:
    """Nothing more is written by testers; everything stays to be read. Raises Refused."""
    return _move(found, RoundState.CLOSED, "round_closed", by)


@transaction.atomic
def _move(found: Round, to: str, verb: str, by: Person) -> Round:
    """Go to another state; to the one it is in already changes nothing, so that a second tap does no harm."""
    held = _held(found)
    if held.state == to:
        return held
    if to not in MOVES[held.state]:
        raise Refused(
            _("This round is %(state)s, so that is no longer possible.") % {"state": held.get_state_display()}
        )
    _ready_to_sew(held)
    begin_testing(version=held.version, by=by)
    held.state = to
    held.save(update_fields=["state"])
    found.state = to
    touch_round(held.pk)
    _tell(held, by, verb)
    return held


def _ready_to_sew(found: Round) -> None:
    if not found.version.sizes:
        raise Refused(_("Give the version its sizes first: testers apply for a size."))
    if not found.zones:
        raise Refused(_("Choose first what testers are asked about: the plan names no zones yet."))


def _keep_answered_zones(found: Round, asked: set[str]) -> None:
    left_out = {entry["key"]: entry["label"] for entry in found.zones if entry["key"] not in asked}
    answered = ZoneVerdict.objects.filter(report__place__round=found, zone__in=left_out).values_list("zone", flat=True)
    names = [left_out[key] for key in left_out if key in set(answered)]
    if names:
        said = _("Testers have already answered about %(zones)s: that has to stay.")
        raise Refused(said % {"zones": ", ".join(names)})


def _fill(found: Round, fields: Mapping[str, Any]) -> None:
    for name in PLAN:
        setattr(found, name, fields[name])
    if "finished_due" in fields:
        found.finished_due = fields["finished_due"]


def _held(found: Round) -> Round:
    """The round as it stands, held until the transaction ends."""
    return Round.objects.select_for_update(of=["self"]).select_related("version__pattern__studio").get(pk=found.pk)


def _tell(found: Round, by: Person, verb: str, content: Any = None) -> None:
    audit.record(studio=found.version.pattern.studio, by=by, verb=verb, thing=found, content=content)
