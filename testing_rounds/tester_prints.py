"""The page of a tester's print: files with their pages, the test square, and what it says."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from measurements.finished_measures import FINISHED_MEASURES
from testing_rounds.print_check import PrintVerdict
from testing_rounds.tester_book import Book
from testing_rounds.tester_forms import Page, square_in_other_system, units_field
from testing_rounds.tester_pages import papers, print_verdict
from testing_rounds.tester_papers import files_of, since_printed

Context = dict[str, Any]
UNIT_NAMES = {"mm": gettext_lazy("millimetres"), "cm": gettext_lazy("centimetres"), "in": gettext_lazy("inches")}
# What 100 cm of girth become shows what an error of the print means where the size has no finished girth.
SHOWN_GIRTH = Decimal(1000)
GIRTHS = {"skirt": "hip", "trousers": "hip"}


@dataclass(frozen=True)
class Girth:
    """A girth of the garment in the tester's size, and what the print makes of it; `name` "" for a round 100 cm."""

    name: str
    meant: Decimal
    printed: Decimal

    @property
    def off(self) -> Decimal:
        return abs(self.printed - self.meant)

    @property
    def small(self) -> bool:
        return self.printed < self.meant


def prints(page: Page, at: str = "") -> Context:
    book, verdict = page.book, print_verdict(page.book)
    return {
        **files_of(book),
        "since": since_printed(book),
        "paper": page.field("paper", _("I print on"), choices=papers(book), layout="row"),
        "units": units_field(page),
        "square": [
            page.field("print.across", _("Across the page"), echo=square_in_other_system),
            page.field("print.down", _("Down the page"), echo=square_in_other_system),
        ],
        "verdict": verdict,
        "meant_name": UNIT_NAMES.get(verdict.meant_unit, ""),
        "nominal": book.version.test_square_mm,
        "girth": girth_of(book, verdict),
        "alike": alike(book, verdict),
        "cut_anyway": page.field("print.cut_anyway", _("I cut anyway")),
        "note": page.field("print.note", _("What did you do about it?"), _("Evened it out by hand, for example.")),
        "earlier": len(book.checks) - 1,
    }


def girth_of(book: Book, verdict: PrintVerdict) -> Girth:
    """What the error does to the garment in the size that is cut: at the bust, below the waist at the hip."""
    key = GIRTHS.get(book.pattern.kind, "bust")
    meant = book.finished_mm([key]).get(key) if verdict.worst else None
    name = _(FINISHED_MEASURES[key].name).lower() if meant else ""
    meant = meant or SHOWN_GIRTH
    return Girth(name, meant, meant + (verdict.worst.girth_change(meant) if verdict.worst else 0))


def alike(book: Book, verdict: PrintVerdict) -> int:
    """How many testers, this one among them, read the same error off the same file: three and more, and it is the
    file. 0 where that is not so."""
    from testing_rounds.round_findings import prints_of

    if verdict.state not in {"off", "doubtful"}:
        return 0
    faults = prints_of(book.round).faults
    return next((len(one.alike) for one in faults if book.place.alias in one.alike), 0)


def print_ask(book: Book) -> str:
    """What is still to be said of the print before a report on the fit says much; "" when nothing is."""
    verdict = print_verdict(book)
    if book.as_the_toile or verdict.may_cut or verdict.state == "no_square" or not book.version.test_square_mm:
        return ""
    if verdict.state in {"unread", "part"}:
        return _("Please read the test square first: a print that is off looks like a garment that does not fit.")
    if book.check is not None and book.check.cut_anyway:
        return "" if book.check.note else _("You cut although the print is off. Please say what you did about it.")
    return _("By its test square this print is not to be cut. If you cut it anyway, please say so.")
