"""What is kept about a tester in one round, kind by kind: shown to them, handed out, erased."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.utils import formats, timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from measurements.body_measures import BODY_MEASURES
from people.languages import language_name
from people.models import Consent, Studio
from people.personal_data import Exported, Kept, Line
from people.refs import new_ref
from people.traces import forget_jobs, forget_sessions
from testing_rounds.access import SESSION_KEY
from testing_rounds.consents import WORDS
from testing_rounds.models import FitReport, Message, Photo, Place, TesterLink

_lazy = gettext_lazy
# What a place keeps of somebody who was erased: nothing but what was cut.
KEPT_OF_A_PLACE = frozenset({"id", "ref", "round", "state", "alias", "size", "sizes", "applied_at"})
# What a report without a person keeps: what was sewn, from what, and the numbers of the garment.
KEPT_OF_A_REPORT = frozenset({
    "id", "ref", "place", "stage", "version", "size", "sizes", "file_kind", "test_square_mm", "stretch",
    "fabric_width_mm", "fabric_length_mm", "difficulty", "hours", "same_size_again", "rest_fits",
    "started", "saved", "submitted_at",
})  # fmt: skip


def kinds() -> list[Kept]:
    """In the order of the page; erasing goes the other way, so that the place itself is the last."""
    return [
        Kept("you", Place, _lazy("You"), _you, _export_you, _erase_you),
        Kept("measurements", Place, _lazy("Your measurements"), _body, _export_body, _erase_body),
        Kept("permissions", Place, _lazy("What you allow"), _consents, _export_consents, _end_consents),
        Kept("print_checks", Place, _lazy("Test squares that you read"), _prints, _export_prints, _erase_prints),
        Kept("reports", Place, _lazy("What you said"), _reports, _export_reports, _erase_reports),
        Kept("photos", Place, _lazy("Your photos"), _photos, _export_photos, _erase_photos),
        Kept("messages", Place, _lazy("Messages"), _messages, _export_messages, _erase_messages),
        Kept("visits", Place, _lazy("Links, mails and downloads"), _visits, _export_visits, _erase_visits),
        Kept("traces", Studio, "", lambda studio: (), lambda studio: Exported(None), _erase_traces),
    ]


def _end_consents(place: Place) -> None:
    """They name nobody: an opaque ref, a kind and days. The rows stay, to show that everything was allowed once."""
    Consent.objects.filter(subject=place.ref, withdrawn_at=None).update(withdrawn_at=timezone.now())


def _day(at: datetime) -> str:
    return formats.date_format(timezone.localtime(at).date(), "j F Y")


def _values(row: Any, names: Sequence[str]) -> dict[str, Any]:
    return {name: value for name in names if (value := getattr(row, name)) not in (None, "", [], {})}


def _blank(row: Any, keep: frozenset[str]) -> None:
    """Every field that is not named goes back to what it is when nothing was said."""
    for field in row._meta.concrete_fields:
        if field.name not in keep:
            setattr(row, field.name, None if field.null else field.get_default())
    row.save()


# the place: who it is


_YOU = (
    "ref", "alias", "name", "email", "state", "units", "language", "timezone", "wanted_size", "advised_size",
    "size", "sizes", "experience", "paper", "rounds_before", "wish", "note", "child_age", "adult_at", "more_days",
    "pending", "applied_at", "invited_at", "accepted_at", "dropped_at", "finished_at",
)  # fmt: skip


def _you(place: Place) -> list[Line]:
    said = [
        (_("Name"), place.name),
        (_("E-mail"), place.email),
        (_("Size"), place.size),
        (_("Sewing"), place.get_experience_display() if place.experience else ""),
        (_("Prints on"), place.get_paper_display() if place.paper else ""),
        (_("Your note"), place.note),
        (_("The child’s age"), "" if place.child_age is None else place.child_age),
        (_("Language"), language_name(place.language)),
        (_("Applied"), _day(place.applied_at)),
        (_("18 or over, said on"), _day(place.adult_at) if place.adult_at else ""),
    ]
    return [Line(name, str(value)) for name, value in said if value not in ("", None)]


def _export_you(place: Place) -> Exported:
    about = {"pattern": str(place.round.version), "round": place.round.name, "studio": str(_studio(place))}
    return Exported({**about, **_values(place, _YOU)})


def _studio(place: Place) -> Any:
    return place.round.version.pattern.studio


def _erase_you(place: Place) -> None:
    """Without a report the place goes; with one it stays behind under a new ref, as nobody's."""
    if not place.reports.exists():
        place.delete()
        return
    _blank(place, KEPT_OF_A_PLACE)
    place.ref, place.alias = new_ref(), _("erased %(code)s") % {"code": new_ref()[:5]}
    place.applied_at = place.applied_at.replace(hour=0, minute=0, second=0, microsecond=0)
    place.save()


