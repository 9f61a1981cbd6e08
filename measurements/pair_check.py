"""Where the two printed units of a pattern disagree, where an inch value has two partners, where a unit is missing.

Two halves agree within 1.0 mm up to 30 mm, 3 mm up to 300 mm and 1 % above. Inches written in decimals that no tape
has are a calculation and are held to their last digit. Cloth in metres and yards is rounded up on each side by itself,
to 0.1 m and 1/8 yd, and may differ by that. Method and limits: docs/algorithms/printed-pairs.md.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Literal

from measurements.allowance_pairs import PairTable, same_allowance
from measurements.length_display import ALLOWANCE_STYLE, MM_PER_INCH, InchParts, LengthStyle, inch_parts, plain
from measurements.printed_pairs import PrintedLength, PrintedPair, read_text
from measurements.sentences import Sentence, gettext_noop, sentence

Kind = Literal["disagree", "two_partners", "one_unit"]
_YARD_MM = Fraction("914.4")
_EIGHTH_YARD_MM = Decimal("114.3")
_CALCULATED_DECIMALS = 2


@dataclass(frozen=True)
class PlacedPair:
    """A pair and where it is printed: `Step 9`, or `Body measurements, Bust, size 12`.

    `stored` is the exact length that a table rounded; a text has none.
    """

    place: str
    pair: PrintedPair
    stored: Decimal | None = None

    def finer(self, otherwise: str) -> str:
        """What a table would print to 0.1 cm and 1/16 in; for a text, `otherwise`."""
        return otherwise if self.stored is None else ALLOWANCE_STYLE.both(self.stored)


@dataclass(frozen=True)
class PairFinding:
    """One place: what is printed, what is wrong with it, and what should stand there."""

    kind: Kind
    place: str
    text: str
    says: Sentence
    proposed: str


def agree(pair: PrintedPair) -> bool:
    """Whether the two halves are one length."""
    apart = abs(pair.metric_mm - pair.inch_mm)
    if pair.cloth:
        return apart <= _EIGHTH_YARD_MM
    if calculated(pair.inch):
        return apart <= Decimal("12.7").scaleb(-pair.inch.decimals)
    return same_allowance(pair.metric_mm, pair.inch_mm)


def calculated(inch: PrintedLength) -> bool:
    """Whether an inch value is written to hundredths or finer, and is on no tape: 39.57, but not 34.125."""
    sixteenths = Fraction(inch.mm) * 16 / Fraction("25.4")
    return inch.decimals >= _CALCULATED_DECIMALS and sixteenths.denominator != 1


def check_texts(texts: Iterable[tuple[str, str]], pairs: PairTable | None = None) -> tuple[PairFinding, ...]:
    """All findings of (place, text) alone."""
    return check_pattern(texts, (), pairs)


def check_pattern(
    texts: Iterable[tuple[str, str]], printed: Iterable[PlacedPair], pairs: PairTable | None = None
) -> tuple[PairFinding, ...]:
    """All findings of a pattern: its texts, (place, text), and the pairs that its tables print."""
    table = pairs or PairTable()
    placed: list[PlacedPair] = []
    findings: list[PairFinding] = []
    for place, text in texts:
        found, alone = read_text(text)
        placed += [PlacedPair(place, pair) for pair in found]
        findings += [_one_unit(place, length, table) for length in alone]
    placed += printed
    findings += [_disagreement(one, table) for one in placed if not agree(one.pair)]
    return (*findings, *_partners([one for one in placed if agree(one.pair)], table))


def table_pair(mm: Decimal, style: LengthStyle) -> PrintedPair | None:
    """A length as a table prints it, centimetres beside inches; None where either rounds to nothing."""
    metric, inches = style.cm(mm), style.inches(mm)
    text = f"{metric} cm ({inches} in)"
    found, _ = read_text(text.replace("-", ""))
    return found[0] if found else None


def _disagreement(one: PlacedPair, table: PairTable) -> PairFinding:
    pair = one.pair
    said = gettext_noop("%(inches)s are %(exact)s, not %(metric)s.")
    exact = _metric(pair.inch_mm, pair.metric.unit)
    says = sentence("disagree", said, inches=_words(pair.inch), exact=exact, metric=_words(pair.metric))
    proposed = one.finer(_with_inches(pair.metric, table, cloth=pair.cloth))
    return PairFinding("disagree", one.place, pair.text, says, proposed)


def _one_unit(place: str, length: PrintedLength, table: PairTable) -> PairFinding:
    if length.system == "metric":
        says = sentence("inches_missing", gettext_noop("The inches are missing."))
        return PairFinding("one_unit", place, length.text, says, _with_inches(length, table, cloth=length.unit == "m"))
    says = sentence("metric_missing", gettext_noop("The metric length is missing."))
    return PairFinding("one_unit", place, length.text, says, _with_metric(length, table))


def _with_inches(length: PrintedLength, table: PairTable, *, cloth: bool) -> str:
    """A metric length with its partner of the table, else with the nearest 1/16 in; cloth with 1/8 yd more or equal."""
    mm = length.length_mm
    if cloth:
        return f"{_words(length)} ({_inches(Fraction(ceil(8 * length.mm / _YARD_MM), 8))} yd)"
    pair = table.of(mm)
    if pair and pair.mm == mm:
        return pair.text()
    return f"{_words(length)} ({inch_parts(mm, 16)} in)"


def _with_metric(length: PrintedLength, table: PairTable) -> str:
    """An inch length with its partner of the table, else to 0.1 cm; cloth with 0.1 m more or equal."""
    if length.unit == "yd":
        return f"{_words(length)} ({plain(Decimal(ceil(length.mm / 100)) / 10)} m)"
    return table.text(length.length_mm, "in")


def _partners(placed: Sequence[PlacedPair], table: PairTable) -> Iterator[PairFinding]:
    """Every place whose inch value stands with another metric length elsewhere, but for the partner that is kept."""
    by_inches: dict[Fraction, list[PlacedPair]] = defaultdict(list)
    for one in placed:
        if not one.pair.cloth:
            by_inches[one.pair.inches].append(one)
    for inches, same in by_inches.items():
        metric = Counter(one.pair.metric_mm for one in same)
        if len(metric) < 2:
            continue
        kept = _kept(metric, table)
        # A table that is shown finer may tell the two apart by itself: then those rows change, whichever they are.
        finer = [one for one in same if one.finer(one.pair.text) != one.pair.text]
        rarer = [one for one in same if one.pair.metric_mm != kept]
        for one in [one for one in finer if one.pair.metric_mm != kept] or finer or rarer:
            other = next(mm for mm in (kept, *metric) if mm != one.pair.metric_mm)
            yield _two_partners(one, inches, other)


def _kept(metric: Counter[Decimal], table: PairTable) -> Decimal:
    """The partner of the table where it is among them, else the one that most places print; of equals the smaller."""
    known = [mm for mm in metric if (pair := table.of(mm)) and pair.mm == mm]
    return min(known or metric, key=lambda mm: (-metric[mm], mm))


def _two_partners(one: PlacedPair, inches: Fraction, other: Decimal) -> PairFinding:
    said = gettext_noop("%(inches)s in stand beside %(metric)s here and beside %(other)s elsewhere.")
    metric, partner, shown = one.pair.metric, _metric(other, one.pair.metric.unit), _inches(inches)
    says = sentence("two_partners", said, inches=shown, metric=_words(metric), other=partner)
    return PairFinding("two_partners", one.place, one.pair.text, says, one.finer(f"{partner} ({shown} in)"))


def _words(length: PrintedLength) -> str:
    """A length in its own unit: `5/8 in`, `1.5 cm`, `2 yd`."""
    if length.system == "metric":
        return _metric(length.length_mm, length.unit)
    inches = length.mm / Fraction(MM_PER_INCH) / (36 if length.unit == "yd" else 1)
    if 64 % inches.denominator == 0:
        return f"{_inches(inches)} {length.unit}"
    return f"{plain(round(Decimal(inches.numerator) / inches.denominator, 4))} {length.unit}"


def _inches(inches: Fraction) -> str:
    """A fraction as a tape has it: `1 1/2`."""
    whole, rest = divmod(inches.numerator, inches.denominator)
    return str(InchParts(whole, rest, inches.denominator))


def _metric(mm: Decimal, unit: str) -> str:
    return f"{plain(round(mm / {'mm': 1, 'cm': 10, 'm': 1000}[unit], 3 if unit == 'm' else 2))} {unit}"
