"""Every place where a version prints two units: its tables, its steps, what is said about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from measurements.length_display import LengthStyle
from measurements.pair_check import PairFinding, PlacedPair, check_pattern, table_pair
from measurements.printed_pairs import find_pairs
from releases.models import Version
from releases.table_layout import TableBlock
from releases.tables import measurement_tables


@dataclass(frozen=True)
class BothUnits:
    """The findings by sort, and how many lengths are printed in both units."""

    disagree: tuple[PairFinding, ...]
    two_partners: tuple[PairFinding, ...]
    one_unit: tuple[PairFinding, ...]
    printed: int

    @property
    def wrong(self) -> int:
        return len(self.disagree) + len(self.two_partners)


def both_units(version: Version) -> BothUnits:
    """The report of a version, over all that its buyers read in two units."""
    texts = list(_texts(version))
    placed = list(_tables(version))
    found = check_pattern(texts, placed)
    kinds: dict[str, list[PairFinding]] = {"disagree": [], "two_partners": [], "one_unit": []}
    for finding in found:
        kinds[finding.kind].append(finding)
    printed = len(placed) + sum(len(find_pairs(text)) for _place, text in texts)
    return BothUnits(*(tuple(kinds[kind]) for kind in ("disagree", "two_partners", "one_unit")), printed=printed)


def _texts(version: Version) -> Iterator[tuple[str, str]]:
    for step in version.steps.all():
        yield _("Step %(number)s") % {"number": step.number}, step.text
    yield _("About the pattern"), version.pattern.about
    yield _("What changed"), version.what_changed


def _tables(version: Version) -> Iterator[PlacedPair]:
    tables = measurement_tables(version)
    for block in tables.blocks:
        yield from _cells(block, tables.sizes)
    if version.test_square_mm is not None:
        yield from _placed(_("Test square"), version.test_square_mm, LengthStyle(16, Decimal("0.1")))


def _cells(block: TableBlock, sizes: Iterable[str]) -> Iterator[PlacedPair]:
    style = LengthStyle(block.inch_parts, Decimal(block.cm_step))
    names = {"body": _("Body"), "finished": _("Finished garment"), "ease": _("Ease")}
    for row in block.rows:
        for size, mm in zip(sizes, row.cells, strict=True):
            if mm is not None:
                place = _("%(table)s, %(row)s, size %(size)s") % {
                    "table": names.get(block.key, block.key), "row": row.label, "size": size,
                }  # fmt: skip
                yield from _placed(place, mm, style)


def _placed(place: str, mm: Decimal, style: LengthStyle) -> Iterator[PlacedPair]:
    pair = table_pair(mm, style)
    if pair:
        yield PlacedPair(place, pair, mm)
