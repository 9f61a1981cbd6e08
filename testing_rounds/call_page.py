"""What a public call shows: the sizes with their measurements, where testers are needed, and the advice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.chart_store import load_columns
from measurements.lengths import Length
from measurements.translated import in_words
from people.mail import site_address
from releases.booklet import cautions_of
from releases.size_page import place_lines
from testing_rounds.call_forms import ApplicationForm, measures_asked
from testing_rounds.coverage import Seat, cover, one_more
from testing_rounds.models import Place, Round, RoundState
from testing_rounds.panel_page import breaks_of
from testing_rounds.place_advice import advise_place, fitted_places, pattern_facts

# A length of the body chooses no size; the table shows what does.
NOT_FOR_SIZE = frozenset({"height"})


@dataclass(frozen=True)
class SizeRow:
    """One size of the table: its measurements (mm, None where the chart is silent) and how many are still needed."""

    label: str
    values: tuple[Decimal | None, ...]
    needed: int
    is_base: bool


def is_open(found: Round, today: date) -> bool:
    """Whether strangers can apply: until the end of the last day."""
    return found.state == RoundState.CALL_OPEN and (found.call_closes is None or today <= found.call_closes)


def call_context(found: Round, form: ApplicationForm) -> dict[str, Any]:
    version = found.version
    columns, rows = _size_table(found)
    return {
        "round": found,
        "version": version,
        "pattern": version.pattern,
        "maker": version.pattern.studio,
        "cautions": cautions_of(version.pattern),
        "address": site_address(reverse("call", args=[found.call_ref])),
        "picture": site_address(reverse("call_picture", args=[found.call_ref])),
        "picture_words": picture_words(found),
        "form": form,
        "columns": columns,
        "rows": rows,
        "wanted": [row.label for row in rows if row.needed],
        "style": version.body_chart.chart if version.body_chart else None,
    }


def _size_table(found: Round) -> tuple[list[str], list[SizeRow]]:
    """The measurements by which a size of this garment is chosen, and a row for each size."""
    version = found.version
    chart = load_columns([version.body_chart])[version.body_chart.pk] if version.body_chart else {}
    must, _may = measures_asked(found)
    keys = [key for key in dict.fromkeys((*must, *fitted_places(version))) if key in chart and key not in NOT_FOR_SIZE]
    seats = [
        Seat(state, size, advised, wanted)
        for state, size, advised, wanted in found.places.values_list("state", "size", "advised_size", "wanted_size")
    ]
    rows = [
        SizeRow(one.size, tuple(chart[key].get(one.size) for key in keys), one.needed, one.size == version.base_size)
        for one in cover(version.sizes, found.per_size, seats, one_more(version.sizes, breaks_of(version.body_chart)))
    ]
    return [_(BODY_MEASURES[key].name) if key in BODY_MEASURES else key for key in keys], rows


def advice_context(found: Round, measures: Mapping[str, Length], unit: str) -> dict[str, Any]:
    """The size advised for measurements that were just sent, with its reasons in words."""
    facts = pattern_facts(found.version)
    advice = advise_place(Place(round=found), {key: length.mm for key, length in measures.items()}, facts)
    if advice is None:
        return {"advice": None, "reasons": []}
    reasons = [in_words(reason, first=unit) for reason in advice.reasons]
    return {"advice": advice, "reasons": reasons, "lines": place_lines(advice, facts)}


def picture_words(found: Round) -> tuple[str, str, tuple[str, ...]]:
    """What a call's picture says: who calls, for what, and what a stranger needs to know to want to look."""
    version = found.version
    calls = _("%(studio)s calls for testers") % {"studio": version.pattern.studio}
    title = _("Sew a toile of %(pattern)s, and say how it fits") % {"pattern": version.pattern.name}
    if not is_open(found, timezone.now().date()):
        return calls, title, (_("This call is closed."),)
    lines = []
    if version.sizes:
        lines.append(_("Sizes %(first)s to %(last)s") % {"first": version.sizes[0], "last": version.sizes[-1]})
    if found.call_closes:
        lines.append(_("Apply until %(day)s") % {"day": date_format(found.call_closes, "l j F")})
    return calls, title, tuple(lines)
