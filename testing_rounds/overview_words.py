"""The situation of a round in sentences: what is to change, what is still missing, where it stands in time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.length_display import TENTH_CM, LengthStyle
from measurements.translated import both_units, by_locale
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_drawn import set_aside_whole
from testing_rounds.evidence_words import spelled, stage_name
from testing_rounds.models import PlaceState, Round, RoundState, Stage
from testing_rounds.set_aside import Answer

STYLE = LengthStyle(8, TENTH_CM)


def headline(evidence: Evidence, repeated: int, settled: int) -> str:
    """The first sentence of a round: `repeated` readings, `settled` of them decided."""
    if not evidence.rows:
        return _without_reports(evidence)
    thin = sum(not one.enough for one in evidence.counts.coverage)
    first = _to_change(repeated, settled)
    if not thin:
        return _("%(first)s.") % {"first": first}
    rest = ngettext("%(n)s size needs more reports", "%(n)s sizes need more reports", thin) % {"n": spelled(thin)}
    return _("%(first)s, and %(rest)s.") % {"first": first, "rest": rest}


def _to_change(repeated: int, settled: int) -> str:
    open_ones = repeated - settled
    if not repeated:
        return _("No complaint repeats")
    if not settled:
        said = ngettext("%(n)s thing to change", "%(n)s things to change", open_ones)
    elif not open_ones:
        said = ngettext("The %(n)s thing to change is decided", "All %(n)s things to change are decided", settled)
        return said % {"n": spelled(settled)}
    else:
        said = ngettext("%(n)s thing still to decide", "%(n)s things still to decide", open_ones)
        said += _(", %(settled)s decided") % {"settled": spelled(settled)}
    return capfirst(said % {"n": spelled(open_ones)})


def _without_reports(evidence: Evidence) -> str:
    """A round in which nobody has reported."""
    found, waiting = evidence.found, len(evidence.waiting())
    if found.state == RoundState.PLANNED:
        return _("The round is planned; nobody sews yet.")
    if found.state == RoundState.CALL_OPEN:
        applied = sum(place.state in {PlaceState.APPLIED, PlaceState.RESERVE} for place in evidence.places)
        if not applied:
            return _("The call is open, and nobody has answered yet.")
        said = ngettext(
            "The call is open, and %(n)s person has answered.",
            "The call is open, and %(n)s people have answered.",
            applied,
        )
        return said % {"n": spelled(applied)}
    if found.state == RoundState.CLOSED:
        return _("The round closed without a report.")
    sewing = sum(place.state != PlaceState.INVITED for place in evidence.waiting())
    if sewing:
        said = ngettext("No report yet; %(n)s tester is sewing.", "No report yet; %(n)s testers are sewing.", sewing)
        return said % {"n": spelled(sewing)}
    if not waiting:
        return _("No report yet, and nobody is sewing.")
    said = ngettext(
        "No report yet; %(n)s tester is invited and has not answered.",
        "No report yet; %(n)s testers are invited and have not answered.",
        waiting,
    )
    return said % {"n": spelled(waiting)}


def voice(evidence: Evidence, today: date) -> list[str]:
    """The sentences under the first one: reports in, set aside, dates."""
    if evidence.found.state == RoundState.CLOSED:
        return [*_reports_in(evidence), *_closed(evidence)]
    return [*_reports_in(evidence), *_dates(evidence.found, today)]


def _closed(evidence: Evidence) -> Iterable[str]:
    if evidence.rows:
        yield _("The round is closed.")
    silent = len(evidence.missing())
    if silent:
        said = ngettext("%(n)s tester did not report.", "%(n)s testers did not report.", silent)
        yield capfirst(said % {"n": spelled(silent)})


def _reports_in(evidence: Evidence) -> Iterable[str]:
    sent, waiting = len(evidence.rows), len(evidence.waiting())
    if evidence.stage != Stage.TOILE:
        yield _("Shown here: %(stage)s.") % {"stage": stage_name(evidence.stage)}
    if sent:
        said = ngettext("%(n)s of %(all)s report is in", "%(n)s of %(all)s reports are in", sent + waiting)
        yield said % {"n": sent, "all": sent + waiting} + _aside(evidence)


def _aside(evidence: Evidence) -> str:
    """How much of them is set aside, as the rest of the sentence."""
    whole = len(set_aside_whole(evidence))
    others = len({answer.report for answer in evidence.set_aside}) - whole
    parts = []
    if whole:
        parts.append(ngettext("%(n)s is set aside whole", "%(n)s are set aside whole", whole) % {"n": whole})
    if others:
        parts.append(ngettext("%(n)s in part", "%(n)s in part", others) % {"n": others})
    if not parts:
        return _("; all of them count.")
    if not whole:
        parts = [ngettext("%(n)s is set aside in part", "%(n)s are set aside in part", others) % {"n": others}]
    return _("; %(parts)s.") % {"parts": ", ".join(parts)}


def _dates(found: Round, today: date) -> Iterable[str]:
    if found.state == RoundState.CALL_OPEN and found.call_closes:
        yield _("The call closes on %(day)s.") % {"day": day_words(found.call_closes)}
    if found.state in {RoundState.PLANNED, RoundState.CALL_OPEN} and found.starts:
        yield _("Sewing starts on %(day)s.") % {"day": day_words(found.starts)}
    if found.state == RoundState.SEWING and found.report_due:
        said = _("Reports were due on %(day)s") if found.report_due < today else _("Reports are due on %(day)s")
        yield _("%(due)s; today is %(today)s.") % {
            "due": said % {"day": day_words(found.report_due)},
            "today": day_words(today),
        }
    if found.state == RoundState.SEWING and found.closes:
        yield _("The round closes on %(day)s.") % {"day": day_words(found.closes)}


def day_words(day: date) -> str:
    """ "Sunday 6 December"."""
    return date_format(day, "l j F")


def asked_for(answers: Iterable[Answer]) -> str:
    """What the testers who complain would change, in one sentence; "" where nobody named a change."""
    complaints = [answer for answer in answers if answer.counted and answer.fit]
    changes = sorted(answer.change for answer in complaints if answer.change)
    if not changes:
        return ""
    places = {"k": len(changes), "n": len(complaints), "range": _range(changes)}
    if changes[0] > 0:
        return _("%(k)s of these %(n)s would add %(range)s.") % places
    if changes[-1] < 0:
        return _("%(k)s of these %(n)s would take away %(range)s.") % places
    return _("%(k)s of these %(n)s would change it by %(range)s.") % places


def _range(changes: Sequence[float]) -> str:
    """From the least to the most; with their signs where some make it smaller and some larger."""
    one_way = changes[0] > 0 or changes[-1] < 0
    ends = sorted(abs(change) for change in changes) if one_way else list(changes)
    least, most = ends[0], ends[-1]
    if least == most:
        return both_units(STYLE, mm(least))
    signs = ("", "") if one_way else ("−", "+")
    places = {
        "least": signs[0] + by_locale(STYLE.cm(mm(abs(least)))),
        "most": signs[1] + by_locale(STYLE.cm(mm(abs(most)))),
        "least_in": f"{signs[0]}{STYLE.inches(mm(abs(least)))}",
        "most_in": f"{signs[1]}{STYLE.inches(mm(abs(most)))}",
    }
    return _("%(least)s to %(most)s cm (%(least_in)s to %(most_in)s in)") % places


def mm(cm: float) -> Decimal:
    """Centimetres of a round's plain values as a length."""
    return Decimal(str(round(cm * 10, 4)))
