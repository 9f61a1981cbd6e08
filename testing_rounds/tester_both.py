"""A field in which two pages wrote different things: both in words, so that the tester can choose."""

from __future__ import annotations

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.body_measures import BODY_MEASURES
from measurements.finished_measures import FINISHED_MEASURES
from testing_rounds.tester_book import Book
from testing_rounds.tester_context import PAGE_OF
from testing_rounds.tester_families import find
from testing_rounds.tester_fields import YES
from testing_rounds.tester_pages import TITLES
from testing_rounds.tester_zones import fit_words, zone_name


def both(book: Book, name: str, here: str, stands: str) -> dict[str, str]:
    """What stands by now and what was written here, as text and in words, under the field's place on the pages."""
    return {
        "title": place_of(book, name),
        "stands": stands,
        "stands_words": in_words(book, name, stands),
        "here_words": in_words(book, name, here),
    }


def place_of(book: Book, name: str) -> str:
    """Where a field is, for somebody who is on another page: "How it fits, waist"."""
    head, _dot, rest = name.partition(".")
    key = rest.partition(".")[0]
    title = str(TITLES[PAGE_OF.get(head, "last")])
    zones = {entry["key"]: zone_name(entry) for entry in book.round.zones}
    names = {
        "fit": zones.get(key, ""),
        "size": zones.get(key, ""),
        "body": _(BODY_MEASURES[key].name) if key in BODY_MEASURES else "",
        "toile": _(FINISHED_MEASURES[key].name) if key in FINISHED_MEASURES else "",
        "step": _("step %(number)s") % {"number": key},
    }
    part = names.get(head, "") if rest else ""
    return f"{title}, {part.lower()}" if part else title


def in_words(book: Book, name: str, text: str) -> str:
    """A text as its field says it: a choice by its name, a tick as a word."""
    field = find(book, name)
    head, _dot, rest = name.partition(".")
    if not text:
        return _("nothing") if field is None or field.kind != "tick" else _("not ticked")
    if field is not None and field.kind == "tick" and text == YES:
        return _("ticked")
    if head == "fit" and "." not in rest and text.lstrip("-").isdigit():
        entry = next((one for one in book.round.zones if one["key"] == rest), None)
        return capfirst(fit_words(entry, int(text))) if entry else text
    return text
