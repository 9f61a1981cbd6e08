"""What a tester says of a toile: saved field by field, sent once, corrected afterwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from people import audit
from testing_rounds.actions.touch import touch_round
from testing_rounds.actions.visits import locked, studio_of
from testing_rounds.models import FitReport, Place, PlaceState, RoundState
from testing_rounds.place_advice import advise_place
from testing_rounds.tester_book import Book
from testing_rounds.tester_families import find, shown, trouble
from testing_rounds.tester_fields import MEASUREMENTS, tidy

# Fields that change nothing in a report: no live page needs to hear of them.
ASIDE = frozenset({"units", "wish", "paper", "timezone"})


# Fields of one's own screen: the last word holds.
OWN = frozenset({"units", "timezone"})
NO_BASIS: Mapping[str, Sequence[str]] = {}


class Closed(Exception):  # noqa: N818  (it reads as what happened)
    """Nothing more can be written here; `sentence` tells the tester why."""

    def __init__(self, sentence: str | Promise) -> None:
        super().__init__(str(sentence))
        self.sentence = str(sentence)


@dataclass(frozen=True)
class Saved:
    """What became of the fields of one save: by name, the sentence for what could not be used, and what stands where
    somebody else wrote meanwhile; and whether anything changed at all."""

    changed: bool
    refused: dict[str, str] = field(default_factory=dict)
    elsewhere: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Sent:
    """A report that was sent: now, or before (`first` is False for a double tap)."""

    report: FitReport
    first: bool


class NotReady(Exception):  # noqa: N818
    """A report that cannot be sent yet; `missing` names what it lacks, by page."""

    def __init__(self, missing: dict[str, str]) -> None:
        super().__init__("; ".join(missing.values()))
        self.missing = missing


def closed_because(place: Place) -> str:
    """Why nothing more can be written, or ""."""
    if place.state == PlaceState.DROPPED_OUT:
        return str(STOPPED)
    return str(ROUND_CLOSED) if place.round.state == RoundState.CLOSED else ""


STOPPED = gettext_lazy("You have stopped testing, so nothing more can be written here. Thank you for what you did.")
ROUND_CLOSED = gettext_lazy("This round has closed, so nothing more can be written here. Thank you for sewing.")


def ready_for_words(place: Place) -> Place:
    """The place, locked until the transaction ends. Raises Closed."""
    place = locked(place)
    why = closed_because(place)
    if why:
        raise Closed(why)
    return place


def open_report(place: Place) -> FitReport:
    """The tester's report on the toile, made if it is not there yet. Call with the place locked."""
    return Book(place).keep_report()


@transaction.atomic
def save_fields(
    *, place: Place, fields: Mapping[str, str], unit: str = "", basis: Mapping[str, Sequence[str]] = NO_BASIS
) -> Saved:
    """Write each named field by itself; the same word twice changes nothing.

    `unit` (cm or in) is that of the page's length fields. A text that cannot be used is refused and, where it may
    become usable, kept beside the field. `basis` holds, by field, what the page showed before its tester wrote (and
    what it has tried to send since): where something else stands by now, another tab or phone wrote it, so nothing is
    written and both are named. Without a basis the last word wins. Raises Closed.
    """
    book = Book(ready_for_words(place), unit=unit)
    refused: dict[str, str] = {}
    elsewhere: dict[str, str] = {}
    for name, text in fields.items():
        stands = _written_elsewhere(book, name, tidy(text), basis.get(name, ()))
        if stands is None:
            if why := _put(book, name, tidy(text)):
                refused[name] = why
        elif tidy(text) != tidy(basis[name][0]):
            elsewhere[name] = stands
    if any(name.startswith("body.") or name == "wish" for name in fields):
        _advise(book)
    if book.changed:
        _tell_of_change(book, fields)
    return Saved(book.changed, refused, elsewhere)


def _written_elsewhere(book: Book, name: str, text: str, basis: Sequence[str]) -> str | None:
    """What stands in a field that neither the page showed nor it tried to write; None where nobody came between."""
    known = find(book, name)
    if not basis or known is None or name in OWN:
        return None
    stands = shown(book, name, known)
    return None if tidy(stands) in {text, *map(tidy, basis)} else stands


def _put(book: Book, name: str, text: str) -> str:
    """Write one field; the sentence that refuses it, or ""."""
    known = find(book, name)
    if known is None:
        return _("This field is not asked in this round.")
    if known.consent and known.consent not in book.consents:
        return _("Allow this first, on the page of what you allow.")
    if held := book.held(name):
        if text == held["text"]:
            return trouble(book, name)
        book.hold_back(name, "")
    elif text == known.read(book):
        return ""
    try:
        value = known.value_of(book, text)
    except ValidationError as wrong:
        if known.waits and len(text) <= known.most:
            known.write(book, known.value_of(book, ""))
            book.hold_back(name, text, length=known.kind == "length")
        return wrong.messages[0]
    known.write(book, value)
    return ""


def _advise(book: Book) -> None:
    """Keep what the size advice says now; the tester's own choice stays as it is."""
    if MEASUREMENTS in book.consents:
        advice = advise_place(book.place, book.body_mm)
        book.set_place(advised_size=(advice.size or "") if advice else "")


def _tell_of_change(book: Book, fields: Mapping[str, str]) -> None:
    """A correction to a report that was sent is heard by the pages that show it, and leaves its entry."""
    if book.report is not None and book.report.submitted_at and set(fields) - ASIDE:
        touch_round(book.round.pk)
        audit.record(
            studio=studio_of(book.place),
            by=book.place,
            verb="report_corrected",
            thing=book.report,
            content=sorted(fields),
        )


@transaction.atomic
def new_print(*, place: Place) -> None:
    """Begin another reading of the test square, on a new print; those before stay."""
    book = Book(ready_for_words(place))
    if book.check is not None and (book.check.across_typed or book.check.down_typed):
        book.new_check()
        _tell_of_change(book, {"print.across": ""})


def missing_before_sending(book: Book) -> dict[str, str]:
    """{page: sentence} of what a report needs before it says anything."""
    missing = {}
    if not book.size:
        missing["size"] = _("Which size did you cut?")
    if not book.verdicts:
        missing["fit"] = _("How does it fit? Mark one place at least, or say that all you looked at is fine.")
    return missing


@transaction.atomic
def send_report(*, place: Place) -> Sent:
    """Send the report: once, however often it is asked. Raises NotReady, Closed."""
    book = Book(ready_for_words(place))
    report = book.report
    if report is not None and report.submitted_at:
        return Sent(report, first=False)
    missing = missing_before_sending(book)
    if missing:
        raise NotReady(missing)
    report = book.keep_report()
    now = timezone.now()
    if not FitReport.objects.filter(pk=report.pk, submitted_at=None).update(submitted_at=now):
        report.refresh_from_db()
        return Sent(report, first=False)
    report.submitted_at = now
    book.set_place(state=PlaceState.FINISHED, finished_at=now)
    touch_round(book.round.pk)
    audit.record(studio=studio_of(book.place), by=book.place, verb="report_sent", thing=report)
    _tell_editors(report)
    return Sent(report, first=True)


def _tell_editors(report: FitReport) -> None:
    from testing_rounds.jobs import tell_editors

    tell_editors.enqueue(report.ref)
