"""The size that is advised to a tester, and the size or sizes that they cut."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.body_measures import BODY_MEASURES
from measurements.size_advice_types import SizeAdvice
from measurements.translated import in_words
from releases.size_page import place_lines
from testing_rounds.place_advice import advise_place, pattern_facts
from testing_rounds.tester_book import Book
from testing_rounds.tester_fields import MEASUREMENTS
from testing_rounds.tester_forms import Page
from testing_rounds.tester_zones import zone_name

Context = dict[str, Any]
WISHES = (
    ("closer", gettext_lazy("closer")),
    ("", gettext_lazy("as it is meant")),
    ("roomier", gettext_lazy("roomier")),
)


def size(page: Page, at: str = "") -> Context:
    book = page.book
    sizes = [(label, label) for label in book.version.sizes]
    same = [("", _("same")), *sizes]
    return {
        "size": page.field("size", _("The size that you cut"), choices=sizes, layout="tape"),
        "wish": page.field("wish", _("How do you like it to fit?"), choices=WISHES, layout="row"),
        "zone_sizes": [
            page.field(f"size.{entry['key']}", zone_name(entry), choices=same, layout="select")
            for entry in book.round.zones
        ],
        **advice(page),
    }


def advice(page: Page, at: str = "") -> Context:
    book = page.book
    if MEASUREMENTS not in book.consents or not book.body:
        return {"advice": None}
    facts = pattern_facts(book.version)
    found = advise_place(book.place, book.body_mm, facts)
    return {
        "advice": found,
        "reasons": [in_words(reason, first=book.place.units) for reason in found.reasons] if found else [],
        "lines": place_lines(found, facts) if found else [],
        **_taken(book, found),
    }


def _taken(book: Book, found: SizeAdvice | None) -> Context:
    """Whether the tester cuts as advised, and the blends of the advice with the names of their places."""
    if found is None or found.size is None:
        return {"taken": False, "blends": [], "blends_left": False}
    wanted = advice_as_fields(book, found)
    return {
        "taken": found.size == book.size,
        "blends": [
            {"size": blend.to_size, "place": _(BODY_MEASURES[blend.place].name).lower()}
            for blend in found.blends
            if blend.to_size
        ],
        "blends_left": any(
            size and book.sizes.get(name.partition(".")[2]) != size for name, size in wanted.items() if name != "size"
        ),
    }


def advice_as_fields(book: Book, advice: SizeAdvice) -> dict[str, str]:
    """The fields that say: I cut as advised. A blend is at the zones that take their measure from its place."""
    fields = {"size": advice.size or "", **{f"size.{key}": "" for key in book.zone_keys}}
    for blend in advice.blends:
        for entry in book.round.zones:
            if blend.to_size and blend.place in {entry["key"], entry.get("body_point")}:
                fields[f"size.{entry['key']}"] = blend.to_size
    return fields
