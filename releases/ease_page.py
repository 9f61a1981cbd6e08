"""The ease of a version for its page: the table with what is meant and what must be kept, and what there is to say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from measurements.advice_rules import least_with_source
from measurements.ease import Ease, EaseRow, LeastEase, ease_rows, worn_stretch_percent
from measurements.ease_review import EaseFinding, Meant, least_at, review
from measurements.heights import HEIGHT_SHARES, length_to_add
from measurements.intended_ease import IntendedEase
from measurements.length_display import TENTH_CM, LengthStyle
from measurements.sentences import Sentence
from releases.advice import stretch_of
from releases.ease_store import intended_ease_of
from releases.models import Fabric, Version
from releases.tables import charts_of

# The lengths that a kind of garment has; a pattern that hangs from the waist has no waist line to move.
ALONG = {
    "nape_to_waist": gettext_lazy("nape to waist"),
    "waist_to_knee": gettext_lazy("waist to knee"),
    "waist_to_calf": gettext_lazy("waist to calf"),
    "waist_to_floor": gettext_lazy("waist to floor"),
    "arm": gettext_lazy("arm"),
}
HANGS = frozenset({"skirt", "trousers"})
# Height classes of published ranges lie some 8 cm apart (common practice, no source).
HEIGHTS_APART_MM = Decimal(80)
# An ease is a small length: half a centimetre would hide what is said of it.
EASE_STYLE = LengthStyle(8, TENTH_CM)


@dataclass(frozen=True)
class PageCell:
    """The ease in one size; `off` where a finding names it."""

    ease: Ease | None
    off: bool

    @property
    def worn(self) -> str:
        """Per cent by which the fabric is stretched when worn, where it is."""
        worn = worn_stretch_percent(self.ease.body_mm, self.ease.finished_mm) if self.ease else Decimal(0)
        return f"{worn:.0f}" if worn else ""


@dataclass(frozen=True)
class PageRow:
    key: str
    label: str
    cells: tuple[PageCell, ...]
    meant: IntendedEase | None
    least: LeastEase | None


@dataclass(frozen=True)
class FindingLine:
    """A finding under the name of its measurement and its sizes."""

    key: str
    label: str
    sizes: str
    sentence: Sentence


@dataclass(frozen=True)
class EasePage:
    """Everything that a version's page of ease shows."""

    version: Version
    rows: tuple[PageRow, ...]
    plain_rows: tuple[EaseRow, ...]
    findings: tuple[FindingLine, ...]
    classes: tuple[Decimal, ...]
    heights: tuple[tuple[str, tuple[Decimal, ...]], ...]

    @property
    def headline(self) -> str:
        """The situation in a sentence."""
        number = self.version.number
        if not self.rows:
            return _("There is no ease to look at yet.")
        places = len({finding.key for finding in self.findings})
        if places == 1:
            return _("One measurement of %(number)s wants a second look.") % {"number": number}
        if places:
            return _("%(count)s measurements of %(number)s want a second look.") % {"count": places, "number": number}
        if not any(row.meant for row in self.rows):
            return _("Every size keeps its least ease. What is meant is not said yet.")
        return _("The ease of %(number)s is as it is meant, in every size.") % {"number": number}

    @property
    def style(self) -> LengthStyle:
        return EASE_STYLE

    @property
    def sources(self) -> list[PageRow]:
        return [row for row in self.rows if row.least]


def ease_page(version: Version) -> EasePage:
    """The page; six queries."""
    body, finished = charts_of(version)
    pattern = version.pattern
    meant = Meant(
        "knit" if pattern.fabric == Fabric.KNIT else "bias" if pattern.fabric == Fabric.BIAS else "woven",
        intended_ease_of(version),
        tuple(pattern.free_at),
        least_with_source(pattern.studio, _("your studio’s own")),
        stretch_of(version),
    )
    rows = ease_rows(body, finished)
    findings = review(rows, meant)
    labels = {line.key: line.label for line in finished.lines}
    shown = tuple(_row(row, labels[row.finished_key], meant, findings) for row in rows)
    lines = tuple(FindingLine(f.key, labels[f.key], _span(f.sizes, finished.sizes), f.sentence) for f in findings)
    return EasePage(version, shown, rows, lines, _classes(version), tuple(_heights(version)))


def _row(row: EaseRow, label: str, meant: Meant, findings: Sequence[EaseFinding]) -> PageRow:
    off = {size for finding in findings if finding.key == row.finished_key for size in finding.sizes}
    cells = tuple(PageCell(ease, size in off) for size, ease in zip(row.sizes, row.cells, strict=True))
    return PageRow(row.finished_key, label, cells, meant.intended.get(row.finished_key), least_at(row, meant))


def _span(sizes: Sequence[str], of: Sequence[str]) -> str:
    """Sizes as a person names them: one, a run, some, or every one."""
    first, last = of.index(sizes[0]), of.index(sizes[-1])
    if len(sizes) == len(of) > 1:
        return _("every size")
    if len(sizes) > 2 and last - first == len(sizes) - 1:
        return _("sizes %(first)s to %(last)s") % {"first": sizes[0], "last": sizes[-1]}
    named = ", ".join(sizes)
    return ngettext("size %(sizes)s", "sizes %(sizes)s", len(sizes)) % {"sizes": named}


def _classes(version: Version) -> tuple[Decimal, ...]:
    """The heights of the table of lengths: one class below the drafted height and two above it."""
    drafted = version.pattern.height_mm
    return () if drafted is None else tuple(drafted + n * HEIGHTS_APART_MM for n in (-1, 1, 2))


def _heights(version: Version) -> Iterator[tuple[str, tuple[Decimal, ...]]]:
    drafted = version.pattern.height_mm
    if drafted is None:
        return
    hangs = version.pattern.kind in HANGS
    for key in HEIGHT_SHARES:
        if not (hangs and key in {"nape_to_waist", "arm"}):
            yield str(ALONG[key]), tuple(length_to_add(mm, drafted, key) for mm in _classes(version))
