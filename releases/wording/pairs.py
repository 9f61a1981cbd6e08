"""Pairs of units in the text: halves that disagree, an inch value with two partners, a unit that is missing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from measurements.pair_check import PairFinding, check_texts
from measurements.printed_pairs import read_text
from measurements.sentences import gettext_noop, sentence
from releases.wording.booklet import Block, Booklet
from releases.wording.facts import Facts
from releases.wording.found import Found, Kind

_KINDS: dict[str, Kind] = {"disagree": "pair", "two_partners": "partner", "one_unit": "unit"}
# A machine's stitch, a needle, a square to measure on paper: set or read in millimetres everywhere.
_ONE_UNIT_IS_ENOUGH = re.compile(r"\b(?:stitch(?:es)?|needle|square|gsm|zigzag)\b", re.IGNORECASE)
_NEAR = 28
# So many lengths in one unit, and no pair, are a booklet's way and no slip.
_THROUGHOUT = 6


@dataclass(frozen=True)
class _Placed:
    block: Block
    finding: PairFinding
    start: int


def check_pairs(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """Findings of the pairs, each with its place."""
    blocks = booklet.blocks
    wanted = _units_wanted(booklet, facts)
    found = check_texts((str(i), block.text) for i, block in enumerate(blocks))
    placed = [one for one in _placed(blocks, found) if one.finding.kind != "one_unit" or _missing(one, wanted)]
    alone = [one for one in placed if one.finding.kind == "one_unit"]
    if len(alone) >= _THROUGHOUT and not any(read_text(block.text)[0] for block in blocks):
        yield _throughout(alone)
        placed = [one for one in placed if one.finding.kind != "one_unit"]
    for one in placed:
        finding = one.finding
        line = one.block.line(one.start)
        yield Found(_KINDS[finding.kind], one.block.step, line, finding.text, finding.says, finding.proposed)


def _throughout(alone: list[_Placed]) -> Found:
    """A booklet in one unit from end to end is one finding, not one a length."""
    first = alone[0]
    metric = first.finding.says.code == "inches_missing"
    said = (
        gettext_noop("The inches are missing throughout: %(n)s lengths stand in metric units alone.")
        if metric
        else gettext_noop("Metric lengths are missing throughout: %(n)s lengths stand in inches alone.")
    )
    says = sentence("one_unit_throughout", said, n=len(alone))
    line = first.block.line(first.start)
    return Found("unit", first.block.step, line, first.finding.text, says, first.finding.proposed)


def _units_wanted(booklet: Booklet, facts: Facts) -> frozenset[str]:
    """The systems a length may not do without: inches always, metric where the booklet speaks metric at all."""
    if facts.both_units is False:
        return frozenset()
    if facts.both_units:
        return frozenset({"inch", "metric"})
    pairs, alone = read_text(booklet.text)
    metric = bool(pairs) or any(length.system == "metric" for length in alone)
    return frozenset({"inch", "metric"} if metric else {"inch"})


def _missing(one: _Placed, wanted: frozenset[str]) -> bool:
    missing = "inch" if one.finding.says.code == "inches_missing" else "metric"
    around = one.block.text[max(0, one.start - _NEAR) : one.start + len(one.finding.text) + _NEAR]
    # "2 m/m" is two millimetres in books of a hundred years ago, and no two metres.
    if one.block.text.startswith("/m", one.start + len(one.finding.text)):
        return False
    return missing in wanted and not _ONE_UNIT_IS_ENOUGH.search(around)


def _placed(blocks: tuple[Block, ...], found: Iterable[PairFinding]) -> Iterator[_Placed]:
    """Each finding at its own place, though the same words may stand in a block twice."""
    seen: dict[tuple[str, str, str], int] = {}
    flats: dict[str, str] = {}
    for finding in found:
        block = blocks[int(finding.place)]
        flat = flats.setdefault(finding.place, "") or re.sub(r"\s", " ", block.text)
        flats[finding.place] = flat
        key = (finding.place, finding.kind, finding.text)
        pattern = re.compile(r"(?<![\w.,/])" + re.sub(r"(?:\\ )+", r"\\s+", re.escape(finding.text)))
        match = pattern.search(flat, seen.get(key, 0))
        start = match.start() if match else max(0, flat.find(finding.text))
        seen[key] = match.end() if match else start
        yield _Placed(block, finding, start)
