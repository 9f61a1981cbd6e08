"""Numbers of the booklet: steps in order, references that lead somewhere, sizes, the test square's page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from measurements.sentences import gettext_noop, sentence
from releases.wording.booklet import Booklet
from releases.wording.facts import Facts
from releases.wording.found import Found

_REFERENCE = re.compile(r"\bsteps?\s+(\d{1,3})(?:\s*(?:-|\u2013|to|and|&|,)\s*(\d{1,3}))?\b", re.IGNORECASE)
_LABEL = r"(?:\d{1,2}[A-Z]{0,2}|X{0,4}S|M|X{0,5}L|[2-6]XL)"
_RANGE = re.compile(
    rf"\b((?i:sizes?)\s+)?({_LABEL})\s*(?:-|\u2013|\u2014|\bto\b|\bthrough\b)\s*({_LABEL})\b(?!\s*(?:mm|cm|m\b|in\b|\"|%|/))"
)
_ONE = re.compile(rf"\b(?i:sizes?)\s+({_LABEL})\b(?!\s*(?:-|\u2013|to\b|needle|hook|button|snap|crochet|mm|cm))")
_SQUARE = re.compile(
    r"\bsquare\b[^.;]{0,40}?\bpage\s+(\d{1,3})\b|\bpage\s+(\d{1,3})\b[^.;]{0,40}?\b(?:test\s+|scale\s+)?square\b",
    re.IGNORECASE,
)
_FEW_WORDS = 8


def check_numbering(booklet: Booklet) -> Iterator[Found]:
    """Steps that are missing, doubled or out of order."""
    for (a, _), (b, line) in pairwise(booklet.numbers):
        if b == a + 1:
            continue
        if b > a + 1:
            missing = ", ".join(str(number) for number in range(a + 1, min(b, a + 9)))
            says = sentence(
                "missing_step",
                gettext_noop("After step %(a)s comes step %(b)s; missing: %(missing)s."),
                a=a,
                b=b,
                missing=missing,
            )
        elif b == a:
            says = sentence("doubled_step", gettext_noop("Step %(a)s stands twice."), a=a)
        else:
            says = sentence("step_order", gettext_noop("Step %(b)s comes after step %(a)s."), a=a, b=b)
        yield Found("numbering", b, line, f"{a}, {b}", says)


def check_references(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """ "As in step 14" where there are 12, or in step 14 itself."""
    known = {number for number, _ in booklet.numbers}
    last = facts.steps or (max(known) if known else None)
    if last is None:
        return
    for block in booklet.blocks:
        for match in _REFERENCE.finditer(block.text):
            for text in filter(None, match.groups()):
                number = int(text)
                dead = number > last or number < 1 or (bool(known) and facts.steps is None and number not in known)
                if dead and not _skipped(number, known):
                    said = gettext_noop("There is no step %(number)s; the last is %(last)s.")
                elif number == block.step:
                    said = gettext_noop("Step %(number)s refers to itself.")
                else:
                    continue
                says = sentence("dead_reference", said, number=number, last=last)
                yield Found("reference", block.step, block.line(match.start()), match[0], says)


def _skipped(number: int, known: set[int]) -> bool:
    """A number before the first step of an excerpt can be right."""
    return bool(known) and 0 < number < min(known)


def check_sizes(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """A range or a size that the chart does not have; the layers of the files and the cover too."""
    if not facts.sizes:
        return
    ends = (facts.sizes[0].upper(), facts.sizes[-1].upper())
    known = {size.upper() for size in facts.sizes}
    if facts.cover and (facts.cover[0].upper(), facts.cover[-1].upper()) != ends:
        yield _range("cover", None, None, f"{facts.cover[0]}-{facts.cover[-1]}", facts)
    for block in booklet.blocks:
        for match in _RANGE.finditer(block.text):
            a, b = match[2].upper(), match[3].upper()
            whole = bool(match[1]) or len(block.text.split()) <= _FEW_WORDS
            starts = a == ends[0] or b == ends[1] or not {a, b} <= known
            if whole and starts and (a, b) != ends and (a in known or b in known or match[1]):
                yield _range("range", block.step, block.line(match.start()), match[0], facts)
        for match in _ONE.finditer(block.text):
            if match[1].upper() not in known:
                says = sentence("no_size", gettext_noop("The chart has no size %(size)s."), size=match[1])
                yield Found("size", block.step, block.line(match.start()), match[0], says)
    yield from _layers(facts)


def _range(code: str, step: int | None, line: int | None, text: str, facts: Facts) -> Found:
    said = gettext_noop("%(text)s is printed; the chart goes from %(first)s to %(last)s.")
    says = sentence(code, said, text=text, first=facts.sizes[0], last=facts.sizes[-1])
    whole = f"{facts.sizes[0]}-{facts.sizes[-1]}"
    return Found("size", step, line, text, says, f"{text.split()[0]} {whole}" if text[:4].lower() == "size" else whole)


def _layers(facts: Facts) -> Iterator[Found]:
    if not facts.layers:
        return
    layers = " | ".join(facts.layers)
    missing = [size for size in facts.sizes if not re.search(rf"(?<![\w]){re.escape(size)}(?![\w])", layers)]
    if missing:
        said = gettext_noop("The files have no layer for size %(sizes)s.")
        yield Found("size", None, None, ", ".join(missing), sentence("no_layer", said, sizes=", ".join(missing)))


def check_square_page(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    if facts.square_page is None:
        return
    for block in booklet.blocks:
        for match in _SQUARE.finditer(block.text):
            printed = match[1] or match[2]
            if int(printed) != facts.square_page:
                said = gettext_noop("The test square is on page %(page)s, not %(printed)s.")
                says = sentence("square_page", said, page=facts.square_page, printed=printed)
                proposed = re.sub(rf"\b{printed}\b", str(facts.square_page), match[0])
                yield Found("page", block.step, block.line(match.start()), match[0], says, proposed)
