"""Numbers of the booklet: steps in order, references that lead somewhere, sizes, the test square's page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from measurements.sentences import Sentence as SaidSentence
from measurements.sentences import gettext_noop, sentence
from releases.wording.booklet import Block, Booklet
from releases.wording.facts import Facts
from releases.wording.found import Found

_REFERENCE = re.compile(
    r"\bsteps?\s+(?:nos?\.?\s?|numbers?\s|#\s?)?(\d{1,3}(?:\s?(?:-|\u2013|\bto\b|\band\b|\bor\b|&|,)\s?\d{1,3}){0,9})\b"
    r"(?![.,/]?\d|\s?(?:mm|cm|m|in|inch(?:es)?)\b|\")",
    re.IGNORECASE,
)
_LABEL = r"(?:\d{1,2}[A-Z]{0,2}|X{0,4}S|M|X{0,5}L|[2-6]XL)"
_RANGE = re.compile(
    rf"\b((?i:sizes?)\s+)?({_LABEL})\s*(?:-|\u2013|\u2014|\bto\b|\bthrough\b)\s*({_LABEL})\b(?!\s*(?:mm|cm|m\b|in\b|%|/))"
)
_ONE = re.compile(rf"\b(?i:sizes?)\s+({_LABEL})\b(?!\s*(?:-|\u2013|to\b|needle|hook|button|snap|crochet|mm|cm|/\d))")
_PAGE = r"\b(?:page|pg\.?|p\.)\s?(\d{1,3})\b"
_SQUARE = re.compile(
    rf"\bsquare\b[^.;]{{0,40}}?{_PAGE}|{_PAGE}[^.;]{{0,40}}?\b(?:test\s+|scale\s+)?square\b", re.IGNORECASE
)
# After these words a range is a part of the sizes, or one that is spoken to; before those it is what the pattern has.
_PART = re.compile(
    r"^[^\w.;!?]*(?:use|uses|cut|need|only|sew|take|add|skip|print|go|measure|view|have|gather|leave)\b", re.IGNORECASE
)
_OF_ALL = re.compile(
    r"\b(?:available|comes?|cover|range|pattern|graded|drafted|includes?|multi-?size)\b", re.IGNORECASE
)
# Other things that are counted: "pages 2 to 20", "needle, size 80".
_OTHER_RANGE = re.compile(
    r"\b(?:pages?|pp?\.?|steps?|fig(?:ure)?s?\.?|rows?|lines?|marks?|dots?|points?|numbers?|nos?\.?|pieces?|tiles?"
    r"|layers?|rounds?|weeks?|days?|hours?|minutes?)\s+$",
    re.IGNORECASE,
)
_OTHER_SIZE = re.compile(
    r"\b(?:needles?|hooks?|buttons?|snaps?|studs?|crochet|pins?|threads?|paper)\b[^.;]{0,14}$", re.IGNORECASE
)
_FOR_SOME = re.compile(r"\b(?:for|only|on|at|between)\s+$", re.IGNORECASE)
_LIST = re.compile(rf"\b(?i:sizes?)\s*:?\s+({_LABEL}(?:\s?,\s?(?:and\s)?{_LABEL}){{2,40}})\b")
_FEW_WORDS, _NEAR = 8, 20


def check_numbering(booklet: Booklet) -> Iterator[Found]:
    """Steps that are missing, doubled or out of order."""
    for (a, _), (b, line) in pairwise(booklet.numbers):
        if b == a + 1 or (b == 1 and a > 1):  # another view or list begins anew
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
    lowest = min(known, default=0)
    for block in booklet.blocks:
        for match in _REFERENCE.finditer(block.text):
            for number in map(int, re.findall(r"\d+", match[1])):
                dead = number > last or number < 1 or (bool(known) and facts.steps is None and number not in known)
                if dead and not 0 < number < lowest:
                    said = gettext_noop("There is no step %(number)s; the last is %(last)s.")
                elif number == block.step:
                    said = gettext_noop("Step %(number)s refers to itself.")
                else:
                    continue
                says = sentence("dead_reference", said, number=number, last=last)
                yield Found("reference", block.step, block.line(match.start()), match[0], says)


def check_sizes(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """A range or a size that the chart does not have; the layers of the files and the cover too."""
    if not facts.sizes:
        return
    ends = (facts.sizes[0].upper(), facts.sizes[-1].upper())
    known = {size.upper() for size in facts.sizes}
    said: set[tuple[str, str]] = set()
    for block in booklet.blocks:
        for match in _RANGE.finditer(block.text):
            a, b = match[2].upper(), match[3].upper()
            if (a, b) != ends and _of_all(block, match, known, ends):
                said.add((a, b))
                yield _range(block.step, block.line(match.start()), match, facts)
        yield from _listed(block, facts)
        for match in _ONE.finditer(block.text):
            before = block.text[max(0, match.start() - _NEAR) : match.start()]
            if match[1].upper() not in known and not _OTHER_SIZE.search(before):
                says = sentence("no_size", gettext_noop("The chart has no size %(size)s."), size=match[1])
                yield Found("size", block.step, block.line(match.start()), match[0], says)
    cover = (facts.cover[0].upper(), facts.cover[-1].upper()) if facts.cover else ends
    if cover not in {ends, *said}:
        text = f"{facts.cover[0]}-{facts.cover[-1]}"
        yield Found("size", None, None, text, _range_says("cover", text, facts), f"{facts.sizes[0]}-{facts.sizes[-1]}")
    yield from _layers(facts)


def _listed(block: Block, facts: Facts) -> Iterator[Found]:
    """ "Sizes 6, 8, 10, ... 22" with one that the chart does not have, or, as the sizes of the whole, without one."""
    for match in _LIST.finditer(block.text):
        printed = re.findall(_LABEL, match[1])
        whole = block.step is None and not _FOR_SOME.search(block.text[max(0, match.start() - _NEAR) : match.start()])
        wrong = [size for size in printed if size.upper() not in {one.upper() for one in facts.sizes}]
        missing = [size for size in facts.sizes if size.upper() not in {one.upper() for one in printed}]
        if wrong or (whole and missing and len(printed) * 2 > len(facts.sizes)):
            text = f"{printed[0]}-{printed[-1]}"
            line = block.line(match.start())
            proposed = ", ".join(facts.sizes)
            yield Found("size", block.step, line, match[1], _range_says("list", text, facts), proposed)


def _of_all(block: Block, match: re.Match[str], known: set[str], ends: tuple[str, str]) -> bool:
    """Whether a range is that of the whole pattern, and not "sizes 6-14 use view A"."""
    a, b = match[2].upper(), match[3].upper()
    if block.text.startswith('"', match.end()) and block.text[match.start() - 1 : match.start()] != '"':
        return False  # inches
    if not match[1] and _OTHER_RANGE.search(block.text[max(0, match.start() - _NEAR) : match.start()]):
        return False
    short = len(block.text.split()) <= _FEW_WORDS
    if not (match[1] or short) or not (a in known or b in known or match[1]):
        return False
    if match[1] and not {a, b} <= known:
        return True
    if _FOR_SOME.search(block.text[max(0, match.start() - _NEAR) : match.start()]) and {a, b} <= known:
        return False
    if not (a == ends[0] or b == ends[1] or not {a, b} <= known) or _PART.match(block.text[match.end() :]):
        return False
    return short or block.step is None or _OF_ALL.search(block.text) is not None


def _range(step: int | None, line: int, match: re.Match[str], facts: Facts) -> Found:
    """A printed range that is not the chart's, with the chart's ends proposed in its place."""
    text = match[0]
    between = text[match.end(2) - match.start() : match.start(3) - match.start()]
    proposed = f"{match[1] or ''}{facts.sizes[0]}{between}{facts.sizes[-1]}"
    return Found("size", step, line, text, _range_says("range", text, facts), proposed)


def _range_says(code: str, text: str, facts: Facts) -> SaidSentence:
    said = gettext_noop("%(text)s is printed; the chart goes from %(first)s to %(last)s.")
    return sentence(code, said, text=text, first=facts.sizes[0], last=facts.sizes[-1])


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
