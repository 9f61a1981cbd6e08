"""The several lengths of a version for its page: what each measures in every size, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from measurements.charts import ChartTable
from measurements.finished_lengths import (
    FabricCost,
    LengthWanted,
    fabric_cost,
    finished_row,
    length_doubts,
    lining_row,
)
from measurements.finished_measures import FINISHED_MEASURES
from measurements.length_display import MM_PER_INCH, inch_parts
from measurements.sentences import Sentence
from releases.models import FinishedLength, Version
from releases.tables import charts_of

# The lengths of a garment that have a hem to move.
HEMMED = ("length", "side_length", "inside_leg", "sleeve_length", "strap")


@dataclass(frozen=True)
class LengthLine:
    """One length: its finished measurement and its lining a size, the height it is for, the fabric it costs."""

    length: FinishedLength
    along: str
    finished: tuple[Decimal | None, ...]
    lining: tuple[Decimal | None, ...]
    height_mm: Decimal | None
    fabric: FabricCost

    @property
    def takes(self) -> bool:
        return self.length.change_mm < 0

    @property
    def metres(self) -> Decimal:
        return abs(self.fabric.metres)

    @property
    def yards(self) -> str:
        """To an eighth: `1/8 yd`, `1 1/4 yd`."""
        return f"{inch_parts(abs(self.fabric.yards) * MM_PER_INCH)} yd"

    @property
    def amount_mm(self) -> Decimal:
        return abs(self.length.change_mm)


@dataclass(frozen=True)
class LengthGroup:
    """The lengths along one finished measurement, with the printed one."""

    key: str
    label: str
    printed: tuple[Decimal | None, ...]
    lines: tuple[LengthLine, ...]
    doubts: tuple[Sentence, ...]


def lengths_along(finished: ChartTable) -> dict[str, str]:
    """{key: label} of the measurements of a finished chart that a length may change."""
    return {line.key: line.label for line in finished.lines if line.key in HEMMED}


def length_groups(version: Version) -> tuple[LengthGroup, ...]:
    """The lengths of a version, one group a measurement, the shortest first."""
    _body, finished = charts_of(version)
    by_key: dict[str, list[FinishedLength]] = {}
    for length in version.lengths.all():
        by_key.setdefault(length.along, []).append(length)
    return tuple(_group(version, finished, key, lengths) for key, lengths in by_key.items())


def _group(version: Version, finished: ChartTable, key: str, lengths: list[FinishedLength]) -> LengthGroup:
    line = finished.line(key)
    printed = line.mm if line else (None,) * len(version.sizes)
    label = line.label if line else _(FINISHED_MEASURES[key].name)
    lines = tuple(_line(version, label, printed, length) for length in lengths)
    return LengthGroup(key, label, printed, lines, tuple(length_doubts(map(_wanted, lengths), printed)))


def _wanted(length: FinishedLength) -> LengthWanted:
    return LengthWanted(length.name, length.change_mm, length.laps, length.lining_mm, length.height_mm)


def _line(version: Version, label: str, printed: tuple[Decimal | None, ...], length: FinishedLength) -> LengthLine:
    wanted = _wanted(length)
    return LengthLine(
        length,
        label,
        finished_row(printed, length.change_mm),
        lining_row(printed, wanted),
        length.height_mm or version.pattern.height_mm,
        fabric_cost(length.change_mm, length.laps),
    )


def lengths_headline(version: Version, groups: tuple[LengthGroup, ...]) -> str:
    """The situation in a sentence."""
    names = [line.length.name for group in groups for line in group.lines]
    if not names:
        return _("%(pattern)s has one length, the printed one.") % {"pattern": version.pattern.name}
    said = _("%(pattern)s is cut to several lengths: as printed, %(names)s.")
    if len(names) == 1:
        said = _("%(pattern)s is cut to two lengths: as printed, and %(names)s.")
    return said % {"pattern": version.pattern.name, "names": ", ".join(names)}
