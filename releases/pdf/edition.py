"""Words that are new on every page of a new version and no reason to print a page again: its version, its date, and
the numbers of pages after some were put in or taken out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from releases.pdf.marks import Drawing, Letter
from releases.pdf.matching import Difference
from releases.pdf.words import Line, page_lines, without_edition

# So many of the pages that carry the words, and two at least where there are several, must have changed them alike.
MOST_PAGES = 0.9
_NUMBER = re.compile(r"\d+")


@dataclass(frozen=True)
class Place:
    """Where a page stands: its number from 1 and the count of pages."""

    number: int
    of: int


@dataclass(frozen=True)
class Edition:
    """A page's difference without the words that only name the edition, and those words before and after."""

    rest: Difference
    said: tuple[tuple[str, str], ...] = ()
    # Whether the page before carried such words at all.
    carried: bool = False


def edition(found: Difference, old: Drawing, new: Drawing, before: Place, after: Place) -> Edition:
    """Split a difference; page numbers that moved with their pages count as no difference at all."""
    old_lines, new_lines = page_lines(old), page_lines(new)
    carried = any("\u2022" in without_edition(line.text) for line in old_lines)
    if not found.old_letters and not found.new_letters:
        return Edition(found, carried=carried)
    dropped: list[Line] = []
    said: list[tuple[str, str]] = []
    for line in _touched(old_lines, found.old_letters):
        for other in _touched(new_lines, found.new_letters):
            alike = line.text != other.text and _plain(line.text, before) == _plain(other.text, after)
            if alike and _same_place(line, other):
                dropped += [line, other]
                if without_edition(line.text) != line.text:
                    said.append((line.text, other.text))
    if not dropped:
        return Edition(found, carried=carried)
    rest = replace(
        found,
        old_letters=[letter for letter in found.old_letters if not _in_any(letter, dropped)],
        new_letters=[letter for letter in found.new_letters if not _in_any(letter, dropped)],
    )
    return Edition(rest, tuple(said), carried)


def is_everywhere(editions: Sequence[Edition]) -> bool:
    """Whether the edition was renewed on nearly every page that names one: then it is no change of a page."""
    renewed = sum(bool(one.said) for one in editions)
    carrying = sum(one.carried for one in editions)
    return renewed >= min(2, len(editions)) and renewed > 0 and renewed >= MOST_PAGES * carrying


def _touched(lines: Iterable[Line], letters: Sequence[Letter]) -> list[Line]:
    return [line for line in lines if any(_in(letter, line) for letter in letters)]


def _in_any(letter: Letter, lines: Iterable[Line]) -> bool:
    return any(_in(letter, line) for line in lines)


def _in(letter: Letter, line: Line) -> bool:
    left, bottom, right, top = line.box
    return left <= letter.x <= right and bottom <= letter.y <= top and letter.layer == line.layer


def _same_place(a: Line, b: Line) -> bool:
    """On one baseline, one over the other."""
    return abs(a.box[1] - b.box[1]) < 1.0 and a.box[0] <= b.box[2] and b.box[0] <= a.box[2] and a.layer == b.layer


def _plain(text: str, place: Place) -> str:
    """The words without version, date, and the page's own number and count."""

    def hidden(found: re.Match[str]) -> str:
        value = int(found[0])
        return "#" if value == place.number else "##" if value == place.of else found[0]

    return _NUMBER.sub(hidden, without_edition(text))
