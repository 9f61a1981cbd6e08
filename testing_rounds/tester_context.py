"""What each page of a tester shows, made from the book; the parts that change while one types are named in LIVE."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from measurements.body_measures import BODY_MEASURES
from releases.booklet import step_lines
from testing_rounds.actions.reports import closed_because
from testing_rounds.due import days_left, due_day, zone_name_of
from testing_rounds.message_forms import unread
from testing_rounds.models import Hours, NoteKind, Stage
from testing_rounds.tester_book import Book
from testing_rounds.tester_fields import MEASUREMENTS, NO, YES
from testing_rounds.tester_forms import Page, Shown, units_field
from testing_rounds.tester_pages import (
    Part,
    after,
    lacks,
    next_part,
    optional_measures,
    parts,
    required_measures,
    unread_fields,
)
from testing_rounds.tester_prints import print_ask, prints
from testing_rounds.tester_size import advice, size
from testing_rounds.tester_zones import fit_page, zone_name

Context = dict[str, Any]


def frame(book: Book, key: str = "") -> Context:
    """What every page of a tester knows."""
    way = parts(book)
    return {
        "place": book.place,
        "round": book.round,
        "version": book.version,
        "pattern": book.pattern,
        "studio": book.pattern.studio,
        "book": book,
        "parts": way,
        "part": next((part for part in way if part.key == key), None),
        "next_part": next_part(way),
        "here": key,
        "closed": closed_because(book.place),
        "unread_messages": 0 if key else unread(book.place, by_tester=True),
        "sent": bool(book.report and book.report.submitted_at),
        "stops": _stops(way, key),
        **_kept_on_the_phone(book),
        **_following(book, way, key),
    }


# Pages that may be opened without a line. Measurements and photos are not among them.
KEPT = ("test", "test_fit", "test_steps", "test_last")


def _kept_on_the_phone(book: Book) -> Context:
    """Whether the pages of this visit may be kept on the phone: from the first yes until the report is sent."""
    may = bool(book.place.adult_at) and not closed_because(book.place)
    may = may and not (book.report and book.report.submitted_at)
    addresses = [reverse(name, args=[book.place.visit]) for name in KEPT] if may else []
    return {"may_keep": may, "keep_addresses": " ".join(addresses)}


def own_page(book: Book) -> Context:
    """When the report is due where the tester lives, and the report on the other garment."""
    place, other = book.place, Stage.TOILE if book.finished else Stage.FINISHED
    return {
        "due": due_day(place),
        "days": days_left(place, timezone.now()),
        "zone": zone_name_of(place),
        "other": book.reports.get(other),
        "other_url": reverse("test", args=[place.ref if book.finished else f"{place.ref}.{Stage.FINISHED}"]),
    }


def _stops(way: list[Part], here: str) -> list[dict[str, object]]:
    """The way as the narrow bar shows it: a stop for one part or two."""
    by_key = {part.key: part for part in way}
    return [
        {
            "name": name,
            "url": by_key[keys[0]].url,
            "done": all(by_key[key].done for key in keys),
            "here": here in keys,
        }
        for name, keys in STOPS
    ]


def _following(book: Book, way: list[Part], key: str) -> Context:
    if not key or key == "send":
        return {"next_url": "", "next_title": ""}
    url = after(book, key)
    return {"next_url": url, "next_title": next(part.title for part in way if part.url == url)}


def measures(page: Page, at: str = "") -> Context:
    """Units, the measurements of the garment's kind, the day, and until when they are kept."""
    book = page.book
    return {
        "units": units_field(page),
        "required": [_measure(page, key, required=True) for key in required_measures(book)],
        "optional": [_measure(page, key) for key in optional_measures(book)],
        "about": [
            page.field("body_on", _("Measured on")),
            page.field("body_helped", _("Did someone help you measure?"), choices=YES_NO, layout="row"),
        ],
        "keep_until": book.place.body.keep_until if book.place.body else None,
        **advice(page),
    }


def _measure(page: Page, key: str, *, required: bool = False) -> Shown:
    measure = BODY_MEASURES[key]
    hint = f"{_(measure.definition)} {_(measure.how)}"
    return page.field(f"body.{key}", _(measure.name), hint, required=required)


def steps(page: Page, at: str = "") -> Context:
    """The steps of the instructions, and the notes on the one that is open."""
    book = page.book
    number = int(at) if at.isdigit() else None
    written = list(book.version.steps.all())
    noted: dict[int, list[str]] = {}
    for step, kind in book.notes:
        noted.setdefault(step or 0, []).append(str(NoteKind(kind).label))
    numbers = [step.number for step in written]
    extra = sorted(set(noted) - set(numbers) - {0})
    return {
        "has_booklet": bool(written),
        "written": [(step.number, step.text, noted.get(step.number, [])) for step in written],
        "extra": [(step, noted[step]) for step in extra],
        "whole": noted.get(0, []),
        "number": number,
        "step": next((line for line in step_lines(book.version) if line.number == number), None) if number else None,
        "step_text": next((step.text for step in written if step.number == number), ""),
        "notes": [] if number is None else [_note(page, number, kind) for kind in NoteKind],
    }


def _note(page: Page, number: int, kind: NoteKind) -> tuple[Shown, Shown]:
    name = f"step.{number}.{kind.value}"
    asked = NOTE_WORDS[kind]
    return page.field(name, capfirst(kind.label)), page.field(f"{name}.words", asked)


