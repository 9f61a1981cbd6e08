"""A tester's way through a round: the parts, what is done, and what comes next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from measurements.body_measures import optional, required
from people.models import ConsentKind
from releases.models import FileKind
from testing_rounds.actions.reports import missing_before_sending
from testing_rounds.place_advice import fitted_places
from testing_rounds.print_check import PrintVerdict, judge
from testing_rounds.tester_book import Book
from testing_rounds.tester_families import trouble

MEASUREMENTS, PHOTOS = ConsentKind.MEASUREMENTS, ConsentKind.PHOTOS


@dataclass(frozen=True)
class Part:
    """One part of the way. `must` parts come first; `say` is its state in a few words."""

    key: str
    title: str | Promise
    url: str
    done: bool
    must: bool
    say: str
    ask: str | Promise


def parts(book: Book) -> list[Part]:
    """All parts in their order."""
    return [
        Part(key, title, reverse(f"test_{key}", args=[book.place.visit]), *state(book), ask)
        for key, title, state, ask in WAY
    ]


def next_part(way: list[Part]) -> Part | None:
    """The first part that the report needs and lacks; then the others that were left out; then none."""
    unsent = [part for part in way if not part.done]
    return next((part for part in unsent if part.must), unsent[0] if unsent else None)


def print_verdict(book: Book) -> PrintVerdict:
    return judge(book.check, book.version.test_square_mm)


def required_measures(book: Book) -> tuple[str, ...]:
    return required(book.pattern.kind, fitted_places(book.version))


def optional_measures(book: Book) -> tuple[str, ...]:
    return optional(book.pattern.kind, fitted_places(book.version))


def unread_fields(book: Book) -> list[str]:
    """Names of the fields whose text waits because it cannot be read."""
    return [name for name in book.held_names() if trouble(book, name)]


State = tuple[bool, bool, str]


def _consents(book: Book) -> State:
    count = len(book.consents)
    if not book.place.adult_at:
        return False, True, ""
    if book.pattern.for_children:
        return True, True, ""
    return True, True, ngettext("%(count)s of 5 allowed", "%(count)s of 5 allowed", count) % {"count": count}


def _measures(book: Book) -> State:
    if not book.place.adult_at:
        return False, True, ""
    if book.pattern.for_children:
        return True, False, _("none of a child")
    if MEASUREMENTS not in book.consents:
        return True, False, _("you keep your measurements")
    lacking = [key for key in required_measures(book) if key not in book.measured]
    if not lacking:
        return True, True, _("all that are needed")
    count = len(lacking)
    return False, True, ngettext("%(count)s still needed", "%(count)s still needed", count) % {"count": count}


def _size(book: Book) -> State:
    if not book.size:
        return False, True, ""
    if book.sizes:
        return True, True, _("size %(size)s, blended") % {"size": book.size}
    return True, True, _("size %(size)s") % {"size": book.size}


def _print(book: Book) -> State:
    if book.as_the_toile:
        return False, False, _("if you printed again")
    verdict = print_verdict(book)
    if verdict.may_cut:
        return True, True, _("the square is too small to tell") if verdict.small_square else _("good to cut")
    if book.check is not None and book.check.cut_anyway:
        return bool(book.check.note), True, _("cut anyway") if book.check.note else _("a note is missing")
    said = "" if verdict.state in {"unread", "part"} else _("do not cut yet")
    return verdict.state == "no_square", True, said


def _fit(book: Book) -> State:
    count = sum(1 for fit in book.fits if fit)
    if not book.fits:
        return False, True, ""
    if not count:
        return True, True, _("nothing marked, all fine")
    return True, True, ngettext("%(count)s place marked", "%(count)s places marked", count) % {"count": count}


def _photos(book: Book) -> State:
    if book.pattern.for_children:
        return True, False, _("none of a child")
    if PHOTOS not in book.consents:
        return bool(book.place.adult_at), False, _("not allowed, not asked") if book.place.adult_at else ""
    count = book.photo_count
    return (
        bool(count),
        False,
        ngettext("%(count)s photo", "%(count)s photos", count) % {"count": count} if count else "",
    )


def _steps(book: Book) -> State:
    count = book.note_count
    return bool(count), False, ngettext("%(count)s note", "%(count)s notes", count) % {"count": count} if count else ""


def _last(book: Book) -> State:
    report = book.report
    said = report and (report.difficulty or report.hours or report.fabric_used or report.words or report.changes_before)
    return bool(said), False, ""


def _send(book: Book) -> State:
    return (
        bool(book.report and book.report.submitted_at),
        True,
        _("sent") if book.report and book.report.submitted_at else "",
    )


_lazy = gettext_lazy
WAY: tuple[tuple[str, str | Promise, Callable[[Book], State], str | Promise], ...] = (
    ("consents", _lazy("What you allow"), _consents, _lazy("Say first what you allow.")),
    ("measures", _lazy("Your measurements"), _measures, _lazy("Take your measurements: they lead to your size.")),
    ("size", _lazy("Your size"), _size, _lazy("Choose the size that you will cut.")),
    ("print", _lazy("Print and test square"), _print, _lazy("Print, and measure the test square before you cut.")),
    ("fit", _lazy("How it fits"), _fit, _lazy("Sew the toile, try it on, and mark where it does not fit.")),
    ("photos", _lazy("Photos"), _photos, _lazy("Add photos of the toile.")),
    ("steps", _lazy("The instructions"), _steps, _lazy("Note the steps where you got lost.")),
    ("last", _lazy("Fabric and time"), _last, _lazy("Say what fabric you used and how long it took.")),
    ("send", _lazy("Read through and send"), _send, _lazy("Read it through and send it.")),
)


TITLES = {key: title for key, title, _state, _ask in WAY}


def after(book: Book, key: str) -> str:
    """Where the way goes on after a part."""
    keys = [part[0] for part in WAY]
    following = keys[keys.index(key) + 1]
    none_asked = book.pattern.for_children
    if following == "measures" and (none_asked or MEASUREMENTS not in book.consents):
        following = "size"
    if following == "photos" and (none_asked or PHOTOS not in book.consents):
        following = "steps"
    return reverse(f"test_{following}", args=[book.place.visit])


def lacks(book: Book) -> dict[str, str]:
    return missing_before_sending(book)


def papers(book: Book) -> list[tuple[str, str]]:
    """The kinds of file that the version has, to print from."""
    kinds = {file.kind for file in book.files} - {FileKind.BOOKLET}
    return [
        (kind.value, str(kind.label)) for kind in FileKind if kind in kinds or (not kinds and kind != FileKind.BOOKLET)
    ]
