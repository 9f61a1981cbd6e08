"""Every place where a version prints two units: its tables, its steps, what is said about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from measurements.length_display import ALLOWANCE_STYLE, LengthStyle
from measurements.pair_check import PairFinding, PlacedPair, check_pattern, table_pair
from measurements.printed_pairs import find_pairs
from releases.models import Version
from releases.table_layout import TableBlock
from releases.tables import measurement_tables


@dataclass(frozen=True)
class Told:
    """One finding and every place where it stands; a row of a table with all its sizes is one place."""

    places: tuple[str, ...]
    finding: PairFinding
    count: int


@dataclass(frozen=True)
class BothUnits:
    """The findings by sort, and how many lengths are printed in both units."""

    disagree: tuple[Told, ...]
    two_partners: tuple[Told, ...]
    one_unit: tuple[Told, ...]
    printed: int

    @property
    def wrong(self) -> int:
        return sum(told.count for told in (*self.disagree, *self.two_partners))


def both_units(version: Version) -> BothUnits:
    """The report of a version, over all that its buyers read in two units."""
    texts = list(_texts(version))
    cells = list(_tables(version))
    placed = [pair for _row, _size, pair in cells]
    rows = {pair.place: (row, size) for row, size, pair in cells if size}
    found = check_pattern(texts, placed)
    kinds: dict[str, list[PairFinding]] = {"disagree": [], "two_partners": [], "one_unit": []}
    for finding in found:
        kinds[finding.kind].append(finding)
    printed = len(placed) + sum(len(find_pairs(text)) for _place, text in texts)
    disagree, two_partners, one_unit = (tuple(_told(findings, rows)) for findings in kinds.values())
    return BothUnits(disagree, two_partners, one_unit, printed)


def _told(findings: Iterable[PairFinding], rows: Mapping[str, tuple[str, str]]) -> Iterator[Told]:
    """Findings that say the same together, and the sizes of one row together."""
    alike: dict[tuple[str, str, str], list[PairFinding]] = {}
    for finding in findings:
        alike.setdefault((finding.text, str(finding.says), finding.proposed), []).append(finding)
    for same in alike.values():
        places: dict[str, list[str]] = {}
        for finding in same:
            row, size = rows.get(finding.place, (finding.place, ""))
            places.setdefault(row, []).extend([size] if size else [])
        yield Told(tuple(_place(row, sizes) for row, sizes in places.items()), same[0], len(same))


def _place(row: str, sizes: Sequence[str]) -> str:
    if not sizes:
        return row
    said = ngettext("%(row)s, size %(sizes)s", "%(row)s, sizes %(sizes)s", len(sizes))
    return said % {"row": row, "sizes": ", ".join(sizes)}


def _texts(version: Version) -> Iterator[tuple[str, str]]:
    for step in version.steps.all():
        yield _("Step %(number)s") % {"number": step.number}, step.text
    yield _("About the pattern"), version.pattern.about
    yield _("What changed"), version.what_changed


def _tables(version: Version) -> Iterator[tuple[str, str, PlacedPair]]:
    """(row, size, pair) of every cell, and of the test square, which has no size."""
    tables = measurement_tables(version)
    for block in tables.blocks:
        yield from _cells(block, tables.sizes)
    pair = version.test_square_mm and table_pair(version.test_square_mm, ALLOWANCE_STYLE)
    if pair:
        yield "", "", PlacedPair(_("Test square"), pair, version.test_square_mm)


def _cells(block: TableBlock, sizes: Sequence[str]) -> Iterator[tuple[str, str, PlacedPair]]:
    style = LengthStyle(block.inch_parts, Decimal(block.cm_step))
    names = {"body": _("Body"), "finished": _("Finished garment"), "ease": _("Ease")}
    for row in block.rows:
        label = _("%(table)s, %(row)s") % {"table": names.get(block.key, block.key), "row": row.label}
        for size, mm in zip(sizes, row.cells, strict=True):
            pair = table_pair(mm, style) if mm is not None else None
            if pair:
                yield label, size, PlacedPair(_place(label, [size]), pair, mm)
