"""Lengths in running text, and which of them stand together as a pair: `1.5 cm (5/8 in)`.

Read are whole and decimal numbers (point or comma), fractions (`5/8`, `1 1/2`, `1-1/2`, `1½`), millimetres, centimetres
and metres, inches (`in`, `inch`, `"`, `″`) and yards, lengths in words (`half an inch`), ranges and sizes by each other
(`4 x 6 cm (1 1/2 x 2 3/8 in)`).
"Cut 2 in lining" is a count and no length. Method and limits: docs/algorithms/printed-pairs.md.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from measurements.length_display import MM_PER_INCH
from measurements.lengths_in_words import IN_WORDS, unit_of, value_of

System = Literal["metric", "inch"]
# 1 in = 25.4 mm exactly, a yard is 36 inches.
_MM = {
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000),
    "in": Fraction(MM_PER_INCH), "yd": 36 * Fraction(MM_PER_INCH),
}  # fmt: skip
_SIGNS = "½⅓⅔¼¾⅕⅖⅗⅘⅛⅜⅝⅞"
_NUMBER = (
    rf"(?:\d{{1,4}}\s?[{_SIGNS}]|[{_SIGNS}]"
    r"|(?:\d{1,4}(?:[ \u00a0]{1,2}|[-\u2011]))?\d{1,2}[/\u2044]\d{1,2}"
    r"|\d{1,6}(?:[.,]\d{1,6})?|[.,]\d{1,6})"
)
_UNIT = (
    r"(?P<unit>mm|millimet(?:re|er)s?|cms?|centimet(?:re|er)s?|met(?:re|er)s?|m"
    r"|inch(?:es)?|ins?|yards?|yds?|\"|\u2033|\u201d|'')(?![A-Za-z0-9\u00b2\u00b3])"
)
_BETWEEN = r"\s*(?:x|\u00d7|by|to|-|\u2013|\u2014)\s*"
_LENGTH = re.compile(
    rf"(?<![\w.,{_SIGNS}])(?<!\d[/\u2044])(?P<numbers>{_NUMBER}(?:{_BETWEEN}{_NUMBER}){{0,2}})[ \u00a0-]?{_UNIT}",
    re.IGNORECASE,
)
_JOINED = re.compile(
    r"\s*(?:(?:[a-z]+\s+){0,2}[(\[]|/|=|\u2248|\u2013|\u2014|or\b|,?\s*about\b)?\s*(?:about|approx\.?|ca?\.|=|\u2248|~|or)?\s*",
    re.IGNORECASE,
)
# So far before and behind a length is looked for what belongs to it.
_NEAR = 40
# "Cut 2 in lining" counts pieces; "2 in from the edge" does not. A whole number before a bare "in" is a length only
# before one of these words, or where nothing follows.
_LENGTH_WORDS = re.compile(
    "above|across|along|and|apart|at|away|before|below|beyond|by|deep|down|elastic|extra|from|gap|hems?|high|in|inside"
    "|long|longer|off?|on|opening|or|outside|past|seams?|short|shorter|square|strips?|tape|thick|to|turning|up|wider?|with",
    re.IGNORECASE,
)
_COUNTED = re.compile(r"\b(?:cut|pieces?|x|\u00d7)\s*(?:out\s*)?$", re.IGNORECASE)


@dataclass(frozen=True)
class PrintedLength:
    """A length as printed: its place in the text, exact millimetres, and how many decimals its number has."""

    text: str
    start: int
    end: int
    unit: str
    mm: Fraction
    decimals: int = 0

    @property
    def length_mm(self) -> Decimal:
        return Decimal(self.mm.numerator) / self.mm.denominator

    @property
    def system(self) -> System:
        return "inch" if self.unit in {"in", "yd"} else "metric"


@dataclass(frozen=True)
class PrintedPair:
    """Two halves that stand for one length. `text` is the whole of it as printed."""

    text: str
    metric: PrintedLength
    inch: PrintedLength

    @property
    def inches(self) -> Fraction:
        return self.inch.mm / _MM["in"]

    @property
    def metric_mm(self) -> Decimal:
        return self.metric.length_mm

    @property
    def inch_mm(self) -> Decimal:
        return self.inch.length_mm

    @property
    def cloth(self) -> bool:
        """A length of cloth to buy: each side is rounded up by itself, so the two are never quite the same."""
        return self.inch.unit == "yd" and self.metric.unit != "mm"


def find_lengths(text: str) -> tuple[PrintedLength, ...]:
    """Every length with a unit, in order. Those of a series (`4 x 6 cm`) follow one another."""
    return tuple(length for series in _series(text) for length in series)


def find_pairs(text: str) -> tuple[PrintedPair, ...]:
    """Every length that is printed in both units."""
    return read_text(text)[0]


def read_text(text: str) -> tuple[tuple[PrintedPair, ...], tuple[PrintedLength, ...]]:
    """The pairs of a text, and the lengths that stand in one unit alone."""
    pairs: list[PrintedPair] = []
    alone: list[PrintedLength] = []
    found = list(_series(text))
    i = 0
    while i < len(found):
        if i + 1 < len(found) and _pair_up(found[i], found[i + 1], text):
            pairs += _pairs(found[i], found[i + 1], text)
            i += 2
        else:
            alone += found[i]
            i += 1
    return tuple(pairs), tuple(alone)


def _series(text: str) -> Iterator[tuple[PrintedLength, ...]]:
    matches = _matches(text)
    for i, match in enumerate(matches):
        before = matches[i - 1] if i else None
        after = matches[i + 1] if i + 1 < len(matches) else None
        if _written(match).lower() != "in" or _is_inches(match, text, before, after):
            lengths = tuple(_lengths(match))
            if all(length.mm for length in lengths):
                yield lengths


def _matches(text: str) -> list[re.Match[str]]:
    """What reads as a length, in numbers or in words; of two that overlap the longer: `1 inch and a half`."""
    found: list[re.Match[str]] = []
    every = [*_LENGTH.finditer(text), *IN_WORDS.finditer(text)]
    for match in sorted(every, key=lambda one: (one.start(), -one.end())):
        if not found or match.start() >= found[-1].end():
            found.append(match)
    return found


def _written(match: re.Match[str]) -> str:
    return unit_of(match) if match.re is IN_WORDS else match["unit"]


def _lengths(match: re.Match[str]) -> Iterator[PrintedLength]:
    unit = _unit(_written(match))
    if match.re is IN_WORDS:
        yield PrintedLength(match[0], match.start(), match.end(), unit, value_of(match) * _MM[unit])
        return
    numbers = list(re.finditer(_NUMBER, match["numbers"]))
    for i, number in enumerate(numbers):
        last = i == len(numbers) - 1
        start = match.start() + number.start() if i else match.start()
        end = match.end() if last else match.start() + number.end()
        text = match.string[start:end] if last else f"{number[0]} {unit}"
        value, decimals = _value(number[0])
        yield PrintedLength(text, start, end, unit, value * _MM[unit], decimals)


def _unit(word: str) -> str:
    word = word.lower()
    if word in {'"', "″", "”", "''"} or word.startswith("in"):
        return "in"
    if word.startswith("y"):
        return "yd"
    if word in {"mm", "m"}:
        return word
    return {"mil": "mm", "cen": "cm", "cm": "cm", "cms": "cm", "met": "m"}[word[:3]]


def _value(number: str) -> tuple[Fraction, int]:
    """A number as written, and its count of decimals."""
    plain = unicodedata.normalize("NFKC", re.sub(rf"(?<=\d)\s*(?=[{_SIGNS}])", " ", number)).replace("\u2044", "/")
    if "/" in plain:
        *whole, fraction = re.split(r"[\s\u2010\u2011-]+", plain)
        top, bottom = fraction.split("/")
        return Fraction(int(whole[0]) if whole else 0) + (Fraction(int(top), int(bottom)) if int(bottom) else 0), 0
    plain = plain.replace(",", ".")
    return Fraction(plain if plain[0] != "." else f"0{plain}"), len(plain.partition(".")[2])


def _is_inches(match: re.Match[str], text: str, before: re.Match[str] | None, after: re.Match[str] | None) -> bool:
    """Whether a bare "in" means inches: `5/8 in` and `2 in wide` do, "cut 2 in lining" and "2-in-1" do not."""
    if text[match.end() : match.end() + 2].startswith(("-1", "-2")):
        return False
    numbers = match["numbers"]
    if not numbers.isdecimal() or text[match.end(1) : match.end(1) + 1] == "-":
        return True
    if (before and _beside(before, match, text)) or (after and _beside(match, after, text)):
        return True
    if _COUNTED.search(text[max(0, match.start() - _NEAR) : match.start()]):
        return False
    if re.match(r"\s+\d", text[match.end() : match.end() + _NEAR]):  # "2 in 1"
        return False
    word = re.match(r"\s+([A-Za-z]+)", text[match.end() : match.end() + _NEAR])
    return word is None or _LENGTH_WORDS.fullmatch(word[1]) is not None


def _beside(one: re.Match[str], other: re.Match[str], text: str) -> bool:
    metric = {_unit(_written(found)) in {"in", "yd"} for found in (one, other)}
    return (
        len(metric) == 2 and bool(text[one.end() : other.start()].strip()) and _joined(text, one.end(), other.start())
    )


def _joined(text: str, start: int, end: int) -> bool:
    """Whether no more than a bracket, a stroke or a word or two stand between the halves of a pair."""
    return end - start <= _NEAR and _JOINED.fullmatch(text, start, end) is not None


def _pair_up(one: Sequence[PrintedLength], other: Sequence[PrintedLength], text: str) -> bool:
    if one[0].system == other[0].system or (len(one) != len(other) and 1 not in {len(one), len(other)}):
        return False
    return _joined(text, one[-1].end, other[0].start)


def _pairs(one: Sequence[PrintedLength], other: Sequence[PrintedLength], text: str) -> Iterator[PrintedPair]:
    end = other[-1].end + (text[other[-1].end : other[-1].end + 1] in {")", "]"})
    whole = " ".join(text[one[0].start : end].split())
    for a, b in _alike(one, other):
        metric, inch = (a, b) if a.system == "metric" else (b, a)
        yield PrintedPair(whole, metric, inch)


def _alike(
    one: Sequence[PrintedLength], other: Sequence[PrintedLength]
) -> Iterable[tuple[PrintedLength, PrintedLength]]:
    """The halves that belong together; a single length beside a range belongs to its nearer end."""
    if len(one) == len(other):
        return zip(one, other, strict=True)
    return [min(((a, b) for a in one for b in other), key=lambda pair: abs(pair[0].mm - pair[1].mm))]
