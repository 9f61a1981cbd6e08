"""The situation of a panel, in sentences."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from releases.situation import listed
from testing_rounds.models import RoundState
from testing_rounds.panel_page import Panel


def headline(panel: Panel) -> str:
    """What a designer needs to know first."""
    state = panel.round.state
    if state in {RoundState.SEWING, RoundState.CLOSED}:
        return _sewing(panel, closed=state == RoundState.CLOSED)
    if state == RoundState.PLANNED and not panel.places:
        return _("The call is not open yet, so nobody can apply.")
    if not panel.places:
        return _("The call is open, and nobody has applied yet.")
    return _filled(panel)


def _filled(panel: Panel) -> str:
    there = sum(seat.on_panel for seat in panel.seats)
    asked = sum(one.asked for one in panel.cover)
    waiting = sum(seat.waiting for seat in panel.seats)
    if not any(one.needed for one in panel.cover):
        return _("Every size has its testers.")
    if not there:
        return ngettext("One person has applied.", "%(count)s people have applied.", waiting) % {"count": waiting}
    return _("%(there)s of %(asked)s places are filled.") % {"there": there, "asked": asked}


def _sewing(panel: Panel, *, closed: bool) -> str:
    there = sum(seat.on_panel for seat in panel.seats)
    sent = sum(bool(row.report and row.report.submitted_at) for row in panel.rows)
    late = sum(row.late for row in panel.rows)
    counts = {"sent": sent, "all": there, "late": late}
    if not there:
        return _("Nobody is on the panel.")
    if closed:
        return _("The round is closed: %(sent)s of %(all)s reports came in.") % counts
    if late:
        said = ngettext(
            "%(sent)s of %(all)s reports are in, one is late.",
            "%(sent)s of %(all)s reports are in, %(late)s are late.",
            late,
        )
        return said % counts
    return _("%(sent)s of %(all)s reports are in.") % counts


def needs(panel: Panel) -> str:
    """Which sizes still lack testers, or nothing."""
    short = [one for one in panel.cover if one.needed]
    if not short or panel.round.state == RoundState.CLOSED:
        return ""
    if len(short) == len(panel.version.sizes):
        return _("Every size still needs testers.")
    said = ngettext("Size %(sizes)s still needs testers.", "Sizes %(sizes)s still need testers.", len(short))
    return said % {"sizes": listed([one.size for one in short])}
