"""The wording check: every finding of a booklet, in the order of its lines.

Method, limits and a worked example: docs/algorithms/wording.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from releases.wording.booklet import Booklet, read_booklet
from releases.wording.care import check_cautions
from releases.wording.facts import Facts
from releases.wording.found import Found
from releases.wording.lengths import Declared, check_declared, declared_lengths, shown
from releases.wording.numbers import check_numbering, check_references, check_sizes, check_square_page
from releases.wording.pairs import check_pairs
from releases.wording.pieces import check_pieces
from releases.wording.words import check_abbreviations, check_dialect, check_notions, check_person


def check_wording(text: str, facts: Facts | None = None) -> list[Found]:
    """All findings of a booklet's text; without facts only what the text says against itself."""
    booklet, facts = read_booklet(text), facts or Facts()
    found = sorted(_all(booklet, facts), key=lambda one: (one.line is None, one.line or 0))
    return list(dict.fromkeys(found))


def _all(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    declared = list(declared_lengths(booklet, facts))
    yield from check_declared(declared, booklet, facts)
    yield from _pairs(booklet, facts, declared)
    yield from check_pieces(booklet, facts)
    yield from check_numbering(booklet)
    yield from check_references(booklet, facts)
    yield from check_sizes(booklet, facts)
    yield from check_square_page(booklet, facts)
    yield from check_abbreviations(booklet, facts)
    yield from check_dialect(booklet, facts)
    yield from check_person(booklet)
    yield from check_notions(booklet, facts)
    yield from check_cautions(booklet, facts)


def _pairs(booklet: Booklet, facts: Facts, declared: list[Declared]) -> Iterator[Found]:
    """The pairs, but of lengths that are wrong as a whole; with the declared length proposed where one half has it."""
    wrong = frozenset((one.block.line(one.start), one.text) for one in declared if not one.agrees)
    known: dict[tuple[int | None, str], Decimal] = {
        (one.block.line(one.start), one.text): one.mm for one in declared if one.contradicts_itself
    }
    for found in check_pairs(booklet, facts):
        if (found.line, found.text) in wrong:
            continue
        mm = known.get((found.line, found.text))
        yield replace(found, proposed=shown(mm)) if found.kind == "pair" and mm is not None else found
