"""Every field that a tester can fill in, by its name: what stands in it, and how a new text is written.

A field is written by itself, whatever else is on the page. A text that cannot be used is refused with a sentence
(ValidationError); it is then kept, word for word, beside the field.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from measurements.lengths import MOST_CHARACTERS, Length, LengthError, read_length
from measurements.translated import in_words
from people.models import ConsentKind, Units
from releases.models import FileKind
from testing_rounds.models import FitReport, Hours, Shoes, Wish
from testing_rounds.tester_book import Book

YES, NO = "yes", "no"
MEASUREMENTS = ConsentKind.MEASUREMENTS
LINE_CHARS = 200
NOTE_CHARS = 300
UNDERNEATH_CHARS = 120
# The whole girth of a toile is measured flat, one side; these are the places asked.
TOILE_ABOVE, TOILE_BELOW = ("bust", "waist"), ("waist", "hip")
# Stretch is read over 10 cm; a fabric that doubles its length and half again is the stretchiest there is.
MOST_STRETCH = 250


@dataclass(frozen=True)
class Field:
    """One thing that can be said. `read` gives what stands, as text; `parse` turns a new text into a value or
    refuses it; `write` takes the value, that of "" clears the field.

    `kind` is length, line, words, choice, tick, date or number; `consent` what must be allowed first.
    """

    kind: str
    read: Callable[[Book], str]
    write: Callable[[Book, Any], None]
    parse: Callable[[Book, str], Any] = lambda book, text: text
    choices: tuple[str, ...] = ()
    most: int = LINE_CHARS
    consent: str = ""

    def value_of(self, book: Book, text: str) -> Any:
        """Raises ValidationError with the sentence that says what is wrong with the text."""
        if len(text) > self.most:
            raise ValidationError(_("This is longer than %(most)s signs. Please shorten it.") % {"most": self.most})
        if self.choices and text not in self.choices:
            raise ValidationError(_("Please choose one of those that are offered."))
        return self.parse(book, text)

    @property
    def waits(self) -> bool:
        """Whether a text that cannot be used is kept, word for word, until it can; nothing counts meanwhile."""
        return self.kind in {"length", "date", "number"}


def tidy(text: str) -> str:
    """A text as it is kept: one kind of line end, no control signs, no space at the ends."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return re.sub(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]", "", lines).strip()


# lengths


def length_of(book: Book, text: str) -> Length | None:
    """A typed length in the unit of the page, or None when empty."""
    if not text:
        return None
    try:
        return read_length(text, book.unit)  # type: ignore[arg-type]
    except LengthError as wrong:
        raise ValidationError(in_words(wrong.sentence), code=wrong.code) from None


def length_field(read: Callable[[Book], str], write: Callable[[Book, Length | None], None], consent: str = "") -> Field:
    return Field("length", read, write, length_of, most=MOST_CHARACTERS, consent=consent)


def length_columns(stem: str, length: Length | None) -> dict[str, Any]:
    """The two columns in which a row keeps a length and its typed text."""
    return {f"{stem}_mm": length.mm if length else None, f"{stem}_typed": length.typed if length else ""}


def as_typed(book: Book, typed: str, mm: Decimal | None) -> str:
    """What was typed; with its unit behind it when the page now reads the other one."""
    if mm is None or not typed:
        return typed
    try:
        same = abs(read_length(typed, book.unit).mm - mm) < Decimal("0.001")  # type: ignore[arg-type]
    except LengthError:
        return typed
    return typed if same else f"{typed} {'in' if book.unit == Units.CM else 'cm'}"


# fields of the place


def _place_choice(attribute: str, choices: tuple[str, ...]) -> Field:
    return Field(
        "choice",
        lambda book: getattr(book.place, attribute),
        lambda book, text: book.set_place(**{attribute: text}),
        choices=choices,
    )


def _set_paper(book: Book, text: str) -> None:
    book.set_place(paper=text)
    if book.check is not None and not (book.check.across_typed or book.check.down_typed):
        book.set_check(file_kind=text)
    book.tell_report_of_print()


def _known_size(book: Book, text: str) -> str:
    if text not in book.version.sizes:
        raise ValidationError(_("This pattern has no size “%(size)s”.") % {"size": text[:20]})
    return text


def _set_helped(book: Book, text: str) -> None:
    record = book.body_record()
    record.helped = {YES: True, NO: False}.get(text)
    record.save(update_fields=["helped"])
    book.changed = True


def _set_taken_on(book: Book, day: date | None) -> None:
    record = book.body_record()
    record.taken_on = day
    record.save(update_fields=["taken_on"])
    book.changed = True


def _past_day(book: Book, text: str) -> date | None:
    """A day as a date field sends it, today at the latest."""
    try:
        day = parse_date(text)
    except ValueError:
        day = None
    if text and day is None:
        raise ValidationError(_("This is not a day. Write it like 2026-05-31."))
    # The tester's day may already have begun where ours has not.
    if day and day > timezone.now().date() + timedelta(days=1):
        raise ValidationError(_("This day is still to come."))
    return day


