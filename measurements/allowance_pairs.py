"""The table of pairs: one inch value keeps one metric partner throughout a pattern.

Charts are converted and rounded; allowances, hems and notions are paired, because 3/8 in is sewn as 1 cm
and nobody marks 9.525 mm. The default pairs are common practice, no source; each differs from the exact
length by no more than `same_allowance` grants.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from measurements.length_display import ALLOWANCE_STYLE, MM_PER_INCH, InchParts, plain
from measurements.sentences import Sentence, gettext_noop, sentence


@dataclass(frozen=True)
class Pair:
    """An inch value and the metric length that stands beside it."""

    inches: Fraction
    mm: Decimal

    @property
    def exact_mm(self) -> Decimal:
        exact = self.inches * Fraction(MM_PER_INCH)
        return Decimal(exact.numerator) / exact.denominator

    @property
    def parts(self) -> InchParts:
        whole, rest = divmod(self.inches.numerator, self.inches.denominator)
        return InchParts(whole, rest, self.inches.denominator)

    def text(self, first: str = "cm") -> str:
        """`1 cm (3/8 in)`, with millimetres below a centimetre; or with inches first."""
        metric = f"{plain(self.mm)} mm" if self.mm < 10 else f"{plain(self.mm / 10)} cm"
        inches = f"{self.parts} in"
        return f"{inches} ({metric})" if first == "in" else f"{metric} ({inches})"


DEFAULT_PAIRS = tuple(
    Pair(Fraction(inches), Decimal(mm))
    for inches, mm in {
        "1/8": 3, "3/16": 5, "1/4": 6, "3/8": 10, "1/2": 12, "5/8": 15, "3/4": 20, "7/8": 22, "1": 25,
        "5/4": 32, "3/2": 38, "2": 50, "5/2": 64, "3": 75, "4": 100,
    }.items()
)  # fmt: skip


def same_allowance(metric_mm: Decimal, inch_mm: Decimal) -> bool:
    """Whether the two halves of a printed pair agree: 1.0 mm up to 30 mm, 3 mm up to 300 mm, 1 % above."""
    grant = Decimal(1) if metric_mm <= 30 else Decimal(3) if metric_mm <= 300 else metric_mm / 100
    return abs(metric_mm - inch_mm) <= grant


def pair_faults(pairs: Iterable[Pair]) -> tuple[Sentence, ...]:
    """What a studio's own table gets wrong: a value with two partners, or partners too far apart."""
    faults: list[Sentence] = []
    metric: dict[Fraction, Decimal] = {}
    inches: dict[Decimal, Fraction] = {}
    for pair in pairs:
        if metric.setdefault(pair.inches, pair.mm) != pair.mm or inches.setdefault(pair.mm, pair.inches) != pair.inches:
            said = gettext_noop("%(pair)s: one of the two has another partner already.")
            faults.append(sentence("two_partners", said, pair=pair.text()))
        elif not same_allowance(pair.mm, pair.exact_mm):
            said = gettext_noop("%(pair)s: the two are not the same length.")
            faults.append(sentence("far_apart", said, pair=pair.text()))
    return tuple(faults)


class PairTable:
    """A studio's pairs, looked up from either side. Raises ValueError on a table with faults."""

    def __init__(self, pairs: Iterable[Pair] = DEFAULT_PAIRS) -> None:
        self.pairs = tuple(pairs)
        if faults := pair_faults(self.pairs):
            raise ValueError(" ".join(map(str, faults)))
        self._by_inches = {pair.exact_mm: pair for pair in self.pairs}
        self._by_mm = {pair.mm: pair for pair in self.pairs}

    def of(self, mm: Decimal) -> Pair | None:
        """The pair that a typed length belongs to: exactly one of its halves."""
        return self._by_mm.get(mm) or self._by_inches.get(mm)

    def text(self, mm: Decimal, first: str = "cm") -> str:
        """A paired length where the table has it, else both units converted (inches to 1/16)."""
        pair = self.of(mm)
        return pair.text(first) if pair else ALLOWANCE_STYLE.both(mm, first)