# measurements


def _body(place: Place) -> list[Line]:
    if place.body is None:
        return []
    rows = [Line(_measure(value.key), f"{value.typed} {value.unit}") for value in place.body.values.all()]
    until = place.body.keep_until
    last = [Line(_("Erased by itself on"), formats.date_format(until, "j F Y"))] if until else []
    return [*rows, *last]


def _measure(key: str) -> str:
    return _(BODY_MEASURES[key].name) if key in BODY_MEASURES else capfirst(key.replace("_", " "))


def _export_body(place: Place) -> Exported:
    if place.body is None:
        return Exported(None)
    values = place.body.values.all()
    return Exported(
        {
            **_values(place.body, ("taken_on", "helped", "keep_until")),
            "values": [{"measurement": one.key, "mm": one.mm, "typed": one.typed, "unit": one.unit} for one in values],
        }
    )


def _erase_body(place: Place) -> None:
    from testing_rounds.actions.visits import erase_measures

    erase_measures(place)


# permissions


def _consents(place: Place) -> list[Line]:
    titles = {words.kind: words.title for words in WORDS}
    return [
        Line(str(titles[one.kind]), _given(one))  # type: ignore[index]
        for one in Consent.objects.filter(subject=place.ref).order_by("given_at")
    ]


def _given(one: Consent) -> str:
    if one.withdrawn_at:
        days = {"given": _day(one.given_at), "back": _day(one.withdrawn_at)}
        return _("allowed on %(given)s, taken back on %(back)s") % days
    return _("allowed on %(given)s") % {"given": _day(one.given_at)}


def _export_consents(place: Place) -> Exported:
    rows = Consent.objects.filter(subject=place.ref).order_by("given_at")
    return Exported(list(rows.values("kind", "wording", "given_at", "withdrawn_at")))


# print checks


def _prints(place: Place) -> list[Line]:
    return [Line(_day(one.at), f"{one.across_typed} × {one.down_typed} {one.note}") for one in place.print_checks.all()]


def _export_prints(place: Place) -> Exported:
    names = ("stage", "file_kind", "across_typed", "down_typed", "cut_anyway", "note", "at")
    return Exported(list(place.print_checks.values(*names)))


def _erase_prints(place: Place) -> None:
    """The numbers say something of the file; the words go. Without a report nothing stays."""
    if place.reports.exists():
        place.print_checks.update(note="", across_typed="", down_typed="")


# reports


def _reports(place: Place) -> list[Line]:
    return [Line(_stage(report), _said(report)) for report in place.reports.all()]


def _stage(report: FitReport) -> str:
    return capfirst(_("finished garment") if report.stage == "finished" else _("toile"))


def _said(report: FitReport) -> str:
    zones, steps = report.verdicts.count(), report.step_notes.count()
    parts = [
        ngettext("%(n)s zone", "%(n)s zones", zones) % {"n": zones},
        ngettext("%(n)s note on the steps", "%(n)s notes on the steps", steps) % {"n": steps} if steps else "",
        _("sent on %(day)s") % {"day": _day(report.submitted_at)} if report.submitted_at else _("not sent"),
    ]
    return ", ".join(filter(None, parts))


def _export_reports(place: Place) -> Exported:
    return Exported([_report(report) for report in place.reports.all()])


def _report(report: FitReport) -> dict[str, Any]:
    fields = [field.name for field in report._meta.concrete_fields if not field.is_relation and field.name != "id"]
    zones = report.verdicts.values("zone", "fit", "altered", "change_mm", "change_typed", "words")
    return {
        **_values(report, fields),
        "version": report.version.number,
        "zones": list(zones),
        "toile": list(report.toile.values("key", "mm", "typed")),
        "step_notes": list(report.step_notes.values("step", "kind", "text")),
    }