def _yes_no(value: bool | None) -> str:
    return "" if value is None else YES if value else NO


# fields of the report


def _of_report(attribute: str, empty: Any = "") -> Callable[[Book], str]:
    def read(book: Book) -> str:
        value = getattr(book.report, attribute) if book.report else empty
        return "" if value is None else str(value)

    return read


def _report_text(attribute: str, kind: str, most: int) -> Field:
    return Field(kind, _of_report(attribute), lambda book, text: book.set_report(**{attribute: text}), most=most)


def _report_choice(attribute: str, choices: tuple[str, ...], value: Callable[[str], Any] = str) -> Field:
    return Field(
        "choice",
        _of_report(attribute),
        lambda book, text: book.set_report(**{attribute: value(text)}),
        choices=choices,
    )


def _report_length(stem: str) -> Field:
    def write(book: Book, length: Length | None) -> None:
        book.set_report(
            **{f"{stem}_mm": length.mm if length else None, f"{stem}_typed": length.typed if length else ""}
        )

    def read(book: Book) -> str:
        report: Any = book.report or FitReport()
        return as_typed(book, getattr(report, f"{stem}_typed"), getattr(report, f"{stem}_mm"))

    return length_field(read, write)


def _stretch(book: Book, text: str) -> float | None:
    number = text.removesuffix("%").strip().replace(",", ".")
    if number and not re.fullmatch(r"\d{1,3}(\.\d{1,2})?", number, re.ASCII):
        raise ValidationError(_("Write the stretch as one number, like 40."))
    if number and float(number) > MOST_STRETCH:
        raise ValidationError(_("No fabric stretches that far. 10 cm pulled out to 15 cm is 50 per cent."))
    return float(number) if number else None


def _read_stretch(book: Book) -> str:
    stretch = book.report.stretch if book.report else None
    return "" if stretch is None else f"{stretch:g}"


def _set_same_size(book: Book, text: str) -> None:
    book.set_report(same_size_again={YES: True, NO: False}.get(text))


def _set_rest_fits(book: Book, text: str) -> None:
    """All that was looked at and not marked is fine: said in full, zone by zone; or taken back."""
    if text == YES:
        for zone in book.zone_keys:
            if zone not in book.verdicts:
                book.set_verdict(zone, {"fit": 0, "by_rest": True})
    else:
        for zone in [key for key, row in book.verdicts.items() if row.by_rest]:
            book.set_verdict(zone, None)
    book.set_report(rest_fits=text == YES)


def _known_zone(book: Book, text: str) -> str:
    try:
        return str(ZoneInfo(text)) if text else ""
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ValidationError(_("This time zone is not known here.")) from None


PLAIN: Mapping[str, Field] = {
    "units": _place_choice("units", tuple(Units.values)),
    "timezone": Field(
        "choice",
        lambda book: book.place.timezone,
        lambda book, text: book.set_place(timezone=text),
        _known_zone,
        most=40,
    ),
    "wish": _place_choice("wish", tuple(str(value) for value in Wish.values)),
    "paper": Field("choice", lambda book: book.place.paper, _set_paper, choices=tuple(FileKind.values)),
    "size": Field("choice", lambda book: book.size, lambda book, text: book.set_size(text), _known_size),
    "body_on": Field(
        "date",
        lambda book: book.place.body.taken_on.isoformat() if book.place.body and book.place.body.taken_on else "",
        _set_taken_on,
        _past_day,
        consent=MEASUREMENTS,
    ),
    "body_helped": Field(
        "choice",
        lambda book: _yes_no(book.place.body.helped if book.place.body else None),
        _set_helped,
        choices=("", YES, NO),
        consent=MEASUREMENTS,
    ),
    "rest_fits": Field(
        "tick",
        lambda book: YES if book.report and book.report.rest_fits else "",
        _set_rest_fits,
        choices=("", YES),
    ),
    "fabric": _report_text("fabric_used", "line", LINE_CHARS),
    "fabric_width": _report_length("fabric_width"),
    "fabric_length": _report_length("fabric_length"),
    "underneath": _report_text("underneath", "line", UNDERNEATH_CHARS),
    "shoes": _report_choice("shoes", ("", *Shoes.values)),
    "seam": _report_length("seam"),
    "notions": _report_text("notions", "words", settings.WORDS_CHARS),
    "stretch": Field("number", _read_stretch, lambda book, number: book.set_report(stretch=number), _stretch, most=40),
    "changes_before": _report_text("changes_before", "words", settings.WORDS_CHARS),
    "difficulty": _report_choice("difficulty", ("", "1", "2", "3", "4", "5"), lambda text: int(text) if text else None),
    "hours": _report_choice("hours", ("", *Hours.values)),
    "same_size_again": Field(
        "choice",
        lambda book: _yes_no(book.report.same_size_again if book.report else None),
        _set_same_size,
        choices=("", YES, NO),
    ),
    "words": _report_text("words", "words", settings.WORDS_CHARS),
}
