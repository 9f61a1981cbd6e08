"""What a grade check is told and what it says. Lengths are centimetres inside, Decimal millimetres outside.

Method and limits: docs/algorithms/grade-check.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from measurements.sentences import Sentence, Term, gettext_noop

Kind = Literal[
    "slip", "break", "crossing", "ratio", "ease", "length", "cap", "pair", "gather", "sweep", "opening", "base"
]
KINDS: tuple[Kind, ...] = (
    "slip", "break", "crossing", "ratio", "ease", "length", "cap", "pair", "gather", "sweep", "opening", "base",
)  # fmt: skip
# What each kind of finding is called on a page.
KIND_NAMES: dict[str, Term] = {
    "slip": Term(gettext_noop("Slip")),
    "break": Term(gettext_noop("Break")),
    "crossing": Term(gettext_noop("Crossing")),
    "ratio": Term(gettext_noop("Step ratio")),
    "ease": Term(gettext_noop("Ease")),
    "length": Term(gettext_noop("Length")),
    "cap": Term(gettext_noop("Sleeve cap")),
    "pair": Term(gettext_noop("Seam pair")),
    "gather": Term(gettext_noop("Gathers")),
    "sweep": Term(gettext_noop("Sweep")),
    "opening": Term(gettext_noop("Opening")),
    "base": Term(gettext_noop("Base size")),
}
ChartName = Literal["body", "finished"]
# Limits such as 0.65 and values midway between two sizes need the second place.
FINE_CM = Decimal("0.05")


@dataclass(frozen=True)
class Evidence:
    """One line of numbers behind a finding: what they are, and a length (or ratio) a size."""

    what: Term
    by_size: tuple[tuple[str, Decimal], ...]


@dataclass(frozen=True)
class Finding:
    """One thing to look at. `measure` is the row's key in `chart`; `proposed` the lengths that would mend it, in mm.

    `says` is the sentence in trade terms, `evidence` the numbers that it rests on.
    """

    kind: Kind
    measure: str
    chart: ChartName
    sizes: tuple[str, ...]
    says: Sentence
    proposed: tuple[tuple[str, Decimal], ...] = ()
    evidence: tuple[Evidence, ...] = ()
    # For a break that only wants declaring: the sizes at which to declare it.
    declare: tuple[str, ...] = ()

    @property
    def mark(self) -> tuple[str, str, str, str]:
        """What tells this finding from every other, whatever its numbers."""
        return (self.chart, self.measure, self.kind, "\n".join(self.sizes))


@dataclass(frozen=True)
class NotRun:
    """A check that could not be made, and why."""

    check: str
    why: Sentence


@dataclass(frozen=True)
class GradeFacts:
    """What a designer declares beside the charts. Lengths in cm.

    `ease` is (intended, tolerance) by measurement; `pairs` (longer seam, shorter seam, by how much); `gathers`
    (loose, sewn, ratio); `opening` how one gets in: "overhead", "stepped" or another word; `foot` the measurement at
    the foot of the opening; `base_sewn` what the sewn base size measures.
    """

    kind: str = ""
    fabric: str = ""
    base: str | None = None
    breaks: Mapping[str, tuple[str, ...]] | None = None
    ease: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    pairs: tuple[tuple[str, str, float], ...] = ()
    gathers: tuple[tuple[str, str, float | None], ...] = ()
    opening: str = ""
    foot: str = ""
    base_sewn: Mapping[str, float] = field(default_factory=dict)

    @property
    def knit(self) -> bool:
        return self.fabric == "knit" or self.kind == "knit"


@dataclass(frozen=True)
class GradeReport:
    """Everything a check said. `notes` are worth a look and no findings."""

    findings: tuple[Finding, ...] = ()
    not_run: tuple[NotRun, ...] = ()
    notes: tuple[Sentence, ...] = ()