def _erase_reports(place: Place) -> None:
    place.reports.filter(submitted_at=None).delete()
    for report in place.reports.all():
        _make_nameless(report)


def _make_nameless(report: FitReport) -> None:
    """What was counted stays: zones, size, garment. Words, the toile's own measurements and the hour go."""
    report.toile.all().delete()
    report.step_notes.filter(step=None).delete()
    report.step_notes.update(text="", carried=None)
    report.verdicts.update(words="", change_typed="", carried={})
    sent = report.submitted_at
    _blank(report, KEPT_OF_A_REPORT)
    day = sent.replace(hour=0, minute=0, second=0, microsecond=0) if sent else None
    FitReport.objects.filter(pk=report.pk).update(ref=new_ref(), submitted_at=day, started=day, saved=day)


# photos


def _taken(place: Place) -> Any:
    return Photo.objects.filter(report__place=place)


def _photos(place: Place) -> list[Line]:
    count = _taken(place).count()
    uses = [Line(one.get_what_display(), one.where) for photo in _taken(place) for one in photo.uses.filter(over=None)]
    said = ngettext("%(n)s photo", "%(n)s photos", count) % {"n": count}
    return [Line(_("Kept"), said), *uses] if count else []


def _export_photos(place: Place) -> Exported:
    photos = list(_taken(place))
    uses = [
        {"photo": one.photo_ref, "what": one.what, "where": one.where, "since": one.since, "taken_down": one.over}
        for photo in photos
        for one in photo.uses.all()
    ]
    return Exported(
        {
            "photos": [{"file": _file(one), "view": one.view, "added": one.added} for one in photos],
            "shown": uses,
        }
        if photos
        else None,
        {_file(photo): photo.large for photo in photos if photo.large},
    )


def _file(photo: Photo) -> str:
    return f"photos/{photo.ref}.jpg"


def _erase_photos(place: Place) -> None:
    from testing_rounds.actions.uses import recall

    recall(place)
    place.arriving.all().delete()
    forget_jobs(_taken(place).values_list("ref", flat=True))
    _taken(place).delete()


# messages


def _messages(place: Place) -> list[Line]:
    return [Line(_day(one.at), one.text) for one in place.messages.all()]


def _export_messages(place: Place) -> Exported:
    return Exported(list(place.messages.values("at", "from_tester", "text", "read_at")))


def _erase_messages(place: Place) -> None:
    place.messages.all().delete()


# visits


def _visits(place: Place) -> list[Line]:
    links = [Line(_("Link"), _day(one.created)) for one in place.links.all()]
    mails = [Line(one.get_kind_display(), _day(one.claimed_at)) for one in place.mails.all()]
    files = [Line(str(one.file), _day(one.at)) for one in place.files_taken.select_related("file")]
    return [*links, *mails, *files]


def _export_visits(place: Place) -> Exported:
    return Exported(
        {
            "links": list(place.links.values("created", "first_used_at", "expires_at", "revoked_at")),
            "mails": list(place.mails.values("kind", "about", "claimed_at", "sent_at")),
            "files": list(place.files_taken.values("file__name", "at")),
        }
    )


def _erase_visits(place: Place) -> None:
    links = list(place.links.values_list("ref", flat=True))
    forget_sessions(SESSION_KEY, links)
    messages = place.messages.values_list("ref", flat=True)
    forget_jobs([place.ref, *links, *place.reports.values_list("ref", flat=True), *messages])
    place.links.all().delete()
    place.mails.all().delete()
    place.files_taken.all().delete()


# a studio that is given up: its rows and files go with it, what its testers left elsewhere goes here


def _erase_traces(studio: Studio) -> None:
    of_studio = "round__version__pattern__studio"
    places = Place.objects.filter(**{of_studio: studio})
    links = TesterLink.objects.filter(place__in=places).values_list("ref", flat=True)
    forget_sessions(SESSION_KEY, set(links))
    reports = FitReport.objects.filter(place__in=places)
    photos = Photo.objects.filter(report__in=reports)
    for rows in (places, reports, photos, Message.objects.filter(place__in=places)):
        forget_jobs(rows.values_list("ref", flat=True))
