"""Reading what is asked of size advice: `bust=98,waist=34 1/2`, and ease as a length or a share, `bust=-4%`.

Lengths are in the chart's unit where they name none. Method and limits: docs/algorithms/size-advice.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from measurements.body_checks import OTHER_UNITS
from measurements.body_measures import BODY_MEASURES
from measurements.lengths import Length, LengthError, Unit, read_length
from measurements.measures import Measure
from measurements.sentences import Sentence, Term, Value, gettext_noop, sentence

# A length further than this beyond all that people measure is a slip, not a body (judgement).
FAR_BEYOND = 2
# Fabrics stretch to twice their length at most, and no garment is worn at more than three times the body.
SMALLEST_SHARE, LARGEST_SHARE = Decimal(-60), Decimal(200)

_NEXT = re.compile(r"[,;](?=[^,;=]*[^\W\d][^,;=]*=)")
_SHARE = re.compile(r"(?P<number>[+-]?\d{1,4}(?:[.,]\d{1,3})?)\s*%")
_DASHES = str.maketrans("\u2212\u2010\u2011\u2012\u2013", "-----")


class AdviceError(ValueError):
    """What was asked cannot be read; `sentence` says why."""

    def __init__(self, why: Sentence) -> None:
        super().__init__(str(why))
        self.sentence = why


@dataclass(frozen=True)
class Share:
    """An ease as per cent of the body: -4 is a garment of 0.96 of it."""

    percent: Decimal

    def of(self, body_mm: Decimal) -> Decimal:
        """The finished length over a body."""
        return body_mm * (100 + self.percent) / 100


EaseAsked = Decimal | Share


def is_negative(ease: EaseAsked) -> bool:
    """Whether the garment is smaller than the body it is for: then it must stretch."""
    return (ease.percent if isinstance(ease, Share) else ease) < 0


def refuse(code: str, template: str, **values: Value) -> AdviceError:
    return AdviceError(sentence(code, template, **values))


def read_body(text: str, unit: Unit) -> dict[str, Decimal]:
    """`bust=98,waist=80` as mm by measurement. Raises AdviceError for what is no measurement or cannot be right."""
    return {place: body_length(place, typed, unit) for place, typed in _pairs(text)}


def body_unit(text: str, unit: Unit) -> Unit:
    """The unit of the bare numbers of `bust=98,waist=80`: the chart's, unless all fit another one alone."""
    return fitting_unit(_pairs(text), unit)


def fitting_unit(measured: Iterable[tuple[str, str]], unit: Unit) -> Unit:
    """The given unit, or the other of cm and inches where every measurement can be right in that and none in this."""
    other: Unit = "in" if unit == "cm" else "cm"
    texts = [(BODY_MEASURES[place], typed) for place, typed in measured if place in BODY_MEASURES]
    fits = texts and all(_fits(measure, typed, other) for measure, typed in texts)
    return other if fits and not any(_fits(measure, typed, unit) for measure, typed in texts) else unit


def _fits(measure: Measure, typed: str, unit: Unit) -> bool:
    try:
        return measure.plausible(read_length(typed, unit).mm)
    except LengthError:
        return False


def body_length(place: str, typed: str, unit: Unit) -> Decimal:
    """One measurement of a body. Raises AdviceError where the text is no length, or none that anybody has."""
    length = _length(place, typed, unit)
    if place in BODY_MEASURES:
        _believe(place, length)
    return length.mm


def read_lengths(text: str, unit: Unit) -> dict[str, Decimal]:
    """`bust=4,hip=5` as mm by measurement."""
    return {place: _length(place, typed, unit, signed=True).mm for place, typed in _pairs(text)}


def read_ease(text: str, unit: Unit) -> dict[str, EaseAsked]:
    """`bust=6,waist=-4%` by measurement: mm, or a share of the body."""
    return {place: _ease(place, typed, unit) for place, typed in _pairs(text)}


def read_places(texts: list[str]) -> frozenset[str]:
    """`hip,waist` as keys of measurements."""
    names = (name.strip() for text in texts for name in re.split(r"[,;]", text))
    return frozenset(_place(name) for name in names if name)


def _pairs(text: str) -> Iterator[tuple[str, str]]:
    seen: set[str] = set()
    for part in _NEXT.split(text):
        name, equals, typed = part.partition("=")
        if not part.strip():
            continue
        if not equals or not typed.strip():
            said = gettext_noop("“%(typed)s” is no measurement. Write it like bust=98,waist=80.")
            raise refuse("no_pair", said, typed=part.strip()[:40])
        place = _place(name)
        if place in seen:
            raise refuse("twice", gettext_noop("The %(place)s is given twice."), place=_name(place))
        seen.add(place)
        yield place, typed.strip()


def _place(name: str) -> str:
    measure = BODY_MEASURES.find(" ".join(name.split()).lower())
    if measure is None:
        said = gettext_noop("“%(name)s” is not a measurement known here, such as bust, high_bust, waist or hip.")
        raise refuse("unknown_place", said, name=name.strip()[:40])
    return measure.key


def _name(place: str) -> Term:
    return Term(BODY_MEASURES[place].name if place in BODY_MEASURES else place)


def _length(place: str, typed: str, unit: Unit, *, signed: bool = False) -> Length:
    try:
        return read_length(typed, unit, signed=signed)
    except LengthError as wrong:
        raise refuse("no_length", gettext_noop("%(place)s: %(why)s"), place=place, why=wrong.sentence) from None


def _believe(place: str, length: Length) -> None:
    measure = BODY_MEASURES[place]
    if measure.low_mm / FAR_BEYOND <= length.mm <= measure.high_mm * FAR_BEYOND:
        return
    other = next((u for u in OTHER_UNITS[length.unit] if measure.plausible(length.as_if(u))), None)
    said = gettext_noop("The %(place)s of %(typed)s, read in %(unit)s, cannot be right.")
    if other:
        said = gettext_noop("The %(place)s of %(typed)s, read in %(unit)s, cannot be right; it fits in %(other)s.")
    raise refuse("not_right", said, place=_name(place), typed=length.typed, unit=length.unit, other=other or "")


def _ease(place: str, typed: str, unit: Unit) -> EaseAsked:
    share = _SHARE.fullmatch(typed.translate(_DASHES))
    if share is None:
        return _length(place, typed, unit, signed=True).mm
    percent = Decimal(share["number"].replace(",", "."))
    if not SMALLEST_SHARE <= percent <= LARGEST_SHARE:
        said = gettext_noop("%(place)s: an ease of %(typed)s cannot be right.")
        raise refuse("share", said, place=place, typed=typed)
    return Share(percent)
