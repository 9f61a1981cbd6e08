"""The plan of a round as a form, with defaults that a studio can keep."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from measurements.chart_store import load_columns
from releases.models import Version
from testing_rounds.models import Round
from testing_rounds.round_store import zone_entry
from testing_rounds.zone_scales import scales_of
from testing_rounds.zones import CATALOGUE, VIEW, default_views, default_zones, zones_for

_lazy = gettext_lazy
# Two weeks to be found, one to choose and to post the files, three to sew, one for those who are late
# (common practice, no source).
DAYS = {"call_closes": 14, "starts": 21, "report_due": 42, "closes": 49}
ORDER = tuple(DAYS)
OWN_DAYS = ("finished_due",)
GIVES = _lazy(
    "The finished pattern in all its sizes, with every correction that follows, is yours to keep. "
    "Your name stands in the thanks if you like. The work is unpaid."
)
ASKS = _lazy(
    "Print the files and measure the test square before you cut. Sew a toile of this test version in your size, from "
    "a plain fabric of the kind named; you buy the fabric. Reckon with six to ten hours between the two dates. Then "
    "mark on your phone where the toile fits and where it does not, add photos if you like, and note where the "
    "instructions lost you.\n\n"
    "It is a test version: it may not fit. You may stop at any time and need not say why."
)


def day_field(label: Any, help_text: Any = "", *, required: bool = True) -> forms.DateField:
    return forms.DateField(
        label=label,
        help_text=help_text,
        required=required,
        input_formats=["%Y-%m-%d"],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": _lazy("Choose a day."),
            "invalid": _lazy("This is not a day. Write it like 2026-05-31."),
        },
    )


@dataclass(frozen=True)
class ZoneChoice:
    """A zone that can be asked: its name, its two words, and whether it is chosen."""

    key: str
    name: str
    low: str
    high: str
    chosen: bool


class PlanForm(forms.Form):
    """Dates, numbers, what is given and asked; which zones and photo views."""

    name = forms.CharField(
        label=_lazy("Name"), max_length=80, error_messages={"required": _lazy("Give the round a name.")}
    )
    call_closes = day_field(
        _lazy("The call closes"), _lazy("The last day to apply. Empty if you invite all testers yourself."),
        required=False,
    )  # fmt: skip
    starts = day_field(_lazy("Sewing starts"), _lazy("The files are ready on this day."))
    report_due = day_field(_lazy("Reports are due"), _lazy("Three weeks from the start suit most garments."))
    finished_due = day_field(
        _lazy("Finished garments are due"), _lazy("Empty if you ask for no report on the garment sewn to wear."),
        required=False,
    )  # fmt: skip
    closes = day_field(_lazy("The round closes"), _lazy("After it nobody writes any more."))
    per_size = forms.IntegerField(
        label=_lazy("Testers a size"),
        help_text=_lazy(
            "Three let one be wrong. One more is asked at both ends of the range and on both sides of a break."
        ),
        min_value=1,
        max_value=settings.TESTERS_A_SIZE,
        error_messages={
            "required": _lazy("How many testers sew each size?"),
            "invalid": _lazy("Write a whole number, such as 3."),
            "min_value": _lazy("One tester a size is the least."),
            "max_value": _lazy("More than %(limit_value)s a size is more than anybody can read."),
        },
    )
    gives = forms.CharField(
        label=_lazy("What testers get"), required=False, max_length=settings.WORDS_CHARS, widget=forms.Textarea
    )
    asks = forms.CharField(
        label=_lazy("What testers do"), required=False, max_length=settings.WORDS_CHARS, widget=forms.Textarea
    )
    zones = forms.MultipleChoiceField(
        label=_lazy("Zones"),
        error_messages={
            "required": _lazy("Choose at least one zone: without zones nobody can say where it fits."),
            "invalid_choice": _lazy("This garment has no zone of that name."),
        },
    )
    views = forms.MultipleChoiceField(
        label=_lazy("Photo views"),
        required=False,
        widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}),
        error_messages={"invalid_choice": _lazy("That is no view that can be asked.")},
    )

    def __init__(self, *args: Any, version: Version, found: Round | None = None, today: date, **kwargs: Any) -> None:
        self.version, self.found, self.today = version, found, today
        self.kind = version.pattern.kind
        super().__init__(*args, **{"initial": _stands(found) if found else _defaults(version, today), **kwargs})
        kept = {entry["key"]: entry for entry in found.zones} if found else {}
        self.known: dict[str, Mapping[str, Any]] = {
            **{zone.key: {"label": zone.label, "low": zone.low, "high": zone.high} for zone in zones_for(self.kind)},
            **kept,
        }
        fields: dict[str, Any] = self.fields
        fields["zones"].choices = [(key, entry["label"]) for key, entry in self.known.items()]
        fields["views"].choices = _view_choices(found.views if found else [])

    def zone_choices(self) -> Iterator[ZoneChoice]:
        """The zones as the page lists them, ticked as they stand or as they were just sent."""
        chosen = set(self["zones"].value() or [])
        for key, entry in self.known.items():
            words = {name: _(entry[name]) for name in ("label", "low", "high")}
            yield ZoneChoice(key, capfirst(words["label"]), words["low"], words["high"], key in chosen)

    def clean_call_closes(self) -> date | None:
        day = self.cleaned_data["call_closes"]
        if day and day < self.today and day != (self.found and self.found.call_closes):
            raise ValidationError(_("That day has passed: nobody could apply."))
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        before: tuple[str, date] | None = None
        for name in ORDER:
            day = cleaned.get(name)
            if day is None:
                continue
            if before and (day < before[1] or (day == before[1] and name == "report_due")):
                self.add_error(name, TOO_EARLY[name, before[0]] % {"day": date_format(before[1], "j F Y")})
            else:
                before = (name, day)
        self._look_at_finished(cleaned.get("finished_due"), cleaned.get("starts"), cleaned.get("closes"))
        return cleaned

    def _look_at_finished(self, day: date | None, starts: date | None, closes: date | None) -> None:
        """A garment is finished while the round lasts."""
        if day and ((starts and day <= starts) or (closes and day > closes)):
            self.add_error("finished_due", _("Take a day between the start of sewing and the day the round closes."))

    def plan(self) -> dict[str, Any]:
        """The fields as the actions take them; call it once the form is valid. Zones as a round file writes them."""
        kept = {entry["key"]: entry for entry in self.found.zones} if self.found else {}
        chart, own = self._chart_rows(), scales_of(self.version.pattern.studio)
        asked = [
            kept[key] if key in kept else zone_entry(replace(CATALOGUE[key].asked(chart), scale_cm=own[key]))
            for key in self.known
            if key in self.cleaned_data["zones"]
        ]
        return {**self.cleaned_data, "zones": asked}

    def _chart_rows(self) -> set[str] | None:
        """The measurements of the body chart, so that a zone points at one that is there."""
        chart = self.version.body_chart
        return set(load_columns([chart])[chart.pk]) if chart else None


def _defaults(version: Version, today: date) -> dict[str, Any]:
    return {
        "name": _("Round %(number)s") % {"number": version.rounds.count() + 1},
        **{name: today + timedelta(days=days) for name, days in DAYS.items()},
        "per_size": 3,
        "gives": str(GIVES),
        "asks": str(ASKS),
        "zones": [zone.key for zone in default_zones(version.pattern.kind)],
        "views": [view.key for view in default_views(version.pattern.kind)],
    }


def _stands(found: Round) -> dict[str, Any]:
    plain = {name: getattr(found, name) for name in ("name", *ORDER, *OWN_DAYS, "per_size", "gives", "asks", "views")}
    return {**plain, "zones": [entry["key"] for entry in found.zones]}


def view_names() -> dict[str, str]:
    """{key: name} of the views that can be asked, in the reader's language."""
    known = {view.key: view.label for kind in ("shirt", "trousers") for view in default_views(kind)}
    return {key: pgettext(VIEW, label) for key, label in known.items()}


def _view_choices(asked: list[str]) -> list[tuple[str, str]]:
    """The views of every kind of garment, and those that this round asks besides."""
    names = view_names()
    return [*names.items(), *((key, key) for key in asked if key not in names)]


TOO_EARLY: dict[tuple[str, str], str | Promise] = {
    ("starts", "call_closes"): _lazy(
        "Sewing starts once the call has closed, on %(day)s: take that day or a later one."
    ),
    ("report_due", "starts"): _lazy("Reports come after the start, on %(day)s: take a later day."),
    ("report_due", "call_closes"): _lazy("Reports come after the call has closed, on %(day)s: take a later day."),
    ("closes", "report_due"): _lazy(
        "The round closes once the reports are due, on %(day)s: take that day or a later one."
    ),
    ("closes", "starts"): _lazy("The round closes after the start, on %(day)s: take a later day."),
    ("closes", "call_closes"): _lazy("The round closes after the call, on %(day)s: take a later day."),
}
