"""Reading a length that a person typed, exactly.

Read: `86.5`, `86,5`, `34 1/2`, `34½`, `34-1/2"`, `13 7⁄16`, `865 mm`, `1.2 m`, `2 yd`, `5' 4 1/2"`.
Refused with a sentence: two numbers, two units, a comma that may be a thousands mark, a negative length,
a fraction that is on no tape, a date that a spreadsheet made of a fraction.
Method and limits: docs/algorithms/lengths.md.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Context, Decimal
from typing import Literal, NoReturn

from measurements.sentences import Sentence, gettext_noop, sentence

Unit = Literal["mm", "cm", "in"]
DecimalMark = Literal[".", ","]

# 1 in = 25.4 mm exactly, by definition of the inch since 1959; a yard is 36 inches.
MM_PER: dict[str, Decimal] = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "in": Decimal("25.4"),
    "yd": Decimal("914.4"),
}
# Six places hold 1/64 in (0.396875 mm) exactly.
PLACES = Decimal("0.000001")
# The longest thing that is typed here is a length of cloth: a hundred metres is a bolt.
LONGEST_MM = Decimal(100_000)
# No length needs more characters; the longest sensible one is `5 feet 4 11/16 inches`.
MOST_CHARACTERS = 40
# Fractions that a tape or a ruler is marked with; thirds have a sign of their own (⅓).
DENOMINATORS = frozenset({2, 3, 4, 5, 8, 10, 16, 32, 64})

_EXACT = Context(prec=60)
_SHOWN_UNIT: dict[str, Unit] = {"mm": "mm", "cm": "cm", "m": "cm", "in": "in", "yd": "in"}
_UNIT_WORDS: dict[str, str] = {
    word: unit
    for unit, words in {
        "mm": "mm millimetre millimetres millimeter millimeters",
        "cm": "cm cms centimetre centimetres centimeter centimeters",
        "m": "m metre metres meter meters",
        "in": '" in ins inch inches',
        "yd": "yd yds yard yards",
    }.items()
    for word in words.split()
}
_FEET = r"(?:'|ft\.?|foot|feet)"
_SIGNS = {
    **{ord(space): " " for space in "\u00a0\u2002\u2003\u2007\u2009\u200a\u202f\u3000\t\r\n"},
    **{ord(dash): "-" for dash in "\u2010\u2011\u2012\u2013\u2014\u2212"},
    **{ord(slash): "/" for slash in "\u2044\u2215"},
    **{ord(quote): "'" for quote in "\u2018\u2019\u2032\u00b4`"},
    **{ord(quote): '"' for quote in "\u201c\u201d\u2033"},
    **{code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)},
    0x339C: "mm",
    0x339D: "cm",
}
_ONE_SIGN_FRACTIONS = {
    ord(sign): " " + unicodedata.normalize("NFKC", sign).replace("\u2044", "/") for sign in "½⅓⅔¼¾⅕⅖⅗⅘⅛⅜⅝⅞"
}
_RAISED = re.compile("[⁰¹²³⁴-⁹]+[/\u2044\u2215][₀-₉]+")

_NUMBER = r"\d+(?:[.,]\d+|\.)?|[.,]\d+"
_FRACTION = r"(?:(?P<whole>\d+)(?:\s+|\s*-\s*))?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)"
_LENGTH = re.compile(rf"(?P<sign>[+-]?)\s*(?:{_FRACTION}|(?P<number>{_NUMBER}))\s*(?P<unit>\"|[a-z]+\.?)?", re.ASCII)
_FEET_AND_INCHES = re.compile(rf"(?P<feet>\d+)\s*{_FEET}\s*(?:-\s*)?(?P<rest>.*)", re.ASCII)
_DATE = re.compile(
    r"\d{4}-\d\d-\d\d\b.*|\d{1,2}([./])\d{1,2}\1\d{2,4}"
    r"|\d{1,4}[-. /]*(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?[-. /]*\d{0,4}"
    r"|(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?[-. /]*\d{1,4}",
    re.ASCII,
)
_UNIT_IN_TEXT = re.compile(r'"|(?<![a-z])(?:' + "|".join(word for word in _UNIT_WORDS if word != '"') + r")(?![a-z])")
_NUMBERS = re.compile(rf"(?<![\w.,])(?:{_NUMBER})", re.ASCII)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+|[1-9]\d{0,2}(?:\.\d{3})+")


class LengthError(ValueError):
    """A text that is no length. `sentence` says why, `sentence.code` tells the reason by name."""

    def __init__(self, why: Sentence) -> None:
        super().__init__(str(why))
        self.sentence = why

    @property
    def code(self) -> str:
        return self.sentence.code


@dataclass(frozen=True)
class Length:
    """A length as typed and as stored: exact millimetres (six places), the text, the unit to show it in.

    `stated` tells that the text itself named its unit, or wrote feet or an inch mark.
    """

    mm: Decimal
    typed: str
    unit: Unit
    stated: bool = False

    def as_if(self, unit: Unit) -> Decimal:
        """The millimetres that the same number would be in another unit."""
        return _store(self.mm * MM_PER[unit] / MM_PER[self.unit])


def read_length(text: str, unit: Unit, *, decimal_mark: DecimalMark | None = None, signed: bool = False) -> Length:
    """Read a typed length; `unit` holds where the text names none.

    `decimal_mark` settles texts such as `31,125`, which alone could be thousands. `signed` allows a change
    (`-1.5`, `+1/2`). Raises LengthError with a sentence for the person who typed it.
    """
    typed = text.strip()
    if len(typed) > MOST_CHARACTERS:
        _raise("unreadable", _UNREADABLE, typed)
    plain = _plain(typed)
    if match := _FEET_AND_INCHES.fullmatch(plain):
        return Length(_feet_and_inches(typed, match["feet"], match["rest"]), typed, "in", stated=True)
    match = _LENGTH.fullmatch(plain)
    if match is None or _DATE.fullmatch(plain):
        _refuse(typed, plain)
    stated = _unit_named(typed, match["unit"])
    amount = _amount(typed, match, decimal_mark)
    if match["sign"] and not signed:
        _raise("negative", gettext_noop("“%(typed)s” has a sign. A length has none: write the number alone."), typed)
    mm = _store(_EXACT.multiply(amount, MM_PER[stated or unit])) if amount <= LONGEST_MM else LONGEST_MM + 1
    if mm > LONGEST_MM:
        _raise("too_long", gettext_noop("“%(typed)s” is longer than any cloth. Check the number and its unit."), typed)
    return Length(-mm if match["sign"] == "-" else mm, typed, _SHOWN_UNIT[stated or unit], stated=stated is not None)


def inches_as_fraction(typed: str) -> bool:
    """Whether a text is written as a fraction, which a tape in centimetres does not have."""
    return "/" in _plain(typed)


def _plain(typed: str) -> str:
    """The text in ASCII where it can be: one kind of space, dash, slash and quote, fractions written out."""
    raised = _RAISED.sub(lambda found: " " + unicodedata.normalize("NFKC", found[0]), typed)
    ascii_text = raised.translate(_ONE_SIGN_FRACTIONS).translate(_SIGNS).replace("''", '"')
    return " ".join(ascii_text.casefold().split())


def _unit_named(typed: str, word: str | None) -> str | None:
    if word is None:
        return None
    unit = _UNIT_WORDS.get(word.rstrip("."))
    if unit is None:
        _raise("unknown_unit", gettext_noop("The unit of “%(typed)s” is not known. Use cm, mm or in."), typed)
    return unit


def _amount(typed: str, match: re.Match[str], mark: DecimalMark | None) -> Decimal:
    if number := match["number"]:
        return _decimal(typed, number, mark)
    top, bottom = int(match["top"]), int(match["bottom"])
    if bottom not in DENOMINATORS or not 0 < top < bottom:
        _raise(
            "bad_fraction",
            gettext_noop("“%(typed)s” has a fraction that is on no tape. Use halves, quarters, eighths or sixteenths."),
            typed,
        )
    return _EXACT.divide(Decimal(int(match["whole"] or 0) * bottom + top), Decimal(bottom))


def _decimal(typed: str, number: str, mark: DecimalMark | None) -> Decimal:
    """A comma before exactly three digits may be a thousands mark; so may a point where commas are decimal."""
    doubtful = "," if mark is None else {".": ",", ",": "."}[mark]
    if doubtful in number and _THOUSANDS.fullmatch(number):
        _raise_ambiguous(typed)
    return Decimal(number.replace(",", "."))


def _feet_and_inches(typed: str, feet: str, rest: str) -> Decimal:
    inches = Decimal(0)
    if rest:
        match = _LENGTH.fullmatch(rest)
        if match is None or match["sign"] or _unit_named(typed, match["unit"]) not in {None, "in"}:
            _refuse(typed, _plain(typed))
        inches = _amount(typed, match, None)
    total = _EXACT.multiply(Decimal(feet) * 12 + inches, MM_PER["in"])
    if inches >= 12 or total > LONGEST_MM:
        _raise("unreadable", _UNREADABLE, typed)
    return _store(total)


def _store(mm: Decimal) -> Decimal:
    return mm.quantize(PLACES, ROUND_HALF_EVEN, _EXACT)


_UNREADABLE = gettext_noop("“%(typed)s” cannot be read as a length. Write it like 86.5, 34 1/2 or 865 mm.")


def _refuse(typed: str, plain: str) -> NoReturn:
    """Say what is wrong with a text that has not the form of a length."""
    if not plain:
        _raise("empty", gettext_noop("There is no length here yet."), typed)
    if _DATE.fullmatch(plain):
        _raise(
            "date",
            gettext_noop("“%(typed)s” is a date. A spreadsheet makes one of a fraction such as 5/8: write it again."),
            typed,
        )
    if len(_UNIT_IN_TEXT.findall(plain)) > 1:
        _raise("two_units", gettext_noop("“%(typed)s” names two units. Give the length in one of them."), typed)
    if _THOUSANDS.match(plain) and re.fullmatch(r"[\d.,]+", plain):
        _raise_ambiguous(typed)
    if len(_NUMBERS.findall(plain)) > 1:
        _raise("two_numbers", gettext_noop("“%(typed)s” holds more than one number. Give one length."), typed)
    _raise("unreadable", _UNREADABLE, typed)


def _raise_ambiguous(typed: str) -> NoReturn:
    _raise(
        "ambiguous",
        gettext_noop("“%(typed)s” can be read in two ways. Write decimals after a point, and no mark for thousands."),
        typed,
    )


def _raise(code: str, template: str, typed: str) -> NoReturn:
    short = typed if len(typed) <= MOST_CHARACTERS else typed[: MOST_CHARACTERS - 1] + "…"
    raise LengthError(sentence(code, template, typed=short))
