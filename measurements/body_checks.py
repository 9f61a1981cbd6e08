"""What to ask again about one person's measurements. A query asks; it refuses nothing and judges nobody."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from measurements.body_measures import BODY_MEASURES
from measurements.lengths import Length, Unit
from measurements.measures import Measure
from measurements.sentences import Sentence, gettext_noop, sentence

# Common practice, no source: the bust is not smaller than the high bust by more than a tape's error,
# and drafts beyond a cup of 15 cm are rare enough to ask once.
SMALLER_BUST_MM = Decimal(10)
LARGEST_CUP_MM = Decimal(150)
# Two takes of one measure further apart than this are a slip, not breathing.
TAKES_APART_MM = Decimal(10)

OTHER_UNITS: dict[Unit, tuple[Unit, ...]] = {"cm": ("in", "mm"), "in": ("cm", "mm"), "mm": ("cm", "in")}


@dataclass(frozen=True)
class BodyQuery:
    """A question beside one or more fields."""

    keys: tuple[str, ...]
    sentence: Sentence


def other_unit(measure: Measure, length: Length) -> Unit | None:
    """The unit in which the same number would be plausible, when the one it has is not."""
    if measure.plausible(length.mm):
        return None
    return next((unit for unit in OTHER_UNITS[length.unit] if measure.plausible(length.as_if(unit))), None)


def body_queries(body: Mapping[str, Length], second: Mapping[str, Length] | None = None) -> tuple[BodyQuery, ...]:
    """Everything to ask again: `body` holds the first take by key, `second` the second where there is one."""
    return (*_cup(body), *_ranges(body), *_takes(body, second or {}))


def _cup(body: Mapping[str, Length]) -> Iterator[BodyQuery]:
    if "bust" not in body or "high_bust" not in body:
        return
    cup = body["bust"].mm - body["high_bust"].mm
    keys = ("high_bust", "bust")
    if cup < -SMALLER_BUST_MM:
        said = gettext_noop("The bust is smaller than the high bust here. Please take both again.")
        yield BodyQuery(keys, sentence("bust_below_high_bust", said))
    elif cup > LARGEST_CUP_MM:
        said = gettext_noop("Bust and high bust are %(apart)s apart here. Please take both again.")
        yield BodyQuery(keys, sentence("cup_unusual", said, apart=cup))


def _ranges(body: Mapping[str, Length]) -> Iterator[BodyQuery]:
    for measure, length in _known(body):
        if measure.plausible(length.mm):
            continue
        unit = other_unit(measure, length)
        if unit is None:
            said = gettext_noop("%(typed)s is unusual for this measurement. Please check it.")
            yield BodyQuery((measure.key,), sentence("implausible", said, typed=length.typed))
        else:
            said = gettext_noop("%(typed)s reads as %(unit)s here. Is it %(other)s?")
            what = sentence("other_unit", said, typed=length.typed, unit=length.unit, other=unit)
            yield BodyQuery((measure.key,), what)


def _takes(first: Mapping[str, Length], second: Mapping[str, Length]) -> Iterator[BodyQuery]:
    for key, length in first.items():
        if key in second and (apart := abs(length.mm - second[key].mm)) > TAKES_APART_MM:
            said = gettext_noop("The two takes are %(apart)s apart. Please measure once more.")
            yield BodyQuery((key,), sentence("takes_apart", said, apart=apart))


def _known(body: Mapping[str, Length]) -> Iterable[tuple[Measure, Length]]:
    return ((BODY_MEASURES[key], length) for key, length in body.items() if key in BODY_MEASURES)
