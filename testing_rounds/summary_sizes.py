"""A round size by size for a paper: flags, zones with too few answers, what the test squares said."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from testing_rounds.evidence import SEWING, Evidence
from testing_rounds.evidence_words import listed, zone_name
from testing_rounds.matrix import SizeHead
from testing_rounds.models import Place, PrintCheck
from testing_rounds.set_aside import HAIR, print_limit


@dataclass(frozen=True)
class SizeLine:
    """One size: how many of its reports count, why it is flagged, where it is thin, how it was printed."""

    head: SizeHead
    flags: tuple[tuple[str, str], ...]
    thin: str
    printed: str


def size_lines(evidence: Evidence, heads: Iterable[SizeHead]) -> list[SizeLine]:
    """Every size of the round; one query for the print checks."""
    thin = {one.size: one.thin_zones for one in evidence.counts.coverage}
    printed = _printed(evidence)
    return [
        SizeLine(head, _by_reason(head), _thin(evidence, thin[head.label]), " ".join(printed[head.label]))
        for head in heads
    ]


def _by_reason(head: SizeHead) -> tuple[tuple[str, str], ...]:
    """(zones, reason): zones that are flagged for one reason stand together."""
    grouped: dict[str, list[str]] = defaultdict(list)
    for zone, why in head.flags:
        grouped[why].append(zone)
    return tuple((listed([zones[0], *(zone.lower() for zone in zones[1:])]), why) for why, zones in grouped.items())


def _thin(evidence: Evidence, zones: tuple[str, ...]) -> str:
    if zones and len(zones) == len(evidence.zones):
        return _("every zone")
    return listed([zone_name(evidence.zones[key]) for key in zones])


def _printed(evidence: Evidence) -> dict[str, list[str]]:
    nominal = evidence.found.version.test_square_mm
    by_size: dict[str, list[tuple[Place, float | None]]] = defaultdict(list)
    if nominal:
        for place, size, read in _squares(evidence):
            by_size[size].append((place, float(read / nominal) - 1 if read else None))
    limit = print_limit(float(nominal) / 10) + HAIR if nominal else 0.0
    return defaultdict(list, {size: list(_words(squares, limit)) for size, squares in by_size.items()})


def _squares(evidence: Evidence) -> Iterator[tuple[Place, str, Decimal | None]]:
    """Every tester who sews or has sewn, with the square of the report, else the worse side of the newest check."""
    rows = {row.place_id: row for row in evidence.rows}
    checks: dict[int, PrintCheck] = {}
    for check in PrintCheck.objects.filter(place__round=evidence.found):
        checks[check.place_id] = check
    for place in evidence.places:
        row = rows.get(place.pk)
        if row is not None:
            yield place, row.size, row.test_square_mm
        elif place.state in SEWING:
            yield place, place.size, _worst(checks.get(place.pk), evidence.found.version.test_square_mm)


def _worst(check: PrintCheck | None, nominal: Decimal | None) -> Decimal | None:
    read = [mm for mm in (check.across_mm, check.down_mm) if mm] if check else []
    return max(read, key=lambda mm: abs(mm - (nominal or mm)), default=None)


def _words(squares: list[tuple[Place, float | None]], limit: float) -> Iterator[str]:
    """ "3 read, all true." """
    read = [(place, error) for place, error in squares if error is not None]
    off = [(place, error) for place, error in read if abs(error) > limit]
    if read:
        said = _("%(n)s read, all true.") if not off else _("%(n)s read, %(true)s true.")
        yield said % {"n": len(read), "true": len(read) - len(off)}
    for place, error in off:
        said = _("%(tester)s is %(off)s %% large.") if error > 0 else _("%(tester)s is %(off)s %% small.")
        yield said % {"tester": place.alias, "off": number_format(round(abs(error) * 100, 1))}
    unread = len(squares) - len(read)
    if unread:
        yield ngettext("%(n)s not read.", "%(n)s not read.", unread) % {"n": unread}
