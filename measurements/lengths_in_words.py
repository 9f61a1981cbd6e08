"""Lengths written in words: `five eighths of an inch`, `half an inch`, `an inch and a half`, `two centimetres`.

"An inch" or "an inch or two" alone is a manner of speaking and no length. Method: docs/algorithms/printed-pairs.md.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

_COUNTS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_TOPS = {"a": 1, "an": 1, "one": 1, "three": 3, "five": 5, "seven": 7}
_PARTS = {"half": 2, "quarter": 4, "fourth": 4, "third": 3, "eighth": 8, "sixteenth": 16}
_COUNT = rf"(?:{'|'.join(_COUNTS)}|\d{{1,3}})"
_PART = rf"(?:(?:an?|one|three|five|seven)[ -])?(?:{'|'.join(_PARTS)})s?"
_SIGN = r"(?:\d{1,2}[/\u2044]\d{1,2}|[½⅓⅔¼¾⅛⅜⅝⅞])"
_UNIT = r"(?:inch(?:es)?|yards?|centimet(?:re|er)s?|millimet(?:re|er)s?)\b"
IN_WORDS = re.compile(
    r"(?<![\w.,/-])(?:"
    rf"(?:(?P<whole>{_COUNT})[ -]and[ -])?(?P<part>{_PART})[ -](?:of[ ])?(?:an?[ ]|one[ ])?(?P<u1>{_UNIT})"
    rf"|(?:(?P<mixed>{_COUNT})[ -]and[ -])?(?P<sign>{_SIGN})[ ](?:(?:of[ ])?an?[ ])?(?P<u2>{_UNIT})"
    rf"|(?P<before>an|a|{_COUNT})[ -](?P<u3>{_UNIT})[ ]and[ ](?P<rest>{_PART})(?!\s*(?:{_UNIT}))"
    rf"|(?P<count>{'|'.join(_COUNTS)})[ -](?P<u4>{_UNIT})"
    r")",
    re.IGNORECASE,
)


def unit_of(match: re.Match[str]) -> str:
    """The unit as written."""
    return next(word for name in ("u1", "u2", "u3", "u4") if (word := match[name]))


def value_of(match: re.Match[str]) -> Fraction:
    """How many of its unit."""
    whole = match["whole"] or match["mixed"] or match["before"] or match["count"]
    return (_whole(whole) if whole else Fraction(0)) + _fraction(match["part"] or match["rest"] or match["sign"])


def _whole(word: str) -> Fraction:
    low = word.lower()
    if low in {"a", "an"}:
        return Fraction(1)
    return Fraction(int(low) if low.isdecimal() else _COUNTS.index(low) + 1)


def _fraction(words: str | None) -> Fraction:
    if not words:
        return Fraction(0)
    plain = unicodedata.normalize("NFKC", words).replace("\u2044", "/").lower()
    if "/" in plain:
        top, bottom = map(int, plain.split("/"))
        return Fraction(top, bottom) if bottom else Fraction(0)
    *tops, part = re.split(r"[ -]", plain)
    bottom = _PARTS[part.removesuffix("s")]
    return Fraction(_TOPS[tops[0]] if tops else 1, bottom)
