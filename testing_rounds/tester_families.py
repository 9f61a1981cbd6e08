"""The fields whose names have a part for a place: a zone, a measurement, a step, a side of the test square.

`fit.waist` is the answer at the waist and `fit.waist.words` what was written beside it; `step.9.typo` ticks a kind
of note at step 9; `print.across` is the square as it was read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError

from measurements.body_measures import BODY_MEASURES
from measurements.lengths import Length
from testing_rounds.models import NoteKind
from testing_rounds.tester_book import Book
from testing_rounds.tester_fields import (
    MEASUREMENTS,
    NOTE_CHARS,
    PLAIN,
    TOILE_ABOVE,
    TOILE_BELOW,
    YES,
    Field,
    as_typed,
    length_columns,
    length_field,
)


def find(book: Book, name: str) -> Field | None:
    """The field of that name in this round, or None."""
    head, _dot, rest = name.partition(".")
    if not rest:
        return PLAIN.get(name)
    maker = FAMILIES.get(head)
    return maker(book, rest) if maker else None


def shown(book: Book, name: str, field: Field) -> str:
    """What a page shows in a field: the text that waits there, else what stands."""
    return book.held_back(name) or field.read(book)


def trouble(book: Book, name: str) -> str:
    """The sentence beside a field whose text waits because it cannot be read, or ""."""
    held, field = book.held(name), find(book, name)
    if held is None or field is None:
        return ""
    try:
        field.value_of(book, held["text"])
    except ValidationError as wrong:
        return wrong.messages[0]
    return ""


def use_held_back(book: Book, prefix: str) -> None:
    """Write what waited for something else to be said first; what still cannot be used goes on waiting."""
    unit = book.unit
    for name in book.held_names(prefix):
        held, field = book.held(name), find(book, name)
        if held is None:
            continue
        book.unit = held["unit"]
        try:
            value = field.value_of(book, held["text"]) if field else None
        except ValidationError:
            continue
        else:
            if field is not None:
                book.hold_back(name, "")
                field.write(book, value)
        finally:
            book.unit = unit


def _size_at(book: Book, zone: str) -> Field | None:
    if zone not in book.zone_keys:
        return None

    def write(book: Book, text: str) -> None:
        sizes = {key: size for key, size in book.sizes.items() if key != zone}
        if text:
            sizes[zone] = text
        book.set_sizes(sizes)

    return Field("choice", lambda book: book.sizes.get(zone, ""), write, choices=("", *book.version.sizes))


def _body(book: Book, key: str) -> Field | None:
    if key not in BODY_MEASURES:
        return None

    def read(book: Book) -> str:
        row = book.body.get(key)
        return as_typed(book, row.typed, row.mm) if row else ""

    return length_field(read, lambda book, length: book.set_body(key, length), consent=MEASUREMENTS)


def _print(book: Book, what: str) -> Field | None:
    return PRINT.get(what)


def _print_length(stem: str) -> Field:
    def write(book: Book, length: Length | None) -> None:
        book.set_check(**length_columns(stem, length))

    def read(book: Book) -> str:
        check = book.check
        return as_typed(book, getattr(check, f"{stem}_typed"), getattr(check, f"{stem}_mm")) if check else ""

    return length_field(read, write)


def _fit(book: Book, rest: str) -> Field | None:
    zone, _dot, part = rest.partition(".")
    return FIT_PARTS[part](zone) if zone in book.zone_keys and part in FIT_PARTS else None


def _fit_itself(zone: str) -> Field:
    def read(book: Book) -> str:
        row = book.verdicts.get(zone)
        return str(row.fit) if row and not row.by_rest else ""

    def write(book: Book, text: str) -> None:
        if text:
            _answer(book, zone, int(text))
        elif zone in book.verdicts and not book.verdicts[zone].by_rest:
            for part in ("altered", "change", "words"):
                book.hold_back(f"fit.{zone}.{part}", FIT_PARTS[part](zone).read(book), length=part == "change")
            book.set_verdict(zone, {"fit": 0, **UNSAID} if book.report and book.report.rest_fits else None)

    return Field("choice", read, write, choices=("-2", "-1", "0", "1", "2", ""))


def _answer(book: Book, zone: str, fit: int) -> None:
    """Write an answer. A change asked for takes the sign that cures the complaint: tight wants more, loose less."""
    fields: dict[str, Any] = {"fit": fit, "by_rest": False}
    row = book.verdicts.get(zone)
    if row is not None and row.change_mm is not None:
        if fit:
            fields["change_mm"] = abs(row.change_mm) if fit < 0 else -abs(row.change_mm)
        else:
            book.hold_back(f"fit.{zone}.change", _change(zone).read(book), length=True)
            fields |= {"change_mm": None, "change_typed": ""}
    book.set_verdict(zone, fields)
    use_held_back(book, f"fit.{zone}.")


UNSAID: dict[str, Any] = {"by_rest": True, "altered": False, "change_mm": None, "change_typed": "", "words": ""}


def _altered(zone: str) -> Field:
    def write(book: Book, text: str) -> None:
        row = book.verdicts.get(zone)
        if row is None:
            book.hold_back(f"fit.{zone}.altered", text)
        else:
            book.set_verdict(zone, {"altered": text == YES, "by_rest": row.by_rest and text != YES})

    return Field(
        "tick",
        lambda book: YES if zone in book.verdicts and book.verdicts[zone].altered else "",
        write,
        choices=("", YES),
    )


def _change(zone: str) -> Field:
    def write(book: Book, length: Length | None) -> None:
        row = book.verdicts.get(zone)
        if length is None:
            if row is not None:
                book.set_verdict(zone, {"change_mm": None, "change_typed": ""})
        elif row is None or not row.fit:
            book.hold_back(f"fit.{zone}.change", length.typed, length=True)
        else:
            mm = length.mm if row.fit < 0 else -length.mm
            book.set_verdict(zone, {"change_mm": mm, "change_typed": length.typed})

    def read(book: Book) -> str:
        row = book.verdicts.get(zone)
        return as_typed(book, row.change_typed, abs(row.change_mm)) if row and row.change_mm is not None else ""

    return length_field(read, write)


def _fit_words(zone: str) -> Field:
    def write(book: Book, text: str) -> None:
        row = book.verdicts.get(zone)
        if row is None:
            book.hold_back(f"fit.{zone}.words", text)
        else:
            book.set_verdict(zone, {"words": text, "by_rest": row.by_rest and not text})

    return Field(
        "words",
        lambda book: book.verdicts[zone].words if zone in book.verdicts else "",
        write,
        most=settings.WORDS_CHARS,
    )


FIT_PARTS: dict[str, Callable[[str], Field]] = {
    "": _fit_itself,
    "altered": _altered,
    "change": _change,
    "words": _fit_words,
}


def toile_places(kind: str) -> tuple[str, ...]:
    """Where the toile is measured flat."""
    return TOILE_BELOW if kind in {"skirt", "trousers"} else TOILE_ABOVE


def _toile(book: Book, key: str) -> Field | None:
    if key not in toile_places(book.pattern.kind):
        return None

    def read(book: Book) -> str:
        row = book.toile.get(key)
        return as_typed(book, row.typed, row.mm / 2) if row else ""

    return length_field(read, lambda book, length: book.set_toile(key, length))


def _step(book: Book, rest: str) -> Field | None:
    """`step.9.typo` ticks a kind of note at step 9, `step.9.typo.words` is its text; step 0 is the whole booklet."""
    found = re.fullmatch(r"(\d{1,3})\.([a-z]+)(\.words)?", rest, re.ASCII)
    if found is None or found[2] not in NoteKind.values:
        return None
    step, kind = int(found[1]) or None, found[2]
    return _step_words(step, kind) if found[3] else _step_tick(step, kind)


def _step_tick(step: int | None, kind: str) -> Field:
    def write(book: Book, text: str) -> None:
        row = book.notes.get((step, kind))
        if text != YES:
            if row and row.text:
                book.hold_back(f"step.{step or 0}.{kind}.words", row.text)
            book.set_note(step, kind, None)
        elif row is None:
            book.set_note(step, kind, {"text": ""})
            use_held_back(book, f"step.{step or 0}.{kind}.words")

    return Field("tick", lambda book: YES if (step, kind) in book.notes else "", write, choices=("", YES))


def _step_words(step: int | None, kind: str) -> Field:
    def write(book: Book, text: str) -> None:
        if text or (step, kind) in book.notes:
            book.set_note(step, kind, {"text": text})

    def read(book: Book) -> str:
        row = book.notes.get((step, kind))
        return row.text if row else ""

    return Field("words", read, write, most=settings.WORDS_CHARS)


PRINT: Mapping[str, Field] = {
    "across": _print_length("across"),
    "down": _print_length("down"),
    "cut_anyway": Field(
        "tick",
        lambda book: YES if book.check and book.check.cut_anyway else "",
        lambda book, text: book.set_check(cut_anyway=text == YES),
        choices=("", YES),
    ),
    "note": Field(
        "line",
        lambda book: book.check.note if book.check else "",
        lambda book, text: book.set_check(note=text),
        most=NOTE_CHARS,
    ),
}
FAMILIES: Mapping[str, Callable[[Book, str], Field | None]] = {
    "size": _size_at,
    "body": _body,
    "print": _print,
    "fit": _fit,
    "toile": _toile,
    "step": _step,
}
