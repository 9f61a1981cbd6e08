"""What testers used of the fabric that a pattern asks for. More than it says: buyers would run out; far less: they
would pay for cloth that stays over.

The median of used / recommended above 1 or below 0.85 is an issue (common practice, no source). Method and limits:
docs/algorithms/fabric.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from measurements.sentences import Sentence, gettext_noop, sentence

MOST, LEAST = Decimal(1), Decimal("0.85")
# One tester may have shopped generously; two that agree have not.
ENOUGH = 2


@dataclass(frozen=True)
class Used:
    """One report: the size sewn, the length of cloth used, and what the table asks for at that width."""

    size: str
    used_mm: Decimal
    asked_mm: Decimal

    @property
    def share(self) -> Decimal:
        return self.used_mm / self.asked_mm


@dataclass(frozen=True)
class SizeUse:
    """One size: how many reports say so, and the median of their shares."""

    size: str
    reports: int
    share: Decimal


@dataclass(frozen=True)
class FabricUse:
    """All reports: the median share, whether it is an issue, what is to be said, and each size."""

    reports: int
    share: Decimal
    issue: bool
    says: Sentence
    sizes: tuple[SizeUse, ...]


def read_use(reports: Iterable[Used], sizes: Sequence[str]) -> FabricUse | None:
    """What the reports say of the fabric requirement; None where fewer than two tell."""
    told = list(reports)
    if len(told) < ENOUGH:
        return None
    by_size = tuple(
        SizeUse(size, len(shares), median(shares))
        for size in sizes
        if (shares := [one.share for one in told if one.size == size])
    )
    share = median(one.share for one in told)
    return FabricUse(len(told), share, not LEAST <= share <= MOST, _says(share, len(told)), by_size)


def _says(share: Decimal, reports: int) -> Sentence:
    said: dict[str, str | int] = {"share": f"{share:.2f}", "reports": reports}
    if share > MOST:
        template = gettext_noop(
            "Testers used %(share)s of what the table asks for (median of %(reports)s reports): buyers would run out."
        )
        return sentence("too_little", template, **said)
    if share < LEAST:
        template = gettext_noop(
            "Testers used %(share)s of what the table asks for (median of %(reports)s reports): it asks for too much."
        )
        return sentence("too_much", template, **said)
    template = gettext_noop(
        "Testers used %(share)s of what the table asks for (median of %(reports)s reports): the table holds."
    )
    return sentence("holds", template, **said)
