"""A zone in numbers, size by size: the chart's body, the finished garment, its step and its ease."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from measurements.finished_measures import FINISHED_MEASURES
from measurements.models import ChartRevision
from testing_rounds.evidence import Evidence
from testing_rounds.overview_words import mm
from testing_rounds.report_cards import body_name
from testing_rounds.round_data import Zone
from testing_rounds.zones import finished_points

Row = Sequence[float | None]


@dataclass(frozen=True)
class SizeNumbers:
    """One size, in mm; None where a chart is silent. `step` is from the next smaller size: of the finished garment,
    or of the body where that is all there is."""

    body: Decimal | None
    finished: Decimal | None
    step: Decimal | None
    ease: Decimal | None


@dataclass(frozen=True)
class ZoneNumbers:
    """All sizes, with the names of the two measurements ("" for none) and how the chart shows lengths."""

    body_name: str
    finished_name: str
    sizes: dict[str, SizeNumbers]
    cm_step: str
    inch_parts: int

    @property
    def known(self) -> bool:
        return bool(self.body_name or self.finished_name)


def zone_numbers(evidence: Evidence, zone: Zone) -> ZoneNumbers:
    """The numbers of a zone, as far as the charts of the version give them."""
    data, version = evidence.data, evidence.found.version
    finished_key = next((point for point in finished_points(zone) if point in data.finished_chart), "")
    body_key = _body_key(evidence, zone, finished_key)
    body, finished = data.body_chart.get(body_key, ()), data.finished_chart.get(finished_key, ())
    stepped = finished or body
    cm_step, inch_parts = _style(version.finished_chart if finished else version.body_chart)
    return ZoneNumbers(
        body_name=body_name(body_key) if body else "",
        finished_name=_finished_name(finished_key) if finished else "",
        sizes={size: _numbers(i, body, finished, stepped) for i, size in enumerate(data.sizes)},
        cm_step=cm_step,
        inch_parts=inch_parts,
    )


def _body_key(evidence: Evidence, zone: Zone, finished_key: str) -> str:
    """The body measurement that the finished one is compared with, else the one that the zone goes by."""
    known = FINISHED_MEASURES[finished_key].body if finished_key in FINISHED_MEASURES else None
    return next((key for key in (known, zone.body_point) if key and key in evidence.data.body_chart), "")


def _numbers(at: int, body: Row, finished: Row, stepped: Row) -> SizeNumbers:
    here, there = _at(stepped, at), _at(stepped, at - 1)
    own, drafted = _at(finished, at), _at(body, at)
    return SizeNumbers(
        drafted,
        own,
        None if here is None or there is None else here - there,
        None if own is None or drafted is None else own - drafted,
    )


def _at(row: Row, at: int) -> Decimal | None:
    value = row[at] if 0 <= at < len(row) else None
    return None if value is None else mm(value)


def _finished_name(key: str) -> str:
    return _(FINISHED_MEASURES[key].name) if key in FINISHED_MEASURES else capfirst(key.replace("_", " "))


def _style(revision: ChartRevision | None) -> tuple[str, int]:
    return ("0.1", 8) if revision is None else (str(revision.chart.cm_step), revision.chart.inch_parts)