def last(page: Page, at: str = "") -> Context:
    book = page.book
    knit = book.pattern.fabric == "knit"
    asked = book.pattern.carried.get("stretch")
    stretch_hint = _("Fold the fabric, hold 10 cm across, pull gently: 15 cm is 50 per cent.")
    if asked:
        stretch_hint += " " + _("This pattern asks for %(asked)s.") % {"asked": f"{asked:g} %"}
    return {
        "fabric": [
            page.field("fabric", _("The fabric you used"), _("Fibre, weight, what it was sold as.")),
            *([page.field("stretch", _("Its stretch, in per cent"), stretch_hint)] if knit else []),
        ],
        "cloth": [
            page.field("fabric_width", _("Its width")),
            page.field("fabric_length", _("The length you used")),
        ],
        "notions": page.field(
            "notions",
            _("Notions: what did you use, and was anything missing from the list?"),
            _("Thread, buttons, interfacing, with their amounts."),
        )
        if book.finished
        else None,
        "changes": page.field(
            "changes_before",
            _("Did you change anything before cutting?"),
            _("Lengthened the bodice by 3 cm, for example. Nothing? Leave it empty."),
        ),
        "difficulty": page.field("difficulty", _("How hard was it?"), choices=DIFFICULTIES, layout="scale"),
        "hours": page.field(
            "hours",
            _("How long did it take, with cutting?"),
            choices=[("", _("not said")), *Hours.choices],
            layout="select",
        ),
        "same_size": page.field(
            "same_size_again", _("Would you cut the same size again?"), choices=YES_NO, layout="row"
        ),
        "words": page.field(
            "words", _("Anything else, in your words"), _("What you would tell the designer over a cup of tea.")
        ),
    }


def send_page(page: Page) -> Context:
    """What was said, for one last look."""
    book = page.book
    way = parts(book)
    return {
        "missing": lacks(book),
        "print_ask": print_ask(book),
        "unread_links": _unread_links(book, way),
        "print_said": next(part.say for part in way if part.key == "print"),
        "blends_named": [
            (zone_name(entry), book.sizes[entry["key"]]) for entry in book.round.zones if entry["key"] in book.sizes
        ],
        "marked": fit_page(page)["marked"],
        "fine": sum(1 for row in book.verdicts.values() if not row.fit),
        "unsaid": len([key for key in book.zone_keys if key not in book.verdicts]),
        "photo_count": book.photo_count,
        "note_count": book.note_count,
    }


def _unread_links(book: Book, way: list[Part]) -> list[tuple[str | Promise, str]]:
    """The parts on which something typed cannot be read, with their addresses."""
    keys = {PAGE_OF.get(name.split(".")[0], "last") for name in unread_fields(book)}
    return [(part.title, part.url) for part in way if part.key in keys]


STOPS: tuple[tuple[str | Promise, tuple[str, ...]], ...] = (
    (pgettext_lazy("a part of the report", "Size"), ("measures", "size")),
    (pgettext_lazy("a part of the report", "Print"), ("print",)),
    (pgettext_lazy("a part of the report", "Fit"), ("fit",)),
    (pgettext_lazy("a part of the report", "Photos"), ("photos",)),
    (pgettext_lazy("a part of the report", "Notes"), ("steps", "last")),
    (pgettext_lazy("a part of the report", "Send"), ("send",)),
)
PAGE_OF = {
    "body": "measures",
    "body_on": "measures",
    "body_helped": "measures",
    "units": "measures",
    "size": "size",
    "wish": "size",
    "paper": "print",
    "print": "print",
    "fit": "fit",
    "rest_fits": "fit",
    "underneath": "fit",
    "shoes": "fit",
    "seam": "fit",
    "toile": "fit",
    "step": "steps",
}


YES_NO = ((YES, gettext_lazy("yes")), (NO, gettext_lazy("no")))
DIFFICULTIES = (
    ("1", gettext_lazy("easy")),
    ("2", ""),
    ("3", ""),
    ("4", ""),
    ("5", gettext_lazy("hard")),
)
NOTE_WORDS = {
    NoteKind.LOST: gettext_lazy("Where did you get lost?"),
    NoteKind.MISSING: gettext_lazy("What is missing?"),
    NoteKind.TYPO: gettext_lazy("Which words?"),
    NoteKind.DISAGREES: gettext_lazy("Which measurements, and where?"),
    NoteKind.INSTEAD: gettext_lazy("What did you do instead?"),
}


@dataclass(frozen=True)
class Sheet:
    """A page of fields: its template, what it shows, the parts of it that change while one types, and what the
    tester must allow before it is asked."""

    template: str
    context: Callable[..., Context]
    live: tuple[str, ...] = ()
    consent: str = ""


SHEETS: dict[str, Sheet] = {
    "measures": Sheet("tester/measures.html", measures, ("live_advice",), MEASUREMENTS),
    "size": Sheet("tester/size.html", size, ("live_advice", "live_taken")),
    "print": Sheet("tester/print.html", prints, ("live_print",)),
    "fit": Sheet("tester/fit.html", fit_page, ("live_form", "live_marked", "live_rest", "live_question")),
    "steps": Sheet("tester/steps.html", steps, ("live_steps",)),
    "last": Sheet("tester/last.html", last),
}
